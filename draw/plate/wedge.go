package plate

// V-belts: a piece with its narrow side up, and one in its pulley's groove.

var wedgeShapes = []shape{{
	name: "wedge", says: "a piece of V-belt, narrow side up",
	params: []param{count("cracks", 0, 5), word("deep", "shallow", "deep"), figure("depth"), yesNo("cord"),
		yesNo("chunk"),
		yesNo("glaze"), word("wet", "no", oil, coolant, fluid), yesNo("soft"), yesNo("split"), yesNo("burnt"),
		yesNo("back")},
	draw: drawWedge,
}, {
	name: "groove", says: "a V-belt in the groove of its pulley, cut across", corner: topRight,
	params: []param{word("belt", "in", "none"), word("ride", "level", "low", "bottom"), word("flanks", "straight",
		"dished")},
	draw: drawGroove,
}}

const wedgeLong = 94.

// wedgeAt lays a piece out: l along it, w into the depth, h upwards.
func wedgeAt(l, w, h float64) (x, y float64) { return 5 + l + 12*w, 92 - h - 13*w }

func wedgePath(lwh ...float64) []float64 {
	var out []float64
	for i := 0; i+2 < len(lwh); i += 3 {
		x, y := wedgeAt(lwh[i], lwh[i+1], lwh[i+2])
		out = append(out, x, y)
	}
	return out
}

// onFlank is a place on the flank that faces the reader, f from its foot to its top.
func onFlank(l, f float64) (x, y float64) { return wedgeAt(l, .9*f, 8+38*f) }

func flankPath(lf ...float64) []float64 {
	var out []float64
	for i := 0; i+1 < len(lf); i += 2 {
		x, y := onFlank(lf[i], lf[i+1])
		out = append(out, x, y)
	}
	return out
}

func drawWedge(s *sketch, a args) {
	if a.on("back") {
		drawWedgeBack(s)
		return
	}
	s.poly(rubber, wedgePath(0, .9, 46, wedgeLong, .9, 46, wedgeLong, 2.5, 46, 0, 2.5, 46)...)
	s.poly(rubber, flankPath(0, 0, wedgeLong, 0, wedgeLong, 1, 0, 1)...)
	s.poly(rubber, wedgePath(0, 0, 0, wedgeLong, 0, 0, wedgeLong, 0, 8, 0, 0, 8)...)
	s.line(cable, flankPath(1, .16, wedgeLong-1, .16)...)
	s.poly(rubber, wedgePath(wedgeLong, 0, 0, wedgeLong, 0, 8, wedgeLong, .9, 46, wedgeLong, 2.5, 46, wedgeLong,
		3.4, 8,
		wedgeLong, 3.4, 0)...)
	for i := range 5 {
		x, y := wedgeAt(wedgeLong, .5+.6*float64(i), 14)
		s.circle(dark, x, y, 1.6)
	}
	n := int(a.n("cracks"))
	for i := range n {
		l := wedgeLong * (float64(i) + .7) / (float64(n) + .4)
		wedgeCrack(s, l, a.is("deep", "deep"))
	}
	if v := a["depth"]; v != "" {
		less := ""
		if a.is("deep", "shallow") {
			less = "<"
		}
		s.figure(Act, 131, 92, less, v)
	}
	wedgeHurt(s, a)
	wedgeFace(s, a)
}

// wedgeCrack draws a crack over the narrow face and down the flank.
func wedgeCrack(s *sketch, l float64, deep bool) {
	to := .74
	if deep {
		to = .36
	}
	x0, y0 := wedgeAt(l+1, 2.5, 46)
	x1, y1 := onFlank(l, 1)
	s.jag(fault, x0, y0, x1, y1, 1.2)
	s.poly(faultFill, flankPath(l-4, 1, l+4, 1, l+.5, to)...)
}

func wedgeHurt(s *sketch, a args) {
	if a.on("cord") {
		patch := flankPath(22, .1, 26, .5, 40, .62, 58, .5, 64, .12, 44, .02)
		s.blob(faultBody, patch...)
		for i := range 3 {
			f := .14 + .13*float64(i)
			s.curve(fault, flankPath(28, f, 36, f+.06, 44, f-.04, 52, f+.05, 58, f)...)
		}
		x, y := onFlank(58, .3)
		s.hairs(fault, x, y, x+4, y+6, 4, 14, -10)
	}
	if a.on("chunk") {
		s.poly(void, flankPath(34, 1.06, 38, .5, 46, .32, 56, .4, 62, 1.06)...)
		s.poly(void, wedgePath(34, .9, 47, 62, .9, 47, 64, 2.55, 47, 36, 2.55, 47)...)
		floor := append(flankPath(34, 1, 38, .5, 46, .32, 56, .4, 62, 1), wedgePath(64, 2.5, 46, 58, 2.3, 30, 48,
			2.2, 27, 38, 2.4,
			34, 36, 2.5, 46)...)
		s.hatch(faultThin, -50, 3.6, floor...)
		s.line(fault, flankPath(34, 1, 38, .5, 46, .32, 56, .4, 62, 1)...)
		s.line(fault, wedgePath(62, .9, 46, 64, 2.5, 46, 57, 2.3, 33, 48, 2.2, 30, 40, 2.3, 34, 36, 2.5, 46, 34, .9,
			46)...)
	}
	if a.on("split") {
		s.poly(faultFill, flankPath(4, .5, 30, .56, 60, .52, wedgeLong, .6, wedgeLong, .46, 60, .4, 30, .46)...)
		s.poly(faultFill, wedgePath(wedgeLong, .42, 24, wedgeLong, .55, 31, wedgeLong, 1.7, 26)...)
	}
	if a.on("burnt") {
		patch := flankPath(34, .02, 33, .95, 58, .95, 60, .02)
		s.poly(faultBody, patch...)
		s.hatch(fault, 60, 4.5, patch...)
		for i := range 3 {
			x := 46 + 11*float64(i)
			s.curve(faultThin, x, 25, x-4, 19, x+3, 12, x-1, 5)
		}
	}
}

// drawWedgeBack draws the piece with its wide side up, worn and scored.
func drawWedgeBack(s *sketch) {
	s.poly(rubber, wedgePath(0, 0, 42, wedgeLong, 0, 42, wedgeLong, 3, 42, 0, 3, 42)...)
	s.poly(rubber, wedgePath(0, .7, 0, wedgeLong, .7, 0, wedgeLong, 0, 42, 0, 0, 42)...)
	s.line(cable, wedgePath(1, 0, 34, wedgeLong-1, 0, 34)...)
	s.poly(rubber, wedgePath(wedgeLong, .7, 0, wedgeLong, 0, 42, wedgeLong, 3, 42, wedgeLong, 2.3, 0)...)
	for i := range 5 {
		x, y := wedgeAt(wedgeLong, .3+.6*float64(i), 35)
		s.circle(dark, x, y, 1.6)
	}
	for _, w := range []float64{.7, 1.2, 2.3} {
		s.line(fault, wedgePath(5, w, 42, wedgeLong-6, w, 42)...)
	}
	s.poly(faultFill, wedgePath(26, 1.4, 42, 62, 1.4, 42, 66, 2, 42, 24, 1.9, 42)...)
	x, y := wedgeAt(4, 0, 42)
	s.hairs(fault, x, y, x+wedgeLong-6, y, 16, 7, 70)
}

func wedgeFace(s *sketch, a args) {
	if a.on("glaze") {
		for i := range 3 {
			l, f := 10+16*float64(i), .3+.2*float64(i)
			s.segs(fault, flankPath(l, f, l+24, f, l+30, f, l+36, f)...)
			x, y := onFlank(l+48, f)
			s.glint(fault, x, y, 7)
		}
	}
	if a.on("soft") {
		patch := flankPath(20, .06, 18, .8, 32, 1.1, 58, 1.1, 74, .8, 72, .06, 46, -.1)
		s.blob(rubber, patch...)
		s.blob(fault, patch...)
		s.hatch(faultThin, 30, 5, flankPath(24, .2, 24, .8, 70, .8, 70, .2)...)
	}
	what := a["wet"]
	if what == "no" {
		return
	}
	for _, at := range [][4]float64{{18, .66, 12, 6}, {50, .5, 17, 8}, {78, .74, 11, 6}} {
		x, y := onFlank(at[0], at[1])
		s.film(what, x, y, at[2], at[3])
	}
	for _, l := range []float64{14, 42, 72} {
		x, _ := wedgeAt(l, 0, 0)
		s.drop(what, x, 87, 6)
	}
}

// drawGroove draws the cut across a pulley's groove with the belt in it.
func drawGroove(s *sketch, a args) {
	for _, left := range []bool{true, false} {
		half := func() {
			s.poly(body, 14, 24, 44, 24, 62, 86, 80, 86, 80, 93, 14, 93)
			s.hatch(fine, -45, 5, 14, 24, 44, 24, 62, 86, 80, 86, 80, 93, 14, 93)
			if a.is("flanks", "dished") {
				s.line(hidden, 44, 24, 62, 86)
				s.route().move(44, 24).cubic(42, 44, 48, 70, 62, 86).to(44, 24).ink(void)
				s.route().move(44, 24).cubic(40, 48, 48, 72, 62, 86).ink(fault)
				s.glint(fault, 42, 58, 8)
			}
		}
		if left {
			half()
		} else {
			s.mirrored(80, half)
		}
	}
	top, in := 24., 0.
	switch a["ride"] {
	case "low":
		top, in = 42, 5.2
	case "bottom":
		top, in = 50, 9
	}
	if a.is("belt", "none") {
		return
	}
	foot := min(top+38, 85)
	k := 18. / 62
	x0, x1 := 44+in, 44+in+(foot-top)*k
	if a.is("ride", "bottom") {
		x0, x1 = x0+3, x1+4
	}
	st := rubber
	s.poly(st, x0, top, 160-x0, top, 160-x1, foot, x1, foot)
	for i := range 5 {
		s.circle(dark, 60+10*float64(i), top+8, 1.8)
	}
	if a.is("ride", "level") {
		return
	}
	s.line(hidden, 44, 24, 116, 24)
	s.arrow(fault, 80, 8, 80, top-3)
	s.line(fault, x0, top, 160-x0, top)
	if a.is("ride", "bottom") {
		s.line(fault, x1, foot, 160-x1, foot)
		s.clicks(fault, 80, 78, 8, 14, 30, 150, 3)
		s.segs(fault, 56, 66, 62, 66, 98, 66, 104, 66)
	}
}
