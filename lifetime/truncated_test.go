package lifetime_test

import (
	"math"
	"testing"

	"undertray.example/undertray/lifetime"
)

type mixedRow struct {
	id                                 string
	beta, eta, loglik                  float64
	seEta, seBeta, cov                 float64 // cov of ln eta and ln beta
	waldBeta, waldEta, profBeta, profE [2]float64
	tolerance                          float64
}

// Checks T1 to T5, with the standard errors and limits of the table in section 2: computed with R
// optim on a likelihood written out there; T2, T3 and T5 with survreg as well. T5 is the turbine
// wheel inspection of Nelson 1982 (R survival turbine).
func TestTruncatedAndIntervalCensored(t *testing.T) {
	left := mixed(t, "left_truncated.csv")
	ignored := append([]lifetime.Observation(nil), left...)
	for i := range ignored {
		ignored[i].Entry = 0
	}
	data := [][]lifetime.Observation{left, ignored, mixed(t, "interval_mixed.csv"),
		mixed(t, "mixed_all.csv"), turbine(t)}
	rows := []mixedRow{
		{"T1", 3.938314, 126.1917, -49.522653, 0.0840559, 0.280025, 0.00696171,
			[2]float64{2.27485, 6.81817}, [2]float64{107.024, 148.792}, [2]float64{2.05677, 6.39018},
			[2]float64{102.968, 151.425}, 1e-6},
		{"T2", 4.554722, 131.3574, -50.913769, 0.0695127, 0.239195, 0.00081809,
			[2]float64{2.85009, 7.27889}, [2]float64{114.627, 150.530}, [2]float64{2.68154, 6.96858},
			[2]float64{114.382, 155.387}, 1e-6},
		{"T3", 2.757307, 90.94761, -22.105613, 0.121870, 0.289123, -0.00077448,
			[2]float64{1.56453, 4.85946}, [2]float64{71.6235, 115.485}, [2]float64{1.42927, 4.55469},
			[2]float64{71.1754, 125.304}, 1e-6},
		{"T4", 2.151315, 102.8932, -42.583066, 0.146213, 0.300640, 0.012307,
			[2]float64{1.19343, 3.87801}, [2]float64{77.2557, 137.039}, [2]float64{1.07259, 3.59282},
			[2]float64{71.0984, 141.887}, 1e-6},
		{"T5", 2.175780, 46.77723, -189.287193, 0.0639366, 0.124470, -0.00559955,
			[2]float64{1.70477, 2.77692}, [2]float64{41.2678, 53.0222}, [2]float64{1.66897, 2.73204},
			[2]float64{42.0945, 54.7363}, 1e-6},
	}
	for i, want := range rows {
		t.Run(want.id, func(t *testing.T) {
			fit := estimate(t, data[i])
			near(t, "beta", fit.Shape(), want.beta, want.tolerance)
			near(t, "eta", fit.Scale(), want.eta, want.tolerance)
			within(t, "loglik", fit.LogLik, want.loglik, 1e-6)
			near(t, "se ln eta", fit.SECoef(0), want.seEta, 1e-4)
			near(t, "se ln beta", fit.SELogShape(), want.seBeta, 1e-4)
			near(t, "cov", -fit.Cov[0][1], want.cov, 1e-3)
			limits(t, "Wald beta", want.waldBeta[0], want.waldBeta[1])(fit.WaldShape(0.95))
			limits(t, "Wald eta", want.waldEta[0], want.waldEta[1])(fit.WaldScale(0.95))
			limits(t, "profile beta", want.profBeta[0], want.profBeta[1])(fit.ProfileShape(0.95))
			limits(t, "profile eta", want.profE[0], want.profE[1])(fit.ProfileScale(0.95))
		})
	}
}

// Check T6: a part that enters and is censored at one age says nothing.
func TestEnteredAndLeftAtOnce(t *testing.T) {
	obs := mixed(t, "mixed_all.csv")
	before := estimate(t, obs)
	after := estimate(t, append(obs, lifetime.RunningAt(80).From(80), lifetime.RunningAt(0)))
	within(t, "loglik", after.LogLik, before.LogLik, 1e-12*math.Abs(before.LogLik))
	near(t, "beta", after.Shape(), before.Shape(), 1e-9)
}

// Check T7: ever narrower intervals tend to exact ages; each failure's likelihood is then the
// density times the width.
func TestNarrowIntervals(t *testing.T) {
	obs := censored(t, "weibull_nist413.csv")
	exact := estimate(t, obs)
	const width = 1e-3
	for i, o := range obs {
		if o.Outcome == lifetime.Failed {
			obs[i] = lifetime.FailedBetween(o.Age-width/2, o.Age+width/2).Times(o.Weight)
		}
	}
	fit := estimate(t, obs)
	near(t, "beta", fit.Shape(), exact.Shape(), 1e-6)
	near(t, "eta", fit.Scale(), exact.Scale(), 1e-6)
	within(t, "loglik", fit.LogLik, exact.LogLik+exact.Failures*math.Log(width), 1e-4)
}
