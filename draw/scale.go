package draw

import (
	"fmt"
	"math"
)

// Ticks returns round values from lo to hi, about want of them (at least two),
// and the decimals needed to write them. Steps are 1, 2 or 5 times a power of
// ten; the first tick is the first multiple of the step not below lo. Method:
// Heckbert, "Nice numbers for graph labels", Graphics Gems (1990), with the
// largest such step that still gives two ticks. It needs finite lo < hi.
func Ticks(lo, hi float64, want int) (ticks []float64, decimals int, err error) {
	if !finite(lo, hi) || hi <= lo || want < 2 {
		return nil, 0, fmt.Errorf("draw: no ticks from %g to %g, %d wanted: two finite ends, the lower first, and 2 "+
			"or more", lo, hi, want)
	}
	if hi-lo < 1e-9*math.Max(math.Abs(lo), math.Abs(hi)) {
		return nil, 0, fmt.Errorf("draw: %g and %g are too close together for an axis", lo, hi)
	}
	step, exp := niceStep((hi - lo) / float64(want-1))
	for {
		first, last := math.Ceil(lo/step-1e-9), math.Floor(hi/step+1e-9)
		if last > first {
			for i := first; i <= last; i++ {
				ticks = append(ticks, multiple(i, step, exp))
			}
			return ticks, max(0, -exp), nil
		}
		step, exp = niceStep(step * 0.45)
	}
}

// niceStep rounds to 1, 2 or 5 times a power of ten, and returns that power.
func niceStep(raw float64) (step float64, exp int) {
	exp = int(math.Floor(math.Log10(raw)))
	switch f := raw / math.Pow(10, float64(exp)); {
	case f < 1.5:
		return math.Pow(10, float64(exp)), exp
	case f < 3.5:
		return 2 * math.Pow(10, float64(exp)), exp
	case f < 7.5:
		return 5 * math.Pow(10, float64(exp)), exp
	}
	return math.Pow(10, float64(exp+1)), exp + 1
}

// multiple is i steps, free of the rounding that a step below 1 brings: 0.6,
// not 0.6000000000000001.
func multiple(i, step float64, exp int) float64 {
	if exp >= 0 || i == 0 {
		return i*step + 0 // no minus before zero
	}
	tens := math.Pow(10, float64(-exp))
	return i * math.Round(step*tens) / tens
}

// scale maps values from lo..hi to px from a..b.
type scale struct {
	lo, hi, a, b float64
	log          bool
}

func (s scale) at(v float64) float64 {
	lo, hi := s.lo, s.hi
	if s.log {
		v, lo, hi = math.Log(v), math.Log(lo), math.Log(hi)
	}
	return s.a + (v-lo)/(hi-lo)*(s.b-s.a)
}

func (s scale) has(v float64) bool { return v >= s.lo && v <= s.hi }
func (s scale) clamp(v float64) float64 {
	return math.Max(s.lo, math.Min(s.hi, v))
}
