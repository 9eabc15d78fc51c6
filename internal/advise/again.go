package advise

import (
	"slices"

	"undertray/civil"
	"undertray/internal/fleet"
)

// UnderStance works the report out again under another stance.
func (r *Report) UnderStance(s fleet.Stance) *Report {
	v := *r.Vehicle
	v.Stance = s
	state := *r.State
	state.Vehicle = &v
	out := Of(r.Catalogue, &state)
	out.Experience, out.Units = newExperience(r.experience().parts), r.Units
	return out
}

// Again works the report out for a changed sheet or an earlier day, with what
// the yard's other vehicles told by then. It asks for the vehicle's whole record.
func (r *Report) Again(v *fleet.Vehicle, on civil.Date) *Report {
	return r.WithRecord(v, r.State.Record, on)
}

// WithRecord works the report out again from other entries.
func (r *Report) WithRecord(v *fleet.Vehicle, record []*fleet.Entry, on civil.Date) *Report {
	out := Vehicle(r.Catalogue, v, record, on)
	others := r.experience().besides(r.Vehicle)
	if on != r.On {
		others = asOf(others, on)
	}
	Gather([]*Report{out})
	out.Experience.parts = append(out.Experience.parts, others...)
	out.Units = r.Units
	return out
}

// asOf is what parts told by an earlier day.
func asOf(parts []lived, on civil.Date) []lived {
	then := map[*fleet.State]*lived{} // by the state that is known today
	var out []lived
	for _, l := range parts {
		if then[l.state] == nil {
			then[l.state] = stateThen(l.state, on)
		}
		at := then[l.state]
		if l.part.From.Date.After(on) || l.state.Began.After(on) {
			continue
		}
		part := *l.part
		if part.To.Date.After(on) {
			part.To, part.Removed = fleet.Moment{}, fleet.RemovedUnknown
		}
		place := *l.place
		place.Findings = slices.DeleteFunc(slices.Clone(place.Findings), func(f *fleet.Finding) bool { return f.Date.After(on) })
		out = append(out, lived{kind: l.kind, place: &place, part: &part, state: at.state, total: at.total, hasTotal: at.hasTotal})
	}
	return out
}

// stateThen is a state, as far as parts are counted from it, on an earlier day.
func stateThen(s *fleet.State, on civil.Date) *lived {
	state := &fleet.State{Vehicle: s.Vehicle, On: on, Began: s.Began}
	for _, r := range s.Readings {
		if !r.Date.After(on) {
			state.Readings = append(state.Readings, r)
		}
	}
	out := &lived{state: state}
	out.total, out.hasTotal = newForecast(state).Total(on)
	return out
}
