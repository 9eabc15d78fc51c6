// Package listentest makes recordings for tests: a running engine with one
// flawed bearing on a pulley, taps on a span, and bare sounds, as WAV files.
//
// The engine is no model of any engine, only of what makes the question hard:
// firings with a low thump, valve noise and an injector click, cylinders unlike
// one another, a speed that wanders by some 0.3 %, pink noise as loud as the
// engine, a whine at 36 turns of the alternator, and a microphone that hears
// little below 200 Hz. The flaw knocks once per ball with half a per cent of
// scatter and rings at some 5 kHz. docs/listening-curve.md says how far into
// the noise the same is found.
package listentest

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"

	"undertray.example/undertray/listen"
)

// Engine is a recording of a running engine to be made.
type Engine struct {
	Seed       uint64
	RPM        float64 // of the crank, true
	Cylinders  int
	Rate       float64 // samples per second
	Seconds    float64
	Alternator float64 // its turns per crank turn; 0: no whine
	Ratio      float64 // of the flawed pulley; 0: no flaw
	Bearing    listen.Bearing
	SNR        float64 // of the flaw against the rest, dB
}

// Samples makes the recording, full scale 1.
func (e Engine) Samples() []float64 {
	rng := rand.New(rand.NewPCG(e.Seed, 2026))
	turns := wander(rng, e.RPM/60, e.Rate, int(e.Rate*e.Seconds))
	x := e.firings(rng, turns)
	if e.Alternator > 0 {
		a := rms(x) * 0.1 * math.Sqrt2
		for i, t := range turns {
			x[i] += a * math.Sin(2*math.Pi*36*e.Alternator*t)
		}
	}
	pink(rng, x, e.Rate)
	microphone(x, e.Rate)
	if e.Ratio > 0 {
		f := e.flaw(rng, turns)
		microphone(f, e.Rate)
		mix(x, f, rms(x)/rms(f)*math.Pow(10, e.SNR/20))
	}
	mix(x, x, 0.04/rms(x)-1)
	return x
}

// WAV makes the recording as a file of 16-bit samples.
func (e Engine) WAV() []byte { return WAV(e.Rate, e.Samples()) }

// wander is the crank angle in turns, the speed wandering slowly.
func wander(rng *rand.Rand, hz, rate float64, n int) []float64 {
	out := make([]float64, n)
	turn, dev, v, dt := 0.0, 0.0, 0.0, 1/rate
	for i := range out {
		v += -v*dt/0.7 + 0.004*rng.NormFloat64()*math.Sqrt(dt)
		dev += (v - dev) * dt / 0.4
		turn += hz * (1 + dev) * dt
		out[i] = turn
	}
	return out
}

func (e Engine) firings(rng *rand.Rand, turns []float64) []float64 {
	x := make([]float64, len(turns))
	like := make([]float64, e.Cylinders)
	for i := range like {
		like[i] = 1.05 + 0.2*rng.Float64()
	}
	apart, next := 2/float64(e.Cylinders), 0
	for i, t := range turns {
		for float64(next)*apart <= t {
			a := like[next%e.Cylinders] * (1 + 0.03*rng.NormFloat64())
			burst(x, i, a, 60+140*rng.Float64(), 0.012, e.Rate, nil)
			burst(x, i, 0.35*a, 3000, 0.006, e.Rate, rng)
			burst(x, i+int(0.004*e.Rate), 0.5*a, 5000, 0.0006, e.Rate, nil)
			next++
		}
	}
	return x
}

// flaw is an outer ring flaw; on a turning outer ring it comes and goes once
// per turn.
func (e Engine) flaw(rng *rand.Rand, turns []float64) []float64 {
	x := make([]float64, len(turns))
	r, err := e.Bearing.Rates()
	if err != nil {
		panic(err)
	}
	next := 0.3
	for i, t := range turns {
		p := t * e.Ratio
		for next <= p*r.Outer {
			a := 1 + 0.1*rng.NormFloat64()
			if e.Bearing.OuterTurns {
				a *= 0.55 + 0.45*math.Cos(2*math.Pi*p)
			}
			burst(x, i, a, 5200, 0.0012, e.Rate, nil)
			next += 1 + 0.005*rng.NormFloat64()
		}
	}
	return x
}

// burst adds a decaying tone, or noise where rng is given.
func burst(x []float64, at int, amp, hz, decay, rate float64, rng *rand.Rand) {
	for k := 0; k < int(6*decay*rate) && at+k < len(x); k++ {
		t := float64(k) / rate
		v := amp * math.Exp(-t/decay)
		if rng != nil {
			v *= rng.NormFloat64()
		}
		x[at+k] += v * math.Sin(2*math.Pi*hz*t)
	}
}

// pink adds noise as loud as x, falling by some 3 dB an octave.
func pink(rng *rand.Rand, x []float64, rate float64) {
	p := make([]float64, len(x))
	for h := range 6 {
		a := math.Exp(-2 * math.Pi * 20 * math.Pow(4, float64(h)) / rate)
		y, g := 0.0, math.Sqrt(1-a*a)*math.Pow(2, float64(h)/4)
		for i := range p {
			y = a*y + math.Sqrt(1-a)*rng.NormFloat64()
			p[i] += y * g
		}
	}
	mix(x, p, rms(x)/rms(p))
}

// microphone filters in place: two first-order high-passes at 200 Hz and a
// low-pass at 14 kHz.
func microphone(x []float64, rate float64) {
	c := math.Exp(-2 * math.Pi * 200 / rate)
	for range 2 {
		last, y := 0.0, 0.0
		for i, v := range x {
			y = c * (y + v - last)
			last, x[i] = v, y
		}
	}
	c = math.Exp(-2 * math.Pi * 14000 / rate)
	y := 0.0
	for i, v := range x {
		y = c*y + (1-c)*v
		x[i] = y
	}
}

func mix(x, y []float64, g float64) {
	for i := range x {
		x[i] += g * y[i]
	}
}

func rms(x []float64) float64 {
	q := 0.0
	for _, v := range x {
		q += v * v
	}
	return math.Sqrt(q / float64(len(x)))
}

// Taps makes a recording of plucks on a span at rest, a second apart.
func Taps(hz, rate float64, n int) []byte {
	x := make([]float64, int(rate*(float64(n)+0.5)))
	rng := rand.New(rand.NewPCG(1, 2))
	for k := range n {
		at := int(rate * (float64(k) + 0.3))
		for h := 1.0; h <= 3; h++ {
			burst(x, at, 0.3/h, h*hz, 0.25, rate, nil)
		}
	}
	for i := range x {
		x[i] += 0.0005 * rng.NormFloat64()
	}
	return WAV(rate, x)
}

// WAV writes samples as a mono file of 16 bits; what lies outside full scale
// is cut off, as a recorder does.
func WAV(rate float64, x []float64) []byte {
	var b bytes.Buffer
	b.WriteString("RIFF")
	put := func(v any) { binary.Write(&b, binary.LittleEndian, v) }
	put(uint32(36 + 2*len(x)))
	b.WriteString("WAVEfmt ")
	put(uint32(16))
	put([]uint16{1, 1})
	put([]uint32{uint32(rate), uint32(2 * rate)})
	put([]uint16{2, 16})
	b.WriteString("data")
	put(uint32(2 * len(x)))
	for _, v := range x {
		put(int16(math.Round(32767 * min(max(v, -1), 1))))
	}
	return b.Bytes()
}
