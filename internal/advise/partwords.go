package advise

import (
	"fmt"
	"strings"

	"undertray/civil"
	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/internal/say"
	"undertray/units"
)

// YardHeadline answers for all vehicles of a yard in one sentence.
func YardHeadline(reports []*Report) string {
	if len(reports) == 0 {
		return "The yard has no vehicles yet: start one with undertray sheet new."
	}
	var parked, change []string
	for _, r := range reports {
		if len(r.With(fleet.Park)) > 0 {
			parked = append(parked, r.Vehicle.Name)
		} else if len(r.With(fleet.Replace)) > 0 {
			change = append(change, r.Vehicle.Name)
		}
	}
	switch {
	case len(parked) > 0:
		return fmt.Sprintf("Do not drive %s before it is put right.%s", say.Listing(parked), alsoChange(change))
	case len(change) > 0:
		return fmt.Sprintf("%s to drive, with parts to change on %s.", say.Capital(say.Count(len(reports), "vehicle", "vehicles")), say.Listing(change))
	}
	return fmt.Sprintf("%s to drive, nothing to change at the next visits.", say.Capital(say.Count(len(reports), "vehicle", "vehicles")))
}

func alsoChange(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return " There are parts to change on " + say.Listing(names) + "."
}

// WithWords says in one sentence what to change, and what to look at, along
// with a part; "" when nothing.
func WithWords(j *judge.Judgement) string {
	var change, look []string
	for _, c := range j.With {
		names := positionNames(c.Positions)
		switch {
		case len(names) == 0:
			change = append(change, strings.TrimRight(say.LowerFirst(c.Say), "."))
		case c.Inspect:
			look = append(look, names...)
		default:
			change = append(change, names...)
		}
	}
	var out []string
	if len(change) > 0 {
		out = append(out, "Change with it: "+say.Listing(say.Unique(change))+".")
	}
	if len(look) > 0 {
		out = append(out, "Look at with it: "+say.Listing(say.Unique(look))+".")
	}
	return strings.Join(out, " ")
}

// CompanionWords says one companion with its reason.
func CompanionWords(c judge.Companion) string {
	if len(c.Positions) == 0 {
		return c.Say
	}
	do := "change"
	if c.Inspect {
		do = "look at"
	}
	return fmt.Sprintf("%s %s: %s", do, say.Listing(positionNames(c.Positions)), say.LowerFirst(c.Say))
}

func positionNames(ps []*fleet.Position) []string {
	out := make([]string, len(ps))
	for i, p := range ps {
		out[i] = say.LowerFirst(p.Name)
	}
	return out
}

// AgainWords says when a part on watch is to be looked at again.
func (r *Report) AgainWords(j *judge.Judgement, p units.Preferences) string {
	if j.Again.Passed {
		return "Look again: overdue."
	}
	w := r.When(j.Again.Mark)
	if w.HasTotal && r.HasTotal {
		return fmt.Sprintf("Look again within %s, %s.", say.Rough(w.Total-r.Total, p), w.Words())
	}
	return fmt.Sprintf("Look again %s.", w.Words())
}

// PartWords says what is fitted, how old it is and how far it has run.
func PartWords(j *judge.Judgement, on civil.Date, total float64, hasTotal bool, p units.Preferences) string {
	part := j.Place.Fitted
	what := part.Spec.Name
	if what == "" {
		what = j.Kind.Name
	}
	if m := part.Material(); m != "" {
		what += " (" + m + ")"
	}
	from := part.From
	if from.Date.IsZero() && !from.HasTotal {
		return say.Capital(what) + ": it was there when the journal began; its history is not known."
	}
	var facts []string
	if !from.Date.IsZero() {
		facts = append(facts, fmt.Sprintf("fitted %s, %s ago", from.Date.Long(), say.Age(from.Date, on)))
	}
	if from.HasTotal && hasTotal {
		facts = append(facts, say.Rough(total-from.Total, p)+" on it")
	}
	s := say.Capital(what) + ": " + strings.Join(facts, ", ") + "."
	if part.Known == fleet.Told {
		s += " This is as told, from before the journal."
	}
	return s
}

// LookedWords says when the position was last looked at and is to be next.
func (r *Report) LookedWords(j *judge.Judgement, p units.Preferences) string {
	l := j.Looked
	switch {
	case l.Never && l.By == nil:
		return "Never inspected since the journal began."
	case l.Never:
		return "Never inspected since it was fitted on " + l.Last.Date.Long() + "."
	case l.AtFitting:
		return "Not looked at since it was fitted; the first look is due " + r.When(l.Next).Words() + "."
	case l.Stale:
		return "Last looked at on " + l.Last.Date.Long() + "; the next look is overdue."
	case l.Next.IsZero():
		return "Last looked at on " + l.Last.Date.Long() + "."
	}
	return "Last looked at on " + l.Last.Date.Long() + "; next look due " + r.When(l.Next).Words() + "."
}

// Headline says what the job is in one sentence.
func (j *Job) Headline() string {
	if len(j.Tasks) == 0 && len(j.Elsewhere) == 0 {
		return fmt.Sprintf("Nothing on %s needs a visit by the one after next.", j.Vehicle.Name)
	}
	change, look := 0, 0
	for _, t := range j.Tasks {
		if t.Do == fleet.DoReplace {
			change++
		} else {
			look++
		}
	}
	s := fmt.Sprintf("%s: %s to change, %s to look at, about %s of work", j.Vehicle.Name,
		say.Count(change, "part", "parts"), say.Count(look, "position", "positions"), say.Minutes(j.Minutes))
	switch j.Changes {
	case 0:
		return s + ", all from above."
	case 1:
		return s + ", with one change between above and below."
	}
	return fmt.Sprintf("%s, with %d changes between above and below.", s, j.Changes)
}

// Cost adds up what parts and consumables cost where it is known, in one
// currency; "" when nothing is known or currencies differ.
func (j *Job) Cost() string {
	total, ok := j.cost()
	if !ok {
		return ""
	}
	return total.String()
}

// cost adds up what is known, and is false where nothing is or the currencies
// differ.
func (j *Job) cost() (units.Quantity, bool) {
	var known []units.Quantity
	for _, p := range j.Parts {
		if p.Spec.Cost != nil {
			known = append(known, *p.Spec.Cost)
		}
	}
	for _, c := range j.Consumables {
		if c.Cost != nil {
			known = append(known, *c.Cost)
		}
	}
	return sumOf(known)
}

// sumOf adds amounts up, and is false where there are none or the currencies
// differ.
func sumOf(known []units.Quantity) (units.Quantity, bool) {
	if len(known) == 0 {
		return units.Quantity{}, false
	}
	total, err := units.Sum(known...)
	return total, err == nil
}
