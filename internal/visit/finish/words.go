package finish

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/undone"
	"undertray.example/undertray/units"
)

// Headline asks whether what is filled in is right.
func (f *Form) Headline() string {
	var what []string
	if n := f.ticked(); n > 0 {
		what = append(what, say.Count(n, "part", "parts")+" changed")
	}
	right := 0
	for i := range f.Righted {
		if f.Righted[i].Ticked {
			right++
		}
	}
	if right > 0 {
		what = append(what, say.Number(right)+" put right")
	}
	if len(what) == 0 {
		return f.Job.Vehicle.Name + ": nothing was changed. Write down what you saw."
	}
	return fmt.Sprintf("%s: %s. Accept or correct it.", f.Job.Vehicle.Name, strings.Join(what, ", "))
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
func (f *Form) MissingWords() string {
	var out []string
	for _, st := range f.Missing {
		out = append(out, undone.Numbered(f.Job.Vehicle, f.report.Catalogue, st.N, st.Keys[0]))
	}
	if len(out) == 0 {
		return ""
	}
	return "Not ticked: " + say.Most(out, missingMost) + "."
}

// FromWords says where what is filled in of a part comes from, or "".
func (c *Changed) FromWords() string {
	var out []string
	switch c.From {
	case AsBought:
		out = append(out, advise.BoughtWords(c.Judgement.Place.Bought))
	case OfSheet:
		out = append(out, "as the vehicle sheet has it")
	case LikeLast:
		out = append(out, "as the one before it was written down")
	}
	if c.Set != "" {
		out = append(out, "sold in the "+say.LowerFirst(c.Set))
	}
	return strings.Join(out, "; ")
}

// Line says in a line what is filled in of a part.
func (c *Changed) Line(p units.Preferences) string {
	var out []string
	for _, s := range []string{c.Part.Name, c.Part.Number, c.Part.Material} {
		if s != "" && !strings.EqualFold(s, c.Judgement.Position.Name) {
			out = append(out, s)
		}
	}
	if c.Part.Cost != nil {
		out = append(out, p.Show(*c.Part.Cost))
	}
	return strings.Join(out, ", ")
}

// FromWords says how a consumable was bought, or "".
func (u *Used) FromWords() string {
	if u.Bought == nil {
		return ""
	}
	return advise.BoughtWords(u.Bought)
}

// RemovedWords says why a part came off, as an answer to choose.
func RemovedWords(r fleet.Removal) string {
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
func KeptWords(vehicle string, entries []*fleet.Entry) string {
	n := 0
	for _, e := range entries {
		if e.Fitted != nil {
			n++
		}
	}
	if n == 0 {
		return "The job on " + vehicle + " is done."
	}
	return fmt.Sprintf("The job on %s is done: %s written down.", vehicle, say.Count(n, "new part", "new parts"))
}

// Words says what keeping a batch changed, a sentence each.
func (c *Changes) Words(p units.Preferences) []string {
	var out []string
	var gone []string
	for _, j := range c.Gone {
		gone = append(gone, say.LowerFirst(strings.TrimRight(advise.TodoWords(j, p), ".")))
	}
	switch n := len(gone); {
	case n == 1:
		out = append(out, "No longer to do: "+gone[0]+".")
	case n > 1:
		out = append(out, "No longer to do: "+strings.Join(gone, "; ")+".")
	}
	if n := len(c.Left); n > 0 {
		out = append(out, say.Capital(say.Count(n, "part", "parts"))+" still to put right, first the "+
			say.LowerFirst(c.Left[0].Position.Name)+".")
	}
	if c.Chance {
		a, b := say.Odds(c.Before), say.Odds(c.After)
		if a == b {
			out = append(out, "Chance of being stranded before the next oil change: "+b+", as before.")
		} else {
			out = append(out,
				fmt.Sprintf("Chance of being stranded before the next oil change: %s before, %s now.", a, b))
		}
	}
	if day := c.Next.When.Expected; !day.IsZero() && !c.Next.Overdue {
		out = append(out, "Next oil change: about "+day.Long()+".")
	}
	return out
}
