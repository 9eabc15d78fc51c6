package surface

import "math"

// Hessian holds the second derivatives of a picture smoothed with a Gaussian, in light per px², row by row:
//
//	XX = ∂²(g*I)/∂x²,  XY = ∂²(g*I)/∂x∂y,  YY = ∂²(g*I)/∂y²
type Hessian struct {
	Width, Height int
	Sigma         float64 // standard deviation of the Gaussian, px
	XX, XY, YY    []float64
}

// Curvature returns the second derivatives of a picture at the scale sigma (px, 0.5 to 50), by three pairs of
// convolutions along rows and columns with derivatives of a Gaussian, cut off at four standard deviations; beyond its
// edges the picture goes on as its mirror image. Errors wrap [ErrPicture] and [ErrScale].
func Curvature(p Picture, sigma float64) (Hessian, error) {
	if err := p.check(); err != nil {
		return Hessian{}, err
	}
	if err := checkScale(sigma); err != nil {
		return Hessian{}, err
	}
	var h Hessian
	h.fill(p, sigma, new(scratch))
	return h, nil
}

// scratch is room that convolutions use again.
type scratch struct{ half, line []float64 }

func grown[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

func (h *Hessian) fill(p Picture, sigma float64, s *scratch) {
	n, w := len(p.Light), p.Width
	g, g1, g2 := gaussian(sigma, 0), gaussian(sigma, 1), gaussian(sigma, 2)
	s.half, s.line = grown(s.half, n), grown(s.line, w+2*len(g))
	h.Width, h.Height, h.Sigma = w, p.Height, sigma
	h.XX, h.XY, h.YY = grown(h.XX, n), grown(h.XY, n), grown(h.YY, n)
	alongRows(s.half, p.Light, w, g2, false, s.line)
	alongColumns(h.XX, s.half, w, g, false)
	alongRows(s.half, p.Light, w, g1, true, s.line)
	alongColumns(h.XY, s.half, w, g1, true)
	alongRows(s.half, p.Light, w, g, false, s.line)
	alongColumns(h.YY, s.half, w, g2, false)
}

// Across returns the greater eigenvalue of the matrix of second derivatives of pixel i (light per px²) and the angle of
// its eigenvector (radians from x towards y, -π/2 to π/2): on a dark line it is positive, and the eigenvector points
// across the line (Steger 1998).
//
//	λ = (XX+YY)/2 + √(((XX-YY)/2)² + XY²),  tan 2φ = 2 XY / (XX-YY)
func (h Hessian) Across(i int) (value, angle float64) {
	mean, half := (h.XX[i]+h.YY[i])/2, (h.XX[i]-h.YY[i])/2
	return mean + math.Hypot(half, h.XY[i]), math.Atan2(h.XY[i], half) / 2
}

// Along returns the lesser eigenvalue: on a straight line it is near 0, in the middle of a dark spot as great as that
// across (Frangi et al. 1998).
func (h Hessian) Along(i int) float64 {
	return (h.XX[i]+h.YY[i])/2 - math.Hypot((h.XX[i]-h.YY[i])/2, h.XY[i])
}

// Ridges tells of each pixel how much it looks like the middle of a dark line, row by row.
type Ridges struct {
	Width, Height int
	Strength      []float64 // σ²λ of the scale where it is greatest, light; 0 where nothing is darker than beside it
	Angle         []float64 // across the line, radians from x towards y
	Sigma         []float64 // that scale, px
}

// DarkLines looks for dark lines on lighter ground at several scales (standard deviations of the Gaussian, px). Each
// scale's greater eigenvalue is multiplied by σ², so that scales compare (Lindeberg 1998): of a straight bar of width w
// and depth c the strength is greatest, 2φ(1)c = 0.484c with the normal density φ, where σ = w/2. Errors wrap
// [ErrPicture] and [ErrScale].
func DarkLines(p Picture, sigmas ...float64) (Ridges, error) {
	if err := p.check(); err != nil {
		return Ridges{}, err
	}
	if err := checkScales(sigmas); err != nil {
		return Ridges{}, err
	}
	n := len(p.Light)
	out := Ridges{Width: p.Width, Height: p.Height,
		Strength: make([]float64, n), Angle: make([]float64, n), Sigma: make([]float64, n)}
	var h Hessian
	var s scratch
	for _, sigma := range sigmas {
		h.fill(p, sigma, &s)
		for i := range n {
			// A bound that costs no root comes first: few pixels of later scales beat it.
			bound := math.Abs(h.XX[i]+h.YY[i])/2 + math.Abs(h.XX[i]-h.YY[i])/2 + math.Abs(h.XY[i])
			if sigma*sigma*bound <= out.Strength[i] {
				continue
			}
			if v, a := h.Across(i); sigma*sigma*v > out.Strength[i] {
				out.Strength[i], out.Angle[i], out.Sigma[i] = sigma*sigma*v, a, sigma
			}
		}
	}
	return out, nil
}

func checkScales(sigmas []float64) error {
	if len(sigmas) == 0 {
		return checkScale(0)
	}
	for _, s := range sigmas {
		if err := checkScale(s); err != nil {
			return err
		}
	}
	return nil
}
