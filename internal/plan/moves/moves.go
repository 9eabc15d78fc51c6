// Package moves compares a plan with an earlier one: Since for what is recorded
// after a day, BeforeLast for what was recorded together last.
package moves

import (
	"cmp"
	"context"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/say/told"
)

// Change is a task whose place in the plan has moved since an earlier day.
type Change struct {
	Position *fleet.Position
	// Was and Is are the days of its first doing in the two plans; zero: not
	// planned.
	Was, Is civil.Date
	DoneOn  civil.Date     // fitted since; zero: not
	Entries []*fleet.Entry // recorded since, that bear on it
	// Then and Now are why it stood, and stands, where it did; nil where it is
	// not planned.
	Then, Now *why.Reason
	Missed    bool // its day went by without it

	report *advise.Report
}

// samePlace is how many days a first doing may shift and still count as
// unmoved.
const samePlace = 20

// Since compares the plan with that of an earlier day, worked out from
// what is recorded up to that day, and returns what moved, in the order of the
// new plan's days.
func Since(ctx context.Context, r *advise.Report, day civil.Date, opt plan.Options) ([]Change, error) {
	if !day.Before(r.On) {
		return nil, advise.Fault("--since", message.Of("%s is not earlier than %s", told.Long(day), told.Long(r.On)),
			"name an earlier day")
	}
	now, err := plan.Make(ctx, r, opt)
	if err != nil {
		return nil, err
	}
	opt = opt.Unpriced()
	then, err := plan.Make(ctx, r.Again(r.Vehicle, day), opt)
	if err != nil {
		return nil, err
	}
	return compare(r, then, now, func(e *fleet.Entry) bool { return e.Date.After(day) }), nil
}

// LastBatch is what was recorded together last.
type LastBatch struct {
	ID       string
	Recorded civil.Date
	Entries  int
}

// BeforeLast compares the plan now, made under some options, with what it would
// be without the entries that were recorded together last, of all those of the
// vehicle, corrections included. The batch is the zero value where there is none.
func BeforeLast(ctx context.Context, r *advise.Report, now *plan.Plan, entries []*fleet.Entry,
	opt plan.Options) (LastBatch, []Change, error) {
	var last *fleet.Entry
	for _, e := range entries {
		if e.Vehicle == r.Vehicle.ID && (last == nil || e.ID > last.ID) {
			last = e
		}
	}
	if last == nil {
		return LastBatch{}, nil, nil
	}
	batch := LastBatch{ID: cmp.Or(last.Batch, last.ID), Recorded: civil.Of(last.Recorded)}
	in := func(e *fleet.Entry) bool { return cmp.Or(e.Batch, e.ID) == batch.ID }
	var before []*fleet.Entry
	for _, e := range entries {
		switch {
		case e.Vehicle != r.Vehicle.ID:
		case in(e):
			batch.Entries++
		default:
			before = append(before, e)
		}
	}
	then, err := plan.Make(ctx, r.WithRecord(r.Vehicle, before, r.On), opt.Unpriced())
	if err != nil {
		return batch, nil, err
	}
	return batch, compare(r, then, now, in), nil
}

// compare returns what moved from one plan to another, in the order of the new
// one's days, with the entries that bear on it.
func compare(r *advise.Report, then, now *plan.Plan, recorded func(*fleet.Entry) bool) []Change {
	was, is := firstDoings(then), firstDoings(now)
	var out []Change
	for i := range r.Vehicle.Positions {
		p := &r.Vehicle.Positions[i]
		c := Change{Position: p, Was: was[p.ID].day, Is: is[p.ID].day, Then: was[p.ID].why, Now: is[p.ID].why}
		c.Missed = !c.Was.IsZero() && c.Was.Before(r.On)
		c.report = r
		c.DoneOn, c.Entries = since(r, p.ID, recorded)
		if c.moved() && !(c.Was.IsZero() && c.Is.After(then.End)) && !(c.Is.IsZero() && c.Was.After(now.End)) {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b Change) int { return a.sortDay().Compare(b.sortDay()) })
	return out
}

func (c *Change) moved() bool {
	if c.Was.IsZero() || c.Is.IsZero() {
		return c.Was != c.Is
	}
	d := c.Is.Sub(c.Was)
	return d > samePlace || d < -samePlace
}

func (c *Change) sortDay() civil.Date {
	if c.Is.IsZero() {
		return c.Was
	}
	return c.Is
}

// doing is the first doing of a task.
type doing struct {
	day civil.Date
	why *why.Reason
}

// firstDoings returns, by position, when and why its part is first changed.
func firstDoings(p *plan.Plan) map[string]doing {
	out := map[string]doing{}
	note := func(t plan.Task, day civil.Date) {
		if t.Do != fleet.DoReplace {
			return
		}
		id := t.Positions[0].ID
		if first, ok := out[id]; !ok || day.Before(first.day) {
			out[id] = doing{day, &t.Reason}
		}
	}
	for _, v := range p.Visits {
		for _, t := range v.Tasks {
			note(t, v.Date)
		}
	}
	for _, s := range p.Small {
		note(s.Task, s.By)
	}
	return out
}

// since returns when a part was fitted at a position by some entries, and what
// else they say of it.
func since(r *advise.Report, position string, recorded func(*fleet.Entry) bool) (done civil.Date, bear []*fleet.Entry) {
	for _, e := range r.State.Record {
		if !recorded(e) || !advise.Concerns(e, position) {
			continue
		}
		if e.Fitted != nil && e.Fitted.Known == fleet.Recorded {
			done = e.Date
		}
		if e.Found != nil {
			j := r.Judgement(position)
			if j == nil || j.Place.Latest[e.Found.Check] == nil || j.Place.Latest[e.Found.Check].Entry != e.ID ||
				!speaks(r, position, e.ID) {
				continue // said again since, or bears on nothing
			}
		}
		bear = append(bear, e)
	}
	return done, bear
}

// speaks reports whether a finding asks for something.
func speaks(r *advise.Report, position, entry string) bool {
	for _, reason := range r.Judgement(position).Reasons {
		if reason.Finding != nil && reason.Finding.Entry == entry && reason.Verdict >= fleet.Watch {
			return true
		}
	}
	return false
}
