package lifetime_test

import (
	"errors"
	"math"
	"testing"

	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/lifetime"
)

var sets = []string{"nist413", "shock", "bearingcage", "lzbearing", "ovarian"}

// Checks W1 to W6: the five sets against R survreg (weibull_results.csv, columns in that order).
// NIST/SEMATECH e-Handbook 8.4.1.3 prints eta 606.5280, beta 1.7208, log-likelihood 75.135.
func TestWeibullSets(t *testing.T) {
	results := table(t, "weibull_results.csv")
	for i, set := range sets {
		t.Run(set, func(t *testing.T) {
			v := func(column int) float64 { return given.Number(t, trim(results[i][column])) }
			fit := estimate(t, censored(t, "weibull_"+set+".csv"))
			near(t, "parts", fit.Parts, v(1), 0)
			near(t, "failures", fit.Failures, v(2), 0)
			near(t, "beta", fit.Shape(), v(3), 1e-8)
			near(t, "eta", fit.Scale(), v(4), 1e-8)
			within(t, "loglik", fit.LogLik, v(5), 1e-7)
			near(t, "se mu", fit.SECoef(0), v(9), 1e-6)
			near(t, "se ln sigma", fit.SELogShape(), v(10), 1e-6)
			near(t, "cov(mu, ln sigma)", fit.Cov[0][1], v(11), 1e-5)
			life, _ := fit.Life()
			near(t, "B10", life.Quantile(0.1), v(20), 1e-7)
			limits(t, "beta Wald", v(12), v(13))(fit.WaldShape(0.95))
			limits(t, "eta Wald", v(14), v(15))(fit.WaldScale(0.95))
			limits(t, "beta profile", v(16), v(17))(fit.ProfileShape(0.95))
			limits(t, "eta profile", v(18), v(19))(fit.ProfileScale(0.95))
			limits(t, "B10 Wald", v(21), v(22))(fit.WaldPercentile(0.1, 0.95))
			limits(t, "B10 profile", v(23), v(24))(fit.ProfilePercentile(0.1, 0.95))
		})
	}
}

func trim(s string) string {
	for len(s) > 0 && s[0] == ' ' {
		s = s[1:]
	}
	return s
}

func limits(t *testing.T, what string, low, high float64) func(lifetime.Interval, error) {
	return func(in lifetime.Interval, err error) {
		t.Helper()
		if err != nil {
			t.Errorf("%s: %v", what, err)
			return
		}
		near(t, what+" low", in.Low, low, 1e-5)
		near(t, what+" high", in.High, high, 1e-5)
	}
}

// NIST/SEMATECH e-Handbook 8.4.1.3 (seen): AIC 154.27 and for the lognormal 154.39; mean 540.737 h,
// standard deviation 323.806 h.
func TestHandbookFigures(t *testing.T) {
	obs := censored(t, "weibull_nist413.csv")
	fit := estimate(t, obs)
	within(t, "AIC", fit.AIC(), 154.27, 0.005)
	life, _ := fit.Life()
	within(t, "mean", life.Mean(), 540.737, 0.001)
	within(t, "sd", life.SD(), 323.806, 0.005)
	lognormal, err := lifetime.Estimate(lifetime.Lognormal, obs)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "lognormal AIC", lognormal.AIC(), 154.3925, 0.00005)
}

// Check W7 and R8: motorettes (R MASS motors), covariate 1/(kT) in 1/eV, against survreg; and the
// row with the temperature itself.
func TestMotors(t *testing.T) {
	fit := regress(t, lifetime.Weibull, motors(t, lifetime.ArrheniusCovariate), lifetime.FitOptions{})
	near(t, "intercept", fit.Coef[0], -13.353003, 1e-6)
	near(t, "se intercept", fit.SECoef(0), 1.500573, 1e-5)
	near(t, "Ea", fit.Coef[1], 0.83793906, 1e-6)
	near(t, "Ea in kJ/mol", fit.Coef[1]*96.48533212, 80.849, 1e-5)
	near(t, "se Ea", fit.SECoef(1), 0.05999784, 1e-5)
	near(t, "ln scale", fit.LogSigma, -1.1225640, 1e-6)
	near(t, "se ln scale", fit.SELogShape(), 0.2100841, 1e-5)
	within(t, "loglik", fit.LogLik, -146.254296, 1e-6)

	at := lifetime.ArrheniusCovariate(130)
	life, err := fit.Life(at)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "B10 at 130 °C", life.Quantile(0.1), 22796.95, 1e-6)
	near(t, "B50 at 130 °C", life.Quantile(0.5), 42086.05, 1e-6)
	se10, _ := fit.SELogPercentile(0.1, at)
	se50, _ := fit.SELogPercentile(0.5, at)
	near(t, "se ln B10", se10, 0.2464484, 1e-5)
	near(t, "se ln B50", se50, 0.2389576, 1e-5)
	limits(t, "Ea profile", 0.7189685, 0.9754560)(fit.ProfileCoef(1, 0.95))
	limits(t, "Ea Wald", 0.7203454, 0.9555327)(fit.WaldCoef(1, 0.95))

	plain := regress(t, lifetime.Weibull, motors(t, func(c float64) float64 { return c }), lifetime.FitOptions{})
	near(t, "intercept", plain.Coef[0], 16.318519, 1e-6)
	near(t, "slope", plain.Coef[1], -0.04530705, 1e-6)
	near(t, "se intercept", plain.SECoef(0), 0.6229639, 1e-5)
	near(t, "se slope", plain.SECoef(1), 0.003185821, 1e-5)
	near(t, "ln scale", plain.LogSigma, -1.0956409, 1e-6)
	near(t, "se ln scale", plain.SELogShape(), 0.2147966, 1e-5)
	within(t, "loglik", plain.LogLik, -147.36506, 1e-5)
	within(t, "null loglik", estimate(t, without(motors(t, lifetime.ArrheniusCovariate))).LogLik, -169.52671, 1e-5)
}

func without(obs []lifetime.Observation) []lifetime.Observation {
	for i := range obs {
		obs[i].Covariates = nil
	}
	return obs
}

func regress(t *testing.T, family lifetime.Family, obs []lifetime.Observation, opts lifetime.FitOptions) *lifetime.Fit {
	t.Helper()
	fit, err := lifetime.Regress(family, obs, opts)
	if err != nil {
		t.Fatal(err)
	}
	return fit
}

type regressionRow struct {
	intercept, slope, logSigma float64
	ses                        [3]float64
	loglik, null               float64
}

// Check W8: Device-A (Meeker and Escobar 1998, example 19.5), lognormal and Weibull, covariate
// 11605/K, against survreg.
func TestDeviceA(t *testing.T) {
	var obs []lifetime.Observation
	for _, row := range table(t, "arrhenius_deviceA.csv") {
		o := lifetime.RunningAt(given.Number(t, row[0]))
		if row[1] == "1" {
			o = lifetime.FailedAt(given.Number(t, row[0]))
		}
		obs = append(obs, o.Times(given.Number(t, row[2])).With(11605/given.Number(t, row[3])))
	}
	rows := map[lifetime.Family]regressionRow{
		lifetime.Lognormal: {-13.468649, 0.62785296, -0.02242629, [3]float64{2.887195, 0.08283880, 0.1356552},
			-321.70278, -362.05982},
		lifetime.Weibull: {-13.316832, 0.63379840, -0.3467477, [3]float64{3.313129, 0.09688729, 0.1455223},
			-323.61871, -363.31224},
	}
	for family, want := range rows {
		fit := regress(t, family, obs, lifetime.FitOptions{})
		near(t, "intercept", fit.Coef[0], want.intercept, 1e-6)
		near(t, "slope", fit.Coef[1], want.slope, 1e-6)
		near(t, "scale", math.Exp(fit.LogSigma), math.Exp(want.logSigma), 1e-6)
		within(t, "loglik", fit.LogLik, want.loglik, 6e-6)
		near(t, "se intercept", fit.SECoef(0), want.ses[0], 1e-5)
		near(t, "se slope", fit.SECoef(1), want.ses[1], 1e-5)
		near(t, "se ln scale", fit.SELogShape(), want.ses[2], 1e-5)
		null := regress(t, family, without(append([]lifetime.Observation(nil), obs...)), lifetime.FitOptions{})
		within(t, "null loglik", null.LogLik, want.null, 6e-6)
	}
}

// Check W9: ovarian (R survival, the example of survreg's help), with estimated and known scale.
func TestOvarianRegression(t *testing.T) {
	var obs []lifetime.Observation
	for _, row := range table(t, "ovarian_reg.csv") {
		o := lifetime.RunningAt(given.Number(t, row[0]))
		if row[1] == "1" {
			o = lifetime.FailedAt(given.Number(t, row[0]))
		}
		obs = append(obs, o.With(given.Number(t, row[2]), given.Number(t, row[3])))
	}
	fit := regress(t, lifetime.Weibull, obs, lifetime.FitOptions{})
	for i, want := range []float64{6.8966931, -0.38504255, 0.52864550} {
		near(t, "coefficient", fit.Coef[i], want, 1e-6)
		near(t, "se", fit.SECoef(i), []float64{1.177547, 0.5270018, 0.5292019}[i], 1e-5)
	}
	near(t, "scale", math.Exp(fit.LogSigma), 0.8838731, 1e-6)
	near(t, "se ln scale", fit.SELogShape(), 0.2522131, 1e-5)
	within(t, "loglik", fit.LogLik, -97.084493, 1e-6)

	for _, known := range []*lifetime.Fit{
		regress(t, lifetime.Weibull, obs, lifetime.FitOptions{Sigma: 1}),
		regress(t, lifetime.Exponential, obs, lifetime.FitOptions{}),
	} {
		for i, want := range []float64{6.9618376, -0.43313466, 0.58150273} {
			near(t, "coefficient", known.Coef[i], want, 1e-6)
			near(t, "se", known.SECoef(i), []float64{1.321877, 0.5869936, 0.5869936}[i], 1e-5)
		}
		within(t, "loglik", known.LogLik, -97.198039, 1e-6)
		if se := known.SELogShape(); se != 0 {
			t.Errorf("a known scale has standard error %v", se)
		}
	}
	null := regress(t, lifetime.Exponential, without(obs), lifetime.FitOptions{})
	within(t, "null loglik", null.LogLik, -98.032200, 1e-6)
}

// Check W10: ages in another unit change eta by the factor, beta not at all, and the
// log-likelihood by -failures·ln factor.
func TestUnitsOfAge(t *testing.T) {
	for _, set := range sets {
		obs := censored(t, "weibull_"+set+".csv")
		fit := estimate(t, obs)
		for i := range obs {
			obs[i].Age *= 1000
		}
		scaled := estimate(t, obs)
		near(t, "beta", scaled.Shape(), fit.Shape(), 1e-9)
		near(t, "eta", scaled.Scale(), 1000*fit.Scale(), 1e-9)
		near(t, "loglik", scaled.LogLik, fit.LogLik-fit.Failures*math.Log(1000), 1e-9)
	}
}

// Check W11: nothing failed, nothing to fit; and other data that bound no shape.
func TestRefusals(t *testing.T) {
	run := lifetime.RunningAt
	cases := []struct {
		name string
		obs  []lifetime.Observation
		want error
	}{
		{"all running", []lifetime.Observation{run(10), run(20)}, lifetime.ErrNoFailures},
		{"none", nil, lifetime.ErrNoFailures},
		{"one failure, nothing longer", []lifetime.Observation{lifetime.FailedAt(30), run(20)}, lifetime.ErrUnbounded},
		{"one age", []lifetime.Observation{lifetime.FailedAt(30), lifetime.FailedAt(30)}, lifetime.ErrUnbounded},
		{"one interval", []lifetime.Observation{lifetime.FailedBetween(30, 40)}, lifetime.ErrUnbounded},
		{"left and right only", []lifetime.Observation{lifetime.FoundFailedAt(30), run(70)}, lifetime.ErrUnbounded},
		{"covariate constant", []lifetime.Observation{lifetime.FailedAt(3).With(1), lifetime.FailedAt(4).With(1)},
			lifetime.ErrSingular},
	}
	for _, c := range cases {
		if _, err := lifetime.Estimate(lifetime.Weibull, c.obs); !errors.Is(err, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, err, c.want)
		}
	}
	if fit := estimate(t, []lifetime.Observation{lifetime.FailedAt(30), run(60)}); !(fit.Shape() > 0) {
		t.Error("one failure outlived by a running part has a maximum")
	}
}

func TestBadData(t *testing.T) {
	nan := math.NaN()
	bad := map[string]lifetime.Observation{
		"negative life":         lifetime.FailedAt(-1),
		"failed at once":        lifetime.FailedAt(0),
		"not a number":          lifetime.RunningAt(nan),
		"infinite":              lifetime.RunningAt(math.Inf(1)),
		"failed before entry":   lifetime.FailedAt(10).From(20),
		"running before entry":  lifetime.RunningAt(10).From(20),
		"interval turned round": lifetime.FailedBetween(20, 10),
		"negative entry":        lifetime.FailedAt(10).From(-1),
		"negative weight":       lifetime.FailedAt(10).Times(-1),
		"covariate":             lifetime.FailedAt(10).With(nan),
		"outcome":               {Outcome: 9, Age: 1},
	}
	for name, o := range bad {
		_, err := lifetime.Estimate(lifetime.Weibull, []lifetime.Observation{lifetime.FailedAt(5), o})
		var data *lifetime.DataError
		if !errors.As(err, &data) || data.Row != 1 {
			t.Errorf("%s: got %v, want a DataError for observation 1", name, err)
		}
	}
	uneven := []lifetime.Observation{lifetime.FailedAt(5).With(1), lifetime.FailedAt(6)}
	var data *lifetime.DataError
	if _, err := lifetime.Estimate(lifetime.Weibull, uneven); !errors.As(err, &data) {
		t.Errorf("uneven covariates: got %v", err)
	}
}
