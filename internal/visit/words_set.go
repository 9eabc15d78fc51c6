package visit

import (
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Words names a set and what is in it: "Timing set: timing belt, tensioner and
// idler".
func (s *SetOf) Words() message.Text {
	names := make([]message.Text, len(s.Of))
	for i, j := range s.Of {
		names[i] = message.Name(say.LowerFirst(j.Position.Name))
	}
	return message.Of("%s: %s", s.Name, told.Listing(names))
}

// Title names what a task is about: its position, or its set.
func (t *Task) Title() message.Text {
	if t.set != nil {
		return t.set.Words()
	}
	return message.Name(t.Judgement.Position.Name)
}

// Alike returns the lines of a job, those of which the same is said as one.
func (j *Job) Alike() [][]Task {
	return Alike(j.Lines(), func(t *Task) string {
		if t.set != nil {
			return ""
		}
		return t.DoWords().String() + "\n" + t.Why().String()
	})
}

// Titles names what some tasks are about.
func Titles(tasks []Task) message.Text {
	return told.Titles(tasks, func(t Task) message.Text { return t.Title() })
}

// Does says what is done about all of some tasks alike.
func Does(tasks []Task) message.Text {
	if len(tasks) > 1 && tasks[0].Do == fleet.DoInspect {
		return "look at them"
	}
	return tasks[0].DoWords()
}

// Positions are the ids of what a line is for: one, or those of a set.
func (l *PartLine) Positions() []string {
	if len(l.Of) == 0 {
		return []string{l.Position.ID}
	}
	var out []string
	for i := range l.Of {
		out = append(out, l.Of[i].Position.ID)
	}
	return out
}

// What names a part to buy. That of a set names what belongs to it, and of
// which of them the price is not known.
func (l *PartLine) What() message.Text {
	if len(l.Of) == 0 {
		return message.Name(l.Spec.Name)
	}
	var names, unpriced []message.Text
	for _, p := range l.Of {
		name := message.Name(say.LowerFirst(p.Spec.Name))
		if l.Spec.Cost != nil && p.Spec.Cost == nil && l.Bought == nil {
			unpriced = append(unpriced, name)
		}
		if q := p.Spec.Quantity; q != "" && q != "1" {
			name = message.Of("%s × %s", q, name)
		}
		if p.Spec.Number != "" && l.Bought == nil {
			name = message.Of("%s %s", name, p.Spec.Number)
		}
		names = append(names, name)
	}
	out := message.Of("%s: %s", l.Spec.Name, message.Joined(names, "; "))
	if len(unpriced) > 0 {
		out = message.Of("%s; priced without the %s", out, told.Listing(unpriced))
	}
	return out
}
