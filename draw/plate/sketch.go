package plate

import (
	"math"
	"slices"
)

// Width and Height are the frame of every plate.
const (
	Width  = 160.0
	Height = 96.0
)

// Point is a place in the frame, y downwards.
type Point struct{ X, Y float64 }

// Seg is one piece of a path: a move, a line or the end of it in P[2], a
// cubic curve by way of P[0] and P[1], or Close.
type Seg struct {
	Op Op
	P  [3]Point
}

// Op says what a piece of a path is.
type Op byte

// The pieces of a path.
const (
	Move  Op = 'M'
	Line  Op = 'L'
	Cubic Op = 'C'
	Close Op = 'Z'
)

// Mark is one stroke, area or word of a plate, the later over the earlier.
type Mark struct {
	Style Style
	Path  []Seg
	Text  string // words in place of a path, in the style's fill
	At    Point  // where they stand on their line
	Size  float64
	End   bool // At is their end, not their beginning
	Mid   bool // At is their middle
}

// sketch gathers marks. What is drawn inside at() is moved, turned and scaled;
// widths are not.
type sketch struct {
	marks []Mark
	m     [6]float64 // x' = m0 x + m2 y + m4, y' = m1 x + m3 y + m5
	show  Show
}

func newSketch(show Show) *sketch { return &sketch{m: [6]float64{1, 0, 0, 1, 0, 0}, show: show} }

func (s *sketch) place(x, y float64) Point {
	return Point{s.m[0]*x + s.m[2]*y + s.m[4], s.m[1]*x + s.m[3]*y + s.m[5]}
}

// at draws with the origin at x, y, turned clockwise by deg and scaled by k.
func (s *sketch) at(x, y, deg, k float64, draw func()) {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	s.with([6]float64{k * cos, k * sin, -k * sin, k * cos, x, y}, draw)
}

// mirrored draws with left and right exchanged about x.
func (s *sketch) mirrored(x float64, draw func()) { s.with([6]float64{-1, 0, 0, 1, 2 * x, 0}, draw) }

func (s *sketch) with(t [6]float64, draw func()) {
	was := s.m
	s.m = [6]float64{
		was[0]*t[0] + was[2]*t[1], was[1]*t[0] + was[3]*t[1],
		was[0]*t[2] + was[2]*t[3], was[1]*t[2] + was[3]*t[3],
		was[0]*t[4] + was[2]*t[5] + was[4], was[1]*t[4] + was[3]*t[5] + was[5]}
	draw()
	s.m = was
}

// route is a path under way.
type route struct {
	s    *sketch
	segs []Seg
	x, y float64
}

func (s *sketch) route() *route { return &route{s: s} }

func (r *route) add(op Op, pts ...float64) *route {
	var seg Seg
	seg.Op = op
	n := len(pts) / 2
	for i := range n {
		seg.P[3-n+i] = r.s.place(pts[2*i], pts[2*i+1])
	}
	if n > 0 {
		r.x, r.y = pts[len(pts)-2], pts[len(pts)-1]
	}
	r.segs = append(r.segs, seg)
	return r
}

func (r *route) move(x, y float64) *route { return r.add(Move, x, y) }
func (r *route) to(x, y float64) *route   { return r.add(Line, x, y) }
func (r *route) cubic(ax, ay, bx, by, x, y float64) *route {
	return r.add(Cubic, ax, ay, bx, by, x, y)
}

// quad goes on by one control point.
func (r *route) quad(cx, cy, x, y float64) *route {
	return r.cubic(r.x+(cx-r.x)*2/3, r.y+(cy-r.y)*2/3, x+(cx-x)*2/3, y+(cy-y)*2/3, x, y)
}

// arc goes on along a circle about cx, cy from angle a to b in degrees,
// clockwise on paper from the right; it begins with a line, or a move.
func (r *route) arc(cx, cy, rad, a, b float64) *route {
	n := max(1, int(math.Ceil(math.Abs(b-a)/90)))
	step := (b - a) / float64(n) * math.Pi / 180
	k := 4. / 3 * math.Tan(step/4) // the usual cubic for an arc
	at := a * math.Pi / 180
	sin, cos := math.Sincos(at)
	if len(r.segs) == 0 || r.segs[len(r.segs)-1].Op == Close {
		r.move(cx+rad*cos, cy+rad*sin)
	} else {
		r.to(cx+rad*cos, cy+rad*sin)
	}
	for range n {
		s0, c0 := math.Sincos(at)
		at += step
		s1, c1 := math.Sincos(at)
		r.cubic(cx+rad*(c0-k*s0), cy+rad*(s0+k*c0), cx+rad*(c1+k*s1), cy+rad*(s1-k*c1), cx+rad*c1, cy+rad*s1)
	}
	return r
}

func (r *route) close() *route { return r.add(Close) }

// ink puts the path down in a style.
func (r *route) ink(st Style) { r.s.marks = append(r.s.marks, Mark{Style: st, Path: r.segs}) }

// line draws straight pieces through points x, y, x, y ...
func (s *sketch) line(st Style, pts ...float64) { s.through(pts).ink(st) }

// poly draws a closed shape of straight sides.
func (s *sketch) poly(st Style, pts ...float64) { s.through(pts).close().ink(st) }

func (s *sketch) through(pts []float64) *route {
	r := s.route().move(pts[0], pts[1])
	for i := 2; i+1 < len(pts); i += 2 {
		r.to(pts[i], pts[i+1])
	}
	return r
}

// segs draws separate straight strokes, four figures each, as one mark.
func (s *sketch) segs(st Style, ends ...float64) {
	r := s.route()
	for i := 0; i+3 < len(ends); i += 4 {
		r.move(ends[i], ends[i+1]).to(ends[i+2], ends[i+3])
	}
	r.ink(st)
}

// curve draws a smooth line through points: a Catmull-Rom spline in cubics.
func (s *sketch) curve(st Style, pts ...float64) { s.spline(pts, false).ink(st) }

// blob draws a smooth closed shape through points.
func (s *sketch) blob(st Style, pts ...float64) { s.spline(pts, true).close().ink(st) }

func (s *sketch) spline(pts []float64, closed bool) *route {
	n := len(pts) / 2
	at := func(i int) (x, y float64) {
		if closed {
			i = (i + n) % n
		} else {
			i = max(0, min(n-1, i))
		}
		return pts[2*i], pts[2*i+1]
	}
	last := n - 1
	if closed {
		last = n
	}
	r := s.route().move(pts[0], pts[1])
	for i := range last {
		ax, ay := at(i - 1)
		bx, by := at(i)
		cx, cy := at(i + 1)
		dx, dy := at(i + 2)
		r.cubic(bx+(cx-ax)/6, by+(cy-ay)/6, cx-(dx-bx)/6, cy-(dy-by)/6, cx, cy)
	}
	return r
}

func (s *sketch) circle(st Style, x, y, r float64) { s.route().arc(x, y, r, 0, 360).close().ink(st) }

func (s *sketch) ellipse(st Style, x, y, rx, ry float64) {
	s.with([6]float64{1, 0, 0, ry / rx, x, y}, func() { s.circle(st, 0, 0, rx) })
}

// arc draws part of a circle, angles in degrees clockwise from the right.
func (s *sketch) arc(st Style, x, y, r, a, b float64) { s.route().arc(x, y, r, a, b).ink(st) }

// rect draws a rectangle, its corners rounded by r.
func (s *sketch) rect(st Style, x, y, w, h, r float64) {
	if r == 0 {
		s.poly(st, x, y, x+w, y, x+w, y+h, x, y+h)
		return
	}
	s.route().arc(x+r, y+r, r, 180, 270).arc(x+w-r, y+r, r, 270, 360).arc(x+w-r, y+h-r, r, 0, 90).
		arc(x+r, y+h-r, r, 90, 180).close().ink(st)
}

// hatch fills a shape of straight sides with strokes gap apart, leaning by deg.
func (s *sketch) hatch(st Style, deg, gap float64, pts ...float64) {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	n := len(pts) / 2
	u := make([]float64, n) // along the strokes
	v := make([]float64, n) // across them
	least, most := math.Inf(1), math.Inf(-1)
	for i := range n {
		x, y := pts[2*i], pts[2*i+1]
		u[i], v[i] = x*cos+y*sin, -x*sin+y*cos
		least, most = min(least, v[i]), max(most, v[i])
	}
	r := s.route()
	for at := least + gap/2; at < most; at += gap {
		var hits []float64
		for i := range n {
			j := (i + 1) % n
			if (v[i] <= at) != (v[j] <= at) {
				hits = append(hits, u[i]+(u[j]-u[i])*(at-v[i])/(v[j]-v[i]))
			}
		}
		slices.Sort(hits)
		for i := 0; i+1 < len(hits); i += 2 {
			r.move(hits[i]*cos-at*sin, hits[i]*sin+at*cos).to(hits[i+1]*cos-at*sin, hits[i+1]*sin+at*cos)
		}
	}
	if len(r.segs) > 0 {
		r.ink(st)
	}
}
