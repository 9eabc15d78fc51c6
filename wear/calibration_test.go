package wear_test

import (
	"math"
	"sort"
	"testing"

	"undertray/wear"
)

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
			if testing.Verbose() {
				t.Logf("%-14s %4s %.1f true %9.4g  band %9.4g %9.4g %9.4g  raw %9.4g log %9.4g %v %s %.2f prior %.2f", d.name, d.units[i], cut, truth, o.f.Earliest, o.f.Expected, o.f.Latest, o.raw, o.log, o.covered(), f.Basis().Bend, f.Basis().BendShare, f.Basis().PriorWeight)
			}
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

func TestCalibration(t *testing.T) {
	sets := []degradation{alloy(t), lasers(t), metal(t, 15), metal(t, 30)}
	for _, peers := range []bool{true, false} {
		var all []outcome
		var base []float64
		for _, d := range sets {
			os := outcomes(t, d, peers)
			all = append(all, os...)
			raw := medianError(os, func(o outcome) float64 { return o.raw })
			log := medianError(os, func(o outcome) float64 { return o.log })
			base = append(base, math.Min(raw, log))
			t.Logf("peers %v %s %g: n %d coverage %.3f error %.4f raw %.4f log %.4f", peers, d.name, d.limit.Value, len(os), coverage(os),
				medianError(os, func(o outcome) float64 { return o.f.Expected }), raw, log)
		}
		t.Logf("peers %v ALL n %d coverage %.3f error %.4f", peers, len(all), coverage(all), medianError(all, func(o outcome) float64 { return o.f.Expected }))
	}
}
