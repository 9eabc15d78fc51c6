package finish

import (
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/undone"
	"undertray.example/undertray/units"
)

// Headline asks whether what is filled in is right.
func (f *Form) Headline() message.Text {
	var what []message.Text
	if n := f.ticked(); n > 0 {
		what = append(what, message.Of("%s changed", told.Count(n, "part", "parts")))
	}
	right := 0
	for i := range f.Righted {
		if f.Righted[i].Ticked {
			right++
		}
	}
	if right > 0 {
		what = append(what, message.Of("%s put right", told.Number(right)))
	}
	if len(what) == 0 {
		return message.Of("%s: nothing was changed. Write down what you saw.", f.Job.Vehicle.Name)
	}
	return message.Of("%s: %s. Accept or correct it.", f.Job.Vehicle.Name, message.Joined(what, ", "))
}

func (f *Form) ticked() int {
	n := 0
	for i := range f.Changed {
		if f.Changed[i].Ticked {
			n++
		}
	}
	return n
}

// missingMost is how many steps that are not ticked a sentence names.
const missingMost = 3

// MissingWords says which steps are not ticked, or "".
func (f *Form) MissingWords() message.Text {
	var out []message.Text
	for _, st := range f.Missing {
		out = append(out, undone.Numbered(f.Job.Vehicle, f.report.Catalogue, st.N, st.Keys[0]))
	}
	if len(out) == 0 {
		return ""
	}
	return message.Of("Not ticked: %s.", told.Most(out, missingMost))
}

// FromWords says where what is filled in of a part comes from, or "".
func (c *Changed) FromWords() message.Text {
	var out []message.Text
	switch c.From {
	case AsBought:
		out = append(out, advise.BoughtWords(c.Judgement.Place.Bought))
	case OfSheet:
		out = append(out, "as the vehicle sheet has it")
	case LikeLast:
		out = append(out, "as the one before it was written down")
	}
	if c.Set != "" {
		out = append(out, message.Of("sold in the %s", say.LowerFirst(c.Set)))
	}
	return message.Joined(out, "; ")
}

// Line says in a line what is filled in of a part.
func (c *Changed) Line(p units.Preferences) message.Text {
	var out []string
	for _, s := range []string{c.Part.Name, c.Part.Number, c.Part.Material} {
		if s != "" && !strings.EqualFold(s, c.Judgement.Position.Name) {
			out = append(out, s)
		}
	}
	if c.Part.Cost != nil {
		out = append(out, p.Show(*c.Part.Cost))
	}
	return message.Joined(told.Names(out), ", ")
}

// FromWords says how a consumable was bought, or "".
func (u *Used) FromWords() message.Text {
	if u.Bought == nil {
		return ""
	}
	return advise.BoughtWords(u.Bought)
}

// RemovedWords says why a part came off, as an answer to choose.
func RemovedWords(r fleet.Removal) message.Text {
	switch r {
	case fleet.RemovedFailed:
		return "it had failed"
	case fleet.RemovedWorn:
		return "worn, still working"
	case fleet.RemovedAge:
		return "sound, but due"
	case fleet.RemovedWith:
		return "sound, along with another"
	}
	return "not known"
}

// KeptWords heads what is told of a batch that ends a job sheet.
func KeptWords(vehicle string, entries []*fleet.Entry) message.Text {
	n := 0
	for _, e := range entries {
		if e.Fitted != nil {
			n++
		}
	}
	if n == 0 {
		return message.Of("The job on %s is done.", vehicle)
	}
	return message.Of("The job on %s is done: %s written down.", vehicle, told.Count(n, "new part", "new parts"))
}

// Words says what keeping a batch changed, a sentence each.
func (c *Changes) Words(p units.Preferences) []message.Text {
	var out, gone []message.Text
	for _, j := range c.Gone {
		gone = append(gone, advise.TodoWords(j, p).Open().LowerFirst())
	}
	if len(gone) > 0 {
		out = append(out, message.Of("No longer to do: %s.", message.Joined(gone, "; ")))
	}
	if n := len(c.Left); n > 0 {
		out = append(out, message.Of("%s still to put right, first the %s.", told.Count(n, "part", "parts").Capital(),
			say.LowerFirst(c.Left[0].Position.Name)))
	}
	if c.Chance {
		a, b := told.Odds(c.Before), told.Odds(c.After)
		if a == b {
			out = append(out, message.Of("Chance of being stranded before the next oil change: %s, as before.", b))
		} else {
			out = append(out,
				message.Of("Chance of being stranded before the next oil change: %s before, %s now.", a, b))
		}
	}
	if day := c.Next.When.Expected; !day.IsZero() && !c.Next.Overdue {
		out = append(out, message.Of("Next oil change: about %s.", told.Long(day)))
	}
	return out
}
