package condition

import (
	"math"
	"testing"
)

// byEveryKind is the chance of a part of an age failing within so much more, by Bayes' rule over a fine grid of all
// kinds that a prior of two unknown numbers, or of one where it has Else, holds.
func byEveryKind(t *testing.T, prior Prior, past []History, age, within float64) float64 {
	t.Helper()
	trails, err := prior.Kind.trails(append([]History{{At: []float64{age}}}, past...))
	if err != nil {
		t.Fatal(err)
	}
	sum, failed := 0.0, 0.0
	add := func(s *space, z []float64, weight float64) {
		e := newEvaluator(s.chain(s.point(z)))
		log := math.Log(weight)
		for _, x := range z {
			log += math.Log(0.2/math.Sqrt(2*math.Pi)) - x*x/2
		}
		for _, tr := range trails {
			log += e.logLik(tr, 1, nil)
		}
		e.newPart(e.v)
		e.advance(e.v, []float64{age}, 1)
		scaled(e.v)
		e.advance(e.v, []float64{within}, 1)
		sum, failed = sum+math.Exp(log), failed+math.Exp(log)*(1-scaled(e.v))
	}
	all, err := prior.branches(2)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range all {
		for x := -4.0; x <= 4; x += 0.2 {
			if len(b.params) == 1 {
				add(b.space, []float64{x}, b.weight)
				continue
			}
			for y := -4.0; y <= 4; y += 0.2 {
				add(b.space, []float64{x, y}, b.weight)
			}
		}
	}
	return failed / sum
}

// What is learnt of two unknown numbers is what Bayes' rule says over all of them: how wide it is does not hang on what
// the density does close by its summit, where it has a kink at each whole shape and bends between them.
func TestLearntAsByEveryKind(t *testing.T) {
	off := func(o Outcome, at float64, grades ...int) History {
		h := History{Outcome: o, At: []float64{at}}
		for i, g := range grades {
			h.Looks = append(h.Looks, Look{At: []float64{at * float64(i+1) / float64(len(grades)+1)}, Grade: g})
		}
		return h
	}
	for _, other := range []Else{{}, {0.3, 0.7}, {0.5, 1}} {
		worst, sum, n := 0.0, 0.0, 0.0
		for _, shape := range []float64{4, 5.6, 6} {
			prior, err := FromLead(Lead{Onset: []float64{70}, Lead: []float64{30}, Shape: shape, ShapeLogSD: 0.6,
				OnsetLogSD: 0.5, LeadLogSD: 0.8, Within: true}, []Sort{Glance(0.03, 0.3, 0.8)}, nil)
			if err != nil {
				t.Fatal(err)
			}
			prior.Else = other
			for _, past := range [][]History{
				{off(Removed, 50)}, {off(Removed, 60, 0, 0)}, {off(Failed, 60)}, {off(Removed, 60, 0, 1)},
				{off(Removed, 60, 0, 1), off(Failed, 90, 0, 0), off(Running, 70)},
				{off(Removed, 120, 0, 0), off(Removed, 80, 0, 0, 1), off(Failed, 40)},
			} {
				post, err := prior.Learn(past, Options{Nodes: 16})
				if err != nil {
					t.Fatal(err)
				}
				for _, age := range []float64{0, 40} {
					part, err := post.Part(History{At: []float64{age}})
					if err != nil {
						t.Fatal(err)
					}
					for _, within := range []float64{10, 40} {
						c, err := part.FailWithin([]float64{within})
						if err != nil {
							t.Fatal(err)
						}
						d := math.Abs(c.Mean - byEveryKind(t, prior, past, age, within))
						worst, sum, n = max(worst, d), sum+d, n+1
					}
				}
			}
		}
		t.Logf("%v: %.4f off in the mean, %.4f at the most", other, sum/n, worst)
		if sum/n > 0.004 || worst > 0.02 {
			t.Errorf("%v: %.4f off in the mean, %.4f at the most", other, sum/n, worst)
		}
	}
}

// stagesOf is the chances of a part, sound and with signs, by the closed form of two exponential stays.
type stagesOf struct{ sound, signs float64 }

func (s stagesOf) later(onset, lead, t float64) stagesOf {
	a, b := 1/onset, 1/lead
	return stagesOf{s.sound * math.Exp(-a*t),
		s.signs*math.Exp(-b*t) + s.sound*a/(b-a)*(math.Exp(-a*t)-math.Exp(-b*t))}
}

// Where the lead time is in doubt between kinds, the law of good looks is not Bayes' own: a bad sign on a part that
// lived on for long says that such parts go slowly, and a good look takes that comfort away. Reckoned by the closed
// form and a thousand lead times the chance rises by seven points; the engine says the same. The chance of a sound part
// is then higher than that of one with signs, and only then can it rise, see
// TestAnswersInOrderWhereTheChanceRisesByStage.
func TestAGoodLookMayRaiseWhereTheLeadIsInDoubt(t *testing.T) {
	const onset, lead, doubt, alarm, seen, age, within = 30.0, 20.0, 1.5, 0.02, 0.9, 100.0, 60.0
	exact := func(good bool) (all, sound, signs float64) {
		var of, fails stagesOf
		for z := -5.0; z <= 5; z += 0.01 {
			l := lead*math.Exp(doubt*z) + 1e-9
			s := stagesOf{1, 0}.later(onset, l, 1)
			s = stagesOf{alarm * s.sound, seen * s.signs}.later(onset, l, age-1)
			if good {
				s = stagesOf{(1 - alarm) * s.sound, (1 - seen) * s.signs}
			}
			w := math.Exp(-z * z / 2)
			left, ill := stagesOf{1, 0}.later(onset, l, within), stagesOf{0, 1}.later(onset, l, within)
			of.sound, of.signs = of.sound+w*s.sound, of.signs+w*s.signs
			fails.sound += w * s.sound * (1 - left.sound - left.signs)
			fails.signs += w * s.signs * (1 - ill.signs)
		}
		return (fails.sound + fails.signs) / (of.sound + of.signs), fails.sound / of.sound, fails.signs / of.signs
	}
	post, err := Prior{Kind: Kind{Stages: []Stage{{Mean: []float64{onset}}, {Mean: []float64{lead}}},
		Looks: []Sort{Glance(alarm, seen), Perfect(2)}}, Lead: doubt}.Learn(nil, Options{Nodes: 400})
	if err != nil {
		t.Fatal(err)
	}
	h := History{Looks: []Look{{At: []float64{1}, Grade: 1}}, At: []float64{age}}
	before, sound, signs := exact(false)
	after, _, _ := exact(true)
	for i, want := range []float64{before, after} {
		part, err := post.Part(h)
		if err != nil {
			t.Fatal(err)
		}
		c, err := part.FailWithin([]float64{within})
		if err != nil || math.Abs(c.Mean-want) > 0.005 {
			t.Errorf("%d good looks: %+v, %v by the closed form; %v", i, c, want, err)
		}
		h.Looks = append(h.Looks, Look{At: []float64{age}})
	}
	t.Logf("%.3f before the good look, %.3f after; %.3f sound, %.3f with signs", before, after, sound, signs)
	if after < before+0.07 || sound <= signs {
		t.Error("the case is none")
	}
}
