package listen

import (
	"math"
	"slices"
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
// its line. Method: R. B. Randall, J. Antoni, Rolling element bearing diagnostics, a tutorial, Mechanical Systems
// and Signal Processing 25, 2011, 485-520; cepstral pre-whitening: P. Borghesani et al., the same journal 36, 2013,
// 370-384 (both from memory). The recording is cut by up to a few samples to a length that transforms quickly.
func EnvelopeSpectrum(r Recording, band Band, how Whitening, maxHz float64) (Spectrum, error) {
	x, err := usable(r)
	if err != nil {
		return Spectrum{}, err
	}
	band = band.or(r.Rate)
	if !(band.From >= 0 && band.To > band.From && band.To <= r.Rate/2) {
		return Spectrum{}, wrap(ErrInput, "band", figure("from", band.From, "Hz"), figure("to", band.To, "Hz"),
			figure("half", r.Rate/2, "Hz"))
	}
	if !(maxHz > 0) || maxHz > r.Rate/2 {
		return Spectrum{}, wrap(ErrInput, "envelope", figure("to", maxHz, "Hz"), figure("half", r.Rate/2, "Hz"))
	}
	s := newSource(x, r.Rate)
	if s.n < 64 {
		return Spectrum{}, wrap(ErrTooShort, "few samples", figure("samples", float64(s.n), ""))
	}
	return s.envelope(how, band, maxHz), nil
}

// BestBand searches 1, 2, 3, 4, 6, 8 and 12 equal slices of the range for the band whose squared envelope is most
// impulsive, like a kurtogram (J. Antoni, Fast computation of the kurtogram, Mechanical Systems and Signal
// Processing 21, 2007, 108-124, from memory), but takes the median over ten pieces of time, so that one knock does
// not win. No band is narrower than minWidth [Hz] (0: 300). It returns the band and the median of
// mean(e^2)/mean(e)^2 - 2 over the pieces, 0 for noise. A second opinion, no more: it finds interference as gladly
// as bearings.
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
			if q := pieceKurtosis(s.squaredEnvelope(Plain, b, w)); q > top {
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
