package wear_test

import (
	"math"
	"testing"

	"undertray.example/undertray/wear"
)

// Checks D1 to D7 of section 4 (computed with numpy).

// Check D1: 12 of 21 cracks reach 1.6 inches, at the listed megacycles.
func TestAlloyCrossings(t *testing.T) {
	d := alloy(t)
	want := map[string]float64{"1": .0875, "2": .1, "3": .10105, "4": .10278, "5": .10313, "6": .10529, "7": .10571,
		"8": .10846, "9": .11294, "10": .11533, "11": .11688, "12": .1175}
	for i, p := range d.paths {
		x, ok := wear.FirstCrossing(p, d.limit, 0)
		w, listed := want[d.units[i]]
		if ok != listed || ok && math.Abs(x-w) > 1e-5 {
			t.Errorf("unit %s crosses at %v (%v), want %v (%v)", d.units[i], x, ok, w, listed)
		}
	}
}

func plain(t *testing.T, p wear.Path, l wear.Limit, b wear.Bend, origin bool) wear.Line {
	t.Helper()
	line, err := wear.PlainLine(p, l, 0, b, origin)
	if err != nil {
		t.Fatal(err)
	}
	return line
}

// Checks D2 and D3.
func TestAlloyPlainLines(t *testing.T) {
	d := alloy(t)
	line := plain(t, d.unit(t, "1")[:6], d.limit, wear.Bend{Value: 0, Exposure: 1}, false)
	near(t, "slope", line.Slope, 5.5406435, 1e-8)
	near(t, "intercept", line.Intercept, -0.10861303, 1e-7)
	near(t, "residual", line.ResidualSD, 0.0056464472, 1e-7)
	near(t, "crossing", line.Crossing, 0.10443131, 1e-7)
	for _, unit := range []string{"19", "20"} {
		near(t, "crossing "+unit, plain(t, d.unit(t, unit)[:8], d.limit, wear.Bend{Value: 0, Exposure: 1},
			false).Crossing, 0.22118771, 1e-7)
	}
}

// Checks D4 to D6.
func TestLasers(t *testing.T) {
	d := lasers(t)
	want := map[string]float64{"101": 3780.7539, "106": 3522.91, "110": 3374.442}
	for i, p := range d.paths {
		x, ok := wear.FirstCrossing(p, d.limit, 0)
		w, listed := want[d.units[i]]
		if ok != listed || ok && math.Abs(x-w) > 1e-3 {
			t.Errorf("unit %s crosses at %v (%v), want %v (%v)", d.units[i], x, ok, w, listed)
		}
	}
	own := d.unit(t, "110")[:11]
	line := plain(t, own, d.limit, wear.Bend{Value: 1, Exposure: 1}, false)
	near(t, "slope", line.Slope, 0.0031678036, 1e-7)
	near(t, "intercept", line.Intercept, -0.14388182, 1e-7)
	near(t, "residual", line.ResidualSD, 0.1266447, 1e-6)
	near(t, "crossing", line.Crossing, 3202.1814, 1e-7)
	near(t, "through the origin",
		plain(t, own, d.limit, wear.Bend{Value: 1, Exposure: 1}, true).Crossing, 3240.8761, 1e-7)
}

// Check D7.
func TestMetalUnit109(t *testing.T) {
	d := metal(t, 15)
	p := d.unit(t, "109")
	x, _ := wear.FirstCrossing(p, d.limit, 0)
	near(t, "straight between measurements", x, 4.6, 1e-9)
	var logs wear.Path
	for _, o := range p {
		logs = append(logs, wear.Observation{Exposure: []float64{math.Log(o.Exposure[0])}, Value: math.Log(o.Value)})
	}
	x, _ = wear.FirstCrossing(logs, wear.Limit{Value: math.Log(15)}, 0)
	near(t, "straight between logarithms", math.Exp(x), 4.4708753, 1e-7)
	near(t, "least squares of logarithms",
		plain(t, p[:5], d.limit, wear.Bend{Value: 0, Exposure: 0}, false).Crossing, 4.7046894, 1e-7)
}

// Check D8: of the 12 + 3 crossings, how many lie in the 90 % interval from 60 % of the data; and
// that a straight line on the logarithm is late for all 12 cracks, by 19 to 40 %. Without peers the
// count is only reported: a crack's own first half does not tell how it will bend (docs/calibration.md).
func TestNinetyPercentInterval(t *testing.T) {
	for _, peers := range []bool{true, false} {
		inside, total := 0, 0
		for _, d := range []degradation{alloy(t), lasers(t)} {
			for i, p := range d.paths {
				truth, ok := wear.FirstCrossing(p, d.limit, 0)
				if !ok {
					continue
				}
				own := p[:int(math.Ceil(0.6*float64(len(p))-1e-9))]
				f := forecast(t, kindOf(t, d, i, peers), own)
				total++
				if truth >= f.Quantile(0.05) && truth <= f.Quantile(0.95) {
					inside++
				}
				if d.name != "alloy_a.csv" {
					continue
				}
				late := plain(t, own, d.limit, wear.Bend{Value: 0, Exposure: 1}, false).Crossing/truth - 1
				if late < 0.185 || late > 0.405 {
					t.Errorf("unit %s: the straight line on the logarithm is late by %.3f", d.units[i], late)
				}
			}
		}
		t.Logf("with peers %v: %d of %d crossings in the 90 %% interval", peers, inside, total)
		if total != 15 || peers && inside < 11 {
			t.Errorf("with peers %v: only %d of %d", peers, inside, total)
		}
	}
}

func kindOf(t testing.TB, d degradation, i int, peers bool) *wear.Kind {
	t.Helper()
	var others []wear.Path
	if peers {
		others = d.others(i)
	}
	kind, err := wear.Prepare(d.limit, wear.Prior{}, others, 1)
	if err != nil {
		t.Fatal(err)
	}
	return kind
}

func forecast(t testing.TB, k *wear.Kind, own wear.Path) *wear.Forecast {
	t.Helper()
	f, err := k.Forecast(own)
	if err != nil {
		t.Fatal(err)
	}
	return f
}
