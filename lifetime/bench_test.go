package lifetime_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"undertray.example/undertray/lifetime"
)

// twoHundred is the set of 200 lives, about a third running, that bench/lifetime_survreg.R fits too:
// the quantiles of a Weibull life of shape 2 and scale 100 in a fixed shuffled order, cut at a staircase of ages.
func twoHundred() []lifetime.Observation {
	out := make([]lifetime.Observation, 200)
	for i := range out {
		u := (float64(i*37%200) + 0.5) / 200
		life := 100 * math.Sqrt(-math.Log(1-u))
		end := 40 + 20*float64(i%8)
		if life > end {
			out[i] = lifetime.RunningAt(end)
		} else {
			out[i] = lifetime.FailedAt(life)
		}
	}
	return out
}

// BenchmarkEstimate is the fit that bench/lifetime.sh compares with survreg.
func BenchmarkEstimate(b *testing.B) {
	obs := twoHundred()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := lifetime.Estimate(lifetime.Weibull, obs); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkPart is one part's whole lifetime forecast: a posterior from eight parts of its kind and
// three chances; reported also as a multiple of taking the exponentials of its grid alone.
func BenchmarkPart(b *testing.B) {
	prior, err := lifetime.FromInterval(90, lifetime.Reading{})
	if err != nil {
		b.Fatal(err)
	}
	obs := []lifetime.Observation{lifetime.FailedAt(71), lifetime.FailedAt(88)}
	for i := range 6 {
		obs = append(obs, lifetime.RunningAt(40+10*float64(i)))
	}
	for name, nodes := range map[string]int{"default": 0, "coarse": 13} {
		b.Run(name, func(b *testing.B) {
			plain := exponentials(25 * 25)
			b.ReportAllocs()
			for b.Loop() {
				post, err := prior.Update(obs, lifetime.GridOptions{Nodes: nodes})
				if err != nil {
					b.Fatal(err)
				}
				for _, x := range []float64{5, 10, 20} {
					if _, err := post.FailWithinCounted(60, x); err != nil {
						b.Fatal(err)
					}
				}
			}
			b.ReportMetric(float64(b.Elapsed())/float64(b.N)/plain, "x-exponentials")
		})
	}
}

// exponentials returns the nanoseconds of n exponentials.
func exponentials(n int) float64 {
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]float64, n)
	for i := range x {
		x[i] = -3 * r.Float64()
	}
	sum, start := 0.0, time.Now()
	for range 200 {
		for _, v := range x {
			sum += math.Exp(v)
		}
	}
	if sum == 0 {
		return math.NaN()
	}
	return float64(time.Since(start)) / 200
}

func BenchmarkAgeReplacement(b *testing.B) {
	prior, err := lifetime.FromInterval(90, lifetime.Reading{})
	if err != nil {
		b.Fatal(err)
	}
	post, err := prior.Update(nil, lifetime.GridOptions{Nodes: 13})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := lifetime.AgeReplacement(post, 1, 5); err != nil {
			b.Fatal(err)
		}
	}
}
