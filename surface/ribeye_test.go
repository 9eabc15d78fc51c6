package surface

import (
	"math"
	"testing"
)

// TestEyeAgainstTorch compares the net's answers with those of PyTorch 1.13 on the same weights and a pattern
// (fit/eyes.py reference ribeye.bin).
func TestEyeAgainstTorch(t *testing.T) {
	want := [][]float64{
		{-7.1012, -7.2090, -3.3374, -4.6437, -13.7381},
		{-6.4716, -5.9535, -10.0194, -7.3896, -3.4443},
		{-8.3140, -6.4451, -3.1866, -5.4445, -8.7567},
	}
	const long = 61
	ribs := make([]glimpse, len(want))
	for r := range ribs {
		g := &ribs[r]
		g.h, g.value = long, make([]float32, eyeWide*long)
		for i := range g.value {
			k := float64(r*eyeWide*long + i)
			g.value[i] = float32(3*math.Sin(0.37*k) + 3*math.Sin(0.011*k))
		}
		for i := range g.side {
			g.side[i] = float32(0.5 * math.Cos(float64(r*eyeSides+i)))
		}
	}
	for r, odds := range ribEye().look(ribs) {
		if len(odds) != long/eyeCell {
			t.Fatalf("%d answers, want %d", len(odds), long/eyeCell)
		}
		for i, w := range want[r] {
			if v := float64(odds[6*i]); math.Abs(v-w) > 1e-3 {
				t.Errorf("rib %d, cell %d: %.4f, want %.4f", r, 6*i, v, w)
			}
		}
	}
}
