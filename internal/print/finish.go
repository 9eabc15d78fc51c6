package print

import (
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/visit/finish"
)

// Finish writes what the job sheet in hand has changed, as it is filled in.
func (t *Text) Finish(f *finish.Form) {
	t.Line(f.Headline())
	if s := f.MissingWords(); s != "" {
		t.Line(s)
	}
	t.list("Changed", len(f.Changed), func(i int) string {
		c := &f.Changed[i]
		s := c.Judgement.Position.ID + ": " + c.Line(t.prefs)
		if c.Removed != fleet.RemovedUnknown {
			s += "; the old one: " + finish.RemovedWords(c.Removed)
		}
		if !c.Ticked {
			s += " (not ticked: left out)"
		}
		return s
	})
	t.list("Put right", len(f.Righted), func(i int) string { return f.Righted[i].What })
	t.list("Looked at, and not told", len(f.Looked), func(i int) string { return f.Looked[i].Judgement.Position.Name })
	t.list("Used up", len(f.Used), func(i int) string {
		if u := &f.Used[i]; u.Bought != nil {
			return u.FromWords()
		}
		return f.Used[i].What + " (not bought: left out)"
	})
	t.Blank()
	t.Line("Right so: " + FinishCommand(f.Job.Vehicle.ID) + " --keep")
}

// FinishCommand is the command that ends the sheet in hand.
func FinishCommand(vehicle string) string { return "undertray finish " + vehicle }

// FinishHint says what comes after the last step.
func FinishHint(vehicle string) string {
	return "Every step is ticked. Write down what was changed: " + FinishCommand(vehicle)
}
