package condition_test

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"

	"undertray.example/undertray/condition"
)

// The delay-time model: no published table with figures could be seen, so proven results stand here, and
// integrals worked out by gonum's quadrature with gonum's gamma distribution.

// delay is a part that shows a defect after a stay of mean and shape and fails after another.
func delay(onset, lead, onsetShape, leadShape float64) condition.Kind {
	return condition.Kind{
		Stages: []condition.Stage{{Mean: []float64{onset}, Shape: onsetShape},
			{Mean: []float64{lead}, Shape: leadShape}},
		Looks: []condition.Sort{condition.Perfect(2)},
	}
}

// every looks perfectly at T, 2T, and so on, count times.
func every(interval float64, count int) condition.Regime {
	r := condition.Regime{Act: 1}
	for i := range count {
		r.Looks = append(r.Looks, condition.Look{At: []float64{interval * float64(i+1)}})
	}
	return r
}

func unfailed(t testing.TB, k condition.Kind, r condition.Regime, until float64) float64 {
	t.Helper()
	p, _, err := k.Unfailed(r, []float64{until})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func gamma(mean, shape float64) distuv.Gamma {
	return distuv.Gamma{Alpha: shape, Beta: shape / mean}
}

// christer is the reliability of A. H. Christer (1987) by its recursion: no defect until the last look
// and no failure since, or a defect first found at look i, and a new part from there.
func christer(g, f distuv.Gamma, interval float64, looks int, t float64) float64 {
	looks = min(looks, int(math.Floor(t/interval+1e-9)))
	from := float64(looks) * interval
	r := g.Survival(t) + quad.Fixed(func(y float64) float64 {
		return g.Prob(y) * f.Survival(t-y)
	}, from, t, 120, nil, 0)
	for i := 1; i <= looks; i++ {
		at := float64(i) * interval
		found := quad.Fixed(func(y float64) float64 {
			return g.Prob(y) * f.Survival(at-y)
		}, at-interval, at, 120, nil, 0)
		r += found * christer(g, f, interval, looks-i, t-at)
	}
	return r
}

// TestChrister holds the chance of no failure under perfect looks against Christer's integrals,
// where stays are exponential or of a whole shape and so exact.
func TestChrister(t *testing.T) {
	for _, c := range []struct{ onset, lead, a, b, interval, until float64 }{
		{30, 12, 1, 1, 10, 35}, {30, 12, 3, 1, 8, 33}, {30, 12, 2, 4, 7, 30}, {5, 20, 4, 2, 12, 40},
	} {
		g, f := gamma(c.onset, c.a), gamma(c.lead, c.b)
		for looks := range 5 {
			looks = min(looks, int(c.until/c.interval))
			got := unfailed(t, delay(c.onset, c.lead, c.a, c.b), every(c.interval, looks), c.until)
			near(t, fmt.Sprintf("%+v with %d looks", c, looks), got, christer(g, f, c.interval, looks, c.until), 1e-8)
		}
	}
}

// TestOtherStays holds stays that phases only match in mean and spread against the same integrals, two stays
// after each other: gamma of any shape within 1.5 points of a hundred, Weibull within 3.5.
func TestOtherStays(t *testing.T) {
	for _, shape := range []float64{0.7, 1.5, 2.5, 3.6} {
		for _, until := range []float64{5, 20, 40, 60} {
			kind := delay(30, 12, shape, shape)
			got, want := unfailed(t, kind, condition.Regime{}, until), christer(gamma(30, shape), gamma(12, shape), 1e9,
				0, until)
			if math.Abs(got-want) > 0.015 {
				t.Errorf("gamma stays of shape %v until %v: %.4f, want %.4f", shape, until, got, want)
			}
			kind.Stages[0].Family, kind.Stages[1].Family = condition.Weibull, condition.Weibull
			got, want = unfailed(t, kind, condition.Regime{}, until), weibulls(30, 12, shape, until)
			if math.Abs(got-want) > 0.035 {
				t.Errorf("Weibull stays of shape %v until %v: %.4f, want %.4f", shape, until, got, want)
			}
		}
	}
}

// weibulls is the chance that two Weibull stays outlast t.
func weibulls(onset, lead, shape, t float64) float64 {
	scale := math.Gamma(1 + 1/shape)
	g := distuv.Weibull{K: shape, Lambda: onset / scale}
	f := distuv.Weibull{K: shape, Lambda: lead / scale}
	inner := func(u float64) float64 { // u = the share of stays over by y, which takes the singular start away
		return f.Survival(t - g.Quantile(u))
	}
	return g.Survival(t) + quad.Fixed(inner, 0, g.CDF(t), 400, nil, 0)
}

// TestCerone: with exponential stays and perfect looks, m-1 looks before t make failure least
// likely when they are t/m apart (P. Cerone, Inspection interval for maximum future reliability using the delay
// time model, 1990, abstract seen).
func TestCerone(t *testing.T) {
	for _, c := range []struct {
		onset, lead, until float64
		m                  int
	}{{30, 12, 40, 2}, {30, 12, 40, 4}, {8, 20, 25, 3}, {100, 3, 60, 6}} {
		k := delay(c.onset, c.lead, 1, 1)
		best, most := 0.0, 0.0
		for i := 1; i < 400; i++ {
			interval := c.until / float64(c.m-1) * float64(i) / 400
			if p := unfailed(t, k, every(interval, c.m-1), c.until); p > most {
				best, most = interval, p
			}
		}
		step := c.until / float64(c.m-1) / 400
		if want := c.until / float64(c.m); math.Abs(best-want) > step {
			t.Errorf("%+v: best %.4g apart, want %.4g", c, best, want)
		}
	}
}

// TestFailingBetweenLooks: the chance of failing in the interval after a look that found nothing, by
// Christer's integral given a sound part.
func TestFailingBetweenLooks(t *testing.T) {
	g, f := gamma(30, 3), gamma(12, 2)
	post, err := condition.Known(delay(30, 12, 3, 2))
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range []float64{0, 10, 25, 60} {
		part, err := post.Part(condition.History{Looks: []condition.Look{{At: []float64{at}}}})
		if err != nil {
			t.Fatal(err)
		}
		got, err := part.FailWithin([]float64{15})
		if err != nil {
			t.Fatal(err)
		}
		want := quad.Fixed(func(y float64) float64 { return g.Prob(y) * f.CDF(at+15-y) }, at, at+15, 120, nil,
			0) / g.Survival(at)
		near(t, fmt.Sprintf("after a look at %g", at), got.Mean, want, 1e-8)
	}
}
