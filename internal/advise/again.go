package advise

import (
	"undertray/civil"
	"undertray/internal/fleet"
)

// UnderStance works the report out again under another stance.
func (r *Report) UnderStance(s fleet.Stance) *Report {
	v := *r.Vehicle
	v.Stance = s
	return r.Again(&v, r.On)
}

// Again works the report out for a changed sheet or an earlier day, with what
// the yard's other vehicles told by then.
func (r *Report) Again(v *fleet.Vehicle, on civil.Date) *Report {
	return r.WithRecord(v, r.State.Record, on)
}

// WithRecord works the report out again from other entries.
func (r *Report) WithRecord(v *fleet.Vehicle, record []*fleet.Entry, on civil.Date) *Report {
	reports := []*Report{Vehicle(r.Catalogue, v, record, on)}
	others := r.experience().besides(r.State)
	if on != r.On {
		for _, s := range statesOf(others) {
			reports = append(reports, Vehicle(r.Catalogue, s.Vehicle, s.Record, on))
		}
		others = nil // Gather hears them as of that day
	}
	x := Gather(reports)
	x.parts = append(x.parts, others...)
	reports[0].Units = r.Units
	return reports[0]
}
