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
	excess := func(x float64) float64 { return f.past(x) - q }
	low := f.now / f.scale.life
	lowExcess := excess(low)
	if lowExcess >= 0 {
		return f.now
	}
	high, highExcess := low+0.25, -1.0
	for {
		if highExcess = excess(high); highExcess >= 0 {
			break
		}
		if high > openEnd {
			return math.Inf(1)
		}
		low, lowExcess = high, highExcess
		high = high*1.6 + 0.1
	}
	return f.scale.life * cross(excess, low, high, lowExcess, highExcess, 5e-6)
}

// cross closes in on where fn crosses 0 between a and b, at which it is fa and fb, by false position (Illinois), until
// it is as close to 0 as asked for.
func cross(fn func(float64) float64, a, b, fa, fb, close float64) float64 {
	for range 60 {
		x := b - fb*(b-a)/(fb-fa)
		fx := fn(x)
		if math.Abs(fx) < close || math.Abs(b-a) < 1e-9*math.Abs(b) {
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
	sum, last := 0.0, -1
	var t, level, count float64 // of a bend's nodes
	for i := range f.nodes {
		n := &f.nodes[i]
		b := bends[n.bend].Bend
		if !b.takes(u) {
			if f.limit.Falling {
				sum += n.weight
			}
			continue
		}
		if n.bend != last {
			last = n.bend
			if t, level = b.exposure(x), b.value(u, f.limit.Falling); f.limit.Counts {
				s := b.slope(u)
				count = s * s * u / f.scale.unit
			}
		}
		mean, v := n.after(math.Max(0, t-n.last))
		z := (level - mean) / math.Sqrt(v+n.noise.reading+count)
		switch {
		case v < 0: // a level surer than sure tells nothing
		case z > 9:
			sum += n.weight
		case z > -9: // else as good as nothing, or a line too steep for numbers, which is beyond any value
			sum += n.weight * distuv.UnitNormal.CDF(z)
		}
	}
	return sum
}

// valueQuantile is the value less worn than which a share q of measurements are.
func (f *Forecast) valueQuantile(exposure, q float64) float64 {
	x := math.Max(exposure, f.now) / f.scale.life
	excess := func(u float64) float64 { return f.below(x, u) - q }
	sign := 1.0
	if f.limit.Falling {
		sign = -1
	}
	good, step := f.scale.in(f.value), f.scale.way*sign
	goodExcess := excess(good)
	worn, wornExcess := good, goodExcess
	for i := 0; i < 60 && wornExcess < 0; i++ {
		good, goodExcess = worn, wornExcess
		worn += step
		step *= 2
		wornExcess = excess(worn)
	}
	if wornExcess < 0 {
		return math.Inf(int(sign))
	}
	step = f.scale.way * sign
	for i := 0; i < 60 && goodExcess >= 0; i++ {
		worn, wornExcess = good, goodExcess
		good -= step
		step *= 2
		goodExcess = excess(good)
	}
	if goodExcess >= 0 {
		return f.out(good)
	}
	return f.out(cross(excess, good, worn, goodExcess, wornExcess, 1e-11))
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
