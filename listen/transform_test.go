package listen

import (
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// TestTransformInRows against the same transform done in one piece.
func TestTransformInRows(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for _, n := range []int{longFrom, 480000, 2 * 3 * 5 * 5 * 5 * 5 * 5 * 5, 98304, 65610, 120000} {
		x := make([]float64, n)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		want := fourier.NewFFT(n).Coefficients(nil, x)
		for k, v := range transform(x) {
			if cmplx.Abs(v-want[k]) > 1e-8 {
				t.Fatalf("%d samples in %d rows, coefficient %d: %v, in one piece %v", n, rowsOf(n), k, v, want[k])
			}
		}
	}
}

// TestTransformOfComplexSamples against gonum's, for every even length that is used up to 500 and some in rows.
func TestTransformOfComplexSamples(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	lengths := []int{15552, 25600, 121500}
	for n := 2; n <= 500; n = longer(n + 1) {
		lengths = append(lengths, n)
	}
	for _, n := range lengths {
		z := make([]complex128, n)
		for i := range z {
			z[i] = complex(rng.NormFloat64(), rng.NormFloat64())
		}
		want := fourier.NewCmplxFFT(n).Coefficients(nil, z)
		newPlan(n, 1).complex(z)
		for k, v := range want {
			if cmplx.Abs(z[k]-v) > 1e-9 {
				t.Fatalf("%d samples, coefficient %d: %v, gonum's %v", n, k, z[k], v)
			}
		}
	}
}

// BenchmarkTransform of ten seconds at 48 kHz in rows and in one piece.
func BenchmarkTransform(b *testing.B) {
	x := make([]float64, 480000)
	for i := range x {
		x[i] = float64(i % 17)
	}
	b.Run("rows", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			transform(x)
		}
	})
	b.Run("piece", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			fourier.NewFFT(len(x)).Coefficients(nil, x)
		}
	})
}
