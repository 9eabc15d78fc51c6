package lifetime

import "math"

// root finds where fn, which rises from below 0 at low to above it at high, crosses 0, by the
// method of Ridders (1979). It returns an end where fn does not cross.
func root(fn func(float64) float64, low, high float64) float64 {
	a, b := low, high
	fa, fb := fn(a), fn(b)
	if fa >= 0 {
		return a
	}
	if fb <= 0 {
		return b
	}
	last := math.NaN()
	for range 100 {
		m := a + (b-a)/2
		fm := fn(m)
		if fm == 0 || m == a || m == b {
			return m
		}
		x := m - (m-a)*fm/math.Sqrt(fm*fm-fa*fb)*math.Copysign(1, fa)
		fx := fn(x)
		if fx == 0 {
			return x
		}
		for _, p := range [2][2]float64{{m, fm}, {x, fx}} {
			if p[1] < 0 && p[0] > a {
				a, fa = p[0], p[1]
			}
			if p[1] > 0 && p[0] < b {
				b, fb = p[0], p[1]
			}
		}
		if b-a <= 4e-16*math.Abs(x) || math.Abs(x-last) <= 1e-14*math.Abs(x) {
			return x
		}
		last = x
	}
	return a + (b-a)/2
}

const goldenRatio = 0.6180339887498949

// lowest finds a minimum of fn between low and high, which bracket one, by golden section to a
// relative width of 1e-8, beyond which rounding hides the difference.
func lowest(fn func(float64) float64, low, high float64) float64 {
	a, b := low, high
	c, d := b-goldenRatio*(b-a), a+goldenRatio*(b-a)
	fc, fd := fn(c), fn(d)
	for b-a > 1e-8*(math.Abs(a)+math.Abs(b)) {
		if fc <= fd {
			b, d, fd = d, c, fc
			c = b - goldenRatio*(b-a)
			fc = fn(c)
		} else {
			a, c, fc = c, d, fd
			d = a + goldenRatio*(b-a)
			fd = fn(d)
		}
	}
	return (a + b) / 2
}

// valley walks ages that grow by a constant factor from low to high and returns the ages on either
// side of the least value of fn. last is true when the value is least at the end.
func valley(fn func(float64) float64, low, high float64, steps int) (left, right float64, last bool) {
	factor := math.Pow(high/low, 1/float64(steps))
	at, best, bestStep := low, math.Inf(1), 0
	for i := range steps + 1 {
		if v := fn(at); v < best {
			best, bestStep = v, i
		}
		at *= factor
	}
	place := low * math.Pow(factor, float64(bestStep))
	return place / factor, place * factor, bestStep == steps
}
