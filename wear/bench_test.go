package wear_test

import (
	"testing"
	"time"

	"undertray.example/undertray/wear"
)

// BenchmarkForecast is one part's forecast with its crossing, from five measurements: with a
// prepared kind of six peers, and with a prior only. Reported also as a multiple of PlainLine.
func BenchmarkForecast(b *testing.B) {
	own := path([2]float64{0, 1}, [2]float64{10, 2.1}, [2]float64{20, 3}, [2]float64{28, 3.9}, [2]float64{40, 5.2})
	var peers []wear.Path
	for i := range 6 {
		rate := 0.1 * (1 + 0.1*float64(i-2))
		peers = append(peers, path([2]float64{0, 1}, [2]float64{30, 1 + 30*rate}, [2]float64{50, 1 + 52*rate},
			[2]float64{70, 1 + 69*rate}))
	}
	limit := wear.Limit{Value: 10}
	start := time.Now()
	for range 2000 {
		if _, err := wear.PlainLine(own, limit, 0, wear.Bend{Value: 1, Exposure: 1}, false); err != nil {
			b.Fatal(err)
		}
	}
	plain := float64(time.Since(start)) / 2000
	for name, kind := range map[string]*wear.Kind{
		"peers": prepare(b, limit, newToTen, peers, 1),
		"prior": prepare(b, limit, newToTen, nil, 1),
		"alone": prepare(b, limit, wear.Prior{}, nil, 1),
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				f, err := kind.Forecast(own)
				if err != nil {
					b.Fatal(err)
				}
				if c := f.Crossing(); c.Crossed {
					b.Fatal("crossed")
				}
			}
			b.ReportMetric(float64(b.Elapsed())/float64(b.N)/plain, "x-plain")
		})
	}
	b.Run("prepare", func(b *testing.B) {
		for b.Loop() {
			if _, err := wear.Prepare(limit, newToTen, peers, 1); err != nil {
				b.Fatal(err)
			}
		}
	})
}
