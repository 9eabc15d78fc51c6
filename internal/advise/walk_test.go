package advise

import (
	"slices"
	"testing"

	"undertray.example/undertray/internal/fleet"
)

func TestWalkGoesClockwiseFromTheBulkhead(t *testing.T) {
	at := func(x, y float64) *fleet.Position { return &fleet.Position{From: fleet.Above, X: x, Y: y} }
	order := []*fleet.Position{at(60, 100), at(40, 100), at(5, 60), at(10, 5), at(50, 0), at(95, 5), at(95, 60),
		{From: fleet.Below, Y: 5}, {From: fleet.Below, Y: 150}}
	if !slices.IsSortedFunc(order, byWalk) {
		for _, p := range order {
			t.Log(p.X, p.Y, clockwise(p))
		}
		t.Error("the walk does not go from the bulkhead over the left wing to the front, the right wing and then below")
	}
}
