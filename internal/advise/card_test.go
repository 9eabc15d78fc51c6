package advise_test

import (
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo/demotest"
)

// The charge lamp means stop where the alternator's belt turns the coolant pump
// too, and drive gently home where it does not; what a vehicle lacks does not
// stand on its card (common practice).
func TestTheDriversCardFollowsTheBelts(t *testing.T) {
	reports := demotest.Reports(t)
	for vehicle, want := range map[string]string{"heron": catalogue.StopNow, "bittern": catalogue.StopNow,
		"dunnock": catalogue.DriveHome} {
		found := false
		for _, l := range reports[vehicle].Card() {
			if l.Sign.ID != "charge-lamp" {
				continue
			}
			if found = true; l.Do != want ||
				(want == catalogue.StopNow) != strings.Contains(l.Words().String(), "also turns the water pump") {
				t.Errorf("%s: the charge lamp means %q: %s", vehicle, l.Do, l.Words())
			}
		}
		if !found {
			t.Errorf("%s: no charge lamp", vehicle)
		}
	}
	for vehicle, has := range map[string]bool{"heron": false, "dunnock": true} {
		on := false
		var last int
		for _, l := range reports[vehicle].Card() {
			on = on || l.Sign.ID == "timing-noise"
			rank := map[string]int{catalogue.StopNow: 0, catalogue.DriveHome: 1, catalogue.LookTonight: 2}[l.Do]
			if rank < last {
				t.Errorf("%s: %q stands after what is less grave", vehicle, l.Sign.Say)
			}
			last = rank
		}
		if on != has {
			t.Errorf("%s: timing noise on the card: %v", vehicle, on)
		}
	}
	if advise.AdviceWords(catalogue.StopNow) == advise.AdviceWords(catalogue.LookTonight) {
		t.Error("stop and look are said alike")
	}
}
