package draw

// underside draws what is seen from below: it starts with the floor and ends
// with what hangs lowest.
func (f *frame) underside(c *canvas) {
	f.floor(c)
	f.rearAxle(c)
	f.engineBelow(c)
	f.suspension(c)
	f.exhaust(c)
}

// floor is valances, sills, floor ribs, tank and pipes.
func (f *frame) floor(c *canvas) {
	c.path("d-part", f.pen().M(9, 8).C(24, 1, 76, 1, 91, 8).d())
	f.box(c, "d-part", 15, 4.6, 85, 7.2, 1)
	f.box(c, "d-part", 25, 8.4, 75, 11.6, .6)
	f.hatch(c, "d-fine", 26, 74, 8.8, 11.2, 40)
	both(func(x func(float64) float64) {
		f.box(c, "d-part", x(3.4), 84, x(7.6), 146, 1)
		f.rungs(c, "d-fine", x(4), x(7), 88, 142, 6)
		c.path("d-solid", f.pen().M(x(4), 84).L(x(7), 84).L(x(5.5), 87.4).Z().d())
		c.path("d-solid", f.pen().M(x(4), 146).L(x(7), 146).L(x(5.5), 142).Z().d())
		f.box(c, "d-fine", x(12), 98, x(30), 134, 3)
		f.rungs(c, "d-fine", x(15), x(27), 101, 131, 4)
	})
	c.path("d-fine", f.pen().M(8, 94).C(30, 92, 70, 92, 92, 94).d())
	tank := f.pen().M(16, 141).L(40, 141).C(44, 141, 44, 145, 44, 148).L(44, 160).C(44, 164, 41, 164,
		38, 164).L(18, 164)
	tank.C(14, 164, 13, 160, 13, 156).L(13, 146).C(13, 142, 14, 141, 16, 141).Z()
	c.path("d-part", tank.d())
	f.seg(c, "d-strap", 21, 140, 21, 165, 36, 140, 36, 165)
	f.box(c, "d-fine", 16, 144, 41, 161, 2)
	c.path("d-pipe", f.pen().M(35, 94).L(35, 136).L(31, 141).d())
	c.path("d-pipe", f.pen().M(37.4, 94).L(37.4, 137).L(46, 146).L(46, 165).d())
	f.rungs(c, "d-fine", 34, 38.4, 97, 136, 5)
}

// wheel is a tyre seen from below, with its tread.
func (f *frame) wheel(c *canvas, x0, y0, x1, y1 float64) {
	f.box(c, "d-part", x0, y0, x1, y1, 2)
	f.rungs(c, "d-fine", x0+(x1-x0)*.18, x0+(x1-x0)*.82, y0+2, y1-2, 9)
	f.seg(c, "d-fine", (x0+x1)/2, y0, (x0+x1)/2, y1)
}

// suspension is the front subframe, lower arms, anti-roll bar and wheels.
func (f *frame) suspension(c *canvas) {
	both(func(x func(float64) float64) {
		f.wheel(c, x(1.4), 38, x(9.4), 76)
		arm := f.pen().M(x(12), 54).L(x(28), 47).L(x(29), 51).L(x(19), 57.5).L(x(28), 74).L(x(26), 78).L(x(14), 62).Z()
		c.path("d-part", arm.d())
		f.disc(c, "d-part", x(12.6), 57, 2.2)
		f.disc(c, "d-solid", x(12.6), 57, .8)
		f.disc(c, "d-fine", x(27.6), 49, 1.4)
		f.disc(c, "d-fine", x(26.6), 76, 1.4)
		rail := f.pen().M(x(27.6), 40).L(x(32), 40).L(x(32), 76).C(x(32), 80, x(34), 81, x(37), 81)
		c.path("d-part", rail.L(x(37), 88).L(x(31), 88).C(x(28), 88, x(27.6), 84, x(27.6), 80).Z().d())
		f.bolts(c, x(29.8), 43, x(29.8), 73, x(31.5), 85)
		c.path("d-pipe", f.pen().M(x(10.4), 64).L(x(27), 80.4).d())
	})
	f.box(c, "d-part", 36, 81, 64, 88, 1)
	f.rungs(c, "d-fine", 38, 62, 82, 87, 2)
	bar := f.through(15, 52, 17, 40, 24, 34.5, 50, 33.6, 76, 34.5, 83, 40, 85, 52)
	c.path("d-pipe", curve(bar))
}

// engineBelow is sump and gearbox.
func (f *frame) engineBelow(c *canvas) {
	if f.engine.Transverse {
		f.transverseBelow(c)
		return
	}
	f.box(c, "d-part", 44, 17, 56, 23, .6)
	f.rungs(c, "d-fine", 44.4, 55.6, 18, 22, 4)
	f.box(c, "d-part", 39, 23.6, 61, 76, 2)
	for y := 28.0; y < 76; y += 11 {
		f.bolts(c, 40, y, 60, y)
	}
	f.box(c, "d-part", 41.4, 44, 58.6, 74, 3)
	f.box(c, "d-fine", 43, 46.4, 57, 71.6, 2)
	f.disc(c, "d-part", 46, 68, 1.9)
	f.disc(c, "d-solid", 46, 68, .8)
	bell := f.pen().M(38, 77).L(62, 77).L(59.6, 88).L(56, 96).L(56, 122).L(53, 126).L(47, 126).L(44, 122).L(44,
		96).L(40.4, 88).Z()
	c.path("d-part", bell.d())
	f.box(c, "d-part", 44.6, 97, 55.4, 116, 1.4)
	f.box(c, "d-fine", 46.2, 99.4, 53.8, 113.6, 1)
	f.bolts(c, 45.4, 98.4, 54.6, 98.4, 45.4, 106.5, 54.6, 106.5, 45.4, 114.6, 54.6, 114.6)
	f.box(c, "d-part", 30, 121, 70, 125, 1)
	f.bolts(c, 32, 123, 68, 123)
	f.box(c, "d-part", 48.6, 126, 51.4, 166, .4)
	for _, y := range []float64{129, 148, 163} {
		f.box(c, "d-part", 47.4, y-1.6, 52.6, y+1.6, .6)
		f.seg(c, "d-fine", 47.4, y-1.6, 52.6, y+1.6, 47.4, y+1.6, 52.6, y-1.6)
	}
}

func (f *frame) transverseBelow(c *canvas) {
	both(func(x func(float64) float64) {
		in := x(22.5)
		if x(0) > 50 {
			in = x(20)
		}
		f.box(c, "d-part", x(9.4), 55.2, in, 57.8, .4)
		for _, g := range []float64{11.5, 13, 14.5} {
			f.seg(c, "d-part", x(g), 53.4, x(g), 59.6)
		}
	})
	p := f.pen().M(38, 36).L(32, 37).C(27, 39, 22.5, 40, 22.5, 46).L(22.5, 60).C(22.5, 66, 28, 68, 32, 68).L(38, 68).Z()
	c.path("d-part", p.d())
	f.disc(c, "d-part", 29, 58, 5)
	f.disc(c, "d-fine", 29, 58, 3)
	f.seg(c, "d-fine", 33.6, 38, 33.6, 67)
	f.bolts(c, 35.6, 40, 35.6, 48, 35.6, 56, 35.6, 64)
	f.box(c, "d-part", 38, 34, 75, 66, 2)
	f.box(c, "d-part", 41, 38, 72, 60, 3)
	f.box(c, "d-fine", 43, 40.4, 70, 57.6, 2)
	f.disc(c, "d-part", 67, 55, 1.9)
	f.disc(c, "d-solid", 67, 55, .8)
	f.bolts(c, 40, 36, 50, 36, 62, 36, 73, 36, 40, 64, 50, 64, 62, 64, 73, 64)
	f.box(c, "d-part", 75, 35, 78, 66, 1)
	f.box(c, "d-part", 78, 39, 82, 58, .6)
	f.hatch(c, "d-fine", 78.6, 81.4, 39.6, 57.4, 4)
}

// rearAxle is a driven axle with its final drive, or a trailing beam.
func (f *frame) rearAxle(c *canvas) {
	both(func(x func(float64) float64) {
		f.wheel(c, x(1.6), 151, x(9.6), 191)
		f.disc(c, "d-fine", x(17), 176, 3)
		f.disc(c, "d-fine", x(17), 176, 1.6)
	})
	if !f.engine.Transverse {
		f.box(c, "d-part", 9.6, 168, 90.4, 174, 1)
		f.disc(c, "d-part", 50, 171, 6.4)
		f.disc(c, "d-fine", 50, 171, 4.4)
		f.disc(c, "d-solid", 50, 175, .8)
		return
	}
	both(func(x func(float64) float64) {
		c.path("d-part", f.pen().M(x(10), 166).L(x(16), 150).L(x(19), 150).L(x(16), 176).L(x(10), 176).Z().d())
		f.disc(c, "d-part", x(17.4), 150, 1.8)
	})
	f.box(c, "d-part", 15, 165, 85, 171, 1)
	f.seg(c, "d-fine", 17, 168, 83, 168)
}

// exhaust runs down the right of a longitudinal engine, down the middle of the
// floor with a transverse one.
func (f *frame) exhaust(c *canvas) {
	x, via := 66.0, f.through(63, 52, 66, 62, 66, 80, 66, 100, 66, 140, 66, 164, 72, 178)
	if f.engine.Transverse {
		x, via = 50, f.through(56, 32, 54, 60, 50, 78, 50, 100, 50, 140, 54, 160, 66, 174, 72, 180)
	}
	f.tube(c, Hose, via)
	f.box(c, "d-part", x-4.4, 93, x+4.4, 107, 3)
	f.seg(c, "d-fine", x-4.2, 96, x+4.2, 96, x-4.2, 104, x+4.2, 104)
	f.box(c, "d-part", x-5, 119, x+5, 137, 2.4)
	f.hatch(c, "d-fine", x-4, x+4, 122, 134, 5)
	f.box(c, "d-part", 66, 179, 90, 194, 2.6)
	f.rungs(c, "d-fine", 68, 88, 181, 192, 3)
	f.box(c, "d-part", 84, 194, 87.4, 204, .6)
}
