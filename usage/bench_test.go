package usage_test

import (
	"testing"
	"time"

	"undertray.example/undertray/usage"
)

// BenchmarkFit measures a fit of 400 readings and reports it also as a multiple of PlainRate on
// the same readings, measured in the same run.
func BenchmarkFit(b *testing.B) {
	readings := fourHundred()
	last := lastOf(readings)
	plain := timeOf(b, func() error { _, err := usage.PlainRate(readings, last.Day, 365); return err })
	b.ReportAllocs()
	for b.Loop() {
		if _, err := usage.Fit(readings, usage.Options{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed())/float64(b.N)/plain, "x-plain")
}

func BenchmarkAsk(b *testing.B) {
	readings := fourHundred()
	model := mustFit(b, readings, usage.Options{})
	last := lastOf(readings)
	b.Run("at", func(b *testing.B) {
		for b.Loop() {
			if _, err := model.At(last.Day + 100); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("when", func(b *testing.B) {
		for b.Loop() {
			if _, err := model.When(last.Distance + 5000); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// fourHundred is a made-up record of thirteen years with uneven gaps and distances.
func fourHundred() []usage.Reading {
	out := make([]usage.Reading, 400)
	var day, distance float64
	for i := range out {
		out[i] = usage.Reading{Day: day, Distance: distance}
		day += float64(4 + i*7%17)
		distance += float64(150 + i*i*31%400)
	}
	return out
}

// timeOf returns the nanoseconds of one call.
func timeOf(b *testing.B, call func() error) float64 {
	b.Helper()
	const calls = 2000
	start := time.Now()
	for range calls {
		if err := call(); err != nil {
			b.Fatal(err)
		}
	}
	return float64(time.Since(start)) / calls
}
