package listen

import (
	"testing"

	"pgregory.net/rapid"
)

// TestTwoCertainties: whatever the lines, an element in doubt does not move what is believed of the bearing, no element
// is surer than the bearing is flawed, all of them together are no more, and the words follow; a recording that is
// clipped or coarse is never said as most likely.
func TestTwoCertainties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, from, to float64) float64 { return rapid.Float64Range(from, to).Draw(t, name) }
		q := traits{whole: draw("whole", -0.5, 6), depth: draw("depth", 0, 6), turns: draw("turns", 0, 5),
			twin: draw("twin", 0, 3), lead: draw("lead", -5, 6)}
		other := q
		other.lead = draw("another lead", -5, 6)
		harmed := rapid.Bool().Draw(t, "harmed")
		flaw, _ := believed.of(q, harmed)
		if again, _ := believed.of(other, harmed); again != flaw {
			t.Fatalf("flawed %g by a lead of %g, %g by %g", flaw, q.lead, again, other.lead)
		}
		d := Diagnosis{Outcome: Named, Element: OuterRing, traits: q, harmed: harmed, Elements: []Belief{
			{Element: OuterRing, Score: 2}}}
		for _, e := range []Element{InnerRing, RollingOrCage}[:rapid.IntRange(0, 2).Draw(t, "beside")] {
			b := Belief{Element: e, Score: draw("score", 0.01, 5)}
			d.Elements = append(d.Elements, b)
		}
		d.believeBy(believed)
		sum := 0.0
		for i, b := range d.Elements {
			sum += b.P
			if b.P < 0 || b.P > d.Flaw || i > 0 && b.P > d.Elements[i-1].P {
				t.Fatalf("flawed %g: %v", d.Flaw, d.Elements)
			}
		}
		if d.Flaw != flaw || sum > d.Flaw+1e-9 {
			t.Fatalf("flawed %g, of which elements take %g", d.Flaw, sum)
		}
		if d.ElementSure() > d.FlawSure() || harmed && d.FlawSure() == MostLikely ||
			(d.Outcome == Named) != (d.ElementSure() != Unsaid) ||
			(d.Outcome == Unclear) != (d.FlawSure() == Unsaid) {
			t.Fatalf("%s: %q flawed at %g, %q its element", d.Outcome, d.FlawSure(), d.Flaw, d.ElementSure())
		}
	})
}
