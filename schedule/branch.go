package schedule

import (
	"cmp"
	"math"
	"slices"
)

// search branches on the candidates and hands every answer worth more than
// k.limit to k.accept, which may raise k.limit. It sets k.cut if it ran out of
// steps; then answers up to k.bound may have been missed.
func (k *packer) search(steps int) {
	k.steps, k.cut = steps, false
	order := k.order()
	k.restUse = k.restUse[:0]
	for range len(order) + 1 {
		k.restUse = append(k.restUse, nil)
	}
	if need := len(k.mu) * (len(order) + 1); cap(k.restBuf) < need {
		k.restBuf = make([]float64, 2*need)
	}
	rest := k.restBuf[:len(k.mu)*(len(order)+1)]
	clear(rest)
	for p := len(order); p >= 0; p-- {
		row := rest[p*len(k.mu) : (p+1)*len(k.mu)]
		k.restUse[p] = row
		for r := range row {
			if p == len(order) {
				for i := range k.nodes {
					row[r] += k.nodeUse(&k.nodes[i], r)
				}
				continue
			}
			row[r] = k.restUse[p+1][r] + k.candUse(&k.cands[order[p]], r)
		}
	}
	clear(k.used)
	k.picked = append(k.picked[:0], k.forced...)
	k.prepareMemo(order)
	k.descend(order, 0, k.bound, k.base, 0)
}

// order is the branching order: what loses most by a wrong choice first.
func (k *packer) order() []int32 {
	if cap(k.orderBuf) < len(k.cands) {
		k.orderBuf = make([]int32, len(k.cands)+16)
	}
	order := k.orderBuf[:len(k.cands)]
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(x, y int32) int {
		a, b := &k.cands[x], &k.cands[y]
		if a.left != b.left {
			return cmp.Compare(b.left, a.left)
		}
		if d := cmp.Compare(math.Abs(b.priced), math.Abs(a.priced)); d != 0 {
			return d
		}
		return cmp.Compare(a.task, b.task)
	})
	return order
}

// descend decides order[p:]; ub bounds what can come of it, val is the true
// value so far.
func (k *packer) descend(order []int32, p int, ub, val float64, h uint64) {
	for p < len(order) && k.cands[order[p]].state > 0 {
		h = k.expire(p, h)
		p++
	}
	if ub-k.idle(p) <= k.limit {
		return
	}
	if k.steps--; k.steps < 0 || k.steps&4095 == 0 && k.ended != nil && k.ended() {
		k.cut = true
		return
	}
	if k.memoOn && k.seenBetter(p, val, h) {
		return
	}
	if p == len(order) {
		if val > k.limit && (len(k.picked) > 0 || !k.assumed) {
			k.accept(val, k.picked)
		}
		return
	}
	i := order[p]
	if k.cands[i].inCut {
		k.tryIn(order, p, i, ub, val, h)
		k.tryOut(order, p, i, ub, val, h)
		return
	}
	k.tryOut(order, p, i, ub, val, h)
	k.tryIn(order, p, i, ub, val, h)
}

// idle is the priced worth of resources that stay unused even if everything
// still undecided is done.
func (k *packer) idle(p int) float64 {
	w := 0.0
	for r, m := range k.mu {
		if m > 0 {
			w += m * max(0, k.room[r]-k.used[r]-k.restUse[p][r])
		}
	}
	return w
}

func (k *packer) tryIn(order []int32, p int, i int32, ub, val float64, h uint64) {
	if ub-k.lossIn(i) <= k.limit {
		return
	}
	mark := len(k.picked)
	saved := [8]float64{}
	used := saved[:0]
	if len(k.used) > len(saved) {
		used = make([]float64, 0, len(k.used))
	}
	used = append(used, k.used...)
	dub, dval, ok := k.take(i)
	for _, j := range k.cands[i].implies {
		if k.cands[j].state < 0 {
			ok = false
		} else if k.cands[j].state == 0 {
			u, v, _ := k.take(j)
			dub, dval = dub+u, dval+v
		}
	}
	for r := range k.used {
		ok = ok && k.used[r] <= k.room[r]+slackTol
	}
	if ok {
		for _, n := range k.cands[i].nodes {
			if k.nodes[n].count == 1 {
				h ^= scatter(uint64(n))
			}
		}
		k.descend(order, p+1, ub-dub, val+dval, k.expire(p, h))
	}
	for _, j := range k.picked[mark:] {
		k.untake(j)
	}
	k.picked = k.picked[:mark]
	copy(k.used, used)
}

// lossIn is what the bound loses if candidate i goes in.
func (k *packer) lossIn(i int32) float64 {
	a := &k.cands[i]
	loss := max(0, -a.priced)
	for _, n := range a.nodes {
		if node := &k.nodes[n]; node.count == 0 {
			loss += node.left + node.lost
		}
	}
	return loss
}

// take puts candidate i in: what the bound loses, what the value gains.
func (k *packer) take(i int32) (dub, dval float64, ok bool) {
	a := &k.cands[i]
	a.state = 1
	k.picked = append(k.picked, a.task)
	dub, dval = max(0, -a.priced), a.profit
	for r := range k.used {
		k.used[r] += k.candUse(a, r)
	}
	for _, n := range a.nodes {
		node := &k.nodes[n]
		if node.count++; node.count == 1 {
			dub += node.left + node.lost
			dval -= node.cost
			for r := range k.used {
				k.used[r] += k.nodeUse(node, r)
			}
			k.markPicked(node)
		}
	}
	return dub, dval, true
}

// markPicked records a task that is no candidate and comes in as a cost.
func (k *packer) markPicked(node *costNode) {
	if j := node.id - int32(len(k.c.opens)); j >= 0 && k.candOf[j] == -1 {
		k.picked = append(k.picked, j)
	}
}

func (k *packer) untake(task int32) {
	i := k.candOf[task]
	if i < 0 {
		return
	}
	a := &k.cands[i]
	a.state = 0
	for _, n := range a.nodes {
		k.nodes[n].count--
	}
}

func (k *packer) tryOut(order []int32, p int, i int32, ub, val float64, h uint64) {
	a := &k.cands[i]
	dub := a.left
	for s, n := range a.nodes {
		if k.nodes[n].count > 0 {
			dub += a.flow[s]
		}
	}
	if ub-dub <= k.limit {
		return
	}
	a.state = -1
	for s, n := range a.nodes {
		k.nodes[n].lost += a.flow[s]
	}
	k.descend(order, p+1, ub-dub, val, k.expire(p, h))
	for s, n := range a.nodes {
		k.nodes[n].lost -= a.flow[s]
	}
	a.state = 0
}

// best is the most valuable answer and an upper bound on it (equal unless the
// steps ran out). known is the value of an answer already at hand; ok is false
// if nothing better than it was found.
func (k *packer) best(known float64, steps int) (value, bound float64, tasks []int32, ok bool) {
	bound = k.solve()
	value = known
	if k.assumed && value < 0 {
		value, ok = 0, true // no visit
	}
	if bound <= value {
		return value, value, nil, ok
	}
	tol := 1e-9 * (1 + math.Abs(bound))
	k.limit = value + tol
	k.accept = func(v float64, ts []int32) {
		value, ok = v, true
		k.limit = v + tol
		tasks = append(tasks[:0], ts...)
	}
	if steps == 0 || k.worst() < 0 && !k.priced() {
		return bound, bound, k.closureTasks(), true
	}
	k.memoOn = k.memoFits()
	k.search(steps)
	k.memoOn = false
	if k.cut {
		return value, max(bound, value), tasks, ok
	}
	return value, value + tol, tasks, ok
}

// priced reports whether any resource has a price: only then can the closure
// fall short of the bound.
func (k *packer) priced() bool {
	for _, m := range k.mu {
		if m > 0 {
			return true
		}
	}
	return false
}

// closureTasks lists the tasks of the closure with the forced ones.
func (k *packer) closureTasks() []int32 {
	k.picked = append(k.picked[:0], k.forced...)
	for i := range k.cands {
		if k.cands[i].inCut {
			k.picked = append(k.picked, k.cands[i].task)
		}
	}
	for i := range k.nodes {
		if k.nodes[i].mark {
			k.markPicked(&k.nodes[i])
		}
	}
	return k.picked
}
