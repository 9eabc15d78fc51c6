package plate

// Filters, printed hose, bellows and boots.

var bodyShapes = []shape{{
	name: "canister", says: "a filter hanging in its bracket", corner: bottomLeft,
	params: []param{oneOf("is", "sound", canisterLooks)},
	draw:   drawCanister,
}, {
	name: "print", says: "a piece of hose with its print", corner: bottomLeft,
	params: []param{word("says", "30R9", "30R7", "30R11", "FUEL", "FLUID", "smeared"), yesNo("wrong")},
	draw:   drawPrint,
}, {
	name: "spring", says: "a hose cut open, with the spring inside", corner: topRight,
	params: []param{word("is", "sound", "rusted", "missing", "plain")},
	draw:   drawHoseSpring,
}, {
	name: "tee", says: "a plastic tee between three hoses", corner: bottomRight,
	params: []param{oneOf("is", "sound", teeLooks)},
	draw:   drawTee,
}, {
	name: "matrix", says: "a heater with its two hoses and a hand", corner: topRight,
	params: []param{word("heat", "both", "one")},
	draw:   drawMatrix,
}, {
	name: "bellows", says: "a folded duct with its clip on a neck", corner: topRight,
	params: []param{oneOf("is", "sound", bellowsLooks)},
	draw:   drawBellows,
}, {
	name: "element", says: "a filter element, held to the light", corner: bottomRight,
	params: []param{oneOf("is", "clean", elementLooks)},
	draw:   drawElement,
}, {
	name: "airbox", says: "an air filter in its box, cut", corner: bottomRight,
	params: []param{word("is", "seated", "track", "clips")},
	draw:   drawAirbox,
}, {
	name: "restriction", says: "a restriction gauge", corner: bottomRight,
	params: []param{word("is", "clear", "tripped")},
	draw:   drawRestriction,
}, {
	name: "cloth", says: "a white cloth wiped through a duct", corner: bottomRight,
	params: []param{word("is", "clean", "dust")},
	draw:   drawCloth,
}}

func drawCanister(s *sketch, a args) {
	x := 0.
	s.metal(8, 34, 26, 30)
	if a.is("is", "loose") {
		x = 8
	}
	s.rect(body, 66+x, 3, 12, 12, 0)
	s.rect(body, 46+x, 12, 52, 8, 2)
	s.route().move(48+x, 24).to(96+x, 24).to(96+x, 82).quad(96+x, 92, 84+x, 92).to(60+x, 92).quad(48+x, 92, 48+x, 82).
		close().
		ink(body)
	s.rect(rubber, 47+x, 20, 50, 4, 1)
	s.segs(thin, 56+x, 30, 56+x, 84)
	s.rect(body, 32+x, 42, 68+x*.2, 12, 2)
	s.seen(canisterLooks, a["is"])
}

var canisterLooks = []look{
	{"rust", func(s *sketch) { s.rusty(50, 56, 44, 32, 22, 1.5) }},
	{"scale", func(s *sketch) {
		s.rusty(50, 50, 44, 38, 30, 3)
		for i := range 4 {
			y := 58 + 8*float64(i)
			s.poly(faultFill, 94, y, 106, y-5, 98, y+5)
			s.poly(faultFill, 50, y, 40, y-4, 46, y+5)
		}
		s.rusty(34, 40, 64, 5, 14, 2)
	}},
	{"dented", func(s *sketch) {
		s.poly(void, 92, 58, 100, 58, 100, 82, 92, 82)
		s.line(fault, 96, 57, 88, 64, 86, 70, 89, 77, 96, 82)
		s.arrow(fault, 124, 70, 94, 70)
		s.segs(fault, 62, 62, 74, 66, 60, 68, 72, 72, 62, 76, 74, 78)
	}},
	{"cracked", func(s *sketch) {
		s.jag(fault, 60, 25, 84, 86, 5)
		s.jag(fault, 70, 60, 90, 66, 3)
		s.poly(faultFill, 56, 24, 66, 24, 64, 35)
	}},
	{"seal", func(s *sketch) {
		s.rect(faultFill, 94, 18, 14, 5, 2)
		s.curve(Style{Stroke: Act, Width: 4}, 96, 22, 108, 24, 112, 34, 106, 44)
		s.rect(faultBody, 46, 19, 52, 6, 1)
	}},
	{"loose", func(s *sketch) {
		s.segs(hidden, 48, 24, 48, 88)
		s.sway(fault, 114, 72, 142, 72)
		s.clicks(fault, 38, 48, 8, 15, 110, 250, 4)
	}},
}

func drawPrint(s *sketch, a args) {
	s.hoseEnd(4, 156, 50, 26)
	tone := Ink
	if a.on("wrong") {
		tone = Act
	}
	switch a["says"] {
	case "smeared":
		for i, x := range []float64{50, 66, 82, 98, 114} {
			y := 50 + 3*noise(i)
			s.segs(faultThin, x, y-5, x+4, y-4, x+2, y+4, x+8, y+3)
			s.blob(Style{Fill: Act}, x, y+2, x+4, y-3, x+9, y, x+5, y+4)
		}
		s.words(Act, 136, 55, "?")
		return
	case "FLUID":
		s.words(Ink, 88, 47, "STEERING")
		s.words(Ink, 88, 62, "FLUID")
	default:
		s.words(tone, 88, 55, a["says"])
	}
	if a.on("wrong") {
		s.segs(fault, 60, 62, 116, 62)
		s.cross(138, 50, 9)
	}
}

func drawHoseSpring(s *sketch, a args) {
	s.route().move(4, 18).to(156, 18).to(156, 84).to(4, 84).close().ink(rubber)
	s.rect(body, 4, 30, 152, 42, 0)
	switch a["is"] {
	case "plain":
	case "missing":
		for i := range 8 {
			x := 14 + 18*float64(i)
			s.segs(faultDash, x, 32, x+8, 70)
		}
		s.curve(fault, 40, 18, 60, 26, 80, 28, 100, 26, 120, 18)
		s.arrow(fault, 80, 4, 80, 22)
	case "rusted":
		for i := range 8 {
			x := 14 + 18*float64(i)
			if i == 3 || i == 4 {
				s.segs(fault, x, 31, x+3, 44)
				continue
			}
			s.segs(rope, x, 31, x+8, 71)
		}
		s.rusty(10, 34, 140, 34, 44, 2.2)
		s.at(88, 64, 70, 1, func() { s.segs(fault, -10, 0, 10, 4) })
	default:
		for i := range 8 {
			x := 14 + 18*float64(i)
			s.segs(rope, x, 31, x+8, 71)
			s.segs(thin, x+8, 71, x+18, 31)
		}
	}
}

func drawTee(s *sketch, a args) {
	s.poly(body, 44, 30, 116, 30, 116, 50, 92, 50, 92, 74, 68, 74, 68, 50, 44, 50)
	s.hoseEnd(4, 50, 40, 15)
	s.rect(rubber, 110, 25, 46, 30, 0)
	s.rect(rubber, 64, 66, 32, 26, 0)
	s.hoseClip(36, 40, 17)
	s.hoseClip(114, 40, 17)
	s.rect(body, 62, 72, 36, 9, 1)
	s.seen(teeLooks, a["is"])
}

var teeLooks = []look{
	{"brown", func(s *sketch) {
		s.hatch(faultThin, -45, 3.4, 51, 31, 110, 31, 110, 49, 51, 49)
		s.hatch(faultThin, -45, 3.4, 69, 49, 91, 49, 91, 66, 69, 66)
	}},
	{"cracked", func(s *sketch) {
		s.jag(fault, 56, 31, 88, 64, 4)
		s.crazed(74, 32, 34, 18, 6)
		s.poly(faultFill, 53, 30, 62, 30, 60, 38)
	}},
	{"broken", func(s *sketch) {
		s.poly(void, 84, 27, 102, 27, 96, 40, 104, 53, 86, 53, 92, 42)
		s.line(fault, 84, 30, 91, 36, 85, 42, 91, 50)
		s.line(fault, 100, 30, 94, 37, 102, 43, 98, 50)
		s.drop(coolant, 106, 74, 5.5)
		s.drop(coolant, 120, 86, 4.6)
	}},
}

func drawMatrix(s *sketch, a args) {
	s.fins(92, 14, 60, 70)
	s.rect(body, 84, 10, 10, 78, 2)
	s.rect(rubber, 8, 18, 78, 18, 0)
	s.rect(rubber, 8, 60, 78, 18, 0)
	s.arrow(line, 22, 27, 66, 27)
	if a.is("heat", "one") {
		s.hatch(faultThin, 45, 5, 8, 60, 84, 60, 84, 78, 8, 78)
		s.hatch(faultThin, 45, 5, 92, 50, 152, 50, 152, 84, 92, 84)
		s.clicks(fault, 122, 66, 0, 9, 0, 300, 6)
		s.clicks(fault, 46, 88, 0, 6, 0, 300, 6)
		s.heatInk(46, 57, 1)
		return
	}
	s.arrow(line, 66, 69, 22, 69)
	s.heatInk(46, 57, 2)
	s.heatInk(122, 60, 3)
}

// heatInk draws waves of heat as they should be.
func (s *sketch) heatInk(x, y float64, n int) {
	for i := range n {
		d := x + 14*(float64(i)-float64(n-1)/2)
		s.curve(line, d, y, d-4, y-6, d+4, y-13, d, y-20)
	}
}

const foldFrom, foldTo, folds = 22., 106., 6

// bellowsBody draws folds between two half heights.
func (s *sketch) bellowsBody(st Style, outer, inner float64) {
	r := s.route().move(foldFrom, hoseY-inner)
	step := (foldTo - foldFrom) / folds
	for i := range folds {
		x := foldFrom + step*float64(i)
		r.quad(x+step*.1, hoseY-outer, x+step*.5, hoseY-outer).quad(x+step*.9, hoseY-outer, x+step, hoseY-inner)
	}
	r.to(foldTo, hoseY+inner)
	for i := range folds {
		x := foldTo - step*float64(i)
		r.quad(x-step*.1, hoseY+outer, x-step*.5, hoseY+outer).quad(x-step*.9, hoseY+outer, x-step, hoseY+inner)
	}
	r.close().ink(st)
	for i := range folds - 1 {
		x := foldFrom + step*float64(i+1)
		s.route().move(x, hoseY-inner).quad(x+4, hoseY, x, hoseY+inner).ink(thin)
	}
}

func drawBellows(s *sketch, a args) {
	s.rect(body, 112, 30, 34, 36, 0)
	s.metal(146, 14, 11, 68)
	s.rect(rubber, 4, 26, 20, 44, 0)
	outer, inner := 30., 22.
	if a.is("is", "off") {
		s.at(4, 7, 0, .86, func() { s.bellowsBody(rubber, outer, inner) })
	} else if a.is("is", "sucked") {
		outer, inner = 20, 12
	}
	if !a.is("is", "off") {
		s.bellowsBody(rubber, outer, inner)
	}
	if a.is("is", "off") {
		s.rect(rubber, 82, 26, 18, 44, 0)
		s.rect(body, 86, 23, 10, 50, 1)
	} else {
		s.rect(rubber, 104, 26, 24, 44, 0)
		if !a.is("is", "loose") {
			s.rect(body, 112, 23, 10, 50, 1)
			s.rect(body, 109, 17, 16, 7, 1)
		}
	}
	s.seen(bellowsLooks, a["is"])
}

var bellowsLooks = []look{
	{"cracked", func(s *sketch) {
		for i := range 4 {
			x := 36 + 14*float64(i)
			s.line(fault, x-2, 32, x+1, 38, x-1, 44)
			s.line(fault, x+1, 54, x-1, 60, x+2, 66)
		}
	}},
	{"split", func(s *sketch) {
		s.route().move(62, 22).quad(74, 48, 66, 74).quad(58, 48, 62, 22).close().ink(faultFill)
		s.segs(fault, 62, 22, 60, 16, 66, 74, 68, 80)
		s.arrow(fault, 78, 10, 68, 30)
	}},
	{"oily", func(s *sketch) {
		s.film(oil, 46, 58, 18, 8)
		s.film(oil, 84, 62, 15, 7)
		s.drop(oil, 50, 88, 5)
	}},
	{"sucked", func(s *sketch) {
		s.bellowsBody(hidden, 30, 22)
		for _, x := range []float64{50, 78} {
			s.arrow(fault, x, 8, x, 26)
			s.arrow(fault, x, 90, x, 70)
		}
	}},
	{"rubbed", func(s *sketch) {
		s.poly(void, 48, 17, 80, 17, 80, 26, 48, 26)
		s.poly(faultBody, 46, 26, 82, 26, 78, 36, 50, 36)
		s.hatch(faultThin, -40, 3.4, 46, 26, 82, 26, 78, 36, 50, 36)
		s.metal(52, 3, 24, 21)
		s.sway(fault, 84, 12, 106, 12)
	}},
	{"jam", func(s *sketch) {
		s.at(64, 78, 12, 1, func() { s.poly(faultBody, -18, -6, 14, -9, 20, 2, -4, 9) })
		s.poly(void, 50, 66, 72, 66, 68, 58, 54, 60)
		s.line(fault, 50, 70, 54, 58, 62, 62, 68, 56, 74, 70)
		s.arrow(fault, 84, 84, 112, 84)
	}},
	{"loose", func(s *sketch) {
		s.rect(faultDash, 110, 17, 14, 62, 1)
		s.turn(fault, 117, 48, 36, 215, 325)
		s.at(117, 86, 8, 1, func() { s.rect(faultBody, -12, -3, 24, 6, 2) })
	}},
	{"off", func(s *sketch) {
		s.sway(fault, 101, 48, 111, 48)
		s.clicks(fault, 106, 48, 20, 28, 230, 310, 3)
		s.segs(fault, 100, 26, 100, 70)
	}},
}

func drawElement(s *sketch, a args) {
	s.rect(rubber, 10, 10, 140, 76, 5)
	s.rect(body, 20, 20, 120, 56, 0)
	for i := range 11 {
		x := 20 + 10*float64(i+1)
		s.segs(line, x, 20, x, 76)
	}
	s.seen(elementLooks, a["is"])
	if a.is("is", "clean") || a.is("is", "grey") {
		for _, x := range []float64{40, 80, 120} {
			s.clicks(line, x, 48, 4, 11, 0, 315, 8)
		}
	}
}

var elementLooks = []look{
	{"grey", func(s *sketch) {
		s.hatch(faultThin, -50, 7, 20, 20, 140, 20, 140, 76, 20, 76)
		s.crumbs(faultFill, 24, 70, 136, 70, 20, 4, 1.3)
	}},
	{"choked", func(s *sketch) {
		s.rect(faultFill, 20, 20, 120, 56, 0)
		for i := range 11 {
			x := 20 + 10*float64(i+1)
			s.segs(Style{Stroke: Paper, Width: 1}, x, 20, x, 76)
		}
	}},
	{"wet", func(s *sketch) {
		s.film(coolant, 56, 62, 30, 12)
		s.film(coolant, 108, 56, 24, 10)
		s.curve(faultDash, 22, 44, 50, 38, 80, 46, 110, 36, 138, 42)
		s.drop(coolant, 50, 88, 5)
		s.drop(coolant, 104, 88, 5)
	}},
	{"oily", func(s *sketch) {
		s.film(oil, 54, 56, 26, 14)
		s.film(oil, 108, 48, 22, 12)
		s.drop(oil, 54, 88, 5)
	}},
	{"torn", func(s *sketch) {
		s.route().move(58, 26).quad(78, 46, 66, 72).quad(56, 50, 58, 26).close().ink(faultFill)
		s.jag(fault, 56, 20, 60, 30, 2)
		s.poly(void, 112, 8, 134, 8, 128, 20, 116, 20)
		s.line(fault, 110, 10, 117, 19, 127, 20, 136, 10)
	}},
	{"nest", func(s *sketch) {
		for i, x := range []float64{36, 58, 78, 54, 92} {
			s.at(x, 58-5*float64(i%3), 90*noise(i+1), 1, func() {
				s.route().move(-13, 0).quad(0, -12, 13, 0).quad(0, 12, -13, 0).close().ink(faultBody)
				s.segs(fault, -10, 0, 11, 0)
			})
		}
		s.hairs(fault, 34, 70, 94, 70, 16, 12, -90)
		s.nibbled(104, 20, 3)
	}},
}

func drawAirbox(s *sketch, a args) {
	s.line(line, 20, 46, 20, 88, 140, 88, 140, 46)
	s.line(line, 20, 38, 20, 8, 140, 8, 140, 38)
	s.rect(rubber, 12, 38, 136, 8, 1)
	s.rect(body, 30, 40, 100, 24, 0)
	for i := range 12 {
		x := 30 + 8.3*float64(i)
		s.segs(thin, x, 64, x+4, 40, x+4, 40, x+8, 64)
	}
	s.arrow(line, 50, 84, 50, 70)
	s.arrow(line, 50, 32, 50, 16)
	s.rect(body, 146, 28, 7, 28, 2)
	if !a.is("is", "clips") {
		s.rect(body, 7, 28, 7, 28, 2)
	}
	switch a["is"] {
	case "track":
		s.curve(Style{Stroke: Act, Width: 3}, 134, 78, 137, 56, 134, 38, 118, 26)
		s.head(fault, 114, 24, 200)
		s.crumbs(faultFill, 134, 82, 136, 40, 14, 3, 1.8)
		s.crumbs(faultFill, 132, 34, 80, 22, 18, 4, 1.6)
	case "clips":
		s.rect(faultDash, 7, 28, 7, 28, 2)
		s.at(26, 72, 30, 1, func() { s.rect(faultBody, -14, -4, 24, 7, 2) })
		s.sway(fault, 12, 8, 12, 24)
	}
}

func drawRestriction(s *sketch, a args) {
	s.rect(body, 46, 10, 68, 58, 8)
	s.rect(body, 68, 68, 24, 20, 0)
	s.rect(part, 58, 20, 44, 38, 2)
	s.rect(body, 70, 2, 20, 8, 2)
	if a.is("is", "tripped") {
		s.rect(faultFill, 59, 21, 42, 36, 0)
		s.arrow(fault, 130, 58, 130, 22)
		return
	}
	s.rect(dark, 59, 52, 42, 5, 0)
}

func drawCloth(s *sketch, a args) {
	s.blob(body, 24, 30, 60, 14, 104, 12, 138, 28, 140, 62, 112, 84, 66, 80, 30, 70)
	s.curve(thin, 40, 40, 70, 34, 104, 40, 124, 36)
	s.curve(thin, 44, 66, 74, 62, 100, 66)
	s.finger(82, 48, 42, 0)
	if a.is("is", "dust") {
		s.poly(faultFill, 70, 46, 94, 46, 100, 76, 64, 74)
		s.crumbs(faultFill, 62, 58, 104, 62, 22, 12, 2)
	}
}
