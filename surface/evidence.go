package surface

import (
	"math"
	"slices"
)

const (
	tile = 48 // px: the grain is measured by tiles of this side
	// still is the least grain: the strength that rounding to 256 steps of light leaves, about.
	still = 0.0005
	// most is what a single pixel counts along a line, nearly at the most, in standard deviations of the grain: a stone
	// is no crack, however dark.
	most = 3
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
	z    []float32 // in standard deviations of the grain
	dir  []uint8   // of [bearings]
}

// bearing is a direction of lines: slope steps across for each step along, which is x, or y where steep.
type bearing struct {
	steep bool
	slope float64
	along Point // unit vector
}

// bearings are sixteen directions over half a turn whose slopes are quarters, so that lines of whole pixels follow
// them.
var bearings = func() (out []bearing) {
	for _, steep := range []bool{false, true} {
		for k := -4; k <= 4; k++ {
			slope := float64(k) / 4
			if steep && (k == -4 || k == 4) {
				continue // the diagonals are there
			}
			way, _ := Point{1, slope}.unit()
			if steep {
				way.X, way.Y = way.Y, way.X
			}
			out = append(out, bearing{steep, slope, way})
		}
	}
	return out
}()

func normal(dir uint8) (x, y float64) { return -bearings[dir].along.Y, bearings[dir].along.X }

// gather sums σ² n·H·n, the second derivative across each direction, along that direction over about a Gaussian of
// standard deviation reach: the response of a long second-derivative filter, whose pixels count up to a limit. Of each
// scale the sums are divided by those that the grain gives there, and the greatest over scales and directions is kept.
// Scales of 2 px and more are looked for in the picture at half size, those of 4 px at a quarter, and so on.
func gather(p Picture, scales []float64, reach float64) evidence {
	n := len(p.Light)
	e := evidence{w: p.Width, h: p.Height, z: make([]float32, n), dir: make([]uint8, n)}
	var at plane
	at.resize(p.Width, p.Height)
	for i, v := range p.Light {
		at.v[i] = float32(v)
	}
	var g gatherer
	size, blur := 1, 0.0 // px of the picture to one of the plane; variance that halving gave it, its px²
	scales = slices.Sorted(slices.Values(scales))
	for len(scales) > 0 {
		for scales[0] >= 2*float64(size) && min(at.w, at.h) >= 2*tile {
			at, size, blur = at.halved(), 2*size, blur/4+1./16
		}
		next := 1
		for next < len(scales) && (scales[next] < 2*float64(size) || min(at.w, at.h) < 2*tile) {
			next++
		}
		g.level(&e, at, size, blur, scales[:next], reach)
		scales = scales[next:]
	}
	return e
}

// gatherer holds what gathering uses again.
type gatherer struct {
	smoothed, spare plane
	bends           bends
	grain           grain
	best            []int32 // of each pixel its greatest sum, the bearing in the last bits
	row             []float32
	lines           lineSum
}

// bearingBits are those of a sum that tell its bearing: a sum is right to 2⁻¹⁸ of itself.
const bearingBits = 31

// level looks for lines of several scales in a plane, size px of the picture to one of its own.
func (g *gatherer) level(e *evidence, p plane, size int, blur float64, scales []float64, reach float64) {
	g.smoothed.resize(p.w, p.h)
	copy(g.smoothed.v, p.v)
	has := blur + 1./6 // differences are taken for derivatives, see bends
	for _, sigma := range scales {
		own := sigma / float64(size)
		g.smoothed.smooth(own*own-has, &g.spare)
		has = max(has, own*own)
		g.bends.fill(&g.smoothed)
		g.limit(own)
		g.best = grown(g.best, p.w*p.h)
		g.grain.begin(p.w, p.h, max(tile/3, tile/size))
		g.lines.plan(reach / math.Sqrt(float64(size)))
		g.lines.gather(&g.bends, float32(own*own), g.best, &g.grain)
		g.grain.settle()
		g.keep(e, p.w, p.h, size)
	}
}

// limit limits what each pixel counts, see most.
func (g *gatherer) limit(own float64) {
	b := &g.bends
	w, h := b.xx.w, b.xx.h
	g.grain.begin(w, h, tile)
	for y := 1; y < h; y += 4 {
		xx, xy, yy := b.xx.row(y), b.xy.row(y), b.yy.row(y)
		for x := 1; x < w; x += 4 {
			t := g.grain.tile(x, y)
			g.grain.sample(t, xx[x])
			g.grain.sample(t, yy[x])
			g.grain.sample(t, (xx[x]+yy[x])/2+xy[x])
			g.grain.sample(t, (xx[x]+yy[x])/2-xy[x])
		}
	}
	g.grain.least = still / (own * own)
	g.grain.settle()
	g.row = grown(g.row, w)
	for y := range h {
		g.grain.row(g.row, y)
		for x := range g.row {
			g.row[x] *= most
		}
		b.limit(y, g.row, beyond)
	}
}

// keep takes over what is stronger than what other scales found.
func (g *gatherer) keep(e *evidence, w, h, size int) {
	g.row = grown(g.row, w)
	if size == 1 {
		for y := range h {
			g.grain.row(g.row, y)
			best, z, dir := g.best[y*w:][:w], e.z[y*w:][:w], e.dir[y*w:][:w]
			for x, s := range g.row {
				if v := math.Float32frombits(uint32(best[x])) / s; v > z[x] {
					z[x], dir[x] = v, uint8(best[x]&bearingBits)
				}
			}
		}
		return
	}
	strength := grown(g.spare.v, w*h)
	for y := range h {
		g.grain.row(g.row, y)
		for x, s := range g.row {
			strength[y*w+x] = math.Float32frombits(uint32(g.best[y*w+x])) / s
		}
	}
	// Between the pixels of the smaller plane lies what is between them.
	k := 1 / float32(size)
	from, share := make([]int, e.w), make([]float32, e.w)
	for x := range from {
		u := min(max((float32(x)+0.5)*k-0.5, 0), float32(w-1))
		from[x] = int(u)
		share[x] = u - float32(from[x])
	}
	line, own := make([]float32, w+1), make([]uint8, e.w)
	for y := range e.h {
		v := min(max((float32(y)+0.5)*k-0.5, 0), float32(h-1))
		iy := int(v)
		fy := v - float32(iy)
		a, b := strength[iy*w:][:w], strength[min(iy+1, h-1)*w:][:w]
		for x := range a {
			line[x] = a[x] + fy*(b[x]-a[x])
		}
		line[w] = line[w-1]
		if y%size == 0 {
			best := g.best[min(y/size, h-1)*w:][:w]
			for x := range own {
				own[x] = uint8(best[min(x/size, w-1)] & bearingBits)
			}
		}
		z, dir := e.z[y*e.w:][:e.w], e.dir[y*e.w:][:e.w]
		for x, i := range from {
			if s := line[i] + share[x]*(line[i+1]-line[i]); s > z[x] {
				z[x], dir[x] = s, own[x]
			}
		}
	}
}

// lineSum sums along lines by doubling: two neighbours along a line, two such sums two steps apart, and so on, so that
// the cost hardly grows with the length. A sample is two pixels along, and the picture is worked off by tiles that
// stay near the processor.
type lineSum struct {
	steps            []int // distances of the sums that are added, in samples
	total            int   // of all steps
	xx, xy, yy, a, b []float32
	best             []int32
}

// plan chooses steps whose sum has about the standard deviation reach: two places s apart have the variance s²/4.
func (l *lineSum) plan(reach float64) {
	l.steps, l.total = l.steps[:0], 0
	has, long := 0.25, 1 // of a sample itself; samples that a sum reaches over without a hole
	for {
		want := math.Sqrt(max(reach*reach-has, 0)) // half the step, px, which is samples
		step := min(int(math.Round(want)), long)
		if step == 0 {
			return
		}
		l.steps, l.total = append(l.steps, step), l.total+step
		has, long = has+float64(step*step), long+step
	}
}

// block is the side of a tile of sums, px.
const block = 256

// gather sets of each pixel the greatest sum, with its bearing in the last bits, and samples sums of all bearings.
func (l *lineSum) gather(b *bends, k float32, best []int32, g *grain) {
	w, h := b.xx.w, b.xx.h
	clear(best)
	for y := 0; y < h; y += block {
		for x := 0; x < w; x += block {
			for _, steep := range []bool{false, true} {
				l.tile(b, k, best, g, steep, x, y, min(x+block, w), min(y+block, h))
			}
		}
	}
}

// tile sums within a tile whose corner lies at even pixels. Along and across are x and y, or y and x where steep.
func (l *lineSum) tile(b *bends, k float32, best []int32, g *grain, steep bool, x0, y0, x1, y1 int) {
	w := b.xx.w
	out, cross := (x1-x0+1)/2, y1-y0 // samples wanted along and across
	if steep {
		out, cross = (y1-y0+1)/2, x1-x0
	}
	odd := l.total & 1                     // an odd number of steps ends between samples
	before, beside := l.total/2, l.total+2 // samples needed before and beside
	na, nc := out+l.total+1, cross+2*beside
	stride, stepAlong, stepAcross := na, 1, na
	if steep {
		stride, stepAlong, stepAcross = nc, nc, 1
	}
	n := na * nc
	l.a, l.b = grown(l.a, n), grown(l.b, n)
	l.xx, l.xy, l.yy = grown(l.xx, n), grown(l.xy, n), grown(l.yy, n)
	l.best = grown(l.best, out*cross)
	clear(l.best)
	shear := 99
	for dir, c := range bearings {
		if c.steep != steep {
			continue
		}
		if s := int(math.Round(c.slope)); s != shear {
			shear = s
			for i, dst := range [][]float32{l.xx, l.xy, l.yy} {
				if src := []*plane{&b.xx, &b.xy, &b.yy}[i]; steep {
					pairDown(dst, src, x0-beside, y0-2*before-odd, nc, na, shear)
				} else {
					pairAlong(dst, src, x0-2*before-odd, y0-beside, na, nc, shear)
				}
			}
		}
		// Across the line (-slope, 1) or (1, -slope), of length 1.
		nx, ny := normal(uint8(dir))
		k := k / float32(int(2)<<len(l.steps)) // each step doubles what is in a sum
		combine(l.a, l.xx, l.xy, l.yy, k*float32(nx*nx), k*float32(2*nx*ny), k*float32(ny*ny))
		moved, last, from, to := shear, 0, l.a, l.b
		along := 1 // px
		for i, s := range l.steps {
			along += 2 * s
			off := int(math.Round(float64(along)*c.slope)) - moved
			if i == len(l.steps)-1 {
				last = s*stepAlong + off*stepAcross
			} else {
				addMoved(to, from, s*stepAlong+off*stepAcross)
				from, to = to, from
			}
			moved += off
		}
		// The middle of a sum lies half of all its moves on.
		half := moved >> 1
		lead, rows, each := 0, cross, out
		if steep {
			rows, each = out, cross
		}
		for r := range rows {
			if steep {
				lead = r*stride + beside - half
			} else {
				lead = (r + beside - half) * stride
			}
			keepGreatest(l.best[r*each:][:each], from[lead:], from[lead+last:], int32(dir))
			if (steep && r%2 == 0) || (!steep && r%4 == 1) {
				gap, first := 2, 1
				if steep {
					gap = 4
				}
				for i := first; i < each; i += gap {
					x, y := x0+2*i, y0+r
					if steep {
						x, y = x0+i, y0+2*r
					}
					g.sample(g.tile(min(x, x1-1), min(y, y1-1)), from[lead+i]+from[lead+last+i])
				}
			}
		}
	}
	if steep {
		for y := y0; y < y1; y++ {
			dst, src := best[y*w+x0:y*w+x1], l.best[(y-y0)/2*cross:][:cross]
			for x, v := range src {
				dst[x] = max(dst[x], v)
			}
		}
		return
	}
	for y := y0; y < y1; y++ {
		dst, src := best[y*w+x0:y*w+x1], l.best[(y-y0)*out:][:out]
		for x := range dst {
			dst[x] = max(dst[x], src[x/2])
		}
	}
}

// pairAlong sets sums of two pixels side by side, the second one moved down, of rows from x, y on; beyond an edge goes
// on what lies at it.
func pairAlong(dst []float32, p *plane, x, y, na, nc, down int) {
	for r := range nc {
		out, a, b := dst[r*na:][:na], p.row(y+r), p.row(y+r+down)
		i, u := 0, x
		for ; i < na && u < 0; i, u = i+1, u+2 {
			out[i] = a[0] + b[min(max(u+1, 0), p.w-1)]
		}
		for ; i < na && u+1 < p.w; i, u = i+1, u+2 {
			out[i] = a[u] + b[u+1]
		}
		for ; i < na; i, u = i+1, u+2 {
			out[i] = a[min(u, p.w-1)] + b[p.w-1]
		}
	}
}

// pairDown does so of two pixels one below the other, the lower one moved to the right.
func pairDown(dst []float32, p *plane, x, y, nc, na, right int) {
	for r := range na {
		out, a, b := dst[r*nc:][:nc], p.row(y+2*r), p.row(y+2*r+1)
		from, to := min(max(-x, 0, -x-right), nc), max(min(p.w-x, p.w-x-right, nc), 0)
		for i := range from {
			out[i] = a[min(max(x+i, 0), p.w-1)] + b[min(max(x+i+right, 0), p.w-1)]
		}
		if from < to {
			addTo(out[from:to], a[x+from:], b[x+from+right:])
		}
		for i := max(from, to); i < nc; i++ {
			out[i] = a[min(max(x+i, 0), p.w-1)] + b[min(max(x+i+right, 0), p.w-1)]
		}
	}
}

func addTo(dst, a, b []float32) {
	a, b = a[:len(dst)], b[:len(dst)]
	for i := range dst {
		dst[i] = a[i] + b[i]
	}
}

func combine(dst, a, b, c []float32, ka, kb, kc float32) {
	a, b, c = a[:len(dst)], b[:len(dst)], c[:len(dst)]
	for i := range dst {
		dst[i] = ka*a[i] + kb*b[i] + kc*c[i]
	}
}

// addMoved adds to each value that a number of places on; where there is none dst keeps what it holds.
func addMoved(dst, src []float32, by int) {
	if by >= 0 {
		addTo(dst[:len(src)-by], src, src[by:])
		return
	}
	addTo(dst[-by:], src[-by:], src)
}

// keepGreatest keeps the greatest of what it holds and sums of a and b. Numbers above 0 compare as their bits do.
func keepGreatest(best []int32, a, b []float32, dir int32) {
	a, b = a[:len(best)], b[:len(best)]
	for i, v := range best {
		best[i] = max(v, int32(math.Float32bits(a[i]+b[i]))&^bearingBits|dir)
	}
}

// grain is how strong sums are where there is no line, as a standard deviation: a quantile q of their sizes in all
// directions, by tiles, over √2 erf⁻¹(q), which is 1 for normal values (as Hampel 1974 takes the median). Sizes are
// counted in bins of a thirty-second of a power of two.
type grain struct {
	w, h, cols, rows int
	least            float64
	seen             []uint16 // tile by tile
	column           []uint16 // of a pixel, the column of its tile
	size             []float64
}

const (
	binShift = 23 - 5
	firstBin = (127 - 20) << 5 // 2⁻²⁰: less is as little
	bins     = 24 << 5         // to 2⁴
)

func (g *grain) begin(w, h, side int) {
	g.w, g.h, g.cols, g.rows, g.least = w, h, max(1, w/side), max(1, h/side), still
	g.size, g.seen, g.column = grown(g.size, g.cols*g.rows), grown(g.seen, g.cols*g.rows*bins), grown(g.column, w)
	clear(g.seen)
	for x := range g.column {
		g.column[x] = uint16(x * g.cols / w)
	}
}

func (g *grain) tile(x, y int) int { return (y*g.rows/g.h)*g.cols + int(g.column[x]) }

func (g *grain) sample(tile int, v float32) {
	bin := int(math.Float32bits(v)&^(1<<31)>>binShift) - firstBin
	if c := &g.seen[tile*bins+min(max(bin, 0), bins-1)]; *c < math.MaxUint16 {
		*c++
	}
}

// settle takes the geometric mean of a tile's grain and the median of all tiles, since a tile full of lines is no
// grain.
func (g *grain) settle() {
	for i := range g.size {
		g.size[i] = max(g.least, g.quantile(i)/(math.Sqrt2*math.Erfinv(quantile)))
	}
	all := slices.Sorted(slices.Values(g.size))
	whole := all[len(all)/2]
	for i := range g.size {
		g.size[i] = math.Pow(g.size[i], local) * math.Pow(whole, 1-local)
	}
}

func (g *grain) quantile(tile int) float64 {
	seen, n := g.seen[tile*bins:][:bins], 0
	for _, c := range seen {
		n += int(c)
	}
	want, sum := quantile*float64(n), 0.0
	for bin, c := range seen {
		if c > 0 && sum+float64(c) >= want {
			edge := func(bin int) float64 { return float64(math.Float32frombits(uint32(bin+firstBin) << binShift)) }
			return edge(bin) + (want-sum)/float64(c)*(edge(bin+1)-edge(bin))
		}
		sum += float64(c)
	}
	return 0
}

// row sets the grain at a row of pixels, between the middles of tiles by bilinear interpolation.
func (g *grain) row(dst []float32, y int) {
	v := min(max((float64(y)+0.5)*float64(g.rows)/float64(g.h)-0.5, 0), float64(g.rows-1))
	iy := min(int(v), max(g.rows-2, 0))
	fy, down := v-float64(iy), min(1, g.rows-1)*g.cols
	at := func(col int) float64 {
		i := iy*g.cols + min(max(col, 0), g.cols-1)
		return g.size[i] + fy*(g.size[i+down]-g.size[i])
	}
	k := float64(g.cols) / float64(g.w)
	for x, col := 0, -1; x < len(dst); col++ {
		a, b := at(col), at(col+1)
		for ; x < len(dst); x++ {
			u := (float64(x)+0.5)*k - 0.5 - float64(col)
			if u >= 1 && col < g.cols {
				break
			}
			dst[x] = float32(a + u*(b-a))
		}
	}
}
