package moves

import (
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Words says how the task moved.
func (c *Change) Words() message.Text {
	done, was, is := told.Long(c.DoneOn), told.MonthYear(c.Was), told.MonthYear(c.Is)
	switch {
	case done != "" && is == "":
		return message.Of("done on %s", done)
	case done != "":
		return message.Of("done on %s; next in %s", done, is)
	case was == "":
		return message.Of("new, in %s", is)
	case is == "":
		return message.Of("was in %s, now beyond this plan", was)
	case c.Missed:
		return message.Of("not done in %s as planned; now in %s", was, is)
	case c.Is.Before(c.Was):
		return message.Of("sooner: in %s, was %s", is, was)
	}
	return message.Of("later: in %s, was %s", is, was)
}

// Because says why the task moved: what was recorded that bears on it, or else
// why it stood where it did and why it stands where it does.
func (c *Change) Because() []message.Text {
	var out []message.Text
	for _, e := range c.Entries {
		out = append(out, message.Of("%s %s: %s", e.Type, told.Long(e.Date), say.LowerFirst(c.report.EntryWords(e))))
	}
	if len(out) > 0 {
		return out
	}
	then, now := orNothing(c.Then), orNothing(c.Now)
	if then == now {
		return nil
	}
	if then != "" {
		out = append(out, message.Of("then: %s", then))
	}
	if now != "" {
		out = append(out, message.Of("now: %s", now))
	}
	return out
}

func orNothing(r *why.Reason) message.Text {
	if r == nil {
		return ""
	}
	return r.Words()
}

// ChangesWords sums up in one sentence what some entries did to the plan.
func (b LastBatch) ChangesWords(changes []Change) message.Text {
	day, entries := told.Long(b.Recorded), told.Count(b.Entries, "entry", "entries")
	if len(changes) == 0 {
		return message.Of("What was recorded on %s (%s) moved nothing in the plan.", day, entries)
	}
	return message.Of("What was recorded on %s (%s) moved %s of the plan, or did them.", day, entries,
		told.Count(len(changes), "task", "tasks"))
}
