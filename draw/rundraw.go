package draw

import (
	"fmt"
	"math"
	"strconv"

	"undertray.example/undertray/internal/message"
)

// sheet is a run laid out on paper: px, y downwards.
type sheet struct {
	r     *Run
	k     float64 // px per mm
	x0    float64 // px of x = 0 mm
	y0    float64 // px of y = 0 mm
	h     float64
	thick float64 // thickness as drawn, px
	rt    route   // in mm, along the middle of the belt as drawn
	real  route   // in mm, along the middle of the belt as it is: for figures
	at    []place // pulley centres, px
	rad   []float64
	stops []place // centres of the tensioner's pulley at its stops, px
}

func newSheet(r *Run) (*sheet, error) {
	s := &sheet{r: r}
	lo, hi := place{math.Inf(1), math.Inf(1)}, place{math.Inf(-1), math.Inf(-1)}
	include := func(x, y, rad float64) {
		lo.x, hi.x = math.Min(lo.x, x-rad), math.Max(hi.x, x+rad)
		lo.y, hi.y = math.Min(lo.y, y-rad), math.Max(hi.y, y+rad)
	}
	for _, p := range r.Pulleys {
		include(p.X, p.Y, p.Radius+r.Thickness)
	}
	ends := r.Tensioner.ends(r)
	for _, e := range ends {
		include(e.x, e.y, r.Pulleys[r.index(r.Tensioner.Pulley)].Radius)
	}
	if t := r.Tensioner; t != nil && !t.Slides {
		include(t.PivotX, t.PivotY, 5)
	}
	s.k = math.Min((r.Width-2*runSide)/(hi.x-lo.x), 1.25*r.Width/(hi.y-lo.y))
	s.thick = math.Max(r.Thickness*s.k, leastBelt*math.Min(1.4, r.Width/DefaultWidth))
	s.x0 = (r.Width-(hi.x-lo.x)*s.k)/2 - lo.x*s.k
	s.y0 = runTop + hi.y*s.k
	s.h = (hi.y-lo.y)*s.k + 2*runTop
	var mid []float64
	var at []place
	for _, p := range r.Pulleys {
		at = append(at, place{p.X, p.Y})
		mid = append(mid, p.Radius+s.thick/s.k/2)
		s.at = append(s.at, s.px(place{p.X, p.Y}))
		s.rad = append(s.rad, p.Radius*s.k)
	}
	for _, e := range ends {
		s.stops = append(s.stops, s.px(e))
	}
	if err := s.lay(at, mid); err != nil {
		return nil, err
	}
	return s, nil
}

func (s *sheet) lay(at []place, mid []float64) error {
	for i := range at {
		for j := range i {
			if at[i].to(at[j]) < s.r.Pulleys[i].Radius+s.r.Pulleys[j].Radius {
				return fmt.Errorf("draw: figure %s: pulleys %d and %d overlap", s.r.ID, s.r.Pulleys[j].Number,
					s.r.Pulleys[i].Number)
			}
		}
	}
	sense, inside := s.r.senses()
	rt, err := findRoute(at, mid, sense, inside)
	if err != nil {
		back := make([]float64, len(sense))
		for i, v := range sense {
			back[i] = -v
		}
		if _, other := findRoute(at, mid, back, -inside); other == nil {
			err = fmt.Errorf("the pulleys are listed against the belt's travel: turn the order round, or the direction")
		}
		return fmt.Errorf("draw: figure %s: %w", s.r.ID, err)
	}
	for i, p := range s.r.Pulleys {
		mid[i] = p.Radius + s.r.Thickness/2
	}
	if s.real, err = findRoute(at, mid, sense, inside); err != nil {
		return fmt.Errorf("draw: figure %s: %w", s.r.ID, err)
	}
	s.rt = rt
	return nil
}

func (s *sheet) px(p place) place { return place{s.x0 + p.x*s.k, s.y0 - p.y*s.k} }

// ends returns the centres of the moving pulley at its two stops, mm.
func (t *Tensioner) ends(r *Run) []place {
	if t == nil {
		return nil
	}
	return []place{t.centre(r, t.Low), t.centre(r, t.High)}
}

func (t *Tensioner) centre(r *Run, at float64) place {
	p := r.Pulleys[r.index(t.Pulley)]
	if t.Slides {
		a := t.SlideDeg * math.Pi / 180
		return place{p.X + at*math.Cos(a), p.Y + at*math.Sin(a)}
	}
	sin, cos := math.Sincos(at * math.Pi / 180)
	dx, dy := p.X-t.PivotX, p.Y-t.PivotY
	return place{t.PivotX + dx*cos - dy*sin, t.PivotY + dx*sin + dy*cos}
}

// loop is the belt's path at a distance from its middle, px, towards the back.
func (s *sheet) loop(offset float64) string {
	var t trace
	n := len(s.at)
	for i := range n {
		r := s.rad[i] + s.thick/2
		if s.r.Pulleys[i].Back {
			r -= offset
		} else {
			r += offset
		}
		in := s.touch(i, s.rt.spans[(i+n-1)%n].heading, r)
		out := s.touch(i, s.rt.spans[i].heading, r)
		if i == 0 {
			t.move(in.x, in.y)
		} else {
			t.to(in.x, in.y)
		}
		t.arc(r, s.rt.wraps[i] > math.Pi, s.rt.sense[i] < 0, out.x, out.y)
	}
	return t.close().d()
}

// touch is the point of circle i, radius r px, where a line of this heading
// touches it.
func (s *sheet) touch(i int, heading, r float64) place {
	sin, cos := math.Sincos(heading)
	return place{s.at[i].x + s.rt.sense[i]*r*sin, s.at[i].y + s.rt.sense[i]*r*cos}
}

// belt draws the belt in section: a heavy line on the ribbed side, a thin one
// on the back, paper between.
func (s *sheet) belt(c *canvas) {
	c.quiet("")
	c.stroke("d-belt", s.loop(0), s.thick)
	c.stroke("d-belt-core", s.loop(s.thick*.14), s.thick*.42)
	c.end()
}

// pulley draws one pulley: a double rim where ribs run in grooves, a single
// one where the back runs on a smooth face; ticks where the belt arrives and
// leaves; an arrow for the turn.
func (s *sheet) pulley(c *canvas, i int) {
	p, at, r := s.r.Pulleys[i], s.at[i], s.rad[i]
	label := message.Text("%d %s: on its ribs, wrap %s")
	if p.Back {
		label = "%d %s: on its back, wrap %s"
	}
	c.link("d-call", p.Href, s.r.words(label.With(p.Number, p.Name, degrees(s.wrap(i)))))
	c.circle("d-rim", at.x, at.y, r)
	if !p.Back {
		c.circle("d-groove", at.x, at.y, r-math.Min(2.6, r*.16))
	}
	n := len(s.at)
	for _, h := range []float64{s.rt.spans[(i+n-1)%n].heading, s.rt.spans[i].heading} {
		a, b := s.touch(i, h, r), s.touch(i, h, math.Max(r*.62, r-8))
		c.line("d-groove", a.x, a.y, b.x, b.y)
	}
	s.turnArrow(c, i)
	if p.Driver && r > 26 {
		c.path("d-groove", hexagon(at, 10))
	}
	if r >= 10 {
		c.text("d-num", centred, at.x, at.y+3.9, strconv.Itoa(p.Number))
	}
	c.end()
}

// wrap in degrees: the one given, or that of the belt's middle.
func (s *sheet) wrap(i int) float64 {
	if w := s.r.Pulleys[i].Wrap; w > 0 {
		return w
	}
	return s.real.wraps[i] * 180 / math.Pi
}

func degrees(v float64) string { return figure(v, 0) + "°" }

// spanLength in mm: the one given, or that of the belt's middle.
func (s *sheet) spanLength(i int) float64 {
	if l := s.r.Pulleys[i].Span; l > 0 {
		return l
	}
	return s.real.spans[i].length
}

func hexagon(at place, r float64) string {
	var t trace
	for i := range 6 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 3)
		if i == 0 {
			t.move(at.x+r*cos, at.y+r*sin)
		} else {
			t.to(at.x+r*cos, at.y+r*sin)
		}
	}
	return t.close().d()
}

// turnArrow is an arc inside the rim with a head, opposite the belt's wrap or
// at the top.
func (s *sheet) turnArrow(c *canvas, i int) {
	at, r := s.at[i], s.rad[i]*.72
	if s.rad[i] < 10 {
		r = s.rad[i] * .45
	}
	turn := -s.rt.sense[i] // +1: clockwise on the screen
	half := math.Min(.75, 16/r)
	if s.rad[i] < 18 {
		half = .9
	}
	from, to := -math.Pi/2-turn*half, -math.Pi/2+turn*half
	ax, ay := at.x+r*math.Cos(from), at.y+r*math.Sin(from)
	bx, by := at.x+r*math.Cos(to), at.y+r*math.Sin(to)
	c.path("d-turn", new(trace).move(ax, ay).arc(r, false, turn > 0, bx, by).d())
	head := math.Min(5.5, r*.5)
	dir := to + turn*math.Pi/2
	tip := place{bx + head*.6*math.Cos(dir+turn*.12), by + head*.6*math.Sin(dir+turn*.12)}
	c.path("d-tip", arrowHead(tip, dir+turn*.12, head))
}

// arrowHead is a filled triangle with its tip at p, pointing along dir.
func arrowHead(p place, dir, size float64) string {
	t := new(trace).move(p.x, p.y)
	for _, side := range []float64{2.72, -2.72} { // 156 degrees: a slender head
		t.to(p.x+size*math.Cos(dir+side), p.y+size*math.Sin(dir+side))
	}
	return t.close().d()
}
