package listen

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	longFrom  = 1 << 16 // samples from which a transform is done in rows
	mostRows  = 32      // of samples a constant distance apart
	rowsAWalk = 8       // rows gathered in one walk through the samples: one cache line of them
)

// transform is the one-sided Fourier transform of x. A long one is split into rows of samples a constant distance
// apart (J. W. Cooley, J. W. Tukey, Mathematics of Computation 19, 1965, 297-301): short plans are made and kept in
// cache where one long plan would take three times the memory of the samples.
func transform(x []float64) []complex128 {
	if rows := rowsOf(len(x)); rows > 1 {
		return inRows(x, rows)
	}
	return fourier.NewFFT(len(x)).Coefficients(nil, x)
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

// inRows transforms rows of length n/rows and joins them. Row r's coefficient k waits at r/2 x length + k for even
// r, (r+1)/2 x length - k for odd r, which are the places the joined coefficients go to, so no second array is
// needed; those at the ends of the rows would share a place and wait aside.
func inRows(x []float64, rows int) []complex128 {
	n := len(x)
	length := n / rows
	half := length / 2
	out := make([]complex128, n/2+1)
	first, last := make([]complex128, rows), make([]complex128, rows)
	eachRow(x, rows, func(r int, c []complex128) {
		first[r], last[r] = c[0], c[half]
		if r%2 == 0 {
			copy(out[r/2*length+1:], c[1:half])
			return
		}
		p := (r + 1) / 2 * length
		for k := 1; k < half; k++ {
			out[p-k] = c[k]
		}
	})
	join := newJoin(n, rows)
	for k := 1; k < half; k++ {
		z := join.z
		for r := 0; r < rows; r += 2 {
			z[r], z[r+1] = out[r/2*length+k], out[(r/2+1)*length-k]
		}
		join.into(out, k)
	}
	copy(join.z, first)
	join.into(out, 0)
	copy(join.z, last)
	join.into(out, half)
	return out
}

// eachRow hands over the transform of every row, reusing one slice.
func eachRow(x []float64, rows int, do func(r int, c []complex128)) {
	length := len(x) / rows
	fft := fourier.NewFFT(length)
	c := make([]complex128, length/2+1)
	buf := make([]float64, rowsAWalk*length)
	for from := 0; from < rows; from += rowsAWalk {
		m := min(rowsAWalk, rows-from)
		for i := range length {
			for r, v := range x[i*rows+from : i*rows+from+m] {
				buf[r*length+i] = v
			}
		}
		for r := range m {
			do(from+r, fft.Coefficients(c, buf[r*length:(r+1)*length]))
		}
	}
}

// rowJoin joins the coefficients k of all rows, put into z, to coefficients of the whole.
type rowJoin struct {
	n, rows int
	fft     *fourier.CmplxFFT
	z       []complex128
}

func newJoin(n, rows int) rowJoin {
	return rowJoin{n, rows, fourier.NewCmplxFFT(rows), make([]complex128, rows)}
}

func (j rowJoin) into(out []complex128, k int) {
	sin, cos := math.Sincos(-2 * math.Pi * float64(k) / float64(j.n))
	w, turn := complex(cos, sin), complex(cos, sin)
	for r := 1; r < j.rows; r++ {
		j.z[r] *= turn
		turn *= w
	}
	j.fft.Coefficients(j.z, j.z)
	length := j.n / j.rows
	for r, v := range j.z {
		if i := k + r*length; i <= j.n/2 {
			out[i] = v
		} else {
			out[j.n-i] = complex(real(v), -imag(v))
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
