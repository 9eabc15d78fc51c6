package visit

import (
	"math"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/undone"
	"undertray.example/undertray/units"
)

// standsWords says what half-done work forbids, or "".
func standsWords(use machine.Use, why []machine.Undone) message.Text {
	if use == "" {
		return ""
	}
	return undone.ForbiddenWords(use, why)
}

// Headline says what the job is in one sentence, or what work left half done
// forbids.
func (j *Job) Headline() message.Text { return told.Head(j.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (j *Job) Told() []message.Text {
	out := []message.Text{standsWords(j.Stands, j.Undone), j.WorkWords()}
	if len(j.Tasks) == 0 && len(j.Elsewhere) == 0 {
		return told.Sentences(append(out,
			message.Of("Nothing on %s needs a visit as far as its plan goes.", j.Vehicle.Name),
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
	work := []message.Text{message.Of("%s to change", told.Count(change, "part", "parts"))}
	if n := len(j.Tasks) - change - look; n > 0 {
		work = append(work, message.Of("%s to put right", told.Number(n)))
	}
	if look > 0 {
		work = append(work, told.Count(look, "look", "looks"))
	}
	out = append(out, message.Of("%s: %s, about %s.", j.Vehicle.Name, message.Joined(work, ", "),
		told.Minutes(j.Minutes)))
	switch j.Changes {
	case 0:
		out = append(out, "All of it is done from above.")
	default:
		out = append(out, message.Of("%s between above and below.",
			told.Count(j.Changes, "change", "changes")).Capital())
	}
	return told.Sentences(append(out, advise.YouLeft(j.Left))...)
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
func (r *Round) Headline() message.Text { return told.Head(r.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (r *Round) Told() []message.Text {
	stops := 0
	for _, s := range r.Stages {
		stops += len(s.Stops)
	}
	open := message.Text("Nothing is taken off for it.")
	if n := len(r.Open); n > 0 {
		open = message.Of("With %s, %.0f min to open and close.", told.Several(n, "opening", "openings"), r.Minutes)
	}
	if stops == 0 && r.Picked != nil {
		return told.Sentences(standsWords(r.Stands, r.Undone),
			"No look in that time would change anything until the next oil change.")
	}
	return told.Sentences(standsWords(r.Stands, r.Undone), message.Of("Round of %s, %s: %s to look at.",
		r.Vehicle.Name, told.Long(r.On), told.Several(stops, "stop", "stops")), open,
		advise.YouLeft(r.Left))
}

// Answer says when what a round goes over was last looked at and how long it takes; its headline where work left
// half done forbids something, or there is nothing to look at.
func (r *Round) Answer() message.Text {
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
	many, takes := told.Several(stops, "stop", "stops"), told.Minutes(math.Ceil((r.Looking+r.Minutes)/step)*step)
	if last.IsZero() {
		return message.Of("Never looked at so far; %s, about %s.", many, takes)
	}
	return message.Of("Last looked at on %s; %s, about %s.", told.Long(last), many, takes)
}

// PickedWords says which looks were chosen where the time has a limit, and what
// is left unseen; "" where it has none.
func (r *Round) PickedWords() message.Text {
	p := r.Picked
	if p == nil {
		return ""
	}
	left := p.LeftWords(ahead.Currency(r.Vehicle))
	if len(p.Looks) == 0 {
		return left
	}
	chosen := message.Of("Chosen for what they tell until the next oil change: %s, together %s.",
		told.Count(len(p.Looks), "part", "parts"), told.Minutes(p.Minutes))
	return message.Joined(told.Sentences(chosen, left), " ")
}

// DoWords says what is done to a part of which so much is known: a change, a
// look, or what else puts it right.
func DoWords(do string, j *judge.Judgement, again bool) message.Text {
	switch {
	case do == fleet.DoInspect:
		return "look at it"
	case j != nil && !again && j.Remedy() != fleet.Change:
		return advise.ActionVerb(j.Remedy())
	}
	return "change"
}

// DoWords says what is done about a task.
func (t *Task) DoWords() message.Text {
	if t.Do == fleet.DoReplace {
		return "change"
	}
	return DoWords(t.Do, t.Judgement, t.Again)
}

// FoundWords says what was found at a position, its note included.
func FoundWords(k *catalogue.Kind, f *fleet.Finding) message.Text {
	s := message.Name(f.Answer)
	if c := k.Check(f.Check); c != nil {
		s = advise.FindingWords(c, f)
	}
	return noted(s, f)
}

// AnswerWords says it without what was asked.
func AnswerWords(c *catalogue.Check, f *fleet.Finding) message.Text {
	s, _ := advise.AnswerWords(c, f)
	return noted(s, f)
}

// noted adds to what was found how that was counted, and its note.
func noted(s message.Text, f *fleet.Finding) message.Text {
	if how := advise.CountedWords(f.Counted); how != "" {
		s = message.Of("%s, %s", s, how)
	}
	if f.Note != "" {
		s = message.Of("%s. %s", s, f.Note)
	}
	return s
}
