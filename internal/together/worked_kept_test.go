package together

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"golang.org/x/sync/errgroup"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
)

// A sheet read again is another vehicle in memory: what was worked out from the
// sheet before it is let go.
func TestWorkedKeepsOneReportOfAVehicle(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	on := civil.MustParse("2026-11-25")
	w := Worked{Folds: nothing{}}
	for i := range 50 {
		v := &fleet.Vehicle{ID: "wren", Name: "Wren", Built: civil.MustParse("2014-05-01")}
		v.Positions = make([]fleet.Position, 1)
		v.Positions[0] = fleet.Position{ID: "main-belt", Name: "Main belt", Kind: "ribbed-belt"}
		if i%2 == 1 {
			v.Positions = nil
		}
		look, err := w.Look(t.Context(), cat, one{v}, on)
		if err != nil {
			t.Fatal(err)
		}
		reports, err := look.Yard(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		got := reports[0]
		if got.Vehicle != v || len(got.Judgements) != len(v.Positions) {
			t.Fatalf("reading %d: the report is of an earlier sheet", i)
		}
	}
	if len(w.kept) != 1 {
		t.Errorf("%d reports of one vehicle are kept", len(w.kept))
	}
}

// nothing is a journal without entries.
type nothing struct{}

func (nothing) CatchUp(context.Context) error               { return nil }
func (nothing) Version(string) int64                        { return 0 }
func (nothing) Mark(context.Context) (string, int64, error) { return "", 0, nil }

func (nothing) Folded(_ context.Context, v *fleet.Vehicle, _ civil.Date) (*fleet.Kept, error) {
	return fleet.NewKept(v), nil
}

// one is a yard of one vehicle.
type one struct{ v *fleet.Vehicle }

func (o one) IDs() []string                          { return []string{o.v.ID} }
func (o one) Vehicle(string) (*fleet.Vehicle, error) { return o.v, nil }

// crowd is a yard of vehicles without parts, more than are kept.
type crowd []*fleet.Vehicle

func (m crowd) IDs() []string {
	ids := make([]string, len(m))
	for i, v := range m {
		ids[i] = v.ID
	}
	return ids
}

func (m crowd) Vehicle(id string) (*fleet.Vehicle, error) {
	return m[slices.IndexFunc(m, func(v *fleet.Vehicle) bool { return v.ID == id })], nil
}

// TestWorkedHandsOverWhatWasLetGo: many ask at once for more vehicles than are kept, so
// that a report may be let go of before it is handed over (seen by the race detector at once,
// without it seldom).
func TestWorkedHandsOverWhatWasLetGo(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	var all crowd
	for i := range 120 {
		all = append(all, &fleet.Vehicle{ID: fmt.Sprintf("v%d", i), Built: civil.MustParse("2014-05-01")})
	}
	w := Worked{Folds: nothing{}}
	look, err := w.Look(t.Context(), cat, all, civil.MustParse("2026-11-25"))
	if err != nil {
		t.Fatal(err)
	}
	var group errgroup.Group
	for worker := range 64 {
		group.Go(func() error {
			for i := range 40 {
				v := all[(worker*7+i*11)%len(all)]
				r, err := look.Among(t.Context(), v)
				if err != nil || r.Vehicle != v {
					return fmt.Errorf("%s: %+v, %v", v.ID, r, err)
				}
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		t.Error(err)
	}
}
