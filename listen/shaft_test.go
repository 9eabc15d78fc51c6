package listen

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
)

// shaft is a simulated machine with one shaft and a contact sensor, for what the collection cannot show: other
// bearings, noise, looseness and flaws of known strength. Made up; what goes into it:
//
//   - Turning rate 18 to 45 Hz, wandering by 0.02 to 0.1 %; imbalance, misalignment and, when loose, harmonics to the
//     fortieth with half orders, each with an amplitude of its own.
//   - Mains hum at 60 Hz and its multiples, and a carrier of 2.8 kHz modulated at twice the mains.
//   - Noise coloured by three to six resonances.
//   - A flaw rings two to four resonances, each hit by a factor of its own; the spacing of the hits wanders as a
//     random walk by 0.3 to 1.5 % a hit, about a rate off by a normal 0.4 %. The load makes a turning ring's hits
//     come and go with the shaft, a ball's with the cage, its two strikes a turn differ; half of the balls' flaws
//     modulate at the cage's rate only.
//   - Knocks: every second machine has five single knocks at random times.
//   - Where asked for: the races of a sound bearing beat, in a resonance or two, and a second bearing has a flaw.
//
// The SNR is that of the flaw's sound against all the rest, over the whole band.
type shaft struct {
	rng     *rand.Rand
	rate    float64
	seconds float64
	element Element // NoElement: healthy
	snr     float64
	loose   bool

	beats      *Bearing // sound races that beat in a resonance or two
	marked     bool     // the races bear marks of mounting: they beat in more, and with the load
	beside     *Bearing // another bearing on the shaft, with a flaw of its own
	besideFlaw Element
	besideSNR  float64
}

// run makes the recording and gives the true mean speed.
func (s shaft) run(b Bearing) (Recording, float64) {
	n := int(s.rate * s.seconds)
	hz := 18 + 27*s.rng.Float64()
	turns := s.turns(n, hz)
	x := s.machine(turns)
	if s.beats != nil {
		s.races(x, turns, *s.beats)
	}
	level := rms(x)
	if s.beside != nil {
		o := s
		o.element = s.besideFlaw
		mix(x, o.flaw(turns, *s.beside), level, s.besideSNR)
	}
	if s.element != NoElement {
		mix(x, s.flaw(turns, b), level, s.snr)
	}
	g := 0.05 / rms(x)
	for i := range x {
		x[i] *= g
	}
	return Recording{Rate: s.rate, Channels: [][]float64{x}}, turns[n-1] / s.seconds
}

// mix adds a sound so many decibels above a level.
func mix(x, f []float64, level, db float64) {
	g := level / max(rms(f), 1e-12) * math.Pow(10, db/20)
	for i := range x {
		x[i] += g * f[i]
	}
}

// races adds noise of resonances that swells as balls pass the rings of a bearing without a flaw of its own: of one or
// two, a little, or where the races are marked of three to five, more, and with a load that turns with the shaft.
func (s shaft) races(x, turns []float64, b Bearing) {
	r, err := b.Rates()
	if err != nil {
		panic(err)
	}
	outer := r.Outer * (1 + 0.005*s.rng.NormFloat64())
	inner := float64(b.Balls) - outer
	swells := func(phase float64) float64 { // a bump a pass, of mean 0
		return math.Exp(2*math.Cos(2*math.Pi*phase)-2)/0.3085 - 1
	}
	level, n, least, turning := rms(x), 1+s.rng.IntN(2), 0.0, 0.0
	if s.marked {
		n, least, turning = 3+s.rng.IntN(3), 0.2, 0.3+0.5*s.rng.Float64()
	}
	for range n {
		do, di := least+0.25*s.rng.ExpFloat64(), least+0.2*s.rng.ExpFloat64()
		walk := 0.003 + 0.012*s.rng.Float64() // as the knocks of a flaw: a random walk by the pass
		in := make([]float64, len(x))
		po, pi, last := 0.0, 0.0, 0.0
		for i, t := range turns {
			d := t - last
			last = t
			po += d*outer + walk*math.Sqrt(d*outer)*s.rng.NormFloat64()
			pi += d*inner + walk*math.Sqrt(d*inner)*s.rng.NormFloat64()
			load := 1 + turning*math.Cos(2*math.Pi*t)
			in[i] = s.rng.NormFloat64() * max(1+load*(do*swells(po)+di*swells(pi)), 0)
		}
		y := make([]float64, len(x))
		s.resonance(y, in, 1000+0.35*s.rate*s.rng.Float64(), 0.0005+0.001*s.rng.Float64(), 1)
		mix(x, y, level, -4-10*s.rng.Float64())
	}
}

func (s shaft) turns(n int, hz float64) []float64 {
	out := make([]float64, n)
	depth := 0.0002 + 0.0008*s.rng.Float64()
	f1, f2 := 0.1+0.4*s.rng.Float64(), 0.5+s.rng.Float64()
	t := 0.0
	for i := range out {
		p := float64(i) / s.rate
		t += hz * (1 + depth*(math.Sin(2*math.Pi*f1*p)+0.4*math.Sin(2*math.Pi*f2*p))) / s.rate
		out[i] = t
	}
	return out
}

// machine is everything but the flaw.
func (s shaft) machine(turns []float64) []float64 {
	n := len(turns)
	x := make([]float64, n)
	for range 3 + s.rng.IntN(4) {
		s.resonance(x, nil, 0.08*s.rate+0.4*s.rate*s.rng.Float64(), 0.0003+0.002*s.rng.Float64(),
			math.Pow(10, -s.rng.Float64()))
	}
	level := rms(x)
	for i := range x {
		x[i] += 0.3 * level * s.rng.NormFloat64()
	}
	harmonics, fall, step := 4+s.rng.IntN(8), 1.2, 1.0
	if s.loose {
		harmonics, fall, step = 80, 0.4, 0.5
	}
	swing := make([]complex128, harmonics)
	for h := range swing {
		a := level * 0.7 * math.Pow(float64(h+1), -fall) * s.rng.ExpFloat64()
		swing[h] = cmplx.Rect(a, 2*math.Pi*s.rng.Float64())
	}
	for i, t := range turns { // the h-th harmonic is the real part of its swing times the h-th power of the first
		sin, cos := math.Sincos(2 * math.Pi * step * t)
		first, power := complex(cos, sin), complex(1, 0)
		for _, v := range swing {
			power *= first
			x[i] += real(v)*real(power) - imag(v)*imag(power)
		}
	}
	hum := level * 0.5 * s.rng.Float64()
	p1, p2 := s.rng.Float64(), s.rng.Float64()
	for i := range x {
		t := float64(i) / s.rate
		x[i] += hum * (math.Cos(2*math.Pi*(60*t+p1)) + 0.5*math.Cos(2*math.Pi*(120*t+p2)) +
			0.2*(1+math.Cos(2*math.Pi*120*t))*math.Cos(2*math.Pi*2800*t))
	}
	if s.rng.IntN(2) == 0 {
		hits := make([]float64, n)
		for range int(s.seconds / 2) {
			hits[s.rng.IntN(n)] = 20 * level
		}
		s.resonance(x, hits, 2000+1500*s.rng.Float64(), 0.002, 1)
	}
	return x
}

// resonance adds what a two-pole resonance makes of the input, of noise if there is none, with a gain.
func (s shaft) resonance(x, in []float64, hz, decay, gain float64) {
	hz = min(hz, 0.48*s.rate)
	r := math.Exp(-1 / (decay * s.rate))
	a1, a2 := 2*r*math.Cos(2*math.Pi*hz/s.rate), -r*r
	y1, y2 := 0.0, 0.0
	k := gain
	if in == nil {
		k *= math.Sqrt(1 - r)
	}
	for i := range x {
		v := 0.0
		if in == nil {
			v = s.rng.NormFloat64()
		} else {
			v = in[i]
		}
		y := a1*y1 + a2*y2 + k*v
		y1, y2 = y, y1
		x[i] += y
	}
}

// flaw is the sound of the flaw alone.
func (s shaft) flaw(turns []float64, b Bearing) []float64 {
	r, err := b.Rates()
	if err != nil {
		panic(err)
	}
	rate, cageOnly := r.Outer, false
	switch s.element {
	case InnerRing:
		rate = r.Inner
	case RollingOrCage:
		rate, cageOnly = 2*r.Spin, s.rng.IntN(2) == 0
	}
	off := 1 + 0.004*s.rng.NormFloat64()
	jitter := 0.003 + 0.012*s.rng.Float64()
	depth := 0.3 + 0.6*s.rng.Float64()
	uneven := s.rng.Float64()
	var hits [4][]float64
	for i := range hits {
		hits[i] = make([]float64, len(turns))
	}
	next := 0.3
	for i, t := range turns {
		for k := 0; next <= t*rate*off; k++ {
			a := s.strength(t, r.Cage*off, depth)
			if s.element == RollingOrCage && int(next)%2 == 0 {
				a *= uneven
			}
			for j := range hits {
				hits[j][i] = a * (1 + 0.5*s.rng.NormFloat64())
			}
			next += 1 + jitter*s.rng.NormFloat64()
		}
	}
	x := make([]float64, len(turns))
	for j := range 2 + s.rng.IntN(3) {
		in := hits[j]
		if cageOnly { // the cage drags: a noise that comes and goes
			for i, t := range turns {
				in[i] = s.rng.NormFloat64() * (1 + depth*math.Cos(2*math.Pi*r.Cage*off*t) +
					0.5*depth*math.Cos(4*math.Pi*r.Cage*off*t+1) + 0.3*depth*math.Cos(6*math.Pi*r.Cage*off*t+2))
			}
		}
		s.resonance(x, in, 1000+0.35*s.rate*s.rng.Float64(), 0.0003+0.0015*s.rng.Float64(),
			math.Pow(10, -0.7*s.rng.Float64()))
	}
	return x
}

// strength of a hit at an angle of the shaft.
func (s shaft) strength(t, cage, depth float64) float64 {
	switch s.element {
	case InnerRing:
		return max(1-depth+depth*math.Cos(2*math.Pi*t), 0.05)
	case RollingOrCage:
		return max(1-depth+depth*math.Cos(2*math.Pi*cage*t), 0.05)
	}
	return 1
}
