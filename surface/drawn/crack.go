package drawn

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Seen is how clear a crack must be to belong to what a reader is asked for; see Clarity. A person who knows what to
// look for finds a mark in noise from about 3 on, one who must search the whole picture from about 6 (from memory).
const Seen = 8

// crack lays cracks by lot: all of a belt have something in common.
func (s *Scene) crack(r *rand.Rand) {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	per := math.Exp(between(math.Log(0.015), math.Log(0.4))) // of a mm, on the worst rib
	width, contrast := between(0.1, 0.4), math.Exp(between(math.Log(0.08), math.Log(0.8)))
	wander, reaching := between(0.05, 0.5), between(0, 0.7)
	weight := make([]float64, s.Ribs)
	for k := range weight {
		weight[k] = math.Pow(r.Float64(), 0.7)
	}
	weight[r.IntN(s.Ribs)] = 1
	var taken []Crack
	for k := range s.Ribs {
		for range int(weight[k]*per*2*reach + r.Float64()) {
			c := s.oneCrack(r, k, wander, reaching)
			c.Width = width * math.Exp(0.3*r.NormFloat64())
			if s.Bend > 0 && math.Abs(c.Path[0].Y-s.Apex) < s.Bend*s.Wrap/2 { // the bend opens it
				c.Width += 0.1 * 25 / s.Bend
			}
			c.Width = clamp(c.Width, 0.1, 0.5)
			c.Contrast = clamp(contrast*math.Exp(0.35*r.NormFloat64()), 0.05, 0.9)
			if !slices.ContainsFunc(taken, func(o Crack) bool { return tooNear(c, o) }) {
				taken = append(taken, c)
			}
		}
	}
	s.Cracks = append(s.Cracks, taken...)
}

// tooNear is whether two cracks come within 1.2 mm on a rib, where nobody could say whether they are two.
func tooNear(a, b Crack) bool {
	if math.Abs(a.Path[0].Y-b.Path[0].Y) > 12 {
		return false
	}
	for _, p := range slices.Concat(append(slices.Clone(a.Branches), a.Path)...) {
		for _, q := range slices.Concat(append(slices.Clone(b.Branches), b.Path)...) {
			if math.Abs(p.Y-q.Y) < 1.2 && math.Abs(p.X-q.X) < 1.5 {
				return true
			}
		}
	}
	return false
}

// oneCrack begins on a rib and goes on over others with some chance.
func (s *Scene) oneCrack(r *rand.Rand, rib int, wander, reaching float64) Crack {
	last := rib
	for last < s.Ribs-1 && r.Float64() < reaching {
		last++
	}
	c := Crack{}
	for k := rib; k <= last; k++ {
		c.Ribs = append(c.Ribs, k)
	}
	from := (float64(rib) + 0.18*r.Float64()) * s.Pitch
	to := (float64(last) + 1 - 0.18*r.Float64()) * s.Pitch
	y := (2*r.Float64() - 1) * reach
	slope := 0.25 * wander * r.NormFloat64()
	const step = 0.2
	drift := 0.0
	for x := from; x < to; x += step {
		c.Path = append(c.Path, Point{x, y})
		drift = 0.8*drift + 0.6*wander*r.NormFloat64()
		y += (slope + drift) * step
	}
	c.Path = append(c.Path, Point{to, y})
	if r.Float64() < 0.2 && len(c.Path) > 8 {
		c.Branches = append(c.Branches, branch(r, c.Path))
	}
	return c
}

// branch leaves a path at an angle and is short.
func branch(r *rand.Rand, path []Point) []Point {
	at := 2 + r.IntN(len(path)-4)
	p := path[at]
	side := 0.7 + 0.6*r.Float64()
	if r.IntN(2) == 0 {
		side = -side
	}
	out := []Point{p}
	for range 3 + r.IntN(5) {
		p = Point{p.X + 0.15, p.Y + 0.15*(side+0.4*r.NormFloat64())}
		out = append(out, p)
	}
	return out
}

// Clarity is how far a crack stands out on the tip of one rib, where it is counted: its light that is missing there, on
// the flat and the rounding of the tip, after the blur, against the noise and grain, as the best filter for it would
// tell (the detectability of signal theory). Grain is coarser than a pixel, and blur does not take it away: it counts
// twice (a guess, by eye on strips of 12 px to a mm).
func (s *Scene) Clarity(c Crack) float64 {
	scale := s.Scale * math.Cos(s.Tilt)
	level := linear(s.Level)
	depth := s.Level - shown(level*(1-c.Contrast))
	w := c.Width * scale
	blur := s.Blur*s.Blur + s.Motion*s.Motion/12 + 0.35*0.35
	energy := depth * depth * w * w / math.Sqrt(w*w+4*math.Pi*blur) * (s.Tip + 0.2) * scale
	step := (shown(level*1.01) - shown(level*0.99)) / (0.02 * level) // of values by light
	noise := s.noise() * math.Sqrt(level+dark) * step
	grain := 2 * s.Grain * level * step
	return math.Sqrt(energy / (noise*noise + grain*grain + 1.0/(12*255*255)))
}

// Clear deepens each crack that is less clear than that, and widens it where depth is not enough.
func (s *Scene) Clear(least float64) {
	for i := range s.Cracks {
		c := &s.Cracks[i]
		for s.Clarity(*c) < least && c.Contrast < 0.9 {
			c.Contrast = min(c.Contrast*1.05, 0.9)
		}
		for s.Clarity(*c) < least && c.Width < 0.5 {
			c.Width = min(c.Width*1.05, 0.5)
		}
	}
}

// alike lays n things that look like cracks.
func (s *Scene) alike(r *rand.Rand, n int) {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	wide := float64(s.Ribs) * s.Pitch
	view := float64(max(s.Wide, s.High)) / s.Scale / 2
	kinds := []string{"scratch", "scratch", "seam", "dirt", "scuff", "joint", "chatter", "shadow"}
	for range n {
		a := Alike{Kind: kinds[r.IntN(len(kinds))]}
		y := between(-0.8, 0.8) * view
		from, to, slope := 0.0, wide, between(-0.3, 0.3)
		switch a.Kind {
		case "scratch":
			a.Width, a.Light = between(0.06, 0.3), between(0.15, 1)
			from = between(0, 0.8) * wide
			to, slope = from+between(0.2, 0.8)*wide, between(-3, 3)
		case "seam":
			a.Width, a.Light, slope = between(0.2, 0.5), between(0.1, 0.35), 0
		case "dirt":
			a.Width, a.Light = between(1, 3), -between(0.1, 0.4)
		case "scuff":
			a.Width, a.Light = between(2, 6), between(0.1, 0.5)
			from = between(0, 0.8) * wide
			to = from + between(0.2, 0.6)*wide
		case "joint":
			a.Width, a.Light = 0.1, between(0.08, 0.3)
		case "chatter":
			a.Width, a.Light = between(0.5, 1.2), between(0.03, 0.12)
		case "shadow":
			a.Width, a.Light = between(4, 20), -between(0.2, 0.6)
		}
		drift := 0.0
		for x := from; x <= to+0.3; x += 0.3 {
			a.Path = append(a.Path, Point{x, y})
			if a.Kind != "seam" && a.Kind != "chatter" {
				drift = 0.8*drift + 0.1*r.NormFloat64()
			}
			y += (slope + drift) * 0.3
		}
		s.Alike = append(s.Alike, a)
	}
}
