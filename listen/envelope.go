package listen

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Whitening says how lines and resonances are levelled before an envelope is taken.
type Whitening int

// The ways of whitening.
const (
	Plain      Whitening = iota // not at all
	Cepstral                    // every Fourier coefficient divided by its modulus ('cpw')
	Prediction                  // residual of a linear predictor of 100 taps ('ar')
)

// predictorTaps is the length of the linear predictor.
const predictorTaps = 100

// Band is a range of carrier frequencies [Hz]. The zero Band is everything from 2 to 98 % of half the
// sampling rate.
type Band struct{ From, To float64 }

func (b Band) or(rate float64) Band {
	if b == (Band{}) {
		return Band{0.01 * rate, 0.49 * rate}
	}
	return b
}

// EnvelopeSpectrum is the power spectrum of the squared envelope of one band, after whitening, up to maxHz. The squared
// envelope is divided by its mean and put under a Hann window; a full modulation of depth 1 gives 0.25 at
// its line. Method: R. B. Randall, J. Antoni, Rolling element bearing diagnostics, a tutorial, Mechanical Systems and Signal Processing
// 25, 2011, 485-520; cepstral pre-whitening: P. Borghesani et al., the same journal 36, 2013, 370-384 (both from memory).
// The recording is cut by up to a few samples to a length that transforms quickly.
func EnvelopeSpectrum(r Recording, band Band, how Whitening, maxHz float64) (Spectrum, error) {
	x, err := usable(r)
	if err != nil {
		return Spectrum{}, err
	}
	band = band.or(r.Rate)
	if !(band.From >= 0 && band.To > band.From && band.To <= r.Rate/2) {
		return Spectrum{}, wrap(ErrInput, "band from %g to %g Hz; half the sampling rate is %g", band.From, band.To, r.Rate/2)
	}
	if !(maxHz > 0) || maxHz > r.Rate/2 {
		return Spectrum{}, wrap(ErrInput, "envelope up to %g Hz; half the sampling rate is %g", maxHz, r.Rate/2)
	}
	s := newSource(x, r.Rate)
	if s.n < 64 {
		return Spectrum{}, wrap(ErrTooShort, "%d samples", s.n)
	}
	return s.envelope(s.white(how), band, maxHz), nil
}

// source is a recording ready for envelopes: its samples and its transform, without the mean.
type source struct {
	n    int
	rate float64
	x    []float64
	c    []complex128
}

func newSource(x []float64, rate float64) *source {
	n := shorter(len(x))
	s := &source{n: n, rate: rate, x: x[:n]}
	s.c = transform(s.x)
	s.c[0] = 0
	return s
}

func (s *source) step() float64 { return s.rate / float64(s.n) }

// white is the transform after whitening, in a new slice unless plain.
func (s *source) white(how Whitening) []complex128 {
	switch how {
	case Cepstral:
		out := make([]complex128, len(s.c))
		for i, v := range s.c {
			if m := cmplx.Abs(v); m > 0 {
				out[i] = v / complex(m, 0)
			}
		}
		return out
	case Prediction:
		return s.residual()
	}
	return s.c
}

// residual applies the predictor error filter to the transform (circularly, which matters for the first
// hundred samples only).
func (s *source) residual() []complex128 {
	power := make([]complex128, len(s.c))
	for i, v := range s.c {
		power[i] = complex(abs2(v), 0)
	}
	a := predictor(inverse(power, s.n)[:predictorTaps+1])
	f := make([]float64, s.n)
	f[0] = 1
	for i, v := range a {
		f[i+1] = -v
	}
	out := transform(f)
	for i := range out {
		out[i] *= s.c[i]
	}
	return out
}

// predictor solves the Yule-Walker equations for autocorrelations r[0..p] by Levinson's recursion.
func predictor(r []float64) []float64 {
	p := len(r) - 1
	a := make([]float64, p)
	old := make([]float64, p)
	e := r[0] * (1 + 1e-9)
	for m := 0; m < p && e > 0; m++ {
		k := r[m+1]
		for j := range m {
			k -= a[j] * r[m-j]
		}
		k /= e
		copy(old, a[:m])
		for j := range m {
			a[j] = old[j] - k*old[m-1-j]
		}
		a[m] = k
		e *= 1 - k*k
	}
	return a
}

// squaredEnvelope of the band of transform c, divided by its mean less 1. The inverse transform is only as long as
// keeps the envelope right up to maxHz. It spans the whole duration.
func (s *source) squaredEnvelope(c []complex128, band Band, maxHz float64) []float64 {
	lo := int(band.From / s.step())
	hi := min(int(band.To/s.step()), len(c))
	top := int(maxHz/s.step()) + 2
	m := longer(max(hi-lo+top, 2*top))
	z := make([]complex128, m)
	copy(z, c[lo:hi])
	fourier.NewCmplxFFT(m).Sequence(z, z)
	e := make([]float64, m)
	sum := 0.0
	for i, v := range z {
		e[i] = abs2(v)
		sum += e[i]
	}
	if sum <= 0 {
		return e
	}
	k := float64(m) / sum
	for i := range e {
		e[i] = e[i]*k - 1
	}
	return e
}

func (s *source) envelope(c []complex128, band Band, maxHz float64) Spectrum {
	e := s.squaredEnvelope(c, band, maxHz)
	w := hann(len(e), false)
	sum := 0.0
	for i := range e {
		e[i] *= w[i]
		sum += w[i]
	}
	f := transform(e)
	p := make([]float64, min(int(maxHz/s.step())+1, len(f)))
	for i := range p {
		p[i] = abs2(f[i]) / (sum * sum)
	}
	return Spectrum{Step: s.step(), Power: p}
}

// BestBand searches 1, 2, 3, 4, 6, 8 and 12 equal slices of the range for the band whose squared envelope is most impulsive,
// like a kurtogram (J. Antoni, Fast computation of the kurtogram, Mechanical Systems and Signal Processing 21, 2007, 108-124, from memory), but takes
// the median over ten pieces of time, so that one knock does not win. No band is narrower than
// minWidth [Hz] (0: 300). It returns the band and the median of mean(e^2)/mean(e)^2 - 2 over the pieces, 0 for noise.
// A second opinion, no more: it finds interference as gladly as bearings.
func BestBand(r Recording, minWidth float64) (Band, float64, error) {
	x, err := usable(r)
	if err != nil {
		return Band{}, 0, err
	}
	if minWidth <= 0 {
		minWidth = 300
	}
	s := newSource(x, r.Rate)
	all := Band{}.or(r.Rate)
	best, top := all, math.Inf(-1)
	for _, k := range [...]int{1, 2, 3, 4, 6, 8, 12} {
		w := (all.To - all.From) / float64(k)
		if w < minWidth && k > 1 {
			break
		}
		for i := range k {
			b := Band{all.From + float64(i)*w, all.From + float64(i+1)*w}
			if q := pieceKurtosis(s.squaredEnvelope(s.c, b, w)); q > top {
				best, top = b, q
			}
		}
	}
	return best, top, nil
}

func pieceKurtosis(e []float64) float64 {
	const pieces = 10
	n := len(e) / pieces
	if n < 8 {
		return 0
	}
	k := make([]float64, pieces)
	for p := range k {
		sum, sq := 0.0, 0.0
		for _, v := range e[p*n : (p+1)*n] {
			sum += v + 1
			sq += (v + 1) * (v + 1)
		}
		if sum > 0 {
			k[p] = sq*float64(n)/(sum*sum) - 2
		}
	}
	slices.Sort(k)
	return (k[4] + k[5]) / 2
}
