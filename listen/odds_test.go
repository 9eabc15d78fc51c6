package listen

import (
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
)

func fourOdds() []Hypothesis {
	return []Hypothesis{{"alternator", Alternator, ShowsTone, 0.3}, {"idler", Roller, ShowsElement, 0.4},
		{"", BeltItself, ShowsPass, 0.2}, {"", Elsewhere, ShowsNothing, 0.1}}
}

// TestUpdateByHand: Bayes' rule reckoned by hand. The lamps are switched on and the noise becomes louder: 0.3 x 0.75 =
// 0.225, 0.4 x 0.08 = 0.032, 0.2 x 0.45 = 0.09, 0.1 x 0.08 = 0.008, in all 0.355.
func TestUpdateByHand(t *testing.T) {
	u, err := Update(fourOdds(), LampsOn, Louder, "")
	if err != nil {
		t.Fatal(err)
	}
	want := map[Role]float64{Alternator: 0.225 / 0.355, BeltItself: 0.09 / 0.355, Roller: 0.032 / 0.355,
		Elsewhere: 0.008 / 0.355}
	for _, w := range u.Odds {
		if math.Abs(w.P-want[w.Role]) > 1e-9 || w.Likelihood <= 0 || w.Grounds == "" {
			t.Errorf("%v: %.4f, want %.4f", w.Role, w.P, want[w.Role])
		}
	}
	if u.Odds[0].Role != Alternator || math.Abs(u.Odds[0].Before-0.3) > 1e-12 || u.Bits <= 0 {
		t.Errorf("first %v from %.2f, %.2f bits", u.Odds[0].Role, u.Odds[0].Before, u.Bits)
	}
	// Work on the idler that changed nothing speaks against it: 0.15 against 0.84 for the others.
	u, err = Update(fourOdds(), AfterWork, Alike, "idler")
	if err != nil || math.Abs(u.Odds[len(u.Odds)-1].Before-0.1) > 1e-12 && u.Odds[0].Role == Roller {
		t.Errorf("%v %v", u.Odds, err)
	}
	for _, w := range u.Odds {
		if w.Role == Roller && math.Abs(w.P-0.4*0.15/(0.4*0.15+0.6*0.84)) > 1e-9 {
			t.Errorf("idler %.4f", w.P)
		}
	}
}

// TestOrderOfExperiments: two pairs tell the same in either order.
func TestOrderOfExperiments(t *testing.T) {
	both := func(a, b Experiment, x, y Observed) map[Role]float64 {
		u, err := Update(fourOdds(), a, x, "")
		if err != nil {
			t.Fatal(err)
		}
		if u, err = Update(u.Hypotheses(), b, y, ""); err != nil {
			t.Fatal(err)
		}
		out := map[Role]float64{}
		for _, w := range u.Odds {
			out[w.Role] = w.P
		}
		return out
	}
	p, q := both(LampsOn, BeltWet, Alike, Quieter), both(BeltWet, LampsOn, Quieter, Alike)
	for r := range p {
		if math.Abs(p[r]-q[r]) > 1e-12 {
			t.Errorf("%v: %.6f and %.6f", r, p[r], q[r])
		}
	}
	if p[BeltItself] < 0.5 {
		t.Errorf("a belt that falls silent when wetted: %.2f", p[BeltItself])
	}
}

// TestNextExperiment: what is expected to be told is never below nothing, agrees with the mean of what drawn outcomes
// told, and what settles the question most comes first.
func TestNextExperiment(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		odds := fourOdds()
		for i := range odds {
			odds[i].P = rng.ExpFloat64()
		}
		odds = normal(odds)
		tells, err := NextExperiment(odds)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range tells {
			if x.Experiment == Faster {
				continue
			}
			sum, n := 0.0, 20000
			var bits [observations]float64
			for o := range bits {
				u, _ := Update(odds, x.Experiment, Observed(o), "")
				bits[o] = u.Bits
			}
			for range n {
				p, _ := likely(x.Experiment, drawn(rng, odds))
				sum += bits[drawnOf(rng, p[:])] / float64(n)
			}
			if x.Bits < 0 || math.Abs(sum-x.Bits) > 0.03 {
				t.Errorf("%s: %.3f bits expected, %.3f told in the mean", x.Experiment, x.Bits, sum)
			}
		}
	}
	belt := []Hypothesis{{"", BeltItself, ShowsPass, 0.5}, {"idler", Roller, ShowsTurns, 0.5}}
	tells, _ := NextExperiment(belt, Faster)
	if len(tells) == 0 || tells[0].Experiment != BeltWet {
		t.Errorf("belt or idler: %v", tells)
	}
	whine := []Hypothesis{{"alternator", Alternator, ShowsTone, 0.5}, {"idler", Roller, ShowsElement, 0.5}}
	if tells, _ = NextExperiment(whine, Faster); len(tells) != 1 || tells[0].Experiment != LampsOn {
		t.Errorf("alternator or idler: %v", tells)
	}
}

func drawn(rng *rand.Rand, odds []Hypothesis) Hypothesis {
	p := make([]float64, len(odds))
	for i, h := range odds {
		p[i] = h.P
	}
	return odds[drawnOf(rng, p)]
}

func drawnOf(rng *rand.Rand, p []float64) int {
	x := rng.Float64()
	for i, v := range p {
		if x -= v; x < 0 {
			return i
		}
	}
	return len(p) - 1
}

// TestOddsRefuse: what is no odds is refused.
func TestOddsRefuse(t *testing.T) {
	good := fourOdds()
	for name, err := range map[string]error{
		"no odds":        refusalOf(Update(nil, LampsOn, Louder, "")),
		"below 0":        refusalOf(Update([]Hypothesis{{Role: Roller, P: -1}}, LampsOn, Louder, "")),
		"no role":        refusalOf(Update([]Hypothesis{{P: 1}}, LampsOn, Louder, "")),
		"no experiment":  refusalOf(Update(good, "sing", Louder, "")),
		"faster by ear":  refusalOf(Update(good, Faster, Louder, "")),
		"no observation": refusalOf(Update(good, LampsOn, 3, "")),
		"none of all":    refusalOf(NextExperiment([]Hypothesis{{Role: Roller}})),
		"faster of none": refusalOf(UpdateFaster(nil, Ranking{})),
	} {
		if !errors.Is(err, ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func refusalOf[T any](_ T, err error) error { return err }

// TestTwoSpeeds: on simulated drives in noise, two recordings at two speeds bring the right suspect to the top at least
// as often as the first alone, and believe in it more.
func TestTwoSpeeds(t *testing.T) {
	n := 3
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		n = 40
	}
	one, two, before, after := 0, 0, 0.0, 0.0
	first := func(odds []Hypothesis, want string) (bool, float64) {
		best := slices.MaxFunc(odds, func(a, b Hypothesis) int { return int(math.Copysign(1, a.P-b.P)) })
		for _, h := range odds {
			if h.Name == want {
				return best.Name == want, h.P
			}
		}
		return false, 0
	}
	for i := range n {
		var ks [2]Ranking
		want := ""
		for j := range ks {
			s := simulation{rate: 16000, seconds: 8, snr: -15, faulty: 1 + (i+2)%4, element: OuterRing,
				rng: rand.New(rand.NewPCG(uint64(i), 271+uint64(j)))}
			if j == 1 {
				s.fastest = 2200
			}
			rec, d := s.run()
			var err error
			if ks[j], err = Rank(rec, d); err != nil {
				t.Fatal(err)
			}
			want = d.Pulleys[s.faulty].Name
		}
		odds := OddsOf(ks[0], map[string]Role{"alternator": Alternator})
		u, err := UpdateFaster(odds, ks[1])
		if err != nil {
			t.Fatal(err)
		}
		a, p := first(odds, want)
		b, q := first(u.Hypotheses(), want)
		one, two, before, after = one+counted(a), two+counted(b), before+p, after+q
	}
	t.Logf("right first: %d of %d by one recording, %d by two; held at %.2f and %.2f in the mean", one, n, two,
		before/float64(n), after/float64(n))
	if two < one || after < before {
		t.Errorf("two recordings tell less than one: %d and %d of %d, %.2f and %.2f", two, one, n, after/float64(n),
			before/float64(n))
	}
}

func counted(b bool) int {
	if b {
		return 1
	}
	return 0
}
