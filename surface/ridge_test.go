package surface_test

import (
	"math"
	"testing"

	"undertray.example/undertray/surface"
)

// TestBarStrength: of a bar of width 2σ the strength is 0.484 times its depth, the greatest of all scales (DarkLines).
func TestBarStrength(t *testing.T) {
	for _, width := range []float64{5, 9, 13} {
		p := surface.Picture{Width: 121, Height: 61, Light: make([]float64, 121*61)}
		for i := range p.Light {
			if p.Light[i] = 0.8; math.Abs(float64(i%121)-60) <= width/2 {
				p.Light[i] = 0.3
			}
		}
		var scales []float64
		for s := 1.; s < 10; s += 0.05 {
			scales = append(scales, s)
		}
		got, err := surface.DarkLines(p, scales...)
		if err != nil {
			t.Fatal(err)
		}
		i := 30*121 + 60
		if math.Abs(got.Strength[i]-0.5*0.484) > 0.005 || math.Abs(got.Sigma[i]-width/2) > 0.15 ||
			math.Abs(math.Sin(got.Angle[i])) > 1e-6 {
			t.Errorf("width %v: strength %.4f at sigma %.2f, angle %.3f", width,
				got.Strength[i], got.Sigma[i], got.Angle[i])
		}
	}
}
