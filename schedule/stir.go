package schedule

import (
	"context"
	"math"
	"slices"
)

// fromNothing puts all tasks in one by one, the openings' costs shared as the
// dual's prices share them; false if one finds no place.
func (r *router) fromNothing(prices [][]float64) bool {
	for i := range r.paths {
		if r.placed[i] {
			r.take(i)
		}
	}
	all := r.all()
	r.prices = prices
	ok := r.putAll(all, hint{share: 0, forbid: -1})
	r.prices = nil
	return ok && r.again(all)
}

// putAll puts tasks in in a random order, those that imply others first.
func (r *router) putAll(tasks []int32, h hint) bool {
	r.rng.Shuffle(len(tasks), func(a, b int) { tasks[a], tasks[b] = tasks[b], tasks[a] })
	slices.SortStableFunc(tasks, func(a, b int32) int { return len(r.c.implies[b]) - len(r.c.implies[a]) })
	r.hint = h
	defer func() { r.hint = plain }()
	for _, i := range tasks {
		if !r.put(int(i)) {
			return false
		}
	}
	return true
}

// again takes each of the tasks out once more and puts it where it is best now.
func (r *router) again(tasks []int32) bool {
	for _, i := range tasks {
		if len(r.ties[i]) > 1 {
			continue
		}
		r.take(int(i))
		if !r.put(int(i)) {
			return false
		}
	}
	return true
}

// stir improves the plan held by moves for so many rounds and leaves the best
// plan met. heat is the loss accepted at the start; it falls to none.
func (r *router) stir(ctx context.Context, rounds int, heat float64) {
	best, kept := inf, r.snapshot(nil)
	if r.fits() {
		best = r.cost
	}
	var tasks, ids []int32
	var old [][]uint8
	for n := range rounds {
		if n&15 == 0 && ctx.Err() != nil {
			break
		}
		var h hint
		tasks, h = r.move(tasks[:0])
		if len(tasks) == 0 {
			continue
		}
		before, cost, over := r.value(), r.cost, r.over
		ids, old = append(ids[:0], tasks...), r.lift(tasks, old)
		ok := r.putAll(tasks, h)
		limit := heat * (1 - float64(n)/float64(rounds)) * -math.Log(1-r.rng.Float64())
		if ok && r.stand(ids, old) {
			r.cost, r.over = cost, over
			continue // nothing came of it
		}
		ok = ok && r.again(tasks)
		if !ok || r.value() > before+limit {
			r.restore(ids, old)
			r.cost, r.over = cost, over
			continue
		}
		if r.cost < best-1e-9 && r.fits() {
			best, kept = r.cost, r.snapshot(kept)
		}
	}
	if best < inf {
		r.restore(r.all(), kept)
	}
}

// lift takes tasks out and returns their paths, in the room of old.
func (r *router) lift(tasks []int32, old [][]uint8) [][]uint8 {
	for len(old) < len(tasks) {
		old = append(old, nil)
	}
	for q, i := range tasks {
		old[q] = append(old[q][:0], r.paths[i]...)
		r.take(int(i))
	}
	return old
}

// stand reports whether tasks are on the paths given.
func (r *router) stand(tasks []int32, paths [][]uint8) bool {
	for q, i := range tasks {
		if !slices.Equal(r.paths[i], paths[q]) {
			return false
		}
	}
	return true
}

func (r *router) all() []int32 {
	all := make([]int32, len(r.paths))
	for i := range all {
		all[i] = int32(i)
	}
	return all
}

func (r *router) snapshot(into [][]uint8) [][]uint8 {
	if into == nil {
		into = make([][]uint8, len(r.paths))
	}
	for i := range r.paths {
		into[i] = append(into[i][:0], r.paths[i]...)
	}
	return into
}

// restore puts tasks back on the paths given.
func (r *router) restore(tasks []int32, paths [][]uint8) {
	for _, i := range tasks {
		if r.placed[i] {
			r.take(int(i))
		}
	}
	for q, i := range tasks {
		r.place(int(i), paths[q])
	}
}

// move picks the tasks to take out and how to put them back.
func (r *router) move(tasks []int32) ([]int32, hint) {
	c := r.c
	if len(c.visitOf) > 1 && r.rng.IntN(3) == 0 {
		return r.shift(tasks)
	}
	h := plain
	t := 1 + r.rng.IntN(c.periods)
	switch r.rng.IntN(4) {
	case 0: // do without an opening in a period
		o := r.pickOpen(t)
		if o < 0 {
			return nil, h
		}
		h.forbid, h.at = o, t
		tasks = r.using(tasks, o, t)
	case 1: // make an opening in a period
		o := int32(r.rng.IntN(len(c.opens)))
		h.offer, h.offerAt = c.needs[o], t
		tasks = r.some(r.using(tasks, o, 0), 12)
	case 2: // hold the visit at another time
		o := r.pickOpen(t)
		if o < 0 {
			return nil, h
		}
		to := t + 1 + r.rng.IntN(3)
		if r.rng.IntN(2) == 0 {
			to = t - 1 - r.rng.IntN(3)
		}
		h.forbid, h.at, h.offerAt = o, t, to
		if to >= 1 && to <= c.periods {
			for k, n := range r.count[t] {
				if n > 0 {
					h.offer = append(h.offer, int32(k))
				}
			}
		}
		tasks = r.using(tasks, o, t)
	default:
		tasks = r.some(r.using(tasks, int32(r.rng.IntN(len(c.opens))), 0), 8)
		h.share = 0.2 + 0.8*r.rng.Float64()
	}
	return r.withTies(tasks), h
}

// pickOpen picks an opening made in period t by choice, -1 if there is none.
func (r *router) pickOpen(t int) int32 {
	pick, n := int32(-1), 0
	for o, k := range r.count[t] {
		if k > 0 && !contains(r.c.held[t-1], int32(o)) {
			if n++; r.rng.IntN(n) == 0 {
				pick = int32(o)
			}
		}
	}
	return pick
}

// using appends the tasks that use opening o in period t, in any if t is 0.
func (r *router) using(tasks []int32, o int32, t int) []int32 {
	for _, i := range r.users[o] {
		if t == 0 || slices.Contains(r.paths[i], uint8(t)) {
			tasks = append(tasks, i)
		}
	}
	return tasks
}

func (r *router) some(tasks []int32, n int) []int32 {
	r.rng.Shuffle(len(tasks), func(a, b int) { tasks[a], tasks[b] = tasks[b], tasks[a] })
	return tasks[:min(n, len(tasks))]
}

// withTies adds the tasks that must move with those picked.
func (r *router) withTies(tasks []int32) []int32 {
	for _, i := range tasks {
		for _, j := range r.ties[i] {
			if !contains(tasks, j) {
				tasks = append(tasks, j)
			}
		}
	}
	return tasks
}
