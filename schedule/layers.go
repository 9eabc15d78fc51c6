package schedule

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// label is a plan up to a period: what it has cost, the least it can cost in
// all, and when each task was last done.
type label struct {
	cost, bound float64
	lead        float64 // what the order between tasks asked of the first doings
	parent      int32
	tasks       []int32
	last        []uint8
}

// kid is a label not yet worked out: its tasks stand in the layer's arena.
type kid struct {
	bound        float64
	parent       int32
	first, count int32
}

// layerSearch builds plans period by period. The prices of the dual give each
// label a bound on its whole cost in one addition per task, so only labels
// that can still beat limit are kept: with enough width the search is exact,
// with little it is a good heuristic. Labels in equal states, or worse than
// another whatever follows, are dropped.
type layerSearch struct {
	d        *dual
	limit    float64  // only plans below are wanted
	width    int      // labels kept per period
	children int      // answers kept per label
	steps    int      // packer steps per label
	compare  int      // labels each label is compared with
	dropped  float64  // least bound of anything dropped for want of width
	deepest  int      // last period any label reached
	strict   bool     // give up as soon as anything is dropped
	keep     [][]int8 // period -> task -> +1 done, -1 not done, 0 free; nil: all free
	rest     []float64
	layers   [][]label
	arena    []int32 // tasks of the kids of the layer in work
	kids     []kid
	opened   []int32
	stamp    int32
	total    int // labels allowed in all if above 0
	made     int // labels kept in all
}

// run searches; ok is false if no plan below the limit was found. If dropped
// is +Inf (or at least limit) that is a proof that there is none.
func (s *layerSearch) run(ctx context.Context) (plan [][]int32, ok bool) {
	d, n := s.d, s.d.c.periods
	s.dropped = inf
	d.tabulate()
	s.rest = make([]float64, n+2)
	for t := n; t >= 1; t-- {
		s.rest[t] = s.rest[t+1] + d.visit[t-1]
	}
	d.pack.ended = func() bool { return ctx.Err() != nil }
	defer func() { d.pack.ended = nil }()
	if d.climb != nil {
		d.climb.ended = d.pack.ended
		defer func() { d.climb.ended = nil }()
	}
	root := label{bound: d.bound, parent: -1, last: make([]uint8, len(d.c.tasks))}
	s.layers = [][]label{{root}}
	for t := 1; t <= n; t++ {
		if ctx.Err() != nil {
			s.dropped = min(s.dropped, minBound(s.layers[t-1]))
			return nil, false
		}
		s.expandAll(ctx, t)
		next := s.thin(ctx, t)
		s.layers = append(s.layers, next)
		if s.total > 0 && s.made > s.total && len(next) > 0 {
			s.dropped = min(s.dropped, next[0].bound)
			return nil, false
		}
		if len(next) == 0 || s.strict && s.dropped < s.limit {
			return nil, false
		}
		s.deepest = t
	}
	return s.trace(n, 0), true
}

func minBound(ls []label) float64 {
	b := inf
	for i := range ls {
		b = min(b, ls[i].bound)
	}
	return b
}

// trace reads the plan that ends in label j of the last layer.
func (s *layerSearch) trace(t int, j int32) [][]int32 {
	plan := make([][]int32, t)
	for ; t > 0; t-- {
		l := &s.layers[t][j]
		plan[t-1] = slices.Clone(l.tasks)
		slices.Sort(plan[t-1])
		j = l.parent
	}
	return plan
}

// expandAll makes the kids of the layer before t.
func (s *layerSearch) expandAll(ctx context.Context, t int) {
	s.kids, s.arena = s.kids[:0], nil
	for j := range s.layers[t-1] {
		if j&7 == 7 && ctx.Err() != nil {
			s.dropped = min(s.dropped, minBound(s.layers[t-1][j:]))
			break
		}
		s.expand(t, int32(j))
		if s.strict && s.dropped < s.limit || s.total > 0 && len(s.kids) > 8*s.total {
			s.dropped = min(s.dropped, s.layers[t-1][0].bound)
			break
		}
	}
}

// weigh sets what each task gains by being done in period t rather than later,
// for label l, and returns the bound with nothing done; false if l is dead.
func (s *layerSearch) weigh(t int, l *label) (base float64, alive bool) {
	d, c := s.d, s.d.c
	w := c.periods + 2
	base = l.cost + l.lead + s.rest[t+1]
	for i := range c.tasks {
		last := int(l.last[i])
		f := d.best[i]
		not := f[last*w+t+1]
		do := c.arc[i][last*w+t] + f[t*w+t+1]
		if last == 0 && d.lead != nil {
			do += d.lead[i][t]
		}
		d.stat[i], d.prof[i] = 0, not-do
		switch {
		case do == inf && not == inf:
			return 0, false
		case do == inf:
			d.stat[i], d.prof[i] = -1, 0
			base += not
		case not == inf:
			d.stat[i], d.prof[i] = 1, 0
			base += do
		default:
			base += not
		}
	}
	return base, s.keep == nil || s.hold(s.keep[t])
}

// expand adds the kids of label j: every set of tasks for period t whose bound
// stays below the limit.
func (s *layerSearch) expand(t int, j int32) {
	l := &s.layers[t-1][j]
	base, alive := s.weigh(t, l)
	if !alive {
		return
	}
	b := &brood{s: s, l: l, j: j, base: base, first: len(s.kids)}
	top, cut := 0.0, false
	if s.d.climb != nil {
		top, cut = b.climb(t)
	} else {
		top, cut = b.branch(t)
	}
	switch {
	case cut:
		s.dropped = min(s.dropped, max(l.bound, base-top))
	case len(s.kids)-b.first >= s.children: // others may have been passed over
		s.dropped = min(s.dropped, max(l.bound, base-b.limit))
	}
}

// hold narrows the statuses to what is kept from another plan.
func (s *layerSearch) hold(keep []int8) bool {
	stat := s.d.stat
	for i, k := range keep {
		if k == 0 {
			continue
		}
		if stat[i] == -k {
			return false
		}
		stat[i] = k
	}
	return true
}

// worst is the kid with the greatest bound from first on.
func (s *layerSearch) worst(first int) int {
	q := first
	for i := first + 1; i < len(s.kids); i++ {
		if s.kids[i].bound > s.kids[q].bound {
			q = i
		}
	}
	return q
}

// inOrder reports whether doing tasks next keeps the order between tasks.
func (s *layerSearch) inOrder(l *label, tasks []int32) bool {
	for _, b := range tasks {
		for _, a := range s.d.c.after[b] {
			if l.last[b] == 0 && l.last[a] == 0 && !contains(tasks, a) {
				return false
			}
		}
	}
	return true
}

// thin sorts the kids, works them out and keeps the best that are not
// dominated.
func (s *layerSearch) thin(ctx context.Context, t int) []label {
	slices.SortFunc(s.kids, func(a, b kid) int {
		if d := cmp.Compare(a.bound, b.bound); d != 0 {
			return d
		}
		return cmp.Compare(a.first, b.first)
	})
	n := len(s.d.c.tasks)
	room := min(len(s.kids), s.width)
	seen := make(map[string]struct{}, room)
	keep := make([]label, 0, room)
	states := make([]uint8, (room+1)*n)
	for i := range s.kids {
		k := &s.kids[i]
		if len(keep) >= s.width || i&63 == 63 && ctx.Err() != nil {
			s.dropped = min(s.dropped, k.bound)
			break
		}
		at := len(keep) * n
		a := label{bound: k.bound, parent: k.parent, last: states[at : at+n : at+n],
			tasks: s.arena[k.first : k.first+k.count : k.first+k.count]}
		s.fill(t, &a)
		if _, dup := seen[string(a.last)]; dup || s.dominated(t, &a, keep) {
			continue
		}
		seen[string(a.last)] = struct{}{}
		keep = append(keep, a)
	}
	s.made += len(keep)
	return keep
}

// fill works out a label's cost and state from its parent.
func (s *layerSearch) fill(t int, a *label) {
	p := &s.layers[t-1][a.parent]
	c := s.d.c
	copy(a.last, p.last)
	a.cost, a.lead = p.cost, p.lead
	if s.opened == nil {
		s.opened = make([]int32, len(c.opens))
	}
	s.stamp++
	for _, o := range c.held[t-1] {
		if s.opened[o] != s.stamp {
			s.opened[o] = s.stamp
			a.cost += c.cost[o]
		}
	}
	for _, i := range a.tasks {
		a.cost += c.at(int(i), int(p.last[i]), t)
		if p.last[i] == 0 && s.d.lead != nil {
			a.lead += s.d.lead[i][t]
		}
		a.last[i] = uint8(t)
		for _, o := range c.closure[i] {
			if s.opened[o] != s.stamp {
				s.opened[o] = s.stamp
				a.cost += c.cost[o]
			}
		}
	}
	if t == c.periods {
		for i := range a.last {
			a.cost += c.at(i, int(a.last[i]), t+1)
		}
	}
}

// worse is the most it can cost task i more in future, after period t, to have
// been last done in period a than in b.
func (s *layerSearch) worse(t, i, a, b int) float64 {
	d, w := s.d, s.d.c.periods+2
	if d.worse == nil {
		d.worse = make([]worse, len(d.c.tasks)*w*w)
	}
	e := &d.worse[(i*w+a)*w+b]
	if e.after == uint8(t) {
		return e.by
	}
	m := math.Inf(-1)
	x, y := d.c.arc[i][a*w:a*w+w], d.c.arc[i][b*w:b*w+w]
	for u := t + 1; u < w; u++ {
		if y[u] < inf {
			m = max(m, x[u]-y[u])
		}
	}
	if math.IsInf(m, -1) {
		m = 0
	}
	*e = worse{m, uint8(t)}
	return m
}

// worse remembers a result of layerSearch.worse.
type worse struct {
	by    float64
	after uint8
}

// dominated reports whether a kept label costs no more than a whatever
// follows.
func (s *layerSearch) dominated(t int, a *label, keep []label) bool {
	for j := range keep[:min(len(keep), s.compare)] {
		if keep[j].cost <= a.cost+1e-9 && s.beats(t, &keep[j], a) {
			return true
		}
	}
	return false
}

func (s *layerSearch) beats(t int, b, a *label) bool {
	diff := b.cost - a.cost
	if diff > 1e-9 {
		return false
	}
	for i := range a.last {
		x, y := int(b.last[i]), int(a.last[i])
		if x == y {
			continue
		}
		diff += max(0, s.worse(t, i, x, y))
		if diff > 1e-9 {
			return false
		}
		if x == 0 && len(s.d.c.before[i]) > 0 {
			return false
		}
	}
	return true
}
