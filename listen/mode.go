package listen

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// What is asked of a crank speed looked for without a meter.
const (
	modeTop     = 500.0 // Hz up to which the engine's lines are counted
	modePeaks   = 10    // speeds tried, besides their simple relatives
	modeKin     = 4     // of the best of them
	modeTol     = 0.02
	modeStruck  = 0.004
	modeSmear   = 0.0007 // of a line's frequency, what following leaves
	controls    = 400    // places that say how often chance lights a line
	leastShare  = 0.02
	mostApart   = 10.0
	toneGain    = 8.0  // nats for a tone that keeps time at a pulley's own order
	behindPrice = 3.0  // nats, the logarithm of how many bearings' rates there are to choose from
	modeBlock   = 30.0 // Hz, a likely firing rate
)

// kin are the ratios at which a comb is mistaken for another.
var kin = [...]float64{1. / 4, 1. / 3, 1. / 2, 2. / 3, 3. / 4, 4. / 3, 3. / 2, 2, 3, 4}

// mode is a crank speed and how well a recording at its angle fits an engine.
type mode struct {
	hz     float64
	gain   float64 // log likelihood ratio against chance [nats]
	firing float64 // what of it firing alone gives
	track  Track
}

// modes is a recording as far as modes need it: the sound and the squared envelope of its upper band, both cut to
// low frequencies.
type modes struct {
	engine  Engine
	pulleys []Pulley
	heard   [2][]float64
	rate    [2]float64
	cells   [][]toneHit // of tones
}

func newModes(x []float64, rate float64, e Engine, pulleys []Pulley) *modes {
	m := &modes{engine: e, pulleys: pulleys}
	m.heard[0], m.rate[0] = lowered(x, rate, 2.5*modeTop)
	src := newSource(x, rate)
	env := src.squaredEnvelope(Plain, Band{0.04 * rate, 0.35 * rate}, 2.5*modeTop)
	m.heard[1], m.rate[1] = lowered(env, float64(len(env))/(float64(src.n)/rate), 2.5*modeTop)
	m.cells, _ = toneCells(x, rate, modeBlock)
	return m
}

// lowered is a signal without what lies above top [Hz], at a rate of about twice that.
func lowered(x []float64, rate, top float64) ([]float64, float64) {
	n := shorter(len(x))
	k := min(int(top*float64(n)/rate), n/2-1)
	c := slices.Clone(transform(x[:n])[:k+1])
	c[0], c[k] = 0, 0
	out := fourier.NewFFT(2*k).Sequence(nil, c)
	for i := range out {
		out[i] /= float64(n)
	}
	return out, rate * float64(2*k) / float64(n)
}

// follow is the speed near a candidate through the recording, by both signals at once.
func (m *modes) follow(sp Speed, orders []float64) Track {
	var sum [][]float64
	var t Track
	for i, x := range m.heard {
		size := shorter(min(int(max(trackWindow, 30/sp.Hz)*m.rate[i]), len(x)))
		rows, times := pieces(x, m.rate[i], size, sp, orders)
		if sum == nil {
			sum, t.Times = rows, times
			continue
		}
		for j := range min(len(rows), len(sum)) {
			for k := range rows[j] {
				sum[j][k] += rows[j][k]
			}
		}
	}
	step := 2 * sp.Tolerance * sp.Hz / (trackSpeeds - 1)
	jump := max(int(math.Ceil(0.015*sp.Hz/max(step, 1e-9))), 1)
	for _, j := range bestPath(sum, min(jump, trackSpeeds)) {
		t.Hz = append(t.Hz, sp.Hz*(1-sp.Tolerance)+float64(j)*step)
	}
	t.Hz = smoothed(t.Hz)
	return t
}

// at judges a speed: followed and brought to crank angle, how many firing orders and how many of the orders between
// are lit against how often chance lights any place, each share by its binomial likelihood ratio; and how far
// firing stands above the orders between, for cylinders are more alike than not. Lines at multiples of struck [Hz;
// 0: none] are left out of all.
func (m *modes) at(hz, struck float64) mode {
	var orders []float64
	for o := m.half(); o*hz < modeTop; o += m.half() {
		orders = append(orders, o)
	}
	out := mode{track: m.follow(Speed{hz, modeTol}, orders)}
	out.hz = out.track.Mean()
	counted := func(f float64) bool {
		return struck == 0 || math.Abs(f-struck*math.Round(f/struck)) >= modeStruck*f+1
	}
	for _, line := range m.atAngle(out.track) {
		firing, between := m.weigh(out.hz, orders, line, counted)
		out.firing += firing
		out.gain += firing + between
	}
	if m.sung(out.track) {
		out.gain += toneGain
	}
	return out
}

// half is the order of the slowest thing an engine repeats.
func (m *modes) half() float64 {
	if m.engine.TwoStroke {
		return 1
	}
	return 0.5
}

// weigh gives what firing and what the orders between say for a speed, from one of the two signals.
func (m *modes) weigh(hz float64, orders []float64, line func(hz float64) float64,
	counted func(hz float64) bool) (firing, between float64) {
	chance, n := 0.0, 0.0
	for i := 1.0; i <= controls; i++ {
		f := modeTop * (0.03 + 0.97*frac(i*(math.Sqrt(5)-1)/2))
		if o := f / (m.half() * hz); math.Abs(o-math.Round(o)) < 0.2 || !counted(f) {
			continue
		}
		if line(f) > litAt {
			chance++
		}
		n++
	}
	chance = max(chance/max(n, 1), leastShare)
	var hits [2]float64
	var level [2][]float64
	for _, o := range orders {
		if !counted(o * hz) {
			continue
		}
		i := 1
		if r := o / m.engine.Firing(); r == math.Trunc(r) {
			i = 0
		}
		v := line(o * hz)
		if v > litAt {
			hits[i]++
		}
		level[i] = append(level[i], v)
	}
	firing = binomialGain(hits[0], float64(len(level[0])), chance)
	if z := meansApart(level[0], level[1]); z > 0 {
		firing += min(z*z/2, mostApart)
	}
	return firing, binomialGain(hits[1], float64(len(level[1])), chance)
}

// sung reports whether a tone keeps time with a track at an order that a pulley is known to sing at.
func (m *modes) sung(t Track) bool {
	return slices.ContainsFunc(m.cells, func(c []toneHit) bool {
		hz, order := alongTrack(c, t)
		return len(singers(m.pulleys, median(order))) > 0 && scatterOf(order) < max(scatterOf(hz), lockedSD)
	})
}

// meansApart is the difference of two means in standard errors, 0 where there are too few.
func meansApart(a, b []float64) float64 {
	if len(a) < 2 || len(b) < 2 {
		return 0
	}
	ma, mb, sq := mean(a), mean(b), 0.0
	for _, v := range a {
		sq += (v - ma) * (v - ma)
	}
	for _, v := range b {
		sq += (v - mb) * (v - mb)
	}
	na, nb := float64(len(a)), float64(len(b))
	sd := math.Sqrt(sq/(na+nb-2)) + 0.1
	return (ma - mb) / (sd * math.Sqrt(1/na+1/nb))
}

// binomialGain is the log likelihood ratio of a share of lit places against chance; none for a share below it.
func binomialGain(hits, n, chance float64) float64 {
	p := hits / max(n, 1)
	if p <= chance {
		return 0
	}
	out := hits * math.Log(p/chance)
	if p < 1 {
		out += (n - hits) * math.Log((1-p)/(1-chance))
	}
	return out
}

// atAngle tells of a frequency, in a recording brought to crank angle, whether a line is lit there, and its
// evidence, in the sound and in its envelope: the means of the two.
func (m *modes) atAngle(t Track) (out [2]func(hz float64) float64) {
	var e [2][]float64
	var step [2]float64
	for i, x := range m.heard {
		perTurn := math.Ceil(m.rate[i] / slices.Min(t.Hz))
		a := byAngle(x, m.rate[i], t, perTurn)
		a = a[:shorter(len(a))]
		step[i] = perTurn * t.Mean() / float64(len(a))
		c := transform(a)
		e[i] = evidence(levelled(Spectrum{step[i], windowed(c, min(int(1.1*modeTop/step[i]), len(c)-1))},
			12), evidenceCap)
	}
	for i := range e {
		out[i] = func(hz float64) float64 {
			w, top := modeSmear*hz, 0.0
			for f := hz - w; f <= hz+w+step[i]/2; f += step[i] {
				top = max(top, at(e[i], f, step[i]))
			}
			return top
		}
	}
	return out
}

// best are the modes tried, most likely first.
func (m *modes) best(c comb, from, to float64) []mode {
	var out []mode
	try := func(hz float64) {
		if hz < from || hz > to || slices.ContainsFunc(out, func(o mode) bool {
			return math.Abs(hz/o.hz-1) < modeTol/2
		}) {
			return
		}
		out = append(out, m.at(hz, 0))
	}
	for i, hz := range c.peaks(from, to, modePeaks) {
		try(hz)
		if i < modeKin {
			for _, q := range kin {
				try(q * hz)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b mode) int { return cmp.Compare(b.gain, a.gain) })
	return out
}

// settle takes the likeliest speed, and sets it against the others and against those at which it would be a
// bearing. It is supported if none comes near and the contrast of firing, which is another way of looking, finds it
// first too.
func (m *modes) settle(c comb, byContrast CrankSpeed, from, to float64) CrankSpeed {
	all := m.best(c, from, to)
	first := all[0]
	out := CrankSpeed{Hz: first.hz, Score: first.gain}
	for _, o := range append(all[1:], m.behind(first, from, to)...) {
		if math.Abs(o.hz/first.hz-1) >= 0.04 && o.gain > out.Rival {
			out.Rival, out.RivalHz = o.gain, o.hz
		}
	}
	_, out.Lit = c.score(first.hz)
	agree := math.Abs(byContrast.Hz/first.hz-1) < aloneAgree
	out.Supported = agree && out.Lit >= litOrders && out.Score >= leastCrank && out.Score > out.Rival+aloneOver
	return out
}

// behind are the speeds at which the firing of a mode would be a bearing's knocks: what else shows of an engine
// there counts together with them.
func (m *modes) behind(b mode, from, to float64) []mode {
	comb := m.engine.Firing() * b.hz
	var out []mode
	for _, p := range m.pulleys {
		for _, q := range p.bearings() {
			fams, err := families(0, q)
			if err != nil {
				continue
			}
			for _, f := range fams[:3] {
				hz := comb / (p.Ratio * f.base)
				if hz < from || hz > to || math.Abs(hz/b.hz-1) < 0.04 || slices.ContainsFunc(out, func(o mode) bool {
					return math.Abs(hz/o.hz-1) < modeTol/2
				}) {
					continue
				}
				k := m.at(hz, comb)
				k.gain += b.firing - behindPrice
				out = append(out, k)
			}
		}
	}
	return out
}

// peaks are the speeds of highest contrast, at least 3 % apart.
func (c comb) peaks(from, to float64, n int) []float64 {
	type peak struct{ hz, v float64 }
	var all []peak
	d := c.step / (4 * c.order[len(c.order)-1])
	for f := from; f <= to; f += d {
		all = append(all, peak{f, c.contrast(f)})
	}
	slices.SortStableFunc(all, func(a, b peak) int { return cmp.Compare(b.v, a.v) })
	var out []float64
	for _, p := range all {
		if len(out) == n {
			break
		}
		if !slices.ContainsFunc(out, func(hz float64) bool { return math.Abs(p.hz/hz-1) < 0.03 }) {
			out = append(out, p.hz)
		}
	}
	return out
}
