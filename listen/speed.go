package listen

import (
	"math"
	"slices"
)

// Speed is a shaft speed as known beforehand: turns per second, give or take Tolerance (relative: 0.02 is 2 %;
// below 0.2 % is taken for 0.2 %).
type Speed struct {
	Hz        float64
	Tolerance float64
}

// RPM is a speed from turns per minute.
func RPM(perMinute, tolerance float64) Speed { return Speed{perMinute / 60, tolerance} }

func (s Speed) check() error {
	if !(s.Hz > 0.5) || s.Hz > 2000 {
		return wrap(ErrInput, "speed", figure("speed", s.Hz, "Hz"))
	}
	if !(s.Tolerance >= 0) || s.Tolerance > 0.1 {
		return wrap(ErrInput, "speed tolerance", figure("tolerance", s.Tolerance, ""))
	}
	return nil
}

// ShaftSpeed is a shaft speed as heard.
type ShaftSpeed struct {
	Hz float64 // the speed within the tolerance that the lines fit best
	SD float64 // its standard uncertainty [Hz]
	// how far lines one, two and three shaft rates apart stand out [standard deviations], the least of the three
	Support float64
	Rival   float64 // the same for the best other speed between 0.45 and 2.4 times
	RivalHz float64
	Drift   float64 // range of the speed over its mean, where it was followed; else 0
	// Support is at least 1.8 and Rival no more than 1.15 times as high, but for what a bearing explains
	Supported bool
}

// Support needed. Where no shaft turns at the speed asked for, the least of the three rarely passes 2 and some
// other speed does better: with these bounds no name came of 1104 wrong speeds tried on simulated machines and on
// records whole, cut and in noise.
const (
	leastSupport   = 1.8
	clearSupport   = 4.0 // from which a comb at a fraction of a bearing's own rates is no rival
	leastTolerance = 0.002
	overSupport    = 1.15
	lowOrders      = 20  // shaft harmonics and race side lines lie below; above, cages and resonances rule
	wideOrders     = 100 // asked when the low orders do not support the speed, as with a microphone that hears no bass
	evidenceCap    = 5.0
)

// FindShaft looks for the speed of a shaft about a known one, from the spacing of spectral lines and not from bearing
// lines: whatever a shaft modulates shows lines one shaft rate apart, at any height. It takes the autocorrelation
// of the line evidence of the plain spectrum up to 20 shaft orders, then 100, and asks for it to stand out at lags
// of one, two and three shaft rates at once. The speed must be steady to about 0.2 %.
func FindShaft(r Recording, sp Speed) (ShaftSpeed, error) {
	if err := sp.check(); err != nil {
		return ShaftSpeed{}, err
	}
	x, err := usable(r)
	if err != nil {
		return ShaftSpeed{}, err
	}
	if err := longEnough(r.Seconds(), sp.Hz); err != nil {
		return ShaftSpeed{}, err
	}
	return findShaft(newSource(x, r.Rate), sp, ownRates{}), nil
}

const (
	leastTurns   = 40
	leastSeconds = 1.5
)

func longEnough(seconds, hz float64) error {
	need := max(leastSeconds, leastTurns/hz)
	if seconds < need {
		return wrap(ErrTooShort, "short at the speed", figure("lasts", seconds, "s"), figure("speed", hz*60, "rpm"),
			figure("needs", need, "s"))
	}
	return nil
}

// spacing says how much lines stand a given number of Hz apart.
type spacing struct {
	step  float64
	z     []float64 // by lag [step], in standard deviations
	plain []float64 // line evidence of the plain spectrum
}

// plainLevel is the windowed plain spectrum over its background, up to the top order of the wider range.
func plainLevel(s *source, hz float64) []float64 {
	step := s.step()
	top := min(int(wideOrders*hz/step), int(0.47*s.rate/step))
	return levelled(Spectrum{step, windowed(s.c, top)}, 0.27*hz)
}

// newSpacing of the lines up to a shaft order.
func newSpacing(level []float64, step, hz, orders float64) spacing {
	e := evidence(level[:min(len(level), int(orders*hz/step))], 3)
	e = e[min(int(0.17*hz/step), len(e)-1):]
	centre(e)
	r := autocorrelation(e, min(int(3*2.6*hz/step), len(e)))
	return spacing{step, standardise(r, int(2*hz/step)|1), level}
}

// standardise takes off a running median and divides by the running median of what is left, as a deviation.
func standardise(r []float64, k int) []float64 {
	bg := runningMedian(r, k)
	d := make([]float64, len(r))
	for i := range r {
		r[i] -= bg[i]
		d[i] = math.Abs(r[i])
	}
	sd := runningMedian(d, k)
	for i := range r {
		r[i] /= max(madToSD*sd[i], 1e-12)
	}
	return r
}

// support at a speed: the least of the first three lags, and their sum with none counting more than 8.
func (s spacing) support(hz float64) (least, sum float64) {
	least = math.Inf(1)
	for m := 1.0; m <= 3; m++ {
		z := at(s.z, m*hz, s.step)
		least = min(least, z)
		sum += min(z, 8)
	}
	return least, sum
}

// best speed between two: the middle of the plateau of the highest support, then refined by the shaft's own harmonics.
func (s spacing) best(from, to float64) (hz, least float64) {
	top, first, last := math.Inf(-1), from, from
	d := s.step / 12
	for i := range int((to-from)/d) + 1 {
		f := from + float64(i)*d
		l, sum := s.support(f)
		switch v := l + sum/3; {
		case v > top:
			top, first, last, least = v, f, f, l
		case v == top && f-last < 1.5*d:
			last = f
		}
	}
	return s.refine((first + last) / 2), least
}

// refine moves a speed by up to one and a half bins to where the first twelve harmonics gather most: the sum of the
// logs of the plain spectrum over its background, read between bins, none counting more than 8.
func (s spacing) refine(hz float64) float64 {
	top, first, last := 0.0, hz, hz
	d := s.step / 40
	for i := -60; i <= 60; i++ {
		f := hz + float64(i)*d
		sum := 0.0
		for k := 1.0; k <= 12; k++ {
			p := k * f / s.step
			j := int(p)
			if j+1 >= len(s.plain) {
				break
			}
			v := math.Log(max(s.plain[j], 1e-9))*(1-p+float64(j)) + math.Log(max(s.plain[j+1], 1e-9))*(p-float64(j))
			sum += min(max(v-1, 0), 8)
		}
		switch {
		case sum > top:
			top, first, last = sum, f, f
		case sum == top:
			last = f
		}
	}
	return (first + last) / 2
}

// bestLeast is the speed with the highest least support between two speeds.
func (s spacing) bestLeast(from, to float64, skip func(float64) bool) (hz, least float64) {
	least = math.Inf(-1)
	for f := from; f <= to; f += s.step / 6 {
		if skip(f) {
			continue
		}
		if l, _ := s.support(f); l > least {
			hz, least = f, l
		}
	}
	return hz, least
}

// findShaft asks the low orders first, then all.
func findShaft(s *source, sp Speed, own ownRates) ShaftSpeed {
	level := plainLevel(s, sp.Hz)
	low := newSpacing(level, s.step(), sp.Hz, lowOrders).shaft(sp, own)
	if low.Supported {
		return low
	}
	if wide := newSpacing(level, s.step(), sp.Hz, wideOrders).shaft(sp, own); wide.Supported {
		return wide
	}
	return low
}

// ownRates are what the candidates explain, in orders: their cages' turns, which are never rivals of the shaft, and
// a half, a third and a quarter of their other combs and multiples of their cages' turns (four of a common bearing's
// are 1.594 turns), which are none where the shaft itself is clear.
type ownRates struct{ cages, combs []float64 }

func ownRatesOf(all []family) ownRates {
	var out ownRates
	for _, f := range all {
		if f.cage {
			out.cages = append(out.cages, f.base, 1-f.base)
			for k := 2.0; k*f.base < 2.4; k++ {
				out.combs = append(out.combs, k*f.base, k*(1-f.base))
			}
			continue
		}
		for q := 2.0; q <= 4; q++ {
			out.combs = append(out.combs, f.base/q)
		}
	}
	return out
}

func nearAny(q float64, orders []float64, by float64) bool {
	return slices.ContainsFunc(orders, func(o float64) bool { return math.Abs(q/o-1) < by })
}

// shaft compares the best speed within the tolerance with all others. Twice the speed and the own rates of
// the candidates are no rivals: a cage turns too.
func (s spacing) shaft(sp Speed, own ownRates) ShaftSpeed {
	tol := max(sp.Tolerance, leastTolerance)
	hz, least := s.best(sp.Hz*(1-tol), sp.Hz*(1+tol))
	skip := func(f float64) bool {
		q := f / hz
		return math.Abs(q-1) < 0.03 || math.Abs(q-2) < 0.04 || nearAny(q, own.cages, 0.02)
	}
	out := ShaftSpeed{Hz: hz, Support: least, SD: s.step / 3 / math.Sqrt(12)}
	out.RivalHz, out.Rival = s.bestLeast(0.45*hz, 2.4*hz, skip)
	if least >= clearSupport && out.Rival > overSupport*least {
		out.RivalHz, out.Rival = s.bestLeast(0.45*hz, 2.4*hz, func(f float64) bool {
			return skip(f) || nearAny(f/hz, own.combs, slip)
		})
	}
	out.Supported = out.Support >= leastSupport && out.Rival <= overSupport*out.Support
	return out
}
