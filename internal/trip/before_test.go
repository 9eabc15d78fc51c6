package trip

import (
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/units"
)

// Where no odometer was ever read, a deadline by distance ends on a trip as long as it.
func TestADeadlineByDistanceWithoutAnOdometer(t *testing.T) {
	within := units.MustParse("300 km")
	j := &judge.Judgement{Todos: []judge.Todo{{Action: fleet.Change, By: fleet.Deadline{Distance: &within}}}}
	for km, want := range map[float64]bool{299: false, 300: true, 3000: true} {
		if got := (&Trip{Km: km}).dueBefore(j); got != want {
			t.Errorf("%g km: due %v, want %v", km, got, want)
		}
	}
}
