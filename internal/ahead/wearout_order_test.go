package ahead_test

import (
	"slices"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
)

// What is forecast of a part does not depend on which parts were asked about
// before it.
func TestWearDoesNotDependOnTheOrderOfAsking(t *testing.T) {
	var vehicles []*fleet.Vehicle
	var entries []*fleet.Entry
	var of *advise.Report
	for _, r := range demotest.All(t) {
		of = r
		vehicles, entries = append(vehicles, r.Vehicle), append(entries, r.State.Record...)
	}
	ask := func(backwards bool) map[string][]advise.When {
		reports := advise.Yard(of.Catalogue, vehicles, entries, demo.Today)
		if backwards {
			slices.Reverse(reports)
		}
		out := map[string][]advise.When{}
		for _, r := range reports {
			for i := range r.Judgements {
				j := &r.Judgements[i]
				if j.Place == nil || j.Place.Fitted == nil {
					continue
				}
				for _, w := range ahead.Wearouts(r, j) {
					id := r.Vehicle.ID + " " + j.Position.ID
					out[id] = append(out[id], w.When)
				}
			}
		}
		return out
	}
	forwards, backwards := ask(false), ask(true)
	if len(forwards) < 5 {
		t.Fatalf("%d parts have a figure that wears: too few to tell", len(forwards))
	}
	for id, a := range forwards {
		if b := backwards[id]; !slices.Equal(a, b) {
			t.Errorf("%s: %+v asked first, %+v asked last", id, a, b)
		}
	}
}
