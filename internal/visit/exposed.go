package visit

import (
	"cmp"
	"slices"

	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// Exposed is a look that a job does not ask for and what it opens allows.
type Exposed struct {
	Judgement *judge.Judgement
	Minutes   float64
	Worth     float64 // in the owner's money until the next visit; 0 where none is reckoned
	// After and Before are the numbers of the steps between which it can be made.
	After, Before int
}

// Exposed returns the looks that what is opened allows, besides those of the
// sheet and of the round that goes with it: the most telling for their minutes
// first, what is worth nothing for any decision last.
func (j *Job) Exposed() []Exposed {
	if j.report == nil {
		return nil
	}
	var out []Exposed
	stretch := ahead.UntilVisit(j.report)
	for _, at := range j.report.Walk() {
		e := Exposed{Judgement: at}
		if len(at.Position.Seen) == 0 || j.deals(at.Position) || !j.window(&e) {
			continue
		}
		e.Minutes = LookMinutes
		for _, l := range ahead.LookingsAt(j.report, at, stretch, false) { // with that open no engine runs
			e.Minutes, e.Worth = l.Minutes, max(0, l.Worth)
		}
		out = append(out, e)
	}
	slices.SortStableFunc(out, func(a, b Exposed) int { return cmp.Compare(b.Worth/b.Minutes, a.Worth/a.Minutes) })
	return out
}

// deals reports whether a job or its round looks at a position or works on it.
func (j *Job) deals(p *fleet.Position) bool {
	return slices.Contains(j.RoundSees, p) || slices.ContainsFunc(j.Tasks, func(t Task) bool {
		return t.Judgement.Position == p
	})
}

// window finds the steps between which a look can be made: all that hides the
// part open, the engine at rest, and cold where nothing else will do.
func (j *Job) window(e *Exposed) bool {
	need := j.Vehicle.Closure(e.Judgement.Position.Seen)
	missing, cold := len(need), 0
	for i := range j.Steps {
		s := &j.Steps[i]
		switch {
		case s.Use.Turns() && missing == 0 && e.Before == 0:
			e.Before = s.N
		case s.Opening == nil:
		case cold == 0 && s.Kind == StepOpen && s.Opening.Engine == fleet.Cold:
			cold = s.N
		}
		if s.Opening == nil || !slices.Contains(need, s.Opening.ID) {
			continue
		}
		if s.Kind == StepOpen {
			missing--
			e.After = s.N
		} else if e.Before == 0 {
			e.Before = s.N
		}
	}
	if missing > 0 {
		return false
	}
	if e.Before == 0 {
		e.Before = len(j.Steps) + 1
	}
	any, onlyCold := looksAtRest(e.Judgement)
	if onlyCold {
		if cold == 0 {
			return false
		}
		e.After = max(e.After, cold)
	}
	return any && e.After < e.Before
}

// looksAtRest reports whether an ordinary look at rest tells anything of a part,
// and whether none does but on a cold engine.
func looksAtRest(j *judge.Judgement) (any, onlyCold bool) {
	onlyCold = true
	for i := range j.Kind.Checks {
		c := &j.Kind.Checks[i]
		if whole(c) || c.OnDemand || c.BeltOff || c.Engine == fleet.Hot || c.Sense == catalogue.Record {
			continue
		}
		any = true
		onlyCold = onlyCold && c.Engine == fleet.Cold
	}
	return any, any && onlyCold
}
