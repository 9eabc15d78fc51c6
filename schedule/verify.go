package schedule

import (
	"fmt"
	"math"
	"sort"
)

// Doing is the part of a visit that has to be chosen: which tasks of which
// vehicle in which period. Openings follow from the tasks. A visit without
// tasks is a visit held for its own sake.
type Doing struct {
	Vehicle string
	Period  int
	Tasks   []string
}

// Verify works out what a plan costs and every rule it breaks, from the
// problem alone, sharing nothing with the search. The problem must have passed
// Check. Faults are sentences for people; the cost means little if there are
// any.
func Verify(p *Problem, plan []Doing) (cost float64, faults []string) {
	a := newAudit(p, plan)
	return a.cost, a.faults
}

func newAudit(p *Problem, plan []Doing) *audit {
	a := &audit{p: p, done: map[string]map[int]map[string]bool{}}
	a.read(plan)
	for v := range p.Vehicles {
		a.vehicle(&p.Vehicles[v])
	}
	for t := 1; t <= p.Periods; t++ {
		a.shared(t)
	}
	sort.Strings(a.faults)
	return a
}

type audit struct {
	p            *Problem
	done         map[string]map[int]map[string]bool // vehicle, period, task
	cost         float64
	hours, money [121]float64 // all vehicles
	faults       []string
}

func (a *audit) fault(format string, args ...any) {
	a.faults = append(a.faults, fmt.Sprintf(format, args...))
}

// read sorts the plan by vehicle and period.
func (a *audit) read(plan []Doing) {
	tasks := map[string]map[string]bool{}
	for _, v := range a.p.Vehicles {
		a.done[v.ID], tasks[v.ID] = map[int]map[string]bool{}, map[string]bool{}
		for _, k := range v.Tasks {
			tasks[v.ID][k.ID] = true
		}
	}
	for _, d := range plan {
		if a.done[d.Vehicle] == nil || d.Period < 1 || d.Period > a.p.Periods {
			a.fault("no vehicle %q or no period %d", d.Vehicle, d.Period)
			continue
		}
		at := a.done[d.Vehicle][d.Period]
		if at == nil {
			at = map[string]bool{}
			a.done[d.Vehicle][d.Period] = at
		}
		for _, id := range d.Tasks {
			if !tasks[d.Vehicle][id] {
				a.fault("%s has no task %s", d.Vehicle, id)
			} else if at[id] {
				a.fault("%s stands twice in period %d", id, d.Period)
			}
			at[id] = true
		}
	}
}

func (a *audit) vehicle(v *Vehicle) {
	for t := 1; t <= a.p.Periods; t++ {
		a.visit(v, t)
	}
	first := map[string]int{}
	for i := range v.Tasks {
		first[v.Tasks[i].ID] = a.task(v, &v.Tasks[i])
	}
	a.windows(v)
	a.order(v, first)
}

// windows checks that a visit falls into each.
func (a *audit) windows(v *Vehicle) {
	for _, w := range v.Windows {
		held := false
		for t := w.From; t <= w.To; t++ {
			held = held || a.done[v.ID][t] != nil
		}
		if !held {
			a.fault("%s has no visit in periods %d to %d", v.ID, w.From, w.To)
		}
	}
}

// order checks who comes first, by the period each task is first done in.
func (a *audit) order(v *Vehicle, first map[string]int) {
	for i := range v.Tasks {
		k := &v.Tasks[i]
		for _, other := range k.After {
			if f := first[k.ID]; f > 0 && (first[other] == 0 || first[other] > f) {
				a.fault("%s is done in period %d before %s", k.ID, f, other)
			}
		}
	}
}

// visit checks and charges one visit of one vehicle.
func (a *audit) visit(v *Vehicle, t int) {
	cal, all := Period{}, Period{}
	if len(v.Calendar) > 0 {
		cal = v.Calendar[t-1]
	}
	if len(a.p.Calendar) > 0 {
		all = a.p.Calendar[t-1]
	}
	done := a.done[v.ID][t]
	if done == nil {
		if cal.Held || all.Held {
			a.fault("%s has no visit in period %d", v.ID, t)
		}
		return
	}
	if cal.Closed || all.Closed {
		a.fault("%s has a visit in period %d, which is closed", v.ID, t)
	}
	hours, money := a.work(v, t, done)
	limit := v.Hours
	if cal.Hours > 0 {
		limit = cal.Hours
	}
	if limit > 0 && hours > limit+1e-6 {
		a.fault("%s needs %.4g h in period %d, a visit has %.4g h", v.ID, hours, t, limit)
	}
	if cal.Money > 0 && money > cal.Money+1e-6 {
		a.fault("%s costs %.2f in period %d, there are %.2f", v.ID, money, t, cal.Money)
	}
	a.cost += money
	a.hours[t] += hours
	a.money[t] += money
}

// work is the hours and money of one visit with all it opens.
func (a *audit) work(v *Vehicle, t int, done map[string]bool) (hours, money float64) {
	money = v.VisitCost
	opened := map[string]bool{}
	var open func(id string)
	open = func(id string) {
		if opened[id] {
			return
		}
		opened[id] = true
		for _, o := range v.Openings {
			if o.ID == id {
				hours += o.Hours
				money += o.Cost
				for _, q := range o.Needs {
					open(q)
				}
			}
		}
	}
	for _, k := range v.Tasks {
		if !done[k.ID] {
			continue
		}
		hours += k.Hours
		money += k.Cost
		for _, o := range k.Openings {
			open(o)
		}
		for _, w := range k.With {
			if !done[w] {
				a.fault("%s is done in period %d without %s", k.ID, t, w)
			}
		}
	}
	return hours, money
}

// task checks the times of one task, charges what depends on them, and returns
// the first period it is done in (0: none).
func (a *audit) task(v *Vehicle, k *Task) int {
	var times []int
	for t := 1; t <= a.p.Periods; t++ {
		if a.done[v.ID][t][k.ID] {
			times = append(times, t)
		}
	}
	age, last := k.Age, 0
	for _, t := range times {
		age += t - last
		if len(k.AgeCost) > 0 {
			a.charge(k.AgeCost[min(age, len(k.AgeCost)-1)], k.ID, t)
		}
		if len(k.PeriodCost) > 0 {
			a.charge(k.PeriodCost[t-1], k.ID, t)
		}
		if k.Every > 0 && age > k.Every && !(last == 0 && t == 1) {
			a.fault("%s is done in period %d at age %d, at most %d", k.ID, t, age, k.Every)
		}
		age, last = 0, t
	}
	age += a.p.Periods - last
	if k.Once {
		a.once(k, times)
	} else if k.Every > 0 && age >= k.Every {
		a.fault("%s is due in the plan and not done after period %d", k.ID, last)
	}
	if len(k.EndCost) > 0 && !(k.Once && last > 0) {
		a.charge(k.EndCost[min(age, len(k.EndCost)-1)], k.ID, a.p.Periods)
	}
	if len(times) == 0 {
		return 0
	}
	return times[0]
}

func (a *audit) once(k *Task, times []int) {
	if len(times) > 1 {
		a.fault("%s is done %d times, once at most", k.ID, len(times))
	}
	for _, t := range times {
		if t < k.Earliest || (k.Latest > 0 && t > k.Latest) {
			a.fault("%s is done in period %d, outside %d to %d", k.ID, t, k.Earliest, k.Latest)
		}
	}
	if len(times) == 0 && k.Latest > 0 && k.Latest <= a.p.Periods {
		a.fault("%s is not done by period %d", k.ID, k.Latest)
	}
}

func (a *audit) charge(x float64, id string, t int) {
	if math.IsInf(x, 1) {
		a.fault("%s is not allowed in period %d", id, t)
		return
	}
	a.cost += x
}

// shared checks the limits for all vehicles together.
func (a *audit) shared(t int) {
	hours, money := a.p.Hours, a.p.Money
	if len(a.p.Calendar) > 0 {
		if h := a.p.Calendar[t-1].Hours; h > 0 {
			hours = h
		}
		if m := a.p.Calendar[t-1].Money; m > 0 {
			money = m
		}
	}
	if hours > 0 && a.hours[t] > hours+1e-6 {
		a.fault("period %d needs %.4g h, there are %.4g h", t, a.hours[t], hours)
	}
	if money > 0 && a.money[t] > money+1e-6 {
		a.fault("period %d costs %.2f, there are %.2f", t, a.money[t], money)
	}
}
