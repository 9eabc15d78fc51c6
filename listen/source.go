package listen

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// source is the transform of a recording, without the mean, ready for envelopes. Its plans and buffers are kept from
// band to band, so it serves one caller at a time.
type source struct {
	n     int
	rate  float64
	c     []complex128
	head  []float64 // the first and the last samples
	tail  []float64
	gain  []complex128 // of the prediction error filter, on an even grid from 0 to half the rate
	plans map[int]*plan
	z     []complex128
	e     []float64
	f     []complex128
}

func newSource(x []float64, rate float64) *source {
	n := shorter(len(x))
	m := min(predictorTaps, n)
	s := &source{n: n, rate: rate, c: transform(x[:n]), head: slices.Clone(x[:m]), tail: slices.Clone(x[n-m : n])}
	off := real(s.c[0]) / float64(n)
	for i := range s.head {
		s.head[i] -= off
		s.tail[i] -= off
	}
	s.c[0] = 0
	return s.twin()
}

// twin shares the transform and has plans and buffers of its own, for another goroutine.
func (s *source) twin() *source {
	return &source{n: s.n, rate: s.rate, c: s.c, head: s.head, tail: s.tail, gain: s.gain,
		plans: map[int]*plan{}}
}

func (s *source) step() float64 { return s.rate / float64(s.n) }

// windowed is the power of the transform under a periodic Hann window at bins 0 to m-1: the window is three
// coefficients wide there, so no second transform is needed.
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

// gainGrid is the number of steps of the prediction filter's gain; read by straight lines it is right to 1e-4 of
// its largest turns.
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

// lags is the autocorrelation sum at lags 0 to m-1. The power is gathered onto the grid of the gain, each bin by
// the weights of the cubic through its four neighbours there: a cosine of a hundred waves read so is right to 1e-8.
// What then wraps round from the end to the beginning is taken off.
func (s *source) lags(m int) []float64 {
	p := make([]float64, gainGrid+3) // from -1 to gainGrid+1
	per := float64(gainGrid) / (float64(s.n) / 2)
	for k, v := range s.c {
		at := float64(k) * per
		j := min(int(at), gainGrid-1)
		w, q := abs2(v), at-float64(j)
		a, b, c := q+1, q-1, q-2
		p[j] -= w * q * b * c / 6
		p[j+1] += w * a * b * c / 2
		p[j+2] -= w * a * q * c / 2
		p[j+3] += w * a * q * b / 6
	}
	z := make([]complex128, gainGrid+1)
	for i := range z {
		z[i] = complex(p[i+1], 0)
	}
	z[1] += complex(p[0], 0)
	z[gainGrid-1] += complex(p[gainGrid+2], 0)
	z[0], z[gainGrid] = 2*z[0], 2*z[gainGrid]
	r := fourier.NewFFT(2*gainGrid).Sequence(nil, z)[:m]
	for i := range r {
		r[i] /= float64(s.n)
		for k := range min(i, len(s.head)) {
			r[i] -= s.tail[max(len(s.tail)-i+k, 0)] * s.head[k]
		}
	}
	return r
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

// analytic is the conjugate of the analytic signal of a band after whitening, moved down to zero frequency. The inverse
// transform is only as long as keeps its squared envelope right up to maxHz; it spans the whole duration. The next call
// overwrites it.
func (s *source) analytic(how Whitening, band Band, maxHz float64) []complex128 {
	lo := int(band.From / s.step())
	hi := min(int(band.To/s.step()), len(s.c))
	top := int(maxHz/s.step()) + 2
	m := longer(max(hi-lo+top, 2*top))
	if cap(s.z) < m {
		s.z = make([]complex128, m)
	}
	z := s.z[:m]
	s.fill(z, lo, hi, how)
	for i, v := range z[:hi-lo] {
		z[i] = complex(real(v), -imag(v))
	}
	clear(z[hi-lo:])
	s.plan(m).complex(z)
	return z
}

func (s *source) plan(m int) *plan {
	if s.plans[m] == nil {
		s.plans[m] = newPlan(m, 1)
	}
	return s.plans[m]
}

// squared envelope of an analytic signal, divided by its mean less 1. The next call overwrites it.
func (s *source) squared(z []complex128) []float64 {
	if cap(s.e) < len(z) {
		s.e = make([]float64, len(z))
	}
	e := s.e[:len(z)]
	sum := 0.0
	for i, v := range z {
		e[i] = abs2(v)
		sum += e[i]
	}
	if sum <= 0 {
		return e
	}
	k := float64(len(z)) / sum
	for i := range e {
		e[i] = e[i]*k - 1
	}
	return e
}

// squaredEnvelope of a band after whitening, divided by its mean less 1. The next call overwrites it.
func (s *source) squaredEnvelope(how Whitening, band Band, maxHz float64) []float64 {
	return s.squared(s.analytic(how, band, maxHz))
}

// envelope is the power spectrum of the squared envelope, a swing of amplitude A giving A^2/4.
func (s *source) envelope(how Whitening, band Band, maxHz float64) Spectrum {
	e := s.squaredEnvelope(how, band, maxHz)
	m := len(e)
	if cap(s.f) < m/2+1 {
		s.f = make([]complex128, m/2+1)
	}
	return s.lineSpectrum(s.plan(m).real(s.f[:m/2+1], e), m, maxHz)
}

// envelopes are two of them for the price of one complex transform and no further plan: one envelope is its real
// part, the other its imaginary part.
func (s *source) envelopes(a, b Whitening, band Band, maxHz float64) (Spectrum, Spectrum) {
	e := slices.Clone(s.squaredEnvelope(a, band, maxHz))
	z := s.analytic(b, band, maxHz)
	m := len(z)
	for i, v := range s.squared(z) {
		z[i] = complex(e[i], v)
	}
	s.plan(m).complex(z)
	n := min(int(maxHz/s.step())+2, m/2)
	fa, fb := make([]complex128, n+1), make([]complex128, n+1)
	for k := range fa {
		p, q := z[k], cmplx.Conj(z[(m-k)%m])
		fa[k], fb[k] = (p+q)/2, (p-q)*complex(0, -0.5)
	}
	return s.lineSpectrum(fa, m, maxHz), s.lineSpectrum(fb, m, maxHz)
}

// lineSpectrum scales the transform of an envelope of m points.
func (s *source) lineSpectrum(f []complex128, m int, maxHz float64) Spectrum {
	p := windowed(f, int(maxHz/s.step())+1)
	for i := range p {
		p[i] *= 4 / (float64(m) * float64(m))
	}
	return Spectrum{Step: s.step(), Power: p}
}
