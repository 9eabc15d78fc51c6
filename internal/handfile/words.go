package handfile

import (
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// Words say what a file holds that was made.
func (a *About) Words() []message.Text {
	out := []message.Text{message.Of("It holds %s.", told.Listing(append([]message.Text{
		message.Of("the sheet of %s", a.Name)}, much(int(a.Entries), len(a.Attached))...)))}
	if left := a.LeftOut.Words(); len(left) > 0 {
		out = append(out, message.Of("Left out: %s.", told.Listing(left)))
	}
	if a.Withdrawn > 0 {
		out = append(out, message.Of("%s that you had withdrawn stayed here.", entries(a.Withdrawn).Capital()))
	}
	if n := len(a.Missing); n > 0 {
		out = append(out, message.Of("%s could not be read and are not in it.", attachments(n).Capital()))
	}
	if len(a.OwnKinds) > 0 {
		out = append(out, message.Of("The sheet uses kinds of part from your own catalogue: %s. Give those "+
			"catalogue files along.", told.Listing(told.Names(a.OwnKinds))))
	}
	return append(out, Unproven)
}

// Told says what became of a file, or with look what would; the first is the headline.
func (t *Taken) Told(look bool) []message.Text {
	what := told.Listing(much(t.Added, t.Pictures))
	head := message.Of("%s is taken in as %s: %s.", t.Name, t.Here, what)
	switch {
	case look && t.Joins:
		head = message.Of("It would add to %s: %s.", t.Here, what)
	case look:
		head = message.Of("%s would be taken in as %s: %s.", t.Name, t.Here, what)
	case t.Added+t.Pictures == 0 && !t.Sheet:
		head = message.Of("All of it is here already, as %s; nothing was added.", t.Here)
	case t.Joins:
		head = message.Of("Added to %s: %s.", t.Here, what)
	}
	out := []message.Text{head}
	if t.Here != t.Vehicle {
		out = append(out, message.Of("The giver calls it %s.", t.Vehicle))
	}
	if t.Already > 0 {
		out = append(out, message.Of("%s were here already and stay as they are.", entries(t.Already).Capital()))
	}
	if t.Fewer > 0 {
		out = append(out, message.Of("Of these, the file has prices or names for %d more; they stay without.",
			t.Fewer))
	}
	if t.Differs {
		out = append(out, "The sheet in the file differs from yours, which stays: it is vehicle.yaml in the file.")
	}
	if left := t.LeftOut.Words(); len(left) > 0 {
		out = append(out, message.Of("The giver left out %s.", told.Listing(left)))
	}
	if n := len(t.Missing); n > 0 {
		out = append(out, message.Of("%s are missing, for the giver no longer had them.", attachments(n).Capital()))
	}
	return append(out, Unproven)
}

// much is how many entries there are and, where there are any, pictures and recordings.
func much(e, a int) []message.Text {
	if a == 0 {
		return []message.Text{entries(e)}
	}
	return []message.Text{entries(e), attachments(a)}
}

func entries(n int) message.Text { return told.Count(n, "entry", "entries") }

func attachments(n int) message.Text {
	return told.Count(n, "picture or recording", "pictures and recordings")
}
