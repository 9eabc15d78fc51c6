package moves

import (
	"fmt"

	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/say"
)

// Words says how the task moved.
func (c *Change) Words() string {
	switch {
	case !c.DoneOn.IsZero() && c.Is.IsZero():
		return fmt.Sprintf("done on %s", c.DoneOn.Long())
	case !c.DoneOn.IsZero():
		return fmt.Sprintf("done on %s; next in %s", c.DoneOn.Long(), c.Is.MonthYear())
	case c.Was.IsZero():
		return fmt.Sprintf("new, in %s", c.Is.MonthYear())
	case c.Is.IsZero():
		return fmt.Sprintf("was in %s, now beyond this plan", c.Was.MonthYear())
	case c.Missed:
		return fmt.Sprintf("not done in %s as planned; now in %s", c.Was.MonthYear(), c.Is.MonthYear())
	case c.Is.Before(c.Was):
		return fmt.Sprintf("sooner: in %s, was %s", c.Is.MonthYear(), c.Was.MonthYear())
	}
	return fmt.Sprintf("later: in %s, was %s", c.Is.MonthYear(), c.Was.MonthYear())
}

// Because says why the task moved: what was recorded that bears on it, or else
// why it stood where it did and why it stands where it does.
func (c *Change) Because() []string {
	var out []string
	for _, e := range c.Entries {
		out = append(out, fmt.Sprintf("%s %s: %s", e.Type, e.Date.Long(), say.LowerFirst(c.report.EntryWords(e))))
	}
	if len(out) > 0 {
		return out
	}
	then, now := orNothing(c.Then), orNothing(c.Now)
	if then == now {
		return nil
	}
	if then != "" {
		out = append(out, "then: "+then)
	}
	if now != "" {
		out = append(out, "now: "+now)
	}
	return out
}

func orNothing(r *why.Reason) string {
	if r == nil {
		return ""
	}
	return r.Words()
}

// ChangesWords sums up in one sentence what some entries did to the plan.
func (b LastBatch) ChangesWords(changes []Change) string {
	what := fmt.Sprintf("What was recorded on %s (%s)", b.Recorded.Long(), say.Count(b.Entries, "entry", "entries"))
	if len(changes) == 0 {
		return what + " moved nothing in the plan."
	}
	return fmt.Sprintf("%s moved %s of the plan, or did them.", what, say.Count(len(changes), "task", "tasks"))
}
