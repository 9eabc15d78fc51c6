package draw

import "math"

// pen draws a path in the vehicle's coordinates. It uses no arcs, so that the
// same path is right in the mirror too.
type pen struct {
	f *frame
	t trace
}

func (f *frame) pen() *pen { return &pen{f: f} }

func (p *pen) M(x, y float64) *pen { p.t.move(p.f.X(x), p.f.Y(y)); return p }
func (p *pen) L(x, y float64) *pen { p.t.to(p.f.X(x), p.f.Y(y)); return p }
func (p *pen) Q(cx, cy, x, y float64) *pen {
	p.t.quad(p.f.X(cx), p.f.Y(cy), p.f.X(x), p.f.Y(y))
	return p
}
func (p *pen) C(ax, ay, bx, by, x, y float64) *pen {
	p.t.cubic(p.f.X(ax), p.f.Y(ay), p.f.X(bx), p.f.Y(by), p.f.X(x), p.f.Y(y))
	return p
}
func (p *pen) Z() *pen   { p.t.close(); return p }
func (p *pen) d() string { return p.t.d() }

// box draws a rectangle with corners rounded by r units of x.
func (f *frame) box(c *canvas, class string, x0, y0, x1, y1, r float64) {
	ax, ay, bx, by := f.X(x0), f.Y(y0), f.X(x1), f.Y(y1)
	if ax > bx {
		ax, bx = bx, ax
	}
	r = math.Min(r*f.k, math.Min(bx-ax, by-ay)/2)
	t := new(trace).move(ax+r, ay).to(bx-r, ay).quad(bx, ay, bx, ay+r).to(bx, by-r).quad(bx, by, bx-r, by)
	c.path(class, t.to(ax+r, by).quad(ax, by, ax, by-r).to(ax, ay+r).quad(ax, ay, ax+r, ay).close().d())
}

// disc draws a circle of r units of x.
func (f *frame) disc(c *canvas, class string, x, y, r float64) {
	c.circle(class, f.X(x), f.Y(y), r*f.k)
}

// seg draws straight strokes, four figures each, as one path.
func (f *frame) seg(c *canvas, class string, ends ...float64) {
	p := f.pen()
	for i := 0; i+3 < len(ends); i += 4 {
		p.M(ends[i], ends[i+1]).L(ends[i+2], ends[i+3])
	}
	c.path(class, p.d())
}

// hatch draws n strokes evenly spaced across x0..x1, from y0 to y1.
func (f *frame) hatch(c *canvas, class string, x0, x1, y0, y1 float64, n int) {
	p := f.pen()
	for i := range n {
		x := x0 + (x1-x0)*(float64(i)+.5)/float64(n)
		p.M(x, y0).L(x, y1)
	}
	c.path(class, p.d())
}

// rungs draws n strokes evenly spaced down y0..y1, from x0 to x1.
func (f *frame) rungs(c *canvas, class string, x0, x1, y0, y1 float64, n int) {
	p := f.pen()
	for i := range n {
		y := y0 + (y1-y0)*(float64(i)+.5)/float64(n)
		p.M(x0, y).L(x1, y)
	}
	c.path(class, p.d())
}

// bolts draws small filled dots.
func (f *frame) bolts(c *canvas, at ...float64) {
	for i := 0; i+1 < len(at); i += 2 {
		f.disc(c, "d-solid", at[i], at[i+1], .45)
	}
}

// both draws something on the left and its mirror image on the right.
func both(draw func(x func(float64) float64)) {
	draw(func(x float64) float64 { return x })
	draw(func(x float64) float64 { return 100 - x })
}

// curve draws a smooth line through points given in px: a Catmull-Rom spline
// written as cubic Bezier pieces.
func curve(pts []place) string {
	var t trace
	t.move(pts[0].x, pts[0].y)
	for i := 0; i+1 < len(pts); i++ {
		a, b := pts[max(0, i-1)], pts[i]
		d, e := pts[i+1], pts[min(len(pts)-1, i+2)]
		t.cubic(b.x+(d.x-a.x)/6, b.y+(d.y-a.y)/6, d.x-(e.x-b.x)/6, d.y-(e.y-b.y)/6, d.x, d.y)
	}
	return t.d()
}

// tube draws a line of a kind through px points.
func (f *frame) tube(c *canvas, kind LineKind, pts []place) {
	d := curve(pts)
	switch kind {
	case Hose:
		c.stroke("d-hose", d, 1.75*f.k)
		c.stroke("d-bore", d, 1.75*f.k-1.8)
	case Pipe:
		c.path("d-pipe", d)
	case Cable:
		c.path("d-cable", d)
	case Strap:
		c.path("d-strap", d)
	}
}

func (f *frame) through(via ...float64) []place {
	var out []place
	for i := 0; i+1 < len(via); i += 2 {
		out = append(out, place{f.X(via[i]), f.Y(via[i+1])})
	}
	return out
}
