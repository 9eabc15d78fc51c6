package judge

import (
	"cmp"
	"maps"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// Input is all that a judgement rests on.
type Input struct {
	Catalogue *catalogue.Catalogue
	State     *fleet.State
	// Total is the distance in km the vehicle is expected to have run by
	// State.On; HasTotal is false when nothing is known of it.
	Total    float64
	HasTotal bool
}

// Judgement is the verdict on one position and all that stands behind it.
type Judgement struct {
	Position *fleet.Position
	Kind     *catalogue.Kind
	Place    *fleet.Place
	Verdict  fleet.Verdict
	// Reasons holds every opinion there is, the governing ones first, then
	// by urgency. Those with Governs set explain the verdict.
	Reasons []Reason
	Todos   []Todo // what puts it right and by when, the nearest deadline first
	Dues    []Due  // when the part is due under each authority, soonest first
	Looked  Looked
	Drives  *Drives // what stands still when its belt comes off; nil: nothing, or not known
	// Symptoms lists what the findings that ask for action are signs of.
	Symptoms []string
	Causes   []catalogue.Cause // of those symptoms, likeliest first
	First    []catalogue.First // what to put right before the part is changed
	With     []Companion       // what to change or look at along with it
	Cautions []string
	// Until is what to mind while a part that is to be put right is still in.
	Until string
	// Again says when a part on watch is to be looked at again.
	Again *Again
}

// Reason is one opinion on the part.
type Reason struct {
	Verdict   fleet.Verdict
	Authority fleet.Authority
	Source    fleet.Sources
	Says      message.Text // the authority's rule in words
	// Finding and Check are set when the opinion is about a finding, Due when
	// it is about age or distance.
	Finding *fleet.Finding
	// Against is another answer of that day to the same check, which the
	// finding outweighs until it is settled; nil where there is none.
	Against *fleet.Finding
	Check   *catalogue.Check
	Limit   *fleet.Limit // nil where a figure is within the authority's bounds
	Due     *Due
	Governs bool
	// Ahead is the nearest limit of the authority that a figure within its
	// bounds has not met; nil elsewhere.
	Ahead *Ahead
}

// Ahead is a limit that a figure has not met.
type Ahead struct {
	Limit *fleet.Limit
	Bound units.Quantity
	By    units.Quantity // how far the figure is from it, in the bound's unit
}

// Looked says when the position was last looked at.
type Looked struct {
	Never bool // never since this part was fitted
	Last  fleet.Moment
	// Entry is the id of the newest finding, or of the fitting where the part
	// is so new that fitting it counts as a look.
	Entry string
	// Glance says that the last look was one at the whole part, which answered none
	// of its checks.
	Glance bool
	// AtFitting says that nobody has looked since the part was fitted, and
	// need not have yet.
	AtFitting bool
	// Next is when it is to be looked at next, and Stale that this is past.
	Next  Mark
	Stale bool
	// By says who asks for that inspection.
	By *fleet.Interval
}

// Mark is a point ahead given by distance, date or both, whichever first.
type Mark struct {
	Total    float64 // km
	HasTotal bool
	Date     civil.Date // zero: no date
}

// IsZero reports whether the mark names neither distance nor date.
func (m Mark) IsZero() bool { return !m.HasTotal && m.Date.IsZero() }

// Passed reports whether the mark is reached at this day and distance.
func (m Mark) Passed(on civil.Date, total float64, hasTotal bool) bool {
	byDate := !m.Date.IsZero() && !on.Before(m.Date)
	return byDate || m.HasTotal && hasTotal && total >= m.Total
}

// Again is a Mark at which to look again, and whether it is past.
type Again struct {
	Mark
	Passed bool
}

// Vehicle judges every position of the state's vehicle that holds a part, in
// the sheet's order. Positions of a kind that the catalogue does not have are
// left out; package sheet refuses them.
func Vehicle(in Input) []Judgement {
	out := make([]Judgement, 0, len(in.State.Vehicle.Positions))
	for i := range in.State.Vehicle.Positions {
		place := in.State.Place(in.State.Vehicle.Positions[i].ID)
		kind := in.Catalogue.Kind(place.Position.Kind)
		if kind == nil || place.Fitted == nil {
			continue
		}
		out = append(out, in.judge(place, kind))
	}
	return out
}

func (in *Input) judge(place *fleet.Place, kind *catalogue.Kind) Judgement {
	recorded := place
	place = in.worstOfDay(place, kind)
	j := Judgement{Position: place.Position, Kind: kind, Place: place,
		Drives: Turned(in.Catalogue, in.State.Vehicle, place.Position)}
	j.Looked = in.looked(place, kind)
	for _, f := range latestInOrder(place, kind) {
		for _, r := range in.findingReasons(place, kind, f) {
			if r.Verdict >= fleet.Watch {
				r.Against = besides(recorded.Latest[f.Check], f)
			}
			j.Reasons = append(j.Reasons, r)
		}
	}
	j.Dues = in.dues(place, kind)
	j.Reasons = append(j.Reasons, in.ageReasons(j.Dues)...)
	for _, r := range j.Reasons {
		if r.Governs && r.Verdict > j.Verdict {
			j.Verdict = r.Verdict
		}
	}
	if j.Verdict < fleet.Keep && !j.Looked.Never {
		j.Verdict = fleet.Keep
	}
	if j.Verdict == fleet.Keep && j.Looked.Never {
		j.Verdict = fleet.Unseen
	}
	slices.SortStableFunc(j.Reasons, func(a, b Reason) int {
		return cmp.Or(FalseFirst(b.Governs, a.Governs), cmp.Compare(b.Verdict, a.Verdict))
	})
	j.Todos = in.todos(&j)
	in.explain(&j)
	return j
}

// explain fills what follows from the governing reasons.
func (in *Input) explain(j *Judgement) {
	for _, r := range j.Reasons {
		if !r.Governs || r.Finding == nil || r.Verdict < fleet.Watch {
			continue
		}
		if s := symptom(r.Check, r.Finding); s != "" && !slices.Contains(j.Symptoms, s) {
			j.Symptoms = append(j.Symptoms, s)
		}
		in.again(j, r)
	}
	for _, c := range j.Kind.Causes {
		if slices.Contains(j.Symptoms, c.Of) {
			j.Causes = append(j.Causes, c)
		}
	}
	slices.SortStableFunc(j.Causes, func(a, b catalogue.Cause) int {
		return cmp.Compare(slices.Index(j.Symptoms, a.Of), slices.Index(j.Symptoms, b.Of))
	})
	if j.Verdict < fleet.Watch {
		return
	}
	for _, f := range j.Kind.First {
		if applies(f.When, j) {
			j.First = append(j.First, f)
		}
	}
	j.With = in.companions(j)
	if j.Verdict == fleet.PutRight {
		j.Until = j.Kind.Until
	}
	j.Cautions = CautionsAt(j.Kind, j.Position)
}

// CautionsAt is what to mind at a position: what its kind says, and what it says
// itself besides.
func CautionsAt(k *catalogue.Kind, p *fleet.Position) []string {
	own := slices.DeleteFunc(slices.Clone(p.Cautions), func(c string) bool { return slices.Contains(k.Cautions, c) })
	return slices.Concat(k.Cautions, own)
}

// applies reports whether advice for these symptoms holds: with none named it
// holds for every part that is to be changed.
func applies(when []string, j *Judgement) bool {
	if len(when) == 0 {
		return j.Verdict >= fleet.PutRight
	}
	return slices.ContainsFunc(when, func(w string) bool { return slices.Contains(j.Symptoms, w) })
}

// again moves the judgement's next look forward to the one the reason asks.
func (in *Input) again(j *Judgement, r Reason) {
	if r.Limit == nil || r.Limit.Again == nil || r.Verdict != fleet.Watch || j.Verdict != fleet.Watch {
		return
	}
	m := after(r.Finding.Moment, r.Limit.Again.Distance, r.Limit.Again.Time, 1, 1)
	if j.Again == nil {
		j.Again = &Again{Mark: m}
	} else {
		j.Again.Mark = earlier(j.Again.Mark, m)
	}
	j.Again.Passed = j.Again.Mark.Passed(in.State.On, in.Total, in.HasTotal)
}

// worstOfDay returns the place with, of answers to one check on one day, the
// worst as the latest: until the contradiction is settled, a look that found
// nothing does not undo one that found something. Where there is none, it is
// the place itself.
func (in *Input) worstOfDay(place *fleet.Place, kind *catalogue.Kind) *fleet.Place {
	out := place
	for check, last := range place.Latest {
		worst := last
		for f := last.Before; f != nil; f = f.Before {
			if in.verdictOf(place, kind, f) > in.verdictOf(place, kind, worst) {
				worst = f
			}
		}
		if worst == last {
			continue
		}
		if out == place {
			other := *place
			other.Latest = maps.Clone(place.Latest)
			out = &other
		}
		out.Latest[check] = worst
	}
	return out
}

// besides returns the newest of a day's answers to a check that says something
// else than the one that governs, or nil.
func besides(last, governs *fleet.Finding) *fleet.Finding {
	for f := last; f != nil; f = f.Before {
		if f.Answer != governs.Answer || (f.Value == nil) != (governs.Value == nil) || f.Value != nil &&
			*f.Value != *governs.Value {
			return f
		}
	}
	return nil
}

// verdictOf returns what governs of the opinions on a finding.
func (in *Input) verdictOf(place *fleet.Place, kind *catalogue.Kind, f *fleet.Finding) fleet.Verdict {
	var out fleet.Verdict
	for _, r := range in.findingReasons(place, kind, f) {
		if r.Governs {
			out = max(out, r.Verdict)
		}
	}
	return out
}

// latestInOrder returns the standing findings in the order of the kind's
// checks, which is the order a person meets them in.
func latestInOrder(place *fleet.Place, kind *catalogue.Kind) []*fleet.Finding {
	var out []*fleet.Finding
	for i := range kind.Checks {
		if f := place.Latest[kind.Checks[i].ID]; f != nil {
			out = append(out, f)
		}
	}
	return out
}

// symptom returns what a finding is a sign of.
func symptom(c *catalogue.Check, f *fleet.Finding) string {
	for _, a := range c.Answers {
		if a.ID == f.Answer {
			return a.Symptom
		}
	}
	return c.Symptom
}

// FalseFirst orders what is not so before what is.
func FalseFirst(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}
