package advise

import (
	"slices"
	"testing"
)

// Quick is what the quick jobs take that were put at a visit after the plan was
// made.
func (v *PlanVisit) Quick(p *Plan) (minutes, money float64) {
	for _, t := range v.Tasks {
		if slices.ContainsFunc(p.m.small, func(it *planItem) bool { return it.id == t.id }) {
			minutes, money = minutes+t.Minutes, money+t.Money
		}
	}
	return minutes, money
}

// UnknownVehicles works out every archetype as a vehicle of ten years of which
// but one reading is known.
func UnknownVehicles(t testing.TB) []*Report { return reports(t) }
