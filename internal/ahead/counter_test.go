package ahead_test

import (
	"fmt"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// Belts that failed on vehicles which count hours tell nothing of one whose age is counted in km, and those that failed
// on others which count km do: lives in km and in hours are never pooled.
func TestLivesInHoursAndInKmAreNotPooled(t *testing.T) {
	cat := loaded(t)
	beside := func(counts fleet.Counter, unit string, per float64) float64 {
		own, j := partOf(t, cat, "ribbed-belt", 36)
		yard := []*advise.Report{own}
		for i := range 6 {
			v := &fleet.Vehicle{ID: fmt.Sprint("other-", i), Counts: counts, Built: today.AddMonths(-24),
				Positions: []fleet.Position{{ID: "it", Name: "It", Kind: "ribbed-belt", From: fleet.Above}}}
			var entries []*fleet.Entry
			for k := range 5 { // each lasted half a year
				q := units.Must(per*float64(6*k), unit)
				e := &fleet.Entry{ID: fmt.Sprintf("%03d", k), Vehicle: v.ID, Date: today.AddMonths(6*k - 24),
					Odometer: &q, Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: "it"}}
				if k > 0 {
					e.Fitted.Removed = fleet.RemovedFailed
				}
				entries = append(entries, e)
			}
			yard = append(yard, advise.Vehicle(cat, v, entries, today))
		}
		advise.Gather(yard)
		c, ok := ahead.ChanceOf(own, j)
		if !ok {
			t.Fatal("no chance")
		}
		return c.Until(today.AddMonths(12), own.Total+14400)
	}
	own, j := partOf(t, cat, "ribbed-belt", 36)
	alone, ok := ahead.ChanceOf(own, j)
	if !ok {
		t.Fatal("no chance")
	}
	want := alone.Until(today.AddMonths(12), own.Total+14400)
	if got := beside(fleet.ByHours, "h", 20); got != want {
		t.Errorf("a chance of %.5f beside vehicles that count hours, %.5f alone", got, want)
	}
	if got := beside(fleet.ByDistance, "km", 1200); got <= want {
		t.Errorf("a chance of %.5f beside others whose belts failed, %.5f alone: this test shows nothing", got, want)
	}
}
