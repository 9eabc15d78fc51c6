package trip_test

import (
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/trip"
	"undertray.example/undertray/units"
)

// What a licensed workshop does before a trip is named with what its part costs
// by the sheet, from which the plan has its prices too, and says nothing of the
// workshop's own.
func TestLicensedWorkHasThePriceOfItsPart(t *testing.T) {
	r := found(t, [3]string{"compressor-bearing", "spin", "rough"})
	out, err := trip.Ask(r, trip.Options{Km: 1500, Days: 20})
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(out.Must, func(f trip.Fix) bool { return f.Judgement.Position.LookOnly })
	if i < 0 {
		t.Fatalf("nothing is for a licensed workshop: %+v", out.Must)
	}
	f := out.Must[i]
	want := f.Judgement.Position.Part.Cost
	if want == nil || f.Part != want.Value() || f.Money != 0 {
		t.Errorf("the part costs %v by the sheet; the trip has %g, %g of its own", want, f.Part, f.Money)
	}
	if s := f.Words(out.Currency).String(); !strings.Contains(s, "workshop's work not counted") {
		t.Errorf("said as %q", s)
	}
	if v := out.View(units.Preferences{}); !slices.ContainsFunc(v.Before, func(b trip.FixView) bool {
		return b.Part == f.Part
	}) {
		t.Error("JSON has no price of it")
	}
}
