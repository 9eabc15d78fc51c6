package visit

import (
	"math"
	"slices"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// Typed is what was typed as the figure to which fasteners of a step were
// tightened.
type Typed struct {
	Step   string // key of the step
	What   string // the fastener, as [Torque.Fasteners] names it
	Figure string // with its unit, or without where that cannot be mistaken
}

// Unlikely is the error of a figure that is seldom right: the owner is asked again.
type Unlikely struct {
	error // *fleet.Error
}

// Unwrap returns the *fleet.Error that says so.
func (u *Unlikely) Unwrap() error { return u.error }

// setWithin is how far from what the sheet says a fastener is tightened without
// being asked again, as a share: a setting torque wrench is itself up to 4 % off, 6
// below 10 N·m (ISO 6789-1); the rest is common practice.
const setWithin = 0.1

// Fasteners names what a line of the torque table tightens.
func (q *Torque) Fasteners() string { return strings.TrimSpace(q.What + " " + q.Size) }

// News leaves of figures those that are told already.
func (j *Job) News(typed []Typed) []Typed {
	if j.Work == nil {
		return typed
	}
	return slices.DeleteFunc(typed, func(t Typed) bool {
		return slices.ContainsFunc(j.Work.Set[t.Step], func(s fleet.SetTo) bool {
			return s.What == t.What && s.Torque.String() == t.Figure
		})
	})
}

// Tighten adds to the entries of ticks what fasteners of the steps were tightened
// to; of a step that was ticked before it makes an entry of its own. A figure
// without a unit is in the one given. Errors are *fleet.Error: Invalid for what is
// no torque, NotFound for a fastener that the step does not have, Conflict for a
// step that is not ticked, and *Unlikely for a figure far from the sheet's, unless
// the owner is sure.
func (j *Job) Tighten(entries []*fleet.Entry, typed []Typed, unit string, sure bool) ([]*fleet.Entry, error) {
	for _, t := range typed {
		set, err := j.setTo(t, unit, sure)
		if err != nil {
			return nil, err
		}
		i := slices.IndexFunc(entries, func(e *fleet.Entry) bool {
			return e.Work != nil && e.Work.Step == t.Step && !e.Work.Back
		})
		if i < 0 && (j.Work == nil || j.Work.Ticks[t.Step] == nil) {
			return nil, &fleet.Error{Kind: fleet.Conflict, Where: t.What, Msg: "its step is not ticked",
				Hint: "tick the step with it"}
		}
		if i < 0 {
			i = len(entries)
			entries = append(entries, &fleet.Entry{Type: fleet.TypeWork, Date: j.On,
				Work: &fleet.Work{Of: j.Work.Begun.ID, Step: t.Step, Set: slices.Clone(j.Work.Set[t.Step])}})
		}
		w := entries[i].Work
		w.Set = append(slices.DeleteFunc(w.Set, func(s fleet.SetTo) bool { return s.What == set.What }), set)
	}
	return entries, nil
}

func (j *Job) setTo(t Typed, unit string, sure bool) (fleet.SetTo, error) {
	st := j.Step(t.Step)
	at := -1
	if st != nil {
		at = slices.IndexFunc(st.Torques, func(q Torque) bool { return q.Fasteners() == t.What })
	}
	if at < 0 {
		return fleet.SetTo{}, &fleet.Error{Kind: fleet.NotFound, Where: t.What,
			Msg: "the step tightens nothing of that name", Hint: "load the sheet again"}
	}
	q, err := units.Parse(t.Figure, units.Torque)
	if err != nil {
		if q, err = units.Parse(strings.TrimSpace(t.Figure)+" "+unit, units.Torque); err != nil {
			return fleet.SetTo{}, &fleet.Error{Kind: fleet.Invalid, Where: t.What,
				Msg: message.Of("%q is no torque", t.Figure), Hint: "write it like 25 N·m", Err: err}
		}
	}
	said := *st.Torques[at].Torque
	switch off := math.Abs(q.Base()/said.Base() - 1); {
	case q.Base() <= 0:
		return fleet.SetTo{}, &fleet.Error{Kind: fleet.Invalid, Where: t.What,
			Msg: message.Of("%s tightens nothing", q), Hint: "write what the wrench was set to"}
	case !sure && off > setWithin:
		return fleet.SetTo{}, &Unlikely{&fleet.Error{Kind: fleet.Invalid, Where: t.What,
			Msg:  message.Of("the sheet says %s, not %s", said, q),
			Hint: "set the wrench again; if it is so, say that you are sure (--sure)"}}
	}
	return fleet.SetTo{What: t.What, Torque: q}, nil
}
