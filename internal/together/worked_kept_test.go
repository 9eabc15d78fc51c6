package together

import (
	"context"
	"testing"

	"undertray/civil"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
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

func (nothing) CatchUp(context.Context) error { return nil }
func (nothing) Version(string) int64          { return 0 }

func (nothing) Folded(_ context.Context, v *fleet.Vehicle, _ civil.Date) (*fleet.Kept, error) {
	return fleet.NewKept(v), nil
}

// one is a yard of one vehicle.
type one struct{ v *fleet.Vehicle }

func (o one) IDs() []string                          { return []string{o.v.ID} }
func (o one) Vehicle(string) (*fleet.Vehicle, error) { return o.v, nil }
