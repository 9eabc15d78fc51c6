package surface

import (
	"image"
	"math"
	"slices"
)

// row is ribs side by side, as a coarse outline shows them, px of the whole picture.
type row struct {
	tips  []Point
	up    Point   // from the belt to the tips
	pitch float64 // px
	line  []Point // the outline from half a pitch before the first tip to half a pitch beyond the last
}

const (
	workSize   = 640 // px of the longer side on which an outline is looked for
	thresholds = 6
	headings   = 24 // ways up that are tried
)

// findRow looks for ribs in the borders of what is darker, and of what is lighter, than some levels.
func findRow(p *image.Gray) row {
	light, w, h, step := shrink(p, workSize)
	var best row
	bestScore := 0.0
	for _, level := range levels(light) {
		for _, dark := range []bool{true, false} {
			for _, line := range borders(light, w, h, level, dark) {
				for _, r := range rows(line) {
					score := r.score(light, w, h, level, dark)
					if score > bestScore {
						best, bestScore = r, score
					}
				}
			}
		}
	}
	return best.times(step)
}

// shrink averages squares of pixels until the longer side is no longer than size; step is their side.
func shrink(p *image.Gray, size int) (light []float32, w, h int, step float64) {
	b := p.Bounds()
	k := (max(b.Dx(), b.Dy()) + size - 1) / size
	w, h = b.Dx()/k, b.Dy()/k
	light = make([]float32, w*h)
	for y := range h {
		for j := range k {
			row := p.Pix[(y*k+j)*p.Stride:]
			for x := range w {
				sum := 0
				for _, v := range row[x*k : x*k+k] {
					sum += int(v)
				}
				light[y*w+x] += float32(sum) / float32(255*k*k)
			}
		}
	}
	return smooth3(light, w, h), w, h, float64(k)
}

// smooth3 averages with the neighbours, 1 2 1 each way, which takes off most of the noise.
func smooth3(v []float32, w, h int) []float32 {
	across, out := make([]float32, len(v)), make([]float32, len(v))
	for y := range h {
		for x := range w {
			i := y * w
			across[i+x] = (v[i+max(x-1, 0)] + 2*v[i+x] + v[i+min(x+1, w-1)]) / 4
		}
	}
	for y := range h {
		for x := range w {
			out[y*w+x] = (across[max(y-1, 0)*w+x] + 2*across[y*w+x] + across[min(y+1, h-1)*w+x]) / 4
		}
	}
	return out
}

// levels are lights between the picture's darkest and lightest, evenly apart.
func levels(light []float32) []float32 {
	var some []float32
	for i := 0; i < len(light); i += 7 {
		some = append(some, light[i])
	}
	slices.Sort(some)
	low, high := some[len(some)/50], some[len(some)-1-len(some)/50]
	var out []float32
	for i := range thresholds {
		out = append(out, low+(high-low)*(float32(i)+1)/(thresholds+1))
	}
	return out
}

// borders are the closed lines round what is darker (or lighter) than a level, with it on their left, by marching
// squares (Lorensen and Cline 1987, from memory); beyond the picture nothing is. Short ones are left out.
func borders(light []float32, w, h int, level float32, dark bool) [][]Point {
	const least = 60 // px
	at := func(x, y int) float32 {
		if x < 0 || y < 0 || x >= w || y >= h {
			return -1
		}
		v := level - light[y*w+x]
		if !dark {
			v = -v
		}
		return v
	}
	// Crossings stand on the upper (even) and left (odd) sides of cells, which begin one before the picture.
	next := make([]int32, 2*(w+2)*(h+2))
	for i := range next {
		next[i] = -1
	}
	for y := -1; y < h; y++ {
		for x := -1; x < w; x++ {
			linkCell(next, x, y, w, at(x, y), at(x+1, y), at(x+1, y+1), at(x, y+1))
		}
	}
	var out [][]Point
	for i := range next {
		if next[i] < 0 {
			continue
		}
		var line []Point
		for j := int32(i); next[j] >= 0; {
			line = append(line, crossingAt(int(j), w, at))
			j, next[j] = next[j], -1
		}
		if len(line) >= least {
			out = append(out, line)
		}
	}
	return out
}

// linkCell joins the crossings of a cell with corners a b over d c: from which side to which a line goes that has
// what is inside (above 0) on its left.
func linkCell(next []int32, x, y, w int, a, b, c, d float32) {
	k := 0
	for i, v := range [4]float32{a, b, c, d} {
		if v > 0 {
			k |= 1 << i
		}
	}
	if k == 0 || k == 15 {
		return
	}
	side := func(x, y, odd int) int32 { return int32(2*((y+1)*(w+2)+x+1) + odd) }
	top, left, foot, right := side(x, y, 0), side(x, y, 1), side(x, y+1, 0), side(x+1, y, 1)
	join := func(from, to int32) { next[from] = to }
	switch k {
	case 1:
		join(left, top)
	case 2:
		join(top, right)
	case 3:
		join(left, right)
	case 4:
		join(right, foot)
	case 5:
		join(left, top)
		join(right, foot)
	case 6:
		join(top, foot)
	case 7:
		join(left, foot)
	case 8:
		join(foot, left)
	case 9:
		join(foot, top)
	case 10:
		join(top, right)
		join(foot, left)
	case 11:
		join(foot, right)
	case 12:
		join(right, left)
	case 13:
		join(right, top)
	case 14:
		join(top, left)
	}
}

// crossingAt is where on its side a crossing is, by the lights at both ends.
func crossingAt(i, w int, at func(x, y int) float32) Point {
	odd := i & 1
	x, y := i/2%(w+2)-1, i/2/(w+2)-1
	a, b := at(x, y), at(x+1-odd, y+odd)
	t := float64(a / (a - b))
	if odd == 0 {
		return Point{float64(x) + t, float64(y)}
	}
	return Point{float64(x), float64(y) + t}
}

// rows are the best runs of ribs on a closed line, one for each way up and roughness.
func rows(line []Point) []row {
	var out []row
	for k := range headings {
		s, c := math.Sincos(2 * math.Pi * float64(k) / headings)
		up := Point{c, s}
		for _, rough := range []float64{3, 6, 12, 24} {
			if r := runOf(line, up, rough); len(r.tips) >= leastRibs {
				out = append(out, r)
			}
		}
	}
	return out
}

// runOf is the longest run of tips on a closed line, by its turning points: a top counts when it is rough px above
// the bottoms before and after it. The inside is on the line's left, so that upwards of it the line goes along up
// turned right, and only such tops are ribs.
func runOf(line []Point, up Point, rough float64) row {
	tops, lows := turnings(line, up, rough)
	// The outward normal of a line going along d with its inside on the left is d turned right: (-d.y, d.x).
	d := Point{up.Y, -up.X}
	var best []int
	n := len(tops)
	for i := 0; i < n; i++ {
		run := []int{tops[i]}
		for j := i + 1; j < i+n; j++ {
			low := lows[(j-1)%n]
			if !follows(line, up, d, run, tops[j%n], low) {
				break
			}
			run = append(run, tops[j%n])
		}
		if len(run) > len(best) {
			best = run
		}
	}
	if len(best) < leastRibs {
		return row{}
	}
	return newRow(line, up, best)
}

// turnings are the indices of the tops of a closed line and of the bottom after each.
func turnings(line []Point, up Point, rough float64) (tops, lows []int) {
	n := len(line)
	h := func(i int) float64 { p := line[i%n]; return p.X*up.X + p.Y*up.Y }
	start := 0
	for i := range n {
		if h(i) < h(start) {
			start = i
		}
	}
	top, low, rising := start, start, true
	for k := 1; k <= n; k++ {
		i := start + k
		if rising {
			if h(i) > h(top) {
				top = i
			} else if h(i) < h(top)-rough {
				tops = append(tops, top%n)
				rising, low = false, i
			}
			continue
		}
		if h(i) < h(low) {
			low = i
		} else if h(i) > h(low)+rough {
			lows = append(lows, low%n)
			rising, top = true, i
		}
	}
	if len(lows) < len(tops) {
		lows = append(lows, start)
	}
	return tops, lows[:len(tops)]
}

// follows is whether the next top goes on a run: in the direction in which ribs stand, at the distance of the others,
// with a groove as deep as those of ribs between.
func follows(line []Point, up, d Point, run []int, next, low int) bool {
	a, b := line[run[len(run)-1]], line[next]
	step := Point{b.X - a.X, b.Y - a.Y}
	long := math.Hypot(step.X, step.Y)
	// 15 degrees off the way up that is tried are another's to find.
	if step.X*d.X+step.Y*d.Y < 0.94*long {
		return false
	}
	l := line[low]
	deep := ((a.X+b.X)/2-l.X)*up.X + ((a.Y+b.Y)/2-l.Y)*up.Y
	side := ((l.X-a.X)*step.X + (l.Y-a.Y)*step.Y) / (long * long)
	// A PK rib is 0.3 (worn) to 0.7 (new) of its pitch high.
	if deep < 0.2*long || deep > 0.85*long || side < 0.2 || side > 0.8 {
		return false
	}
	if len(run) < 2 {
		return true
	}
	o := line[run[len(run)-2]]
	last := math.Hypot(a.X-o.X, a.Y-o.Y)
	bend := math.Abs((a.X-o.X)*step.Y-(a.Y-o.Y)*step.X) / (last * long)
	return long > 0.75*last && long < 1.33*last && bend < 0.2
}

func newRow(line []Point, up Point, tips []int) row {
	n := len(line)
	r := row{up: up}
	for _, i := range tips {
		r.tips = append(r.tips, line[i])
	}
	first, last := r.tips[0], r.tips[len(tips)-1]
	r.pitch = math.Hypot(last.X-first.X, last.Y-first.Y) / float64(len(tips)-1)
	// Beyond the outer tips as far along the line as it goes within 0.6 of a pitch from them along the row, and no
	// deeper than a rib.
	d := Point{(last.X - first.X) / r.pitch, (last.Y - first.Y) / r.pitch}
	long := math.Hypot(d.X, d.Y)
	within := func(p, from Point, way float64) bool {
		x := way * ((p.X-from.X)*d.X + (p.Y-from.Y)*d.Y) / long / r.pitch
		y := ((p.X-from.X)*up.X + (p.Y-from.Y)*up.Y) / r.pitch
		return x < 0.6 && x > -0.3 && y > -0.75
	}
	begin, end := tips[0], tips[len(tips)-1]
	for k := 0; k < n/4 && within(line[(begin-1+n)%n], first, -1); k++ {
		begin = (begin - 1 + n) % n
	}
	for k := 0; k < n/4 && within(line[(end+1)%n], last, 1); k++ {
		end = (end + 1) % n
	}
	for i := begin; ; i = (i + 1) % n {
		if r.line = append(r.line, line[i]); i == end || len(r.line) > n {
			break
		}
	}
	return r
}

// score prefers more ribs, then a belt's strip: a belt ends not far below its grooves, while what is between ribs
// goes on beyond their tips.
func (r row) score(light []float32, w, h int, level float32, dark bool) float64 {
	n := len(r.tips)
	score := float64(n)
	var ends []float64
	for i := 1; i < n; i++ {
		mid := Point{(r.tips[i-1].X + r.tips[i].X) / 2, (r.tips[i-1].Y + r.tips[i].Y) / 2}
		outside := 0
		for t := 0.7; t < 2; t += 0.03 {
			x, y := int(mid.X-r.up.X*t*r.pitch+0.5), int(mid.Y-r.up.Y*t*r.pitch+0.5)
			if x < 0 || y < 0 || x >= w || y >= h {
				break
			}
			if (light[y*w+x] < level) == dark {
				outside = 0
			} else if outside++; outside == 4 {
				ends = append(ends, t)
				break
			}
		}
	}
	if len(ends) > 0 { // a strip's other side runs along
		slices.Sort(ends)
		middle := ends[len(ends)/2]
		for _, t := range ends {
			if math.Abs(t-middle) < 0.2 {
				score += 3 / float64(n-1)
			}
		}
	}
	if dark {
		score += 0.5
	}
	spread := 0.0
	for i := 1; i < n; i++ {
		d := math.Hypot(r.tips[i].X-r.tips[i-1].X, r.tips[i].Y-r.tips[i-1].Y)
		spread += math.Abs(d/r.pitch-1) / float64(n-1)
	}
	return score - 3*spread + 12*r.contrast(light, w, h, dark)
}

// contrast is how much darker (or lighter) it is inside of the line than outside, in values.
func (r row) contrast(light []float32, w, h int, dark bool) float64 {
	normals := normalsOf(r.line, 4)
	sum, n := 0.0, 0
	at := func(p Point) float64 {
		return float64(light[min(max(int(p.Y+0.5), 0), h-1)*w+min(max(int(p.X+0.5), 0), w-1)])
	}
	for i := 0; i < len(r.line); i += 5 {
		p, v := r.line[i], normals[i]
		sum += at(Point{p.X + 3*v.X, p.Y + 3*v.Y}) - at(Point{p.X - 3*v.X, p.Y - 3*v.Y})
		n++
	}
	if !dark {
		sum = -sum
	}
	return sum / float64(n)
}

func (r row) times(k float64) row {
	on := func(ps []Point) {
		for i, p := range ps {
			ps[i] = Point{(p.X+0.5)*k - 0.5, (p.Y+0.5)*k - 0.5}
		}
	}
	on(r.tips)
	on(r.line)
	r.pitch *= k
	return r
}
