package listen

import (
	"math"
	"slices"
	"sync"
	"sync/atomic"
)

// Slip is how far a comb may lie from the kinematic rate (relative). Measured offsets on public test rigs reach 1.1 %.
const (
	slip      = 0.012
	slipStep  = 0.0004
	members   = 3   // harmonics that make a family
	litAt     = 0.6 // evidence from which a member counts as lit
	falseOnes = 120 // false families tried on every recording
)

// views are the ways a recording is looked at for envelope lines, and what each counts.
var viewWeights = [...]float64{0.34, 0.22, 0.22, 0.22}

// wholeViews are the first views, those of the whole band.
const wholeViews = 2

// sheet is the line evidence of the envelope of one recording at one speed.
type sheet struct {
	step  float64 // Hz per bin
	hz    float64 // shaft
	all   []float64
	views [][]float64 // cepstral, prediction, many narrow bands, many wide bands
	bands [][]float64 // envelope spectra of the many narrow bands: a swing of A over the mean gives A^2/4
}

// newSheet looks at the recording in four ways: the whole band pre-whitened by cepstrum and by linear
// prediction, and the mean over half-overlapping bands of two widths, each levelled for itself. The last two add
// power and not amplitude, so they hold when the carriers disagree in phase and when noise is strong.
func newSheet(s *source, hz, topOrder float64, notch []float64) *sheet {
	return newSheetAt(s, hz, topOrder*hz, 0.4*hz, notch...)
}

// newSheetAt is newSheet with lines up to top [Hz] and the width of the running medians [Hz] given.
func newSheetAt(s *source, hz, top, width float64, notch ...float64) *sheet {
	out := &sheet{step: s.step(), hz: hz, views: make([][]float64, len(viewWeights))}
	whole := Band{0.01 * s.rate, min(0.49*s.rate, 12000)}
	base := max(1000, 1.1*top/2)
	widths := [...]float64{base, 2 * base}
	var narrow [len(widths)][]*look
	looks := []func(*source){func(s *source) { // the longest first
		a, b := s.envelopes(Cepstral, Prediction, whole, min(top, 0.9*(whole.To-whole.From)))
		out.views[0], out.views[1] = evidence(levelled(a, width), evidenceCap),
			evidence(levelled(b, width), evidenceCap)
	}}
	for i := len(widths) - 1; i >= 0; i-- {
		for a := lowestBand; a+widths[i] <= whole.To; a += widths[i] / 2 {
			l := &look{band: Band{a, a + widths[i]}}
			narrow[i] = append(narrow[i], l)
			looks = append(looks, func(s *source) { l.at(s, min(top, widths[i]), width) })
		}
	}
	s.shared(looks)
	for i, each := range narrow {
		if len(each) < 2 {
			continue
		}
		out.views[wholeViews+i] = meanEvidence(meanOf(each), s.step(), width, evidenceCap)
		for _, l := range each {
			if i == 0 {
				out.bands = append(out.bands, l.power)
			}
		}
	}
	mask := out.shaftMask(len(out.views[0]), notch)
	sum := 0.0
	out.all = make([]float64, len(mask))
	for v, e := range out.views {
		if e == nil {
			continue
		}
		for i := range min(len(e), len(mask)) {
			if mask[i] {
				e[i] = 0
			}
			out.all[i] += viewWeights[v] * e[i]
		}
		sum += viewWeights[v]
	}
	for i := range out.all {
		out.all[i] /= sum
	}
	return out
}

// tried half orders of a loose machine and how many of them make it one.
const (
	triedHalves = 8
	litHalves   = 4
)

// loosened strikes out the odd half orders of the shaft where they are lit: something loose rattles at half the
// speed, and some bearings' lines lie within slip of it.
func (t *sheet) loosened() *sheet {
	lit := 0
	for k := 0.5; k < triedHalves; k++ {
		if at(t.all, k*t.hz, t.step) > litAt {
			lit++
		}
	}
	if lit < litHalves {
		return t
	}
	for k := 0.5; k*t.hz < float64(len(t.all))*t.step; k++ {
		c, w := int(math.Round(k*t.hz/t.step)), 4+int(0.001*k*t.hz/t.step)
		for _, e := range append([][]float64{t.all}, t.views...) {
			for i := max(c-w, 0); i <= min(c+w, len(e)-1); i++ {
				e[i] = 0
			}
		}
	}
	return t
}

// lowestBand is where the lowest of the many bands begins [Hz].
const lowestBand = 100.0

// look is one of the many half-overlapping bands: the spectrum of its envelope, and that levelled.
type look struct {
	band            Band
	power, levelled []float64
}

// at looks at a band of s up to top, with medians of the given width [Hz].
func (l *look) at(s *source, top, width float64) {
	p := s.envelope(Plain, l.band, top)
	l.power, l.levelled = p.Power, levelled(p, width)
}

// meanOf is the mean of the levelled spectra.
func meanOf(all []*look) []float64 {
	mean := make([]float64, len(all[0].levelled))
	for _, l := range all {
		for i := range mean {
			mean[i] += l.levelled[i]
		}
	}
	for i := range mean {
		mean[i] /= float64(len(all))
	}
	return mean
}

// shared has the looks taken in their order, two at a time, each of the two with plans and buffers of its own.
func (s *source) shared(looks []func(*source)) {
	var next atomic.Int32
	var wait sync.WaitGroup
	for range 2 {
		wait.Go(func() {
			own := s.twin()
			for i := int(next.Add(1)); i <= len(looks); i = int(next.Add(1)) {
				looks[i-1](own)
			}
		})
	}
	wait.Wait()
}

// shaftMask marks the bins within four of a shaft harmonic, or as far as a speed wandering by 0.1 % spreads it, and
// within one of a multiple of a notched frequency.
func (t *sheet) shaftMask(n int, notch []float64) []bool {
	m := make([]bool, n)
	mark := func(hz float64, by int, smear float64) {
		for k := hz; k < float64(n)*t.step; k += hz {
			c := int(math.Round(k / t.step))
			w := by + int(smear*k/t.step)
			for i := max(c-w, 0); i <= min(c+w, n-1); i++ {
				m[i] = true
			}
		}
	}
	mark(t.hz, 4, 0.001)
	for _, f := range notch {
		mark(f, 1, 0)
	}
	return m
}

// match is how well a family fits a sheet at its best common offset.
type match struct {
	family family
	score  float64 // mean evidence [nats]
	offset float64 // relative to the kinematic rate
	lit    int     // members lit, of three
	main   float64 // mean evidence of the members alone
	cage   bool    // of a ring: a weaker comb at the cage rate goes with it, from balls that are not all alike
}

// fit scores a family on evidence e. Side lines may add to the members' mean, never replace it.
func (t *sheet) fit(e []float64, f family) match {
	best := match{family: f, score: -1}
	for d := -slip; d <= slip+1e-9; d += slipStep {
		m := t.fitAt(e, f, d)
		if m.score > best.score {
			best = m
		}
	}
	return best
}

func (t *sheet) fitAt(e []float64, f family, d float64) match {
	m := match{family: f, offset: d}
	base := f.base * t.hz * (1 + d)
	side := f.side * t.hz
	pairs := 2.0
	if f.side > 0 && f.side != 1 { // the cage slips with the balls, the shaft does not
		side *= 1 + d
		pairs = 1
	}
	sides := 0.0
	for k := 1.0; k <= members; k++ {
		v := at(e, k*base, t.step)
		m.main += v / members
		if v > litAt {
			m.lit++
		}
		for p := 1.0; p <= pairs && f.side > 0; p++ {
			sides += at(e, k*base-p*side, t.step) + at(e, k*base+p*side, t.step)
		}
	}
	m.score = m.main
	if f.side > 0 {
		m.score = 0.8*m.main + 0.3*sides/(members*2*pairs)
	}
	return m
}

// lines that a match explains: its multiples, their side lines to the third, what folds back about the shaft
// harmonics (n fr - k Outer = k Inner), and odd halves.
func (t *sheet) lines(m match, top float64) []float64 {
	f := m.family
	base := f.base * t.hz * (1 + m.offset)
	cage := f.rate * t.hz * (1 + m.offset)
	side := t.hz
	if f.side > 0 && f.side != 1 {
		side = cage
	}
	var out []float64
	for k := 1.0; k <= 12 && (k-3)*base < top+3*side; k++ {
		for q := -3.0; q <= 3; q++ {
			out = append(out, k*base+q*side)
		}
		switch {
		case f.element != RollingOrCage:
			out = append(out, math.Abs(f.balls*k*t.hz-k*base), (k-0.5)*base)
			if m.cage {
				out = append(out, k*cage, k*cage-t.hz, k*cage+t.hz)
			}
		case !f.cage:
			out = append(out, k*cage, (k-0.5)*base, k*(t.hz-cage))
		default:
			out = append(out, k*(t.hz-cage))
		}
	}
	return out
}

// without is the evidence after a match has taken the lines it explains.
func (t *sheet) without(m match) []float64 {
	e := slices.Clone(t.all)
	for _, hz := range t.lines(m, float64(len(e))*t.step) {
		c := int(math.Round(hz / t.step))
		for i := max(c-3, 0); i <= min(c+3, len(e)-1); i++ {
			e[i] = 0
		}
	}
	return e
}

// falseLevel is the second-highest score among families of the same build at rates that belong to nothing, so that the
// recording itself says what chance and foreign combs reach. Rates near small ratios of the candidates' are left out.
func (t *sheet) falseLevel(e []float64, like family, all []family) float64 {
	lo, hi := math.Inf(1), 0.0
	for _, f := range all {
		if f.element != RollingOrCage {
			lo, hi = min(lo, f.base), max(hi, f.base)
		}
	}
	lo, hi = lo*0.5, hi*1.5
	if like.cage {
		lo, hi = 0.25, 0.9
	}
	first, second := 0.0, 0.0
	for i, n := 1.0, 0; n < falseOnes && i < 20*falseOnes; i++ {
		f := like
		f.base = lo + (hi-lo)*frac(i*(math.Sqrt(5)-1)/2)
		if f.side > 0 && f.side != 1 {
			f.side = 0.33 + 0.13*frac(i*math.Sqrt2)
		}
		if related(f.base, all) {
			continue
		}
		n++
		if s := t.fit(e, f).score; s > first {
			first, second = s, first
		} else {
			second = max(second, s)
		}
	}
	return second
}

func frac(x float64) float64 { return x - math.Floor(x) }

// related reports whether an order is within 2.5 % of a ratio of 1, 2 or 3 of the shaft or of a family.
func related(order float64, all []family) bool {
	near := func(base float64) bool {
		for a := 1.0; a <= 3; a++ {
			for b := 1.0; b <= 3; b++ {
				if math.Abs(order*a/(base*b)-1) < 0.025 {
					return true
				}
			}
		}
		return false
	}
	return near(1) || slices.ContainsFunc(all, func(f family) bool { return near(f.base) })
}

// halfLines is the mean evidence at the odd halves of a match: if they are lit too, the comb's base is half as high.
func (t *sheet) halfLines(m match) float64 {
	s := 0.0
	base := m.family.base * t.hz * (1 + m.offset)
	for k := 0.5; k < members; k++ {
		v := 0.0
		for d := -1.0; d <= 1; d++ {
			v = max(v, at(t.all, k*base+d*t.step, t.step))
		}
		s += v / members
	}
	return s
}
