package lifetime_test

import (
	"testing"

	"undertray/lifetime"
)

// With current-status data (each part looked at once) the curve that assumes no family has a
// closed form, the isotonic regression of the failed shares (Ayer, Brunk, Ewing, Reid and Silverman
// 1955). R survfit, which stops earlier, gives the same to three digits.
func TestTurnbullOfTurbines(t *testing.T) {
	got := must(lifetime.Turnbull(turbine(t)))
	failed := func(f, n float64) float64 { return 1 - f/n }
	want := []float64{1, failed(6, 86), failed(7, 73), failed(5, 30), failed(18, 81), failed(6, 13), failed(43, 74), failed(21, 36)}
	ages := []float64{4, 10, 18, 22, 26, 34, 38, 46}
	for i, age := range ages {
		survival := 1.0
		for _, m := range got {
			if m.UpTo <= age {
				survival = m.Survival
			}
		}
		within(t, "survival", survival, want[i], 1e-6)
	}
}

// R survfit(type = "interval2") of interval_mixed.csv, computed; R stops at about 1e-4.
func TestTurnbullMixed(t *testing.T) {
	got := must(lifetime.Turnbull(mixed(t, "interval_mixed.csv")))
	for age, want := range map[float64]float64{30: 0.92307692, 60: 0.74300646, 70: 0.70183313, 75: 0.38124956, 100: 0.19231306} {
		survival := 1.0
		for _, m := range got {
			if m.UpTo <= age {
				survival = m.Survival
			}
		}
		within(t, "survival", survival, want, 5e-3)
	}
}

// Without intervals Turnbull's curve is Kaplan and Meier's, late entry included.
func TestTurnbullIsKaplanMeier(t *testing.T) {
	for _, obs := range [][]lifetime.Observation{
		censored(t, "weibull_nist413.csv"), censored(t, "weibull_shock.csv"), mixed(t, "left_truncated.csv"),
	} {
		steps := must(lifetime.KaplanMeier(obs))
		masses := must(lifetime.Turnbull(obs))
		for _, s := range steps {
			for _, m := range masses {
				if m.UpTo == s.Age {
					within(t, "survival", m.Survival, s.Survival, 1e-6)
				}
			}
		}
	}
	if _, err := lifetime.KaplanMeier(turbine(t)); err == nil {
		t.Error("found failed was taken")
	}
	if _, err := lifetime.Turnbull(nil); err == nil {
		t.Error("nothing was taken")
	}
}
