package surface

import "math"

// plane holds a value of each pixel, row by row. The search works on single precision: its places and figures are read
// off the picture itself in the end.
type plane struct {
	w, h int
	v    []float32
}

func (p *plane) resize(w, h int) { p.w, p.h, p.v = w, h, grown(p.v, w*h) }

func (p *plane) row(y int) []float32 {
	y = min(max(y, 0), p.h-1)
	return p.v[y*p.w : (y+1)*p.w]
}

// halved is the plane at half the size: the mean of each two by two pixels.
func (p *plane) halved() plane {
	var out plane
	out.resize((p.w+1)/2, (p.h+1)/2)
	for y := range out.h {
		a, b, dst := p.row(2*y), p.row(2*y+1), out.row(y)
		for x := range p.w / 2 {
			dst[x] = 0.25 * (a[2*x] + a[2*x+1] + b[2*x] + b[2*x+1])
		}
		if p.w%2 == 1 {
			dst[out.w-1] = 0.5 * (a[p.w-1] + b[p.w-1])
		}
	}
	return out
}

// taps is how far a Gaussian of the search reaches, px, and variance is that of the widest within it; wider ones are
// made of several.
const (
	taps     = 4
	variance = 1.7
)

// smooth convolves a plane with a Gaussian of the given variance (px²); beyond an edge goes on what lies at it.
func (p *plane) smooth(v float64, spare *plane) {
	for ; v > 0.01; v -= variance {
		var k [taps + 1]float32
		sum := 0.0
		for i := range k {
			each := math.Exp(-0.5 * float64(i*i) / min(v, variance))
			k[i] = float32(each)
			if sum += each; i > 0 {
				sum += each
			}
		}
		for i := range k {
			k[i] /= float32(sum)
		}
		spare.resize(p.w, p.h)
		line := make([]float32, p.w+2*taps)
		for y := range p.h {
			row := p.row(y)
			copy(line[taps:], row)
			for i := range taps {
				line[i], line[taps+p.w+i] = row[0], row[p.w-1]
			}
			var at [2*taps + 1][]float32
			for i := range at {
				at[i] = line[i:]
			}
			weightedRows(spare.row(y), at, k)
		}
		for y := range p.h {
			var at [2*taps + 1][]float32
			for i := range at {
				at[i] = spare.row(y + i - taps)
			}
			weightedRows(p.row(y), at, k)
		}
	}
}

func weightedRows(dst []float32, at [2*taps + 1][]float32, k [taps + 1]float32) {
	n := len(dst)
	a, b, c, d, e := at[0][:n], at[1][:n], at[2][:n], at[3][:n], at[4][:n]
	f, g, h, i := at[5][:n], at[6][:n], at[7][:n], at[8][:n]
	k0, k1, k2, k3, k4 := k[0], k[1], k[2], k[3], k[4]
	for x := range dst {
		dst[x] = k0*e[x] + k1*(d[x]+f[x]) + k2*(c[x]+g[x]) + k3*(b[x]+h[x]) + k4*(a[x]+i[x])
	}
}

// bends holds second derivatives of a plane by differences of neighbours: xx and yy as a Gaussian whose variance is
// greater by a sixth across the line, and xy as one greater by a third.
type bends struct{ xx, xy, yy plane }

func (b *bends) fill(p *plane) {
	b.xx.resize(p.w, p.h)
	b.xy.resize(p.w, p.h)
	b.yy.resize(p.w, p.h)
	pad := func(dst []float32, y int) {
		row := p.row(y)
		copy(dst[1:], row)
		dst[0], dst[p.w+1] = row[0], row[p.w-1]
	}
	above, here, below := make([]float32, p.w+2), make([]float32, p.w+2), make([]float32, p.w+2)
	pad(here, 0)
	pad(below, 0)
	for y := range p.h {
		above, here, below = here, below, above
		pad(below, y+1)
		bendRow(b.xx.row(y), b.xy.row(y), b.yy.row(y), above, here, below)
	}
}

func bendRow(xx, xy, yy, above, here, below []float32) {
	n := len(xx)
	xy, yy, above, here, below = xy[:n], yy[:n], above[:n+2], here[:n+2], below[:n+2]
	a0, b0, c0, a1, b1, c1 := above[0], here[0], below[0], above[1], here[1], below[1]
	above, here, below = above[2:][:n], here[2:][:n], below[2:][:n]
	e0, e1 := a0-2*b0+c0, a1-2*b1+c1
	for x := range xx {
		a2, b2, c2 := above[x], here[x], below[x]
		e2 := a2 - 2*b2 + c2
		across := a0 - 2*a1 + a2 + c0 - 2*c1 + c2 + 4*(b0-2*b1+b2)
		xx[x], yy[x], xy[x] = across/6, (e0+4*e1+e2)/6, (a0-a2-c0+c2)/4
		a0, b0, c0, a1, b1, c1, e0, e1 = a1, b1, c1, a2, b2, c2, e1, e2
	}
}

// limit scales second derivatives down where the greater of both eigenvalues exceeds a limit, so that all but a share
// of what is beyond it is gone.
func (b *bends) limit(y int, most []float32, share float32) {
	xx, xy, yy := b.xx.row(y), b.xy.row(y), b.yy.row(y)
	most, xy, yy = most[:len(xx)], xy[:len(xx)], yy[:len(xx)]
	for x, m := range most {
		a, c, d := xx[x], xy[x], yy[x]
		if max(abs(a), abs(d))+abs(c) <= m { // no less than either eigenvalue
			continue
		}
		half := float64(a-d) / 2
		l := abs(a+d)/2 + float32(math.Sqrt(half*half+float64(c)*float64(c)))
		if l <= m {
			continue
		}
		k := (m + share*(l-m)) / l
		xx[x], xy[x], yy[x] = k*a, k*c, k*d
	}
}

func abs(v float32) float32 { return math.Float32frombits(math.Float32bits(v) &^ (1 << 31)) }
