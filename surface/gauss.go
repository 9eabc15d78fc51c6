package surface

import "math"

// truncate is where a Gaussian is cut off, in standard deviations: scipy.ndimage's own.
const truncate = 4

// gaussian is the half from 0 outwards of a Gaussian of standard deviation sigma (px), cut off at truncate and of sum
// 1, or of its first or second derivative:
//
//	g(x) = exp(-x²/2σ²) / Σ,  g'(x) = -x/σ² g(x),  g″(x) = (x²/σ⁴ - 1/σ²) g(x)
func gaussian(sigma float64, order int) []float64 {
	half := make([]float64, int(truncate*sigma+0.5)+1)
	sum, v := 0.0, sigma*sigma
	for i := range half {
		half[i] = math.Exp(-0.5 * float64(i*i) / v)
		if sum += half[i]; i > 0 {
			sum += half[i]
		}
	}
	for i := range half {
		x := float64(i)
		half[i] /= sum
		switch order {
		case 1:
			half[i] *= -x / v
		case 2:
			half[i] *= x*x/(v*v) - 1/v
		}
	}
	return half
}

// mirror is the index within n that stands for i: beyond an edge the picture goes on as its mirror image, the pixel at
// the edge twice (d c b a | a b c d | d c b a).
func mirror(i, n int) int {
	i %= 2 * n
	if i < 0 {
		i += 2 * n
	}
	if i >= n {
		i = 2*n - 1 - i
	}
	return i
}

// addPair adds k times the sum of a and b to dst, or times their difference where the kernel is odd.
func addPair(dst, a, b []float64, k float64, odd bool) {
	a, b = a[:len(dst)], b[:len(dst)]
	if odd {
		for i := range dst {
			dst[i] += k * (a[i] - b[i])
		}
		return
	}
	for i := range dst {
		dst[i] += k * (a[i] + b[i])
	}
}

func setScaled(dst, a []float64, k float64) {
	a = a[:len(dst)]
	for i := range dst {
		dst[i] = k * a[i]
	}
}

// alongRows convolves each row with a half kernel; line is as long as a row with a kernel's reach on both sides.
func alongRows(dst, src []float64, w int, half []float64, odd bool, line []float64) {
	reach := len(half) - 1
	line = line[:w+2*reach]
	for y := 0; y < len(src); y += w {
		row := src[y : y+w]
		copy(line[reach:], row)
		for i := 1; i <= reach; i++ {
			line[reach-i] = row[mirror(-i, w)]
			line[reach+w-1+i] = row[mirror(w-1+i, w)]
		}
		out := dst[y : y+w]
		setScaled(out, line[reach:], half[0])
		for j := 1; j <= reach; j++ {
			addPair(out, line[reach-j:], line[reach+j:], half[j], odd)
		}
	}
}

// alongColumns convolves each column with a half kernel.
func alongColumns(dst, src []float64, w int, half []float64, odd bool) {
	h := len(src) / w
	row := func(y int) []float64 { y = mirror(y, h); return src[y*w : (y+1)*w] }
	for y := range h {
		out := dst[y*w : (y+1)*w]
		setScaled(out, row(y), half[0])
		for j := 1; j < len(half); j++ {
			addPair(out, row(y-j), row(y+j), half[j], odd)
		}
	}
}
