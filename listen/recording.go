package listen

import (
	"math"
	"slices"
)

// Recording is sound or vibration sampled evenly in time.
type Recording struct {
	Rate     float64     // samples per second
	Channels [][]float64 // one slice per channel, all of one length; full scale is 1
	Warnings []Warning   // what ReadWAV noticed
}

// Seconds is the length of the recording.
func (r Recording) Seconds() float64 {
	if len(r.Channels) == 0 || r.Rate <= 0 {
		return 0
	}
	return float64(len(r.Channels[0])) / r.Rate
}

// Channel is a recording of channel c alone. It shares the samples. Out of range it is empty.
func (r Recording) Channel(c int) Recording {
	if c < 0 || c >= len(r.Channels) {
		return Recording{Rate: r.Rate}
	}
	return Recording{Rate: r.Rate, Channels: r.Channels[c : c+1], Warnings: r.Warnings}
}

// Part is the recording between two times [s], cut to what there is. It shares the samples.
func (r Recording) Part(from, to float64) Recording {
	out := Recording{Rate: r.Rate, Warnings: r.Warnings}
	for _, c := range r.Channels {
		a := min(max(int(from*r.Rate), 0), len(c))
		b := min(max(int(to*r.Rate), a), len(c))
		out.Channels = append(out.Channels, c[a:b])
	}
	return out
}

// Mono is the mean of the channels less its own mean, in a new slice. Two microphones close together add up
// so; contact sensors at two places should be looked at one by one with Channel.
func (r Recording) Mono() []float64 {
	if len(r.Channels) == 0 {
		return nil
	}
	x := make([]float64, len(r.Channels[0]))
	for _, c := range r.Channels {
		for i := range min(len(c), len(x)) {
			x[i] += c[i]
		}
	}
	centre(x)
	return x
}

// mix is the mean of the channels, not to be written to: of one channel, that channel itself.
func (r Recording) mix() []float64 {
	if len(r.Channels) == 1 {
		return r.Channels[0]
	}
	return r.Mono()
}

func centre(x []float64) {
	if len(x) == 0 {
		return
	}
	m := 0.0
	for _, v := range x {
		m += v
	}
	m /= float64(len(x))
	for i := range x {
		x[i] -= m
	}
}

// clipShare is the share of samples at the extreme value from which clipping is said; clipLevels the
// distinct amplitudes a recording needs for its extreme to mean anything.
const (
	clipShare  = 1e-4
	silentRMS  = 1e-6
	faintSteps = 64
	fewLevels  = 128  // distinct values up to which the steps of the samples are a noise of their own
	pressed    = 1.35 // largest over ordinary peaks, below which tops are cut though not flat (normal noise: 2.0)
)

// Check looks a recording over: an error when nothing can be read from it (ErrBroken for NaN and infinite samples,
// ErrInput for uneven channels, ErrSilent), else the warnings, those of ReadWAV included.
func (r Recording) Check() ([]Warning, error) {
	if len(r.Channels) == 0 || len(r.Channels[0]) == 0 {
		return nil, wrap(ErrTooShort, "no samples")
	}
	if !(r.Rate > 0) || math.IsInf(r.Rate, 0) {
		return nil, wrap(ErrInput, "rate", figure("rate", r.Rate, ""))
	}
	out := slices.Clone(r.Warnings)
	loud := false
	for c, x := range r.Channels {
		if len(x) != len(r.Channels[0]) {
			return nil, wrap(ErrInput, "uneven channels", figure("channel", float64(c+1), ""),
				figure("samples", float64(len(x)), ""), figure("first", float64(len(r.Channels[0])), ""))
		}
		w, silent, err := checkChannel(x, c)
		if err != nil {
			return nil, err
		}
		loud = loud || !silent
		out = append(out, w...)
	}
	if !loud {
		return nil, wrap(ErrSilent, "no channel sounds")
	}
	slices.SortStableFunc(out, func(a, b Warning) int { return int(a.Kind) - int(b.Kind) })
	return slices.Compact(out), nil
}

func (r Recording) checked(f wavFormat) (Recording, error) {
	w, err := r.Check()
	if err != nil {
		return Recording{}, err
	}
	r.Warnings = w
	if f.tag == tagPCM && r.peak()*math.Pow(2, float64(f.bits-1)) < faintSteps {
		r.Warnings = append(r.Warnings, Warning{Kind: Faint})
	}
	return r, nil
}

func (r Recording) peak() float64 {
	p := 0.0
	for _, x := range r.Channels {
		for _, v := range x {
			p = max(p, math.Abs(v))
		}
	}
	return p
}

func checkChannel(x []float64, c int) (w []Warning, silent bool, err error) {
	lo, hi, sum, sq := math.Inf(1), math.Inf(-1), 0.0, 0.0
	for i, v := range x {
		if !(v >= -1e12 && v <= 1e12) {
			return nil, false, wrap(ErrBroken, "sample no number", figure("channel", float64(c+1), ""),
				figure("sample", float64(i+1), ""), figure("value", v, ""))
		}
		if v < lo {
			lo = v
		}
		if v > hi {
			hi = v
		}
		sum, sq = sum+v, sq+v*v
	}
	n := float64(len(x))
	if math.Sqrt(max(sq/n-(sum/n)*(sum/n), 0)) < silentRMS {
		return nil, true, nil
	}
	if share := atExtreme(x, lo, hi); share > clipShare {
		w = append(w, Warning{Kind: Clipped, Share: share})
	}
	if fewValues(x) {
		w = append(w, Warning{Kind: Coarse})
	}
	if n := gainSteps(x); n > 0 {
		w = append(w, Warning{Kind: Steps})
	}
	return w, false, nil
}

// atExtreme is the share of samples in flat tops: at the highest or lowest value, at least two in a row
// somewhere. A waveform that is not overdriven touches its extreme once.
func atExtreme(x []float64, lo, hi float64) float64 {
	if hi-lo < faintSteps*silentRMS {
		return 0
	}
	tol := (hi - lo) * 1e-7
	n, run := 0, 0
	flat := false
	for _, v := range x {
		if v < hi-tol && v > lo+tol {
			run = 0
			continue
		}
		n++
		run++
		flat = flat || run >= 3
	}
	if !flat {
		return 0
	}
	return float64(n) / float64(len(x))
}

// fewValues reports whether a channel has no more than fewLevels distinct values, as after few bits.
func fewValues(x []float64) bool {
	seen := make([]float64, 0, fewLevels+1)
	for _, v := range x {
		i, known := slices.BinarySearch(seen, v)
		if known {
			continue
		}
		if len(seen) == fewLevels {
			return false
		}
		seen = slices.Insert(seen, i, v)
	}
	return true
}

// cutTops is the share of samples near the tops where these are cut, 0 where they are not: what was clipped and then
// coded with loss or resampled has no flat tops left, but its largest peaks are hardly above its ordinary ones. A
// lone tone is so too.
func cutTops(x []float64) float64 {
	every := max(len(x)/20000, 1)
	a := make([]float64, 0, len(x)/every+1)
	for i := 0; i < len(x); i += every {
		a = append(a, math.Abs(x[i]))
	}
	slices.Sort(a)
	top := a[len(a)*999/1000]
	if top > pressed*a[len(a)*9/10] {
		return 0
	}
	from, _ := slices.BinarySearch(a, 0.9*top)
	return float64(len(a)-from) / float64(len(a))
}

// gainSteps counts lasting jumps of the level by more than 6 dB from one twentieth of the recording to the next,
// when within each twentieth the level is steady to 2 dB. A machine that is started or stopped steps too, so this is a
// warning and no more.
func gainSteps(x []float64) int {
	const pieces, sub = 20, 4
	n := len(x) / (pieces * sub)
	if n < 256 {
		return 0
	}
	db := make([]float64, pieces*sub)
	for i := range db {
		s := 1e-30
		for _, v := range x[i*n : (i+1)*n] {
			s += v * v
		}
		db[i] = 10 * math.Log10(s/float64(n))
	}
	steps := 0
	for i := sub; i+2*sub <= len(db); i++ {
		before, after := db[i-sub:i], db[i:i+sub]
		if spread(before) < 2 && spread(after) < 2 && math.Abs(mean(after)-mean(before)) > 6 {
			steps++
		}
	}
	return steps
}

func spread(x []float64) float64 { return slices.Max(x) - slices.Min(x) }

func mean(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s / float64(len(x))
}
