package condition

import (
	"math"
	"testing"
)

// byEveryKind is the chance of a part of an age failing within so much more, by Bayes' rule over a fine grid of all
// kinds that a prior of two unknown numbers holds.
func byEveryKind(t *testing.T, prior Prior, past []History, age, within float64) float64 {
	t.Helper()
	s, err := prior.space()
	if err != nil || len(s.params) != 2 {
		t.Fatal(err, len(s.params))
	}
	trails, err := prior.Kind.trails(append([]History{{At: []float64{age}}}, past...))
	if err != nil {
		t.Fatal(err)
	}
	sum, failed := 0.0, 0.0
	for x := -4.0; x <= 4; x += 0.2 {
		for y := -4.0; y <= 4; y += 0.2 {
			e := newEvaluator(s.chain(s.point([]float64{x, y})))
			log := -(x*x + y*y) / 2
			for _, tr := range trails {
				log += e.logLik(tr, 1, nil)
			}
			e.newPart(e.v)
			e.advance(e.v, []float64{age}, 1)
			scaled(e.v)
			e.advance(e.v, []float64{within}, 1)
			sum, failed = sum+math.Exp(log), failed+math.Exp(log)*(1-scaled(e.v))
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
	worst, sum, n := 0.0, 0.0, 0.0
	for _, shape := range []float64{4, 5.6, 6} {
		prior, err := FromLead(Lead{Onset: []float64{70}, Lead: []float64{30}, Shape: shape, ShapeLogSD: 0.6,
			OnsetLogSD: 0.5, LeadLogSD: 0.8, Within: true}, []Sort{Glance(0.03, 0.3, 0.8)}, nil)
		if err != nil {
			t.Fatal(err)
		}
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
	t.Logf("%.4f off in the mean, %.4f at the most", sum/n, worst)
	if sum/n > 0.004 || worst > 0.02 {
		t.Errorf("%.4f off in the mean, %.4f at the most", sum/n, worst)
	}
}
