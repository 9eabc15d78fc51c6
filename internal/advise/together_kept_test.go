package advise

import (
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
	var w Worked
	for i := range 50 {
		v := &fleet.Vehicle{ID: "wren", Name: "Wren", Built: civil.MustParse("2014-05-01")}
		v.Positions = make([]fleet.Position, 1)
		v.Positions[0] = fleet.Position{ID: "main-belt", Name: "Main belt", Kind: "ribbed-belt"}
		if i%2 == 1 {
			v.Positions = nil
		}
		got := w.Yard(cat, []*fleet.Vehicle{v}, nil, on)[0]
		if got.Vehicle != v || len(got.Judgements) != len(v.Positions) {
			t.Fatalf("reading %d: the report is of an earlier sheet", i)
		}
	}
	if len(w.kept) != 1 {
		t.Errorf("%d reports of one vehicle are kept", len(w.kept))
	}
}
