package listen

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Spectrum is power by frequency: Power[k] belongs to k times Step [Hz, or orders after Order]. With
// density scaling the unit is the square of the samples' unit per Hz, as in most signal libraries.
type Spectrum struct {
	Step  float64
	Power []float64
}

// Decibels is 10 log10 of the power at bin k, relative to 1; silence is -300.
func (s Spectrum) Decibels(k int) float64 { return 10 * math.Log10(max(s.Power[k], 1e-30)) }

// Peak is the strongest bin between two frequencies, with its frequency refined by a parabola through the logs of
// three bins (error below a tenth of a bin for a lone line under a Hann window). Zeroes if the range is empty.
func (s Spectrum) Peak(from, to float64) (hz, power float64) {
	a := max(int(math.Ceil(from/s.Step)), 0)
	b := min(int(to/s.Step), len(s.Power)-1)
	best := -1
	for k := a; k <= b; k++ {
		if best < 0 || s.Power[k] > s.Power[best] {
			best = k
		}
	}
	if best < 0 {
		return 0, 0
	}
	return (float64(best) + s.vertex(best)) * s.Step, s.Power[best]
}

// vertex is the offset [bins] of the top of a parabola through the logs of a bin and its neighbours.
func (s Spectrum) vertex(k int) float64 {
	if k < 1 || k+1 >= len(s.Power) {
		return 0
	}
	lg := func(i int) float64 { return math.Log(max(s.Power[i], 1e-300)) }
	a, b, c := lg(k-1), lg(k), lg(k+1)
	d := a - 2*b + c
	if d >= 0 {
		return 0
	}
	return min(max(0.5*(a-c)/d, -0.5), 0.5)
}

// Welch is the one-sided power density of the mean of the channels: the mean over half-overlapping segments of
// size samples, each less its own mean, under a periodic Hann window (P. D. Welch, IEEE Trans. Audio and
// Electroacoustics AU-15, 1967, 70-73). A size of 0 or the whole length gives a single spectrum. The size is
// cut to the recording; sizes with no prime factor above 5 are quick.
func Welch(r Recording, size int) (Spectrum, error) {
	x, err := usable(r)
	if err != nil {
		return Spectrum{}, err
	}
	if size <= 0 || size > len(x) {
		size = len(x)
	}
	if size < 8 {
		return Spectrum{}, wrap(ErrTooShort, "short segment", figure("samples", float64(size), ""))
	}
	out := make([]float64, size/2+1)
	segments := 0
	eachSegment(x, size, size-size/2, func(_ int, c []complex128) {
		for k, v := range c {
			out[k] += abs2(v)
		}
		segments++
	})
	scaleDensity(out, r.Rate, size, segments)
	return Spectrum{Step: r.Rate / float64(size), Power: out}, nil
}

func scaleDensity(p []float64, rate float64, size, segments int) {
	sum := 0.0
	for _, w := range hann(size) {
		sum += w * w
	}
	for k := range p {
		p[k] /= rate * sum * float64(segments)
		if k > 0 && (size%2 != 0 || k < size/2) {
			p[k] *= 2
		}
	}
}

// eachSegment hands over the transform of every segment, reusing one slice.
func eachSegment(x []float64, size, hop int, do func(start int, c []complex128)) {
	fft := fourier.NewFFT(size)
	w := hann(size)
	seg := make([]float64, size)
	c := make([]complex128, size/2+1)
	for s := 0; s+size <= len(x); s += hop {
		copy(seg, x[s:s+size])
		centre(seg)
		for i := range seg {
			seg[i] *= w[i]
		}
		do(s, fft.Coefficients(c, seg))
	}
}

// Picture is a spectrogram: Frames[i] is the power density of the segment whose middle is at Times[i] [s].
type Picture struct {
	Step   float64 // Hz per bin
	Times  []float64
	Frames [][]float64
}

// Spectrogram cuts the recording into segments of size samples every hop samples (0: a quarter of size) and
// gives the power density of each, under a periodic Hann window.
func Spectrogram(r Recording, size, hop int) (Picture, error) {
	x, err := usable(r)
	if err != nil {
		return Picture{}, err
	}
	if hop <= 0 {
		hop = max(size/4, 1)
	}
	if size < 8 || size > len(x) {
		return Picture{}, wrap(ErrTooShort, "long segment", figure("samples", float64(size), ""),
			figure("length", float64(len(x)), ""))
	}
	p := Picture{Step: r.Rate / float64(size)}
	eachSegment(x, size, hop, func(start int, c []complex128) {
		f := make([]float64, len(c))
		for k, v := range c {
			f[k] = abs2(v)
		}
		p.Times = append(p.Times, (float64(start)+float64(size)/2)/r.Rate)
		p.Frames = append(p.Frames, f)
	})
	for _, f := range p.Frames {
		scaleDensity(f, r.Rate, size, 1)
	}
	return p, nil
}

// usable is the mean of the channels, not to be written to, once the recording has passed Check.
func usable(r Recording) ([]float64, error) {
	if _, err := r.Check(); err != nil {
		return nil, err
	}
	return r.mix(), nil
}
