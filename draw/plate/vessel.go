package plate

// Fluids: in a tank, in a glass, as a drop on paper, on a dipstick, at a hole.

var vesselShapes = []shape{{
	name: "tank", says: "a see-through tank between its two marks", corner: bottomLeft,
	params: []param{word("level", "between", "high", "low", "empty", "falling"), oneOf("holds", "clear", tankHolds),
		oneOf("is", "sound", tankLooks)},
	draw: drawTank,
}, {
	name: "glass", says: "a sample in a clear glass", corner: bottomLeft,
	params: []param{oneOf("holds", "clear", glassHolds)},
	draw:   drawGlass,
}, {
	name: "blot", says: "a drop on white paper", corner: bottomRight,
	params: []param{oneOf("is", "clear", blotLooks)},
	draw:   drawBlot,
}, {
	name: "stick", says: "a dipstick with its two marks", corner: topLeft,
	params: []param{word("level", "between", "low", "none", "high")},
	draw:   drawStick,
}, {
	name: "filler", says: "a gearbox cut at its filler hole, a finger in it", corner: topLeft,
	params: []param{word("level", "edge", "low", "none")},
	draw:   drawFiller,
}, {
	name: "magnet", says: "a drain plug with its magnet", corner: topRight,
	params: []param{word("holds", "clean", "paste", "chips")},
	draw:   drawMagnet,
}}

const tankLeft, tankTop, tankWide, tankLow = 44., 16., 72., 90.

var tankLevels = map[string]float64{"between": 50, "high": 24, "low": 79, "empty": tankLow, "falling": 60}

func drawTank(s *sketch, a args) {
	if a.is("is", "loose") {
		s.at(10, -6, 6, .96, func() { s.tank(a) })
	} else {
		s.tank(a)
	}
	s.seen(tankLooks, a["is"])
}

func (s *sketch) tank(a args) {
	y := tankLevels[a["level"]]
	s.rect(body, tankLeft, tankTop, tankWide, tankLow-tankTop, 8)
	if y < tankLow {
		s.route().move(tankLeft+1, y).to(tankLeft+tankWide-1, y).arc(tankLeft+tankWide-9, tankLow-9, 8, 0, 90).
			arc(tankLeft+9, tankLow-9, 8, 90, 180).close().ink(wash)
		s.segs(line, tankLeft, y, tankLeft+tankWide, y)
	}
	s.rect(body, 62, 4, 36, 12, 2)
	for i := range 6 {
		s.segs(thin, 67+5.2*float64(i), 5, 67+5.2*float64(i), 15)
	}
	s.segs(line, 108, 36, 128, 36, 108, 68, 128, 68)
	st := fault
	switch a["level"] {
	case "high":
		s.arrow(st, 136, 36, 136, 26)
		s.segs(st, tankLeft, y, tankLeft+tankWide, y)
	case "low":
		s.arrow(st, 136, 68, 136, 79)
		s.segs(st, tankLeft, y, tankLeft+tankWide, y)
	case "empty":
		s.cross(80, 54, 16)
	case "falling":
		s.segs(faultDash, tankLeft+2, 44, tankLeft+tankWide-2, 44)
		s.segs(st, tankLeft, y, tankLeft+tankWide, y)
		s.arrow(st, 80, 45, 80, 57)
	}
	s.seen(tankHolds, a["holds"])
}

// murk draws what is in a fluid in a box below its surface.
func (s *sketch) murk(what string, x, y, w, h float64) {
	box := []float64{x, y, x + w, y, x + w, y + h, x, y + h}
	switch what {
	case "rust":
		s.hatch(faultThin, -50, 6, box...)
		s.rusty(x+4, y+4, w-8, h-8, 22, 1.6)
	case "brown":
		s.hatch(faultThin, -50, 5, box...)
	case "black":
		s.poly(faultFill, box...)
	case "sludge":
		for i := range 4 {
			s.blob(faultFill, x+w*float64(i)/4, y+h, x+w*(float64(i)+.2)/4, y+h*.55, x+w*(float64(i)+.7)/4, y+h*.65,
				x+w*(float64(i)+1)/4, y+h)
		}
		for i := range 5 {
			fx, fy := x+w*(.5+.4*noise(i+11)), y+h*(.28+.16*noise(i))
			s.poly(faultFill, fx-4, fy, fx, fy-3, fx+5, fy+1, fx, fy+3)
		}
	case "film":
		s.poly(faultFill, x, y-3, x+w, y-3, x+w, y+5, x, y+5)
		for i := range 4 {
			s.blob(faultFill, x+w*(float64(i)+.1)/4, y+4, x+w*(float64(i)+.5)/4, y+11+3*noise(i),
				x+w*(float64(i)+.8)/4, y+4)
		}
	case "bubbles":
		for i := range 9 {
			s.circle(faultThin, x+w*(.5+.42*noise(i+2)), y+h*(.1+.1*float64(i)), 2.4+1.4*noise(i+9))
		}
		s.arrow(fault, x+w*.5, y+h*.9, x+w*.5, y+h*.25)
	case "foam":
		for i := range 18 {
			r := 4 + 1.6*noise(i+4)
			s.circle(Style{Fill: Paper, Stroke: Act, Width: 1.4}, x+r+(w-2*r)*(.5+.5*noise(i)), y-2+5*noise(i+17), r)
		}
	case "water":
		s.segs(fault, x, y+h*.5, x+w, y+h*.5)
		s.poly(void, x, y+h*.5, x+w, y+h*.5, x+w, y+h-1, x, y+h-1)
		s.curve(faultThin, x+6, y+h*.68, x+w*.35, y+h*.62, x+w*.65, y+h*.7, x+w-6, y+h*.64)
		s.curve(faultThin, x+6, y+h*.85, x+w*.35, y+h*.79, x+w*.65, y+h*.87, x+w-6, y+h*.81)
		s.circle(faultBody, x+w*.5, y+h*.3, 3)
	case "slime":
		s.poly(faultFill, x, y+h*.5, x+w, y+h*.5, x+w, y+h, x, y+h)
		s.blob(faultFill, x, y+h*.5, x+w*.2, y+h*.25, x+w*.5, y+h*.42, x+w*.8, y+h*.2, x+w, y+h*.5)
	}
}

// held lists murks as looks of a box.
func held(x, y, w, h float64, names ...string) []look {
	var out []look
	for _, name := range names {
		out = append(out, look{name, func(s *sketch) { s.murk(name, x, y, w, h) }})
	}
	return out
}

var tankHolds = held(tankLeft+2, 51, tankWide-4, 36, "rust", "sludge", "film", "bubbles", "foam")

var tankLooks = []look{
	{"yellow", func(s *sketch) {
		s.hatch(faultThin, -40, 5, 46, 18, 114, 18, 114, 34, 46, 34)
		s.hatch(faultThin, 40, 5, 46, 18, 114, 18, 114, 34, 46, 34)
		s.hatch(faultThin, -40, 6, 46, 52, 114, 52, 114, 86, 46, 86)
	}},
	{"stain", func(s *sketch) {
		s.segs(line, 44, 58, 116, 58)
		patch := []float64{50, 60, 70, 57, 88, 60, 86, 68, 76, 72, 70, 84, 62, 70}
		s.blob(faultDash, patch...)
		s.hatch(faultThin, -50, 4.5, patch...)
	}},
	{"crazed", func(s *sketch) {
		s.crazed(48, 20, 62, 26, 9)
		s.crazed(48, 54, 62, 32, 9)
	}},
	{"weep", func(s *sketch) {
		s.segs(fault, 44, 58, 116, 58)
		s.film(coolant, 60, 62, 13, 5)
		s.film(coolant, 96, 62, 14, 5)
		s.drop(coolant, 60, 80, 5)
		s.drop(coolant, 98, 82, 5)
	}},
	{"cracked", func(s *sketch) {
		s.jag(fault, 92, 17, 66, 88, 5)
		s.jag(fault, 80, 50, 108, 64, 3)
		s.poly(faultFill, 86, 16, 97, 16, 90, 28)
	}},
	{"loose", func(s *sketch) {
		s.turn(fault, 80, 92, 66, 205, 230)
		s.turn(fault, 80, 92, 66, 335, 310)
		s.circle(faultDash, 30, 82, 6)
	}},
}

const glassLeft, glassWide = 50., 60.

var glassHolds = append(held(glassLeft+3, 30, glassWide-6, 57, "rust", "brown", "black", "sludge", "film", "water",
	"slime"),
	look{"pale", func(s *sketch) {
		s.poly(void, glassLeft+2, 30, glassLeft+glassWide-2, 30, glassLeft+glassWide-2, 87, glassLeft+2, 87)
		s.curve(faultDash, glassLeft+2, 30, 80, 32, glassLeft+glassWide-2, 30)
		s.words(Act, 80, 64, "pale")
	}})

func drawGlass(s *sketch, a args) {
	s.poly(wash, glassLeft, 29, glassLeft+glassWide, 29, glassLeft+glassWide, 88, glassLeft, 88)
	s.segs(line, glassLeft, 29, glassLeft+glassWide, 29)
	s.seen(glassHolds, a["holds"])
	s.route().move(glassLeft-3, 6).quad(glassLeft, 8, glassLeft, 14).to(glassLeft, 90).to(glassLeft+glassWide, 90).
		to(glassLeft+glassWide, 14).quad(glassLeft+glassWide, 8, glassLeft+glassWide+3, 6).ink(line)
	s.segs(thin, glassLeft+8, 18, glassLeft+8, 26)
}

var blotShape = []float64{46, 46, 56, 30, 76, 26, 98, 28, 114, 42, 112, 58, 96, 68, 74, 70, 54, 62}

func drawBlot(s *sketch, a args) {
	s.poly(body, 14, 14, 140, 8, 148, 76, 22, 86)
	s.segs(thin, 132, 8.5, 148, 24, 132, 8.5, 134, 24, 134, 24, 148, 24)
	s.blob(rubber, blotShape...)
	if !s.seen(blotLooks, a["is"]) {
		s.arc(thin, 66, 44, 10, 180, 270)
	}
}

var blotLooks = []look{
	{"brown", func(s *sketch) { s.hatch(faultThin, -50, 5, blotShape...) }},
	{"dark", func(s *sketch) { s.blob(faultFill, blotShape...) }},
	{"burnt", func(s *sketch) {
		s.blob(faultFill, blotShape...)
		s.heat(80, 26, 3)
	}},
	{"specks", func(s *sketch) { s.rusty(54, 32, 54, 32, 26, 1.8) }},
	{"milky", func(s *sketch) {
		s.blob(faultBody, blotShape...)
		for i := range 4 {
			y := 36 + 9*float64(i)
			s.curve(fault, 54, y, 64, y-5, 76, y, 88, y-5, 102, y)
		}
	}},
	{"foam", func(s *sketch) {
		for i := range 24 {
			s.circle(Style{Fill: Paper, Stroke: Act, Width: 1.4}, 80+26*noise(i), 48+15*noise(i+30), 5+1.6*noise(i+60))
		}
	}},
	{"glitter", func(s *sketch) {
		for i := range 9 {
			s.glint(fault, 80+24*noise(i), 48+16*noise(i+21), 5.5+1.5*noise(i+4))
		}
	}},
	{"flakes", func(s *sketch) {
		for i := range 8 {
			s.at(80+25*noise(i+2), 48+16*noise(i+15), 90*noise(i), 1, func() {
				s.poly(faultFill, -7, -2, 2, -4, 7, 1, 0, 4)
				s.segs(Style{Stroke: Paper, Width: 1}, -4, 0, 3, -1)
			})
		}
	}},
	{"tar", func(s *sketch) {
		for i := range 5 {
			x, y := 80+22*noise(i+6), 46+12*noise(i+12)
			s.blob(faultFill, x-13, y+5, x-7, y-8, x+6, y-7, x+13, y+4, x, y+9)
		}
		s.route().move(92, 60).quad(98, 80, 96, 92).quad(92, 80, 84, 64).close().ink(faultFill)
	}},
	{"cream", func(s *sketch) {
		s.rect(body, 18, 12, 124, 76, 0)
		s.circle(body, 80, 50, 36)
		s.circle(part, 80, 50, 24)
		s.blob(faultBody, 62, 52, 66, 38, 80, 34, 94, 40, 98, 54, 86, 64, 72, 62)
		s.curve(fault, 68, 46, 76, 40, 84, 46, 92, 42)
		s.curve(fault, 70, 56, 78, 50, 86, 56, 94, 52)
	}},
}

func drawStick(s *sketch, a args) {
	s.circle(line, 15, 50, 10)
	s.rect(body, 25, 44, 129, 12, 4)
	s.segs(line, 96, 36, 96, 64, 132, 36, 132, 64)
	s.hatch(fine, -45, 4, 96, 45, 132, 45, 132, 55, 96, 55)
	s.hatch(fine, 45, 4, 96, 45, 132, 45, 132, 55, 96, 55)
	wet := map[string]float64{"between": 112, "low": 134, "high": 74}
	x, some := wet[a["level"]]
	st := dark
	if !a.is("level", "between") {
		st = faultFill
	}
	if some {
		s.rect(st, x, 44.8, 153-x, 10.4, 3)
	}
	switch a["level"] {
	case "low":
		s.arrow(fault, 108, 78, 130, 78)
	case "high":
		s.arrow(fault, 96, 78, 77, 78)
	case "none":
		s.cross(142, 50, 11)
	}
}

func drawFiller(s *sketch, a args) {
	y := map[string]float64{"edge": 52, "low": 68, "none": 96}[a["level"]]
	s.metal(62, 2, 18, 38)
	s.metal(62, 54, 18, 40)
	if y < 96 {
		s.poly(wash, 80, y, 156, y, 156, 93, 80, 93)
		st := line
		if y > 60 {
			st = fault
		}
		s.segs(st, 81, y, 156, y)
	}
	s.segs(line, 80, 94, 157, 94)
	s.segs(hidden, 80, 52, 156, 52)
	s.route().move(4, 40).to(82, 40).quad(98, 40, 100, 52).to(101, 64).arc(95, 65, 6, 0, 180).to(88, 56).quad(86, 53,
		80,
		53).to(4, 53).ink(body)
	s.segs(thin, 40, 41, 40, 52, 45, 41, 45, 52, 99, 55, 99, 62)
	switch a["level"] {
	case "low":
		s.sway(fault, 124, 54, 124, 66)
	case "none":
		s.sway(fault, 124, 54, 124, 91)
		s.cross(144, 80, 9)
	}
}

func drawMagnet(s *sketch, a args) {
	s.poly(body, 8, 22, 34, 18, 34, 78, 8, 74)
	s.segs(thin, 9, 38, 33, 36, 9, 58, 33, 60)
	s.rect(body, 34, 12, 8, 72, 2)
	s.rect(body, 42, 28, 58, 40, 1)
	for i := range 7 {
		s.segs(thin, 46+8*float64(i), 28, 50+8*float64(i), 68)
	}
	s.rect(dark, 100, 34, 18, 28, 2)
	switch a["holds"] {
	case "paste":
		s.blob(faultFill, 96, 34, 108, 24, 122, 28, 128, 48, 122, 66, 108, 72, 98, 62)
		s.hairs(fault, 106, 26, 126, 46, 9, 8, -40)
		s.hairs(fault, 126, 48, 108, 70, 9, 8, 40)
	case "chips":
		for i := range 7 {
			s.at(122+14*noise(i), 48+26*noise(i+9), 90*noise(i+3), 1, func() {
				s.poly(faultFill, -9, -1, 3, -5, 9, 2,
					-2, 3)
			})
		}
		s.glint(fault, 142, 24, 7)
		s.glint(fault, 144, 76, 6)
	}
}
