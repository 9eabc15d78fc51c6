package machine

import "testing"

func TestWordsAreReadAndRefused(t *testing.T) {
	for _, u := range All() {
		var got Undone
		if err := got.UnmarshalText([]byte(u)); err != nil || got != u {
			t.Errorf("%q read as %q: %v", u, got, err)
		}
	}
	for i, u := range Uses() {
		var got Use
		if err := got.UnmarshalText([]byte(u)); err != nil || got != u || got.Rank() != i+1 {
			t.Errorf("%q read as %q of rank %d: %v", u, got, got.Rank(), err)
		}
	}
	if new(Undone).UnmarshalText([]byte("bonnet-up")) == nil || new(Use).UnmarshalText([]byte("flying")) == nil {
		t.Error("a word that is none was taken")
	}
}

func TestNoEngineRunsOnWhatIsUndone(t *testing.T) {
	for _, u := range All() {
		if u.Later() {
			if Driving.Forbids(u) || Cranking.Forbids(u) {
				t.Errorf("%s forbids a drive", u)
			}
			continue
		}
		if u == SideBeltOff || u == SpareBeltOff {
			if Running.Forbids(u) || Driving.Forbids(u) != (u == SideBeltOff) {
				t.Errorf("%s: started %v, driven %v", u, Running.Forbids(u), Driving.Forbids(u))
			}
			continue
		}
		if !Running.Forbids(u) || !Cranking.Forbids(u) || !Driving.Forbids(u) {
			t.Errorf("an engine may be turned with %s", u)
		}
		if ByHand.Forbids(u) {
			t.Errorf("the crankshaft may not be turned by hand with %s", u)
		}
	}
	if !Ignition.Forbids(BatteryOff) || Ignition.Forbids(CoolantOut) {
		t.Error("the ignition wants the battery and nothing else")
	}
}
