package lifetime_test

import (
	"math"
	"testing"

	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/lifetime"
)

// The data files and the figures they are checked against are described, with the source of each,
// in shared/reference/reliability.md; its check ids (W1, T1, B1, ...) stand beside the checks here.
// "computed" there means worked out apart from this package, with R 4 (survival 3.5-3), numpy 1.24
// or scipy 1.10.

// table reads a CSV file of the reliability folder without its head.
func table(t testing.TB, name string) [][]string {
	t.Helper()
	return given.Table(t, "data", "reliability", name)
}

// censored reads time,status,weight.
func censored(t testing.TB, name string) []lifetime.Observation {
	t.Helper()
	var out []lifetime.Observation
	for _, row := range table(t, name) {
		o := lifetime.RunningAt(given.Number(t, row[0]))
		if row[1] == "1" {
			o = lifetime.FailedAt(given.Number(t, row[0]))
		}
		out = append(out, o.Times(given.Number(t, row[2])))
	}
	return out
}

// mixed reads entry,t1,t2,type,n.
func mixed(t testing.TB, name string) []lifetime.Observation {
	t.Helper()
	var out []lifetime.Observation
	for _, row := range table(t, name) {
		at := given.Number(t, row[1])
		var o lifetime.Observation
		switch row[3] {
		case "exact":
			o = lifetime.FailedAt(at)
		case "right":
			o = lifetime.RunningAt(at)
		case "left":
			o = lifetime.FoundFailedAt(at)
		case "interval":
			o = lifetime.FailedBetween(at, given.Number(t, row[2]))
		default:
			t.Fatalf("unknown type %q", row[3])
		}
		out = append(out, o.From(given.Number(t, row[0])).Times(given.Number(t, row[4])))
	}
	return out
}

func turbine(t testing.TB) []lifetime.Observation {
	t.Helper()
	var out []lifetime.Observation
	for _, row := range table(t, "interval_turbine.csv") {
		o := lifetime.Observation{}
		if row[0] == "" {
			o = lifetime.FoundFailedAt(given.Number(t, row[1]))
		} else {
			o = lifetime.RunningAt(given.Number(t, row[0]))
		}
		out = append(out, o.Times(given.Number(t, row[2])))
	}
	return out
}

func motors(t testing.TB, covariate func(celsius float64) float64) []lifetime.Observation {
	t.Helper()
	var out []lifetime.Observation
	for _, row := range table(t, "arrhenius_motors.csv") {
		o := lifetime.RunningAt(given.Number(t, row[1]))
		if row[2] == "1" {
			o = lifetime.FailedAt(given.Number(t, row[1]))
		}
		out = append(out, o.With(covariate(given.Number(t, row[0]))))
	}
	return out
}

func estimate(t testing.TB, obs []lifetime.Observation) *lifetime.Fit {
	t.Helper()
	fit, err := lifetime.Estimate(lifetime.Weibull, obs)
	if err != nil {
		t.Fatal(err)
	}
	return fit
}

// near fails unless got is want within a relative tolerance.
func near(t testing.TB, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %.10g, want %.10g (off by %.2g, allowed %.2g)", what, got, want,
			math.Abs(got-want)/math.Abs(want), relative)
	}
}

// close fails unless got is want within an absolute tolerance.
func within(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g (off by %.2g, allowed %.2g)", what, got, want,
			math.Abs(got-want), tolerance)
	}
}
