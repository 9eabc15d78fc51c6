package drive

import "math"

// Check asks whether a path found by Solve could lie on real pulleys: none
// inside or overlapping another, no span through a third pulley, no two spans
// crossing, and one turn in all. Faults: PulleyInside, PulleysOverlap,
// NotReached, SpanBlocked, SpansCross, DoesNotClose.
func (s *Solver) Check(cs []Circle, p *Path) Fault {
	if f := overlap(cs); !f.OK() {
		return f
	}
	if !Closes(p) {
		return s.unclosed(p)
	}
	if f := blocked(cs, p); !f.OK() {
		return f
	}
	return crossing(p)
}

// unclosed blames the pulley the belt would have to go nearly all the way
// round, if there is one.
func (s *Solver) unclosed(p *Path) Fault {
	worst := 0
	for i, w := range p.WrapRad {
		if w > p.WrapRad[worst] {
			worst = i
		}
	}
	f := Fault{Reason: DoesNotClose, A: worst, MM: math.Round(p.TurnRad / (2 * math.Pi))}
	if p.WrapRad[worst] > 1.5*math.Pi && f.MM != 0 {
		f.Reason = NotReached
	}
	return f
}

func overlap(cs []Circle) Fault {
	for i := range cs {
		a := &cs[i]
		for j := i + 1; j < len(cs); j++ {
			b := &cs[j]
			dx, dy, sum := b.X-a.X, b.Y-a.Y, a.Rim+b.Rim
			if d2 := dx*dx + dy*dy; d2 < sum*sum {
				return overlapFault(a, b, i, j, math.Sqrt(d2))
			}
		}
	}
	return Fault{}
}

func overlapFault(a, b *Circle, i, j int, d float64) Fault {
	if d+math.Min(a.Rim, b.Rim) <= math.Max(a.Rim, b.Rim) {
		if a.Rim > b.Rim {
			i, j = j, i
		}
		return Fault{Reason: PulleyInside, A: i, B: j}
	}
	return Fault{Reason: PulleysOverlap, A: i, B: j, MM: a.Rim + b.Rim - d}
}

// blocked finds a span that passes through a pulley it doesn't belong to.
func blocked(cs []Circle, p *Path) Fault {
	n := len(cs)
	for i := range p.Spans {
		sp, j := &p.Spans[i], i+1
		if j == n {
			j = 0
		}
		for k := range cs {
			if k == i || k == j {
				continue
			}
			if c := &cs[k]; segmentDist2(sp, c.X, c.Y) < c.Rim*c.Rim {
				return Fault{Reason: SpanBlocked, A: i, B: j, C: k,
					MM: c.Rim - math.Sqrt(segmentDist2(sp, c.X, c.Y))}
			}
		}
	}
	return Fault{}
}

// segmentDist2 is the squared distance of a point from a span.
func segmentDist2(sp *Span, x, y float64) float64 {
	rx, ry := x-sp.From.X, y-sp.From.Y
	t := rx*sp.Dir.X + ry*sp.Dir.Y
	switch {
	case t <= 0:
	case t >= sp.LengthMM:
		rx, ry = x-sp.To.X, y-sp.To.Y
	default:
		h := rx*sp.Dir.Y - ry*sp.Dir.X
		return h * h
	}
	return rx*rx + ry*ry
}

func crossing(p *Path) Fault {
	n := len(p.Spans)
	for i := range p.Spans {
		for j := i + 1; j < n; j++ {
			if !mayCross(p, i, j) || !spansCross(&p.Spans[i], &p.Spans[j]) {
				continue
			}
			return Fault{Reason: SpansCross, A: i, B: j}
		}
	}
	return Fault{}
}

// mayCross is false for two spans that meet on a pulley wrapped by no more than
// half a turn: they part there, and a shared end point is no crossing.
func mayCross(p *Path, i, j int) bool {
	n := len(p.Spans)
	next := j == i+1 && p.WrapRad[j] <= math.Pi
	prev := i == 0 && j == n-1 && p.WrapRad[0] <= math.Pi
	return !next && !prev
}

func spansCross(a, b *Span) bool {
	s1 := side(a, b.From)
	s2 := side(a, b.To)
	if s1*s2 >= 0 {
		return false
	}
	return side(b, a.From)*side(b, a.To) < 0
}

// side is the signed distance of a point from the line of a span.
func side(s *Span, p Point) float64 {
	return s.Dir.X*(p.Y-s.From.Y) - s.Dir.Y*(p.X-s.From.X)
}

// clearances returns, for each circle, the smallest distance from its rim to a
// span that doesn't belong to it or to another rim, mm.
func clearances(cs []Circle, p *Path, out []float64) {
	n := len(cs)
	for k := range cs {
		c, least := &cs[k], math.Inf(1)
		for i := range p.Spans {
			if j := (i + 1) % n; i != k && j != k {
				least = math.Min(least, math.Sqrt(segmentDist2(&p.Spans[i], c.X, c.Y))-c.Rim)
			}
			if i != k {
				o := &cs[i]
				least = math.Min(least, math.Hypot(o.X-c.X, o.Y-c.Y)-o.Rim-c.Rim)
			}
		}
		out[k] = least
	}
}
