package wear

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Crossing is when the limit is reached: with a chance of one in ten before Earliest, one in two
// before Expected and nine in ten before Latest, so that the band from Earliest to Latest holds
// four crossings out of five.
type Crossing struct {
	Earliest, Expected, Latest float64 // exposures; +Inf for never
	// a measurement is already beyond: all three are where the line between measurements crosses
	Crossed bool
}

// Band is a range of values with its middle.
type Band struct{ Low, Mid, High float64 }

// where is the mean and standard deviation of the level of a node at an exposure in lives, from the
// last measurement on.
func (n *node) where(b Bend, x float64) (mean, sd float64) {
	mean, v := n.after(math.Max(0, b.exposure(x)-n.last))
	return mean, math.Sqrt(v)
}

// after is the mean and variance of the level a step of transformed exposure after the last measurement.
// The slope to come is less and less sure the longer the step is beside what was seen, up to the step at
// which the limit should be reached, so that the chance to be past it never falls.
func (n *node) after(step float64) (mean, variance float64) {
	rise := n.slope * step
	variance = n.spread + n.noise.walk*step
	if n.scatter > 0 {
		far := math.Min(step, n.longest)
		if gap := n.limit - n.level; rise > gap {
			far = math.Min(far, math.Max(gap/n.slope, 0))
		}
		variance += n.scatter * far * rise * rise
	}
	return n.level + rise, variance
}

// PastBy is the chance, 0 to 1, that the limit has been reached by an exposure; exposures before the last
// measurement count as that one.
func (f *Forecast) PastBy(exposure float64) float64 {
	if f.known.Crossed {
		if exposure >= f.known.Expected {
			return 1
		}
		return 0
	}
	x := math.Max(exposure, f.now) / f.scale.life
	return f.past(x)
}

func (f *Forecast) past(x float64) float64 {
	sum, last, t := 0.0, -1, 0.0
	for i := range f.nodes {
		n := &f.nodes[i]
		if n.bend != last {
			last = n.bend
			t = bends[last].exposure(x)
		}
		d, v := n.after(math.Max(0, t-n.last))
		d -= n.limit
		if d*d > 36*v || math.IsInf(d, 0) {
			if d > 0 {
				sum += n.weight
			}
			continue
		}
		sum += n.weight * 0.5 * math.Erfc(-d/math.Sqrt(2*v))
	}
	return math.Min(sum, 1)
}

// Crossing returns when the limit is reached.
func (f *Forecast) Crossing() Crossing {
	if f.known.Crossed {
		return f.known
	}
	return Crossing{
		Earliest: f.Quantile(tenth), Expected: f.Quantile(0.5), Latest: f.Quantile(1 - tenth),
	}
}

// Quantile is the exposure by which the limit has been reached with chance q, between 0 and 1
// (panics otherwise): the last measurement's exposure where that chance has already passed, +Inf for practically
// never.
func (f *Forecast) Quantile(q float64) float64 {
	if !(q > 0 && q < 1) {
		panic("wear: Quantile: q outside 0 to 1")
	}
	if f.known.Crossed {
		return f.known.Expected
	}
	low := f.now / f.scale.life
	lowExcess := f.past(low) - q
	if lowExcess >= 0 {
		return f.now
	}
	high, highExcess := low+0.25, -1.0
	for {
		if highExcess = f.past(high) - q; highExcess >= 0 {
			break
		}
		if high > openEnd {
			return math.Inf(1)
		}
		low, lowExcess = high, highExcess
		high = high*1.6 + 0.1
	}
	return f.scale.life * f.cross(q, low, high, lowExcess, highExcess)
}

// cross closes in on the exposure, in lives, by false position (Illinois).
func (f *Forecast) cross(q, a, b, fa, fb float64) float64 {
	for range 60 {
		x := b - fb*(b-a)/(fb-fa)
		fx := f.past(x) - q
		if math.Abs(fx) < 5e-6 || math.Abs(b-a) < 1e-9*math.Abs(b) {
			return x
		}
		if (fx > 0) != (fb > 0) {
			a, fa = b, fb
		} else {
			fa /= 2
		}
		b, fb = x, fx
	}
	return b
}

// ValueAt is what a measurement at an exposure, not before the last one, would show: eight out of ten lie in
// the band. A bend may reach infinity before that exposure: High is then +Inf.
func (f *Forecast) ValueAt(exposure float64) Band {
	b := Band{f.valueQuantile(exposure, tenth), f.valueQuantile(exposure, 0.5), f.valueQuantile(exposure, 1-tenth)}
	if b.Low > b.High {
		b.Low, b.High = b.High, b.Low
	}
	return b
}

// below is the chance that a measurement at x lives shows less wear than u.
func (f *Forecast) below(x, u float64) float64 {
	sum := 0.0
	for i := range f.nodes {
		n := &f.nodes[i]
		b := bends[n.bend].Bend
		if !b.takes(u) {
			if f.limit.Falling {
				sum += n.weight
			}
			continue
		}
		mean, sd := n.where(b, x)
		reading := n.noise.reading
		if f.limit.Counts {
			s := b.slope(u)
			reading += s * s * u / f.scale.unit
		}
		z := (b.value(u, f.limit.Falling) - mean) / math.Sqrt(sd*sd+reading)
		if !math.IsNaN(z) { // a line too steep for numbers is beyond any value
			sum += n.weight * distuv.UnitNormal.CDF(z)
		}
	}
	return sum
}

// valueQuantile is the value less worn than which a share q of measurements are, by bisection.
func (f *Forecast) valueQuantile(exposure, q float64) float64 {
	x := math.Max(exposure, f.now) / f.scale.life
	sign := 1.0
	if f.limit.Falling {
		sign = -1
	}
	at, step := f.scale.in(f.value), f.scale.way*sign
	good, worn := at, at
	for range 60 {
		if f.below(x, worn) >= q {
			break
		}
		good, worn, step = worn, worn+step, step*2
	}
	if f.below(x, worn) < q {
		return math.Inf(int(sign))
	}
	step = f.scale.way * sign
	for range 60 {
		if f.below(x, good) < q {
			break
		}
		worn, good, step = good, good-step, step*2
	}
	for range 34 {
		mid := (good + worn) / 2
		if f.below(x, mid) < q {
			good = mid
		} else {
			worn = mid
		}
	}
	return f.out((good + worn) / 2)
}

// out turns a value in the scale's unit into the caller's.
func (f *Forecast) out(u float64) float64 {
	v := u * f.scale.unit
	if f.limit.Counts {
		return math.Max(0, v-countShift)
	}
	return v
}

// Surprise is how a new measurement compares with what was forecast.
type Surprise struct {
	Expected Band

	// Factor is the wear since the last measurement over the wear expected: 3 for three times the
	// wear expected. Negative where the value went back, 0 where no wear or endless wear was expected.
	Factor float64

	// Chance is the chance that a measurement would be at least as far from the middle, on the
	// same side: below 0.05 the forecast and the measurement contradict each other.
	Chance float64

	Contradicts bool // Chance is below 0.05
	Faster      bool // more wear than expected
}

const contradiction = 0.05

// Compare holds a new measurement against the forecast made before it. The exposure must be above that
// of the last measurement: no wear is expected in no time.
func (f *Forecast) Compare(exposure, value float64) (Surprise, error) {
	if !finite(exposure) || exposure <= f.now {
		return Surprise{}, &DataError{-1, -1, "exposure", exposure, "an exposure above that of the last measurement"}
	}
	if !finite(value) {
		return Surprise{}, &DataError{-1, -1, "value", value, "a finite number"}
	}
	s := Surprise{Expected: f.ValueAt(exposure)}
	below := f.below(exposure/f.scale.life, f.scale.in(value))
	s.Faster = below > 0.5
	s.Chance = math.Min(below, 1-below)
	s.Contradicts = s.Chance < contradiction
	level := f.level()
	if !finite(level) {
		level = f.value
	}
	if rise := s.Expected.Mid - level; rise != 0 {
		s.Factor = (value - level) / rise
	}
	return s, nil
}

// level is the value the part is taken to have had at the last measurement.
func (f *Forecast) level() float64 { return f.valueQuantile(f.now, 0.5) }
