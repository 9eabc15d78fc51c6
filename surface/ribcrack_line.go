package surface

import (
	"cmp"
	"math"
	"slices"
)

// crackScales are the standard deviations of filters, px: cracks of 1 to 10 px with the blur of the lens.
var crackScales = []float64{0.9, 1.4, 2.2, 3.4}

// line is a dark line across one rib's top.
type line struct {
	rib          int
	scale        int // of crackScales
	course       course
	z            float64   // over the noise of sums
	y            float64   // px, at the middle of the rib
	path         []float64 // y of each column, px
	look         look
	flank        [2]float64 // px along, by how much the path on each flank is off the course of the tip
	company      company
	solo, chance float64 // that it is a crack, by its own look, and with all others
}

// look is what tells a crack from what is none.
type look struct {
	PerMM    float64 // px
	Z        float64 // strength along the path on the rib's tip over the noise
	Rest     float64 // that over the spread of all sums on this rib, cracks and texture included
	Least    float64 // least of pieces of the tip over their mean
	Dark     float64 // share of pieces darker than the noise
	Even     float64 // spread of pieces over their mean
	Lesser   float64 // strength on the flank where it is less, over the noise
	Greater  float64 // on the other
	Before   float64 // strongest light line within 0.9 mm before it, and behind it, over its own strength
	Behind   float64
	Twin     float64 // strongest dark line from 0.5 to 1.3 mm off, over its own strength
	Broad    float64 // strength of the best straight or bent course over tip and flanks
	Contrast float64 // of the mean section
	Width    float64 // mm
	Slant    float64 // rad
	Wander   float64 // of the path about its straight line, mm
	Edge     float64 // difference of both sides over the depth
	Light    float64 // strongest light line beside it over its own strength
	Eye      float64 // log odds by the net (ribeye.go)
}

// seeker finds lines on one rib.
type seeker struct {
	lane   *lane
	fields []across
	noise  [2][][]float64 // of a band, of a scale, of a tile along the rib
	broad  []float32      // best on the broad band
	plain  []float64      // of a scale: spread of sums on the whole rib
	buffer []float32
	sums   []float32
	best   []float32
	which  []uint16
	// of traceFlank
	score, before, light, never []float64
	came                        []int8
}

const quietTile = 12 // mm of rib, on which noise is measured

// bands are how far from the middle of the rib, mm, sums go: the tip alone, and with the upper flanks.
var bands = [2]float64{0.4, 1}

// run finds the lines of a lane whose fields are filled.
func (s *seeker) run() []*line {
	l := s.lane
	n := max(1, l.h/max(32, int(quietTile*l.perMM)))
	s.sums, s.best, s.which = grown(s.sums, l.h), grown(s.best, l.h), grown(s.which, l.h)
	s.broad = grown(s.broad, l.h)
	clear(s.best)
	clear(s.which)
	clear(s.broad)
	s.plain = make([]float64, len(crackScales))
	for b, half := range bands {
		s.noise[b] = make([][]float64, len(crackScales))
		from, to := l.band(half)
		for k := range crackScales {
			f := &s.fields[k]
			s.measure(f, b, k, n)
			for j, c := range courses {
				if b == 0 && c.slant != 0 {
					continue
				}
				l.sum(s.sums, f.value, c, from, to, nil)
				if b == 0 && c.slope == 0 {
					s.plain[k], s.buffer = spread(s.sums, 1, s.buffer)
				}
				code := uint16(k*len(courses) + j)
				for t := range n {
					first, end := t*l.h/n, (t+1)*l.h/n
					inverse := float32(1 / s.noise[b][k][t])
					for y := first; y < end; y++ {
						z := s.sums[y] * inverse
						if z > s.best[y] {
							s.best[y], s.which[y] = z, code
						}
						if b == 1 && z > s.broad[y] {
							s.broad[y] = z
						}
					}
				}
			}
		}
	}
	return s.peaks()
}

// take fills the fields of a lane and weighs places by their noise.
func (s *seeker) take(l *lane) {
	s.lane = l
	if s.fields == nil {
		s.fields = make([]across, len(crackScales))
		for k, sigma := range crackScales {
			s.fields[k].set(sigma)
		}
	}
	for k := range s.fields {
		s.fields[k].fill(l)
	}
	s.worth()
	for k := range s.fields {
		v := s.fields[k].value
		for i, w := range l.worth {
			v[i] *= w
		}
	}
}

// worth weighs places by how little noise there is about them along the rib, and by how much of it is neither burnt
// out nor black.
func (s *seeker) worth() {
	l := s.lane
	l.worth = grown(l.worth, len(l.share))
	half := int(6 * l.perMM)
	size, mean := make([]float32, l.h), make([]float32, l.h)
	v := s.fields[1].value
	noise, _ := spread(v, 7, nil)
	noise = max(noise, 1e-4)
	for x := range l.w {
		d, out, dead := l.column(v, x), l.column(l.worth, x), l.column(l.dead, x)
		for y, e := range d {
			size[y] = min(abs(e)/float32(noise), 3)
		}
		boxMean(mean, size, half)
		for y := range out {
			m := max(mean[y]/0.8, 0.7)
			out[y] = (1 - dead[y]) / (m * m)
		}
	}
}

// measure takes the noise of sums across the rib from sums whose parts count with changing sign: a crack that crosses
// the rib leaves little in them, and noise as much as without.
func (s *seeker) measure(f *across, b, k, tiles int) {
	l := s.lane
	from, to := l.band(bands[b])
	q := 4 / float64(to-from)
	patterns := []func(int) float32{
		func(x int) float32 { return float32(1 - 2*(int(float64(x)*q)&1)) },
		func(x int) float32 { return float32(1 - 2*((int(float64(x)*q)+1)>>1&1)) },
	}
	each := make([][]float32, tiles)
	for _, c := range []course{{-0.3, 0}, {}, {0.3, 0}} {
		for _, p := range patterns {
			l.sum(s.sums, f.value, c, from, to, p)
			for y := 0; y < l.h; y += 2 {
				t := y * tiles / l.h
				each[t] = append(each[t], s.sums[y])
			}
		}
	}
	noise := make([]float64, tiles)
	for t := range each {
		noise[t], s.buffer = spread(each[t], 1, s.buffer)
	}
	usual := median(noise)
	for t, v := range noise {
		noise[t] = max(math.Sqrt((v*v+usual*usual)/2), 1e-4)
	}
	s.noise[b][k] = noise
}

// least is what a line must have over the noise to be looked at.
const least = 3

// peaks takes the strongest places along the rib one after another, each with what it covers.
func (s *seeker) peaks() []*line {
	l := s.lane
	var order []int
	for y := 1; y < l.h-1; y++ {
		if s.best[y] >= least && s.best[y] >= s.best[y-1] && s.best[y] > s.best[y+1] && !l.dull[y] {
			order = append(order, y)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(s.best[b], s.best[a]) })
	var out []*line
	for _, y := range order {
		k, j := int(s.which[y])/len(courses), int(s.which[y])%len(courses)
		c := &line{rib: l.rib, scale: k, course: courses[j], z: float64(s.best[y])}
		if s.trace(c, y); s.again(c, out) {
			continue
		}
		s.see(c)
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b *line) int { return cmp.Compare(a.y, b.y) })
	return out
}

// again tells whether most of a line on the tip lies within the width of one that is there already.
func (s *seeker) again(c *line, others []*line) bool {
	from, to := s.lane.band(bands[0])
	for _, o := range others {
		far, near := 1.2*max(crackScales[c.scale], crackScales[o.scale])+0.1*s.lane.perMM, 0
		for x := from; x < to; x++ {
			if math.Abs(c.path[x]-o.path[x]) < far {
				near++
			}
		}
		if 3*near > to-from {
			return true
		}
	}
	return false
}

// quiet is the noise of one place in a sum on the tip.
func (s *seeker) quiet(c *line, y int) float64 {
	noise := s.noise[0][c.scale]
	from, to := s.lane.band(bands[0])
	return noise[min(max(y, 0)*len(noise)/s.lane.h, len(noise)-1)] / math.Sqrt(float64(to-from))
}

// trace follows a line over the tip, and on from there down both flanks.
func (s *seeker) trace(c *line, y0 int) {
	l := s.lane
	quiet := s.quiet(c, y0)
	from, to := l.band(bands[0])
	c.path = make([]float64, l.w)
	s.traceTip(c, y0, from, to, quiet)
	sum := 0.0
	for _, y := range c.path[from:to] {
		sum += y / float64(to-from)
	}
	c.y = sum
	left := s.traceFlank(c, from-1, -1, -1, quiet)
	right := s.traceFlank(c, to, l.w, 1, quiet)
	c.look.Lesser, c.look.Greater = min(left, right), max(left, right)
}

// traceTip follows a line from column to column through a strip about its straight course, where what each column
// says, limited, less the turns, sums to the most (Viterbi).
func (s *seeker) traceTip(c *line, y0, first, end int, quiet float64) {
	l := s.lane
	f := &s.fields[c.scale]
	reach := max(2, int(math.Round(0.25*l.perMM)))
	n, w := 2*reach+1, end-first
	limit, toll := 4*quiet, quiet/2
	score, came := make([]float64, w*n), make([]int8, w*n)
	base := make([]int, w)
	for x := range w {
		base[x] = y0 + int(math.Round(c.course.along(float64(first+x)-l.middle(), l.perMM)))
		col := l.column(f.value, first+x)
		for j := range n {
			y := min(max(base[x]+j-reach, 0), l.h-1)
			off := float64(j-reach) / float64(reach)
			v := min(max(float64(col[y]), -limit), limit) - toll*0.3*off*off
			if x > 0 {
				best, at := math.Inf(-1), 0
				for e := -1; e <= 1; e++ {
					i := j + e
					if i < 0 || i >= n {
						continue
					}
					t := score[(x-1)*n+i]
					if e != 0 {
						t -= toll
					}
					if t > best {
						best, at = t, e
					}
				}
				came[x*n+j] = int8(at)
				v += best
			}
			score[x*n+j] = v
		}
	}
	j := 0
	for i := range n {
		if score[(w-1)*n+i] > score[(w-1)*n+j] {
			j = i
		}
	}
	rough := make([]float64, w)
	for x := w - 1; x >= 0; x-- {
		rough[x] = float64(min(max(base[x]+j-reach, 0), l.h-1))
		j += int(came[x*n+j])
	}
	smoothed(c.path[first:end], rough, max(1, int(0.1*l.perMM)))
}

func smoothed(dst, v []float64, half int) {
	for x := range dst {
		dst[x] = mean(v[max(0, x-half):min(len(v), x+half+1)])
	}
}

// traceFlank follows a line down a flank, from a column to before another. Where the belt is seen aslant a crack runs
// steeply there, and where it is seen from the side it goes on further along: both are found by the best way, and cost
// something. What is returned is its strength over the noise.
func (s *seeker) traceFlank(c *line, first, end, side int, quiet float64) float64 {
	const most = 3 // rows a column
	const ways = 2*most + 1
	l := s.lane
	f := &s.fields[c.scale]
	w := side * (end - first)
	if w < 2 {
		return 0
	}
	start := int(math.Round(c.path[first-side]))
	reach := min(most*w+2, int(2.2*l.perMM))
	n := 2*reach + 1
	limit, toll := 4*quiet, quiet*0.7
	// Of each way by which a row was come to, its rows one after another.
	s.score, s.before, s.light = grown(s.score, n*ways), grown(s.before, n*ways), grown(s.light, n)
	s.came, s.never = grown(s.came, w*n*ways), grown(s.never, n)
	for j := range s.never {
		s.never[j] = math.Inf(-1)
	}
	jump := 0.12 * l.perMM
	for x := range w {
		col := l.column(f.value, first+side*x)
		for j := range s.light {
			s.light[j] = -limit
			if y := start + j - reach; y >= 0 && y < l.h {
				s.light[j] = min(max(float64(col[y]), -limit), limit)
			}
		}
		for e := range ways { // came here by e-most rows
			score, came := s.score[e*n:][:n], s.came[(x*ways+e)*n:][:n]
			if x == 0 {
				for j, v := range s.light {
					score[j] = v - toll*math.Abs(float64(j-reach))/jump - toll*0.3*math.Abs(float64(e-most))
				}
				continue
			}
			shift := e - most
			low, high := max(0, shift), min(n, n+shift)
			copy(score[:low], s.never)
			copy(score[high:], s.never)
			less, more := s.never[low-shift:], s.never[low-shift:]
			if e > 0 {
				less = s.before[(e-1)*n:][low-shift : n]
			}
			if e+1 < ways {
				more = s.before[(e+1)*n:][low-shift : n]
			}
			bestWay(score[low:high], came[low:high], s.light[low:], s.before[e*n:][low-shift:], less, more, toll, e)
		}
		s.score, s.before = s.before, s.score
	}
	at, best := 0, math.Inf(-1)
	for j := range n {
		for e := range ways {
			if v := s.before[e*n+j]; v > best {
				at, best = j*ways+e, v
			}
		}
	}
	rough := make([]float64, w)
	j, e := at/ways, at%ways
	for x := w - 1; x >= 0; x-- {
		rough[x] = float64(min(max(start+j-reach, 0), l.h-1))
		if x > 0 {
			d := int(s.came[(x*ways+e)*n+j])
			j -= e - most
			e = d
		}
	}
	sum := 0.0
	for x := range w {
		sum += float64(l.column(f.value, first+side*x)[int(rough[x])])
		c.path[first+side*x] = rough[x]
	}
	return sum / (quiet * math.Sqrt(float64(w)))
}

// bestWay adds to each row's light the best of going on by a way as before, or by the one less or more at a toll.
func bestWay(score []float64, came []int8, light, same, less, more []float64, toll float64, way int) {
	came, light, same = came[:len(score)], light[:len(score)], same[:len(score)]
	less, more = less[:len(score)], more[:len(score)]
	for j := range score {
		best, from := less[j]-toll, way-1
		if v := same[j]; v > best {
			best, from = v, way
		}
		if v := more[j] - toll; v > best {
			best, from = v, way+1
		}
		score[j], came[j] = light[j]+best, int8(max(from, 0))
	}
}

// see fills in what a line looks like.
func (s *seeker) see(c *line) {
	l := s.lane
	f := &s.fields[c.scale]
	quiet := s.quiet(c, int(c.y))
	from, to := l.band(bands[0])
	n := to - from
	noise := quiet * math.Sqrt(float64(n))
	// Evidence of pieces along the path; they sum to the whole.
	sum := 0.0
	part := make([]float64, pieces)
	for x := range n {
		v := float64(at32(l.column(f.value, from+x), c.path[from+x]))
		sum += v
		part[x*pieces/n] += v
	}
	each, usual := noise/math.Sqrt(pieces), sum/pieces
	for _, v := range part {
		if v > each {
			c.look.Dark += 1. / pieces
		}
		c.look.Even += (v - usual) * (v - usual) / pieces
	}
	c.look.PerMM = l.perMM
	c.look.Z, c.look.Rest = sum/noise, sum/max(s.plain[c.scale], 1e-4)
	c.look.Least = slices.Min(part) / max(usual, 1e-6)
	c.look.Even = math.Sqrt(c.look.Even) / max(usual, 1e-6)
	for y := max(0, int(c.y)-2); y < min(l.h, int(c.y)+3); y++ {
		c.look.Broad = max(c.look.Broad, float64(s.broad[y]))
	}
	s.sides(c, from, to, sum)
	s.section(c, from, to)
	// A straight course through the path on the tip.
	var sx, sy, sxx, sxy float64
	for x := from; x < to; x++ {
		u, y := float64(x)-l.middle(), c.path[x]
		sx, sy, sxx, sxy = sx+u, sy+y, sxx+u*u, sxy+u*y
	}
	a, b := sy/float64(n), sxy/sxx
	c.y, c.course.slope = a, b
	for x := from; x < to; x++ {
		e := c.path[x] - a - b*(float64(x)-l.middle())
		c.look.Wander += e * e / float64(n)
	}
	for x, y := range c.path {
		off := y - a - b*(float64(x)-l.middle())
		if x < from {
			c.flank[0] += off / float64(from)
		} else if x >= to {
			c.flank[1] += off / float64(l.w-to)
		}
	}
	c.look.Wander = math.Sqrt(c.look.Wander) / l.perMM
	c.look.Slant = math.Atan(math.Abs(b))
}

// sides measures what lies along the rib before and behind a line on the tip.
func (s *seeker) sides(c *line, from, to int, own float64) {
	l := s.lane
	f := &s.fields[c.scale]
	far := int(1.3 * l.perMM)
	for shift := -far; shift <= far; shift++ {
		sum := 0.0
		for x := from; x < to; x++ {
			sum += float64(at32(l.column(f.value, x), c.path[x]+float64(shift)))
		}
		sum /= max(own, 1e-6)
		at := math.Abs(float64(shift)) / l.perMM
		switch {
		case at <= 0.9 && shift < 0:
			c.look.Before = max(c.look.Before, -sum)
		case at <= 0.9 && shift > 0:
			c.look.Behind = max(c.look.Behind, -sum)
		}
		if at >= 0.5 {
			c.look.Twin = max(c.look.Twin, sum)
		}
	}
}

// section measures the mean section across a line.
func (s *seeker) section(c *line, from, to int) {
	l := s.lane
	sigma := crackScales[c.scale]
	reach := int(math.Ceil(4*sigma)) + 2
	sec := make([]float64, 2*reach+1)
	total := 0.0
	for x := from; x < to; x++ {
		col, w := l.column(l.share, x), float64(at32(l.column(l.worth, x), c.path[x]))
		total += w
		for j := range sec {
			sec[j] += w * float64(at32(col, c.path[x]+float64(j-reach)))
		}
	}
	for j := range sec {
		sec[j] /= max(total, 1e-6)
	}
	q := reach / 2
	left, right := mean(sec[:q]), mean(sec[len(sec)-q:])
	ground := func(j int) float64 { return left + (right-left)*float64(j)/float64(len(sec)-1) }
	m := reach
	for j := reach - 1; j <= reach+1; j++ {
		if sec[j] < sec[m] {
			m = j
		}
	}
	depth, area, light := max(ground(m)-sec[m], 1e-4), 0.0, 0.0
	for j, v := range sec {
		area += max(0, ground(j)-v)
		light = max(light, v-max(left, right))
	}
	c.look.Contrast, c.look.Width = depth/(1+ground(m)), area/depth/l.perMM
	c.look.Edge, c.look.Light = math.Abs(left-right)/depth, light/depth
}

// at32 is a value between two of a column; beyond its ends goes on what lies at them.
func at32(v []float32, y float64) float32 {
	if y <= 0 {
		return v[0]
	}
	i := int(y)
	if i >= len(v)-1 {
		return v[len(v)-1]
	}
	s := float32(y - float64(i))
	return v[i]*(1-s) + v[i+1]*s
}
