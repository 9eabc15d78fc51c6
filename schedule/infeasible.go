package schedule

import "fmt"

// Cause names why there can be no plan.
type Cause string

// The causes, with what an [Infeasible] then names beside Vehicle.
const (
	HeldWhileClosed Cause = "held-while-closed" // a visit is held in Period, which is closed
	TooLarge        Cause = "too-large"         // the task, with its openings, goes over Limit in any period
	// the task is first due by Period; no periods open to it keep its limits
	NeverInTime Cause = "never-in-time"
	DueTogether Cause = "due-together" // the tasks are all due in Period and go over Limit
	DueByThen   Cause = "due-by-then"  // all first due by Period goes over Limit of all periods up to it
	AllSearched Cause = "all-searched" // every way was searched; the furthest plan fails in Period (0: not known)
)

// Limit names what a limit is on.
type Limit string

// The limits.
const (
	HoursLimit Limit = "hours" // of a visit, or of a period where Vehicle is empty
	MoneyLimit Limit = "money" // of a period
)

// Infeasible says why there is no plan: a code and the arguments it names.
type Infeasible struct {
	Cause   Cause
	Vehicle string   // empty: several together
	Tasks   []string // the tasks that do not fit
	Windows []Window // the visits wanted that do not fit
	Period  int      // 0: all, or not known
	// Limit is what they go over, empty if it is none, with what is needed and
	// what there is.
	Limit       Limit
	Needs, Have float64
}

// Error lists code and arguments.
func (e *Infeasible) Error() string {
	s := "schedule: no plan: " + string(e.Cause)
	for _, w := range e.Windows {
		s += fmt.Sprintf(", a visit in periods %d to %d", w.From, w.To)
	}
	return s + arguments(e.Vehicle, e.Tasks, e.Period, 0, e.Needs, e.Have)
}

// diagnose looks for the plain reasons why there can be no plan: a task too
// big for any visit, or with no period open to it; tasks that must share a
// period and do not fit; all that is due up to a period against all there is.
func (c *component) diagnose(p *Problem) error {
	if why := c.shutOut(p); why != nil {
		return why
	}
	d := newDual(c)
	for i := range c.tasks {
		if d.walk(i) == inf {
			return c.stuck(p, i)
		}
	}
	for t := 1; t <= c.periods; t++ {
		var must []int32
		for i := range c.tasks {
			if d.fixed[t][i] > 0 {
				must = append(must, int32(i))
			}
		}
		if why := c.overfull(p, t, must); why != nil {
			return why
		}
	}
	for t := 1; t <= c.periods; t++ {
		if why := c.overdue(p, t); why != nil {
			return why
		}
	}
	return nil
}

// shutOut reports a visit that is held in a closed period: one of the two stands
// in the calendar of all vehicles, the other in that of the vehicle.
func (c *component) shutOut(p *Problem) error {
	for t := 1; t <= c.periods; t++ {
		for _, v := range c.vehicles {
			if id := p.Vehicles[v].ID; p.held(v, t) && p.closed(v, t) {
				return &Infeasible{Cause: HeldWhileClosed, Vehicle: id, Period: t}
			}
		}
	}
	return nil
}

// concern names what does not fit.
func (e *Infeasible) concern(c *component, p *Problem, tasks []int32) {
	for _, i := range tasks {
		if r := c.tasks[i]; r.task < 0 {
			e.Windows = append(e.Windows, r.window)
		} else {
			e.Tasks = append(e.Tasks, p.Vehicles[r.vehicle].Tasks[r.task].ID)
		}
	}
}

// over is what tasks need too much of resource r.
func (c *component) over(p *Problem, cause Cause, t int, tasks []int32, r int, need, have float64) *Infeasible {
	e := &Infeasible{Cause: cause, Period: t, Needs: need, Have: have, Limit: HoursLimit}
	e.concern(c, p, tasks)
	if c.limits[r].money {
		e.Limit = MoneyLimit
	}
	if v := c.limits[r].vehicle; v >= 0 {
		e.Vehicle = p.Vehicles[v].ID
	}
	return e
}

// stuck explains why task i cannot be done in time whatever else is left out.
func (c *component) stuck(p *Problem, i int) error {
	for r := range c.limits {
		have, at := 0.0, 0
		for t := 1; t <= c.periods; t++ {
			if c.capacity[t-1][r] > have {
				have, at = c.capacity[t-1][r], t
			}
		}
		if need := c.aloneUse(i, r); at > 0 && need > have+slackTol {
			return c.over(p, TooLarge, 0, []int32{int32(i)}, r, need, have)
		}
	}
	e := &Infeasible{Cause: NeverInTime, Vehicle: p.Vehicles[c.tasks[i].vehicle].ID, Period: c.due(p, i)}
	e.concern(c, p, []int32{int32(i)})
	return e
}

// due is the last period in which task i may be done first, calendars and
// limits aside; 0 if it need not be done.
func (c *component) due(p *Problem, i int) int {
	r := c.tasks[i]
	k := Task{Once: true, Earliest: r.window.From, Latest: r.window.To}
	if r.task >= 0 {
		k = p.Vehicles[r.vehicle].Tasks[r.task]
	}
	if k.endCost(0, c.periods) < inf {
		return 0
	}
	for t := c.periods; t > 0; t-- {
		if k.arcCost(0, t) < inf {
			return t
		}
	}
	return 0
}

// together is what tasks, their openings and what is held take of resource r
// in period t (0: nothing held).
func (c *component) together(t int, tasks []int32, r int) float64 {
	on := make([]bool, len(c.use))
	if t > 0 {
		for _, o := range c.held[t-1] {
			on[o] = true
		}
	}
	for _, i := range tasks {
		on[len(c.opens)+int(i)] = true
		for _, o := range c.closure[i] {
			on[o] = true
		}
		for _, j := range c.implies[i] {
			on[len(c.opens)+int(j)] = true
		}
	}
	sum := 0.0
	for n, is := range on {
		if is {
			sum += c.use[n][r]
		}
	}
	return sum
}

// overfull reports tasks that must all stand in period t and do not fit, as
// few as will not.
func (c *component) overfull(p *Problem, t int, must []int32) error {
	for r := range c.limits {
		have := c.capacity[t-1][r]
		if c.together(t, must, r) <= have+slackTol {
			continue
		}
		for q := 0; q < len(must); {
			less := append(append([]int32(nil), must[:q]...), must[q+1:]...)
			if c.together(t, less, r) > have+slackTol {
				must = less
			} else {
				q++
			}
		}
		return c.over(p, DueTogether, t, must, r, c.together(t, must, r), have)
	}
	return nil
}

// overdue compares all that is first due up to period t, openings once, with
// all the room up to then.
func (c *component) overdue(p *Problem, t int) error {
	var due []int32
	for i := range c.tasks {
		if _, late := c.firstWindow(i); late <= t {
			due = append(due, int32(i))
		}
	}
	for r := range c.limits {
		have := 0.0
		for u := 1; u <= t; u++ {
			have += c.capacity[u-1][r]
		}
		if need := c.together(0, due, r); need > have+slackTol {
			return c.over(p, DueByThen, t, due, r, need, have)
		}
	}
	return nil
}

// exhausted reports that the complete search found no plan.
func (c *component) exhausted(p *Problem) error {
	e := &Infeasible{Cause: AllSearched}
	if len(c.vehicles) == 1 {
		e.Vehicle = p.Vehicles[c.vehicles[0]].ID
	}
	if c.reached > 0 && c.reached < c.periods {
		e.Period = c.reached + 1
	}
	return e
}
