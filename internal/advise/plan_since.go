package advise

import (
	"fmt"
	"slices"

	"undertray/civil"
	"undertray/internal/fleet"
)

// PlanChange is a task whose place in the plan has moved since an earlier day.
type PlanChange struct {
	Position *fleet.Position
	// Was and Is are the days of its first doing in the two plans; zero: not
	// planned.
	Was, Is civil.Date
	DoneOn  civil.Date // fitted since; zero: not
	Why     []string   // what was recorded since that bears on it
}

// samePlace is how many days a first doing may shift and still count as
// unmoved.
const samePlace = 20

// PlanSince compares the plan with that of an earlier day, worked out from
// what is recorded up to that day, and returns what moved, in the order of the
// new plan's days.
func (r *Report) PlanSince(day civil.Date, opt PlanOptions) ([]PlanChange, error) {
	if !day.Before(r.On) {
		return nil, planFault("--since", fmt.Sprintf("%s is not earlier than %s", day.Long(), r.On.Long()), "name an earlier day")
	}
	now, err := r.Plan(opt)
	if err != nil {
		return nil, err
	}
	then, err := r.again(r.Vehicle, day).Plan(opt)
	if err != nil {
		return nil, err
	}
	was, is := then.firstDays(), now.firstDays()
	var out []PlanChange
	for i := range r.Vehicle.Positions {
		p := &r.Vehicle.Positions[i]
		c := PlanChange{Position: p, Was: was[p.ID], Is: is[p.ID]}
		c.DoneOn, c.Why = r.since(p.ID, day)
		if c.moved() && !(c.Was.IsZero() && c.Is.After(then.End)) && !(c.Is.IsZero() && c.Was.After(now.End)) {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b PlanChange) int { return a.sortDay().Compare(b.sortDay()) })
	return out, nil
}

func (c *PlanChange) moved() bool {
	if c.Was.IsZero() || c.Is.IsZero() {
		return c.Was != c.Is
	}
	d := c.Is.Sub(c.Was)
	return d > samePlace || d < -samePlace
}

func (c *PlanChange) sortDay() civil.Date {
	if c.Is.IsZero() {
		return c.Was
	}
	return c.Is
}

// firstDays returns, by position, the day its part is first changed.
func (p *Plan) firstDays() map[string]civil.Date {
	out := map[string]civil.Date{}
	note := func(t PlanTask, day civil.Date) {
		if t.Do != fleet.DoReplace {
			return
		}
		id := t.Positions[0].ID
		if first, ok := out[id]; !ok || day.Before(first) {
			out[id] = day
		}
	}
	for _, v := range p.Visits {
		for _, t := range v.Tasks {
			note(t, v.Date)
		}
	}
	for _, s := range p.Small {
		note(s.Task, s.By)
	}
	return out
}

// since returns when a part was fitted at a position after a day, and what
// else was recorded of it.
func (r *Report) since(position string, day civil.Date) (done civil.Date, why []string) {
	for _, e := range r.State.Record {
		if !e.Date.After(day) || !about(e, position) {
			continue
		}
		if e.Fitted != nil && e.Fitted.Known == fleet.Recorded {
			done = e.Date
		}
		s := fmt.Sprintf("%s %s: %s", e.Type, e.Date.Long(), LowerFirst(r.entryWords(e)))
		if e.Found != nil {
			j := r.Judgement(position)
			if j == nil || j.Place.Latest[e.Found.Check] == nil || j.Place.Latest[e.Found.Check].Entry != e.ID || !r.speaks(position, e.ID) {
				continue // said again since, or bears on nothing
			}
		}
		why = append(why, s)
	}
	return done, why
}

// speaks reports whether a finding asks for something.
func (r *Report) speaks(position, entry string) bool {
	for _, reason := range r.Judgement(position).Reasons {
		if reason.Finding != nil && reason.Finding.Entry == entry && reason.Verdict >= fleet.Watch {
			return true
		}
	}
	return false
}

// Words says how the task moved.
func (c *PlanChange) Words() string {
	switch {
	case !c.DoneOn.IsZero() && c.Is.IsZero():
		return fmt.Sprintf("done on %s", c.DoneOn.Long())
	case !c.DoneOn.IsZero():
		return fmt.Sprintf("done on %s; next in %s", c.DoneOn.Long(), c.Is.MonthYear())
	case c.Was.IsZero():
		return fmt.Sprintf("new, in %s", c.Is.MonthYear())
	case c.Is.IsZero():
		return fmt.Sprintf("was in %s, now beyond this plan", c.Was.MonthYear())
	case c.Is.Before(c.Was):
		return fmt.Sprintf("sooner: in %s, was %s", c.Is.MonthYear(), c.Was.MonthYear())
	}
	return fmt.Sprintf("later: in %s, was %s", c.Is.MonthYear(), c.Was.MonthYear())
}
