package drawn

import (
	"image"
	"math"
	"math/rand/v2"
	"slices"
)

// Picture is a photograph and the truth about it.
type Picture struct {
	*image.Gray
	Scene      Scene
	Cracks     []Shown
	Across     float64 // px per mm across, in the middle of the belt, at the tips
	Along      float64
	Tilt, Lean float64 // of the belt's middle against the line of sight
	Blur       float64 // px, of lens and hand
	// First and End are the mm along that are seen in the middle of the belt, WholeFirst and WholeEnd those over
	// all its width.
	First, End, WholeFirst, WholeEnd float64

	low, high float64 // mm along that are drawn
	covers    []tube
	view      *view
	belt      *section
}

// Shown is a crack as it is in a picture.
type Shown struct {
	Crack
	Px      []Point // of Path, on the surface; NaN where it is behind the camera
	Clarity float64 // see Scene.Clarity
}

// Place is where a point of the belt is in the picture, px: mm across, along and below the tips. It may be hidden.
func (p *Picture) Place(across, along, below float64) Point {
	at, ok := p.view.project(across, along, below)
	if !ok {
		return Point{math.NaN(), math.NaN()}
	}
	return at
}

// Belt is the place on the surface of the tips that a pixel looks at, mm across and along; false where it looks past.
// Across may be outside the belt.
func (p *Picture) Belt(x, y float64) (Point, bool) {
	across, along, ok := p.view.see(x, y, 0)
	return Point{across, along}, ok
}

// Borders are where the borders of the ribs (one more than ribs) are at mm along, px, seen at the height of the
// tips: in the middle between two tips, not at the bottom of the groove.
func (p *Picture) Borders(along float64) []Point {
	out := make([]Point, p.Scene.Ribs+1)
	for k := range out {
		out[k] = p.Place(float64(k)*p.Scene.Pitch, along, 0)
	}
	return out
}

// Depth is how far below the tips the surface is at mm across.
func (p *Picture) Depth(across float64) float64 { return p.belt.at(across) }

// Count is how many cracks cross the middle of each rib's tip from one mm along to another.
func (p *Picture) Count(from, to float64) []int {
	out := make([]int, p.Scene.Ribs)
	for _, c := range p.Cracks {
		for _, k := range c.Ribs {
			if y := p.on(c.Crack, k); y >= from && y < to {
				out[k]++
			}
		}
	}
	return out
}

// on is the mm along at which a crack crosses the middle of a rib.
func (p *Picture) on(c Crack, rib int) float64 {
	x := (float64(rib) + 0.5) * p.Scene.Pitch
	i := slices.IndexFunc(c.Path, func(q Point) bool { return q.X >= x })
	if i < 0 {
		return c.Path[len(c.Path)-1].Y
	}
	return c.Path[i].Y
}

// Visible is whether a point of the surface is in the picture with nothing of the belt before it.
func (p *Picture) Visible(across, along float64) bool {
	at := p.Place(across, along, p.Depth(across))
	if !p.open(at) {
		return false
	}
	h := p.renderer().hit(float32(at.X), float32(at.Y))
	return h.kind == onRibs && along >= p.low && along <= p.high &&
		math.Abs(h.across-across) < 0.15 && math.Abs(h.along-along) < 0.15
}

func (p *Picture) renderer() *render {
	return &render{s: &p.Scene, v: p.view, belt: p.belt, low: p.low, high: p.high}
}

// render draws one picture.
type render struct {
	s               *Scene
	v               *view
	belt            *section
	skin            *skin
	lit             *lit
	rand            *rand.Rand
	grid            []ray // by knots of some px
	gw              int
	low, high       float64 // mm along that are drawn
	cutLow, cutHigh bool    // whether something stands there
}

const (
	knot  = 4   // px between rays that are followed exactly
	thick = 4.3 // mm of belt
)

// ray is where a pixel's ray meets the surface of the tips, and one thick mm deeper.
type ray struct {
	across, along, deepAcross, deepAlong float64
	ok                                   bool
}

// what a ray met.
const (
	onNothing = iota
	onRibs
	onSide
)

type hit struct {
	kind                 int
	across, along, below float64
}

// Render draws the photograph of a scene.
func (s Scene) Render() *Picture {
	r := rand.New(rand.NewPCG(s.Seed, 0xd7a3))
	v := s.look()
	worn := newSection(s.Pitch, s.Height, s.Tip, s.Flanks, s.Round, s.Worn)
	p := &Picture{Scene: s, view: v, belt: worn, Blur: math.Sqrt(s.Blur*s.Blur + s.Motion*s.Motion/12)}
	d := &render{s: &s, v: v, belt: worn, rand: r}
	d.follow()
	p.measure()
	d.cut(p)
	d.cover(p)
	p.low, p.high = d.low, d.high
	first, end := p.low-4, p.high+4
	step := 1 / (1.5 * max(p.Across, p.Along))
	d.skin = newSkin(r, &s, worn, first, end, step)
	d.skin.weave(r, &s)
	d.dirty()
	d.lit = newLit(&s, worn, v, first, end)
	f := d.draw()
	for _, t := range p.covers {
		t.draw(f)
	}
	f.blur(s.Blur)
	f.move(s.Motion, s.Moving)
	p.Gray = f.take(r, s.noise(), s.Quality)
	return p
}

// look sets up the camera.
func (s *Scene) look() *view {
	v := &view{course: newCourse(s.Bend, s.Apex, s.Wrap), wide: float64(s.Ribs) * s.Pitch, focal: s.Focal}
	v.cx, v.cy = float64(s.Wide-1)/2+s.OffX, float64(s.High-1)/2+s.OffY
	base := turn{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}
	// Axis 0 after base points across, so that turning about it by -Tilt takes greater mm along away.
	v.belt = base.then(about(1, -s.Lean)).then(about(0, -s.Tilt)).then(about(2, s.Turn))
	sight := vec{-s.OffX / s.Focal, -s.OffY / s.Focal, 1}.unit()
	right := vec{0, 1, 0}.cross(sight).unit()
	down := sight.cross(right)
	v.belt = v.belt.then(turn{{right.x, down.x, sight.x}, {right.y, down.y, sight.y}, {right.z, down.z, sight.z}})
	v.at = sight.times(s.Focal / s.Scale / sight.z)
	v.eye = v.belt.back(v.at.times(-1))
	return v
}

// measure takes scale and tilt in the middle.
func (p *Picture) measure() {
	const d = 0.05
	v, m := p.view, p.view.wide/2
	apart := func(a, b Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) / (2 * d) }
	p.Across = apart(p.Place(m+d, 0, 0), p.Place(m-d, 0, 0))
	p.Along = apart(p.Place(m, d, 0), p.Place(m, -d, 0))
	sight := v.at.unit()
	p.Tilt = math.Asin(v.belt.apply(vec{0, 1, 0}).dot(sight))
	p.Lean = math.Asin(v.belt.apply(vec{1, 0, 0}).dot(sight))
	for _, c := range p.Scene.Cracks {
		shown := Shown{Crack: c, Clarity: p.Scene.Clarity(c)}
		for _, q := range c.Path {
			shown.Px = append(shown.Px, p.Place(q.X, q.Y, p.belt.at(q.X)))
		}
		p.Cracks = append(p.Cracks, shown)
	}
}

// follow sends rays through the knots.
func (d *render) follow() {
	d.gw = d.s.Wide/knot + 2
	gh := d.s.High/knot + 2
	d.grid = make([]ray, d.gw*gh)
	for j := range gh {
		for i := range d.gw {
			d.grid[j*d.gw+i] = d.ray(float64(i*knot)-0.5, float64(j*knot)-0.5)
		}
	}
}

func (d *render) ray(x, y float64) ray {
	var r ray
	if r.across, r.along, r.ok = d.v.see(x, y, 0); !r.ok {
		return r
	}
	var ok bool
	if r.deepAcross, r.deepAlong, ok = d.v.see(x, y, thick); !ok {
		// It leaves before it is so deep: go on as it came.
		c, l, o := d.v.see(x, y, 0.3)
		if !o {
			return ray{}
		}
		r.deepAcross, r.deepAlong = r.across+(c-r.across)*thick/0.3, r.along+(l-r.along)*thick/0.3
	}
	return r
}

// cut finds what of the belt's length is drawn: what is in the picture, and not seen too flat.
func (d *render) cut(p *Picture) {
	const far = 300.0 // mm
	d.low, d.high = d.end(p, -far), d.end(p, far)
	if d.s.Begin < d.s.Stop {
		d.cutLow, d.cutHigh = d.cutLow || d.s.Begin > d.low, d.cutHigh || d.s.Stop < d.high
		d.low, d.high = max(d.low, d.s.Begin), min(d.high, d.s.Stop)
	}
}

// end goes along the belt until all its width is out of the picture, or too flat.
func (d *render) end(p *Picture, far float64) float64 {
	const step, flat = 0.5, 1.0 / 3
	way := math.Copysign(step, far)
	inside := func(q Point) bool {
		const margin = 25
		return q.X > -margin && q.Y > -margin && q.X < float64(d.s.Wide)+margin && q.Y < float64(d.s.High)+margin
	}
	last := p.Place(d.v.wide/2, 0, 0)
	for y := way; math.Abs(y) < math.Abs(far); y += way {
		q := p.Place(d.v.wide/2, y, 0)
		if !(math.Hypot(q.X-last.X, q.Y-last.Y) > flat*step*p.Along) {
			if far < 0 {
				d.cutLow = true
			} else {
				d.cutHigh = true
			}
			return y
		}
		out := true
		for across := -1.0; across <= d.v.wide+1; across++ {
			out = out && !inside(p.Place(across, y, 0)) && !inside(p.Place(across, y, thick))
		}
		if out && math.Abs(y) > 5 {
			return y
		}
		last = q
	}
	return far
}

// cover puts something round before each end that is cut: a hose, or a finger.
func (d *render) cover(p *Picture) {
	for i, on := range []bool{d.cutLow, d.cutHigh} {
		if !on {
			continue
		}
		at := []float64{d.low, d.high}[i]
		a, b := p.Place(0, at, 0), p.Place(d.v.wide, at, 0)
		skew := 0.25 * (2*d.rand.Float64() - 1)
		long := math.Hypot(a.X-b.X, a.Y-b.Y)
		wide := long*math.Abs(math.Tan(skew)) + (4+16*d.rand.Float64())*d.s.Scale*0.6 + 20
		t := tube{x: (a.X + b.X) / 2, y: (a.Y + b.Y) / 2, wide: wide, bend: 0.006 / wide * d.rand.NormFloat64(),
			light: float32(linear(d.s.Level) * (0.2 + 3*d.rand.Float64()))}
		t.sin, t.cos = math.Sincos(math.Atan2(b.Y-a.Y, b.X-a.X) + skew)
		p.covers = append(p.covers, t)
	}
	p.First, p.End = p.along(d.low, d.high, 0.5)
	p.WholeFirst, p.WholeEnd = p.along(d.low, d.high, 0, 0.25, 0.5, 0.75, 1)
}

// along is how far the belt is seen from its middle on both ways, at shares of its width.
func (p *Picture) along(low, high float64, across ...float64) (first, end float64) {
	free := func(y float64) bool {
		for _, x := range across {
			if !p.open(p.Place(x*p.view.wide, y, 0)) {
				return false
			}
		}
		return true
	}
	if !free(0) {
		return 0, 0
	}
	const step = 0.25
	for first-step > low && free(first-step) {
		first -= step
	}
	for end+step < high && free(end+step) {
		end += step
	}
	return first, end
}

// open is whether a place is in the picture with nothing before the belt.
func (p *Picture) open(at Point) bool {
	if !(at.X >= 0 && at.Y >= 0 && at.X <= float64(p.Scene.Wide-1) && at.Y <= float64(p.Scene.High-1)) {
		return false
	}
	return !slices.ContainsFunc(p.covers, func(t tube) bool { return math.Abs(t.at(at.X, at.Y)) < 1 })
}

// frayed is whether the edge is gone there.
func (d *render) frayed(h hit) bool {
	for i := range d.s.Frays {
		f := &d.s.Frays[i]
		in := h.across
		if f.Far {
			in = d.v.wide - h.across
		}
		t := 1 - math.Pow(math.Abs(h.along-f.Along)/(f.Length/2), 4)
		if t <= 0 || in > 2*f.Deep {
			continue
		}
		ragged := 0.5 + 0.25*d.skin.cloth.f(h.along*4, 3) + 0.3*d.skin.cloth.f(h.along*0.6, 9)
		if in < f.Deep*t*ragged {
			// Threads of cord stay, thin and along the edge.
			return d.skin.thin.f(h.along*1.5+in*6, in*30) < 0.9
		}
	}
	return false
}

// hit follows one ray exactly.
func (d *render) hit(x, y float32) hit {
	r := d.ray(float64(x), float64(y))
	if !r.ok {
		return hit{}
	}
	return d.meet(r)
}

// meet is what a ray meets.
func (d *render) meet(r ray) hit {
	slope := (r.deepAcross - r.across) / thick
	below := 0.0
	switch {
	case r.across >= 0 && r.across <= d.v.wide:
		below = d.belt.meet(r.across, slope)
	case r.across < 0 && slope > 0, r.across > d.v.wide && slope < 0:
		edge := 0.0
		if r.across > 0 {
			edge = d.v.wide
		}
		in := (edge - r.across) / slope
		if in > thick {
			return hit{}
		}
		if in >= d.belt.deep-0.02 {
			return hit{onSide, edge, r.along + (r.deepAlong-r.along)*in/thick, in}
		}
		below = d.belt.march(r.across, slope, in+0.01)
	default:
		return hit{}
	}
	h := hit{onRibs, r.across + slope*below, r.along + (r.deepAlong-r.along)*below/thick, below}
	if h.across < 0 || h.across > d.v.wide {
		return hit{}
	}
	return h
}

// draw sees each pixel by four rays and gives it light, with the ribs at their level.
func (d *render) draw() *film {
	f := newFilm(d.s.Wide, d.s.High)
	g := d.ground()
	expose := d.expose()
	for y := range f.high {
		for x := range f.wide {
			f.light[y*f.wide+x] = d.pixel(x, y, g, expose)
		}
	}
	return f
}

func (d *render) pixel(x, y int, g *film, expose float32) float32 {
	i := (y/knot)*d.gw + x/knot
	a, b, c, e := &d.grid[i], &d.grid[i+1], &d.grid[i+d.gw], &d.grid[i+d.gw+1]
	all := a.ok && b.ok && c.ok && e.ok
	lo, hi := -2*thick, d.v.wide+2*thick
	if all && (max(a.across, b.across, c.across, e.across) < lo || min(a.across, b.across, c.across, e.across) > hi) ||
		!a.ok && !b.ok && !c.ok && !e.ok {
		return g.light[y*g.wide+x]
	}
	sum := float32(0)
	for k := range 4 {
		fx, fy := float64(x%knot)+0.25+0.5*float64(k&1), float64(y%knot)+0.25+0.5*float64(k>>1)
		var r ray
		if all {
			r = mix(a, b, c, e, fx/knot, fy/knot)
		} else {
			r = d.ray(float64(x)+0.5*float64(k&1)-0.25, float64(y)+0.5*float64(k>>1)-0.25)
		}
		var h hit
		if r.ok {
			h = d.meet(r)
		}
		if h.kind == onNothing || h.along < d.low || h.along > d.high || d.frayed(h) {
			sum += g.light[y*g.wide+x]
			continue
		}
		sum += d.shade(h, r) * expose
	}
	return sum / 4
}

func mix(a, b, c, e *ray, fx, fy float64) ray {
	w := [4]float64{(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy}
	return ray{
		a.across*w[0] + b.across*w[1] + c.across*w[2] + e.across*w[3],
		a.along*w[0] + b.along*w[1] + c.along*w[2] + e.along*w[3],
		a.deepAcross*w[0] + b.deepAcross*w[1] + c.deepAcross*w[2] + e.deepAcross*w[3],
		a.deepAlong*w[0] + b.deepAlong*w[1] + c.deepAlong*w[2] + e.deepAlong*w[3], true,
	}
}

// shade is the light that comes from what was met.
func (d *render) shade(h hit, r ray) float32 {
	if h.kind == onSide {
		even, _ := d.lit.at(float32(clamp(h.across/d.s.Pitch, 0.2, float64(d.s.Ribs)-0.2)), float32(h.along))
		grain := d.skin.cloth.at(float32(h.along*12), float32(h.below*12))
		return even * (0.5 + 0.1*grain)
	}
	even, sheen := d.lit.at(float32(h.across/d.s.Pitch), float32(h.along))
	light, gloss := d.skin.at(float32(h.across), float32(h.along))
	for i := range d.s.Pieces {
		if t := d.s.Pieces[i].gone(h, d.s.Pitch, d.skin.cloth); t > 0 {
			light *= 1 + t*(0.35*d.skin.cloth.at(float32(h.across*9), float32(h.along*9))-0.45)
			gloss *= 1 - 0.9*t
		}
	}
	return even*light + sheen*gloss
}

func (k *skin) at(across, along float32) (light, gloss float32) {
	x, y := across/float32(k.step), (along-float32(k.first))/float32(k.step)
	ix, iy := min(max(int(x), 0), k.wide-2), min(max(int(y), 0), k.long-2)
	fx, fy := min(max(x-float32(ix), 0), 1), min(max(y-float32(iy), 0), 1)
	i := iy*k.wide + ix
	l, g := k.light[i:i+k.wide+2], k.gloss[i:i+k.wide+2]
	w := k.wide
	a, b := l[0]+(l[1]-l[0])*fx, l[w]+(l[w+1]-l[w])*fx
	c, e := g[0]+(g[1]-g[0])*fx, g[w]+(g[w+1]-g[w])*fx
	return a + (b-a)*fy, c + (e-c)*fy
}

// gone is how far a place lies within a missing piece.
func (q *Piece) gone(h hit, pitch float64, c *cloth) float32 {
	x := math.Abs(h.across-(float64(q.Rib)+0.5)*pitch) / (0.42 * pitch)
	y := math.Abs(h.along-q.Along) / (q.Length / 2)
	if x > 1.3 || y > 1.3 || h.below > q.Deep {
		return 0
	}
	d := max(x, y) + 0.08*float64(c.at(float32(h.across*5), float32(h.along*5)))
	return float32(1 - smooth(0.85, 1, d))
}

// expose is what turns the light of the ribs into the wanted level.
func (d *render) expose() float32 {
	var seen []float32
	for y := 8; y < d.s.High; y += 24 {
		for x := 8; x < d.s.Wide; x += 24 {
			if h := d.hit(float32(x), float32(y)); h.kind == onRibs && h.below < 0.6*d.belt.deep {
				seen = append(seen, d.shade(h, ray{}))
			}
		}
	}
	if len(seen) == 0 {
		return 5
	}
	slices.Sort(seen)
	return float32(linear(d.s.Level)) / max(seen[len(seen)/2], 1e-4)
}
