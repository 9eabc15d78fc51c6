package usage_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/usage"
)

func drawReadings(t *rapid.T, least int) []usage.Reading {
	n := rapid.IntRange(least, 60).Draw(t, "n")
	out := make([]usage.Reading, n)
	day := float64(rapid.IntRange(-20000, 20000).Draw(t, "first day"))
	distance := rapid.Float64Range(0, 200000).Draw(t, "first distance")
	for i := range out {
		out[i] = usage.Reading{Day: day, Distance: distance}
		day += float64(rapid.IntRange(1, 90).Draw(t, "gap"))
		distance += rapid.Float64Range(0, 4000).Draw(t, "driven")
	}
	return out
}

func drawFit(t *rapid.T) ([]usage.Reading, usage.Options, *usage.Forecast) {
	readings := drawReadings(t, 0)
	opts := usage.Options{YearlyDistance: rapid.Float64Range(1, 50000).Draw(t, "yearly")}
	return readings, opts, mustFit(t, readings, opts)
}

func mustFit(t rapid.TB, readings []usage.Reading, opts usage.Options) *usage.Forecast {
	t.Helper()
	model, err := usage.Fit(readings, opts)
	if err != nil {
		t.Fatal(err)
	}
	return model
}

func mustAt(t rapid.TB, model *usage.Forecast, day float64) usage.Prediction {
	t.Helper()
	p, err := model.At(day)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func mustWhen(t rapid.TB, model *usage.Forecast, distance float64) usage.Arrival {
	t.Helper()
	a, err := model.When(distance)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func near(a, b float64) bool {
	return math.Abs(a-b) <= 1e-9*(1+max(math.Abs(a), math.Abs(b)))
}

func lastOf(readings []usage.Reading) usage.Reading {
	if len(readings) == 0 {
		return usage.Reading{}
	}
	return readings[len(readings)-1]
}

func TestAnotherUnitChangesOnlyTheUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		readings, opts, model := drawFit(t)
		const factor = 1.609344
		scaled := make([]usage.Reading, len(readings))
		for i, r := range readings {
			scaled[i] = usage.Reading{Day: r.Day, Distance: r.Distance * factor}
		}
		opts.YearlyDistance *= factor
		other := mustFit(t, scaled, opts)
		day := lastOf(readings).Day + rapid.Float64Range(-1000, 4000).Draw(t, "ahead")
		p, q := mustAt(t, model, day), mustAt(t, other, day)
		if !near(p.Low*factor, q.Low) || !near(p.Expected*factor, q.Expected) || !near(p.High*factor, q.High) {
			t.Fatalf("day %g: %+v in one unit, %+v in another", day, p, q)
		}
	})
}

func TestAnotherEpochChangesOnlyTheDays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		readings, opts, model := drawFit(t)
		shift := float64(rapid.IntRange(-50000, 50000).Draw(t, "shift"))
		shifted := make([]usage.Reading, len(readings))
		for i, r := range readings {
			shifted[i] = usage.Reading{Day: r.Day + shift, Distance: r.Distance}
		}
		opts.Start += shift
		other := mustFit(t, shifted, opts)
		day := lastOf(readings).Day + float64(rapid.IntRange(-1000, 4000).Draw(t, "ahead"))
		p, q := mustAt(t, model, day), mustAt(t, other, day+shift)
		if !near(p.Low, q.Low) || !near(p.Expected, q.Expected) || !near(p.High, q.High) {
			t.Fatalf("day %g: %+v, with the epoch shifted by %g %+v", day, p, shift, q)
		}
		if b, c := model.Basis(), other.Basis(); !near(b.ChangeChance, c.ChangeChance) ||
			!near(b.YearScatter, c.YearScatter) {
			t.Fatalf("basis %+v, with the epoch shifted %+v", b, c)
		}
	})
}

func TestLaterReadingsDoNotChangeThePast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		readings := drawReadings(t, 3)
		cut := rapid.IntRange(2, len(readings)-1).Draw(t, "cut")
		early, full := mustFit(t, readings[:cut], usage.Options{}), mustFit(t, readings, usage.Options{})
		first, last := readings[0].Day, readings[cut-1].Day
		day := first + rapid.Float64Range(0, 1).Draw(t, "share")*(last-first)
		if p, q := mustAt(t, early, day), mustAt(t, full, day); p != q {
			t.Fatalf("day %g: %+v before the later readings, %+v with them", day, p, q)
		}
	})
}

func TestBandHoldsAndRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		readings, _, model := drawFit(t)
		last := lastOf(readings)
		from := last.Day - 4000
		before := mustAt(t, model, from)
		step := rapid.Float64Range(0.01, 40).Draw(t, "step")
		for day := from + step; day < last.Day+8000; day += step * (1 + max(0, day-last.Day)/50) {
			p := mustAt(t, model, day)
			slack := 1e-9 * p.High
			if !(0 <= p.Low && p.Low <= p.Expected+slack && p.Expected <= p.High+slack) {
				t.Fatalf("day %g: out of order %+v", day, p)
			}
			if p.Low < before.Low-slack || p.Expected < before.Expected-slack || p.High < before.High-slack {
				t.Fatalf("day %g: falls from %+v to %+v", day, before, p)
			}
			if day-step*(1+max(0, day-step-last.Day)/50) >= last.Day && p.High-p.Low < before.High-before.Low-slack {
				t.Fatalf("day %g: narrows from %+v to %+v", day, before, p)
			}
			if day >= last.Day && p.Low < last.Distance {
				t.Fatalf("day %g: %+v is below the last reading %+v", day, p, last)
			}
			before = p
		}
	})
}

func TestWhenUndoesAt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		readings, _, model := drawFit(t)
		last := lastOf(readings)
		ahead := rapid.Float64Range(1, 3000).Draw(t, "ahead")
		p := mustAt(t, model, last.Day+ahead)
		for name, c := range map[string]struct {
			distance float64
			day      func(usage.Arrival) (float64, bool)
		}{
			"expected": {p.Expected, func(a usage.Arrival) (float64, bool) { return a.Expected, a.ExpectedWithin }},
			"high":     {p.High, func(a usage.Arrival) (float64, bool) { return a.Earliest, a.EarliestWithin }},
			"low":      {p.Low, func(a usage.Arrival) (float64, bool) { return a.Latest, a.LatestWithin }},
		} {
			if c.distance-last.Distance < 1e-3 {
				continue // a vehicle that hardly moves: the day is lost in rounding
			}
			arrival := mustWhen(t, model, c.distance)
			day, within := c.day(arrival)
			if !within || math.Abs(day-last.Day-ahead) > 1e-4*(1+ahead) {
				t.Fatalf("%s of %+v, %g days ahead: back to %g (within %v)", name, p, ahead, day-last.Day, within)
			}
			if arrival.Earliest > arrival.Expected || arrival.Expected > arrival.Latest || arrival.Reached {
				t.Fatalf("out of order: %+v", arrival)
			}
		}
	})
}

func TestWhenWithinTheRecordUndoesAt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		readings := drawReadings(t, 2)
		model := mustFit(t, readings, usage.Options{})
		first, last := readings[0], lastOf(readings)
		distance := first.Distance + rapid.Float64Range(0, 1).Draw(t, "share")*(last.Distance-first.Distance)
		a := mustWhen(t, model, distance)
		if !a.Reached || a.Earliest > a.Expected || a.Expected > a.Latest {
			t.Fatalf("distance %g: %+v", distance, a)
		}
		if p := mustAt(t, model, a.Expected); math.Abs(p.Expected-distance) > 1e-6*(1+distance) {
			t.Fatalf("distance %g: day %g, back to %g", distance, a.Expected, p.Expected)
		}
	})
}
