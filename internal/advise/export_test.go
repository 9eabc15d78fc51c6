package advise

import (
	"slices"
	"testing"
)

// QuickMoney is what the quick jobs cost that were put at a visit after the
// plan was made.
func (v YardVisit) QuickMoney() float64 {
	sum := 0.0
	for _, t := range v.Visit.Tasks {
		if slices.ContainsFunc(v.Plan.m.small, func(it *planItem) bool { return it.id == t.id }) {
			sum += t.Money
		}
	}
	return sum
}

// UnknownVehicles works out every archetype as a vehicle of ten years of which
// but one reading is known.
func UnknownVehicles(t testing.TB) []*Report { return reports(t) }
