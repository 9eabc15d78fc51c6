package draw

import "math"

// tensionerTravel draws the arm or slide, the pulley's place at either stop in
// phantom line, and a scale of its travel.
func (s *sheet) tensionerTravel(c *canvas) {
	t := s.r.Tensioner
	if t == nil {
		return
	}
	i := s.r.index(t.Pulley)
	c.quiet("")
	defer c.end()
	for k, e := range s.stops {
		if e.to(s.at[i]) > 1 {
			c.circle("d-ghost", e.x, e.y, s.rad[i])
			s.cross(c, s.stops[k])
		}
	}
	if t.Slides {
		a, b := s.stops[0], s.stops[1]
		c.line("d-sweep", a.x, a.y, b.x, b.y)
		return
	}
	pivot := s.px(place{t.PivotX, t.PivotY})
	if arm := pivot.to(s.at[i]); arm > 1 {
		c.path("d-sweep", s.sector(pivot, s.stops[0], s.stops[1], arm))
		s.arm(c, pivot, s.at[i], i)
		s.drawScale(c)
	}
}

func (s *sheet) cross(c *canvas, p place) {
	c.path("d-wrap", new(trace).move(p.x-3, p.y).to(p.x+3, p.y).move(p.x, p.y-3).to(p.x, p.y+3).d())
}

// sector is the arc from a to b about the pivot, anticlockwise as seen.
func (s *sheet) sector(pivot, a, b place, r float64) string {
	t := s.r.Tensioner
	return new(trace).move(a.x, a.y).arc(r, t.High-t.Low > 180, false, b.x, b.y).d()
}

// arm is the body from pivot to pulley.
func (s *sheet) arm(c *canvas, pivot, end place, i int) {
	l := pivot.to(end)
	ux, uy := (end.x-pivot.x)/l, (end.y-pivot.y)/l
	hub, eye := math.Min(8, l*.3), math.Min(6, s.rad[i]*.5)
	body := new(trace).move(pivot.x-uy*hub, pivot.y+ux*hub).to(end.x-uy*eye, end.y+ux*eye)
	body.to(end.x+uy*eye, end.y-ux*eye).to(pivot.x+uy*hub, pivot.y-ux*hub)
	c.path("d-arm", body.arc(hub, true, false, pivot.x-uy*hub, pivot.y+ux*hub).close().d())
	c.circle("d-arm", pivot.x, pivot.y, hub*.5)
	c.circle("d-solid", pivot.x, pivot.y, 1.1)
}

// travelScale is an arc about the pivot with a tick at each stop and mark and
// a pointer where the arm stands.
type travelScale struct {
	pivot place
	base  float64 // direction of the arm as drawn, on the screen
	r     float64
	outer bool // beyond the pulley; else behind the pivot, where there is always room
}

func (ts travelScale) at(deg, r float64) place {
	sin, cos := math.Sincos(ts.base - deg*math.Pi/180)
	return place{ts.pivot.x + r*cos, ts.pivot.y + r*sin}
}

// travelScale puts the scale beyond the pulley, where it is longest, unless
// belt or pulleys are in the way.
func (s *sheet) travelScale() travelScale {
	t := s.r.Tensioner
	i := s.r.index(t.Pulley)
	pivot := s.px(place{t.PivotX, t.PivotY})
	arm := pivot.to(s.at[i])
	ts := travelScale{pivot: pivot, base: math.Atan2(s.at[i].y-pivot.y, s.at[i].x-pivot.x),
		r: arm + s.rad[i] + s.thick + 5, outer: true}
	const steps = 24
	for k := range steps + 1 {
		deg := t.Low + (t.High-t.Low)*float64(k)/steps
		if !s.clear(ts.at(deg, ts.r), i) || !s.clear(ts.at(deg, ts.r+7), i) {
			ts.outer, ts.base, ts.r = false, ts.base+math.Pi, math.Min(8, arm*.3)+9
			return ts
		}
	}
	return ts
}

// clear reports whether a point lies on free paper, pulley own apart.
func (s *sheet) clear(q place, own int) bool {
	if q.x < 4 || q.x > s.r.Width-4 || q.y < 4 || q.y > s.h-4 {
		return false
	}
	for j := range s.at {
		if j != own && q.to(s.at[j]) < s.rad[j]+s.thick+2 {
			return false
		}
		sp := s.rt.spans[j]
		if toSegment(q, s.px(sp.from), s.px(sp.to)) < s.thick/2+2 {
			return false
		}
	}
	return true
}

func (s *sheet) drawScale(c *canvas) {
	t := s.r.Tensioner
	ts := s.travelScale()
	a, b := ts.at(t.Low, ts.r), ts.at(t.High, ts.r)
	c.path("d-sweep", new(trace).move(a.x, a.y).arc(ts.r, t.High-t.Low > 180, false, b.x, b.y).d())
	ticks := []float64{t.Low, t.High}
	if ts.outer {
		for _, m := range t.Marks {
			ticks = append(ticks, m.At)
		}
	}
	for _, v := range ticks {
		a, b := ts.at(v, ts.r-1.5), ts.at(v, ts.r+5)
		c.line("d-sweep", a.x, a.y, b.x, b.y)
	}
	tip := ts.at(0, ts.r+.6)
	c.path("d-tip", arrowHead(tip, ts.base+math.Pi, 6.5))
}
