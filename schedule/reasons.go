package schedule

import (
	"fmt"
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
	// AlonePeriod is where this doing would best stand, given the one before,
	// if the task had to pay a visit and all its openings by itself every
	// time; AloneCost what that one doing would cost so. HereCost is what it
	// costs here: its own cost and what no other task of the visit pays for.
	AlonePeriod         int
	AloneCost, HereCost float64
	// Shared lists the openings it uses with others at this visit.
	Shared []SharedOpening
	// Earlier and Later: the same doing at the neighbouring visit of the plan
	// (a neighbouring period where there is none), all else left as it is.
	Earlier, Later Move
}

// SharedOpening is an opening (ID empty: the visit itself) used with others.
type SharedOpening struct {
	ID   string
	Cost float64
	With []string
}

// Move is a change of one doing. Change is the added cost (below 0: cheaper,
// possible only in a plan not proven best); if it cannot be moved, Possible is
// false and Why says what stands against it.
type Move struct {
	Period   int
	Change   float64
	Possible bool
	Why      string
}

// Explain gives the reasons of a plan, in order of period, then as in the
// problem. It refuses a plan that breaks rules.
func Explain(p *Problem, plan []Doing) ([]Reason, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	if _, faults := Verify(p, plan); len(faults) > 0 {
		return nil, fmt.Errorf("schedule: the plan breaks rules: %s", faults[0])
	}
	base, _ := Verify(p, plan)
	var out []Reason
	for v := range p.Vehicles {
		c := compile(p, []int{v}, false)
		e := &explainer{p: p, v: &p.Vehicles[v], c: c, plan: plan, base: base}
		out = append(out, e.all()...)
	}
	slices.SortStableFunc(out, func(a, b Reason) int { return a.Period - b.Period })
	return out, nil
}

// explainer explains one vehicle.
type explainer struct {
	p    *Problem
	v    *Vehicle
	c    *component
	plan []Doing
	base float64
	at   [][]int32 // period-1 -> tasks
	held []bool    // period-1: there is a visit
}

func (e *explainer) all() []Reason {
	idx := taskIndex(e.v)
	e.at, e.held = make([][]int32, e.p.Periods), make([]bool, e.p.Periods)
	for _, d := range e.plan {
		if d.Vehicle != e.v.ID {
			continue
		}
		e.held[d.Period-1] = true
		for _, id := range d.Tasks {
			e.at[d.Period-1] = append(e.at[d.Period-1], int32(idx[id]))
		}
	}
	last := make([]int, len(e.v.Tasks))
	alone := e.aloneTables()
	var out []Reason
	for t := 1; t <= e.p.Periods; t++ {
		slices.Sort(e.at[t-1])
		for _, i := range e.at[t-1] {
			r := e.one(int(i), t, last[i], alone)
			out = append(out, r)
		}
		for _, i := range e.at[t-1] {
			last[i] = t
		}
	}
	return out
}

// aloneTables are the least costs of each task paying everything itself.
func (e *explainer) aloneTables() *dual {
	d := newDual(e.c)
	for i := range e.c.tasks {
		whole := 0.0
		for _, k := range e.c.closure[i] {
			whole += e.c.cost[k]
		}
		for t := 1; t <= e.p.Periods; t++ {
			d.price[i][t] = whole
		}
		d.walk(i)
	}
	return d
}

func (e *explainer) one(i, t, last int, alone *dual) Reason {
	k := &e.v.Tasks[i]
	r := Reason{Vehicle: e.v.ID, Task: k.ID, Kind: k.Kind, Period: t, Age: t - last}
	if last == 0 {
		r.Age += k.Age
	}
	r.AlonePeriod, r.AloneCost = e.alone(i, last, alone)
	r.HereCost = k.arcCost(last, t)
	for _, o := range e.c.closure[i] {
		var with []string
		for _, j := range e.at[t-1] {
			if int(j) != i && contains(e.c.closure[j], o) {
				with = append(with, e.v.Tasks[j].ID)
			}
		}
		if len(with) == 0 {
			r.HereCost += e.c.cost[o]
			continue
		}
		s := SharedOpening{Cost: e.c.cost[o], With: with}
		if q := e.c.opens[o].opening; q >= 0 {
			s.ID = e.v.Openings[q].ID
		}
		r.Shared = append(r.Shared, s)
	}
	r.Earlier, r.Later = e.move(i, t, -1), e.move(i, t, 1)
	return r
}

// alone is the best next period after last for the task by itself, and what
// that doing costs; 0 if alone it would not be done again.
func (e *explainer) alone(i, last int, d *dual) (int, float64) {
	n, w := e.p.Periods, e.p.Periods+2
	best, at := e.c.at(i, last, n+1), 0
	for t := n; t > last; t-- {
		if v := e.c.at(i, last, t) + d.price[i][t] + d.best[i][t*w+t+1]; v <= best && v < inf {
			best, at = v, t
		}
	}
	if at == 0 {
		return 0, 0
	}
	return at, e.c.at(i, last, at) + d.price[i][at]
}

// move shifts the doing of task i in period t to the next visit in the given
// direction, tasks tied to it both ways with it.
func (e *explainer) move(i, t, dir int) Move {
	to := t + dir
	for u := to; u >= 1 && u <= e.p.Periods; u += dir {
		if e.held[u-1] {
			to = u
			break
		}
	}
	m := Move{Period: to}
	if to < 1 || to > e.p.Periods {
		m.Period, m.Why = 0, "the plan ends there"
		return m
	}
	group := map[string]bool{e.v.Tasks[i].ID: true}
	for _, j := range e.c.implies[i] {
		if contains(e.c.implies[j], int32(i)) {
			group[e.v.Tasks[j].ID] = true
		}
	}
	cost, faults := Verify(e.p, e.shifted(group, t, to))
	if len(faults) > 0 {
		m.Why = faults[0]
		return m
	}
	m.Possible, m.Change = true, cost-e.base
	if math.Abs(m.Change) < 1e-9 {
		m.Change = 0
	}
	return m
}

// shifted is the plan with the tasks of group moved from period t to to.
func (e *explainer) shifted(group map[string]bool, t, to int) []Doing {
	var out []Doing
	added := Doing{Vehicle: e.v.ID, Period: to}
	for _, d := range e.plan {
		if d.Vehicle == e.v.ID && d.Period == to {
			added.Tasks = append(added.Tasks, d.Tasks...)
			continue
		}
		if d.Vehicle == e.v.ID && d.Period == t {
			left := slices.DeleteFunc(slices.Clone(d.Tasks), func(id string) bool { return group[id] })
			if len(left) == 0 && len(d.Tasks) > 0 && !e.p.mustHold(e.v, t) {
				continue
			}
			d.Tasks = left
		}
		out = append(out, d)
	}
	for _, k := range e.v.Tasks {
		if group[k.ID] && !slices.Contains(added.Tasks, k.ID) {
			added.Tasks = append(added.Tasks, k.ID)
		}
	}
	return append(out, added)
}

// mustHold reports whether the owner fixed a visit of v in period t.
func (p *Problem) mustHold(v *Vehicle, t int) bool {
	return at(p.Calendar, t).Held || at(v.Calendar, t).Held
}
