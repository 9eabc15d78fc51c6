package advise_test

import (
	"context"
	"os"
	"slices"
	"sync"
	"testing"

	"undertray/internal/advise"
	"undertray/internal/demo"
	"undertray/internal/fleet"
	"undertray/internal/yard"
)

// demoReports works out the demo yard, once for all tests.
func demoReports(t testing.TB) map[string]*advise.Report {
	t.Helper()
	out, err := demoYard()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

var demoYard = sync.OnceValues(func() (map[string]*advise.Report, error) {
	dir, err := os.MkdirTemp("", "undertray-test-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	if _, err := demo.Create(context.Background(), dir); err != nil {
		return nil, err
	}
	y, err := yard.Open(dir)
	if err != nil {
		return nil, err
	}
	entries, err := demo.Entries(y)
	if err != nil {
		return nil, err
	}
	out := map[string]*advise.Report{}
	for _, r := range advise.Yard(y.Catalogue, y.Vehicles, entries, demo.Today) {
		out[r.Vehicle.ID] = r
	}
	return out, nil
})

func BenchmarkPlan(b *testing.B) {
	for id, r := range demoReports(b) {
		b.Run(id, func(b *testing.B) {
			for b.Loop() {
				if _, err := r.Plan(advise.PlanOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// parked is the demo van with a piece missing from its belt.
func parked(t testing.TB) *advise.Report {
	t.Helper()
	r := demoReports(t)["heron"]
	found := &fleet.Entry{ID: "f", Vehicle: "heron", Type: fleet.TypeFound, Date: r.On,
		Found: &fleet.Found{Position: "main-belt", Check: "rib-damage", Answer: "chunk-missing"}}
	return advise.Vehicle(r.Catalogue, r.Vehicle, append(slices.Clone(r.State.Record), found), r.On)
}
