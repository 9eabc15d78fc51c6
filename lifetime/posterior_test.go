package lifetime_test

import (
	"errors"
	"math"
	"testing"

	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/lifetime"
)

// The cases of section 3: computed with numpy on 1601 by 1601 Simpson nodes.
var (
	priorA = lifetime.Prior{Shape: 2, ShapeLogSD: 0.5, Age: 120, AgeLogSD: 0.4}
	priorB = lifetime.Prior{Shape: 3, ShapeLogSD: 0.4, Share: 0.1, Age: 90, AgeLogSD: 0.3}
)

type posteriorRow struct {
	id                                string
	prior                             lifetime.Prior
	obs                               []lifetime.Observation
	evidence, beta, betaSD, eta, etaS float64
	b10                               float64
	quantiles                         [9]float64 // 5, 50, 95 % of beta, eta, B10
}

func posteriorRows(t testing.TB) []posteriorRow {
	var a []lifetime.Observation
	for _, row := range table(t, "bayes_data.csv") {
		o := lifetime.RunningAt(given.Number(t, row[0]))
		if row[1] == "1" {
			o = lifetime.FailedAt(given.Number(t, row[0]))
		}
		a = append(a, o)
	}
	more := append(append([]lifetime.Observation(nil), a...), lifetime.RunningAt(95))
	b := []lifetime.Observation{lifetime.RunningAt(97), lifetime.RunningAt(70)}
	c := append([]lifetime.Observation{lifetime.FailedAt(71)}, b...)
	return []posteriorRow{
		{"BAY-A", priorA, a, -17.42916981, 2.904694, 1.14321, 127.8118, 29.5094, 53.78068,
			[9]float64{1.406, 2.720, 5.05, 92.99, 121.8, 183.7, 25.63, 54.09, 80.66}},
		{"BAY-A+", priorA, more, -17.94653731, 2.948567, 1.15657, 133.3145, 30.590, 56.67317,
			[9]float64{1.438, 2.751, 5.126, 97.27, 127.0, 191.0, 28.08, 57.09, 83.60}},
		{"BAY-A0", priorA, nil, 0, 2.266297, 1.2078, 129.9944, 54.1487, 43.08671,
			[9]float64{0.880, 2, 4.547, 62.21, 120, 231.5, 8.112, 37.17, 98.14}},
		{"BAY-B", priorB, b, -0.25161428, 3.189923, 1.3094, 241.3087, 142.616, 99.50256,
			[9]float64{1.537, 2.955, 5.650, 119.7, 208.9, 462.8, 61.26, 95.21, 152.0}},
		{"BAY-C", priorB, c, -6.38533236, 3.304239, 1.23446, 188.2762, 103.819, 81.26519,
			[9]float64{1.671, 3.110, 5.599, 99.41, 162.1, 359.7, 53.04, 77.93, 120.9}},
		{"BAY-B0", priorB, nil, 0, 3.249861, 1.35372, 227.1657, 140.719, 94.14251,
			[9]float64{1.555, 3, 5.787, 103.0, 196.3, 446.1, 54.99, 90, 147.3}},
	}
}

func b10(l lifetime.Life) float64 { return l.Quantile(0.1) }

// Checks B1 and B6 and the rest of the first table of section 3.
func TestPosteriorTable(t *testing.T) {
	for _, row := range posteriorRows(t) {
		t.Run(row.id, func(t *testing.T) {
			post := update(t, row.prior, row.obs, lifetime.GridOptions{})
			within(t, "log evidence", post.LogEvidence, row.evidence, 5e-6)
			near(t, "E beta", post.MeanOf(lifetime.Life.Shape), row.beta, 1e-5)
			near(t, "sd beta", post.SDOf(lifetime.Life.Shape), row.betaSD, 1e-4)
			near(t, "E eta", post.MeanOf(lifetime.Life.Scale), row.eta, 1e-5)
			// where B10 is the coordinate a tenth of the variance of eta sits in the far corners of the
			// prior, where the table's square ends too
			near(t, "sd eta", post.SDOf(lifetime.Life.Scale), row.etaS, 0.01)
			near(t, "E B10", post.MeanOf(b10), row.b10, 1e-5)
			fine := update(t, row.prior, row.obs, lifetime.GridOptions{Nodes: 201})
			for i, of := range []func(lifetime.Life) float64{lifetime.Life.Shape, lifetime.Life.Scale, b10} {
				for j, q := range []float64{0.05, 0.5, 0.95} {
					want := row.quantiles[3*i+j]
					got, err := fine.QuantileOf(q, of)
					if err != nil {
						t.Fatal(err)
					}
					near(t, "quantile on a fine grid", got, want, 0.01)
					if got, _ = post.QuantileOf(q, of); math.Abs(got-want) > 0.1*want {
						t.Errorf("quantile %v of function %d: got %v, want %v", q, i, got, want)
					}
				}
			}
		})
	}
}

func update(t testing.TB, p lifetime.Prior, obs []lifetime.Observation, opts lifetime.GridOptions) *lifetime.Posterior {
	t.Helper()
	post, err := p.Update(obs, opts)
	if err != nil {
		t.Fatal(err)
	}
	return post
}

// Checks B2, B4 and B5: the second table of section 3, with the default grid and with a coarse one.
func TestChances(t *testing.T) {
	rows := posteriorRows(t)
	cases := []struct {
		row                    int
		age, x, counted, apart float64
	}{
		{0, 95, 5, 0.08204281, 0.07352711},
		{0, 95, 10, 0.16286337, 0.14718621},
		{0, 95, 20, 0.31509814, 0.28958734},
		{0, 95, 40, 0.55808434, 0.52785965},
		{1, 95, 10, 0.14718621, 0.13486757},
		{3, 97, 10, 0.05654195, 0.04818238},
		{3, 97, 20, 0.11694714, 0.10195659},
		{4, 97, 10, 0.11615382, 0.08925914},
		{4, 97, 20, 0.22268877, 0.17971017},
	}
	for _, c := range cases {
		for nodes, tolerance := range map[int]float64{0: 1e-5, 13: 5e-3, 17: 1e-3, 101: 1e-7} {
			post := update(t, rows[c.row].prior, rows[c.row].obs, lifetime.GridOptions{Nodes: nodes})
			counted, err1 := post.FailWithinCounted(c.age, c.x)
			apart, err2 := post.FailWithin(c.age, c.x)
			if err := errors.Join(err1, err2); err != nil {
				t.Fatal(err)
			}
			within(t, rows[c.row].id+" counted", counted, c.counted, tolerance)
			within(t, rows[c.row].id+" apart", apart, c.apart, tolerance)
		}
	}
}

// Check B3: taking the part into the observations turns one form of the chance into the other.
func TestCountedTwiceOrOnce(t *testing.T) {
	rows := posteriorRows(t)
	old := update(t, rows[0].prior, rows[0].obs, lifetime.GridOptions{})
	with := update(t, rows[1].prior, rows[1].obs, lifetime.GridOptions{})
	for _, x := range []float64{5, 10, 20, 40} {
		a, _ := old.FailWithin(95, x)
		b, _ := with.FailWithinCounted(95, x)
		within(t, "identity", a, b, 1e-7)
	}
}

// With many observations the posterior is a small spot on the prior's grid: the grid must find it,
// and agree with one of many more nodes.
func TestManyObservations(t *testing.T) {
	obs := censored(t, "weibull_bearingcage.csv")
	obs = append(obs, censored(t, "weibull_shock.csv")...)
	for range 30 {
		obs = append(obs, censored(t, "weibull_lzbearing.csv")...)
	}
	wide := lifetime.Prior{Shape: 1, ShapeLogSD: 1.5, Age: 5000, AgeLogSD: 4}
	got := update(t, wide, obs, lifetime.GridOptions{})
	want := update(t, wide, obs, lifetime.GridOptions{Nodes: 151})
	within(t, "log evidence", got.LogEvidence, want.LogEvidence, 1e-5)
	near(t, "E beta", got.MeanOf(lifetime.Life.Shape), want.MeanOf(lifetime.Life.Shape), 1e-6)
	near(t, "sd eta", got.SDOf(lifetime.Life.Scale), want.SDOf(lifetime.Life.Scale), 1e-4)
	fit := estimate(t, obs)
	within(t, "near the estimate", math.Log(got.MeanOf(lifetime.Life.Shape)), math.Log(fit.Shape()),
		0.2*fit.SELogShape())
}

// A known shape, a lognormal and intervals take other ways through the code: they must agree
// with the closed form (gamma-Poisson has none for a lognormal prior, so the fit is the yardstick).
func TestOtherPosteriors(t *testing.T) {
	obs := turbine(t)
	for _, family := range []lifetime.Family{lifetime.Weibull, lifetime.Lognormal} {
		wide := lifetime.Prior{Family: family, Shape: 2, ShapeLogSD: 1, Age: 40, AgeLogSD: 2}
		post := update(t, wide, obs, lifetime.GridOptions{})
		fit, err := lifetime.Estimate(family, obs)
		if err != nil {
			t.Fatal(err)
		}
		near(t, family.String()+" shape", post.MeanOf(lifetime.Life.Shape), fit.Shape(), 0.03)
		near(t, family.String()+" scale", post.MeanOf(lifetime.Life.Scale), fit.Scale(), 0.03)
	}
	exp := lifetime.Prior{Family: lifetime.Exponential, Age: 100, AgeLogSD: 0.5}
	known := lifetime.Prior{Shape: 1, Age: 100, AgeLogSD: 0.5}
	some := []lifetime.Observation{lifetime.FailedAt(50), lifetime.RunningAt(70)}
	a := update(t, exp, some, lifetime.GridOptions{})
	b := update(t, known, some, lifetime.GridOptions{})
	near(t, "exponential is Weibull of shape 1", a.LogEvidence, b.LogEvidence, 1e-12)
	fail, _ := a.FailWithin(0, 100)
	fail2, _ := b.FailWithin(0, 100)
	near(t, "chance", fail, fail2, 1e-12)
}

func TestFromInterval(t *testing.T) {
	p, err := lifetime.FromInterval(90, lifetime.Reading{})
	if err != nil {
		t.Fatal(err)
	}
	if p != priorB {
		t.Errorf("the defaults are not those of case BAY-B: %+v", p)
	}
	post := update(t, p, nil, lifetime.GridOptions{})
	if early, _ := post.FailWithin(0, 90); early < 0.1 || early > 0.15 {
		t.Errorf("a doubtful B10 of 90 gives %v by 90", early)
	}
	for _, r := range []lifetime.Reading{{Share: 1}, {LogSD: -1}, {Shape: math.NaN()}, {Family: 7}} {
		if _, err := lifetime.FromInterval(90, r); err == nil {
			t.Errorf("%+v was taken", r)
		}
	}
	if _, err := lifetime.FromInterval(-1, lifetime.Reading{}); err == nil {
		t.Error("a negative interval was taken")
	}
}

func TestPosteriorLaws(t *testing.T) {
	row := posteriorRows(t)[4]
	post := update(t, row.prior, row.obs, lifetime.GridOptions{})
	last := 1.0
	for _, age := range []float64{0, 10, 50, 100, 300, 1000} {
		s := post.Survival(age)
		if s > last || s < 0 {
			t.Errorf("survival rises at %v", age)
		}
		last = s
		h := 1e-4 * (age + 1)
		near(t, "MeanUpTo is the integral of Survival", (post.MeanUpTo(age+2*h)-post.MeanUpTo(age))/(2*h),
			post.Survival(age+h), 1e-6)
		if age > 0 && age < 1000 {
			near(t, "Hazard is the slope of -ln Survival", math.Log(post.Survival(age-h)/post.Survival(age+h))/(2*h),
				post.Hazard(age), 1e-5)
		}
	}
	for _, q := range []float64{0.01, 0.1, 0.5, 0.9} {
		age, err := post.Quantile(q)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "Quantile", 1-post.Survival(age), q, 1e-9)
		later, _ := post.QuantileFrom(60, q)
		chance, _ := post.FailWithin(60, later-60)
		near(t, "QuantileFrom", chance, q, 1e-8)
	}
	if far, _ := post.FailWithin(1e200, 1e200); far != 1 {
		t.Errorf("far out: %v", far)
	}
	if _, err := post.FailWithin(math.NaN(), 1); err == nil {
		t.Error("NaN was taken")
	}
	if _, err := row.prior.Update([]lifetime.Observation{lifetime.FailedAt(3).With(1)},
		lifetime.GridOptions{}); err == nil {
		t.Error("covariates were taken")
	}
}

// Of two lives known in every figure, one worn out and one that fails at any age, Bayes' rule is two densities:
// failures far apart tell of the second, failures close together of the first.
func TestAnyAgeByBayesRule(t *testing.T) {
	prior := lifetime.Prior{Shape: 3, Age: 100, AnyAge: 0.3}
	mean, doubt := prior.MeanLife()
	if want := 100 * math.Gamma(4./3); math.Abs(mean-want) > 1e-9 || doubt != 0 {
		t.Fatalf("mean life %v give or take %v, want %v", mean, doubt, want)
	}
	weibull := func(x float64) (density, survival float64) {
		survival = math.Exp(-math.Pow(x/100, 3))
		return 3 / 100. * math.Pow(x/100, 2) * survival, survival
	}
	shares := map[string]float64{}
	for name, failed := range map[string][]float64{"apart": {8, 240}, "close": {80, 85, 95}, "none": nil} {
		wears, any := 0.7, 0.3
		var obs []lifetime.Observation
		for _, x := range failed {
			d, _ := weibull(x)
			wears, any = wears*d, any*math.Exp(-x/mean)/mean
			obs = append(obs, lifetime.FailedAt(x))
		}
		_, before := weibull(50)
		_, after := weibull(90)
		want := 1 - (wears*after+any*math.Exp(-90/mean))/(wears*before+any*math.Exp(-50/mean))
		post := must(prior.Update(obs, lifetime.GridOptions{}))
		if got := must(post.FailWithin(50, 40)); math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
		if math.Abs(post.LogEvidence-math.Log(wears+any)) > 1e-9 {
			t.Errorf("%s: evidence %v, want %v", name, post.LogEvidence, math.Log(wears+any))
		}
		shares[name] = any / (wears + any)
	}
	if !(shares["apart"] > 0.9 && shares["close"] < 0.1) {
		t.Errorf("the cases are none: %v", shares)
	}
	for _, p := range []lifetime.Prior{{Shape: 3, Age: 100, AnyAge: 1}, {Family: lifetime.Lognormal, Shape: 3, Age: 100,
		AnyAge: 0.1}} {
		if _, err := p.Update(nil, lifetime.GridOptions{}); err == nil {
			t.Errorf("%+v was taken", p)
		}
	}
}
