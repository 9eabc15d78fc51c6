package draw

// vehicle draws the vehicle itself, everything that is there whatever
// positions are given.
func (f *frame) vehicle(c *canvas) {
	if f.view == Below {
		f.body(c)
		f.underside(c)
		return
	}
	f.body(c)
	f.frontEnd(c)
	f.cabin(c)
	f.bay(c)
	f.engineAbove(c)
}

// body is the outline of the vehicle.
func (f *frame) body(c *canvas) {
	p := f.pen().M(50, -6).C(28, -6, 9, -4, 4, 9).C(1, 17, 0, 26, 0, 38).L(0, 98)
	p.C(0, 125, 1, 160, 2, 178).C(3, 194, 14, 202, 32, 203).L(68, 203)
	p.C(86, 202, 97, 194, 98, 178).C(99, 160, 100, 125, 100, 98).L(100, 38).C(100, 26, 99, 17, 96, 9).C(91, -4,
		72, -6, 50, -6).Z()
	c.path("d-outline", p.d())
}

// frontEnd is lamps, crossmember and radiator.
func (f *frame) frontEnd(c *canvas) {
	both(func(x func(float64) float64) {
		lamp := f.pen().M(x(5.5), 12).C(x(8), 1, x(15), -2.6, x(24), -3.4).L(x(22), 2.4).C(x(15), 3,
			x(10), 7, x(7), 16).Z()
		c.path("d-part", lamp.d())
		c.path("d-fine", f.pen().M(x(9), 8).C(x(11), 3, x(15), 0, x(21), -.6).d())
	})
	c.path("d-fine", f.pen().M(24, -3.4).Q(50, -5, 76, -3.4).d())
	f.box(c, "d-part", 13, 2.4, 87, 5.2, 1)
	for _, x := range []float64{18, 30, 40, 60, 70, 82} {
		f.disc(c, "d-fine", x, 3.8, .9)
	}
	f.box(c, "d-fine", 47.5, 1.4, 52.5, 4.4, .6)
	f.box(c, "d-part", 26, 6, 74, 9.6, 0)
	f.hatch(c, "d-fine", 26.5, 73.5, 6.2, 9.4, 44)
	f.box(c, "d-part", 22.5, 5.6, 26, 10, .8)
	f.box(c, "d-part", 74, 5.6, 77.5, 10, .8)
	f.box(c, "d-part", 29, 10, 71, 11.6, .5)
	if f.engine.Transverse {
		f.box(c, "d-fine", 31, 11.6, 48, 14, 2)
		f.box(c, "d-fine", 52, 11.6, 69, 14, 2)
		f.box(c, "d-part", 37, 13, 42, 16, .8)
		f.box(c, "d-part", 58, 13, 63, 16, .8)
		return
	}
	f.seg(c, "d-fine", 38, 11.6, 36.5, 14, 62, 11.6, 63.5, 14, 37, 13, 63, 13)
	f.box(c, "d-part", 47.5, 12.6, 52.5, 18.6, .8)
	f.rungs(c, "d-fine", 48, 52, 13, 16.5, 3)
}

// bay is what lies round the engine: wings, rails, strut towers, bulkhead.
func (f *frame) bay(c *canvas) {
	both(func(x func(float64) float64) {
		f.box(c, "d-hidden", x(1.6), 38, x(8.4), 76, 2)
		c.path("d-part", f.pen().M(x(13), 4).C(x(10), 20, x(9.5), 70, x(11), 98).d())
		c.path("d-fine", f.pen().M(x(11), 8).C(x(7.8), 24, x(7.4), 70, x(8.8), 99).d())
		rail := f.pen().M(x(20), 10).L(x(20), 38).C(x(25), 46, x(25), 68, x(20), 78).L(x(20), 98)
		c.path("d-fine", rail.d())
		f.disc(c, "d-part", x(15.5), 58, 6.6)
		f.disc(c, "d-fine", x(15.5), 58, 4.7)
		f.disc(c, "d-fine", x(15.5), 58, 1.6)
		f.disc(c, "d-solid", x(15.5), 58, .7)
		f.bolts(c, x(15.5), 51.4, x(20.6), 61.8, x(10.4), 61.8)
	})
	bulk := f.pen().M(9, 98).L(24, 98).C(38, 98, 38, 101, 50, 101).C(62, 101, 62, 98, 76, 98).L(91, 98)
	c.path("d-outline", bulk.d())
	c.path("d-fine", f.pen().M(8, 102).C(30, 105, 70, 105, 92, 102).d())
}

// cabin is scuttle, glass, wipers, roof and tail.
func (f *frame) cabin(c *canvas) {
	c.path("d-part", f.pen().M(8, 113).C(30, 107, 70, 107, 92, 113).L(84, 138).C(65, 133, 35, 133, 16, 138).Z().d())
	c.path("d-fine", f.pen().M(8, 108).C(30, 104, 70, 104, 92, 108).d())
	f.hatch(c, "d-fine", 18, 44, 105.4, 107.4, 15)
	f.hatch(c, "d-fine", 56, 82, 105.4, 107.4, 15)
	c.path("d-pipe", f.pen().M(33, 107).L(16, 117).M(59, 107).L(42, 117).d())
	f.disc(c, "d-part", 33, 107, .9)
	f.disc(c, "d-part", 59, 107, .9)
	both(func(x func(float64) float64) {
		c.path("d-fine", f.pen().M(x(16), 138).C(x(14), 150, x(14), 162, x(16), 174).d())
		c.path("d-fine", f.pen().M(x(3), 104).C(x(8), 120, x(9), 165, x(7), 190).d())
		c.path("d-part", f.pen().M(x(.3), 112).C(x(-4), 110, x(-5), 118, x(-4), 122).L(x(.6), 122).Z().d())
		f.box(c, "d-hidden", x(2.6), 148, x(8.6), 188, 2)
	})
	c.path("d-part", f.pen().M(16, 174).C(35, 179, 65, 179, 84, 174).L(89, 190).C(65, 196, 35, 196, 11, 190).Z().d())
	f.seg(c, "d-axis", 50, 116, 50, 202)
}

// engineAbove draws engine and gearbox as seen with the bonnet up.
func (f *frame) engineAbove(c *canvas) {
	switch {
	case f.engine.Transverse && f.engine.Vee:
		f.transverseGearbox(c)
		f.transverseVee(c)
	case f.engine.Transverse:
		f.transverseGearbox(c)
		f.transverseLine(c)
	case f.engine.Vee:
		f.tunnel(c)
		f.longVee(c)
	default:
		f.tunnel(c)
		f.longLine(c)
	}
}

// tunnel is the gearbox under the bulkhead, hidden from above.
func (f *frame) tunnel(c *canvas) {
	p := f.pen().M(38, 88).C(38, 98, 44, 102, 44, 112).L(45, 134).L(55, 134).L(56, 112).C(56, 102, 62, 98, 62, 88)
	c.path("d-hidden", p.d())
	f.seg(c, "d-hidden", 48.8, 134, 48.8, 182, 51.2, 134, 51.2, 182)
}

// pulleyStack is the belt end seen from above: pulleys on edge.
func (f *frame) pulleyStack(c *canvas) {
	f.box(c, "d-part", 40, 24.6, 60, 28.6, 1)
	f.box(c, "d-part", 44, 19.2, 56, 24.6, .6)
	f.rungs(c, "d-fine", 44.4, 55.6, 20.2, 23.8, 4)
}

// cylinderAt spaces cylinders evenly: the i-th of n between a and b.
func cylinderAt(a, b float64, i, n int) float64 {
	return a + (b-a)*(float64(i)+.5)/float64(n)
}

func (f *frame) plugWell(c *canvas, x, y float64) {
	f.disc(c, "d-part", x, y, 1.9)
	f.disc(c, "d-fine", x, y, .8)
}

func (f *frame) longLine(c *canvas) {
	n := f.engine.Cylinders
	f.box(c, "d-part", 39.5, 28, 61, 88, 2)
	f.box(c, "d-part", 29.5, 38, 34.5, 82, 2.4)
	f.box(c, "d-part", 29.5, 33, 34.5, 37.6, 1)
	f.box(c, "d-part", 66.5, 40, 70, 82, 1.8)
	for i := range n {
		y := cylinderAt(33, 86, i, n)
		f.box(c, "d-part", 34.5, y-2, 41, y+2, .6)
		f.box(c, "d-part", 60, y-1.6, 66.5, y+1.6, .6)
	}
	f.rungs(c, "d-fine", 67, 69.6, 44, 80, 9)
	f.box(c, "d-part", 42, 29.5, 58.5, 86.5, 3)
	f.box(c, "d-fine", 43.3, 31.2, 57.2, 84.8, 2)
	for i := range n {
		f.plugWell(c, 50.2, cylinderAt(33, 86, i, n))
	}
	for i := range n + 1 {
		y := cylinderAt(33, 86, i, n) - (86-33)/float64(n)/2
		f.bolts(c, 42.7, y, 57.8, y)
	}
	f.disc(c, "d-part", 46, 42.5, 2.2)
	f.seg(c, "d-fine", 44.6, 42.5, 47.4, 42.5)
	f.pulleyStack(c)
}

func (f *frame) longVee(c *canvas) {
	n := max(1, f.engine.Cylinders/2)
	f.box(c, "d-part", 35, 28, 65, 88, 2)
	for i := range n {
		a, b := cylinderAt(34, 82, i, n), cylinderAt(38, 86, i, n)
		f.box(c, "d-part", 43, a-2, 48, a+2, .6)
		f.box(c, "d-part", 52, b-2, 57, b+2, .6)
	}
	f.box(c, "d-part", 46.6, 33, 53.4, 84, 2.6)
	f.rungs(c, "d-fine", 47.6, 52.4, 38, 82, 12)
	f.disc(c, "d-part", 50, 33, 3)
	f.disc(c, "d-fine", 50, 33, 1.9)
	f.box(c, "d-part", 33.5, 30, 44, 83, 3)
	f.box(c, "d-part", 56, 34, 66.5, 87, 3)
	f.box(c, "d-fine", 34.7, 31.6, 42.8, 81.4, 2)
	f.box(c, "d-fine", 57.2, 35.6, 65.3, 85.4, 2)
	for i := range n {
		f.plugWell(c, 38.7, cylinderAt(34, 82, i, n))
		f.plugWell(c, 61.3, cylinderAt(38, 86, i, n))
	}
	f.disc(c, "d-part", 61.3, 38.5, 1.8)
	f.seg(c, "d-fine", 60.2, 38.5, 62.4, 38.5)
	f.pulleyStack(c)
}

// transverseGearbox lies at the left of the engine, with its shafts hidden.
func (f *frame) transverseGearbox(c *canvas) {
	f.seg(c, "d-hidden", 8, 55.4, 22, 53.4, 8, 57.6, 22, 55.8, 80, 53.4, 92, 55.4, 80, 55.8, 92, 57.6)
	p := f.pen().M(37, 35).L(32, 36).C(27, 38, 22.5, 39, 22.5, 44).L(22.5, 53).C(22.5, 58, 28, 60, 32, 61).L(37, 62).Z()
	c.path("d-part", p.d())
	f.seg(c, "d-fine", 32, 37, 32, 60.4, 25, 43, 31, 41, 25, 48, 31, 48, 25, 53, 31, 55.4)
	f.bolts(c, 34.6, 38, 34.6, 46, 34.6, 53, 34.6, 59)
}

// transverseEnd is the belt end at the right.
func (f *frame) transverseEnd(c *canvas) {
	f.box(c, "d-part", 77, 34.5, 80, 61.5, 1)
	f.box(c, "d-part", 80, 39, 84, 57, .6)
	f.hatch(c, "d-fine", 80.6, 83.4, 39.6, 56.4, 4)
}

func (f *frame) transverseLine(c *canvas) {
	n := f.engine.Cylinders
	f.box(c, "d-part", 37, 34, 77, 62, 2)
	f.box(c, "d-part", 42, 68.5, 73, 74, 2)
	f.box(c, "d-part", 38.4, 69, 42, 73.4, .8)
	f.box(c, "d-part", 43, 24, 71, 29, 2)
	for i := range n {
		x := cylinderAt(40, 75, i, n)
		f.box(c, "d-part", x-1.7, 61, x+1.7, 68.5, .6)
		f.box(c, "d-part", x-1.5, 29, x+1.5, 36, .6)
	}
	f.hatch(c, "d-fine", 45, 69, 24.6, 28.4, 14)
	f.box(c, "d-part", 39, 38, 76, 56, 3)
	f.box(c, "d-fine", 40.4, 39.8, 74.6, 54.2, 2)
	for i := range n {
		f.plugWell(c, cylinderAt(40, 75, i, n), 47)
	}
	for i := range n + 1 {
		x := cylinderAt(40, 75, i, n) - 35/float64(n)/2
		f.bolts(c, x, 38.8, x, 55.2)
	}
	f.disc(c, "d-part", 70.5, 42.6, 1.9)
	f.seg(c, "d-fine", 69.3, 42.6, 71.7, 42.6)
	f.transverseEnd(c)
}

func (f *frame) transverseVee(c *canvas) {
	n := max(1, f.engine.Cylinders/2)
	f.box(c, "d-part", 37, 30, 77, 66, 2)
	f.box(c, "d-part", 40, 44.6, 75, 51.4, 2)
	f.hatch(c, "d-fine", 42, 73, 45.4, 50.6, 18)
	f.box(c, "d-part", 38, 31, 74, 43, 3)
	f.box(c, "d-part", 40, 53, 76, 65, 3)
	for i := range n {
		f.plugWell(c, cylinderAt(39, 73, i, n), 37)
		f.plugWell(c, cylinderAt(41, 75, i, n), 59)
	}
	f.transverseEnd(c)
}
