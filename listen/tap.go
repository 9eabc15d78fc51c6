package listen

import (
	"math"
	"slices"
)

// Span is a belt span at rest.
type Span struct {
	Length   float64 // free length between tangent points [m]
	Mass     float64 // of the belt [kg/m]
	LengthSD float64 // relative; 0 stands for 2 %
	MassSD   float64 // relative; 0 stands for 5 %
}

func (s Span) check() error {
	if !(s.Length > 0.02) || s.Length > 5 || !(s.Mass > 0.005) || s.Mass > 5 ||
		!(s.LengthSD >= 0 && s.LengthSD <= 0.5 && s.MassSD >= 0 && s.MassSD <= 0.5) {
		return wrap(ErrInput, "span", figure("length", s.Length, "m"), figure("mass", s.Mass, "kg/m"))
	}
	return nil
}

// Tension of a span that sounds at hz [N]: 4 m L^2 f^2, the string of the textbooks. A belt's stiffness raises the
// tone, so on spans shorter than some 20 belt thicknesses it comes out too high. The belt must be at rest.
func (s Span) Tension(hz float64) float64 { return 4 * s.Mass * s.Length * s.Length * hz * hz }

// Pluck is one tap on a span.
type Pluck struct {
	At     float64 // s
	Hz     float64 // fundamental
	Height float64 // of its line over the background [dB]
}

// What is doubtful about taps (Tap.Doubt).
const (
	NoPluck    Code = "no pluck"    // none was found
	OctaveAway Code = "octave away" // one pluck sounded an octave away from the others
	FewAgree   Code = "few agree"   // fewer than three within 3 %
	LowTone    Code = "low tone"    // below 50 Hz, which a small microphone hardly hears
)

// Tap is what a recording of taps on one span tells.
type Tap struct {
	Plucks     []Pluck
	Hz         float64 // median of the plucks
	Spread     float64 // range of the plucks over their median
	Repeatable bool    // three plucks or more within 3 %
	Tension    float64 // N, if a span was given
	TensionSD  float64 // N: frequency, length and mass in quadrature
	// Other readings of the same sound an octave away, with their tensions: a quarter and four times.
	LowHz, HighHz           float64
	LowTension, HighTension float64
	Ambiguous               bool // an octave could not be ruled out: Doubt says why
	Doubt                   Code // NoPluck, OctaveAway, FewAgree, LowTone or ""
	Warnings                []Warning
}

const (
	tapFrom, tapTo = 15.0, 400.0 // Hz
	tapGap         = 0.35        // s between plucks
	tapWait        = 0.03        // s after the onset
	tapLength      = 0.8         // s looked at
	tapSpread      = 0.03
	tapHeight      = 8.0 // dB
)

// TappedSpan finds the tone of a span that was tapped or plucked, engine off: three times or more, a second apart.
// Each onset is followed for up to 0.8 s; the fundamental is the one whose harmonics gather most, halves and
// doubles being tried. span may be nil. The error is ErrTooShort, ErrSilent or ErrInput; without a single pluck the
// answer has none and Doubt says so.
func TappedSpan(r Recording, span *Span) (Tap, error) {
	if span != nil {
		if err := span.check(); err != nil {
			return Tap{}, err
		}
	}
	warnings, err := r.Check()
	if err != nil {
		return Tap{}, err
	}
	if r.Seconds() < 0.5 {
		return Tap{}, wrap(ErrTooShort, "short for a pluck", figure("lasts", r.Seconds(), "s"))
	}
	x := r.Mono()
	out := Tap{Warnings: warnings}
	starts := onsets(x, r.Rate)
	for i, s := range starts {
		end := len(x)
		if i+1 < len(starts) {
			end = starts[i+1]
		}
		a := min(s+int(tapWait*r.Rate), end)
		b := min(a+int(tapLength*r.Rate), end)
		if p, ok := pluck(x[a:b], r.Rate); ok {
			p.At = float64(s) / r.Rate
			out.Plucks = append(out.Plucks, p)
		}
	}
	out.conclude(span)
	return out, nil
}

// onsets are the samples at which the level of 10 ms rises to four times that of the 100 ms before and to a tenth
// of the highest.
func onsets(x []float64, rate float64) []int {
	step := int(0.01 * rate)
	level := make([]float64, len(x)/step)
	for i := range level {
		for _, v := range x[i*step : (i+1)*step] {
			level[i] += v * v
		}
	}
	top := slices.Max(level)
	var out []int
	for i, v := range level {
		before := median(level[max(i-10, 0):max(i, 1)])
		if i == 0 {
			before = top
		}
		if v > 4*before && v > 0.1*top && (len(out) == 0 || float64(i*step-out[len(out)-1]) > tapGap*rate) {
			out = append(out, i*step)
		}
	}
	return out
}

// pluck is the fundamental of one decaying tone.
func pluck(x []float64, rate float64) (Pluck, bool) {
	if float64(len(x)) < 0.2*rate {
		return Pluck{}, false
	}
	s := padded(x, rate)
	level := levelled(s, 60)
	sp := Spectrum{Step: s.Step, Power: level}
	best, top := 0.0, 0.0
	for k := int(tapFrom / s.Step); k <= int(tapTo/s.Step) && k+1 < len(level); k++ {
		if level[k] < level[k-1] || level[k] < level[k+1] {
			continue
		}
		f := (float64(k) + sp.vertex(k)) * s.Step
		if v := sp.harmonicity(f); v > top {
			best, top = f, v
		}
	}
	height := 10 * math.Log10(max(peakNear(level, best, s.Step), 1e-9))
	if best == 0 || height < tapHeight || !decays(x) {
		return Pluck{}, false
	}
	return Pluck{Hz: best, Height: height}, true
}

// padded is a spectrum of a Hann window falling from its middle, padded four times over for a fine grid.
func padded(x []float64, rate float64) Spectrum {
	n := longer(4 * len(x))
	w := hann(2 * len(x))[len(x):]
	buf := make([]float64, n)
	copy(buf, x)
	centre(buf[:len(x)])
	for i := range x {
		buf[i] *= w[i]
	}
	c := transform(buf)
	step := rate / float64(n)
	p := make([]float64, min(int(4*tapTo/step), len(c)))
	for k := range p {
		p[k] = abs2(c[k])
	}
	return Spectrum{Step: step, Power: p}
}

// harmonicity sums the logs at a fundamental and its next three multiples and takes off what stands half-way
// between, so that neither half nor double of the fundamental wins.
func (s Spectrum) harmonicity(f float64) float64 {
	sum := 0.0
	for h, w := range [...]float64{1, 0.7, 0.5, 0.35} {
		sum += w * logPower(s.Power, float64(h+1)*f, s.Step)
		sum -= 0.5 * w * logPower(s.Power, (float64(h)+0.5)*f, s.Step)
	}
	return sum
}

func logPower(p []float64, hz, step float64) float64 {
	return min(max(math.Log(max(peakNear(p, hz, step), 1e-9)), 0), 7)
}

// peakNear is the highest of the bins within 1.5 %, at least two, of a frequency.
func peakNear(p []float64, hz, step float64) float64 {
	c, w := int(math.Round(hz/step)), max(int(0.015*hz/step), 2)
	v := 0.0
	for i := max(c-w, 0); i <= min(c+w, len(p)-1); i++ {
		v = max(v, p[i])
	}
	return v
}

// decays reports whether the second half is at least 3 dB below the first.
func decays(x []float64) bool {
	a, b := 0.0, 0.0
	for i, v := range x {
		if i < len(x)/2 {
			a += v * v
		} else {
			b += v * v
		}
	}
	return a > 2*b
}

func (t *Tap) conclude(span *Span) {
	if len(t.Plucks) == 0 {
		t.Doubt = NoPluck
		return
	}
	hz := make([]float64, len(t.Plucks))
	for i, p := range t.Plucks {
		hz[i] = p.Hz
	}
	t.Hz = median(hz)
	for i, f := range hz { // one pluck caught at its octave
		for _, q := range [...]float64{0.5, 2} {
			if math.Abs(f*q/t.Hz-1) < tapSpread {
				hz[i], t.Ambiguous = f*q, true
				t.Doubt = OctaveAway
			}
		}
	}
	t.Spread = spread(hz) / t.Hz
	t.Repeatable = len(hz) >= 3 && t.Spread <= tapSpread
	if !t.Repeatable && t.Doubt == "" {
		t.Doubt = FewAgree
	}
	if t.Hz < 50 {
		t.Ambiguous = true
		t.Doubt = LowTone
	}
	t.LowHz, t.HighHz = t.Hz/2, t.Hz*2
	if span == nil {
		return
	}
	t.Tension, t.LowTension, t.HighTension = span.Tension(t.Hz), span.Tension(t.LowHz), span.Tension(t.HighHz)
	df := max(t.Spread/2, 0.005)
	t.TensionSD = t.Tension * math.Sqrt(4*df*df+4*sq(or(span.LengthSD, 0.02))+sq(or(span.MassSD, 0.05)))
}

func sq(x float64) float64 { return x * x }

func or(x, unset float64) float64 {
	if x == 0 {
		return unset
	}
	return x
}
