package surface

import (
	"math"
	"slices"
)

const (
	directions = 16 // of lines, over half a turn
	tile       = 48 // px: the grain is measured by tiles of this side
	// still is the least grain: the strength that rounding to 256 steps of light leaves, about.
	still = 0.0005
	// most is what a single pixel counts along a line, nearly at the most, in standard deviations of the grain: a stone
	// is no crack, however dark.
	most = 3.5
	// beyond is the share of what is more that counts nevertheless, so that the middle of a deep crack stays its
	// middle.
	beyond = 0.02
	// quantile is that of the sizes of sums from which the grain is taken: among stones the median tells too little.
	quantile = 0.8
	// local is the share of a tile in the grain taken for it, the rest being the whole picture's.
	local = 0.5
)

// evidence says of each pixel how far its best line stands out of the grain, and which line that is.
type evidence struct {
	w, h int
	z    []float64 // in standard deviations of the grain
	dir  []uint8   // angle across the line, in steps of π/directions
}

func normal(dir uint8) (x, y float64) {
	y, x = math.Sincos(float64(dir) * math.Pi / directions)
	return x, y
}

// gather sums σ² n·H·n, the second derivative across each direction, along that direction with Gaussian weights of
// standard deviation reach: the response of a long second-derivative filter, whose pixels count up to a limit. Of each
// scale the sums are divided by those that the grain gives there, and the greatest over scales and directions is kept.
func gather(p Picture, scales []float64, reach float64) evidence {
	n := len(p.Light)
	e := evidence{w: p.Width, h: p.Height, z: make([]float64, n), dir: make([]uint8, n)}
	var h Hessian
	var s scratch
	line, grain := newLineSum(p.Width, p.Height, reach), newGrain(p.Width, p.Height)
	best, dir, sum := make([]float64, n), make([]uint8, n), make([]float64, n)
	for _, sigma := range scales {
		h.fill(p, sigma, &s)
		line.limits(h, grain, sum)
		clear(best)
		for d := range uint8(directions) {
			line.across(h, d)
			line.sum(sum, d)
			grain.sample(sum)
			for i, v := range sum {
				if v > best[i] {
					best[i], dir[i] = v, d
				}
			}
		}
		grain.settle()
		for y := range p.Height {
			for x := range p.Width {
				i := y*p.Width + x
				if z := best[i] / grain.at(x, y); z > e.z[i] {
					e.z[i], e.dir[i] = z, dir[i]
				}
			}
		}
	}
	return e
}

// lineSum sums along lines over a picture with a margin on all sides.
type lineSum struct {
	w, h, margin, stride int
	padded               []float64
	reach                float64
	limit                []float64 // of each pixel, see most
}

// limits sets what each pixel counts at the most.
func (l *lineSum) limits(h Hessian, g *grain, v []float64) {
	for d := uint8(0); d < directions; d += directions / 4 {
		c, s := normal(d)
		k := h.Sigma * h.Sigma
		for i := range v {
			v[i] = k * (c*c*h.XX[i] + 2*c*s*h.XY[i] + s*s*h.YY[i])
		}
		g.sample(v)
	}
	g.settle()
	l.limit = grown(l.limit, l.w*l.h)
	for y := range l.h {
		for x := range l.w {
			l.limit[y*l.w+x] = most * g.at(x, y)
		}
	}
}

func newLineSum(w, h int, reach float64) *lineSum {
	margin := int(2*reach+0.5) + 1
	return &lineSum{w: w, h: h, margin: margin, stride: w + 2*margin, reach: reach,
		padded: make([]float64, (w+2*margin)*(h+2*margin))}
}

// across fills in σ² times the second derivative across a direction; beyond an edge goes on what lies at it.
func (l *lineSum) across(h Hessian, d uint8) {
	c, s := normal(d)
	square := h.Sigma * h.Sigma
	xx, xy, yy := square*c*c, 2*square*c*s, square*s*s
	for y := range l.h {
		row := l.padded[(y+l.margin)*l.stride:][:l.stride]
		in := row[l.margin : l.margin+l.w]
		a, b, e := h.XX[y*l.w:][:l.w], h.XY[y*l.w:][:l.w], h.YY[y*l.w:][:l.w]
		for x := range in {
			limit := l.limit[y*l.w+x]
			v := xx*a[x] + xy*b[x] + yy*e[x]
			in[x] = v - (1-beyond)*(v-min(max(v, -limit), limit))
		}
		for x := range l.margin {
			row[x], row[l.stride-1-x] = in[0], in[l.w-1]
		}
	}
	for y := range l.margin {
		copy(l.padded[y*l.stride:][:l.stride], l.padded[l.margin*l.stride:])
		copy(l.padded[(l.margin+l.h+y)*l.stride:][:l.stride], l.padded[(l.margin+l.h-1)*l.stride:])
	}
}

// sum sums along the lines of a direction: one pixel a step along the axis nearer to them, between two pixels along the
// other.
func (l *lineSum) sum(dst []float64, d uint8) {
	clear(dst)
	nx, ny := normal(d)
	tx, ty := -ny, nx
	step, cross, slope := 1, l.stride, 0.0
	if math.Abs(tx) >= math.Abs(ty) {
		slope = ty / tx
	} else {
		step, cross, slope = l.stride, 1, tx/ty
	}
	taps := int(2 * l.reach / math.Hypot(1, slope))
	total := 0.0
	weights := make([]float64, 2*taps+1)
	for j := -taps; j <= taps; j++ {
		weights[j+taps] = math.Exp(-0.5 * float64(j*j) * (1 + slope*slope) / (l.reach * l.reach))
		total += weights[j+taps]
	}
	for y := range l.h {
		out, from := dst[y*l.w:][:l.w], (y+l.margin)*l.stride+l.margin
		for j := -taps; j <= taps; j++ {
			side := math.Floor(float64(j) * slope)
			share, weight := float64(j)*slope-side, weights[j+taps]/total
			at := from + j*step + int(side)*cross
			addTwo(out, l.padded[at:], l.padded[at+cross:], weight*(1-share), weight*share)
		}
	}
}

func addTwo(dst, a, b []float64, ka, kb float64) {
	a, b = a[:len(dst)], b[:len(dst)]
	for i := range dst {
		dst[i] += ka*a[i] + kb*b[i]
	}
}

// grain is how strong sums are where there is no line, as a standard deviation: a quantile q of their sizes in all
// directions, by tiles, over √2 erf⁻¹(q), which is 1 for normal values (as Hampel 1974 takes the median).
type grain struct {
	w, h, cols, rows int
	seen             [][]float64
	size             []float64
}

func newGrain(w, h int) *grain {
	g := &grain{w: w, h: h, cols: max(1, w/tile), rows: max(1, h/tile)}
	g.seen, g.size = make([][]float64, g.cols*g.rows), make([]float64, g.cols*g.rows)
	each := (w/g.cols/3 + 2) * (h/g.rows/3 + 2) * directions
	for i := range g.seen {
		g.seen[i] = make([]float64, 0, each)
	}
	return g
}

func (g *grain) sample(v []float64) {
	for y := 1; y < g.h; y += 3 {
		row := y * g.rows / g.h * g.cols
		for x := 1; x < g.w; x += 3 {
			t := row + x*g.cols/g.w
			g.seen[t] = append(g.seen[t], math.Abs(v[y*g.w+x]))
		}
	}
}

// settle takes the geometric mean of a tile's grain and the median of all tiles, since a tile full of lines is no
// grain, and begins anew.
func (g *grain) settle() {
	for i, s := range g.seen {
		slices.Sort(s)
		if len(s) > 0 {
			g.size[i] = max(still, s[int(quantile*float64(len(s)))]/(math.Sqrt2*math.Erfinv(quantile)))
		} else {
			g.size[i] = still
		}
		g.seen[i] = s[:0]
	}
	all := slices.Sorted(slices.Values(g.size))
	whole := all[len(all)/2]
	for i := range g.size {
		g.size[i] = math.Pow(g.size[i], local) * math.Pow(whole, 1-local)
	}
}

// at is the grain at a pixel, between the middles of tiles by bilinear interpolation.
func (g *grain) at(x, y int) float64 {
	return bilinear(g.size, g.cols, g.rows,
		(float64(x)+0.5)*float64(g.cols)/float64(g.w)-0.5, (float64(y)+0.5)*float64(g.rows)/float64(g.h)-0.5)
}
