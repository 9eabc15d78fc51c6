package belt

import (
	"testing"

	"undertray/listen"
)

// Each recording that would tell more is said, and each doubt about taps.
func TestEveryCodeOfASoundIsSaid(t *testing.T) {
	for _, c := range []listen.Code{listen.MoreSeconds, listen.MoreMeter, listen.MoreBearing, listen.MoreSpeed,
		listen.MoreDash, listen.MorePulleys,
		listen.MoreOff, listen.MoreNearer, listen.MoreRod, moreEngine} {
		if mores[c] == "" {
			t.Errorf("nothing is said of %q", c)
		}
	}
	for _, c := range []listen.Code{listen.NoPluck, listen.OctaveAway, listen.FewAgree, listen.LowTone} {
		if tapDoubts[c] == "" {
			t.Errorf("nothing is said of %q", c)
		}
	}
}
