// Package finish ends the job sheet in hand: it says what was changed by it, as far
// as plan, vehicle sheet and journal know, and makes one batch of what the owner
// accepts or corrects of that. [Of] lays it out, [Form.Entries] makes the entries,
// [ChangesOf] says what keeping them changed.
package finish

import (
	"cmp"
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/visit"
)

// Form is what is to be written down at the end of the sheet in hand.
type Form struct {
	Job     *visit.Job
	Changed []Changed
	Righted []Righted
	Looked  []Looked
	Used    []Used
	Missing []*visit.Step // not ticked

	report *advise.Report
}

// Changed is a part that the sheet has changed, or was to change.
type Changed struct {
	Judgement *judge.Judgement // of the part that came off
	Ticked    bool             // its step is
	Part      fleet.PartSpec   // as far as it is known what is in now
	From      Source           // of number, supplier and cost
	Set       string           // what it is bought and priced as, with others; "" for by itself
	Removed   fleet.Removal    // why the one before came off, as far as is known
	Hand      []*catalogue.Check
}

// Source says where what is known of a fitted part stands.
type Source string

// The sources.
const (
	NotSaid  Source = ""
	AsBought Source = "bought"
	OfSheet  Source = "sheet" // the vehicle sheet, which the plan buys by
	LikeLast Source = "last"  // the part before, as it was written down
)

// Righted is a part that the sheet has put right where it is, or was to.
type Righted struct {
	Judgement *judge.Judgement
	Ticked    bool
	Action    fleet.Action
	What      message.Text // was done, as the journal will say it
	Settles   []string     // checks whose answers it puts right
}

// Looked is a part that the sheet has looked at, and what nobody has answered since
// it was begun.
type Looked struct {
	Judgement *judge.Judgement
	Ticked    bool
	Checks    []*catalogue.Check
}

// Used is a consumable that the sheet used up, or had ready: as it was bought, or else as
// the vehicle sheet has it.
type Used struct {
	fleet.Consumable
	Bought *fleet.Entry // nil: it was not written down as bought
}

// Of lays out what is to be written down at the end of the sheet in hand. Errors
// are *fleet.Error: NotFound where none is in hand.
func Of(r *advise.Report) (*Form, error) {
	job, err := visit.InHand(r)
	if err != nil {
		return nil, err
	}
	if job == nil {
		return nil, &fleet.Error{Kind: fleet.NotFound, Where: "work",
			Msg:  message.Of("no job sheet of %s is in hand", r.Vehicle.Name),
			Hint: "tick a step of its job sheet to begin one"}
	}
	f := &Form{Job: job, report: r}
	for i := range job.Steps {
		st := &job.Steps[i]
		if !st.Done {
			f.Missing = append(f.Missing, st)
		}
		switch st.Kind {
		case visit.StepChange:
			f.change(st)
		case visit.StepPutRight:
			j := r.Judgement(st.Position.ID)
			f.Righted = append(f.Righted, Righted{Judgement: j, Ticked: st.Done, Action: st.Action,
				What: advise.ActionWords(st.Action, j.Position.Name).Sentence(), Settles: OpenChecks(j)})
		case visit.StepLook:
			f.look(st)
		}
	}
	for _, c := range job.Consumables {
		f.use(c)
	}
	return f, nil
}

// use takes in a consumable, once.
func (f *Form) use(c fleet.Consumable) {
	if slices.ContainsFunc(f.Used, func(u Used) bool { return u.What == c.What }) {
		return
	}
	u := Used{c, f.report.State.Bought(c.What)}
	if u.Bought != nil {
		u.Cost, u.Amount = cmp.Or(u.Bought.Bought.Cost, u.Cost), cmp.Or(u.Bought.Bought.Of.Amount, u.Amount)
	}
	f.Used = append(f.Used, u)
}

// change takes in a part that a step changes, unless it was written down since the
// sheet was begun.
func (f *Form) change(st *visit.Step) {
	j := f.report.Judgement(st.Position.ID)
	if j.Place.ChangedAfter(f.Job.Work.Begun) {
		return
	}
	c := Changed{Judgement: j, Ticked: st.Done, Removed: f.cameOff(j), Hand: f.report.Catalogue.HandChecks(j.Kind)}
	if c.Part, c.Set = f.bought(j); j.Place.Bought != nil {
		c.From = AsBought
	} else if c.Part.Number != "" || c.Part.Supplier != "" || c.Part.Cost != nil {
		c.From = OfSheet
	} else if last := j.Place.Fitted; last != nil && last.Entry != "" {
		c.Part.Number, c.Part.Supplier, c.Part.Cost = last.Spec.Number, last.Spec.Supplier, last.Spec.Cost
		if c.Part.Number != "" || c.Part.Supplier != "" || c.Part.Cost != nil {
			c.From = LikeLast
		}
	}
	c.Part.Quantity = cmp.Or(c.Part.Quantity, "1")
	f.Changed = append(f.Changed, c)
}

// bought is a part as the sheet's list of parts has it, and the set that it is in.
func (f *Form) bought(j *judge.Judgement) (part fleet.PartSpec, set string) {
	for _, l := range f.Job.Parts {
		if len(l.Of) == 0 && l.Position == j.Position {
			return l.Spec, ""
		}
		for _, of := range l.Of {
			if of.Position == j.Position {
				return of.Spec, l.Spec.Name
			}
		}
	}
	return visit.PartOf(j), ""
}

// cameOff is why a part came off, as far as what is known of it tells: for what was
// found on it, for its age, or along with another.
func (f *Form) cameOff(j *judge.Judgement) fleet.Removal {
	for i := range j.Reasons {
		if r := &j.Reasons[i]; r.Governs && r.Finding != nil && r.Verdict >= fleet.Watch {
			return fleet.RemovedWorn
		}
	}
	if f.report.DueSoon(j) {
		return fleet.RemovedAge
	}
	for _, t := range f.Job.Tasks {
		if t.Do != fleet.DoReplace || t.Judgement == j {
			continue
		}
		for _, c := range f.report.Companions(t.Judgement) {
			if slices.Contains(c.Positions, j.Position) {
				return fleet.RemovedWith
			}
		}
	}
	return fleet.RemovedUnknown
}

// look takes in the parts of a look, with the checks that were not answered since
// the sheet was begun.
func (f *Form) look(st *visit.Step) {
	for _, p := range st.Looks {
		j := f.report.Judgement(p.ID)
		l := Looked{Judgement: j, Ticked: st.Done}
		for i := range j.Kind.Checks {
			c := &j.Kind.Checks[i]
			found := j.Place.Latest[c.ID]
			if slices.Contains(st.Checks, c) && (found == nil || found.Date.Before(f.Job.Work.Begun.Date)) {
				l.Checks = append(l.Checks, c)
			}
		}
		if len(l.Checks) > 0 {
			f.Looked = append(f.Looked, l)
		}
	}
}

// OpenChecks lists the checks whose answers at a position ask for something.
func OpenChecks(j *judge.Judgement) []string {
	if j == nil {
		return nil
	}
	var out []string
	for i := range j.Reasons {
		r := &j.Reasons[i]
		if r.Finding != nil && r.Verdict >= fleet.Watch && !slices.Contains(out, r.Check.ID) {
			out = append(out, r.Check.ID)
		}
	}
	return out
}
