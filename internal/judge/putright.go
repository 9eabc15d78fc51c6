package judge

import (
	"cmp"
	"slices"

	"undertray.example/undertray/internal/fleet"
)

// Todo is one thing that puts a part right, and by when.
type Todo struct {
	Action fleet.Action
	By     fleet.Deadline // as its authority gives it
	// Until is where a deadline by distance or time ends, counted from the
	// finding; zero for an occasion.
	Until  Mark
	Reason *Reason // the opinion that asks for it
	// Now says that it comes before the next drive: the authority says so, or
	// its distance or time is over.
	Now bool
	// Left is the entry by which the owner leaves it as it is, nil where it is
	// not: By is the next visit then, and Was what the authority gives.
	Left *fleet.Entry
	Was  fleet.Deadline
}

// todos lists what the governing opinions on a part to be put right ask for,
// the nearest deadline first and each action once.
func (in *Input) todos(j *Judgement) []Todo {
	if j.Verdict != fleet.PutRight {
		return nil
	}
	var all []Todo
	for i := range j.Reasons {
		if r := &j.Reasons[i]; r.Governs && r.Verdict == j.Verdict {
			t := in.todo(r)
			if in.left(j.Place, r) {
				t = Todo{Action: t.Action, By: fleet.Deadline{Occasion: fleet.NextVisit}, Reason: r,
					Left: j.Place.Aside, Was: t.By}
			}
			all = append(all, t)
		}
	}
	if i := slices.IndexFunc(all, func(t Todo) bool { return t.Action == fleet.CutOff }); i >= 0 {
		all = append(all, Todo{Action: fleet.Change, By: fleet.Deadline{Occasion: fleet.NextVisit},
			Reason: all[i].Reason})
	}
	slices.SortStableFunc(all, in.nearer)
	var out []Todo
	for _, t := range all {
		if !slices.ContainsFunc(out, func(o Todo) bool { return o.Action == t.Action }) {
			out = append(out, t)
		}
	}
	return out
}

// left reports whether the owner leaves what an opinion asks for: an answer that
// stood when it was left, or an age that was over by then.
func (in *Input) left(p *fleet.Place, r *Reason) bool {
	switch {
	case p == nil || p.Aside == nil:
		return false
	case r.Finding != nil:
		return p.Left[r.Finding.Entry]
	}
	total, known := in.State.TotalOn(p.Aside.Date)
	return r.Due != nil && r.Due.Mark.Passed(p.Aside.Date, total, known)
}

// todo reads what one opinion asks for; an interval that is over asks for a
// change at the next visit.
func (in *Input) todo(r *Reason) Todo {
	t := Todo{Action: fleet.Change, By: fleet.Deadline{Occasion: fleet.NextVisit}, Reason: r}
	if r.Limit == nil {
		if d := r.Due; d != nil && d.Guess != nil && d.Guess.Do != "" {
			t.Action = d.Guess.Do
		}
		return t
	}
	t.Action = r.Limit.Action()
	if by := r.Limit.Deadline(); by != nil {
		t.By = *by
	}
	if t.By.Occasion == "" {
		t.Until = After(in.placed(r.Finding.Moment), t.By.Distance, t.By.Time)
	}
	t.Now = t.By.Occasion == fleet.BeforeNextDrive || t.Until.Passed(in.State.On, in.Total, in.HasTotal)
	return t
}

// nearer orders by deadline: before the next drive, within a distance or a
// time, at the next visit, with the next oil change.
func (in *Input) nearer(a, b Todo) int {
	return cmp.Or(cmp.Compare(a.rank(), b.rank()), in.sooner(a.Until, b.Until))
}

func (t *Todo) rank() int {
	switch {
	case t.Now:
		return 0
	case t.By.Occasion == "":
		return 1
	case t.By.Occasion == fleet.NextVisit:
		return 2
	}
	return 3
}

// Remedy is what puts the part right: a change, unless each opinion that asks for
// anything asks for something else, of which it is the most pressing. What only
// wants topping up is not changed.
func (j *Judgement) Remedy() fleet.Action {
	if j.Verdict < fleet.PutRight {
		return fleet.Change
	}
	var first fleet.Action
	for i := range j.Reasons {
		r := &j.Reasons[i]
		if !r.Governs || r.Verdict != j.Verdict {
			continue
		}
		if r.Limit == nil || r.Limit.Action() == fleet.Change || r.Limit.Action() == "" {
			return fleet.Change
		}
		if first == "" {
			first = r.Limit.Action()
		}
	}
	if len(j.Todos) > 0 {
		first = j.Todos[0].Action
	}
	return cmp.Or(first, fleet.Change)
}
