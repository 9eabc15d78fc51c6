package schedule

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
)

// Reason says why one doing of a task stands where it stands.
type Reason struct {
	Vehicle, Task string
	Kind          Kind
	Period        int
	// Age of the task when done.
	Age int
	// Shared lists the openings it uses with others at this visit.
	Shared []SharedOpening
	// Later is the same doing at the next visit of the plan (the next period
	// where there is none), all else left as it is.
	Later Move
}

// SharedOpening is an opening (ID empty: the visit itself) used with others.
type SharedOpening struct {
	ID   string
	Cost float64
	With []string
}

// Move is a change of one doing. Change is the added cost (below 0: cheaper,
// possible only in a plan not proven best); if it cannot be moved, Possible is
// false and Against is the first rule that it would break.
type Move struct {
	Period   int
	Change   float64
	Possible bool
	Against  Fault
}

// Explain gives the reasons of a plan, in order of period, then as in the
// problem. It refuses a plan that breaks rules, and returns the context's error
// where that ends first.
func Explain(ctx context.Context, p *Problem, plan []Doing) ([]Reason, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	a := newAudit(p, plan)
	if len(a.faults) > 0 {
		return nil, fmt.Errorf("schedule: the plan breaks a rule: %v", a.faults[0])
	}
	var out []Reason
	for v := range p.Vehicles {
		e := &explainer{p: p, v: &p.Vehicles[v], c: compile(p, []int{v}, false), audit: a}
		rs, err := e.all(ctx)
		if err != nil {
			return nil, err
		}
		out = append(out, rs...)
	}
	slices.SortStableFunc(out, func(a, b Reason) int { return a.Period - b.Period })
	return out, nil
}

// explainer explains one vehicle.
type explainer struct {
	p     *Problem
	v     *Vehicle
	c     *component
	audit *audit         // of the whole plan
	index map[string]int // task -> its place
	first map[string]int // task -> period it is first done in, 0: never
	at    [][]int32      // period-1 -> tasks
}

func (e *explainer) all(ctx context.Context) ([]Reason, error) {
	e.index, e.first = taskIndex(e.v), map[string]int{}
	e.at = make([][]int32, e.p.Periods)
	for t := e.p.Periods; t >= 1; t-- {
		for id := range e.audit.done[e.v.ID][t] {
			e.at[t-1], e.first[id] = append(e.at[t-1], int32(e.index[id])), t
		}
	}
	last := make([]int, len(e.v.Tasks))
	var out []Reason
	for t := 1; t <= e.p.Periods; t++ {
		slices.Sort(e.at[t-1])
		for _, i := range e.at[t-1] {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			out = append(out, e.one(int(i), t, last[i]))
		}
		for _, i := range e.at[t-1] {
			last[i] = t
		}
	}
	return out, nil
}

func (e *explainer) one(i, t, last int) Reason {
	k := &e.v.Tasks[i]
	r := Reason{Vehicle: e.v.ID, Task: k.ID, Kind: k.Kind, Period: t, Age: t - last}
	if last == 0 {
		r.Age += k.Age
	}
	for _, o := range e.c.closure[i] {
		var with []string
		for _, j := range e.at[t-1] {
			if int(j) != i && contains(e.c.closure[j], o) {
				with = append(with, e.v.Tasks[j].ID)
			}
		}
		if len(with) == 0 {
			continue
		}
		s := SharedOpening{Cost: e.c.cost[o], With: with}
		if q := e.c.opens[o].opening; q >= 0 {
			s.ID = e.v.Openings[q].ID
		}
		r.Shared = append(r.Shared, s)
	}
	r.Later = e.move(i, t)
	return r
}

// move shifts the doing of task i in period t to the next visit, tasks tied to it
// both ways with it.
func (e *explainer) move(i, t int) Move {
	to := t + 1
	for u := to; u <= e.p.Periods; u++ {
		if e.audit.done[e.v.ID][u] != nil {
			to = u
			break
		}
	}
	m := Move{Period: to}
	if to > e.p.Periods {
		m.Period, m.Against = 0, Fault{Rule: BeyondPlan, Vehicle: e.v.ID, Task: e.v.Tasks[i].ID, Period: t}
		return m
	}
	group := map[string]bool{e.v.Tasks[i].ID: true}
	for _, j := range e.c.implies[i] {
		if contains(e.c.implies[j], int32(i)) {
			group[e.v.Tasks[j].ID] = true
		}
	}
	change, faults := e.shift(group, t, to)
	if len(faults) > 0 {
		m.Against = faults[0]
		return m
	}
	m.Possible, m.Change = true, change
	if math.Abs(m.Change) < 1e-9 {
		m.Change = 0
	}
	return m
}

// shift is what the plan costs more with the tasks of group in period to in
// place of t, and the rules it then breaks. Only what the shift touches is gone
// through again: both visits, the tasks, and what the vehicles share then.
func (e *explainer) shift(group map[string]bool, t, to int) (float64, []Fault) {
	a, at := e.audit, [2]int{t, to}
	hours, money, first := a.hours, a.money, maps.Clone(e.first)
	a.faults = nil
	before := e.touched(group, at, first)
	for _, u := range at { // touched has counted both visits once more
		a.hours[u], a.money[u] = 2*hours[u]-a.hours[u], 2*money[u]-a.money[u]
	}
	visits := a.done[e.v.ID]
	was := [2]map[string]bool{visits[t], visits[to]}
	e.carry(visits, group, t, to)
	after := e.touched(group, at, first)
	a.shared(min(t, to))
	a.shared(max(t, to))
	a.windows(e.v)
	a.order(e.v, first)
	visits[t], visits[to] = was[0], was[1]
	a.hours, a.money = hours, money
	sortFaults(a.faults)
	return after - before, a.faults
}

// touched is what the visits of two periods and some tasks cost as they stand.
func (e *explainer) touched(group map[string]bool, at [2]int, first map[string]int) float64 {
	a := e.audit
	a.cost = 0
	for _, u := range at {
		a.visit(e.v, u)
	}
	for id := range group {
		first[id] = a.task(e.v, &e.v.Tasks[e.index[id]])
	}
	return a.cost
}

// carry moves the tasks of group from period t to to; a visit that is left with
// nothing to do is given up.
func (e *explainer) carry(visits map[int]map[string]bool, group map[string]bool, t, to int) {
	from, into := maps.Clone(visits[t]), maps.Clone(visits[to])
	if into == nil {
		into = map[string]bool{}
	}
	for id := range group {
		delete(from, id)
		into[id] = true
	}
	if visits[t], visits[to] = from, into; len(from) == 0 && !e.p.mustHold(e.v, t) {
		visits[t] = nil
	}
}

// mustHold reports whether the owner fixed a visit of v in period t.
func (p *Problem) mustHold(v *Vehicle, t int) bool {
	return at(p.Calendar, t).Held || at(v.Calendar, t).Held
}
