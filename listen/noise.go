package listen

import (
	"math"
	"slices"
)

// Sort of belt noise.
type Sort int

// The sorts.
const (
	NoSort   Sort = iota // nothing stands out in the band
	Chirp                // short bursts that repeat with a turn of something
	Squeal               // sustained, with a tone that stays
	Whine                // a steady tone, soft against the rest; see Rank for what turns so
	Rumble               // sustained and broad, no tone and no beat
	Unsorted             // something stands out but fits none of these
)

// String names the sort.
func (s Sort) String() string {
	switch s {
	case Chirp:
		return "chirp"
	case Squeal:
		return "squeal"
	case Whine:
		return "whine"
	case Rumble:
		return "rumble"
	case Unsorted:
		return "unsorted"
	}
	return "none"
}

// Beat is something that turns, for a chirp to be compared with: its name and its turns per second.
type Beat struct {
	Name string
	Hz   float64
}

// NoiseSort is what a noise is like.
type NoiseSort struct {
	Sort     Sort
	Duty     float64  // share of time in which the band is 6 dB above its quiet level
	Kurtosis float64  // of the band's level through time; 3 for a normal variable
	Periodic float64  // highest autocorrelation of the level at a lag, 0 to 1
	Rate     float64  // bursts per second, 0 if not periodic
	Tone     float64  // Hz of the tone that stays, 0 if none
	Matches  []string // beats within 1 % of the rate; none or several: unclear
	Warnings []Warning
}

// Thresholds proposed for belts; no belt recording was at hand to test them.
const (
	beltFrom, beltTo = 2000.0, 12000.0
	levelStep        = 0.010 // s
	squealDuty       = 0.6
	squealKurtosis   = 4.0
	chirpDuty        = 0.4
	chirpPeriodic    = 0.3
	toneLevel        = 10.0 // dB over the running median
	toneStays        = 0.6  // of the frames
	beatMatch        = 0.01
)

// SortNoise tells chirp, squeal, whine and rumble apart from the level of 2 to 12 kHz through time in steps of 10
// ms and from the tones that stay. The thresholds are proposals: duty above 0.6 with a flat level and a tone that
// stays is a squeal; duty below 0.4 with a level that repeats is a chirp, and its rate is compared with the beats
// and with half of them. Quiet level is the tenth percentile, so a noise that never stops for a moment shows by its
// tone only. At least 3 s are needed, 10 s for a belt's own turns.
func SortNoise(r Recording, beats []Beat) (NoiseSort, error) {
	for _, b := range beats {
		if !(b.Hz > 0) || math.IsInf(b.Hz, 0) {
			return NoiseSort{}, wrap(ErrInput, "beat", called("beat", b.Name), figure("at", b.Hz, "Hz"))
		}
	}
	warnings, err := r.Check()
	if err != nil {
		return NoiseSort{}, err
	}
	if r.Seconds() < 3 {
		return NoiseSort{}, wrap(ErrTooShort, "short to sort", figure("lasts", r.Seconds(), "s"))
	}
	if r.Rate < 2.5*beltFrom {
		return NoiseSort{}, wrap(ErrInput, "coarse to sort", figure("rate", r.Rate, ""), figure("half", r.Rate/2, "Hz"),
			figure("least", 2.5*beltFrom, ""))
	}
	x := r.mix()
	out := NoiseSort{Warnings: warnings}
	level := bandLevel(newSource(x, r.Rate), r.Rate)
	out.Duty, out.Kurtosis = dutyOf(level), kurtosis(level)
	out.Rate, out.Periodic = beatOf(level)
	out.Tone = stayingTone(x, r.Rate)
	out.sort(moves(level))
	if out.Sort == Chirp {
		out.Matches = matching(out.Rate, beats)
	} else {
		out.Rate = 0
	}
	return out, nil
}

// moves reports whether the level moves at all: bursts or swells of 6 dB.
func moves(level []float64) bool { return dutyOf(level) > 0.02 }

func (n *NoiseSort) sort(moves bool) {
	switch {
	case n.Duty < chirpDuty && n.Periodic > chirpPeriodic && moves:
		n.Sort = Chirp
	case n.Tone > 0 && n.Duty > squealDuty && n.Kurtosis < squealKurtosis:
		n.Sort = Squeal
	case n.Tone >= beltFrom && !moves:
		n.Sort = Squeal
	case n.Tone > 0:
		n.Sort = Whine
	case n.Duty > squealDuty && n.Kurtosis < squealKurtosis:
		n.Sort = Rumble
	case moves:
		n.Sort = Unsorted
	}
}

// bandLevel is the mean power of the band in steps of 10 ms.
func bandLevel(s *source, rate float64) []float64 {
	to := min(beltTo, 0.49*rate)
	e := s.squaredEnvelope(Plain, Band{beltFrom, to}, to-beltFrom)
	per := float64(len(e)) / (float64(s.n) / rate) * levelStep
	out := make([]float64, int(float64(len(e))/per))
	for i := range out {
		a, b := int(float64(i)*per), int(float64(i+1)*per)
		out[i] = mean(e[a:b]) + 1
	}
	return out
}

// dutyOf is the share of steps 6 dB above the tenth percentile.
func dutyOf(level []float64) float64 {
	s := slices.Clone(level)
	slices.Sort(s)
	quiet := s[len(s)/10] * 4
	n := 0
	for _, v := range level {
		if v > quiet {
			n++
		}
	}
	return float64(n) / float64(len(level))
}

func kurtosis(x []float64) float64 {
	m := mean(x)
	v2, v4 := 0.0, 0.0
	for _, v := range x {
		d := (v - m) * (v - m)
		v2 += d
		v4 += d * d
	}
	if v2 == 0 {
		return 0
	}
	return v4 * float64(len(x)) / (v2 * v2)
}

// beatOf is the rate at which a level repeats and the autocorrelation there: the first peak that comes within a
// tenth of the highest, between 50 ms and a third of the recording, sharpened by its multiples.
func beatOf(level []float64) (hz, height float64) {
	x := make([]float64, len(level))
	for i, v := range level {
		x[i] = math.Log(max(v, 1e-12))
	}
	centre(x)
	n := len(x)
	r := autocorrelation(x, n/2)
	if r[0] <= 0 {
		return 0, 0
	}
	for k := range r {
		r[k] *= float64(n) / (float64(n-k)*r[0] + 1e-300)
	}
	r0 := r[0]
	top := 0.0
	for k := 5; k < n/3; k++ {
		top = max(top, r[k]/r0)
	}
	for k := 5; k < n/3; k++ {
		v := r[k] / r0
		if v > 0.9*top && v >= r[k-1]/r0 && v >= r[k+1]/r0 && v > 0 {
			return 1 / (levelStep * sharpen(r, k)), v
		}
	}
	return 0, max(top, 0)
}

// sharpen refines a lag by following the peak at its multiples as far as they stay in step.
func sharpen(r []float64, k int) float64 {
	lag := float64(k)
	for m := 2; ; m++ {
		c := int(math.Round(lag * float64(m)))
		w := max(int(0.3*lag), 1)
		if w > 3 {
			w = 3
		}
		if c+w+1 >= len(r)*2/3 {
			return lag
		}
		best := c
		for i := c - w; i <= c+w; i++ {
			if r[i] > r[best] {
				best = i
			}
		}
		lag = (Spectrum{Step: 1, Power: positive(r[best-1 : best+2])}.vertex(1) + float64(best)) / float64(m)
	}
}

func positive(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = max(v, 1e-9)
	}
	return out
}

func matching(rate float64, beats []Beat) []string {
	var out []string
	for _, b := range beats {
		if math.Abs(rate/b.Hz-1) < beatMatch || math.Abs(rate/(2*b.Hz)-1) < beatMatch {
			out = append(out, b.Name)
		}
	}
	return out
}

// stayingTone is the frequency above 300 Hz of the tone that is there, within 2 %, in most frames of a spectrogram; the
// strongest of them, 0 if none.
func stayingTone(x []float64, rate float64) float64 {
	size := shorter(int(rate * 0.085))
	step := rate / float64(size)
	sum := make([]float64, size/2+1)
	hits := make([]float64, size/2+1)
	frames := 0.0
	eachSegment(x, size, size/2, func(_ int, c []complex128) {
		p := make([]float64, len(c))
		for k, v := range c {
			p[k] = abs2(v)
		}
		bg := runningMedian(p, 31)
		for k := 1; k+1 < len(p); k++ {
			db := 10 * math.Log10(max(p[k], 1e-30)/max(bg[k], 1e-30))
			if db > toneLevel && p[k] >= p[k-1] && p[k] > p[k+1] {
				hits[k]++
				sum[k] += db
			}
		}
		frames++
	})
	best, top := 0.0, 0.0
	for k := int(300 / step); k < len(hits); k++ {
		w := max(int(0.01*float64(k)), 1)
		n, s, centre := 0.0, 0.0, 0.0
		for j := max(k-w, 0); j <= min(k+w, len(hits)-1); j++ {
			n, s, centre = n+hits[j], s+sum[j], centre+hits[j]*float64(j)
		}
		// chance alone puts a peak of 10 dB into a bin in about one frame in a thousand
		if n >= toneStays*frames && s > top {
			best, top = centre/n*step, s
		}
	}
	return best
}
