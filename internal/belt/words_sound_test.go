package belt

import (
	"strings"
	"testing"

	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/listen"
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

// Each reason of a diagnosis is said in a sentence of its own, and each warning.
func TestEveryReasonOfADiagnosisIsSaid(t *testing.T) {
	said := map[string]listen.Code{}
	for _, c := range []listen.Code{listen.NothingOut, listen.SpeedUnsure, listen.HalfWay, listen.OtherComb,
		listen.TwoOut, listen.StandsOut, listen.FaintBeat, listen.NoneSure} {
		s := whyWords(&listen.Diagnosis{Why: c, Element: listen.OuterRing,
			Elements: []listen.Belief{{Element: listen.OuterRing}, {Element: listen.InnerRing}}})
		if other, twice := said[s.String()]; s == "" || twice {
			t.Errorf("%q is said as %q is: %s", c, other, s)
		}
		said[s.String()] = c
	}
	for k := listen.Clipped; k <= listen.Coarse; k++ {
		if len(warningTexts([]listen.Warning{{Kind: k}})) != 1 {
			t.Errorf("nothing is said of a recording that is %s", k)
		}
	}
}

// A shaft's answer has two parts: how sure the bearing is and how sure the element.
func TestShaftIsToldInTwoParts(t *testing.T) {
	both := func(flaw, element float64, out listen.Outcome, also ...listen.Belief) *ShaftHeard {
		return &ShaftHeard{Diagnosis: listen.Diagnosis{Outcome: out, Element: listen.OuterRing,
			Bearings: []string{"6203"}, Flaw: flaw,
			Elements: append([]listen.Belief{{Element: listen.OuterRing, P: element, Score: 3}}, also...),
			Why:      listen.TwoOut, RivalElement: listen.InnerRing}}
	}
	inner := listen.Belief{Element: listen.InnerRing, P: 0.03, Score: 2}
	likelier := both(0.99, 0.34, listen.Flawed, inner) // the other than that of the best match
	likelier.Diagnosis.Elements = []listen.Belief{{Element: listen.InnerRing, P: 0.43, Score: 2},
		{Element: listen.OuterRing, P: 0.34, Score: 3}}
	for want, h := range map[string]*ShaftHeard{
		"Most likely the outer ring of the 6203.":                            both(0.99, 0.97, listen.Named),
		"Most likely the 6203 is flawed, probably its outer ring.":           both(0.99, 0.85, listen.Named, inner),
		"Probably the outer ring of the 6203.":                               both(0.9, 0.85, listen.Named),
		"Most likely the 6203 is flawed: outer ring or inner ring, or both.": both(0.99, 0.5, listen.Flawed, inner),
		"Most likely the 6203 is flawed: inner ring or outer ring, or both.": likelier,
	} {
		if got := h.Headline(); got.String() != want {
			t.Errorf("%s\nwant %s", got, want)
		}
	}
	text := strings.Join(told.InEnglish(both(0.99, 0.85, listen.Named, inner).Told()), " ")
	for _, part := range []string{"99 in 100", "85 in 100", "3 in 100", "inner ring stand out too"} {
		if !strings.Contains(text, part) {
			t.Errorf("%q does not say %q", text, part)
		}
	}
	if v := both(0.99, 0.5, listen.Flawed, inner).View(); v.Flawed.Certainty != "most likely" || v.Element != "" ||
		len(v.Elements) != 2 || v.Bearings[0] != "6203" || !strings.Contains(v.Decides.String(), "shaft") {
		t.Errorf("%+v", v)
	}
}
