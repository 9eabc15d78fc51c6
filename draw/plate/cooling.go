package plate

// Radiators, their caps, and fans.

var coolingShapes = []shape{{
	name: "core", says: "a radiator from the front", corner: bottomRight,
	params: []param{oneOf("is", "sound", coreLooks)},
	draw:   drawCore,
}, {
	name: "mounting", says: "a radiator from the side, with its rubbers, shroud and fan", corner: topRight,
	params: []param{oneOf("is", "firm", mountingLooks)},
	draw:   drawMounting,
}, {
	name: "cap", says: "a pressure cap taken off, from the side", corner: bottomRight,
	params: []param{oneOf("is", "sound", capLooks)},
	draw:   drawCap,
}, {
	name: "capface", says: "a pressure cap beside the figure it should bear", corner: bottomRight,
	params: []param{word("marked", "right", "blank", "lower", "higher")},
	draw:   drawCapFace,
}, {
	name: "neck", says: "a filler neck from above", corner: bottomRight,
	params: []param{word("seat", "clean", "dirty", "nicked")},
	draw:   drawNeck,
}, {
	name: "fan", says: "a fan from the front", corner: bottomRight,
	params: []param{word("of", "coupling", "motor"), oneOf("is", "sound", fanLooks)},
	draw:   drawFan,
}, {
	name: "housing", says: "a thermostat housing with its neck and bolts", corner: topLeft,
	params: []param{word("is", "sound", "corroded", "cracked")},
	draw:   drawHousing,
}}

// fins draws a piece of core.
func (s *sketch) fins(x, y, w, h float64) {
	s.rect(body, x, y, w, h, 0)
	for at := x + 10; at < x+w-2; at += 16 {
		s.rect(part, at, y, 4, h, 0)
	}
	for at := y + 4; at < y+h; at += 4 {
		s.segs(fine, x, at, x+w, at)
	}
}

func drawCore(s *sketch, a args) {
	s.rect(body, 122, 2, 22, 8, 0)
	s.rect(body, 12, 8, 136, 18, 5)
	s.rect(body, 12, 74, 136, 16, 5)
	s.fins(20, 26, 120, 48)
	s.seen(coreLooks, a["is"])
}

var coreLooks = []look{
	{"bent", func(s *sketch) {
		for i, x := range []float64{40, 80, 104} {
			y := 34 + 14*float64(i%2)
			s.rect(void, x-9, y-4, 18, 18, 0)
			for j := range 5 {
				d := y - 2 + 3.6*float64(j)
				s.line(fault, x-9, d, x-3, d+3, x+2, d-2, x+9, d+2)
			}
		}
	}},
	{"clogged", func(s *sketch) {
		for i, x := range []float64{32, 52, 74, 98, 122} {
			y := 62 - 8*float64(i%2)
			s.at(x, y, 50*noise(i), 1, func() {
				s.route().move(-11, 0).quad(0, -11, 11, 0).quad(0, 11, -11, 0).close().ink(faultFill)
				s.segs(Style{Stroke: Paper, Width: 1}, -8, 0, 9, 0)
			})
		}
		s.crumbs(faultFill, 22, 68, 138, 68, 34, 5, 2.4)
		s.crumbs(faultFill, 24, 38, 136, 36, 18, 7, 1.8)
	}},
	{"crumbling", func(s *sketch) {
		for _, x := range []float64{34, 66, 98} {
			s.poly(void, x-3, 44, x+12, 44, x+12, 73, x-3, 73)
			s.line(fault, x-3, 46, x, 42, x+3, 47, x+6, 42, x+9, 47, x+12, 43)
			s.segs(fault, x+1, 47, x+2, 56, x+8, 48, x+7, 54)
			s.crumbs(faultFill, x-4, 70, x+13, 70, 8, 3, 1.8)
		}
		s.crumbs(faultFill, 40, 92, 110, 92, 12, 1.5, 1.6)
	}},
	{"gone", func(s *sketch) {
		s.poly(void, 28, 32, 84, 30, 88, 68, 34, 66)
		s.jag(fault, 28, 32, 84, 30, 3)
		s.jag(fault, 84, 30, 88, 68, 3)
		s.jag(fault, 88, 68, 34, 66, 3)
		s.jag(fault, 34, 66, 28, 32, 3)
		for i := range 6 {
			s.line(fault, 36+8*float64(i), 36, 32+8*float64(i), 46, 40+8*float64(i), 52, 36+8*float64(i), 62)
		}
	}},
	{"brown", func(s *sketch) {
		s.hatch(faultThin, -45, 4, 14, 10, 146, 10, 146, 24, 14, 24)
		s.hatch(faultThin, -45, 4, 14, 76, 146, 76, 146, 88, 14, 88)
	}},
	{"crazed", func(s *sketch) {
		s.crazed(16, 10, 100, 14, 15)
		s.curve(fault, 12, 26, 50, 31, 80, 33, 110, 31, 148, 26)
		s.arrow(fault, 80, 44, 80, 34)
	}},
	{"cracked", func(s *sketch) {
		s.poly(faultFill, 40, 8, 50, 8, 54, 15, 60, 18, 62, 26, 56, 26, 53, 19, 46, 15)
		s.jag(fault, 58, 18, 100, 14, 3)
		s.jag(fault, 48, 14, 22, 20, 3)
		s.line(fault, 122, 9, 124, 5, 128, 8, 133, 3, 137, 8, 144, 5)
		s.rect(void, 121, 1, 24, 3, 0)
	}},
}

func drawMounting(s *sketch, a args) {
	lean := 0.
	if a.is("is", "loose") {
		lean = -8
	}
	s.metal(14, 86, 62, 8)
	s.at(44, 84, lean, 1, func() { s.at(-44, -84, 0, 1, func() { s.fins(32, 12, 24, 68) }) })
	if !a.is("is", "loose") {
		s.rect(rubber, 38, 78, 12, 10, 3)
	}
	s.rect(rubber, 38, 4, 12, 9, 3)
	x := 88.
	if a.is("is", "fan") {
		x = 60
	}
	if !a.is("is", "shroud") {
		s.line(line, 56, 16, 72, 16, 80, 22, 108, 22)
		s.line(line, 56, 76, 72, 76, 80, 70, 108, 70)
	}
	s.poly(body, x+2, 46, x, 26, x+9, 24, x+10, 46, x+9, 68, x, 66)
	s.rect(body, x+10, 38, 20, 16, 2)
	s.segs(line, x+30, 46, 132, 46)
	s.seen(mountingLooks, a["is"])
}

var mountingLooks = []look{
	{"loose", func(s *sketch) {
		s.sway(fault, 8, 20, 26, 20)
		s.rect(faultDash, 36, 76, 16, 10, 3)
	}},
	{"shroud", func(s *sketch) {
		s.line(faultDash, 56, 16, 72, 16, 80, 22, 108, 22)
		s.line(line, 56, 76, 72, 76, 80, 70, 84, 70)
		s.jag(fault, 84, 64, 88, 78, 3)
		s.at(112, 84, 20, 1, func() { s.poly(faultBody, -12, -3, 10, -4, 12, 3, -10, 4) })
	}},
	{"fan", func(s *sketch) {
		s.segs(fault, 57, 26, 57, 66)
		s.clicks(fault, 58, 24, 8, 16, 250, 340, 4)
		s.clicks(fault, 58, 68, 8, 16, 20, 110, 4)
	}},
}

func drawCap(s *sketch, a args) {
	s.rect(body, 30, 8, 100, 12, 3)
	s.rect(body, 26, 18, 108, 8, 1)
	s.rect(rubber, 40, 26, 80, 6, 1)
	s.segs(line, 74, 32, 74, 68, 86, 32, 86, 68)
	if !a.is("is", "springbroken") {
		s.coils(line, 0, 5)
	}
	s.rect(body, 52, 66, 56, 5, 0)
	s.rect(rubber, 48, 71, 64, 9, 2)
	if !a.is("is", "open") {
		s.rect(body, 70, 80, 20, 5, 1)
	}
	s.seen(capLooks, a["is"])
}

// coils draws turns of a cap's spring.
func (s *sketch) coils(st Style, from, to int) {
	for i := from; i < to; i++ {
		y := 33 + 6.4*float64(i)
		s.line(st, 60, y, 100, y+3.4, 60, y+6.4)
	}
}

var capLooks = []look{
	{"set", func(s *sketch) {
		for _, x := range []float64{56, 104} {
			s.rect(void, x-5, 77, 10, 5, 0)
			s.line(fault, x-6, 80, x-4, 75, x+4, 75, x+6, 80)
		}
		s.arrow(fault, 56, 92, 56, 81)
		s.arrow(fault, 104, 92, 104, 81)
	}},
	{"hard", func(s *sketch) {
		s.rect(fault, 48, 71, 64, 9, 0)
		s.glint(fault, 56, 75, 8)
		s.glint(fault, 104, 75, 8)
		s.segs(fault, 66, 71, 67, 79, 76, 72, 75, 80, 86, 71, 87, 79, 94, 72, 93, 80)
	}},
	{"cut", func(s *sketch) {
		s.poly(void, 88, 70, 114, 70, 114, 84, 90, 84, 93, 78)
		s.jag(fault, 88, 70, 92, 81, 2)
		s.at(126, 84, 30, 1, func() { s.rect(faultBody, -10, -4, 20, 8, 2) })
		s.rect(body, 70, 80, 20, 5, 1)
		s.poly(faultFill, 58, 71, 63, 71, 61, 80)
	}},
	{"rust", func(s *sketch) { s.rusty(60, 33, 40, 32, 14, 1.6) }},
	{"rusted", func(s *sketch) { s.rusty(54, 33, 52, 36, 46, 2.4) }},
	{"springbroken", func(s *sketch) {
		s.coils(fault, 0, 2)
		s.coils(fault, 3, 5)
		s.rusty(56, 33, 48, 32, 24, 2)
		s.clicks(fault, 104, 50, 2, 12, -40, 40, 4)
	}},
	{"stuck", func(s *sketch) {
		s.arrow(line, 80, 94, 80, 88)
		s.segs(fault, 62, 82, 98, 82)
		s.rusty(66, 79, 28, 8, 14, 1.7)
		s.cross(120, 84, 7)
	}},
	{"open", func(s *sketch) {
		s.rect(faultBody, 70, 87, 20, 5, 1)
		s.segs(fault, 72, 80, 72, 87, 88, 80, 88, 87)
		s.sway(fault, 104, 82, 104, 92)
	}},
	{"pulled", func(s *sketch) {
		s.rect(part, 70, 88, 20, 4, 1)
		s.sway(line, 104, 82, 104, 92)
	}},
}

func drawCapFace(s *sketch, a args) {
	s.circle(body, 42, 46, 38)
	s.circle(thin, 42, 46, 32)
	st := line
	cap, tone := "1.1bar", Ink
	switch a["marked"] {
	case "blank":
		cap = ""
		s.crazed(22, 32, 40, 26, 9)
		s.words(Act, 93, 51, "?")
	case "lower":
		cap, tone, st = "0.9bar", Act, fault
		s.line(st, 98, 40, 88, 46, 98, 52)
	case "higher":
		cap, tone, st = "1.4bar", Act, fault
		s.line(st, 88, 40, 98, 46, 88, 52)
	default:
		s.segs(st, 87, 43, 99, 43, 87, 50, 99, 50)
	}
	s.figure(tone, 42, 51, "", cap)
	s.poly(body, 104, 20, 157, 20, 157, 72, 104, 72)
	s.figure(Ink, 130, 50, "", "1.1bar")
	s.segs(thin, 110, 60, 150, 60, 110, 66, 140, 66, 110, 30, 150, 30)
}

func drawNeck(s *sketch, a args) {
	s.circle(body, 80, 48, 42)
	s.circle(body, 80, 48, 34)
	s.circle(part, 80, 48, 26)
	s.circle(dark, 80, 48, 20)
	switch a["seat"] {
	case "dirty":
		for i := range 26 {
			s.at(80, 48, 14*float64(i), 1, func() { s.circle(faultFill, 30+3*noise(i), 0, 2.6+noise(i+5)) })
		}
	case "nicked":
		s.poly(faultFill, 96, 22, 108, 14, 106, 27)
		s.poly(faultFill, 56, 72, 46, 74, 52, 66)
		s.jag(fault, 60, 30, 46, 14, 3)
		s.line(fault, 54, 34, 50, 26)
	}
}

const fanX, fanY = 80., 48.

func drawFan(s *sketch, a args) {
	if a.is("of", "motor") {
		s.rect(body, 34, 2, 92, 92, 8)
		s.circle(body, fanX, fanY, 43)
	}
	blades := 6
	for i := range blades {
		st := body
		if i == 0 && (a.is("is", "cracked") || a.is("is", "broken")) {
			continue
		}
		s.at(fanX, fanY, 360/float64(blades)*float64(i), 1, func() { s.blade(st) })
	}
	s.circle(body, fanX, fanY, 15)
	if a.is("of", "motor") {
		s.circle(thin, fanX, fanY, 10)
	} else {
		s.clicks(thin, fanX, fanY, 7, 14, 0, 330, 12)
		s.circle(body, fanX, fanY, 5)
	}
	s.seen(fanLooks, a["is"])
}

func (s *sketch) blade(st Style) {
	s.route().move(-5, -13).quad(-14, -28, -9, -39).quad(0, -42, 9, -38).quad(6, -24, 6, -13).close().ink(st)
}

var fanLooks = []look{
	{"drag", func(s *sketch) { s.turn(line, fanX, fanY, 28, 200, 250) }},
	{"free", func(s *sketch) {
		s.turn(fault, fanX, fanY, 44.5, 150, 215)
		s.turn(fault, fanX, fanY, 44.5, 330, 395)
		s.turn(fault, fanX, fanY, 27, 170, 280)
		s.turn(fault, fanX, fanY, 27, 350, 460)
	}},
	{"locked", func(s *sketch) {
		s.turn(line, fanX, fanY, 28, 200, 235)
		s.cross(fanX, fanY, 13)
	}},
	{"streaks", func(s *sketch) {
		for i := range 9 {
			s.at(fanX, fanY, 40*float64(i)+10, 1, func() {
				s.poly(faultFill, 12, -1.4, 31+5*noise(i), 0, 12, 1.6)
			})
		}
		s.circle(fault, fanX, fanY, 15)
	}},
	{"play", func(s *sketch) {
		s.circle(faultDash, fanX+5, fanY-4, 15)
		s.sway(fault, 20, 66, 20, 30)
		s.sway(fault, 140, 66, 140, 30)
	}},
	{"cracked", func(s *sketch) {
		s.at(fanX, fanY, 0, 1, func() { s.blade(faultBody) })
		s.line(fault, 74, 30, 80, 27, 82, 31, 87, 26)
		s.poly(faultFill, 84, 10, 90, 18, 89, 24, 84, 17)
	}},
	{"rough", func(s *sketch) {
		s.turn(fault, fanX, fanY, 28, 200, 330)
		s.clicks(fault, fanX, fanY, 18, 24, 20, 160, 6)
	}},
	{"browned", func(s *sketch) {
		s.rect(faultBody, 116, 62, 36, 24, 2)
		s.hatch(faultThin, -45, 3.4, 116, 62, 152, 62, 152, 86, 116, 86)
		s.segs(rope, 116, 74, 98, 60)
		s.heat(134, 58, 2)
	}},
	{"broken", func(s *sketch) {
		s.poly(faultBody, 75, 34, 72, 26, 78, 28, 81, 22, 85, 27, 86, 34)
		s.at(134, 14, 40, .8, func() { s.poly(faultBody, -9, 8, -10, -12, 8, -14, 8, 4, 2, 9, -3, 5) })
		s.jag(fault, 35, 66, 56, 86, 3)
	}},
}

func drawHousing(s *sketch, a args) {
	s.metal(24, 78, 112, 14)
	s.rect(body, 24, 68, 112, 10, 3)
	s.route().move(46, 68).cubic(48, 44, 60, 32, 84, 30).to(150, 30).to(150, 6).to(80, 6).cubic(50, 8, 34, 30, 32, 68).
		close().ink(body)
	s.route().move(46, 68).cubic(48, 44, 60, 32, 84, 30).to(112, 30).to(112, 68).close().ink(body)
	s.rect(part, 140, 4, 6, 28, 1)
	s.hexagon(body, 124, 67, 7)
	switch a["is"] {
	case "corroded":
		s.rusty(26, 70, 86, 9, 24, 2.6)
		s.rusty(128, 3+2, 24, 26, 22, 2.3)
		s.crumbs(faultFill, 40, 86, 110, 86, 10, 3, 2)
	case "cracked":
		s.jag(fault, 62, 22, 98, 60, 4)
		s.jag(fault, 80, 42, 58, 58, 3)
		s.crazed(94, 34, 18, 26, 4)
		s.poly(faultFill, 58, 15, 66, 12, 66, 26)
	}
}
