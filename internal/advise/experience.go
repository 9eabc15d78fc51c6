package advise

import (
	"slices"
	"sync"

	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/lifetime"
	"undertray/wear"
)

// Experience is what a yard's own parts tell of each kind: how long they
// lived, and how their figures ran. It may be used by many goroutines.
type Experience struct {
	parts []lived

	mu     sync.Mutex
	kinds  map[wearKey]*preparedWear
	learnt map[course]*learnt
}

// lived is one part, past or present, of a known kind.
type lived struct {
	kind     string
	place    *fleet.Place
	part     *fleet.Part
	state    *fleet.State
	total    float64 // expected total distance today, km
	hasTotal bool
}

// wearKey names what is prepared once. It is a part's own: what is believed of it
// beforehand goes by its vehicle, and it is no peer of itself.
type wearKey struct {
	part  *fleet.Part
	check string
	limit wear.Limit
	axes  int
}

type preparedWear struct {
	kind *wear.Kind
	err  error
}

// Gather collects the experience of the vehicles of a yard and hands it to all
// of their reports, so that each profits from what the others have seen.
func Gather(reports []*Report) *Experience {
	x := newExperience(nil)
	for _, r := range reports {
		x.parts = r.partsInto(x.parts)
		r.Experience = x
	}
	return x
}

func newExperience(parts []lived) *Experience {
	return &Experience{parts: parts, kinds: map[wearKey]*preparedWear{}, learnt: map[course]*learnt{}}
}

// and is what one more vehicle adds.
func (x *Experience) and(r *Report) *Experience {
	return newExperience(r.partsInto(slices.Clip(x.parts)))
}

// partsInto appends the vehicle's parts, past and present.
func (r *Report) partsInto(parts []lived) []lived {
	for i := range r.Vehicle.Positions {
		place := r.State.Place(r.Vehicle.Positions[i].ID)
		add := func(p *fleet.Part) {
			parts = append(parts, lived{kind: place.Position.Kind, place: place, part: p, state: r.State, total: r.Total, hasTotal: r.HasTotal})
		}
		for _, p := range place.Past {
			add(p)
		}
		if place.Fitted != nil {
			add(place.Fitted)
		}
	}
	return parts
}

// asPeer is what other vehicles learn from this one: its parts, and the figures
// found on them.
func (r *Report) asPeer() *Report {
	s := r.State
	state := &fleet.State{Vehicle: s.Vehicle, On: s.On, Began: s.Began, Readings: s.Readings, Places: make(map[string]*fleet.Place, len(s.Places))}
	for id, p := range s.Places {
		place := &fleet.Place{Position: p.Position, Fitted: p.Fitted, Past: p.Past}
		for _, f := range p.Findings {
			if f.Value != nil {
				place.Findings = append(place.Findings, f)
			}
		}
		state.Places[id] = place
	}
	return &Report{Vehicle: r.Vehicle, Catalogue: r.Catalogue, On: r.On, State: state, Total: r.Total, HasTotal: r.HasTotal}
}

// besides is what all vehicles but one tell.
func (x *Experience) besides(one *fleet.Vehicle) []lived {
	return slices.DeleteFunc(slices.Clone(x.parts), func(l lived) bool { return l.state.Vehicle.ID == one.ID })
}

// exposure is what a life or a wear is counted in.
type exposure uint8

const (
	byDistance exposure = iota // km
	byTime                     // days
)

// span returns how much of an exposure lies between two moments of a vehicle,
// and false where it is not known.
func (e exposure) span(from, to fleet.Moment) (float64, bool) {
	if e == byDistance {
		return to.Total - from.Total, from.HasTotal && to.HasTotal && to.Total >= from.Total
	}
	return float64(to.Date.Sub(from.Date)), !from.Date.IsZero() && !to.Date.IsZero()
}

// end is the moment a part came off, or now.
func (l *lived) end() fleet.Moment {
	if !l.part.To.Date.IsZero() {
		return l.part.To
	}
	return fleet.Moment{Date: l.state.On, Total: l.total, HasTotal: l.hasTotal}
}

// entry is the exposure at which the journal began to watch a part that was
// already there.
func (l *lived) entry(e exposure) float64 {
	if l.part.Known == fleet.Recorded || len(l.state.Readings) == 0 {
		return 0
	}
	first := l.state.Readings[0]
	watched, ok := e.span(l.part.From, fleet.Moment{Date: l.state.Began, Total: first.Total, HasTotal: true})
	if !ok || watched < 0 {
		return 0
	}
	return watched
}

// observation turns a part into what lifetimes are learned from: failed parts
// failed, all others were still good when they came off or are still.
func (l *lived) observation(e exposure) (lifetime.Observation, bool) {
	age, ok := e.span(l.part.From, l.end())
	if !ok || age <= 0 {
		return lifetime.Observation{}, false
	}
	o := lifetime.RunningAt(age)
	if l.part.Removed == fleet.RemovedFailed && !l.part.To.Date.IsZero() {
		o = lifetime.FailedAt(age)
	}
	if from := l.entry(e); from < age {
		o = o.From(from)
	}
	return o, true
}

func sameMaterial(a, b string) bool { return a == b || a == "" || b == "" }

// prepared returns the wear of a kind, worked out once.
func (x *Experience) prepared(key wearKey, make func() (*wear.Kind, error)) (*wear.Kind, error) {
	x.mu.Lock()
	defer x.mu.Unlock()
	if p := x.kinds[key]; p != nil {
		return p.kind, p.err
	}
	k, err := make()
	x.kinds[key] = &preparedWear{k, err}
	return k, err
}

// replacementInterval returns the governing interval of a judgement that names
// a figure, or nil.
func replacementInterval(j *judge.Judgement) *judge.Due {
	for i := range j.Dues {
		if j.Dues[i].Governs && !j.Dues[i].OnCondition {
			return &j.Dues[i]
		}
	}
	for i := range j.Dues {
		if !j.Dues[i].OnCondition {
			return &j.Dues[i]
		}
	}
	return nil
}
