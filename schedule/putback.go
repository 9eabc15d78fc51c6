package schedule

import (
	"math"
	"math/bits"
	"slices"
)

// put puts task i in where it costs least; false if it finds no place.
func (r *router) put(i int) bool {
	r.bind(i)
	lo, hi := r.order(i)
	if !r.narrow(i, lo, hi) {
		return false
	}
	path := r.shortest(i, lo, hi)
	if path == nil {
		return false
	}
	r.place(i, path)
	return true
}

// margin is what standing in period t costs task i beside its own costs, or
// +Inf if that is clearly more than most.
func (r *router) margin(i, t int, most float64) float64 {
	c, h := r.c, &r.hint
	if t == h.offerAt || r.prices != nil {
		most = inf
	}
	most /= h.share
	x, fresh, first := 0.0, r.fresh[:0], &r.first[i]
	made := r.made[t][first.word:]
	for w, m := range r.closure[i] {
		for m &^= made[w]; m != 0; m &= m - 1 {
			o := first.opening + int32(w<<6+bits.TrailingZeros64(m))
			if x += c.cost[o]; x > most {
				return inf
			}
			fresh = append(fresh, o)
		}
	}
	if r.fresh = fresh; x > 0 {
		x = r.bent(i, t, x, fresh)
	}
	room := r.room[t]
	for q, u := range c.use[len(c.opens)+i] {
		for _, o := range fresh {
			u += c.use[o][q]
		}
		if u > room[q]+slackTol {
			x += r.fine[q] * (u - max(room[q], 0))
		}
	}
	return x
}

// bent is what the openings fresh, which cost x, count for by the hint and the
// prices.
func (r *router) bent(i, t int, x float64, fresh []int32) float64 {
	h := &r.hint
	if r.prices != nil {
		x = min(x, h.share*x+(1-h.share)*r.prices[i][t])
	} else {
		x *= h.share
	}
	if t == h.offerAt && x > 0 {
		for _, o := range fresh {
			if contains(h.offer, o) {
				x -= h.share * r.c.cost[o]
			}
		}
		x = max(x, 0)
	}
	return x
}

// bind notes where the tasks that i is tied to and the hint let it stand.
func (r *router) bind(i int) {
	if r.tied {
		clear(r.must)
		clear(r.barred)
		r.tied, r.musts = false, false
	}
	if h := r.hint.forbid; h >= 0 && contains(r.c.closure[i], h) {
		r.barred[r.hint.at], r.tied = true, true
	}
	for _, j := range r.c.implied[i] {
		if r.placed[j] {
			r.tied, r.musts = true, true
			for _, t := range r.paths[j] {
				r.must[t] = true
			}
		}
	}
	for _, j := range r.c.implies[i] {
		if !r.placed[j] {
			continue
		}
		r.tied = true
		for t := 1; t <= r.c.periods; t++ {
			if !slices.Contains(r.paths[j], uint8(t)) {
				r.barred[t] = true
			}
		}
	}
}

// order is the window that tasks before and after leave to the first doing of
// i; periods+1 stands for never.
func (r *router) order(i int) (lo, hi int) {
	n := r.c.periods
	lo, hi = 1, n+1
	first := func(j int32) int {
		if len(r.paths[j]) == 0 {
			return n + 1
		}
		return int(r.paths[j][0])
	}
	for _, a := range r.c.after[i] {
		if r.placed[a] {
			lo = max(lo, first(a))
		}
	}
	for _, b := range r.c.before[i] {
		if r.placed[b] {
			hi = min(hi, first(b))
		}
	}
	return lo, hi
}

// narrow lists the periods that can be part of a path as cheap as the one the
// task had before, by what the cheapest path through each costs without
// openings; false if the task would have to stand where it cannot.
func (r *router) narrow(i, lo, hi int) bool {
	most := r.known(i, lo, hi)
	most += 1e-9 * (1 + math.Abs(most))
	r.cand = r.cand[:0]
	if lone := most - r.hint.share*r.alone[i]; lone < r.least[i] { // a visit for this task alone costs too much
		for w, m := range r.when[r.first[i].opening] {
			if at := r.hint.offerAt; at > 0 && at <= r.c.periods && at>>6 == w {
				m |= 1 << (at & 63)
			}
			for ; m != 0; m &= m - 1 {
				r.consider(i, w<<6+bits.TrailingZeros64(m), most)
			}
		}
	} else {
		for t := 1; t <= r.c.periods; t++ {
			r.consider(i, t, most)
		}
	}
	if !r.musts {
		return true
	}
	for t, must := range r.must {
		if must && (t < lo || !slices.Contains(r.cand, uint8(t))) {
			return false
		}
	}
	return true
}

// consider lists period t if a path through it can cost no more than most.
func (r *router) consider(i, t int, most float64) {
	least := r.through[i][t]
	if least > most || r.barred[t] {
		return
	}
	if m := r.margin(i, t, most-least); least+m <= most {
		r.cand = append(r.cand, uint8(t))
		r.marg[t] = m
	}
}

// known is what the path that the task had would cost now, or that path with
// its doing in the forbidden period moved; +Inf if it is not allowed.
func (r *router) known(i, lo, hi int) float64 {
	path := r.paths[i]
	if r.prices != nil {
		return inf // margins may be below 0
	}
	at := -1
	for q, t := range path {
		if r.barred[t] {
			if at >= 0 || int(t) != r.hint.at {
				return inf
			}
			at = q
		}
	}
	if at < 0 {
		return r.pathCost(i, path, lo, hi)
	}
	best, was := inf, path[at]
	for _, d := range [...]int{-1, 1, -2, 2, -3, 3} {
		t := int(was) + d
		if t < 1 || t > r.c.periods || r.barred[t] {
			continue
		}
		path[at] = uint8(t)
		if at > 0 && path[at-1] >= path[at] || at+1 < len(path) && path[at+1] <= path[at] {
			continue
		}
		best = min(best, r.pathCost(i, path, lo, hi))
	}
	path[at] = was
	return best
}

// pathCost is what a path would cost now, +Inf if it is not allowed.
func (r *router) pathCost(i int, path []uint8, lo, hi int) float64 {
	if len(path) > 0 && (int(path[0]) < lo || int(path[0]) > hi) || len(path) == 0 && hi <= r.c.periods {
		return inf
	}
	if r.musts {
		for t, must := range r.must {
			if must && !slices.Contains(path, uint8(t)) {
				return inf
			}
		}
	}
	x := r.walkCost(i, path)
	if x == inf {
		return inf
	}
	for _, t := range path {
		x += r.margin(i, int(t), inf)
	}
	return x
}

// shortest is the cheapest path of task i over the periods listed, its first
// doing within lo..hi; nil if there is none. The path stays good until the
// next call.
func (r *router) shortest(i, lo, hi int) []uint8 {
	n := r.c.periods
	w := n + 2
	arc, cand := r.c.arc[i], r.cand
	for k := len(cand) - 1; k >= -1; k-- {
		last, margin, end := 0, 0.0, true
		if k >= 0 {
			last = int(cand[k])
			margin = r.marg[last]
		} else {
			end = hi == n+1
		}
		row := arc[last*w : last*w+w]
		far := int(r.c.far[i][last])
		if k < 0 {
			far = min(far, hi)
		}
		best, at := inf, len(cand)
		if !r.musts && (k >= 0 || lo == 1) {
			for j := k + 1; j < len(cand); j++ {
				t := int(cand[j])
				if t > far {
					break
				}
				if v := row[t] + r.g[j+1]; v <= best && v < inf {
					best, at = v, j
				}
			}
		} else {
			best, at, end = r.bound(row, k, lo, far, end)
		}
		if v := row[n+1]; end && v < best {
			best, at = v, len(cand)
		}
		r.g[k+1], r.next[k+1] = best+margin, uint8(at)
	}
	if math.IsInf(r.g[0], 1) {
		return nil
	}
	r.path = r.path[:0]
	for k := int(r.next[0]); k < len(cand); k = int(r.next[k+1]) {
		r.path = append(r.path, cand[k])
	}
	return r.path
}

// bound is the best step from candidate k where some periods have to stand in
// the path, or the first doing has a window; end says whether it may be the last.
func (r *router) bound(row []float64, k, lo, far int, end bool) (best float64, at int, last bool) {
	best, at = inf, len(r.cand)
	for j := k + 1; j < len(r.cand); j++ {
		t := int(r.cand[j])
		if t > far && !r.musts {
			break
		}
		if t <= far && (k >= 0 || t >= lo) {
			if v := row[t] + r.g[j+1]; v <= best && v < inf {
				best, at = v, j
			}
		}
		if r.must[t] {
			return best, at, false
		}
	}
	return best, at, end
}

// throughs is, per task and period, the cost of its cheapest path that stands
// there, openings left out.
func (c *component) throughs() [][]float64 {
	n := c.periods
	out := grid(len(c.tasks), n+1)
	from, to := make([]float64, n+2), make([]float64, n+2)
	for i := range c.tasks {
		for t := 1; t <= n; t++ {
			from[t] = inf
			for last := range t {
				from[t] = min(from[t], from[last]+c.at(i, last, t))
			}
		}
		for t := n; t >= 1; t-- {
			to[t] = c.at(i, t, n+1)
			for u := t + 1; u <= n; u++ {
				to[t] = min(to[t], c.at(i, t, u)+to[u])
			}
			out[i][t] = from[t] + to[t]
		}
	}
	return out
}
