package drawn

import "math"

const steps = 512 // of a table over one rib

// section is a ribbed belt cut across: how far below the tips the surface is, over one rib from groove to groove.
type section struct {
	pitch, deep float64 // mm; deep is the deepest of it
	below       [steps]float64
	// left and right are, of each place, the steepest way up to what stands beside it: height over distance.
	left, right [steps]float64
	// meets says by the slope of a ray how far below the tips it meets the surface, by where it comes in.
	meets     map[int][]float32
	slopeStep float64
}

// newSection cuts ribs that are flat at their tips by tip mm, with flanks at half the angle to the upright each, deep
// mm high; corners are rounded over round mm. Wear takes worn mm off each flank, square to it, and what it takes off
// the tips shows as greater roundness.
func newSection(pitch, deep, tip, angle, round, worn float64) *section {
	s := &section{pitch: pitch, meets: map[int][]float32{}, slopeStep: 0.02}
	lean := math.Tan(angle / 2)
	half := tip/2 - worn/math.Cos(angle/2)
	raw := make([]float64, steps)
	for i := range raw {
		d := math.Abs((float64(i)+0.5)/steps-0.5) * pitch
		raw[i] = clamp((d-half)/lean, min(0, 0), deep)
		if half < 0 {
			raw[i] = clamp((d-half)/lean, -half/lean, deep)
		}
	}
	n := int(round/pitch*steps) / 2
	least := math.Inf(1)
	for i := range raw {
		sum := 0.0
		for j := -n; j <= n; j++ {
			sum += raw[(i+j+steps)%steps]
		}
		s.below[i] = sum / float64(2*n+1)
		least = min(least, s.below[i])
	}
	for i := range s.below {
		s.below[i] -= least
		s.deep = max(s.deep, s.below[i])
	}
	s.horizons()
	return s
}

func (s *section) horizons() {
	for i := range s.below {
		for j := 1; j < steps; j += 1 + j/32 {
			dx := float64(j) / steps * s.pitch
			s.right[i] = max(s.right[i], (s.below[i]-s.below[(i+j)%steps])/dx)
			s.left[i] = max(s.left[i], (s.below[i]-s.below[(i-j+steps)%steps])/dx)
		}
	}
}

// at is how far below the tips the surface is.
func (s *section) at(across float64) float64 {
	t := across / s.pitch
	t = (t - math.Floor(t)) * steps
	i := int(t - 0.5 + steps)
	f := t - 0.5 + steps - float64(i)
	a, b := s.below[i%steps], s.below[(i+1)%steps]
	return a + (b-a)*f
}

// slope is how fast the surface falls across.
func (s *section) slope(across float64) float64 {
	const d = 0.02
	return (s.at(across+d) - s.at(across-d)) / (2 * d)
}

// march is how far below the tips a ray meets the surface, which was at across above the tips and moves by slope mm
// for each mm it goes down; from is where it begins to be looked at.
func (s *section) march(across, slope, from float64) float64 {
	const d = 0.03
	last := from
	gap := s.at(across+slope*from) - from
	for z := from + d; ; z += d {
		g := s.at(across+slope*z) - z
		if g <= 0 || z > s.deep {
			if gap <= 0 {
				return last
			}
			return min(last+d*gap/max(gap-g, 1e-9), s.deep)
		}
		last, gap = z, g
	}
}

// meet is march from the tips on, remembered.
func (s *section) meet(across, slope float64) float64 {
	k := int(math.Round(slope / s.slopeStep))
	row := s.meets[k]
	if row == nil {
		row = make([]float32, steps)
		for i := range row {
			row[i] = float32(s.march((float64(i)+0.5)/steps*s.pitch, float64(k)*s.slopeStep, 0))
		}
		s.meets[k] = row
	}
	t := across / s.pitch
	return float64(row[int((t-math.Floor(t))*steps)%steps])
}
