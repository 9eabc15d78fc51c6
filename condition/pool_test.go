package condition_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/condition"
)

// blindEye is a part by looks of sort 0, an eye that may be blind on it, and of sort 1, a hand: as all tell it and
// as the hand alone does.
func blindEye(t *rapid.T, post *condition.Posterior, h condition.History) *condition.Pool {
	whole, err := post.Part(h)
	if err != nil {
		t.Skip("not possible")
	}
	hand, found := h, false
	hand.Looks = nil
	for _, l := range h.Looks {
		found = found || l.Grade > 0
		if l.Sort == 1 {
			hand.Looks = append(hand.Looks, l)
		}
	}
	without, err := post.Part(hand)
	if err != nil {
		t.Skip("not possible")
	}
	p, err := condition.PoolOf(whole, found, condition.Blind{Share: 0.15, Part: without})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func poolFails(t *rapid.T, p *condition.Pool) float64 {
	c, err := p.FailWithin(within)
	if err != nil || !(c.Low <= c.High && c.Mean >= 0 && c.Mean <= 1) {
		t.Fatalf("%+v, %v", c, err)
	}
	return c.Mean
}

// Where the eye may be blind the laws stand as they do without: no good look raises the chance, no worse answer lowers
// it, whatever was seen before and however old the part.
func TestAnswersInOrderWhereTheEyeMayBeBlind(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := anyKind(t)
		post, err := condition.Known(kind)
		if err != nil {
			t.Fatal(err)
		}
		h := anyHistory(t)
		if rapid.Bool().Draw(t, "old") {
			h.Ages = []condition.Age{{At: []float64{40, 60}, Weight: 1}, {At: []float64{100, 150}, Weight: 1}}
		}
		p := blindEye(t, post, h)
		before := poolFails(t, p)
		for _, sorts := range [][]int{{0, -1}, {1, 1}} {
			last := 0.0
			for g := range len(kind.Looks[sorts[0]].Says[0]) {
				seen, err := p.Seen(sorts, g)
				if err != nil {
					continue
				}
				now := poolFails(t, seen)
				if now < last-1e-8 || g == 0 && now > before+1e-8 {
					t.Fatalf("sorts %v: %v after answer %d, %v after a better one, %v before", sorts,
						now, g, last, before)
				}
				last = now
			}
		}
	})
}

// However often the eye finds nothing, what it cannot see stays: the chance does not fall below the share of parts on
// which it is blind times the chance without it, and a bad finding counts in full.
func TestWhatTheEyeCannotSeeStays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		post, err := condition.Known(anyKind(t))
		if err != nil {
			t.Fatal(err)
		}
		h := anyHistory(t)
		p := blindEye(t, post, h)
		whole, err := post.Part(h)
		if err != nil {
			t.Fatal(err)
		}
		floor := 0.15 * poolFails(t, blindEye(t, post, condition.History{At: h.At}))
		good := condition.History{At: h.At}
		for range 40 {
			good.Looks = append(good.Looks, condition.Look{At: h.At})
		}
		if now := poolFails(t, blindEye(t, post, good)); now < floor-1e-8 {
			t.Fatalf("%v after forty good looks, %v is what the eye cannot see", now, floor)
		}
		if bad, err := p.Seen([]int{0, -1}, 2); err == nil {
			alone, err := whole.Seen(condition.Look{Grade: 2})
			if err != nil {
				t.Fatal(err)
			}
			if a, b := failsWithin(t, alone, within), poolFails(t, bad); b < a-1e-9 {
				t.Fatalf("%v after a bad finding, %v where no eye is blind", b, a)
			}
		}
	})
}

// What a look is worth lies between nothing and what naming the stage would be worth; what it may say is certain to be
// one of its answers; and what it is said to leave is what it leaves.
func TestWorthWhereTheEyeMayBeBlind(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		post, err := condition.Known(anyKind(t))
		if err != nil {
			t.Fatal(err)
		}
		p := blindEye(t, post, anyHistory(t))
		sorts := rapid.SampledFrom([][]int{{0, -1}, {1, 1}, {1, -1}}).Draw(t, "sorts")
		w, err := p.Worth(condition.Decision{Within: within, Actions: []condition.Action{{IfFails: 300},
			{Cost: rapid.Float64Range(0, 100).Draw(t, "changing")}}}, sorts)
		if err != nil || !(w.Value >= 0 && w.Value <= w.Perfect) {
			t.Fatalf("%+v, %v", w, err)
		}
		sum := 0.0
		for _, a := range w.Answers {
			sum += a.Chance
			seen, err := p.Seen(sorts, a.Grade)
			if err != nil {
				continue
			}
			// as much as is dropped of hardly possible speeds
			if now := poolFails(t, seen); math.Abs(now-a.Fails) > 1e-6 {
				t.Fatalf("answer %d: said to leave %v, leaves %v", a.Grade, a.Fails, now)
			}
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Fatalf("answers add up to %v", sum)
		}
		if one, err := condition.PoolOf(mustPart(t, post), false); err == nil {
			b, _ := one.Worth(condition.Decision{Within: within,
				Actions: []condition.Action{{IfFails: 300}, {Cost: 20}}}, []int{0})
			a, err := mustPart(t, post).Worth(condition.Decision{Within: within,
				Actions: []condition.Action{{IfFails: 300}, {Cost: 20}}}, 0)
			if err != nil || math.Abs(a.Value-b.Value) > 1e-9 {
				t.Fatalf("worth %v where none may be blind, %v of the part", b.Value, a.Value)
			}
		}
	})
}

func mustPart(t *rapid.T, post *condition.Posterior) *condition.Part {
	p, err := post.Part(condition.History{At: []float64{20, 20}})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Going on without failing and in parts makes no difference where some looks may be blind.
func TestLaterWhereTheEyeMayBeBlind(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		post, err := condition.Known(anyKind(t))
		if err != nil {
			t.Fatal(err)
		}
		h := anyHistory(t)
		for i := range h.Looks {
			h.Looks[i].Grade = 0
		}
		p := blindEye(t, post, h)
		later, err := p.Later(within)
		if err != nil {
			t.Skip("none is left")
		}
		a := poolFails(t, p)
		c, err := p.FailWithin([]float64{2 * within[0], 2 * within[1]})
		if err != nil {
			t.Fatal(err)
		}
		if both := 1 - (1-a)*(1-poolFails(t, later)); math.Abs(both-c.Mean) > 1e-5 {
			t.Fatalf("%v then %v, at once %v", a, both, c.Mean)
		}
	})
}

// The likelihood of a history whose eye may be blind is that of both cases by themselves, weighed by their shares: what
// a blind eye says of any stage is what it says of the first.
func TestLikelihoodWhereTheEyeMayBeBlind(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind, h := anyKind(t), anyHistory(t)
		h.Outcome = rapid.SampledFrom([]condition.Outcome{condition.Running, condition.Failed, condition.FoundFailed,
			condition.Removed}).Draw(t, "end")
		if rapid.Bool().Draw(t, "of unknown age") {
			h.Ages = []condition.Age{{At: []float64{1, 1}, Weight: 1}, {At: []float64{40, 60}, Weight: 2}}
		}
		share := rapid.Float64Range(0.01, 0.9).Draw(t, "share")
		whole, hand := h, h
		hand.Looks = nil
		says := 1.0
		var blind []condition.Look
		for _, l := range h.Looks {
			if l.Sort == 1 {
				hand.Looks = append(hand.Looks, l)
			} else {
				says *= kind.Looks[0].Says[0][l.Grade] / kind.Looks[3].Says[0][0]
				hand.Looks = append(hand.Looks, condition.Look{At: l.At, Sort: 3}) // which cannot tell
				l.Blind = true
			}
			blind = append(blind, l)
		}
		h.Blind = []condition.Blinded{{Share: share, Looks: blind}}
		want := (1-share)*math.Exp(likelihood(t, kind, whole)) + share*says*math.Exp(likelihood(t, kind, hand))
		if got := math.Exp(likelihood(t, kind, h)); math.Abs(got-want) > 1e-9*want+1e-300 {
			t.Fatalf("%v, by both cases %v", got, want)
		}
		post, err := condition.Known(kind)
		if err != nil {
			t.Fatal(err)
		}
		h.Outcome = condition.Running
		if _, err := post.Part(h); err == nil {
			t.Fatal("a part was followed in two ways at once")
		}
	})
}

func likelihood(t *rapid.T, kind condition.Kind, h condition.History) float64 {
	ready, err := kind.Ready([]condition.History{h})
	if err != nil {
		t.Fatal(err)
	}
	l, err := kind.LogLik(ready)
	if err != nil {
		t.Fatal(err)
	}
	return l
}
