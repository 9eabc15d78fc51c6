package listen

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestLengths: shorter and longer find even lengths of small factors on either side, and transforms of them go
// there and back.
func TestLengths(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, n := range []int{7, 243, 1021, 24391} {
		lo, hi := shorter(n), longer(n)
		if lo > n || hi < n || lo%2 != 0 || hi%2 != 0 || !smooth(lo) || !smooth(hi) {
			t.Errorf("%d: %d and %d", n, lo, hi)
		}
		x := make([]float64, hi)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		for i, v := range inverse(transform(x), hi) {
			if math.Abs(v-x[i]) > 1e-10 {
				t.Fatalf("%d: sample %d is %g, was %g", hi, i, v, x[i])
			}
		}
	}
}

// TestRunningMedian against sorting every window.
func TestRunningMedian(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-3, 3), 1, 60).Draw(t, "x")
		k := rapid.IntRange(1, 25).Draw(t, "k") | 1
		for i, got := range runningMedian(x, k) {
			var w []float64
			for j := i - k/2; j <= i+k/2; j++ {
				w = append(w, x[min(max(j, 0), len(x)-1)])
			}
			slices.Sort(w)
			if got != w[k/2] {
				t.Fatalf("at %d: %g, want %g", i, got, w[k/2])
			}
		}
	})
}
