package schedule

import (
	"context"
	"slices"
)

// apart is what is known of vehicles that share, each by itself.
type apart struct {
	price [][]float64 // as dual.price, all tasks before all pairs
	cost  float64
	bound float64
	plan  [][]int32 // together it may break what is shared
}

// Join readies a search for the plan of vehicles that share limits, from
// searches that have planned each by itself: own has one for each vehicle of p,
// in order, under limits of its own that are no tighter. It begins with their
// plans and prices, and with the sum of their bounds, below which no sharing
// costs; and with the plan start, nil if there is none. It keeps nothing of own,
// which can be gone on with. Errors are those of NewSearch, and ErrNoPlan where
// one of own has no plan yet.
func Join(p *Problem, own []*Search, start []Doing) (*Search, error) {
	a := &apart{}
	var pairs [][]float64
	var alone []Doing
	for _, o := range own {
		plan, err := o.Plan()
		if err != nil {
			return nil, err
		}
		alone, a.cost = append(alone, plan.Doings()...), a.cost+plan.Cost
		for _, s := range o.solvers {
			n := len(s.c.tasks)
			price := clonePrices(s.root.price)
			a.price, pairs = append(a.price, price[:n]...), append(pairs, price[n:]...)
			a.bound += max(0, s.bound)
		}
	}
	a.price = append(a.price, pairs...)
	begin := start
	if begin == nil {
		begin = alone
	}
	j, err := NewSearch(p, begin)
	if err != nil {
		return nil, err
	}
	if s := j.solvers[0]; len(j.solvers) == 1 && len(s.c.visitOf) > 1 {
		if s.apart = a; len(p.Vehicles) != len(own) || len(a.price) != len(s.c.tasks)+len(pairs) {
			return nil, &InputError{"vehicles", "not those of the searches to begin with",
				"the same, in the same order"}
		}
		a.plan = s.c.read(p, alone)
	}
	return j, nil
}

// Sharing a period out is tried so many times, in so many moves each: one long
// try keeps to what it began with. They end sooner where sharing costs next to
// nothing, as a part of what each costs by itself.
const (
	shareTries = 16
	shareMoves = 1000
	shareFree  = 0.001
)

// share makes a plan of what the vehicles would do by themselves and of the
// plan to begin with, in turn; from the best, only what gains is then taken.
func (s *solver) share(ctx context.Context) {
	from := [][][]int32{s.apart.plan, s.hint}
	for try := range shareTries {
		if ctx.Err() != nil || s.cost <= s.apart.cost*(1+shareFree) {
			break
		}
		if !s.router.mend(from[try%len(from)]) {
			continue
		}
		if s.router.fits() {
			s.offer(s.router.plan())
		}
		s.router.stir(ctx, shareMoves, s.meanOpen)
		if s.router.fits() {
			s.offer(s.router.plan())
		}
	}
	if s.plan != nil {
		s.router.load(s.plan)
		s.router.stir(ctx, 2*shareMoves, 0)
		s.offer(s.router.plan())
	}
}

// whole reports whether paths keep all rules but the limits.
func (r *router) whole(paths [][]uint8) bool {
	n := uint8(r.c.periods + 1)
	first := func(i int32) uint8 {
		if len(paths[i]) == 0 {
			return n
		}
		return paths[i][0]
	}
	for i, path := range paths {
		if r.walkCost(i, path) == inf {
			return false
		}
		for _, j := range r.c.implies[i] {
			for _, t := range path {
				if !slices.Contains(paths[j], t) {
					return false
				}
			}
		}
		for _, a := range r.c.after[i] {
			if first(a) > first(int32(i)) {
				return false
			}
		}
	}
	return true
}

// shift is the move that holds a whole visit of one of several vehicles some
// periods earlier or later, or does without it: what it takes to share a period
// out.
func (r *router) shift(tasks []int32) ([]int32, hint) {
	h := plain
	t, o := r.pickVisit()
	if t == 0 {
		return nil, h
	}
	h.forbid, h.at = o, t
	tasks = r.withTies(r.using(tasks, o, t))
	to := t + 1 + r.rng.IntN(4)
	switch r.rng.IntN(3) {
	case 0:
		return tasks, h
	case 1:
		to = t - 1 - r.rng.IntN(4)
	}
	if h.offerAt = to; to >= 1 && to <= r.c.periods {
		for k, n := range r.count[t] {
			if n > 0 && contains(r.c.needs[k], o) {
				h.offer = append(h.offer, int32(k))
			}
		}
	}
	return tasks, h
}

// pickVisit picks a visit that is held by choice, from those of overrun periods
// where there are any; 0 if there is none.
func (r *router) pickVisit() (period int, visit int32) {
	n, over := 0, !r.fits()
	for t := 1; t <= r.c.periods; t++ {
		if over && !slices.ContainsFunc(r.room[t], func(room float64) bool { return room < 0 }) {
			continue
		}
		for _, o := range r.c.visitOf {
			if r.count[t][o] > 0 && !contains(r.c.held[t-1], o) {
				if n++; r.rng.IntN(n) == 0 {
					period, visit = t, o
				}
			}
		}
	}
	return period, visit
}
