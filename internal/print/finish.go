package print

import (
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/visit/finish"
)

// Finish writes what the job sheet in hand has changed, as it is filled in.
func (t *Text) Finish(f *finish.Form) {
	t.Line(f.Headline())
	if s := f.MissingWords(); s != "" {
		t.Line(s)
	}
	t.list("Changed", len(f.Changed), func(i int) message.Text {
		c := &f.Changed[i]
		s := message.Of("%s: %s", c.Judgement.Position.ID, c.Line(t.prefs))
		if c.Removed != fleet.RemovedUnknown {
			s = message.Of("%s; the old one: %s", s, finish.RemovedWords(c.Removed))
		}
		if !c.Ticked {
			s = message.Of("%s (not ticked: left out)", s)
		}
		return s
	})
	t.list("Put right", len(f.Righted), func(i int) message.Text { return f.Righted[i].What })
	t.list("Looked at, and not told", len(f.Looked), func(i int) message.Text {
		return message.Is(f.Looked[i].Judgement.Position.Name)
	})
	t.list("Used up", len(f.Used), func(i int) message.Text {
		if u := &f.Used[i]; u.Bought != nil {
			return u.FromWords()
		}
		return message.Of("%s (not bought: left out)", f.Used[i].What)
	})
	t.Blank()
	t.Line(message.Of("Right so: %s", FinishCommand(f.Job.Vehicle.ID)+" --keep"))
}

// FinishCommand is the command that ends the sheet in hand.
func FinishCommand(vehicle string) string { return "undertray finish " + vehicle }

// FinishHint says what comes after the last step.
func FinishHint(vehicle string) message.Text {
	return message.Of("Every step is ticked. Write down what was changed: %s", FinishCommand(vehicle))
}
