package ahead_test

import (
	"testing"

	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// ready is a stretch of 2 400 km at which changing a part costs so much.
func ready(cost float64) ahead.Stretch {
	return ahead.Stretch{Km: 2400, Days: 5, Loss: 400, Hour: 10, Change: func(*judge.Judgement) (float64, bool) {
		return cost, true
	}}
}

// A look is never worth less than nothing, nor more than all that a breakdown
// would cost; a good answer never leaves a higher chance than there was, and a
// bad one a lower.
func TestLooksAreWorthNoLessThanNothing(t *testing.T) {
	looks, worthy := 0, 0
	for _, r := range demotest.All(t) {
		for _, cost := range []float64{1, 10, 60} {
			for _, l := range ahead.Lookings(r, ready(cost)) {
				looks++
				if l.Worth > 0.01 {
					worthy++
				}
				if l.Worth < 0 || l.Worth > min(400*l.Chance, cost+1)+1e-9 || l.Good > l.Chance+1e-9 ||
					l.Bad < l.Chance-1e-9 || len(l.Checks) == 0 || l.Minutes <= 0 {
					t.Errorf("%s %s: %+v", r.Vehicle.ID, l.Judgement.Position.ID, l)
				}
			}
		}
	}
	if looks < 25 || worthy < 5 {
		t.Errorf("%d looks, %d of them worth something: too few", looks, worthy)
	}
}

// The next look comes sooner after a bad sign than after none, and sooner after
// none than after a good look; never later than the authority asks, and by then
// the chance is within the bound.
func TestTheNextLook(t *testing.T) {
	cat := loaded(t)
	for _, c := range []struct{ kind, check, good, bad string }{
		{"top-hose", "squeeze-ends", "same", "softer-end"}, {"idler", "noise", "quiet", "rumble"},
		{"ribbed-belt", "rib-damage", "none", "small-cracks"},
	} {
		days := func(seen ...saw) int {
			r, j := partOf(t, cat, c.kind, 50, seen...)
			chance, ok := ahead.ChanceOf(r, j)
			n, ok2 := ahead.NextLookOf(r, j, chance)
			if !ok || !ok2 {
				t.Fatalf("%s: no next look", c.kind)
			}
			asked := r.When(j.Looked.Next).Expected
			if !asked.IsZero() && n.On.After(asked) || n.On.After(r.On) && n.Chance > n.Bound+1e-9 {
				t.Errorf("%s: on %s, asked %s, chance %g", c.kind, n.On, asked, n.Chance)
			}
			return n.On.Sub(r.On)
		}
		unseen, good, bad := days(), days(saw{c.check, c.good, 0}), days(saw{c.check, c.bad, 0})
		if bad >= good || unseen > good || good <= 0 {
			t.Errorf("%s: in %d days after %s, %d unseen, %d after %s", c.kind, bad, c.bad, unseen, good, c.good)
		}
	}
}

// Each round ends by what it changed: a bad finding raises the chance of being
// stranded, a good one never does, and entries that tell of no part change nothing.
func TestWhatARoundChanged(t *testing.T) {
	cat := loaded(t)
	told := func(answer string) (before, after float64) {
		r, _ := partOf(t, cat, "top-hose", 60, saw{"squeeze-ends", answer, 0})
		before, after, ok := ahead.Told(r, r.State.Record)
		if !ok || ahead.ToldWords(r, r.State.Record) == "" {
			t.Fatal("nothing told")
		}
		return before, after
	}
	if before, after := told("softer-end"); after <= before {
		t.Errorf("%g before, %g after a bad finding", before, after)
	}
	if before, after := told("same"); after >= before {
		t.Errorf("%g before, %g after a good finding", before, after)
	}
	r, _ := partOf(t, cat, "top-hose", 60)
	if _, _, ok := ahead.Told(r, []*fleet.Entry{{ID: "x", Type: fleet.TypeNote, Note: &fleet.Note{Text: "n"}}}); ok {
		t.Error("a note changed a chance")
	}
}

// Listening to an idler tells for itself, no more than a perfect look, and beside
// turning it by hand adds no less than nothing.
func TestListeningIsWorthSomething(t *testing.T) {
	cat := loaded(t)
	worthy := 0
	for _, kind := range []string{"idler", "auto-tensioner", "ribbed-belt", "accessory-bearing", "water-pump"} {
		for _, months := range []int{60, 110, 160} {
			for _, cost := range []float64{1, 3, 10, 30} {
				r, _ := partOf(t, cat, kind, months)
				for _, l := range ahead.Lookings(r, ready(cost)) {
					if !l.Running {
						continue
					}
					if l.Worth > 0.01 {
						worthy++
					}
					if l.Worth < 0 || l.Good > l.Chance+1e-9 || l.Bad < l.Chance-1e-9 || len(l.Checks) == 0 {
						t.Errorf("%s: %+v", kind, l)
					}
					for _, c := range l.Checks {
						if c.Sense == "feel" || c.Sense == "measure" || c.Engine != fleet.Running {
							t.Errorf("%s by %s with the engine %v", c.ID, c.Sense, c.Engine)
						}
					}
				}
			}
		}
	}
	t.Logf("%d looks with the engine running are worth something", worthy)
	if worthy < 5 {
		t.Errorf("%d looks with the engine running are worth something: too few", worthy)
	}
}
