package listen

import (
	"math"
)

// Engine is what turns the drive, as far as sound needs it.
type Engine struct {
	Cylinders int
	TwoStroke bool
	// Speed of the crankshaft if a meter told it. With Hz 0 it is looked for from 450 to 4500 rpm.
	Speed Speed
}

// Firing is the number of firings per crank turn.
func (e Engine) Firing() float64 {
	if e.TwoStroke {
		return float64(e.Cylinders)
	}
	return float64(e.Cylinders) / 2
}

func (e Engine) check() error {
	if e.Cylinders < 1 || e.Cylinders > 16 {
		return wrap(ErrInput, "cylinders", figure("cylinders", float64(e.Cylinders), ""))
	}
	if e.Speed.Hz == 0 {
		return nil
	}
	return e.Speed.check()
}

// orders of the crank at which an engine shows: firing and its harmonics count double, the half orders (whole ones
// of a two-stroke) between them once.
func (e Engine) orders() (order, weight []float64) {
	base := 0.5
	if e.TwoStroke {
		base = 1
	}
	top := max(6*e.Firing(), 8)
	for o := base; o <= top; o += base {
		w := 1.0
		if r := o / e.Firing(); r == math.Trunc(r) {
			w = 2
		}
		order, weight = append(order, o), append(weight, w)
	}
	return order, weight
}

// CrankSpeed is a crank speed as heard.
type CrankSpeed struct {
	Hz  float64
	SD  float64 // standard uncertainty of the mean speed [Hz]
	Lit int     // engine orders that stand out
	// how far the weighted orders stand above chance [standard deviations; without a meter nats of likelihood]
	Score   float64
	Rival   float64 // the same for the best speed more than 4 % away
	RivalHz float64
	// three orders lit, Score at least 4, no rival as good and firing no clearer at a simple ratio; without a meter
	// no rival within 2 nats, and two ways agree
	Supported bool
	Track     Track // the speed through the recording
}

const (
	slowestCrank = 7.5
	fastestCrank = 75.0
	leastCrank   = 4.0
	litOrders    = 3
	aloneOver    = 2.0   // nats over the rival, without a meter
	misreadOver  = 1.3   // times the contrast of firing at the metered speed
	aloneAgree   = 0.006 // relative, of the speed by firing's contrast and by the count of lines at crank angle
	enginePiece  = 2.0   // seconds of spectrum averaged for the crank speed
)

// FindCrank finds the crank speed from the engine's own orders together with the once-per-turn lines of the pulleys
// at their fixed ratios, which settle whether a comb is the firing order or its half. The spectrum is averaged over
// pieces of two seconds, so the speed may wander by a per cent or so.
//
// Without a meter the likeliest speeds and their simple relatives are each followed and brought to crank angle,
// where the lit firing orders and the lit orders between them are counted against chance; a tone that keeps time at
// a pulley's own order counts for a speed; and wherever the supposed firing would be the knocks of a bearing on
// some pulley, what shows of an engine at the speed that follows counts against it.
func FindCrank(r Recording, e Engine, pulleys []Pulley) (CrankSpeed, error) {
	if err := e.check(); err != nil {
		return CrankSpeed{}, err
	}
	x, err := usable(r)
	if err != nil {
		return CrankSpeed{}, err
	}
	from, to := slowestCrank, fastestCrank
	if e.Speed.Hz > 0 {
		from, to = e.Speed.Hz*(1-e.Speed.Tolerance), e.Speed.Hz*(1+e.Speed.Tolerance)
	}
	if err := longEnough(r.Seconds(), max(from, 10)); err != nil {
		return CrankSpeed{}, err
	}
	c := newComb(x, r.Rate, e, pulleys)
	out := c.best(from, to, e.Speed.Hz > 0)
	if e.Speed.Hz == 0 {
		out = newModes(x, r.Rate, e, pulleys).settle(c, out, from, to)
	}
	piece := Speed{out.Hz, 0.02}
	if e.Speed.Hz > 0 {
		piece.Tolerance = max(min(e.Speed.Tolerance, 0.03), 0.005)
	}
	out.Track = follow(x, r.Rate, piece, c.order)
	out.Hz = out.Track.Mean()
	out.SD = out.scatter(c.step)
	return out, nil
}

// scatter is the standard error of the mean of the track's steps about their trend, at least a tenth of a bin at
// the tenth order.
func (c CrankSpeed) scatter(step float64) float64 {
	hz := c.Track.Hz
	sq := 0.0
	for i := 1; i < len(hz); i++ {
		sq += (hz[i] - hz[i-1]) * (hz[i] - hz[i-1]) / 2
	}
	n := math.Max(float64(len(hz)-1), 1)
	return math.Sqrt(sq)/n + step/100
}

// comb is an averaged spectrum with the orders to look for in it.
type comb struct {
	step    float64
	e       []float64
	mean    float64 // of the evidence, by chance
	sd      float64
	order   []float64
	weight  []float64
	pulleys []Pulley
}

// newComb averages pieces of two seconds, of the sound itself and of the squared envelope of its upper band: what a
// small microphone does not hear as bass it hears as rattle in the same time.
func newComb(x []float64, rate float64, e Engine, pulleys []Pulley) comb {
	c := comb{pulleys: pulleys}
	c.order, c.weight = e.orders()
	top := c.order[len(c.order)-1] * fastestCrank
	var plain []float64
	plain, c.step = averaged(x, rate, top)
	src := newSource(x, rate)
	env := src.squaredEnvelope(Plain, Band{0.04 * rate, 0.35 * rate}, top)
	knocks, step := averaged(env, float64(len(env))/(float64(src.n)/rate), top)
	c.e = make([]float64, len(plain))
	sq := 0.0
	for k, v := range plain {
		v = 0.5*v + 0.5*at(knocks, float64(k)*c.step, step)
		c.e[k] = v
		v = min(v, 1.5) // other machines' lines are no part of chance
		c.mean += v
		sq += v * v
	}
	n := float64(len(c.e))
	c.mean /= n
	c.sd = math.Sqrt(max(sq/n-c.mean*c.mean, 0)) + 0.1
	return c
}

// averaged is the line evidence up to top [Hz] of the spectrum averaged over pieces, and its step.
func averaged(x []float64, rate, top float64) (e []float64, step float64) {
	size := shorter(min(int(enginePiece*rate), len(x)))
	step = rate / float64(size)
	p := make([]float64, min(int(top/step)+3, size/2+1))
	n := 0
	eachSegment(x, size, size/2, func(_ int, f []complex128) {
		for k := range p {
			p[k] += abs2(f[k])
		}
		n++
	})
	level := levelled(Spectrum{step, p}, 20)
	if n < 4 {
		return evidence(level, 4), step
	}
	return meanEvidence(level, step, 20, 4), step
}

// score is the weighted sum of what the orders show above the mean, over its standard deviation by chance.
func (c comb) score(hz float64) (score float64, lit int) {
	sum, sq := 0.0, 0.0
	for i, o := range c.order {
		v := at(c.e, o*hz, c.step)
		sum += c.weight[i] * (v - c.mean)
		sq += c.weight[i] * c.weight[i]
		if v > litAt {
			lit++
		}
	}
	for _, p := range c.pulleys {
		v := c.widest(p, hz)
		sum += v - 2*c.mean
		sq += 2
	}
	return sum / (c.sd * math.Sqrt(sq)), lit
}

// contrast is how far firing orders stand above the other orders, in standard deviations by chance. Whatever else a
// comb fits, at twice the speed the orders between firings are as loud as firing, and at half of it every second
// firing is missing.
func (c comb) contrast(hz float64) float64 {
	firing, other, nf, no := 0.0, 0.0, 0.0, 0.0
	for i, o := range c.order {
		v := at(c.e, o*hz, c.step)
		if c.weight[i] > 1 {
			firing, nf = firing+v, nf+1
		} else {
			other, no = other+v, no+1
		}
	}
	z := firing / nf / math.Sqrt(1/nf)
	if no > 0 {
		z = (firing/nf - other/no) / math.Sqrt(1/nf+1/no)
	}
	for _, p := range c.pulleys {
		z += (c.widest(p, hz) - 2*c.mean) / math.Sqrt(2+float64(len(c.pulleys)))
	}
	return z / c.sd
}

// widest is the strongest line within two standard deviations of a pulley's once-per-turn line.
func (c comb) widest(p Pulley, hz float64) float64 {
	f, d := p.Ratio*hz, 2*p.sd()*p.Ratio*hz
	best := 0.0
	for q := f - d; q <= f+d+c.step/2; q += c.step {
		best = max(best, at(c.e, q, c.step))
	}
	return best
}

// best crank speed in a range and its rival. A meter settles what a comb leaves open, so ratios of small numbers
// are rivals only where their firing stands out far better, and every order adds. Without one, firing orders are
// set against the others.
func (c comb) best(from, to float64, metered bool) CrankSpeed {
	score := c.contrast
	if metered {
		score = func(hz float64) float64 { s, _ := c.score(hz); return s }
	}
	out := CrankSpeed{Score: math.Inf(-1), Rival: math.Inf(-1)}
	d := c.step / (4 * c.order[len(c.order)-1])
	for f := from; f <= to; f += d {
		if s := score(f); s > out.Score {
			out.Score, out.Hz = s, f
		}
	}
	_, out.Lit = c.score(out.Hz)
	for f := max(min(from, 0.45*from), slowestCrank/2); f <= max(to, 2.2*to); f += d {
		if q := f / out.Hz; math.Abs(q-1) < 0.04 || metered && simple(q) {
			continue
		}
		if s := score(f); s > out.Rival {
			out.Rival, out.RivalHz = s, f
		}
	}
	out.Supported = out.Lit >= litOrders && out.Score >= leastCrank && out.Score > out.Rival &&
		!(metered && c.misread(out.Hz))
	return out
}

// misread reports whether firing stands out clearly better at a simple ratio of a speed, as when a meter was read
// for another number of cylinders or at another moment. On 36 simulated engines it was at most 1.25 times as clear
// elsewhere at the right speed, and more than 1.3 times in 177 of 180 wrong by a third or a half; a meter that
// reads double is found out in 22 of 36.
func (c comb) misread(hz float64) bool {
	own := c.contrastNear(hz)
	for _, q := range kin {
		if f := q * hz; f >= slowestCrank && f <= fastestCrank && c.contrastNear(f) > misreadOver*own {
			return true
		}
	}
	return false
}

// contrastNear is the best contrast within 0.3 % of a speed, at least a little above none.
func (c comb) contrastNear(hz float64) float64 {
	best := 0.1
	for f := 0.997 * hz; f <= 1.003*hz; f += 0.0003 * hz {
		best = max(best, c.contrast(f))
	}
	return best
}

// simple reports whether a ratio is within 2 % of one of numbers up to 4.
func simple(q float64) bool {
	for a := 1.0; a <= 4; a++ {
		for b := 1.0; b <= 4; b++ {
			if math.Abs(q*b/a-1) < 0.02 {
				return true
			}
		}
	}
	return false
}
