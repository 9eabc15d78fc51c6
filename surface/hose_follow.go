package surface

import (
	"cmp"
	"image"
	"math"
	"slices"
)

// side is a place along a hose: where its middle line was taken to be, its direction, and its edges along the normal.
type side struct {
	along, x, y, heading float64
	a, b                 float64 // px to the left (below 0) and right
	ok                   bool
}

func (s side) place(u float64) Point {
	sin, cos := math.Sincos(s.heading)
	return Point{s.x - u*sin, s.y + u*cos}
}

// follower goes along a hose in a shrunk picture.
type follower struct {
	light []float32
	w, h  int
	start side
	dark  float64 // 1 where the hose is darker than what is behind it, else -1
	step  float64 // of light at its edges where it begins
	width float64
}

func (f *follower) at(x, y float64) float64 {
	x, y = min(max(x, 0), float64(f.w-1)), min(max(y, 0), float64(f.h-1))
	ix, iy := min(int(x), f.w-2), min(int(y), f.h-2)
	fx, fy := float32(x)-float32(ix), float32(y)-float32(iy)
	i := iy*f.w + ix
	a := f.light[i] + fx*(f.light[i+1]-f.light[i])
	b := f.light[i+f.w] + fx*(f.light[i+f.w+1]-f.light[i+f.w])
	return float64(a + fy*(b-a))
}

// cross is the light along the normal of a place, a px apart from -reach to reach, as the mean over long px along.
func (f *follower) cross(s side, reach int, long float64) []float64 {
	sin, cos := math.Sincos(s.heading)
	out := make([]float64, 2*reach+1)
	n := max(int(long/2), 1)
	for k := range n {
		v := ((float64(k)+0.5)/float64(n) - 0.5) * long
		for i := range out {
			u := float64(i - reach)
			out[i] += f.at(s.x+v*cos-u*sin, s.y+v*sin+u*cos) / float64(n)
		}
	}
	return out
}

// beginnings are pairs of edges on both sides of a place or others near it, at which light changes the other way: in
// each direction the strongest pair, and the widest that is nearly as strong, since a hose's shine has edges too.
func (f *follower) beginnings(at Point) []follower {
	off := 0.13 * float64(min(f.w, f.h))
	var out []follower
	for _, from := range []Point{{}, {X: off}, {X: -off}, {Y: off}, {Y: -off}} {
		for k := range hoseHeadings {
			s := side{x: at.X + from.X, y: at.Y + from.Y, heading: math.Pi * float64(k) / hoseHeadings}
			out = append(out, f.pairs(s)...)
		}
	}
	slices.SortFunc(out, func(a, b follower) int { return cmp.Compare(b.step, a.step) })
	const tried = 24
	var kept []follower
	for _, g := range out {
		same := func(o follower) bool {
			return math.Hypot(o.start.x-g.start.x, o.start.y-g.start.y) < 0.3*g.width && o.dark == g.dark &&
				math.Abs(o.width-g.width) < 0.1*g.width+2 &&
				math.Abs(math.Remainder(o.start.heading-g.start.heading, math.Pi)) < 0.3
		}
		if g.step > 0.02 && len(kept) < tried && !slices.ContainsFunc(kept, same) {
			kept = append(kept, g)
		}
	}
	return kept
}

func (f *follower) pairs(s side) []follower {
	reach := int(0.45 * float64(min(f.w, f.h)))
	d := changes(f.cross(s, reach, 0.1*float64(max(f.w, f.h))))
	best, widest := follower{light: f.light, w: f.w, h: f.h}, follower{light: f.light, w: f.w, h: f.h}
	look := func(to *follower, better func(score, width float64) bool) {
		for i := 3; i < reach-2; i++ {
			for j := max(reach+3, i+8); j < len(d)-3; j++ {
				if d[i]*d[j] >= 0 {
					continue
				}
				score, width := min(math.Abs(d[i]), math.Abs(d[j])), float64(j-i)
				if better(score, width) {
					to.start, to.width, to.step, to.dark = s, width, score, math.Copysign(1, d[j])
					to.start.a, to.start.b = float64(i-reach), float64(j-reach)
				}
			}
		}
	}
	look(&best, func(score, _ float64) bool { return score > best.step })
	look(&widest, func(score, width float64) bool { return score > 0.5*best.step && width > widest.width })
	if best.step == 0 {
		return nil
	}
	best.start, widest.start = f.centred(best.start), f.centred(widest.start)
	return []follower{best, widest}
}

// best follows from each beginning and gives the sides of the one that goes furthest with the strongest edges and the
// evenest width, and passes by a place.
func (f *follower) best(p *image.Gray, at Point, scale float64) []side {
	var out []side
	most := 0.0
	for _, g := range f.beginnings(at) {
		line := g.again(g.follow())
		if q := g.quality(line, at); q > most {
			if sides := refine(p, line, scale, g.dark); len(sides) >= 8 {
				out, most = sides, q
			}
		}
	}
	return out
}

// again follows from a place of usual width where edges are strong, since where it began an edge may have been
// another's.
func (f *follower) again(line []side) []side {
	if len(line) < 8 {
		return line
	}
	wide := make([]float64, len(line))
	for i, s := range line {
		wide[i] = s.b - s.a
	}
	usual := median(wide)
	best, where := 0.0, 0
	for i, s := range line {
		off := (wide[i] - usual) / (0.1 * usual)
		if v := f.strength(s) * math.Exp(-off*off/2); v > best {
			best, where = v, i
		}
	}
	f.start, f.width = line[where], wide[where]
	return f.follow()
}

// quality is the length of what was followed times how strong its edges are, and less the more its width jumps.
func (f *follower) quality(line []side, at Point) float64 {
	if len(line) < 8 {
		return 0
	}
	near := math.Inf(1)
	var jumps []float64
	strong := 0.0
	for i, s := range line {
		near = min(near, math.Hypot(s.x-at.X, s.y-at.Y))
		if i > 0 {
			jumps = append(jumps, math.Abs((s.b-s.a)-(line[i-1].b-line[i-1].a))/f.width)
		}
		strong += f.strength(s) / float64(len(line))
	}
	if near > 0.6*f.width+0.03*float64(f.w) {
		return 0
	}
	slices.Sort(jumps)
	ds := max(2, 0.05*f.width)
	long := float64(len(line)) * ds
	return long * strong * math.Sqrt(f.width) / (1 + 20*jumps[len(jumps)*3/4])
}

// strength is by how much light changes at the weaker edge of a place, in the way it does at the beginning.
func (f *follower) strength(s side) float64 {
	d := changes(f.cross(s, int(max(-s.a, s.b))+5, 3))
	n := len(d) / 2
	at := func(u float64) float64 { return d[min(max(n+int(math.Round(u)), 0), len(d)-1)] }
	return max(min(-f.dark*at(s.a), f.dark*at(s.b)), 0)
}

// changes is by how much values change over 3 places.
func changes(v []float64) []float64 {
	out := make([]float64, len(v))
	for i := 2; i < len(v)-2; i++ {
		out[i] = (v[i+2] + v[i+1] - v[i-1] - v[i-2]) / 2
	}
	return out
}

// centred moves a place to the middle between its edges.
func (f *follower) centred(s side) side {
	m := s.place((s.a + s.b) / 2)
	half := (s.b - s.a) / 2
	s.x, s.y, s.a, s.b = m.X, m.Y, -half, half
	return s
}

// follow goes both ways from the beginning.
func (f *follower) follow() []side {
	back := f.start
	back.heading += math.Pi
	before, after := f.walk(back), f.walk(f.start)
	var out []side
	for i := len(before) - 1; i >= 0; i-- {
		s := before[i]
		s.heading -= math.Pi
		s.a, s.b = -s.b, -s.a
		out = append(out, s)
	}
	return append(out, after...) // the beginning itself is known in steps of direction only
}

// walk follows from a place in its direction until it leaves the picture or loses both edges for half a diameter.
func (f *follower) walk(from side) []side {
	ds := max(2, 0.05*f.width)
	s, lost := from, 0.0
	out := []side{}
	trail := []side{from}
	for range 4000 {
		sin, cos := math.Sincos(s.heading)
		s.x, s.y = s.x+ds*cos, s.y+ds*sin
		if s.x < 1 || s.y < 1 || s.x > float64(f.w-2) || s.y > float64(f.h-2) {
			break
		}
		next, ok := f.turned(s, ds)
		if !ok {
			if lost += ds; lost > 0.5*f.width {
				out = out[:max(len(out)-int(lost/ds)+1, 0)]
				break
			}
			out = append(out, s)
			continue
		}
		lost = 0
		s = f.centred(next)
		trail = append(trail, s)
		// The direction is that from half a diameter back.
		k := max(len(trail)-1-int(math.Ceil(0.5*f.width/ds)), 0)
		if dx, dy := s.x-trail[k].x, s.y-trail[k].y; math.Hypot(dx, dy) > 0.2*f.width {
			to := math.Atan2(dy, dx)
			s.heading += 0.5 * math.Remainder(to-s.heading, 2*math.Pi)
		}
		out = append(out, s)
	}
	return out
}

// turned is edges, in the direction of the last place or, where that shows them weakly, in one turned by up to 0.5:
// at a kink a hose turns at once.
func (f *follower) turned(s side, ds float64) (side, bool) {
	best, ok := f.edges(s, ds)
	most := 0.0
	if ok {
		most = f.strength(best)
	}
	if most > 0.25*f.step {
		return best, ok
	}
	for _, by := range []float64{-0.5, -0.25, 0.25, 0.5} {
		t := s
		t.heading += by
		if next, found := f.edges(t, ds); found {
			if v := f.strength(next); v > 1.5*most {
				best, most, ok = next, v, true
			}
		}
	}
	return best, ok
}

// edges finds both edges of a place near where they were.
func (f *follower) edges(s side, ds float64) (side, bool) {
	reach := int(0.95*f.width) + 4
	d := changes(f.cross(s, reach, max(ds, 3)))
	spread := 0.1*f.width + 1
	find := func(at, way float64) (float64, float64) {
		best, where := 0.0, at
		for i := 2; i < len(d)-2; i++ {
			t := (float64(i-reach) - at) / spread
			if v := way * d[i] * math.Exp(-t*t/2); v > best {
				best, where = v, float64(i-reach)
			}
		}
		i := int(where) + reach
		return where, way * d[min(max(i, 0), len(d)-1)]
	}
	a, va := find(s.a, -f.dark)
	b, vb := find(s.b, f.dark)
	const least = 0.3
	okA, okB := va > least*f.step, vb > least*f.step
	switch {
	case !okA && !okB:
		return s, false
	case !okA:
		a = b - (s.b - s.a)
	case !okB:
		b = a + (s.b - s.a)
	}
	if b-a < 0.3*f.width || b-a > 2*f.width {
		return s, false
	}
	s.a, s.b = a, b
	return s, true
}

// refine finds edges to parts of a px in the whole picture, along the normals of the smoothed middle line.
func refine(p *image.Gray, line []side, scale, dark float64) []side {
	if len(line) < 8 {
		return nil
	}
	wide := make([]float64, len(line))
	var middle []Point
	for i, s := range line {
		middle = append(middle, Point{(s.x+0.5)*scale - 0.5, (s.y+0.5)*scale - 0.5})
		wide[i] = (s.b - s.a) * scale
	}
	usual := median(wide)
	middle = evenly(smoothLine(middle, 4), max(1, usual/50))
	b := p.Bounds()
	var out []side
	near := 0
	for i, m := range middle {
		for near+1 < len(line) && distance(line[near+1], m, scale) <= distance(line[near], m, scale) {
			near++
		}
		k := max(int(usual/100/max(1, usual/50)*20), 4)
		before, after := middle[max(i-k, 0)], middle[min(i+k, len(middle)-1)]
		s := side{x: m.X, y: m.Y, heading: math.Atan2(after.Y-before.Y, after.X-before.X)}
		if i > 0 {
			s.along = out[len(out)-1].along + math.Hypot(m.X-middle[i-1].X, m.Y-middle[i-1].Y)
		}
		sharpest := 0.0
		half := wide[near] / 2
		s.a, sharpest = sharpEdge(p, s, -half, usual, -dark)
		low := sharpest
		s.b, sharpest = sharpEdge(p, s, half, usual, dark)
		low = min(low, sharpest)
		s.ok = low > 0
		for _, u := range []float64{s.a, s.b} {
			q := s.place(u)
			if q.X < 1 || q.Y < 1 || q.X > float64(b.Dx()-2) || q.Y > float64(b.Dy()-2) {
				s.ok = false
			}
		}
		out = append(out, s)
	}
	return inPicture(out, b.Dx(), b.Dy())
}

func distance(s side, m Point, scale float64) float64 {
	return math.Hypot((s.x+0.5)*scale-0.5-m.X, (s.y+0.5)*scale-0.5-m.Y)
}

// inPicture leaves out what lies at the ends with an edge beyond the picture: there nothing is hidden, it is not
// there.
func inPicture(s []side, w, h int) []side {
	beyond := func(s side) bool {
		for _, u := range []float64{s.a, s.b} {
			if q := s.place(u); q.X < 2 || q.Y < 2 || q.X > float64(w-3) || q.Y > float64(h-3) {
				return true
			}
		}
		return false
	}
	for len(s) > 0 && beyond(s[0]) {
		s = s[1:]
	}
	for len(s) > 0 && beyond(s[len(s)-1]) {
		s = s[:len(s)-1]
	}
	return s
}

// sharpEdge is where light changes most in a way near a place on the normal, and by how much; 0 where it does not.
func sharpEdge(p *image.Gray, s side, near, width, way float64) (at, change float64) {
	const step = 0.5
	n := int((0.15*width + 3) / step)
	v := make([]float64, 2*n+1)
	sin, cos := math.Sincos(s.heading)
	for i := range v {
		u := near + float64(i-n)*step
		for _, along := range []float64{-1.5, -0.5, 0.5, 1.5} {
			v[i] += lightAt(p, s.x+along*cos-u*sin, s.y+along*sin+u*cos) / 4
		}
	}
	const k = 4 // two px to both sides
	best, where := 0.0, -1
	d := make([]float64, len(v))
	for i := k; i < len(v)-k; i++ {
		for j := 1; j <= k; j++ {
			d[i] += way * (v[i+j] - v[i-j]) / k
		}
		t := float64(i-n) * step / (0.09*width + 1.5)
		if w := d[i] * math.Exp(-t*t/2); w > best {
			best, where = w, i
		}
	}
	if where <= k || where >= len(v)-k-1 || d[where] < 0.008 {
		return near, 0
	}
	// The top of a parabola through the greatest and its neighbours.
	l, m, r := d[where-1], d[where], d[where+1]
	off := 0.0
	if den := l - 2*m + r; den < 0 {
		off = min(max(0.5*(l-r)/den, -0.5), 0.5)
	}
	return near + (float64(where-n)+off)*step, d[where]
}

// smoothLine averages each place with so many before and after.
func smoothLine(pts []Point, n int) []Point {
	out := make([]Point, len(pts))
	for i := range pts {
		k := min(n, i, len(pts)-1-i)
		for j := i - k; j <= i+k; j++ {
			out[i].X += pts[j].X / float64(2*k+1)
			out[i].Y += pts[j].Y / float64(2*k+1)
		}
	}
	return out
}
