package advise

import (
	"slices"
	"sync"

	"undertray/internal/catalogue"
	"undertray/internal/fleet"
)

// Experience is what a yard's own parts tell of each kind: how long they
// lived, and how their figures ran. It may be used by many goroutines.
type Experience struct {
	parts []Lived

	mu   sync.Mutex
	kept map[any]any // what was worked out from the parts, by its key
}

// lived is one part, past or present, of a known kind.
type Lived struct {
	Kind     string
	Place    *fleet.Place
	Part     *fleet.Part
	State    *fleet.State
	Total    float64 // expected total distance today, km
	HasTotal bool
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

func newExperience(parts []Lived) *Experience {
	return &Experience{parts: parts, kept: map[any]any{}}
}

// Parts are the parts that the experience is of. Nobody changes them.
func (x *Experience) Parts() []Lived { return x.parts }

// Once returns what is worked out from the parts under a key, worked out once.
func (x *Experience) Once(key any, make func() any) any {
	x.mu.Lock()
	defer x.mu.Unlock()
	v, ok := x.kept[key]
	if !ok {
		v = make()
		x.kept[key] = v
	}
	return v
}

// Experienced is the experience of the yard, or of the vehicle's own parts where
// it was worked out alone.
func (r *Report) Experienced() *Experience {
	if r.Experience == nil {
		Gather([]*Report{r})
	}
	return r.Experience
}

// And is what one more vehicle adds.
func (x *Experience) And(r *Report) *Experience {
	return newExperience(r.partsInto(slices.Clip(x.parts)))
}

// partsInto appends the vehicle's parts, past and present.
func (r *Report) partsInto(parts []Lived) []Lived {
	for i := range r.Vehicle.Positions {
		place := r.State.Place(r.Vehicle.Positions[i].ID)
		add := func(p *fleet.Part) {
			parts = append(parts, Lived{Kind: place.Position.Kind, Place: place, Part: p, State: r.State, Total: r.Total, HasTotal: r.HasTotal})
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

// PeerOf is what other vehicles learn from one in this state.
func PeerOf(cat *catalogue.Catalogue, s *fleet.State) *Report { return outlookOf(cat, s).AsPeer() }

// AsPeer is what other vehicles learn from this one: its parts, and the figures
// found on them.
func (r *Report) AsPeer() *Report {
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
func (x *Experience) besides(one *fleet.Vehicle) []Lived {
	return slices.DeleteFunc(slices.Clone(x.parts), func(l Lived) bool { return l.State.Vehicle.ID == one.ID })
}
