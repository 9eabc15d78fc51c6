package draw

import "math"

// features draws lines first, then what stands at positions.
func (f *frame) features(c *canvas, b *Bay) {
	for _, s := range b.Spots {
		if s.Shape == FrontHose || (s.Shape == RearHose && s.Y < 100) {
			f.hose(c, s)
		}
	}
	for _, l := range b.Lines {
		var pts []place
		for _, v := range l.Via {
			pts = append(pts, place{f.X(v[0]), f.Y(v[1])})
		}
		f.tube(c, l.Kind, pts)
	}
	for i, s := range b.Spots {
		if !repeated(b.Spots[:i], s) {
			f.shape(c, s)
		}
	}
}

// repeated reports whether the same thing stands at this place already: the
// pulley and the bearing of one alternator are two positions but one shape.
func repeated(before []Spot, s Spot) bool {
	for _, o := range before {
		if o.Shape == s.Shape && math.Hypot(o.X-s.X, o.Y-s.Y) < 5 {
			return true
		}
	}
	return false
}

// hose draws a coolant hose from radiator or bulkhead through its position to
// the engine.
func (f *frame) hose(c *canvas, s Spot) {
	engine := [2]float64{50, 30}
	if f.engine.Transverse {
		engine = [2]float64{38, 44}
	}
	start := [2]float64{75, 11}
	if s.X < 50 {
		start[0] = 25
	}
	if s.Shape == RearHose {
		start = [2]float64{s.X, 100}
		engine = [2]float64{54, 84}
		if f.engine.Transverse {
			engine = [2]float64{50, 62}
		}
	}
	f.tube(c, Hose, f.through(start[0], start[1], s.X, s.Y, engine[0], engine[1]))
}

// shape draws the thing at a position, in the thing's usual proportions.
func (f *frame) shape(c *canvas, s Spot) {
	x, y := s.X, s.Y
	switch s.Shape {
	case Battery:
		x, y = min(max(x, 10), 90), min(max(y, 10), 190)
		f.box(c, "d-part", x-6, y-11, x+6, y+11, .8)
		f.box(c, "d-fine", x-4.8, y-9.4, x+4.8, y+9.4, .5)
		f.rungs(c, "d-fine", x-3, x+1.6, y-8, y+8, 6)
		f.disc(c, "d-part", x+3.2, y-7, 1.2)
		f.disc(c, "d-part", x+3.2, y+7, 1.2)
	case Tank:
		f.box(c, "d-part", x-4.6, y-6, x+4.6, y+6, 2)
		f.box(c, "d-fine", x-3.6, y-4.8, x+3.6, y+4.8, 1.4)
		f.disc(c, "d-part", x+1.4, y-2.4, 1.9)
	case Reservoir:
		f.box(c, "d-part", x-2.8, y-3.6, x+2.8, y+3.6, 1.6)
		f.disc(c, "d-part", x, y, 1.8)
	case Servo:
		f.disc(c, "d-part", x, y+3, 6)
		f.disc(c, "d-fine", x, y+3, 4.6)
		f.box(c, "d-part", x-1.6, y-13, x+1.6, y-2, .8)
		f.box(c, "d-part", x-2.8, y-11, x+2.8, y-4.6, 1)
		f.disc(c, "d-fine", x, y-7.8, 1.4)
	case AirBox:
		f.box(c, "d-part", x-7.4, y-9.4, x+7.4, y+9.4, 1.6)
		f.box(c, "d-fine", x-6, y-7.8, x+6, y+7.8, 1)
		f.hatch(c, "d-fine", x-5.4, x+5.4, y-6.6, y+6.6, 7)
		f.bolts(c, x-6.7, y-8.6, x+6.7, y-8.6, x-6.7, y+8.6, x+6.7, y+8.6)
	case Canister:
		f.disc(c, "d-part", x, y, 3.1)
		f.disc(c, "d-fine", x, y, 2.2)
		f.disc(c, "d-fine", x, y, .9)
	case Machine:
		f.machine(c, x, y)
	case CoolantCap:
		f.disc(c, "d-part", x, y, 2)
		f.disc(c, "d-fine", x, y, 1.2)
	}
}

// machine is a belt-driven machine with its pulley on the belt side: to the
// front, or to the right on a transverse engine.
func (f *frame) machine(c *canvas, x, y float64) {
	if f.engine.Transverse {
		f.box(c, "d-part", x-6.4, y-4, x+1.6, y+4, 1.2)
		f.hatch(c, "d-fine", x-5.6, x+.4, y-3.2, y+3.2, 4)
		f.box(c, "d-part", x+1.6, y-2.8, x+4, y+2.8, .4)
		return
	}
	f.box(c, "d-part", x-4, y-1.6, x+4, y+7, 1.2)
	f.rungs(c, "d-fine", x-3.2, x+3.2, y-.6, y+6, 4)
	f.box(c, "d-part", x-2.8, y-4.2, x+2.8, y-1.6, .4)
}
