package condition_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/condition"
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

// onsetInDoubt is a kind of which the onset alone is in doubt, seen by the looks of anyKind.
func onsetInDoubt(t *rapid.T) condition.Prior {
	kind := anyKind(t)
	if len(kind.Stages) < 2 {
		t.Skip("no sign")
	}
	lead := condition.Lead{Onset: kind.Stages[0].Mean, Lead: []float64{rapid.Float64Range(3, 80).Draw(t, "lead"), 900},
		Shape: rapid.SampledFrom([]float64{0.7, 1, 3, 5.5}).Draw(t, "shape"), ShapeLogSD: 0.4, OnsetLogSD: 0.5,
		LeadLogSD: 0.7, Within: true}
	lead.Onset[1] = 900
	for range kind.Stages[1:] {
		lead.Shares = append(lead.Shares, 1/float64(len(kind.Stages)-1))
	}
	prior, err := condition.FromLead(lead, kind.Looks, nil)
	if err != nil {
		t.Fatal(err)
	}
	prior.Else = anyElse(t)
	return prior
}

// Several accounts of one part followed at once are each followed by itself, whether their looks were at the same times
// or not, some blind, some of measured values, and taken off for what was seen; and so they are where the part is among
// those learnt from, whose own story counts once however it is told.
func TestSeveralAreEachByItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		prior := onsetInDoubt(t)
		if rapid.Bool().Draw(t, "any kind") {
			prior = doubt(t, anyKind(t))
		}
		post, err := prior.Learn(nil, condition.Options{Nodes: 16})
		if err != nil {
			t.Fatal(err)
		}
		h := anyHistory(t)
		if n := len(h.Looks); n > 0 && rapid.Bool().Draw(t, "measured") {
			h.Looks = append(h.Looks, condition.Look{At: h.Looks[n-1].At, Sort: 2, Value: 0.7, SD: 0.2})
		}
		if rapid.Bool().Draw(t, "of unknown age") {
			h.Ages = []condition.Age{{At: []float64{0, 0}, Weight: 1}, {At: []float64{40, 60}, Weight: 2}}
		}
		told := condition.History{At: h.At, Ages: h.Ages}
		blind, fewer := slices.Clone(h.Looks), slices.Clone(h.Looks)
		for i := range blind {
			blind[i].Blind = blind[i].Sort == 0
		}
		accounts := [][]condition.Look{h.Looks, blind, fewer[:len(fewer)/2]}
		if rapid.Bool().Draw(t, "taken off") {
			h.Outcome, h.By, h.To = condition.RemovedBad, 0, 1
		}
		together, err := post.Several(h, accounts)
		if err != nil {
			t.Skip("not possible")
		}
		beyond, err := post.SeveralOf(h, accounts, told)
		if err != nil {
			t.Skip("not possible")
		}
		for i, looks := range accounts {
			h.Looks = looks
			alone, err := post.Part(h)
			if err != nil {
				t.Fatal(err)
			}
			same(t, "by itself", together[i], alone, 1e-9)
			longer := told // the same story in two steps
			longer.Looks = []condition.Look{{At: []float64{h.At[0] / 2, h.At[1] / 2}, Sort: 3}}
			if alone, err = post.PartOf(h, longer); err != nil {
				t.Fatal(err)
			}
			same(t, "beyond its story", beyond[i], alone, 1e-4)
		}
	})
}

// same holds that two parts are in the same stages with the same chances, to what jumps left out on other ways make.
func same(t *rapid.T, what string, a, b *condition.Part, leaves float64) {
	one, err := a.FailWithin(within)
	two, err2 := b.FailWithin(within)
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	if math.Abs(one.Mean-two.Mean) > leaves {
		t.Fatalf("%s: %+v, %+v", what, one, two)
	}
	for j, p := range a.Stages() {
		if q := b.Stages()[j]; math.Abs(p-q) > leaves {
			t.Fatalf("%s: stage %d %v, %v", what, j, p, q)
		}
	}
}
