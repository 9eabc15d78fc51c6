package usage

import (
	"math"
	"testing"
)

// The gain of the Kalman filter of the local-level model settles where its recursion stands still
// (Durbin and Koopman, Time Series Analysis by State Space Methods, 2nd ed. 2012, chapter 2);
// the recursion is run here for the drift in use.
func TestDriftGivesTheDiscount(t *testing.T) {
	variance := 1.0 // of the level before the year is seen, in units of the year's scatter
	for range 200 {
		variance = variance/(variance+1) + driftPerYear
	}
	if gain := variance / (variance + 1); math.Abs(1-gain-yearDiscount) > 1e-12 {
		t.Errorf("the filter discounts a year by %g, want %g", 1-gain, yearDiscount)
	}
	if after := variance / (variance + 1); math.Abs(after-(1-yearDiscount)) > 1e-12 {
		t.Errorf("variance of the level is %g, want 1 over the weight of an endless record, %g", after, 1-yearDiscount)
	}
}

// Critical values of Student's t, one tail of 10 %: NIST/SEMATECH e-Handbook of Statistical
// Methods, section 1.3.6.7.2 (values from memory).
func TestUpperTenth(t *testing.T) {
	for count, want := range map[float64]float64{2: 1.886, 5: 1.476, 10: 1.372, 30: 1.310} {
		if got := upperTenth(count); math.Abs(got-want) > 0.0005 {
			t.Errorf("%g degrees of freedom: %g, want %g", count, got, want)
		}
	}
}

func TestWeightsOfWholeYears(t *testing.T) {
	// Three years and a half at 12000, 9000, 6000 and, for the half year first, 4000 a year.
	days := []float64{0, 0.5 * YearDays, 1.5 * YearDays, 2.5 * YearDays, 3.5 * YearDays}
	dist := []float64{0, 2000, 8000, 17000, 29000}
	h := newHistory(days, dist, 0)
	want := (12000 + 9000.0/3 + 6000.0/9 + 0.5*4000/27) / (1 + 1.0/3 + 1.0/9 + 0.5/27)
	if got := h.perYear(0); math.Abs(got-want) > 1e-6 {
		t.Errorf("level is %g a year, want %g", got, want)
	}
	h = newHistory(days, dist, 10000)
	before := 0.25 * math.Pow(1.0/3, 0.5) / 27
	want = (12000 + 9000.0/3 + 6000.0/9 + 0.5*4000/27 + before*10000) / (1 + 1.0/3 + 1.0/9 + 0.5/27 + before)
	if got := h.perYear(0); math.Abs(got-want) > 1e-6 {
		t.Errorf("level with the owner's 10000 is %g a year, want %g", got, want)
	}
}

// FitWithPrior is Fit with another prior scatter, for the tests outside the package.
func FitWithPrior(readings []Reading, prior float64) (*Forecast, error) {
	return fit(readings, Options{}, prior)
}
