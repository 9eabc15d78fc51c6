package listen

import (
	"math"
	"math/cmplx"
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"
)

// source is a recording ready for envelopes: its samples and its transform, without the mean. Its plans and buffers are kept from
// band to band, so it serves one caller at a time.
type source struct {
	n    int
	rate float64
	x    []float64
	c    []complex128
	gain []complex128 // of the prediction error filter, on an even grid from 0 to half the rate
	back map[int]*fourier.CmplxFFT
	fore map[int]*fourier.FFT
	z    []complex128
	e    []float64
	f    []complex128
}

func newSource(x []float64, rate float64) *source {
	n := shorter(len(x))
	s := &source{n: n, rate: rate, x: x[:n], back: map[int]*fourier.CmplxFFT{}, fore: map[int]*fourier.FFT{}}
	s.c = transform(s.x)
	s.c[0] = 0
	return s
}

// newWhitened is newSource with the prediction filter found at the same time.
func newWhitened(x []float64, rate float64) *source {
	var gain []complex128
	var wait sync.WaitGroup
	wait.Go(func() {
		early := source{n: shorter(len(x)), x: x}
		gain = early.predictionGain()
	})
	s := newSource(x, rate)
	wait.Wait()
	s.gain = gain
	return s
}

// twin shares the transform and has plans and buffers of its own, for another goroutine.
func (s *source) twin() *source {
	return &source{n: s.n, rate: s.rate, x: s.x, c: s.c, gain: s.gain, back: map[int]*fourier.CmplxFFT{}, fore: map[int]*fourier.FFT{}}
}

func (s *source) step() float64 { return s.rate / float64(s.n) }

// windowed is the power of the transform under a periodic Hann window at bins 0 to m-1: the window is three coefficients wide
// there, so no second transform is needed.
func windowed(c []complex128, m int) []float64 {
	p := make([]float64, min(m, len(c)-1))
	for k := range p {
		before := cmplx.Conj(c[1])
		if k > 0 {
			before = c[k-1]
		}
		p[k] = abs2(0.5*c[k] - 0.25*(before+c[k+1]))
	}
	return p
}

// fill puts the whitened coefficients lo to hi into z.
func (s *source) fill(z []complex128, lo, hi int, how Whitening) {
	switch how {
	case Cepstral:
		for i, v := range s.c[lo:hi] {
			z[i] = 0
			if m := math.Sqrt(abs2(v)); m > 0 {
				z[i] = complex(real(v)/m, imag(v)/m)
			}
		}
	case Prediction:
		g := s.predictionGain()
		per := float64(len(g)-1) / float64(s.n/2)
		for i, v := range s.c[lo:hi] {
			p := float64(lo+i) * per
			j := min(int(p), len(g)-2)
			q := complex(p-float64(j), 0)
			z[i] = v * (g[j] + q*(g[j+1]-g[j]))
		}
	default:
		copy(z, s.c[lo:hi])
	}
}

// gainGrid is the number of steps of the prediction filter's gain; read by straight lines it is right to 1e-4 of its largest turns.
const gainGrid = 16384

func (s *source) predictionGain() []complex128 {
	if s.gain == nil {
		f := make([]float64, 2*gainGrid)
		f[0] = 1
		for i, v := range predictor(s.lags(predictorTaps + 1)) {
			f[i+1] = -v
		}
		s.gain = transform(f)
	}
	return s.gain
}

// lags is the autocorrelation sum at lags 0 to m-1, by transforms of short blocks, each against itself and what follows.
func (s *source) lags(m int) []float64 {
	const size = 4096
	fft := fourier.NewFFT(size)
	a, b := make([]float64, size), make([]float64, size)
	ca, cb := make([]complex128, size/2+1), make([]complex128, size/2+1)
	sum := make([]complex128, size/2+1)
	hop := size - m
	x := s.x[:s.n]
	for start := 0; start < len(x); start += hop {
		clear(a)
		clear(b)
		copy(a, x[start:min(start+hop, len(x))])
		copy(b, x[start:min(start+size, len(x))])
		fft.Coefficients(ca, a)
		fft.Coefficients(cb, b)
		for k := range sum {
			sum[k] += cmplx.Conj(ca[k]) * cb[k]
		}
	}
	return fft.Sequence(nil, sum)[:m]
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

// squaredEnvelope of a band after whitening, divided by its mean less 1. The inverse transform is only as long as
// keeps the envelope right up to maxHz; it spans the whole duration. The next call overwrites it.
func (s *source) squaredEnvelope(how Whitening, band Band, maxHz float64) []float64 {
	lo := int(band.From / s.step())
	hi := min(int(band.To/s.step()), len(s.c))
	top := int(maxHz/s.step()) + 2
	m := longer(max(hi-lo+top, 2*top))
	if cap(s.z) < m {
		s.z = make([]complex128, m)
	}
	z := s.z[:m]
	s.fill(z, lo, hi, how)
	clear(z[hi-lo:])
	if s.back[m] == nil {
		s.back[m] = fourier.NewCmplxFFT(m)
	}
	s.back[m].Sequence(z, z)
	if cap(s.e) < m {
		s.e = make([]float64, m)
	}
	e := s.e[:m]
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

// envelope is the power spectrum of the squared envelope, a swing of amplitude A giving A^2/4.
func (s *source) envelope(how Whitening, band Band, maxHz float64) Spectrum {
	e := s.squaredEnvelope(how, band, maxHz)
	m := len(e)
	if s.fore[m] == nil {
		s.fore[m] = fourier.NewFFT(m)
	}
	if cap(s.f) < m/2+1 {
		s.f = make([]complex128, m/2+1)
	}
	f := s.fore[m].Coefficients(s.f[:m/2+1], e)
	p := windowed(f, int(maxHz/s.step())+1)
	for i := range p {
		p[i] *= 4 / (float64(m) * float64(m))
	}
	return Spectrum{Step: s.step(), Power: p}
}
