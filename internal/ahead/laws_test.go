package ahead_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// lived is a part of some kind, of some age or of none that is known, and what was
// seen of it over the years, good and bad; the vehicle was built before the first look.
type lived struct {
	kind   *catalogue.Kind
	months int
	seen   []saw
}

// anyLived draws one whose kind has a check that is answered in words.
func anyLived(t *rapid.T, kinds []*catalogue.Kind) lived {
	l := lived{kind: kinds[rapid.IntRange(0, len(kinds)-1).Draw(t, "kind")],
		months: rapid.IntRange(3, 200).Draw(t, "months")}
	for range rapid.IntRange(0, 5).Draw(t, "looks") {
		c := l.check(t)
		l.seen = append(l.seen, saw{c.ID, c.Answers[rapid.IntRange(0, len(c.Answers)-1).Draw(t, "answer")].ID,
			rapid.IntRange(1, l.months-1).Draw(t, "ago")})
	}
	if rapid.IntRange(0, 3).Draw(t, "of unknown age") == 0 {
		l.months = -l.months
	}
	return l
}

func (l lived) check(t *rapid.T) *catalogue.Check {
	all := inWords(l.kind)
	return all[rapid.IntRange(0, len(all)-1).Draw(t, "check")]
}

// inWords are the checks of a kind that are answered in words.
func inWords(k *catalogue.Kind) []*catalogue.Check {
	var out []*catalogue.Check
	for i := range k.Checks {
		if c := &k.Checks[i]; !c.Measured() {
			out = append(out, c)
		}
	}
	return out
}

func failingKinds(cat *catalogue.Catalogue) []*catalogue.Kind {
	return slices.DeleteFunc(slices.Clone(cat.Kinds()), func(k *catalogue.Kind) bool {
		return k.Life == nil || len(inWords(k)) == 0
	})
}

// chance is that of failing on a trip, with more seen today; -1 where none is reckoned.
func (l lived) chance(t testing.TB, cat *catalogue.Catalogue, more ...saw) (float64, *judge.Judgement) {
	r, j := partOf(t, cat, l.kind.ID, l.months, append(slices.Clone(l.seen), more...)...)
	return onTrip(r, j), j
}

// Whatever was seen before, good or bad, whatever the kind and its age, known or not: a
// good answer never raises the chance of failing, one for which more is asked never
// leaves it lower than one for which less is, and one that says that nothing could be seen changes nothing.
func TestAnswersInOrderAfterAnyHistory(t *testing.T) {
	cat := loaded(t)
	kinds := failingKinds(cat)
	rapid.Check(t, func(rt *rapid.T) {
		l := anyLived(rt, kinds)
		before, _ := l.chance(t, cat)
		if before < 0 {
			rt.Skip("no chance is reckoned")
		}
		c := l.check(rt)
		by := map[fleet.Verdict]float64{}
		for _, a := range c.Answers {
			now, j := l.chance(t, cat, saw{c.ID, a.ID, 0})
			if !cat.Looks().Tells(a.ID) {
				if now != before {
					rt.Fatalf("%s %s: %g, before it %g", c.ID, a.ID, now, before)
				}
				continue
			}
			found := j.Place.Findings[len(j.Place.Findings)-1]
			v := max(judge.Worst(c, j.Place, j.Place.Fitted, found), fleet.Keep)
			if v == fleet.Keep && now > before*1.0005+1e-7 {
				rt.Fatalf("%s of %d months, %v, then %s %s, which is good: %g, before it %g", l.kind.ID, l.months,
					l.seen, c.ID, a.ID, now, before)
			}
			by[v] = now
		}
		for v, p := range by {
			for less, q := range by {
				if less < v && q > p*1.0005+1e-7 {
					rt.Fatalf("%s of %d months, %v, then %s: %g after %v, %g after %v, %g before", l.kind.ID, l.months,
						l.seen, c.ID, p, v, q, less, before)
				}
			}
		}
	})
}

// The order in which entries were recorded does not matter, to the last digit.
func TestOrderOfRecordingAfterAnyHistory(t *testing.T) {
	cat := loaded(t)
	kinds := failingKinds(cat)
	rapid.Check(t, func(rt *rapid.T) {
		l := anyLived(rt, kinds)
		r, j := partOf(t, cat, l.kind.ID, l.months, l.seen...)
		again := advise.Vehicle(cat, r.Vehicle, rapid.Permutation(slices.Clone(r.State.Record)).Draw(rt, "order"), r.On)
		if a, b := onTrip(r, j), onTrip(again, again.Judgement("it")); a != b {
			rt.Fatalf("%v, recorded in another order %v", a, b)
		}
	})
}

// A look is worth no less than nothing and no more than one that names the stage, after
// any history and at any price.
func TestWorthAfterAnyHistory(t *testing.T) {
	cat := loaded(t)
	kinds := slices.DeleteFunc(failingKinds(cat), func(k *catalogue.Kind) bool { return !k.Life.Strands })
	looks, worthy := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		l := anyLived(rt, kinds)
		s := ready(rapid.Float64Range(0.5, 300).Draw(rt, "price"))
		r, j := partOf(t, cat, l.kind.ID, l.months, l.seen...)
		perfect, err := ahead.PerfectWorth(r, j, s)
		if err != nil {
			t.Fatal(err)
		}
		for _, look := range ahead.LookingsAt(r, j, s, true) {
			looks++
			if look.Worth > 0.01 {
				worthy++
			}
			if look.Worth < 0 || perfect >= 0 && look.Worth > perfect+1e-9 {
				rt.Fatalf("worth %g, a perfect look %g", look.Worth, perfect)
			}
		}
	})
	if looks < 15 || worthy < 3 {
		t.Errorf("%d looks, %d of them worth something: too few", looks, worthy)
	}
}

// What is believed of every kind keeps to what the law of good looks stands on: nothing
// after the first sign is in doubt between kinds, its stays are gone through phase by phase, and every part of a kind
// goes and looks alike.
func TestDoubtIsOfTheOnsetAlone(t *testing.T) {
	cat := loaded(t)
	tried := 0
	for _, k := range failingKinds(cat) {
		for _, months := range []int{30, -30} {
			r, j := partOf(t, cat, k.ID, months)
			c, ok := ahead.ChanceOf(r, j)
			if !ok {
				continue
			}
			tried++
			p, _, err := c.Believed()
			if err != nil {
				t.Fatal(err)
			}
			if !p.Kind.Orderly() || p.All != 0 || p.Lead != 0 || p.Stays != nil || len(p.Shapes) > 1 || p.Speed != 0 ||
				p.Habit != 0 || p.Looks != nil || p.Kind.SpeedLogSD != 0 || p.Kind.HabitSD != 0 {
				t.Errorf("%s: %+v", k.ID, p)
			}
			for _, s := range p.Kind.Stages[1:] {
				if s.Shape < 1 || s.Shape != math.Trunc(s.Shape) {
					t.Errorf("%s: a stay of shape %g", k.ID, s.Shape)
				}
			}
		}
	}
	if tried < 40 {
		t.Errorf("%d kinds and ages: too few", tried)
	}
}
