package ahead_test

import (
	"fmt"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// A count that is known but roughly tells less of the day a limit is met than one that is known well; a count by eye
// scatters as counts do.
func TestTheBandOfACountGoesIntoTheForecast(t *testing.T) {
	cat := loaded(t)
	start, end := civil.MustParse("2022-01-01"), civil.MustParse("2025-01-01")
	v := &fleet.Vehicle{ID: "teal", Name: "Teal", Built: start,
		Positions: []fleet.Position{{ID: "belt", Name: "Belt", Kind: "ribbed-belt", From: fleet.Above,
			Part: fleet.PartSpec{Material: "neoprene"}}}}
	days := func(half float64) int {
		entries := []*fleet.Entry{{ID: "01", Vehicle: "teal", Date: start, Fitted: &fleet.Fitted{Position: "belt",
			Part: fleet.PartSpec{Material: "neoprene"}}}}
		for i, n := range []float64{0, 2, 4, 6} {
			q := units.Must(n, "per 75 mm")
			f := &fleet.Found{Position: "belt", Check: "cracks", Value: &q}
			if half > 0 {
				f.Counted = &fleet.Counted{By: fleet.ByPhotograph, Version: "1", Low: n - half, High: n + half}
			}
			entries = append(entries, &fleet.Entry{ID: fmt.Sprint(i), Vehicle: "teal", Date: start.AddMonths(12 * i),
				Found: f})
		}
		r := advise.Vehicle(cat, v, entries, end)
		for _, w := range ahead.Wearouts(r, r.Judgement("belt")) {
			if !w.Crossed && !w.When.Latest.IsZero() {
				return w.When.Latest.Sub(w.When.Earliest)
			}
		}
		t.Fatalf("nothing is forecast with a band of %g", half)
		return 0
	}
	eye, well, roughly := days(0), days(0.5), days(3)
	if well < eye || roughly < well*11/10 {
		t.Errorf("8 in 10: %d days by eye, %d counted within 0.5, %d within 3", eye, well, roughly)
	}
}
