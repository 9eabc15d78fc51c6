package plate

// Timing belts: a piece with its teeth up, and the cover over the run.

var toothedShapes = []shape{{
	name: "toothed", says: "a piece of toothed belt, teeth up", corner: topLeft,
	params: []param{word("edge", "clean", "frayed"), yesNo("cracks"), yesNo("gone"), yesNo("cord"), yesNo("swollen"),
		yesNo("fibres"), word("wet", "no", oil, coolant)},
	draw: drawToothed,
}, {
	name: "cover", says: "a belt's cover with its seam", corner: topRight,
	params: []param{word("state", "whole", "cracked", "broken", "dust"), word("seam", "dry", oil, coolant),
		yesNo("crust")},
	draw: drawCover,
}}

const (
	teeth              = 5
	toothPitch         = 19.
	toothLow, toothTop = 13., 29.
	toothDeep          = 3.2
)

func drawToothed(s *sketch, a args) {
	at := func(lwh ...float64) []float64 { return wedgePath(lwh...) }
	long := toothPitch * teeth
	s.poly(rubber, at(0, 0, toothLow, long, 0, toothLow, long, toothDeep, toothLow, 0, toothDeep, toothLow)...)
	gone := func(i int) bool { return a.on("gone") && (i == 1 || i == 2) }
	for i := range teeth {
		l := toothPitch * float64(i)
		if gone(i) {
			floor := at(l+3, 0, toothLow, l+16, 0, toothLow, l+16, toothDeep, toothLow, l+3, toothDeep, toothLow)
			s.hatch(faultThin, -20, 3.6, floor...)
			s.poly(fault, floor...)
			continue
		}
		s.poly(rubber, at(l+14, 0, toothTop, l+16.5, 0, toothLow, l+16.5, toothDeep, toothLow, l+14, toothDeep,
			toothTop)...)
		s.poly(rubber, at(l+5, 0, toothTop, l+14, 0, toothTop, l+14, toothDeep, toothTop, l+5, toothDeep,
			toothTop)...)
		if a.on("cracks") && i != 3 {
			x0, y0 := wedgeAt(l+17.5, 0, toothLow-1)
			x1, y1 := wedgeAt(l+17.5, toothDeep-.4*float64(i%3), toothLow)
			s.jag(fault, x0, y0, x1, y1, 1.4)
		}
	}
	toothedFront(s, gone, a)
	toothedHurt(s, a)
}

// toothedFront draws the edge that faces the reader and the cut at its end.
func toothedFront(s *sketch, gone func(int) bool, a args) {
	long := toothPitch * teeth
	pts := wedgePath(0, 0, 0, 0, 0, toothLow)
	for i := range teeth {
		l := toothPitch * float64(i)
		if !gone(i) {
			pts = append(pts, wedgePath(l+2.5, 0, toothLow, l+5, 0, toothTop, l+14, 0, toothTop, l+16.5, 0,
				toothLow)...)
		}
	}
	s.poly(rubber, append(pts, wedgePath(long, 0, toothLow, long, 0, 0)...)...)
	s.line(cable, wedgePath(1, 0, 8, long, 0, 8)...)
	s.poly(rubber, wedgePath(long, 0, 0, long, 0, toothLow, long, toothDeep, toothLow, long, toothDeep, 0)...)
	for i := range 6 {
		x, y := wedgeAt(long, .3+.52*float64(i), 8)
		s.circle(dark, x, y, 1.3)
	}
	if a.on("cracks") {
		for i := range teeth {
			if i != 3 {
				l := toothPitch * float64(i)
				s.poly(faultFill, wedgePath(l+14.5, 0, toothLow+2, l+20, 0, toothLow+2, l+18, 0, 2)...)
				s.line(fault, wedgePath(l+16, 0, toothLow, l+13, 0, toothTop-7)...)
			}
		}
	}
}

func toothedHurt(s *sketch, a args) {
	long := toothPitch * teeth
	if a.is("edge", "frayed") {
		x0, y0 := wedgeAt(2, 0, 2)
		x1, _ := wedgeAt(long-2, 0, 1)
		s.hairs(faultThin, x0, y0, x1, y0, 30, 3, 80)
		s.hairs(fault, x0, y0-6, x1, y0-6, 16, 8, 75)
	}
	if a.on("cord") {
		patch := wedgePath(30, .5, toothLow, 34, 2.6, toothLow+4, 52, 2.9, toothLow+8, 66, 2.4, toothLow+4, 68, .4,
			toothLow+4, 48, .1,
			toothLow)
		s.blob(faultBody, patch...)
		for i := range 5 {
			w := .6 + .45*float64(i)
			s.curve(fault, wedgePath(35, w, toothLow+4, 44, w+.1, toothLow+4, 52, w-.1, toothLow+4, 63, w,
				toothLow+4)...)
		}
	}
	if a.on("fibres") {
		x0, y0 := wedgeAt(4, 0, toothTop)
		x1, _ := wedgeAt(long-6, 0, toothTop)
		s.hairs(fault, x0, y0, x1, y0-20, 16, 13, -80)
		s.jag(fault, 30, 46, 44, 28, 2)
		s.jag(fault, 72, 56, 88, 36, 2)
	}
	if a.on("swollen") {
		for i := range teeth {
			x, y := wedgeAt(toothPitch*float64(i)+9.5, 0, toothTop-8)
			lump := []float64{x - 10, y + 6, x - 8, y - 9, x + 2, y - 13, x + 10, y - 8, x + 10, y + 6, x, y + 9}
			s.blob(rubber, lump...)
			s.blob(fault, lump...)
		}
		s.sway(fault, 118, 88, 150, 54)
	}
	what := a["wet"]
	if what == "no" {
		return
	}
	for _, p := range [][4]float64{{20, 2, 11, 6}, {56, 2.2, 14, 6}, {40, .8, 14, 7}, {80, 1.2, 11, 6}} {
		x, y := wedgeAt(p[0], p[1], toothTop)
		s.film(what, x, y, p[2], p[3])
	}
	for _, l := range []float64{18, 44, 74} {
		x, _ := wedgeAt(l, 0, 0)
		s.drop(what, x, 87, 6)
	}
}

// drawCover draws a cover of two halves, a larger pulley under it than above.
func drawCover(s *sketch, a args) {
	outline := func() *route {
		return s.route().arc(80, 24, 19, 180, 360).cubic(100, 40, 112, 44, 112, 62).arc(80, 62, 32, 0, 90).
			arc(80, 62, 32, 90, 180).cubic(48, 44, 60, 40, 61, 24).close()
	}
	outline().ink(body)
	s.line(line, 53, 46, 107, 46)
	for _, p := range [][2]float64{{66, 16}, {94, 16}, {54, 52}, {106, 52}, {62, 84}, {98, 84}} {
		s.circle(part, p[0], p[1], 3.4)
		s.circle(dark, p[0], p[1], 1.2)
	}
	s.circle(thin, 80, 62, 18)
	s.circle(thin, 80, 22, 9)
	switch a["state"] {
	case "cracked":
		s.jag(fault, 108, 76, 84, 52, 3)
		s.jag(fault, 84, 52, 66, 60, 2)
		s.circle(fault, 106, 52, 5)
		s.turn(faultThin, 106, 52, 10, -140, 20)
	case "broken":
		s.poly(void, 79, 96, 74, 80, 84, 72, 80, 60, 96, 54, 98, 46, 116, 50, 116, 94)
		s.arc(rope, 80, 62, 22, -30, 95)
		for i := range 7 {
			s.clicks(line, 80, 62, 22, 26, -25+20*float64(i), -25+20*float64(i), 1)
		}
		s.line(fault, 79, 93.5, 74, 80, 84, 72, 80, 60, 96, 54, 98, 46)
		s.line(hidden, 108, 47, 112, 62, 108, 78, 98, 88, 82, 93)
	case "dust":
		s.crumbs(faultFill, 50, 92, 112, 92, 30, 2, 1.3)
		s.crumbs(faultFill, 60, 87, 102, 87, 16, 3, 1.3)
		s.crumbs(faultFill, 70, 79, 92, 79, 7, 4, 1.2)
		s.hairs(fault, 62, 88, 100, 88, 7, 9, -80)
	}
	if what := a["seam"]; what != "dry" {
		s.line(fault, 60, 46, 104, 46)
		for _, x := range []float64{66, 84} {
			s.film(what, x, 49, 9, 4)
			s.drop(what, x, 62, 5)
		}
	}
	if a.on("crust") {
		s.crumbs(faultFill, 62, 50, 102, 50, 16, 3, 1.5)
	}
}
