package wear_test

import (
	"testing"
	"time"

	"undertray.example/undertray/lifetime"
	"undertray.example/undertray/wear"
)

// BenchmarkYard is every forecast of a made-up yard of 5 vehicles and 300 parts after ten years: 60
// kinds with five parts each, of which eight lives are known; a posterior and three chances for every part; and
// for 100 parts of 20 kinds, measured five times, the crossing of the limit with the kind's other
// parts as peers, the kinds being prepared within the time. Reported as milliseconds a yard and as
// a multiple of 300 plain lines.
func BenchmarkYard(b *testing.B) {
	prior, err := lifetime.FromInterval(90, lifetime.Reading{})
	if err != nil {
		b.Fatal(err)
	}
	lives := []lifetime.Observation{lifetime.FailedAt(71), lifetime.FailedAt(88), lifetime.FailedBetween(60, 75)}
	for i := range 5 {
		lives = append(lives, lifetime.RunningAt(40+10*float64(i)))
	}
	measured := make([]wear.Path, 5)
	for i := range measured {
		rate := 0.1 * (1 + 0.1*float64(i-2))
		for j := range 5 {
			x := 12 * float64(j)
			measured[i] = append(measured[i],
				wear.Observation{Exposure: []float64{x}, Value: 1 + x*rate + 0.05*float64((i+j)%3)})
		}
	}
	start := time.Now()
	for range 300 {
		if _, err := wear.PlainLine(measured[0], wear.Limit{Value: 10}, 0, wear.Bend{Value: 1, Exposure: 1},
			false); err != nil {
			b.Fatal(err)
		}
	}
	plain := float64(time.Since(start))
	for b.Loop() {
		for range 300 {
			partChances(b, prior, lives)
		}
		for range 20 {
			kindCrossings(b, measured)
		}
	}
	each := float64(b.Elapsed()) / float64(b.N)
	b.ReportMetric(each/1e6, "ms/yard")
	b.ReportMetric(each/plain, "x-plain")
}

func partChances(b *testing.B, prior lifetime.Prior, lives []lifetime.Observation) {
	post, err := prior.Update(lives, lifetime.GridOptions{Nodes: 13})
	if err != nil {
		b.Fatal(err)
	}
	for _, x := range []float64{5, 10, 20} {
		if _, err := post.FailWithinCounted(60, x); err != nil {
			b.Fatal(err)
		}
	}
}

// kindCrossings forecasts five parts of a kind, each with the four others as peers.
func kindCrossings(b *testing.B, paths []wear.Path) {
	for i := range paths {
		peers := append(append([]wear.Path(nil), paths[:i]...), paths[i+1:]...)
		kind, err := wear.Prepare(wear.Limit{Value: 10}, wear.Prior{}, peers, 1)
		if err != nil {
			b.Fatal(err)
		}
		f, err := kind.Forecast(paths[i])
		if err != nil {
			b.Fatal(err)
		}
		if c := f.Crossing(); !(c.Earliest <= c.Latest) {
			b.Fatal("no band")
		}
	}
}
