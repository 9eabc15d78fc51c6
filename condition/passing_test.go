package condition_test

import (
	"testing"

	"pgregory.net/rapid"

	"undertray/condition"
)

// A step in closed form is the same step jump by jump (Jensen's uniformisation), from every phase to every phase, for
// kinds of any pace and steps from next to nothing to many lives; it serves whenever the doubt is of the onset alone.
func TestClosedFormIsJumpByJump(t *testing.T) {
	steps, closed := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		lead := condition.Lead{Onset: []float64{rapid.Float64Range(3, 300).Draw(t, "onset"), 0},
			Lead:  []float64{rapid.Float64Range(3, 300).Draw(t, "lead"), 0},
			Shape: rapid.SampledFrom([]float64{0.7, 1, 3.3, 8, 20}).Draw(t, "shape"), ShapeLogSD: 0.5, Within: true,
			OnsetLogSD: 0.7, LeadLogSD: rapid.SampledFrom([]float64{0.4, 0.7, 1}).Draw(t, "spread"),
			Shares: rapid.SampledFrom([][]float64{nil, {1}, {0.6, 0.33, 0.07}, {0.3, 0.3, 0.4}}).Draw(t, "shares")}
		for e := range 2 {
			lead.Onset[e] = lead.Onset[0] * float64(1+e*rapid.IntRange(0, 3).Draw(t, "second"))
			lead.Lead[e] = lead.Lead[0]
		}
		var sound []condition.Sort
		prior, err := condition.FromLead(lead, sound, nil)
		if err != nil {
			t.Fatal(err)
		}
		post, err := prior.Learn(nil, condition.Options{Nodes: 16})
		if err != nil {
			t.Fatal(err)
		}
		dx := []float64{rapid.SampledFrom([]float64{0, 0.01, 0.3, 5, 40, 500}).Draw(t, "on"),
			rapid.Float64Range(0, 60).Draw(t, "on too")}
		off, kinds := post.Closed(dx)
		steps, closed = steps+16, closed+kinds
		if off > 1e-9 {
			t.Fatalf("%g off in a step of %v", off, dx)
		}
	})
	t.Logf("%d of %d steps are had in closed form", closed, steps)
	if closed < steps/3 {
		t.Error("too few")
	}
}
