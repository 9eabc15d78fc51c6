package usage_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"undertray.example/undertray/usage"
)

func TestFitRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := usage.Reading{Day: 10, Distance: 100}
	for _, c := range []struct {
		name     string
		readings []usage.Reading
		opts     usage.Options
		want     string
	}{
		{"day not a number", []usage.Reading{good, {Day: nan, Distance: 200}}, usage.Options{},
			"reading 1: day is NaN"},
		{"infinite day", []usage.Reading{{Day: -inf}}, usage.Options{}, "reading 0: day is -Inf"},
		{"distance not a number", []usage.Reading{good, good, {Day: 20, Distance: nan}}, usage.Options{},
			"reading 2: distance is NaN"},
		{"infinite distance", []usage.Reading{{Day: 1, Distance: inf}}, usage.Options{}, "reading 0: distance is +Inf"},
		{"negative distance", []usage.Reading{{Day: 1, Distance: -1}}, usage.Options{}, "reading 0: distance is -1"},
		// O4
		{"falling distance", []usage.Reading{good, {Day: 20, Distance: 99}}, usage.Options{},
			"reading 1: distance 99 is less than 100"},
		{"falling distance on one day", []usage.Reading{good, {Day: 10, Distance: 99}}, usage.Options{},
			"reading 1: distance 99 is less than 100"},
		{"day out of order", []usage.Reading{good, {Day: 9, Distance: 200}}, usage.Options{},
			"reading 1: day 9 comes before day 10"},
		{"yearly not a number", nil, usage.Options{YearlyDistance: nan}, "YearlyDistance is NaN"},
		{"negative yearly", nil, usage.Options{YearlyDistance: -5}, "YearlyDistance is -5"},
		{"negative horizon", nil, usage.Options{YearlyDistance: 1, HorizonDays: -1}, "HorizonDays is -1"},
		{"infinite start", nil, usage.Options{YearlyDistance: 1, Start: inf}, "Start is +Inf"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := usage.Fit(c.readings, c.opts)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want an error with %q", err, c.want)
			}
		})
	}
	for _, readings := range [][]usage.Reading{nil, {good}, {good, good}} {
		if _, err := usage.Fit(readings, usage.Options{}); !errors.Is(err, usage.ErrTooLittle) {
			t.Errorf("%d readings of one moment: got %v, want ErrTooLittle", len(readings), err)
		}
	}
}

func TestQuestionsRefused(t *testing.T) {
	readings := []usage.Reading{{Day: 0, Distance: 0}, {Day: 100, Distance: 1000}}
	model := mustFit(t, readings, usage.Options{})
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if _, err := model.At(bad); err == nil {
			t.Errorf("At(%g) gives no error", bad)
		}
		if _, err := model.When(bad); err == nil {
			t.Errorf("When(%g) gives no error", bad)
		}
		if _, err := usage.PlainRate(readings, bad, 10); err == nil {
			t.Errorf("PlainRate on day %g gives no error", bad)
		}
		if _, err := usage.PlainRate(readings, 100, bad); err == nil {
			t.Errorf("PlainRate over %g days gives no error", bad)
		}
	}
	for _, c := range [][2]float64{{101, 10}, {5, 10}, {100, 101}, {100, 0}} {
		if _, err := usage.PlainRate(readings, c[0], c[1]); err == nil {
			t.Errorf("PlainRate on day %g over %g days gives no error", c[0], c[1])
		}
	}
	if _, err := usage.PlainRate(readings[:1], 0, 1); err == nil {
		t.Error("PlainRate with one reading gives no error")
	}
}

func TestLittleToGoOn(t *testing.T) {
	const yearly = 14610.0 // 40 a day
	half := usage.YearDays / 2
	for _, c := range []struct {
		name     string
		readings []usage.Reading
		start    float64
		fellBack bool
	}{
		{"no reading", nil, 500, true},
		{"one reading", []usage.Reading{{Day: 500, Distance: 80000}}, 0, true},
		{"two readings a week apart",
			[]usage.Reading{{Day: 493, Distance: 79900}, {Day: 500, Distance: 80000}}, 0, true},
		{"half a year", []usage.Reading{{Day: 500 - half, Distance: 75000}, {Day: 500, Distance: 80000}}, 0, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			model := mustFit(t, c.readings, usage.Options{YearlyDistance: yearly, Start: c.start})
			basis := model.Basis()
			if basis.FellBack != c.fellBack || basis.Readings != len(c.readings) {
				t.Errorf("basis %+v, want FellBack %v on %d readings", basis, c.fellBack, len(c.readings))
			}
			if len(c.readings) < 2 && (basis.YearlyShare != 1 || !near(basis.RatePerDay, 40)) {
				t.Errorf("basis %+v, want the owner's 40 a day alone", basis)
			}
			last := lastOf(c.readings).Distance
			p := mustAt(t, model, 500+half)
			low, high := (p.Low-last)/(p.Expected-last), (p.High-last)/(p.Expected-last)
			if c.fellBack && (low > 0.7 || high < 1.4) {
				t.Errorf("band %+v is %.2f to %.2f of the expected, want it wide", p, low, high)
			}
		})
	}
}

func TestBandNarrowsAsTheRecordGrows(t *testing.T) {
	width := math.Inf(1)
	for _, count := range []int{2, 14, 40, 80, 200} {
		var readings []usage.Reading
		for i := range count {
			readings = append(readings, usage.Reading{Day: 20 * float64(i), Distance: 600 * float64(i)})
		}
		last := lastOf(readings)
		p := mustAt(t, mustFit(t, readings, usage.Options{YearlyDistance: 10957.5}), last.Day+180)
		if p.High-p.Low >= width {
			t.Errorf("%d steady readings: band %.0f wide, was %.0f with fewer", count, p.High-p.Low, width)
		}
		width = p.High - p.Low
	}
}

func TestChangedHabitIsFollowed(t *testing.T) {
	for _, factor := range []float64{0.2, 5} {
		var readings []usage.Reading
		distance := 0.0
		for i := range 124 { // three years, then five months at the new rate
			readings = append(readings, usage.Reading{Day: 10 * float64(i), Distance: distance})
			if i < 109 {
				distance += 300
			} else {
				distance += 300 * factor
			}
		}
		steady := mustFit(t, readings[:110], usage.Options{}).Basis()
		after := mustFit(t, readings, usage.Options{}).Basis()
		plain, err := usage.PlainRate(readings, lastOf(readings).Day, 365)
		if err != nil {
			t.Fatal(err)
		}
		if steady.Changed || !near(steady.RatePerDay, 30) {
			t.Errorf("before the change: %+v", steady)
		}
		missed, plainMissed := math.Abs(after.RatePerDay-30*factor), math.Abs(plain-30*factor)
		if !after.Changed || missed > plainMissed*2/3 {
			t.Errorf("factor %g: %+v, want a rate nearer %g than the plain %.1f", factor, after, 30*factor, plain)
		}
	}
}

// TestBandCoversSimulatedVehicles draws vehicles from the local-level model the method assumes and
// checks the band against what they go on to drive. The draw is the test's own: scatters about the
// prior, weekly distances from gamma distributions about a level that makes a random walk in the logarithm.
func TestBandCoversSimulatedVehicles(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	const vehicles, weeksAhead = 600, 26
	inside := 0
	for range vehicles {
		scatter := 0.125 * math.Exp(0.35*rng.NormFloat64())
		weeks := 52 + rng.IntN(400)
		readings := simulate(rng, scatter, weeks+weeksAhead)
		p := mustAt(t, mustFit(t, readings[:weeks], usage.Options{}), readings[weeks-1+weeksAhead].Day)
		if outcome := readings[weeks-1+weeksAhead].Distance; outcome >= p.Low && outcome <= p.High {
			inside++
		}
	}
	coverage := float64(inside) / vehicles
	t.Logf("80 %% band half a year ahead covers %.1f %% of %d simulated vehicles", 100*coverage, vehicles)
	if coverage < 0.75 || coverage > 0.9 {
		t.Errorf("covers %.1f %%, want 75 to 90 %%", 100*coverage)
	}
}

func simulate(rng *rand.Rand, scatter float64, weeks int) []usage.Reading {
	out := make([]usage.Reading, weeks)
	level, distance := 200+300*rng.Float64(), 0.0
	week := 7 / usage.YearDays
	for i := range out {
		out[i] = usage.Reading{Day: 7 * float64(i), Distance: distance}
		level *= math.Exp(rng.NormFloat64() * scatter * math.Sqrt(4.0/3*week))
		distance += level * gamma(rng, week/(scatter*scatter))
	}
	return out
}

// gamma draws from the gamma distribution of the given shape and mean 1 (Marsaglia and Tsang 2000,
// with their boost for shapes below 1).
func gamma(rng *rand.Rand, shape float64) float64 {
	d := shape + 1 - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := rng.NormFloat64()
		v := math.Pow(1+c*x, 3)
		if v > 0 && math.Log(1-rng.Float64()) < x*x/2+d-d*v+d*math.Log(v) {
			return d * v * math.Pow(1-rng.Float64(), 1/shape) / shape
		}
	}
}

func TestHorizonAndStandstill(t *testing.T) {
	readings := []usage.Reading{{Day: 0, Distance: 0}, {Day: 100, Distance: 1000}}
	model := mustFit(t, readings, usage.Options{HorizonDays: 1000})
	a := mustWhen(t, model, 1000+10*1200)
	if !a.EarliestWithin || a.ExpectedWithin || a.LatestWithin || !math.IsInf(a.Expected, 1) ||
		!math.IsInf(a.Latest, 1) {
		t.Errorf("1200 days ahead with a horizon of 1000: %+v", a)
	}
	parked := mustFit(t, []usage.Reading{{Day: 0, Distance: 500}, {Day: 900, Distance: 500}}, usage.Options{})
	if a := mustWhen(t, parked, 501); a.EarliestWithin || a.ExpectedWithin || a.LatestWithin {
		t.Errorf("parked vehicle arrives: %+v", a)
	}
	if p := mustAt(t, parked, 5000); p.Low != 500 || p.Expected != 500 || p.High != 500 {
		t.Errorf("parked vehicle moves: %+v", p)
	}
	if a := mustWhen(t, parked, 100); !a.Reached || a.Expected != 0 {
		t.Errorf("distance below the first reading: %+v", a)
	}
	if p := mustAt(t, model, -50); p.Low != 0 || p.Expected != 0 || p.High != 0 {
		t.Errorf("before a first reading of 0: %+v", p)
	}
}
