package wear_test

import (
	"flag"
	"fmt"
	"math"
	"sort"
	"strings"
	"testing"

	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/wear"
)

var update = flag.Bool("update", false, "rewrite the wear part of docs/calibration.md")

var cuts = []float64{0.4, 0.6, 0.8}

// outcome is one forecast and what came of it.
type outcome struct {
	set, unit string
	cut       float64
	truth     float64
	f         wear.Crossing
	raw, log  float64 // plain least squares of the value and of its logarithm on exposure
}

func (o outcome) covered() bool { return o.truth >= o.f.Earliest && o.truth <= o.f.Latest }

// outcomes cuts every unit that reaches the limit at 40, 60 and 80 % of its measurements and
// forecasts from those alone, with or without the other units. Cuts beyond the crossing are left
// out, there being nothing to forecast.
func outcomes(t testing.TB, d degradation, peers bool) []outcome {
	var out []outcome
	for i, p := range d.paths {
		truth, ok := wear.FirstCrossing(p, d.limit, 0)
		if !ok {
			continue
		}
		var others []wear.Path
		if peers {
			others = d.others(i)
		}
		kind, err := wear.Prepare(d.limit, wear.Prior{}, others, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, cut := range cuts {
			own := p[:int(math.Ceil(cut*float64(len(p))-1e-9))]
			if own[len(own)-1].Exposure[0] >= truth {
				continue
			}
			f, err := kind.Forecast(own)
			if err != nil {
				t.Fatalf("%s %s: %v", d.name, d.units[i], err)
			}
			o := outcome{d.name, d.units[i], cut, truth, f.Crossing(), 0, math.NaN()}
			o.raw = extrapolate(own, d.limit.Value, func(y float64) float64 { return y })
			if own[0].Value > 0 {
				o.log = extrapolate(own, d.limit.Value, math.Log)
			}
			out = append(out, o)
		}
	}
	return out
}

// extrapolate is ordinary least squares of a transformed value on exposure, solved for the limit.
func extrapolate(p wear.Path, limit float64, transform func(float64) float64) float64 {
	intercept, slope := ols(p, transform)
	return (transform(limit) - intercept) / slope
}

func ols(p wear.Path, transform func(float64) float64) (intercept, slope float64) {
	var n, sx, sy, sxx, sxy float64
	for _, o := range p {
		x, y := o.Exposure[0], transform(o.Value)
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	slope = (n*sxy - sx*sy) / (n*sxx - sx*sx)
	return (sy - slope*sx) / n, slope
}

func medianError(os []outcome, of func(outcome) float64) float64 {
	var errs []float64
	for _, o := range os {
		e := math.Abs(of(o)-o.truth) / o.truth
		if math.IsNaN(e) {
			e = math.Inf(1)
		}
		errs = append(errs, e)
	}
	sort.Float64s(errs)
	n := len(errs)
	return (errs[(n-1)/2] + errs[n/2]) / 2
}

func coverage(os []outcome) float64 {
	n := 0.0
	for _, o := range os {
		if o.covered() {
			n++
		}
	}
	return n / float64(len(os))
}

// plainBest is the plain line on the scale, raw or logarithm, that does better on the whole set in
// hindsight.
func plainBest(os []outcome) (of func(outcome) float64, name string) {
	raw := func(o outcome) float64 { return o.raw }
	log := func(o outcome) float64 { return o.log }
	if medianError(os, log) < medianError(os, raw) {
		return log, "log"
	}
	return raw, "raw"
}

// TestCalibration is the promise of the package: of the crossings of the open data sets, cut at 40,
// 60 and 80 %, the 80 % band holds 70 to 90 %, and the median error is at least a fifth below
// that of the plain line on the better of raw and logarithm. The units of one set other than the one forecast
// are its peers; the figures without peers are written beside.
func TestCalibration(t *testing.T) {
	var report strings.Builder
	report.WriteString("| data | limit | forecasts | peers | in the 80 % band | median error | plain line | its " +
		"scale |\n|---|---|---|---|---|---|---|---|\n")
	for _, peers := range []bool{true, false} {
		var all []outcome
		var plain []float64
		for _, d := range []degradation{alloy(t), lasers(t), metal(t, 15), metal(t, 30)} {
			os := outcomes(t, d, peers)
			best, scale := plainBest(os)
			for _, o := range os {
				plain = append(plain, math.Abs(best(o)-o.truth)/o.truth)
			}
			row(&report, strings.TrimSuffix(d.name, ".csv"), fmt.Sprint(d.limit.Value), os, peers,
				medianError(os, best), scale)
			all = append(all, os...)
		}
		sort.Float64s(plain)
		baseline := (plain[(len(plain)-1)/2] + plain[len(plain)/2]) / 2
		row(&report, "all", "", all, peers, baseline, "better of each set")
		judge(t, all, baseline, peers)
	}
	t.Log("\n" + report.String())
	given.Calibration(t, "wear", report.String(), *update)
}

func row(w *strings.Builder, name, limit string, os []outcome, peers bool, plain float64, scale string) {
	with := map[bool]string{true: "the other units", false: "none"}[peers]
	fmt.Fprintf(w, "| %s | %s | %d | %s | %.0f %% | %.1f %% | %.1f %% | %s |\n", name, limit, len(os), with,
		100*coverage(os), 100*medianError(os, func(o outcome) float64 { return o.f.Expected }), 100*plain, scale)
}

func judge(t *testing.T, all []outcome, baseline float64, peers bool) {
	t.Helper()
	if c := coverage(all); c < 0.7 || c > 0.9 {
		t.Errorf("peers %v: the 80 %% band holds %.1f %%", peers, 100*c)
	}
	if e := medianError(all, func(o outcome) float64 { return o.f.Expected }); e > 0.8*baseline {
		t.Errorf("peers %v: median error %.4f, plain line %.4f", peers, e, baseline)
	}
}
