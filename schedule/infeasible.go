package schedule

import (
	"fmt"
	"strings"
)

// Infeasible says why there is no plan, in terms a person can act on.
type Infeasible struct {
	Vehicle string   // empty: all together
	Tasks   []string // the tasks that do not fit
	Period  int      // the period (or last period) concerned, 0: all
	// Limit is "h" or "money" where a limit is what they break, with what is
	// needed and what there is.
	Limit       string
	Needs, Have float64
	Reason      string // a sentence
}

func (e *Infeasible) Error() string { return "no plan: " + e.Reason }

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
				return &Infeasible{Vehicle: id, Period: t, Reason: fmt.Sprintf("%s has a visit held in period %d, which is closed", id, t)}
			}
		}
	}
	return nil
}

func (c *component) taskName(p *Problem, i int) string {
	r := c.tasks[i]
	if r.task < 0 {
		return fmt.Sprintf("the visit wanted in periods %d to %d", r.window.From, r.window.To)
	}
	return p.Vehicles[r.vehicle].Tasks[r.task].ID
}

// amount words a quantity of resource r.
func (c *component) amount(r int, x float64) string {
	if c.limits[r].money {
		return fmt.Sprintf("%.2f", x)
	}
	return fmt.Sprintf("%.4g h", x)
}

func (c *component) infeasible(p *Problem, t int, tasks []int32, r int, need, have float64) *Infeasible {
	e := &Infeasible{Period: t, Needs: need, Have: have, Limit: "h"}
	for _, i := range tasks {
		e.Tasks = append(e.Tasks, c.taskName(p, int(i)))
	}
	if c.limits[r].money {
		e.Limit = "money"
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
			e := c.infeasible(p, 0, []int32{int32(i)}, r, need, have)
			holder := "a visit has"
			if c.limits[r].vehicle < 0 || c.limits[r].money {
				holder = "a period has"
			}
			e.Reason = fmt.Sprintf("%s with its openings needs %s, %s %s", e.Tasks[0], c.amount(r, need), holder, c.amount(r, have))
			return e
		}
	}
	due := c.due(p, i)
	e := &Infeasible{Vehicle: p.Vehicles[c.tasks[i].vehicle].ID, Tasks: []string{c.taskName(p, i)}, Period: due}
	e.Reason = fmt.Sprintf("%s is first due by period %d, and no run of periods that are open to it and long enough keeps its limits", e.Tasks[0], due)
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
		need := c.together(t, must, r)
		e := c.infeasible(p, t, must, r, need, have)
		e.Reason = fmt.Sprintf("%s due in period %d and together need %s of %s", andAll(e.Tasks), t, c.amount(r, need), c.amount(r, have))
		return e
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
			e := c.infeasible(p, t, due, r, need, have)
			e.Reason = fmt.Sprintf("%s due by period %d and need at least %s of %s", andAll(e.Tasks), t, c.amount(r, need), c.amount(r, have))
			return e
		}
	}
	return nil
}

// andAll joins names for a sentence, with the verb.
func andAll(names []string) string {
	switch len(names) {
	case 0:
		return "what is held is"
	case 1:
		return names[0] + " is"
	case 2:
		return names[0] + " and " + names[1] + " are both"
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1] + " are all"
}

// exhausted reports that the complete search found no plan.
func (c *component) exhausted(p *Problem) error {
	e := &Infeasible{}
	var names []string
	for _, v := range c.vehicles {
		names = append(names, p.Vehicles[v].ID)
	}
	if len(names) == 1 {
		e.Vehicle = names[0]
	}
	e.Reason = fmt.Sprintf("all ways of placing the tasks of %s were searched and none keeps every limit; more room in one period, or a later limit for one task, is needed", strings.Join(names, ", "))
	if c.reached > 0 && c.reached < c.periods {
		e.Period = c.reached + 1
		e.Reason += fmt.Sprintf("; the furthest plan fails in period %d", e.Period)
	}
	return e
}
