package surface

import (
	"cmp"
	"math"
	"slices"
)

const (
	topShare = 0.92 // of a rib's pitch: what of it is searched, all but the bottom of its grooves
	steepest = 4    // directions to each side of square across a rib
	turn     = 0.62 // rad, about 35°: the steepest of them
	pieces   = 5    // of a line across a rib's tip, each of which has to be dark
)

// lane is the top of one rib with its light evened out: what is left is the share of light that is more or less than
// what the rib has there usually. Columns run along the rib and are stored one after another.
type lane struct {
	rib   int
	w, h  int
	x0    float64   // px of the strip: its first column
	perMM float64   // px
	share []float32 // w columns of h
	worth []float32 // of a place in a sum across the rib, as share
	dead  []float32 // as share: how much of the place and its neighbours along is burnt out or black
	dull  []bool    // of a row: most of it is
}

func (l *lane) column(v []float32, x int) []float32 { return v[x*l.h : (x+1)*l.h] }

// middle is the column in the middle of the rib's tip.
func (l *lane) middle() float64 { return float64(l.w-1) / 2 }

// even takes out of a rib's top the profile across it, the slow change along it and sheen: each column is divided by
// the mean of its neighbourhood along the rib, from which what is much darker or lighter is left out.
func (l *lane) even(p Picture) {
	half := int(math.Round(2 * l.perMM))
	first, base, bent := make([]float32, l.h), make([]float32, l.h), make([]float32, l.h)
	x0 := int(l.x0)
	l.dead = grown(l.dead, len(l.share))
	burnt := make([]float32, l.h)
	near := int(0.3*l.perMM) + 1
	for x := range l.w {
		col, dead := l.column(l.share, x), l.column(l.dead, x)
		for y := range col {
			v := float32(p.Light[y*p.Width+x0+x])
			col[y], bent[y] = v, 0
			if v > 0.985 || v < 0.01 {
				bent[y] = 1
			}
		}
		boxMean(dead, bent, near)
		for y, d := range dead {
			burnt[y] += d / float32(l.w)
		}
		boxMean(first, col, half)
		dev := 0.0
		for y, v := range col {
			dev += math.Abs(float64(v-first[y])) / float64(max(first[y], 1e-3))
		}
		limit := float32(1.5 * dev / float64(l.h))
		for range 2 {
			for y, v := range col {
				bent[y] = min(max(v, first[y]*(1-limit)), first[y]*(1+limit))
			}
			boxMean(base, bent, half)
			first, base = base, first
		}
		for y, v := range col {
			col[y] = v/max(first[y], 0.01) - 1
		}
	}
	l.dull = grown(l.dull, l.h)
	for y, n := range burnt {
		l.dull[y] = n > 0.6
	}
}

// boxMean is the mean of up to half values to both sides; at the ends of as many as there are.
func boxMean(dst, v []float32, half int) {
	sum, n := 0.0, 0
	for y := 0; y < min(half, len(v)); y++ {
		sum += float64(v[y])
		n++
	}
	for y := range v {
		if y+half < len(v) {
			sum += float64(v[y+half])
			n++
		}
		if y-half-1 >= 0 {
			sum -= float64(v[y-half-1])
			n--
		}
		dst[y] = float32(sum / float64(n))
	}
}

// across filters columns along the rib for dark lines of a width: how much darker a place is, on average over a
// Gaussian, than over one of wider (Marr and Hildreth 1980). Of noise that is 1 in each pixel the root mean square of
// what it leaves is norm.
type across struct {
	sigma  float64 // px
	kernel []float32
	norm   float64
	value  []float32 // as lane.share
}

const wider = 2.5 // the second Gaussian of a filter over the first

func (a *across) set(sigma float64) {
	a.sigma = sigma
	n := int(math.Ceil(3 * wider * sigma))
	small, great := make([]float64, n+1), make([]float64, n+1)
	sumS, sumG := 0.0, 0.0
	for j := range small {
		u := float64(j*j) / (2 * sigma * sigma)
		small[j], great[j] = math.Exp(-u), math.Exp(-u/(wider*wider))
		k := 2.0
		if j == 0 {
			k = 1
		}
		sumS, sumG = sumS+k*small[j], sumG+k*great[j]
	}
	a.kernel, a.norm = make([]float32, n+1), 0
	for j := range small {
		k := great[j]/sumG - small[j]/sumS
		a.kernel[j] = float32(k)
		a.norm += k * k
		if j > 0 {
			a.norm += k * k
		}
	}
	a.norm = math.Sqrt(a.norm)
}

// fill filters a lane.
func (a *across) fill(l *lane) {
	n := len(a.kernel) - 1
	a.value = grown(a.value, len(l.share))
	padded := make([]float32, l.h+2*n)
	for x := range l.w {
		in, out := l.column(l.share, x), l.column(a.value, x)
		copy(padded[n:], in)
		for j := range n { // beyond an end lies its mirror image
			padded[n-1-j] = in[min(j, l.h-1)]
			padded[n+l.h+j] = in[max(l.h-1-j, 0)]
		}
		mid := padded[n:][:l.h]
		k := a.kernel[0]
		for y, v := range mid {
			out[y] = k * v
		}
		for j := 1; j <= n; j++ {
			addEvenPair(out, padded[n-j:], padded[n+j:], a.kernel[j])
		}
	}
}

func addEvenPair(dst, a, b []float32, k float32) {
	a, b = a[:len(dst)], b[:len(dst)]
	for i := range dst {
		dst[i] += k * (a[i] + b[i])
	}
}

// course is the way a line takes across a rib's top: so many px along a px across, and where the belt is seen aslant
// along its length, what lies deeper on the flanks moved along, by its depth times the tangent of that slant.
type course struct{ slope, slant float64 }

const (
	tipHalf   = 0.4  // mm: half of a rib's flat tip
	steepness = 2.75 // of a flank: 40° between the two (ISO 9982)
	lowest    = 2.2  // mm below the tip, about a groove's bottom
)

// courses are those that are tried.
var courses = func() (all []course) {
	for _, slant := range []float64{0, 0.2, -0.2, 0.4, -0.4, 0.7, -0.7, 1, -1} {
		for d := -steepest; d <= steepest; d++ {
			all = append(all, course{math.Tan(turn * float64(d) / steepest), slant})
		}
	}
	return all
}()

// along is how far along the rib, px, a course has come some px from the middle of the rib.
func (c course) along(u, perMM float64) float64 {
	deep := min(max(math.Abs(u)-tipHalf*perMM, 0)*steepness, lowest*perMM)
	return c.slope*u + c.slant*deep
}

// sum sums filtered columns, from one to before another, along a course, each times a pattern where there is one.
func (l *lane) sum(dst, v []float32, c course, from, to int, pattern func(x int) float32) {
	clear(dst)
	for x := from; x < to; x++ {
		k := float32(1)
		if pattern != nil {
			k = pattern(x - from)
		}
		at := c.along(float64(x)-l.middle(), l.perMM)
		whole := math.Floor(at)
		share := float32(at - whole)
		col, i := l.column(v, x), int(whole)
		low, high := max(0, -i), min(l.h, l.h-1-i)
		if low >= high {
			continue
		}
		mix(dst[low:high], col[low+i:], col[low+i+1:], k*(1-share), k*share)
	}
}

// band is which columns lie within some mm of the middle.
func (l *lane) band(half float64) (from, to int) {
	n := min(max(int(math.Round(half*l.perMM-0.5*float64(1-l.w%2))), 2), l.w/2-1)
	return l.w/2 - n, l.w/2 + n + l.w%2
}

func mix(dst, a, b []float32, ka, kb float32) {
	a, b = a[:len(dst)], b[:len(dst)]
	for i := range dst {
		dst[i] += ka*a[i] + kb*b[i]
	}
}

// spread is the standard deviation of normal values from the median of their sizes, of every step-th.
func spread(v []float32, step int, buffer []float32) (float64, []float32) {
	buffer = buffer[:0]
	for i := 0; i < len(v); i += step {
		buffer = append(buffer, abs(v[i]))
	}
	if len(buffer) == 0 {
		return 0, buffer
	}
	slices.SortFunc(buffer, func(a, b float32) int { return cmp.Compare(a, b) })
	return float64(buffer[len(buffer)/2]) / 0.6745, buffer
}

// laneFrom is the first column of a strip that belongs to a rib's top.
func laneFrom(s Strip, rib int) int {
	return int(math.Round((float64(rib) + 0.5 - topShare/2) * s.Pitch * s.PerMM))
}

// cut takes a rib's top out of a strip and evens it out; ok is false where there is too little of it.
func (l *lane) cut(s Strip, rib int) (ok bool) {
	from := laneFrom(s, rib)
	to := int(math.Round((float64(rib) + 0.5 + topShare/2) * s.Pitch * s.PerMM))
	l.rib, l.perMM, l.x0, l.w, l.h = rib, s.PerMM, float64(from), min(to, s.Width)-from, s.Height
	if l.h < 40 || l.w < pieces {
		return false
	}
	l.share = grown(l.share, l.w*l.h)
	l.even(s.Picture)
	return true
}
