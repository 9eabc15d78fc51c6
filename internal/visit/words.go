package visit

import (
	"fmt"
	"math"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/undone"
	"undertray.example/undertray/units"
)

// standsWords says what half-done work forbids, or "".
func standsWords(use machine.Use, why []machine.Undone) string {
	if use == "" {
		return ""
	}
	return undone.ForbiddenWords(use, why)
}

// Headline says what the job is in one sentence, or what work left half done
// forbids.
func (j *Job) Headline() string { return say.Head(j.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (j *Job) Told() []string {
	out := []string{standsWords(j.Stands, j.Undone), j.WorkWords()}
	if len(j.Tasks) == 0 && len(j.Elsewhere) == 0 {
		return say.Told(append(out, fmt.Sprintf("Nothing on %s needs a visit as far as its plan goes.", j.Vehicle.Name),
			advise.YouLeft(j.Left))...)
	}
	change, look := 0, 0
	for _, t := range j.Tasks {
		switch t.Do {
		case fleet.DoReplace:
			change++
		case fleet.DoInspect:
			look++
		}
	}
	s := fmt.Sprintf("%s: %s to change, ", j.Vehicle.Name, say.Count(change, "part", "parts"))
	if n := len(j.Tasks) - change - look; n > 0 {
		s += say.Number(n) + " to put right, "
	}
	if look > 0 {
		s += say.Count(look, "look", "looks") + ", "
	}
	out = append(out, s+"about "+say.Minutes(j.Minutes)+".")
	switch j.Changes {
	case 0:
		out = append(out, "All of it is done from above.")
	default:
		out = append(out, say.Sentence(say.Count(j.Changes, "change", "changes")+" between above and below"))
	}
	return say.Told(append(out, advise.YouLeft(j.Left))...)
}

// Cost adds up what parts and consumables cost where it is known, in one
// currency; "" when nothing is known or currencies differ.
func (j *Job) Cost() string {
	total, ok := j.Money()
	if !ok {
		return ""
	}
	return total.String()
}

// Money adds up what is known, and is false where nothing is or the currencies
// differ.
func (j *Job) Money() (units.Quantity, bool) {
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
	return SumOf(known)
}

// Headline says how much there is to look at, or what work left half done
// forbids.
func (r *Round) Headline() string { return say.Head(r.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (r *Round) Told() []string {
	stops := 0
	for _, s := range r.Stages {
		stops += len(s.Stops)
	}
	open := "Nothing is taken off for it."
	if n := len(r.Open); n > 0 {
		open = fmt.Sprintf("With %s, %.0f min to open and close.", say.Several(n, "opening", "openings"), r.Minutes)
	}
	if stops == 0 && r.Picked != nil {
		return say.Told(standsWords(r.Stands, r.Undone),
			"No look in that time would change anything until the next oil change.")
	}
	return say.Told(standsWords(r.Stands, r.Undone), fmt.Sprintf("Round of %s, %s: %s to look at.", r.Vehicle.Name,
		r.On.Long(), say.Several(stops, "stop", "stops")), open, advise.YouLeft(r.Left))
}

// Answer says when what a round goes over was last looked at and how long it takes; its headline where work left
// half done forbids something, or there is nothing to look at.
func (r *Round) Answer() string {
	stops, last := 0, civil.Date{}
	for _, st := range r.Stages {
		for i := range st.Stops {
			stops++
			if l := st.Stops[i].Judgement.Looked; !l.Never && !l.AtFitting && last.Before(l.Last.Date) {
				last = l.Last.Date
			}
		}
	}
	if r.Stands != "" || stops == 0 {
		return r.Headline()
	}
	const step = 5
	takes := say.Several(stops, "stop", "stops") + ", about " +
		say.Minutes(math.Ceil((r.Looking+r.Minutes)/step)*step) + "."
	if last.IsZero() {
		return "Never looked at so far; " + takes
	}
	return "Last looked at on " + last.Long() + "; " + takes
}

// PickedWords says which looks were chosen where the time has a limit, and what
// is left unseen; "" where it has none.
func (r *Round) PickedWords() string {
	p := r.Picked
	if p == nil {
		return ""
	}
	if len(p.Looks) == 0 {
		return p.LeftWords(ahead.Currency(r.Vehicle))
	}
	s := fmt.Sprintf("Chosen for what they tell until the next oil change: %s, together %s.",
		say.Count(len(p.Looks), "part", "parts"), say.Minutes(p.Minutes))
	return strings.TrimSpace(s + " " + p.LeftWords(ahead.Currency(r.Vehicle)))
}

// DoWords says what is done to a part of which so much is known: a change, a
// look, or what else puts it right.
func DoWords(do string, j *judge.Judgement, again bool) string {
	switch {
	case do == fleet.DoInspect:
		return "look at it"
	case j != nil && !again && j.Remedy() != fleet.Change:
		return advise.ActionVerb(j.Remedy()).String()
	}
	return "change"
}

// DoWords says what is done about a task.
func (t *Task) DoWords() string {
	if t.Do == fleet.DoReplace {
		return "change"
	}
	return DoWords(t.Do, t.Judgement, t.Again)
}

// FoundWords says what was found at a position, its note included.
func FoundWords(k *catalogue.Kind, f *fleet.Finding) string {
	s := f.Answer
	if c := k.Check(f.Check); c != nil {
		s = advise.FindingWords(c, f).String()
	}
	if how := advise.CountedWords(f.Counted); how != "" {
		s += ", " + how
	}
	if f.Note != "" {
		s += ". " + f.Note
	}
	return s
}
