package plate

import "math"

// corner is where a shape leaves room for a note.
type corner byte

const (
	bottomRight corner = iota
	bottomLeft
	topRight
	topLeft
)

// letter is the size of all words on plates.
const letter = 13.0

// note sets words into a corner.
func (s *sketch) note(c corner, words string) {
	m := Mark{Style: Style{Fill: Ink}, Text: words, Size: letter, At: Point{3, Height - 4}}
	if c == topRight || c == topLeft {
		m.At.Y = 13
	}
	if c == topRight || c == bottomRight {
		m.At.X, m.End = Width-3, true
	}
	s.marks = append(s.marks, m)
}

// words sets words with their middle at x; y is their line.
func (s *sketch) words(tone Tone, x, y float64, words string) {
	s.marks = append(s.marks, Mark{Style: Style{Fill: tone}, Text: words, Size: letter, At: s.place(x, y), Mid: true})
}

// figure sets a figure, 3.2mm, as its reader wants it, behind a sign such as <,
// with its middle at x.
func (s *sketch) figure(tone Tone, x, y float64, sign, value string) {
	if value == "" {
		return
	}
	number, unit := cutFigure(value)
	s.words(tone, x, y, sign+s.show(number, unit))
}

// noise is a figure between -1 and 1 that looks drawn by lot and is not.
func noise(i int) float64 {
	v := math.Sin(float64(i)*12.9898+4.1414) * 43758.5453
	return 2*(v-math.Floor(v)) - 1
}

// jag draws a crack: a line from a to b with teeth, ends fine.
func (s *sketch) jag(st Style, ax, ay, bx, by, tooth float64) {
	n := max(3, int(math.Hypot(bx-ax, by-ay)/5))
	l := math.Hypot(bx-ax, by-ay)
	nx, ny := -(by-ay)/l, (bx-ax)/l
	pts := []float64{ax, ay}
	for i := 1; i < n; i++ {
		f, d := float64(i)/float64(n), tooth*math.Pow(-1, float64(i))*(.6+.4*noise(i))
		pts = append(pts, ax+(bx-ax)*f+nx*d, ay+(by-ay)*f+ny*d)
	}
	s.line(st, append(pts, bx, by)...)
}

// arrow draws a straight arrow with its head at the end.
func (s *sketch) arrow(st Style, ax, ay, bx, by float64) {
	s.line(st, ax, ay, bx, by)
	s.head(st, bx, by, math.Atan2(by-ay, bx-ax)*180/math.Pi)
}

// sway draws an arrow with two heads.
func (s *sketch) sway(st Style, ax, ay, bx, by float64) {
	s.arrow(st, ax, ay, bx, by)
	s.head(st, ax, ay, math.Atan2(ay-by, ax-bx)*180/math.Pi)
}

// head draws an arrow's head at x, y that points along deg.
func (s *sketch) head(st Style, x, y, deg float64) {
	s.at(x, y, deg, 1, func() { s.poly(Style{Fill: st.Stroke}, 2, 0, -6, -3.6, -6, 3.6) })
}

// turn draws an arrow along a circle from angle a to b.
func (s *sketch) turn(st Style, x, y, r, a, b float64) {
	s.arc(st, x, y, r, a, b)
	sin, cos := math.Sincos(b * math.Pi / 180)
	way := b + 90
	if b < a {
		way = b - 90
	}
	s.head(st, x+r*cos, y+r*sin, way)
}

// clicks draws short strokes about a point: it knocks, clicks, or sparks.
func (s *sketch) clicks(st Style, x, y, r0, r1, from, to float64, n int) {
	var ends []float64
	for i := range n {
		sin, cos := math.Sincos((from + (to-from)*float64(i)/float64(max(1, n-1))) * math.Pi / 180)
		ends = append(ends, x+r0*cos, y+r0*sin, x+r1*cos, y+r1*sin)
	}
	s.segs(st, ends...)
}

// glint draws a star of light: glazed, polished, hard.
func (s *sketch) glint(st Style, x, y, r float64) {
	k := r * .22
	s.poly(Style{Fill: st.Stroke}, x, y-r, x+k, y-k, x+r, y, x+k, y+k, x, y+r, x-k, y+k, x-r, y, x-k, y-k)
}

// Fluids, each drawn in a way of its own.
const (
	oil     = "oil"     // filled
	coolant = "coolant" // open, with a light
	fluid   = "fluid"   // half filled
)

// drop draws a hanging drop of a fluid, its round end at x, y.
func (s *sketch) drop(what string, x, y, r float64) {
	s.at(x, y, 0, r, func() {
		st := faultBody
		st.Width = 1.6
		if what == oil || what == "" {
			st.Fill = Act
		}
		s.route().move(0, -2.3).cubic(.3, -1.3, 1, -.8, 1, 0).arc(0, 0, 1, 0, 180).cubic(-1, -.8, -.3, -1.3, 0, -2.3).
			close().ink(st)
		if what == fluid {
			s.route().arc(0, 0, 1, 0, 180).close().ink(faultFill)
		}
		if what == coolant && r >= 4 {
			s.arc(faultThin, 0, 0, .5, 90, 180)
		}
	})
}

// film draws wet patches of a fluid through a middle point: an oil film is
// filled, coolant open with ripples, other fluid hatched.
func (s *sketch) film(what string, x, y, w, h float64) {
	shape := []float64{x - w, y + .2*h, x - .5*w, y - .8*h, x + .2*w, y - h, x + .9*w, y - .5*h, x + w, y + .3*h,
		x + .4*w, y + h, x - .3*w, y + .7*h}
	st := faultBody
	st.Width = 1.4
	switch what {
	case oil, "":
		s.blob(faultFill, shape...)
	case coolant:
		s.blob(st, shape...)
		s.curve(faultThin, x-.5*w, y, x-.2*w, y-.25*h, x+.1*w, y, x+.5*w, y-.2*h)
	default:
		s.blob(st, shape...)
		s.hatch(faultThin, -45, 3, shape...)
	}
}

// crumbs strews small bits of size r about a line, as one mark.
func (s *sketch) crumbs(st Style, ax, ay, bx, by float64, n int, spread, r float64) {
	bits := s.route()
	for i := range n {
		f := (float64(i) + .5 + .3*noise(i)) / float64(n)
		bits.bit(i, ax+(bx-ax)*f, ay+(by-ay)*f+spread*noise(i+31), r*(1+.3*noise(i+57)))
	}
	bits.ink(st)
}

// bit adds one small rough hexagon.
func (r *route) bit(i int, x, y, size float64) {
	for j := range 6 {
		sin, cos := math.Sincos((float64(j)/6 + .1*noise(i+j)) * 2 * math.Pi)
		if j == 0 {
			r.move(x+size*cos, y+size*sin)
			continue
		}
		r.to(x+size*cos, y+size*sin)
	}
	r.close()
}

// hairs draws n loose fibres off a line, of about a length along deg.
func (s *sketch) hairs(st Style, ax, ay, bx, by float64, n int, long, deg float64) {
	r := s.route()
	for i := range n {
		f := (float64(i) + .5) / float64(n)
		x, y := ax+(bx-ax)*f, ay+(by-ay)*f
		sin, cos := math.Sincos((deg + 40*noise(i)) * math.Pi / 180)
		l := long * (1 + .3*noise(i+13))
		r.move(x, y).quad(x+cos*l*.6-sin*l*.2*noise(i+3), y+sin*l*.6+cos*l*.2*noise(i+3), x+cos*l, y+sin*l)
	}
	r.ink(st)
}

// finger draws a finger that touches x, y with its tip and comes from long
// above it, turned clockwise by deg.
func (s *sketch) finger(x, y, long, deg float64) {
	s.at(x, y, deg, 1, func() {
		s.route().move(7, -long).to(7, -7).arc(0, -7, 7, 0, 180).to(-7, -long).ink(body)
		s.route().move(-4, -16).to(-4, -7).arc(0, -7, 4, 180, 0).to(4, -16).ink(thin)
		if long > 30 {
			s.segs(thin, -4, -26, 3, -26, -5, -29, 4, -29)
		}
	})
}

// along gives the point a share f of the way from a to b.
func along(ax, ay, bx, by, f float64) (x, y float64) { return ax + (bx-ax)*f, ay + (by-ay)*f }
