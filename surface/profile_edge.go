package surface

import (
	"image"
	"math"
	"slices"
)

// edgePoint is a place of an outline; ok where light goes clearly from one side to the other.
type edgePoint struct {
	at      Point
	normal  Point // to the outside
	in, out float64
	light   []float64 // along the normal, from inside to outside
	steep   int       // where in it the edge is steepest
	ok      bool
	rise    float64 // px from a quarter to three quarters of the way
}

// quarters is how far apart the quarters of a normal distribution are, in standard deviations.
const quarters = 1.349

// blurOf is the blur of an edge at some of its points, px, looked at as far as reach, which sees a greater one than
// was taken to find the edge.
func blurOf(p *image.Gray, points []edgePoint, reach float64) float64 {
	var rises []float64
	for _, e := range points {
		wide := profileOf(p, e.at, e.normal, reach)
		n := len(wide.light)
		wide.in, wide.out, wide.steep = mean(wide.light[:n/6]), mean(wide.light[n-n/6:]), n/2
		if wide.halfway(); wide.ok {
			rises = append(rises, wide.rise)
		}
	}
	if len(rises) == 0 {
		return 0
	}
	slices.Sort(rises)
	return rises[len(rises)/2] / quarters
}

// outline is a line round something, found to parts of a pixel.
type outline struct {
	points []edgePoint
	mixed  bool    // what is outside is not all alike
	seen   float64 // share of them that are ok
	blur   float64 // px, standard deviation
}

// light8 turns values into light by the curve of sRGB (IEC 61966-2-1): only in light is the middle of a blurred edge
// where the edge is.
var light8 = func() (out [256]float64) {
	for i := range out {
		v := float64(i) / 255
		if out[i] = v / 12.92; v > 0.04045 {
			out[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return out
}()

func lightAt(p *image.Gray, x, y float64) float64 {
	b := p.Bounds()
	w, h := b.Dx(), b.Dy()
	x, y = min(max(x, 0), float64(w-1)), min(max(y, 0), float64(h-1))
	ix, iy := min(int(x), max(w-2, 0)), min(int(y), max(h-2, 0))
	fx, fy := x-float64(ix), y-float64(iy)
	i, right, down := iy*p.Stride+ix, min(1, w-1), min(1, h-1)*p.Stride
	a := light8[p.Pix[i]] + fx*(light8[p.Pix[i+right]]-light8[p.Pix[i]])
	c := light8[p.Pix[i+down]] + fx*(light8[p.Pix[i+down+right]]-light8[p.Pix[i+down]])
	return a + fy*(c-a)
}

// sharpen moves a coarse outline, with its inside on the left, to where the light is half way. Size is of what is
// outlined, px: the normals reach a tenth of it to both sides. Mixed says that what is outside is not all alike.
func sharpen(p *image.Gray, line []Point, size float64, mixed bool) outline {
	reach := min(max(size/9, 3), 14)
	pts := line
	o := outline{mixed: mixed}
	for pass := range 3 {
		pts = evenly(pts, max(1, size/60))
		normals := normalsOf(pts, max(size/25, 2))
		o.points = o.points[:0]
		for i, q := range pts {
			o.points = append(o.points, profileOf(p, q, normals[i], reach/float64(1+pass/2)))
		}
		o.settle(int(1.5 * size / max(1, size/60)))
		o.judge()
		pts = pts[:0:0]
		for _, e := range o.points {
			if e.ok {
				pts = append(pts, e.at)
			}
		}
		if len(pts) < 10 {
			o.seen = 0
			return o
		}
		if pass == 0 {
			first := o.seen
			defer func() { o.seen = min(o.seen, first) }()
		}
	}
	return o
}

// judge says which points are ok, the share of them, and the blur.
func (o *outline) judge() {
	var steps []float64
	for _, e := range o.points {
		steps = append(steps, e.out-e.in)
	}
	slices.Sort(steps)
	usual, share := steps[len(steps)/2], 0.25
	if o.mixed {
		share = 0.1
	}
	seen := 0
	var rises []float64
	for i := range o.points {
		e := &o.points[i]
		step := e.out - e.in
		e.ok = e.ok && step*usual > 0 && math.Abs(step) > max(share*math.Abs(usual), 0.03)
		if e.ok {
			seen++
			rises = append(rises, e.rise)
		}
	}
	o.seen = float64(seen) / float64(len(o.points))
	if len(rises) > 0 {
		slices.Sort(rises)
		o.blur = rises[len(rises)/2] / quarters
	}
}

// normalStep is how far apart, px, the light along a normal is looked at.
const normalStep = 0.25

// profileOf is the light along the normal of a place, and what it is on both sides of its steepest place.
func profileOf(p *image.Gray, q, normal Point, reach float64) edgePoint {
	const step = normalStep
	n := int(reach / step)
	v := make([]float64, 2*n+1)
	for i := range v {
		d := float64(i-n) * step
		v[i] = lightAt(p, q.X+d*normal.X, q.Y+d*normal.Y)
	}
	e := edgePoint{at: q, normal: normal, light: v}
	// The steepest place is where the sides are told apart.
	k := max(int(1.25/step), 1)
	best, at := 0.0, n
	for i := k; i < len(v)-k; i++ {
		if d := math.Abs(v[i+k]-v[i-k]) * (1 - 0.3*math.Abs(float64(i-n))/float64(n)); d > best {
			best, at = d, i
		}
	}
	e.in, e.out, e.steep = plateau(v, at, -1), plateau(v, at, 1), at
	return e
}

// settle finds where each point is half way. What is inside is alike over its neighbours, so many of them: what
// shines near the edge there, or is dark, is none of it.
func (o *outline) settle(neighbours int) {
	in, out := make([]float64, len(o.points)), make([]float64, len(o.points))
	for i, e := range o.points {
		in[i], out[i] = e.in, e.out
	}
	for i := range o.points {
		e := &o.points[i]
		from, to := max(i-neighbours, 0), min(i+neighbours+1, len(in))
		usual, beyond := median(in[from:to]), median(out[from:to])
		if !o.mixed && math.Abs(e.out-usual) < math.Abs(e.out-beyond) { // another edge, within
			e.in, e.out, e.steep = usual, beyond, len(e.light)/2
			e.halfway()
			continue
		}
		free := 0.15 * math.Abs(e.out-usual)
		e.in = min(max(e.in, usual-free), usual+free)
		if e.halfway(); !e.ok { // there it is as it is
			e.in = in[i]
			e.halfway()
		}
	}
}

// halfway moves a point to where the light is half way between inside and outside.
func (e *edgePoint) halfway() {
	const step = normalStep
	v, n, at := e.light, len(e.light)/2, e.steep
	if e.in == e.out {
		return
	}
	share := func(i int) float64 { return (v[i] - e.in) / (e.out - e.in) }
	find := func(level float64) (float64, bool) {
		for d := range n {
			for _, i := range []int{at + d, at - d - 1} {
				if i >= 0 && i+1 < len(v) && share(i) <= level && share(i+1) > level {
					return float64(i) + (level-share(i))/(share(i+1)-share(i)), true
				}
			}
		}
		return 0, false
	}
	half, ok := find(0.5)
	low, ok1 := find(0.25)
	high, ok2 := find(0.75)
	if !ok || !ok1 || !ok2 {
		return
	}
	d := (half - float64(n)) * step
	e.at = Point{e.at.X + d*e.normal.X, e.at.Y + d*e.normal.Y}
	e.rise, e.ok = max((high-low)*step, 0), true
}

// plateau is the light on one side of an edge: that of the px beyond where it stops changing.
func plateau(v []float64, at, way int) float64 {
	i := at
	for i+2*way >= 0 && i+2*way < len(v) {
		i += way
		// Going away from the edge the change stops, or turns.
		now := (v[i+way] - v[i]) * float64(way)
		first := (v[min(at+2, len(v)-1)] - v[max(at-2, 0)]) / 4
		if now*sign(first) < 0.08*math.Abs(first) && (i-at)*way > 3 {
			break
		}
	}
	sum, n := 0.0, 0
	for k := 0; k < 5; k++ {
		if j := i + k*way; j >= 0 && j < len(v) {
			sum, n = sum+v[j], n+1
		}
	}
	return sum / float64(n)
}

func sign(v float64) float64 { return math.Copysign(1, v) }

// evenly goes along a line in steps.
func evenly(line []Point, step float64) []Point {
	out := []Point{line[0]}
	left := step
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		long := math.Hypot(b.X-a.X, b.Y-a.Y)
		at := left
		for ; at <= long; at += step {
			t := at / long
			out = append(out, Point{a.X + (b.X-a.X)*t, a.Y + (b.Y-a.Y)*t})
		}
		left = at - long
	}
	return out
}

// normalsOf are unit vectors to the right of a line, by its places so many px before and after.
func normalsOf(pts []Point, reach float64) []Point {
	out := make([]Point, len(pts))
	for i := range pts {
		a, b := i, i
		for a > 0 && math.Hypot(pts[a].X-pts[i].X, pts[a].Y-pts[i].Y) < reach {
			a--
		}
		for b < len(pts)-1 && math.Hypot(pts[b].X-pts[i].X, pts[b].Y-pts[i].Y) < reach {
			b++
		}
		dx, dy := pts[b].X-pts[a].X, pts[b].Y-pts[a].Y
		long := max(math.Hypot(dx, dy), 1e-9)
		out[i] = Point{-dy / long, dx / long}
	}
	return out
}
