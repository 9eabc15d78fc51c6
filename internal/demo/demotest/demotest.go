// Package demotest works vehicles out for the tests of the rooms: the demo
// yard, and vehicles of which nothing is known.
package demotest

import (
	"cmp"
	"context"
	"maps"
	"os"
	"slices"
	"sync"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// Reports works out the demo yard, once for all tests, by vehicle id.
func Reports(t testing.TB) map[string]*advise.Report {
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
	for _, r := range advise.Yard(y.Catalogue, y.Vehicles(), entries, demo.Today) {
		out[r.Vehicle.ID] = r
	}
	return out, nil
})

// Parked is the demo van with a piece missing from its belt.
func Parked(t testing.TB) *advise.Report {
	t.Helper()
	r := Reports(t)["heron"]
	found := &fleet.Entry{ID: "f", Vehicle: "heron", Type: fleet.TypeFound, Date: r.On,
		Found: &fleet.Found{Position: "main-belt", Check: "rib-damage", Answer: "chunk-missing"}}
	return advise.Vehicle(r.Catalogue, r.Vehicle, append(slices.Clone(r.State.Record), found), r.On)
}

// today is the day on which Unknown works vehicles out.
var today = civil.MustParse("2026-11-25")

// Unknown works out every archetype as a vehicle of ten years of which nothing
// but one reading is known, once for all tests.
func Unknown(t testing.TB) []*advise.Report {
	t.Helper()
	out, err := archetypes()
	if err != nil {
		t.Fatal(err)
	}
	return slices.Clone(out)
}

var archetypes = sync.OnceValues(func() ([]*advise.Report, error) {
	cat, err := catalogue.Load()
	if err != nil {
		return nil, err
	}
	var out []*advise.Report
	for _, a := range ask.Archetypes() {
		answers, err := ask.From(a.ID)
		if err != nil {
			return nil, err
		}
		src, err := ask.Build(answers, ask.Filling{Vehicle: "teal", Name: "Teal", Built: today.AddMonths(-120)})
		if err != nil {
			return nil, err
		}
		v, err := sheet.Parse(a.ID, src, cat)
		if err != nil {
			return nil, err
		}
		reading := units.MustParse("152300 km")
		entries := []*fleet.Entry{{ID: "1", Vehicle: "teal", Type: fleet.TypeOdometer, Date: today, Odometer: &reading}}
		out = append(out, advise.Vehicle(cat, v, entries, today))
	}
	return out, nil
})

// All is Reports in the order of the yard's vehicles.
func All(t testing.TB) []*advise.Report {
	t.Helper()
	m := Reports(t)
	return slices.SortedFunc(maps.Values(m), func(a, b *advise.Report) int {
		return cmp.Compare(a.Vehicle.ID, b.Vehicle.ID)
	})
}

// Due names the positions of a vehicle that ask for a change, fall due by the
// visit after next, or have an interval of which nobody knows where it ends.
func Due(r *advise.Report) []string {
	var out []string
	for i := range r.Judgements {
		if j := &r.Judgements[i]; j.Verdict >= fleet.PutRight || r.DueSoon(j) ||
			slices.ContainsFunc(j.Dues, func(d judge.Due) bool {
				return d.Untold() && !d.OnCondition
			}) {
			out = append(out, j.Position.ID)
		}
	}
	return out
}

// Memory remembers what took long to work out, and counts what it is asked for and told. It may be used by several
// goroutines at once; who reads its fields waits for those.
type Memory struct {
	mu          sync.Mutex
	Kept        map[string][]byte // not nil
	Asked, Told int
}

// Recall returns what was remembered under that name, or nil.
func (m *Memory) Recall(from string) []byte {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.Asked++
	return m.Kept[from]
}

// Remember keeps something under a name.
func (m *Memory) Remember(from string, what []byte) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.Told++
	m.Kept[from] = what
}
