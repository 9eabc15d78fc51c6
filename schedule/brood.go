package schedule

import "math"

// brood takes in the kids of one label.
type brood struct {
	s     *layerSearch
	l     *label
	j     int32
	base  float64
	first int
	limit float64 // value a kid has to pass
}

// climb has the kids from the ladder, branch from the packer. Both return a
// bound on their value and whether steps ran out.
func (b *brood) climb(t int) (top float64, cut bool) {
	s, k := b.s, b.s.d.climb
	b.limit = b.base - s.limit
	if !k.load(t, s.d.prof, s.d.stat, b.limit, true) {
		return math.Inf(-1), false
	}
	if k.bound <= b.limit {
		return k.bound, false
	}
	k.accept = func(val float64, tasks []int32) {
		b.add(val, tasks)
		k.raise(b.limit)
	}
	k.each(b.limit, s.steps)
	return k.bound, k.cut
}

func (b *brood) branch(t int) (top float64, cut bool) {
	s, k := b.s, b.s.d.pack
	b.limit = b.base - s.limit
	if !k.load(t, s.d.prof, s.d.stat, true) {
		return 0, false
	}
	top = k.solve()
	if k.assumed {
		top = max(top, 0)
	}
	k.limit = b.limit
	if top <= k.limit {
		return top, false
	}
	k.accept = func(val float64, tasks []int32) {
		b.add(val, tasks)
		k.limit = b.limit
	}
	if k.assumed && k.limit < 0 {
		k.accept(0, nil)
	}
	k.search(s.steps)
	return top, k.cut
}

// add takes in one kid, in place of the worst if there are enough.
func (b *brood) add(val float64, tasks []int32) {
	s := b.s
	if !s.inOrder(b.l, tasks) {
		return
	}
	n := kid{max(b.l.bound, b.base-val), b.j, int32(len(s.arena)), int32(len(tasks))}
	if len(s.kids)-b.first < s.children {
		s.kids = append(s.kids, n)
	} else {
		q := s.worst(b.first)
		s.dropped = min(s.dropped, s.kids[q].bound)
		s.kids[q] = n
	}
	s.arena = append(s.arena, tasks...)
	if len(s.kids)-b.first == s.children {
		b.limit = max(b.limit, b.base-s.kids[s.worst(b.first)].bound)
	}
}
