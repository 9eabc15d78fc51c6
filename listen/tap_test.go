package listen

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// plucks are strings of decaying harmonics a second apart, in faint noise; drop the fundamental to see the octave trap.
func plucks(hz []float64, fundamental float64) Recording {
	const rate = 44100
	rng := rand.New(rand.NewPCG(3, 3))
	x := make([]float64, rate*(len(hz)+1))
	for i := range x {
		x[i] = 0.001 * rng.NormFloat64()
	}
	for k, f := range hz {
		for i := range rate {
			t := float64(i) / rate
			v := 0.0
			for h := 1.0; h <= 5; h++ {
				a := 1 / h
				if h == 1 {
					a = fundamental
				}
				v += a * math.Exp(-t*(4+h)) * math.Sin(2*math.Pi*f*h*t)
			}
			x[rate/2+k*rate+i] += 0.2 * v
		}
	}
	return Recording{Rate: rate, Channels: [][]float64{x}}
}

// TestSpanTension: worked values of the string formula (belts reference table, rows V1 to V5, computed there apart
// from this code).
func TestSpanTension(t *testing.T) {
	for _, c := range []struct{ length, mass, hz, newton, tol float64 }{
		{0.200, 0.12, 180.998, 629.0, 0.01},
		{0.250, 0.105, 106.904, 300, 0.01},
		{0.25, 0.1242, 100, 310.5, 1e-9},
		{1.5, 40, 1.8257, 1200, 0.1},
	} {
		if got := (Span{Length: c.length, Mass: c.mass}).Tension(c.hz); math.Abs(got-c.newton) > c.tol {
			t.Errorf("%+v: %.4f N", c, got)
		}
	}
}

func TestTappedSpan(t *testing.T) {
	span := &Span{Length: 0.25, Mass: 0.105}
	for _, f := range []float64{62, 106.9, 180, 290} {
		for _, fundamental := range []float64{1, 0.3, 0.05} {
			got, err := TappedSpan(plucks([]float64{f, f * 1.004, f * 0.998, f}, fundamental), span)
			if err != nil {
				t.Fatal(err)
			}
			if len(got.Plucks) != 4 || !got.Repeatable || math.Abs(got.Hz/f-1) > 0.01 {
				t.Errorf("%g Hz, fundamental %g: %d plucks %+v", f, fundamental, len(got.Plucks), got)
				continue
			}
			if math.Abs(got.Tension/span.Tension(f)-1) > 0.02 || math.Abs(got.HighTension/got.Tension-4) > 1e-9 ||
				math.Abs(got.LowTension/got.Tension-0.25) > 1e-9 {
				t.Errorf("tension %+v", got)
			}
			// 2 % length and 5 % mass make 6.4 % with next to no scatter in tone (the sum in quadrature of 2x2 %
			// and 5 %).
			if q := got.TensionSD / got.Tension; q < 0.064 || q > 0.07 {
				t.Errorf("relative deviation %.4f", q)
			}
		}
	}
}

func TestTappedSpanDoubts(t *testing.T) {
	got, err := TappedSpan(plucks([]float64{100, 120, 90}, 1), nil)
	if err != nil || got.Repeatable || got.Doubt == "" || got.Tension != 0 {
		t.Errorf("unlike plucks: %+v, %v", got, err)
	}
	rng := rand.New(rand.NewPCG(1, 1))
	x := make([]float64, 88200)
	for i := range x {
		x[i] = 0.1 * rng.NormFloat64()
	}
	got, err = TappedSpan(Recording{Rate: 44100, Channels: [][]float64{x}}, nil)
	if err != nil || len(got.Plucks) != 0 || got.Doubt == "" {
		t.Errorf("noise: %+v, %v", got, err)
	}
	if _, err := TappedSpan(plucks([]float64{100}, 1), &Span{Length: -1, Mass: 1}); !errors.Is(err, ErrInput) {
		t.Errorf("bad span: %v", err)
	}
	if _, err := TappedSpan(plucks([]float64{100}, 1).Part(0, 0.4), nil); !errors.Is(err, ErrTooShort) &&
		!errors.Is(err, ErrSilent) {
		t.Errorf("short: %v", err)
	}
}
