package listen

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	longFrom  = 1 << 17 // samples from which a transform is done in rows
	mostRows  = 32      // of samples a constant distance apart
	rowsAWalk = 8       // rows gathered in one walk through the samples: one cache line of them
)

// transform is the one-sided Fourier transform of x, a long one on two cores.
func transform(x []float64) []complex128 {
	return newPlan(len(x), 2).real(make([]complex128, len(x)/2+1), x)
}

// plan is one of gonum's for transforms of n samples, or of rows of them. A long transform is split into rows of
// samples a constant distance apart (J. W. Cooley, J. W. Tukey, Mathematics of Computation 19, 1965, 297-301):
// short plans are made and kept in cache where one long plan would take three times the memory of the samples.
// It serves one caller at a time.
type plan struct {
	n, rows     int
	hands       []hand
	first, last []complex128 // the ends of all rows
	turn        []complex128 // exp(-2 pi i k/n), for the k of half a row
	part        []float64
	one, other  []complex128
}

// hand is what one goroutine works with.
type hand struct {
	fft  *fourier.FFT // of a row
	c    []complex128 // its transform
	buf  []float64    // rows gathered
	join *fourier.CmplxFFT
	z    []complex128
}

// newPlan plans for n samples, and so many goroutines where they stand in rows.
func newPlan(n, hands int) *plan {
	rows := rowsOf(n)
	length := n / rows
	p := &plan{n: n, rows: rows}
	if rows == 1 {
		p.hands = []hand{{fft: fourier.NewFFT(length)}}
		return p
	}
	for range hands {
		p.hands = append(p.hands, hand{fourier.NewFFT(length), make([]complex128, length/2+1),
			make([]float64, rowsAWalk*length), fourier.NewCmplxFFT(rows), make([]complex128, rows)})
	}
	p.first, p.last = make([]complex128, rows), make([]complex128, rows)
	p.turn = make([]complex128, length/2+1)
	for k := range p.turn {
		sin, cos := math.Sincos(-2 * math.Pi * float64(k) / float64(n))
		p.turn[k] = complex(cos, sin)
	}
	return p
}

// rowsOf is the largest even number of rows that leaves an even length, 1 for a short or unfit length.
func rowsOf(n int) int {
	if n < longFrom {
		return 1
	}
	for rows := mostRows; rows > 1; rows -= 2 {
		if n%(2*rows) == 0 {
			return rows
		}
	}
	return 1
}

// real puts the coefficients of x into out, which has room for n/2+1, and gives it.
//
// Row r's coefficient k waits at r/2 x length + k for even r, (r+1)/2 x length - k for odd r, which are the places the
// joined coefficients go to, so no second array is needed; those at the ends of the rows would share a place and
// wait aside.
func (p *plan) real(out []complex128, x []float64) []complex128 {
	if p.rows == 1 {
		return p.hands[0].fft.Coefficients(out, x)
	}
	length := p.n / p.rows
	half := length / 2
	p.share(p.rows, rowsAWalk, func(h *hand, from, to int) { p.eachRow(h, x, from, to, out) })
	p.share(half, 1, func(h *hand, from, to int) {
		for k := max(from, 1); k < to; k++ {
			for r := 0; r < p.rows; r += 2 {
				h.z[r], h.z[r+1] = out[r/2*length+k], out[(r/2+1)*length-k]
			}
			p.into(h, out, k)
		}
	})
	h := &p.hands[0]
	copy(h.z, p.first)
	p.into(h, out, 0)
	copy(h.z, p.last)
	p.into(h, out, half)
	return out
}

// share gives each goroutine its part of n, in steps.
func (p *plan) share(n, step int, do func(h *hand, from, to int)) {
	part := (n/len(p.hands) + step - 1) / step * step
	var wait sync.WaitGroup
	for i := range p.hands[1:] {
		from := min((i+1)*part, n)
		to := min(from+part, n)
		if i+2 == len(p.hands) {
			to = n
		}
		wait.Go(func() { do(&p.hands[i+1], from, to) })
	}
	do(&p.hands[0], 0, min(part, n))
	wait.Wait()
}

// eachRow puts the transforms of rows where they wait.
func (p *plan) eachRow(h *hand, x []float64, first, end int, out []complex128) {
	length := p.n / p.rows
	half := length / 2
	for from := first; from < end; from += rowsAWalk {
		m := min(rowsAWalk, end-from)
		for i := range length {
			for r, v := range x[i*p.rows+from : i*p.rows+from+m] {
				h.buf[r*length+i] = v
			}
		}
		for i := range m {
			r, c := from+i, h.fft.Coefficients(h.c, h.buf[i*length:(i+1)*length])
			p.first[r], p.last[r] = c[0], c[half]
			if r%2 == 0 {
				copy(out[r/2*length+1:], c[1:half])
				continue
			}
			at := (r + 1) / 2 * length
			for k := 1; k < half; k++ {
				out[at-k] = c[k]
			}
		}
	}
}

// into joins the coefficients k of all rows, which stand in z, to coefficients of the whole.
func (p *plan) into(h *hand, out []complex128, k int) {
	w, turn := p.turn[k], p.turn[k]
	for r := 1; r < p.rows; r++ {
		h.z[r] *= turn
		turn *= w
	}
	h.join.Coefficients(h.z, h.z)
	length := p.n / p.rows
	for r, v := range h.z {
		if i := k + r*length; i <= p.n/2 {
			out[i] = v
		} else {
			out[p.n-i] = complex(real(v), -imag(v))
		}
	}
}

// complex replaces z by its transform: those of its real and its imaginary part, each by itself, which takes two
// thirds of the time of gonum's transform of complex samples.
func (p *plan) complex(z []complex128) {
	if p.part == nil {
		p.part = make([]float64, p.n)
		p.one, p.other = make([]complex128, p.n/2+1), make([]complex128, p.n/2+1)
	}
	for i, v := range z {
		p.part[i] = real(v)
	}
	p.real(p.one, p.part)
	for i, v := range z {
		p.part[i] = imag(v)
	}
	p.real(p.other, p.part)
	for k, a := range p.one {
		b := p.other[k]
		z[k] = complex(real(a)-imag(b), imag(a)+real(b))
		if k > 0 && k < p.n-k {
			z[p.n-k] = complex(real(a)+imag(b), real(b)-imag(a))
		}
	}
}

// inverse is the real sequence of n samples whose transform is c.
func inverse(c []complex128, n int) []float64 {
	x := fourier.NewFFT(n).Sequence(nil, c)
	for i := range x {
		x[i] /= float64(n)
	}
	return x
}
