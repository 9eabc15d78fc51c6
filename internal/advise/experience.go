package advise

import (
	"cmp"
	"maps"
	"slices"
	"sync"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// Experience is what a yard's own parts tell of each kind: how long they
// lived, and how their figures ran. It may be used by many goroutines.
type Experience struct {
	others *Experience // that this one adds to, or nil
	parts  map[sort][]Lived
	before map[any]any // what was worked out, by its key, from the experience before this one

	memory Memory // nil: none

	mu   sync.Mutex
	kept map[any]*once // what was worked out from the parts, by its key
}

// sort is what is told together: the parts of a kind on vehicles that count the same. A
// life in kilometres tells nothing of one in hours.
type sort struct {
	kind   string
	counts units.Dimension
}

// once is worked out by whoever asks first.
type once struct {
	sync.Once
	value any
	after bool // the next experience may take it over
}

// Memory keeps what took long to work out beyond an experience, each under all that it
// was worked out from. It may lose any of it, which is then worked out again, and may be
// used by many goroutines.
type Memory interface {
	// Recall returns what was kept, or nil. Nobody changes it.
	Recall(from string) []byte
	// Remember keeps what was worked out, in one line.
	Remember(from string, what []byte)
}

// Remembering hands an experience that nobody has used yet a memory.
func (x *Experience) Remembering(m Memory) *Experience {
	x.memory = m
	return x
}

// Memory is what the experience was handed; nil where it has none.
func (x *Experience) Memory() Memory { return x.memory }

// lived is one part, past or present, of a known kind.
type Lived struct {
	Kind     string
	Of       *catalogue.Catalogue
	Place    *fleet.Place
	Part     *fleet.Part
	State    *fleet.State
	Total    float64 // expected total today, km or hours
	HasTotal bool
}

// Gather collects the experience of the vehicles of a yard and hands it to all
// of their reports, so that each profits from what the others have seen.
func Gather(reports []*Report) *Experience { return GatherAfter(nil, reports) }

// GatherAfter is Gather where much may be as it was in an experience before, which may be
// nil: see OnceAfter.
func GatherAfter(before *Experience, reports []*Report) *Experience {
	x := newExperience(nil)
	x.before = before.over()
	for _, r := range reports {
		r.partsInto(x.parts)
		r.Experience = x
	}
	return x
}

func newExperience(others *Experience) *Experience {
	x := &Experience{others: others, parts: map[sort][]Lived{}, kept: map[any]*once{}}
	if others != nil {
		x.memory = others.memory
	}
	return x
}

// mostBefore is how much that was not asked for lately is handed on.
const mostBefore = 300

// over is what the next experience may take over: what was worked out in this one, and in
// the one before it.
func (x *Experience) over() map[any]any {
	if x == nil {
		return nil
	}
	out := map[any]any{}
	if len(x.before) < mostBefore {
		maps.Copy(out, x.before)
	}
	x.mu.Lock()
	defer x.mu.Unlock()
	for key, o := range x.kept {
		if o.after && o.value != nil {
			out[key] = o.value
		}
	}
	return out
}

// Of are the parts of a kind that the experience is of, on vehicles that count the same
// (units.Distance or units.EngineHours). Nobody changes them.
func (x *Experience) Of(kind string, counts units.Dimension) []Lived {
	own := x.parts[sort{kind, counts}]
	if x.others == nil {
		return own
	}
	return slices.Concat(x.others.Of(kind, counts), own)
}

// Besides returns the experience that this one adds parts to, and those of Of that
// it adds, which nobody changes; nil where it adds to none.
func (x *Experience) Besides(kind string, counts units.Dimension) (*Experience, []Lived) {
	return x.others, x.parts[sort{kind, counts}]
}

// Once returns what is worked out from the parts under a key, worked out once.
func (x *Experience) Once(key any, make func() any) any {
	return x.once(key, false, func(any) any { return make() })
}

// OnceAfter is Once for what costs much: make is handed what was worked out under the key
// from the experience before, or nil.
func (x *Experience) OnceAfter(key any, make func(before any) any) any {
	return x.once(key, true, make)
}

func (x *Experience) once(key any, after bool, make func(before any) any) any {
	x.mu.Lock()
	o := x.kept[key]
	if o == nil {
		o = &once{after: after}
		x.kept[key] = o
	}
	x.mu.Unlock()
	o.Do(func() {
		value := make(x.before[key])
		x.mu.Lock()
		defer x.mu.Unlock()
		o.value = value
	})
	return o.value
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
	out := newExperience(x)
	r.partsInto(out.parts)
	return out
}

// partsInto appends the vehicle's parts, past and present.
func (r *Report) partsInto(parts map[sort][]Lived) {
	for i := range r.Vehicle.Positions {
		place := r.State.Place(r.Vehicle.Positions[i].ID)
		add := func(p *fleet.Part) {
			kind := place.Position.Kind
			of := sort{kind, r.Vehicle.Counts.Dimension()}
			parts[of] = append(parts[of], Lived{Kind: kind, Of: r.Catalogue, Place: place, Part: p, State: r.State,
				Total: r.Total, HasTotal: r.HasTotal})
		}
		for _, p := range place.Past {
			add(p)
		}
		if place.Fitted != nil {
			add(place.Fitted)
		}
	}
}

// PeerOf is what other vehicles learn from one in this state.
func PeerOf(cat *catalogue.Catalogue, s *fleet.State) *Report { return outlookOf(cat, s).AsPeer() }

// AsPeer is what other vehicles learn from this one: its parts, the figures found
// on them, and what was found on those that came off.
func (r *Report) AsPeer() *Report {
	s := r.State
	state := &fleet.State{Vehicle: s.Vehicle, On: s.On, Began: s.Began, Readings: s.Readings,
		Places: make(map[string]*fleet.Place, len(s.Places))}
	for id, p := range s.Places {
		place := &fleet.Place{Position: p.Position, Fitted: p.Fitted, Past: p.Past, Hand: p.Hand}
		for _, f := range p.Findings {
			if f.Value != nil || slices.ContainsFunc(p.Past, func(part *fleet.Part) bool { return part.Had(f) }) {
				place.Findings = append(place.Findings, f)
			}
		}
		state.Places[id] = place
	}
	return &Report{Vehicle: r.Vehicle, Catalogue: r.Catalogue, On: r.On, State: state, Total: r.Total,
		HasTotal: r.HasTotal}
}

// besides is what all vehicles but one tell.
func (x *Experience) besides(one *fleet.Vehicle) []Lived {
	var out []Lived
	for ; x != nil; x = x.others {
		for _, of := range slices.SortedFunc(maps.Keys(x.parts), func(a, b sort) int {
			return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(a.counts, b.counts))
		}) {
			for _, l := range x.parts[of] {
				if l.State.Vehicle.ID != one.ID {
					out = append(out, l)
				}
			}
		}
	}
	return out
}
