package wear

import "math"

// straight is a path after a bend: points z against t, to be fitted by a straight line whose level
// also drifts as a random walk.
type straight struct {
	t, z     []float64
	r        []float64 // known variance of each reading, transformed
	jacobian float64   // sum of ln dz/dvalue
	ok       bool
}

// straighten transforms one axis of a path. out's slices are used again.
func straighten(p Path, axis int, b Bend, s *scale, out *straight) {
	out.t, out.z, out.r = out.t[:0], out.z[:0], out.r[:0]
	out.jacobian, out.ok = 0, true
	for _, o := range p {
		u, x := s.in(o.Value), o.Exposure[axis]/s.life
		if !b.takes(u) || !b.takesExposure(x) {
			out.ok = false
			return
		}
		d := b.slope(u)
		sd := o.SD / s.unit * d
		v := sd * sd
		if s.limit.Counts {
			v += d * d * u / s.unit
		}
		out.t = append(out.t, b.exposure(x))
		out.z = append(out.z, b.value(u, s.limit.Falling))
		out.r = append(out.r, v)
		if b.Value != 1 {
			out.jacobian += math.Log(d)
		}
	}
}

// noise is one setting of the scatter: variance of a reading, and of the walk per unit of t.
type noise struct{ reading, walk float64 }

// line is a path's likelihood as a function of its slope b, the level being integrated out:
// log likelihood = constant - (c - 2 b·bb + b²·a)/2, and where the level stands at the end:
// mean level + b·lever, variance spread.
type line struct {
	a, bb, c, constant   float64
	level, lever, spread float64
	last, seen           float64 // t of the last point, and how far it is from the opening
}

// opening is what is believed of the level before the first point: its mean and variance, at t.
type opening struct {
	mean, variance, t float64
	atStart           bool // at t; otherwise at the first point, wherever that is
}

const logTwoPi = 1.8378770664093453

// filter runs the Kalman filter of a level that moves by slope b and a random walk (Durbin and
// Koopman, Time Series Analysis by State Space Methods, 2012, chapter 2, from memory) for all b at
// once: the level is linear in b.
func (s *straight) filter(n noise, open opening) line {
	var l line
	l.level, l.spread = open.mean, open.variance
	at := open.t
	if !open.atStart && len(s.t) > 0 {
		at = s.t[0]
	}
	l.seen = -at
	product := 1.0
	for j, t := range s.t {
		step := t - at
		at = t
		l.lever += step
		l.spread += n.walk * step
		total := l.spread + n.reading + s.r[j]
		inv := 1 / total
		e, d := s.z[j]-l.level, l.lever
		l.a += d * d * inv
		l.bb += d * e * inv
		l.c += e * e * inv
		product *= total
		if product < 1e-200 || product > 1e200 {
			l.constant -= 0.5 * math.Log(product)
			product = 1
		}
		gain := l.spread * inv
		l.level += gain * e
		l.lever -= gain * d
		l.spread *= 1 - gain
	}
	l.constant += s.jacobian - 0.5*math.Log(product) - 0.5*logTwoPi*float64(len(s.t))
	l.last, l.seen = at, l.seen+at
	return l
}

// at is the log likelihood of a slope.
func (l *line) at(b float64) float64 {
	return l.constant - 0.5*(l.c-2*b*l.bb+b*b*l.a)
}

// slope returns the logarithm of the slope that fits best and its variance, by the delta method; a
// slope not clearly above 0 is taken as small and uncertain.
func (l *line) slope() (log, variance float64) {
	if l.a <= 0 {
		return 0, 1e6
	}
	b, se := l.bb/l.a, 1/math.Sqrt(l.a)
	b = math.Max(b, se/2)
	return math.Log(b), se * se / (b * b)
}

// integrated is the log of the likelihood integrated over all slopes with a flat density.
func (l *line) integrated() float64 {
	if l.a <= 0 {
		return l.constant - 0.5*l.c
	}
	return l.constant - 0.5*(l.c-l.bb*l.bb/l.a) + 0.5*(logTwoPi-math.Log(l.a))
}
