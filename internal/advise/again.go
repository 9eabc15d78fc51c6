package advise

import (
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
)

// UnderStance works the report out again under another stance.
func (r *Report) UnderStance(s fleet.Stance) *Report {
	v := *r.Vehicle
	v.Stance = s
	state := *r.State
	state.Vehicle = &v
	out := Of(r.Catalogue, &state)
	out.Experience = newExperience(r.Experienced())
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
	others := r.Experienced().besides(r.Vehicle)
	if on != r.On {
		others = asOf(others, on)
	}
	Gather([]*Report{out}).Remembering(r.Experienced().memory)
	for _, l := range others {
		of := sort{l.Kind, l.State.Vehicle.Counts.Dimension()}
		out.Experience.parts[of] = append(out.Experience.parts[of], l)
	}
	return out
}

// asOf is what parts told by an earlier day.
func asOf(parts []Lived, on civil.Date) []Lived {
	then := map[*fleet.State]*Lived{} // by the state that is known today
	var out []Lived
	for _, l := range parts {
		if then[l.State] == nil {
			then[l.State] = stateThen(l.State, on)
		}
		at := then[l.State]
		if l.Part.From.Date.After(on) || l.State.Began.After(on) {
			continue
		}
		part := *l.Part
		if part.To.Date.After(on) {
			part.To, part.Removed, part.Off = fleet.Moment{}, fleet.RemovedUnknown, ""
		}
		place := *l.Place
		later := func(f *fleet.Finding) bool { return f.Date.After(on) }
		place.Findings, place.Hand = slices.DeleteFunc(slices.Clone(place.Findings), later),
			slices.DeleteFunc(slices.Clone(place.Hand), later)
		l.Place, l.Part, l.State, l.Total, l.HasTotal = &place, &part, at.State, at.Total, at.HasTotal
		out = append(out, l)
	}
	return out
}

// stateThen is a state, as far as parts are counted from it, on an earlier day.
func stateThen(s *fleet.State, on civil.Date) *Lived {
	state := &fleet.State{Vehicle: s.Vehicle, On: on, Began: s.Began}
	for _, r := range s.Readings {
		if !r.Date.After(on) {
			state.Readings = append(state.Readings, r)
		}
	}
	out := &Lived{State: state}
	out.Total, out.HasTotal = newForecast(state).Total(on)
	return out
}
