package usage_test

import (
	"math"
	"testing"
	"time"

	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/usage"
)

// The logs are two private cars' fill-up logs from the public repository robhanssen/fuel-economy,
// folder cars/, commit 8bcebc0e, licence GPL-3.0; distances in miles. The figures they are checked
// against were worked out apart from this package by linear interpolation
// (shared/reference/reliability.md, section 7, checks O1 to O5).

func odometerLog(t testing.TB, name string) []usage.Reading {
	t.Helper()
	var out []usage.Reading
	for _, row := range given.Table(t, "data", "odometer", "odometer_vehicle_"+name+".csv") {
		out = append(out, usage.Reading{Day: dayNumber(t, row[0]), Distance: given.Number(t, row[1])})
	}
	return out
}

func dayNumber(t testing.TB, date string) float64 {
	t.Helper()
	moment, err := time.Parse(time.DateOnly, date)
	if err != nil {
		t.Fatal(err)
	}
	return float64(moment.Unix()) / 86400
}

type score struct {
	n                    int
	plain, own, bias     float64
	inside, below, above int
	width                float64
}

func (s score) coverage() float64 { return float64(s.inside) / float64(s.n) }

type fitter func([]usage.Reading) (*usage.Forecast, error)

func plainFit(readings []usage.Reading) (*usage.Forecast, error) {
	return usage.Fit(readings, usage.Options{})
}

// backtest makes the forecast at every reading with 365 days before and the horizon after it,
// from the readings up to it only.
func backtest(t testing.TB, log []usage.Reading, horizon float64, fit fitter) score {
	t.Helper()
	var s score
	for i, r := range log {
		if r.Day-log[0].Day < 365 || log[len(log)-1].Day-r.Day < horizon {
			continue
		}
		model, err := fit(log[:i+1])
		if err != nil {
			t.Fatal(err)
		}
		p, err := model.At(r.Day + horizon)
		if err != nil {
			t.Fatal(err)
		}
		rate, err := usage.PlainRate(log[:i+1], r.Day, 365)
		if err != nil {
			t.Fatal(err)
		}
		last := r.Distance
		s.add(atDay(log, r.Day+horizon)-last, rate*horizon, p.Expected-last, p.Low-last, p.High-last)
	}
	s.plain, s.own = math.Sqrt(s.plain/float64(s.n)), math.Sqrt(s.own/float64(s.n))
	s.bias, s.width = s.bias/float64(s.n), s.width/float64(s.n)
	return s
}

func (s *score) add(outcome, plain, own, low, high float64) {
	s.n++
	s.plain += (plain - outcome) * (plain - outcome)
	s.own += (own - outcome) * (own - outcome)
	s.bias += own - outcome
	s.width += high - low
	switch {
	case outcome < low:
		s.below++
	case outcome > high:
		s.above++
	default:
		s.inside++
	}
}

// atDay interpolates on its own, apart from the package.
func atDay(log []usage.Reading, day float64) float64 {
	for i := 1; i < len(log); i++ {
		if log[i].Day >= day {
			a, b := log[i-1], log[i]
			return a.Distance + (b.Distance-a.Distance)*(day-a.Day)/(b.Day-a.Day)
		}
	}
	return math.NaN()
}

func TestOdometerLogsPlainRate(t *testing.T) {
	for _, c := range []struct {
		log           string
		overall       float64 // O1, miles per day
		origin        string  // O2
		rate          float64
		h90, h180, h1 float64
	}{
		{"a", 22.550976, "2021-01-17", 16.810959, 89386.986, 90899.973, 94010.000},
		{"b", 21.129925, "2021-06-05", 16.762192, 58788.597, 60297.195, 63398.200},
	} {
		log := odometerLog(t, c.log)
		first, last := log[0], log[len(log)-1]
		overall, err := usage.PlainRate(log, last.Day, last.Day-first.Day)
		if err != nil || math.Abs(overall-c.overall) > 1e-6 {
			t.Errorf("log %s: overall rate %.7f (%v), want %.6f", c.log, overall, err, c.overall)
		}
		origin := lastBefore(log, first.Day+0.6*(last.Day-first.Day))
		if origin.Day != dayNumber(t, c.origin) {
			t.Errorf("log %s: origin is day %g, want %s", c.log, origin.Day, c.origin)
		}
		rate, err := usage.PlainRate(log, origin.Day, 365)
		if err != nil || math.Abs(rate-c.rate) > 1e-6 {
			t.Errorf("log %s: rate %.7f (%v), want %.6f", c.log, rate, err, c.rate)
		}
		for days, want := range map[float64]float64{90: c.h90, 180: c.h180, 365: c.h1} {
			if got := origin.Distance + rate*days; math.Abs(got-want) > 0.001 {
				t.Errorf("log %s: plain forecast %g days on is %.3f miles, want %.3f", c.log, days, got, want)
			}
		}
	}
}

func lastBefore(log []usage.Reading, day float64) (last usage.Reading) {
	for _, r := range log {
		if r.Day <= day {
			last = r
		}
	}
	return last
}

func TestOdometerLogsBacktest(t *testing.T) {
	for _, c := range []struct {
		log   string
		n     int
		plain float64 // O3
	}{{"a", 353, 976.861}, {"b", 209, 639.970}} {
		log := odometerLog(t, c.log)
		for _, horizon := range []float64{30, 90, 180, 365, 730} {
			s := backtest(t, log, horizon, plainFit)
			coverage := s.coverage()
			t.Logf("log %s, %3.0f days, %d origins: plain RMSE %.3f, own RMSE %.3f (mean error %+.0f), 80 %% band "+
				"covers %.1f %% (below %.1f %%, above %.1f %%), mean width %.0f miles",
				c.log, horizon, s.n, s.plain, s.own, s.bias, 100*coverage, 100*float64(s.below)/float64(s.n),
				100*float64(s.above)/float64(s.n), s.width)
			if horizon != 180 {
				continue
			}
			if s.n != c.n || math.Abs(s.plain-c.plain) > 0.01 {
				t.Errorf("log %s: plain RMSE %.3f over %d origins, want %.3f over %d", c.log, s.plain,
					s.n, c.plain, c.n)
			}
			if s.own > s.plain {
				t.Errorf("log %s: own RMSE %.3f is worse than plain %.3f", c.log, s.own, s.plain)
			}
			if coverage < 0.7 || coverage > 0.9 { // O5
				t.Errorf("log %s: 80 %% band covers %.1f %%, want 70 to 90 %%", c.log, 100*coverage)
			}
		}
	}
}

// The prior scatter was chosen after looking at both logs. Here each log is forecast with the
// prior taken from the other one alone, so that nothing of it is known beforehand.
func TestOdometerLogsWithThePriorOfTheOther(t *testing.T) {
	logs := map[string][]usage.Reading{"a": odometerLog(t, "a"), "b": odometerLog(t, "b")}
	for name, other := range map[string]string{"a": "b", "b": "a"} {
		whole, err := usage.FitWithPrior(logs[other], 0)
		if err != nil {
			t.Fatal(err)
		}
		learned := math.Pow(whole.Basis().YearScatter, 2) / whole.Basis().ScatterShare
		s := backtest(t, logs[name], 180, func(r []usage.Reading) (*usage.Forecast, error) {
			return usage.FitWithPrior(r, learned)
		})
		t.Logf("log %s, prior scatter %.3f from log %s: own RMSE %.3f, 80 %% band covers %.1f %%",
			name, math.Sqrt(learned), other, s.own, 100*s.coverage())
		if s.own > s.plain || s.coverage() < 0.7 || s.coverage() > 0.9 {
			t.Errorf("log %s: own RMSE %.3f (plain %.3f), covers %.1f %%, want 70 to 90 %%", name, s.own, s.plain,
				100*s.coverage())
		}
	}
}
