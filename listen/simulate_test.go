package listen

import (
	"math"
	"math/rand/v2"
)

// The simulated drive: not a model of any engine, only of what makes the question hard, with everything known.
//
//   - Four-cylinder four-stroke, crank 700 to 1500 rpm, wandering slowly by about ±0.3 %.
//   - At each firing a low thump (60 to 200 Hz), a burst of valve-train noise (1 to 6 kHz) and a sharp injector
//     click (5 kHz), with cylinders 5 to 25 % unlike one another and 3 % scatter from firing to firing.
//   - An alternator whine at 36 per turn, 20 dB below the engine.
//   - Pink noise as loud as the engine.
//   - One pulley's bearing with a flaw: knocks with 0.5 % slip scatter ringing a resonance between 3 and 7 kHz; a
//     flaw on the turning outer ring comes and goes once per turn.
//   - Ratios off by normal errors of 0.7 %, the sheet's ratio being the nominal one.
//   - A microphone: second-order high-pass at 200 Hz, first-order low-pass at 14 kHz; 48 kHz; 10 s.
//
// The SNR is that of the flaw's sound against all the rest, both through the microphone.
type simulation struct {
	rate, seconds float64
	snr           float64 // dB
	faulty        int     // pulley, -1 for none
	element       Element
	cylinders     int     // 0: four
	wandering     float64 // times the usual; 0: once
	hiss          float64 // pink noise over the engine; 0: once
	fastest       float64 // rpm; 0: 1500
	from          string  // what made it, of the last run
	sound         string  // "chirp", "squeal", "whine" or "rumble" in place of the flaw: see sounds_test.go
	rng           *rand.Rand
	truth         float64 // mean crank speed of the last run [Hz]
}

// bench is the drive every simulation uses. Ratios invented; the bearing is the 6203 of the collection on the
// fixed-ring side that pulleys have.
func benchDrive(crankHz float64) Drive {
	b := shelf["6203"]
	b.OuterTurns = true
	a := shelf["6203"]
	w := Bearing{Name: "6205", Balls: 9, Ball: 0.3126, Pitch: 1.537}
	return Drive{
		Engine:   Engine{Cylinders: 4, Speed: Speed{crankHz, 0.03}},
		BeltPass: 0.262,
		Pulleys: []Pulley{
			{Name: "alternator", Ratio: 2.70, Bearing: &a, Tones: []Tone{{"36 per turn", 36}}},
			{Name: "idler", Ratio: 2.31, Bearing: &b},
			{Name: "tensioner", Ratio: 1.97, Bearing: &b},
			{Name: "water pump", Ratio: 1.23, Bearing: &w},
			{Name: "steering pump", Ratio: 1.46, Bearing: &w, Tones: []Tone{{"10 vanes", 10}}},
		},
	}
}

// run makes the recording and the drive as the owner would describe it, with the meter off by up to 3 %.
func (s *simulation) run() (Recording, Drive) {
	crank := (700 + (or(s.fastest, 1500)-700)*s.rng.Float64()) / 60
	d := benchDrive(crank * (1 + 0.03*(2*s.rng.Float64()-1)))
	if s.cylinders > 0 {
		d.Engine.Cylinders = s.cylinders
	}
	n := int(s.rate * s.seconds)
	turns := s.wander(crank, n)
	s.truth = turns[n-1] / s.seconds
	rest := s.engine(turns)
	s.whine(rest, turns, 36*2.70*(1+0.007*s.rng.NormFloat64()))
	s.pink(rest)
	s.microphone(rest)
	if s.faulty >= 0 || s.sound != "" {
		flaw := s.added(turns, d)
		s.microphone(flaw)
		g := rms(rest) / rms(flaw) * math.Pow(10, s.snr/20)
		for i := range rest {
			rest[i] += g * flaw[i]
		}
	}
	g := 0.2 / rms(rest) / 5
	for i := range rest {
		rest[i] *= g
	}
	return Recording{Rate: s.rate, Channels: [][]float64{rest}}, d
}

// added is the sound in question alone.
func (s *simulation) added(turns []float64, d Drive) []float64 {
	if s.sound != "" {
		return s.belted(turns, d)
	}
	p := d.Pulleys[s.faulty]
	s.from = p.Name
	return s.flaw(turns, p.Ratio*(1+0.007*s.rng.NormFloat64()), *p.Bearing)
}

func rms(x []float64) float64 {
	q := 0.0
	for _, v := range x {
		q += v * v
	}
	return math.Sqrt(q / float64(len(x)))
}

// wander is the crank angle in turns.
func (s simulation) wander(crank float64, n int) []float64 {
	out := make([]float64, n)
	turn, dev, v := 0.0, 0.0, 0.0
	dt := 1 / s.rate
	for i := range out {
		v += -v*dt/0.7 + or(s.wandering, 1)*0.004*s.rng.NormFloat64()*math.Sqrt(dt)
		dev += (v - dev) * dt / 0.4
		turn += crank * (1 + dev) * dt
		out[i] = turn
	}
	return out
}

// burst adds a decaying tone or noise.
func burst(x []float64, at int, amp, hz, decay, rate float64, noise *rand.Rand) {
	for k := 0; k < int(6*decay*rate) && at+k < len(x); k++ {
		t := float64(k) / rate
		v := amp * math.Exp(-t/decay)
		if noise != nil {
			v *= noise.NormFloat64()
		}
		x[at+k] += v * math.Sin(2*math.Pi*hz*t)
	}
}

func (s simulation) engine(turns []float64) []float64 {
	x := make([]float64, len(turns))
	cyl := make([]float64, max(s.cylinders, 4))
	if s.cylinders > 0 {
		cyl = cyl[:s.cylinders]
	}
	apart := 2 / float64(len(cyl))
	for i := range cyl {
		cyl[i] = 1 + 0.05 + 0.2*s.rng.Float64()
	}
	next := 0
	for i, t := range turns {
		for float64(next)*apart <= t {
			a := cyl[next%len(cyl)] * (1 + 0.03*s.rng.NormFloat64())
			burst(x, i, 1.0*a, 60+140*s.rng.Float64(), 0.012, s.rate, nil)
			burst(x, i, 0.35*a, 3000, 0.006, s.rate, s.rng)
			burst(x, i+int(0.004*s.rate), 0.5*a, 5000, 0.0006, s.rate, nil)
			next++
		}
	}
	return x
}

func (s simulation) whine(x, turns []float64, order float64) {
	a := rms(x) * 0.1 * math.Sqrt2
	for i, t := range turns {
		x[i] += a * math.Sin(2*math.Pi*order*t)
	}
}

// pink noise by six first-order sections an octave and a half apart.
func (s simulation) pink(x []float64) {
	g := rms(x) * or(s.hiss, 1)
	p := make([]float64, len(x))
	for h := 0; h < 6; h++ {
		a := math.Exp(-2 * math.Pi * 20 * math.Pow(4, float64(h)) / s.rate)
		y := 0.0
		for i := range p {
			y = a*y + math.Sqrt(1-a)*s.rng.NormFloat64()
			p[i] += y * math.Sqrt(1+a) * math.Sqrt(1-a) * math.Pow(2, float64(h)/4)
		}
	}
	g /= rms(p)
	for i := range x {
		x[i] += g * p[i]
	}
}

func (s simulation) flaw(turns []float64, ratio float64, b Bearing) []float64 {
	x := make([]float64, len(turns))
	r, err := b.Rates()
	if err != nil {
		panic(err)
	}
	rate, side := r.Outer, b.OuterTurns
	if s.element == InnerRing {
		rate, side = r.Inner, !b.OuterTurns
	}
	slipped := rate * (1 + 0.004*s.rng.NormFloat64())
	hz := 3000 + 4000*s.rng.Float64()
	next := 0.3
	for i, t := range turns {
		p := t * ratio
		for next <= p*slipped {
			a := 1 + 0.1*s.rng.NormFloat64()
			if side {
				a *= 0.55 + 0.45*math.Cos(2*math.Pi*p)
			}
			burst(x, i, a, hz, 0.0012, s.rate, nil)
			next += 1 + 0.005*s.rng.NormFloat64()
		}
	}
	return x
}

// microphone filters in place.
func (s simulation) microphone(x []float64) { pass(x, 200, 14000, s.rate) }

// pass filters in place: twice of the first order below one frequency, once above another.
func pass(x []float64, low, high, rate float64) {
	c := math.Exp(-2 * math.Pi * low / rate)
	for range 2 {
		lastIn, y := 0.0, 0.0
		for i, v := range x {
			y = c * (y + v - lastIn)
			lastIn, x[i] = v, y
		}
	}
	c = math.Exp(-2 * math.Pi * high / rate)
	y := 0.0
	for i, v := range x {
		y = c*y + (1-c)*v
		x[i] = y
	}
}
