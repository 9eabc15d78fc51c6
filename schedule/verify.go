package schedule

import "math"

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
// Check. The cost means little if there are faults.
func Verify(p *Problem, plan []Doing) (cost float64, faults []Fault) {
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
	sortFaults(a.faults)
	return a
}

type audit struct {
	p            *Problem
	done         map[string]map[int]map[string]bool // vehicle, period, task
	cost         float64
	hours, money [121]float64 // all vehicles
	faults       []Fault
}

func (a *audit) fault(f Fault) { a.faults = append(a.faults, f) }

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
			a.fault(Fault{Rule: UnknownVisit, Vehicle: d.Vehicle, Period: d.Period})
			continue
		}
		at := a.done[d.Vehicle][d.Period]
		if at == nil {
			at = map[string]bool{}
			a.done[d.Vehicle][d.Period] = at
		}
		for _, id := range d.Tasks {
			if !tasks[d.Vehicle][id] {
				a.fault(Fault{Rule: UnknownTask, Vehicle: d.Vehicle, Task: id, Period: d.Period})
			} else if at[id] {
				a.fault(Fault{Rule: TwiceInPeriod, Vehicle: d.Vehicle, Task: id, Period: d.Period})
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
			a.fault(Fault{Rule: NoVisit, Vehicle: v.ID, Period: w.From, To: w.To})
		}
	}
}

// order checks who comes first, by the period each task is first done in.
func (a *audit) order(v *Vehicle, first map[string]int) {
	for i := range v.Tasks {
		k := &v.Tasks[i]
		for _, other := range k.After {
			if f := first[k.ID]; f > 0 && (first[other] == 0 || first[other] > f) {
				a.fault(Fault{Rule: BeforeOther, Vehicle: v.ID, Task: k.ID, Other: other, Period: f})
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
			a.fault(Fault{Rule: NoVisit, Vehicle: v.ID, Period: t})
		}
		return
	}
	if cal.Closed || all.Closed {
		a.fault(Fault{Rule: ClosedPeriod, Vehicle: v.ID, Period: t})
	}
	hours, money := a.work(v, t, done)
	limit := v.Hours
	if cal.Hours > 0 {
		limit = cal.Hours
	}
	if limit > 0 && hours > limit+1e-6 {
		a.fault(Fault{Rule: HoursExceeded, Vehicle: v.ID, Period: t, Needs: hours, Have: limit})
	}
	if cal.Money > 0 && money > cal.Money+1e-6 {
		a.fault(Fault{Rule: MoneyExceeded, Vehicle: v.ID, Period: t, Needs: money, Have: cal.Money})
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
				a.fault(Fault{Rule: WithoutTied, Vehicle: v.ID, Task: k.ID, Other: w, Period: t})
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
			a.charge(k.AgeCost[min(age, len(k.AgeCost)-1)], v, k, t)
		}
		if len(k.PeriodCost) > 0 {
			a.charge(k.PeriodCost[t-1], v, k, t)
		}
		if k.Every > 0 && age > k.Every && !(last == 0 && t == 1) {
			a.fault(Fault{Rule: TooOld, Vehicle: v.ID, Task: k.ID, Period: t, Needs: float64(age),
				Have: float64(k.Every)})
		}
		age, last = 0, t
	}
	age += a.p.Periods - last
	if k.Once {
		a.once(v, k, times)
	} else if k.Every > 0 && age >= k.Every {
		a.fault(Fault{Rule: LeftDue, Vehicle: v.ID, Task: k.ID, Period: last})
	}
	if len(k.EndCost) > 0 && !(k.Once && last > 0) {
		a.charge(k.EndCost[min(age, len(k.EndCost)-1)], v, k, a.p.Periods)
	}
	if len(times) == 0 {
		return 0
	}
	return times[0]
}

func (a *audit) once(v *Vehicle, k *Task, times []int) {
	if len(times) > 1 {
		a.fault(Fault{Rule: MoreThanOnce, Vehicle: v.ID, Task: k.ID, Period: times[1]})
	}
	for _, t := range times {
		if t < k.Earliest || (k.Latest > 0 && t > k.Latest) {
			a.fault(Fault{Rule: OutsideWindow, Vehicle: v.ID, Task: k.ID, Period: t})
		}
	}
	if len(times) == 0 && k.Latest > 0 && k.Latest <= a.p.Periods {
		a.fault(Fault{Rule: NotByLatest, Vehicle: v.ID, Task: k.ID, Period: k.Latest})
	}
}

func (a *audit) charge(x float64, v *Vehicle, k *Task, t int) {
	if math.IsInf(x, 1) {
		a.fault(Fault{Rule: Forbidden, Vehicle: v.ID, Task: k.ID, Period: t})
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
		a.fault(Fault{Rule: HoursExceeded, Period: t, Needs: a.hours[t], Have: hours})
	}
	if money > 0 && a.money[t] > money+1e-6 {
		a.fault(Fault{Rule: MoneyExceeded, Period: t, Needs: a.money[t], Have: money})
	}
}
