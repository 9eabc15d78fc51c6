package listen

import (
	"math"
	"slices"
)

// smooth reports whether n has no prime factor above 5, for which the transform is quick.
func smooth(n int) bool {
	for _, p := range [...]int{2, 3, 5} {
		for n%p == 0 {
			n /= p
		}
	}
	return n == 1
}

// shorter is the largest even length up to n with small factors; longer the smallest from n.
func shorter(n int) int {
	for n &^= 1; n > 2 && !smooth(n); n -= 2 {
	}
	return n
}

func longer(n int) int {
	for n += n & 1; !smooth(n); n += 2 {
	}
	return n
}

func abs2(c complex128) float64 { return real(c)*real(c) + imag(c)*imag(c) }

// hann is the periodic window 0.5 - 0.5 cos(2 pi i/n).
func hann(n int) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n))
	}
	return w
}

// runningMedian is the median of the k values round each value, k odd; beyond the ends the end value is
// repeated. A sorted window is kept, so a step costs a search and a short move.
func runningMedian(x []float64, k int) []float64 {
	k |= 1
	h := k / 2
	n := len(x)
	at := func(i int) float64 { return x[min(max(i, 0), n-1)] }
	win := make([]float64, 0, k)
	for i := -h; i <= h; i++ {
		win = append(win, at(i))
	}
	slices.Sort(win)
	out := make([]float64, n)
	for i := range out {
		out[i] = win[h]
		replace(win, at(i-h), at(i+h+1))
	}
	return out
}

// background is the running median taken every third of its width and joined by straight lines: what it is wanted
// for is level over a width anyway.
func background(x []float64, k int) []float64 {
	k |= 1
	h := k / 2
	hop := max(k/3, 1)
	n := len(x)
	if n == 0 {
		return nil
	}
	out := make([]float64, n)
	win := make([]float64, k)
	last := 0
	for c := 0; ; c = min(c+hop, n-1) {
		for i := range win {
			win[i] = x[min(max(c-h+i, 0), n-1)]
		}
		out[c] = nth(win, h)
		for i := last + 1; i < c; i++ {
			q := float64(i-last) / float64(c-last)
			out[i] = out[last] + q*(out[c]-out[last])
		}
		if last = c; c == n-1 {
			return out
		}
	}
}

// nth puts the k-th smallest value of x in its place and gives it (C. A. R. Hoare, Algorithm 65, Communications of
// the ACM 4, 1961, 321-322). It reorders x.
func nth(x []float64, k int) float64 {
	for lo, hi := 0, len(x)-1; lo < hi; {
		p := x[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for x[i] < p {
				i++
			}
			for x[j] > p {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		if j < k {
			lo = i
		}
		if k < i {
			hi = j
		}
	}
	return x[k]
}

// replace takes old out of a sorted window and puts v in.
func replace(win []float64, old, v float64) {
	if old == v {
		return
	}
	i, j := search(win, old), search(win, v)
	if j > i {
		copy(win[i:], win[i+1:j])
		win[j-1] = v
		return
	}
	copy(win[j+1:i+1], win[j:i])
	win[j] = v
}

// search is the first place in a sorted window not below v. NaN never gets this far.
func search(win []float64, v float64) int {
	lo, n := 0, len(win)
	for n > 0 {
		h := n >> 1
		if win[lo+h] < v {
			lo += h + 1
			n -= h + 1
		} else {
			n = h
		}
	}
	return lo
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	s := slices.Clone(x)
	slices.Sort(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// max3 is the largest of each value and its two neighbours.
func max3(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		if i > 0 {
			v = max(v, x[i-1])
		}
		if i+1 < len(x) {
			v = max(v, x[i+1])
		}
		out[i] = v
	}
	return out
}

// autocorrelation of x at lags 0 to m-1, by transform.
func autocorrelation(x []float64, m int) []float64 {
	n := longer(len(x) + m)
	pad := make([]float64, n)
	copy(pad, x)
	c := transform(pad)
	for i, v := range c {
		c[i] = complex(abs2(v), 0)
	}
	return inverse(c, n)[:m]
}
