package advise

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
		look, err := w.Look(t.Context(), cat, []*fleet.Vehicle{v}, on)
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

func (nothing) Versions(_ context.Context, vehicles []*fleet.Vehicle) ([]int64, error) {
	return make([]int64, len(vehicles)), nil
}

func (nothing) Folded(_ context.Context, v *fleet.Vehicle, _ civil.Date) (*fleet.Kept, error) {
	return fleet.NewKept(v), nil
}
