package plate

import "math"

// Wheels, tyres, brakes and pedals.

var wheelShapes = []shape{{
	name: "wheel", says: "a raised wheel in two hands", corner: bottomRight,
	params: []param{word("grip", "top", "sides"), word("play", "none", "slight", "clear"), word("turns", "no", "smooth",
		"rough", "tight", "drags")},
	draw: drawWheel,
}, {
	name: "tread", says: "a tyre from the front, and its wear", corner: bottomRight,
	params: []param{word("wear", "even", "uneven", "cord")},
	draw:   drawTread,
}, {
	name: "wall", says: "a tyre's side wall", corner: bottomRight,
	params: []param{oneOf("is", "sound", wallLooks)},
	draw:   drawWall,
}, {
	name: "disc", says: "a brake disc, face on", corner: bottomRight,
	params: []param{oneOf("is", "smooth", discLooks)},
	draw:   drawDisc,
}, {
	name: "calliper", says: "a calliper over its disc, from above", corner: bottomRight,
	params: []param{word("is", "free", "stiff", "drags")},
	draw:   drawCalliper,
}, {
	name: "cylinder", says: "a wheel cylinder between two brake shoes", corner: bottomRight,
	params: []param{word("is", "dry", "wet")},
	draw:   drawCylinder,
}, {
	name: "pedal", says: "a pedal and a foot on it, from the side", corner: topRight,
	params: []param{oneOf("is", "firm", pedalLooks)},
	draw:   drawPedal,
}, {
	name: "lever", says: "a handbrake lever and its clicks", corner: bottomRight,
	params: []param{word("holds", "yes", "far", "no")},
	draw:   drawLever,
}, {
	name: "axle", says: "an axle with its two wheels", corner: bottomRight,
	params: []param{word("brakes", "alike", "uneven", "drags")},
	draw:   drawAxle,
}, {
	name: "car", says: "a vehicle from above, driving to the right", corner: bottomRight,
	params: []param{word("does", "straight", "pulls", "hotwheel")},
	draw:   drawCar,
}, {
	name: "ground", says: "a parked vehicle from the side, and what is below it", corner: topLeft,
	params: []param{oneOf("has", "nothing", groundLooks)},
	draw:   drawGround,
}, {
	name: "telltale", says: "a lamp of the dashboard", corner: bottomRight,
	params: []param{oneOf("lit", "none", lampLooks), yesNo("flashes")},
	draw:   drawTelltale,
}}

const wheelX, wheelY = 80., 48.

func (s *sketch) tyre(st Style, x, y float64) {
	s.circle(st, x, y, 36)
	s.circle(body, x, y, 23)
	s.circle(body, x, y, 7)
	for i := range 5 {
		s.at(x, y, 72*float64(i), 1, func() { s.circle(part, 0, -14, 3) })
	}
}

// hand draws a hand that grips from the left, its fingers about x, y.
func (s *sketch) hand(x, y, deg float64) {
	s.at(x, y, deg, 1, func() {
		s.route().move(-18, -12).to(-2, -12).quad(8, -12, 9, -6).to(9, 8).quad(8, 12, 2, 12).to(-18, 12).close().
			ink(body)
		s.segs(thin, -1, -6, 8, -6, -1, 0, 9, 0, -1, 6, 8, 6)
	})
}

func drawWheel(s *sketch, a args) {
	d := map[string]float64{"slight": 4, "clear": 11}[a["play"]]
	upright := a.is("grip", "top")
	if d > 0 {
		if upright {
			s.circle(faultDash, wheelX+d, wheelY, 36)
		} else {
			s.circle(faultDash, wheelX, wheelY+d*.9, 36)
		}
	}
	s.tyre(rubber, wheelX, wheelY)
	switch a["turns"] {
	case "smooth":
		s.turn(line, wheelX, wheelY, 42, 200, 250)
		s.turn(line, wheelX, wheelY, 42, 290, 340)
		return
	case "rough":
		s.turn(line, wheelX, wheelY, 42, 200, 250)
		s.turn(line, wheelX, wheelY, 42, 290, 340)
		s.clicks(fault, wheelX, wheelY, 9, 19, 0, 320, 9)
		s.line(fault, 120, 40, 124, 34, 128, 44, 132, 34, 136, 44, 140, 34, 144, 44, 148, 40)
		s.line(fault, 40, 40, 36, 34, 32, 44, 28, 34, 24, 44, 20, 34, 16, 44, 12, 40)
		return
	case "tight":
		s.turn(line, wheelX, wheelY, 42, 200, 230)
		s.turn(line, wheelX, wheelY, 42, 290, 320)
		s.cross(wheelX, wheelY, 16)
		return
	case "drags":
		s.turn(line, wheelX, wheelY, 42, 200, 230)
		s.poly(faultFill, 104, 30, 124, 26, 126, 62, 106, 62, 110, 46)
		s.heat(136, 40, 2)
		s.heat(26, 40, 2)
		return
	}
	if upright {
		s.hand(wheelX-26, 20, 20)
		s.hand(wheelX-26, 76, -20)
	} else {
		s.hand(wheelX-37, wheelY, 0)
		s.mirrored(wheelX, func() { s.hand(wheelX-37, wheelY, 0) })
	}
	switch {
	case d > 0 && upright:
		s.sway(fault, 106-d, 8, 122+d, 8)
		s.sway(fault, 106-d, 88, 122+d, 88)
	case d > 0:
		s.sway(fault, 136, 76-d, 136, 76+d)
		s.sway(fault, 24, 76-d, 24, 76+d)
	}
}

func drawTread(s *sketch, a args) {
	s.route().move(36, 10).quad(28, 4, 44, 3).to(116, 3).quad(132, 4, 124, 10).to(128, 50).to(124, 86).quad(130, 93,
		116,
		93).to(44, 93).quad(30, 93, 36, 86).to(32, 50).close().ink(rubber)
	for _, x := range []float64{52, 70, 90, 108} {
		s.segs(Style{Stroke: Ink, Width: 3}, x, 5, x, 91)
	}
	for i := range 7 {
		y := 12 + 12*float64(i)
		s.segs(thin, 36, y, 50, y+4, 72, y, 88, y+4, 110, y, 125, y+4, 54, y+6, 68, y+2, 92, y+6, 106, y+2)
	}
	switch a["wear"] {
	case "uneven":
		s.poly(faultBody, 96, 5, 126, 6, 128, 50, 124, 90, 96, 91)
		s.hatch(faultThin, -45, 6, 98, 6, 124, 8, 127, 50, 123, 88, 98, 90)
		s.arrow(fault, 152, 48, 130, 48)
	case "cord":
		s.poly(void, 60, 5, 100, 5, 102, 91, 58, 91)
		s.hatch(fault, 40, 7, 60, 5, 100, 5, 102, 91, 58, 91)
		s.hatch(fault, -40, 7, 60, 5, 100, 5, 102, 91, 58, 91)
		s.jag(fault, 60, 5, 58, 91, 3)
		s.jag(fault, 100, 5, 102, 91, 3)
	}
}

func drawWall(s *sketch, a args) {
	if a.is("is", "bulge") {
		s.ellipse(faultBody, 116, 26, 18, 16)
	}
	s.circle(rubber, 80, 48, 45)
	s.circle(thin, 80, 48, 40)
	s.circle(body, 80, 48, 24)
	s.circle(part, 80, 48, 17)
	s.seen(wallLooks, a["is"])
}

// rays draws cracks about a wheel, between two radii.
func (s *sketch) rays(st Style, n int, r0, r1, tooth float64) {
	for i := range n {
		s.at(80, 48, 360*(float64(i)+.3*noise(i))/float64(n), 1, func() { s.jag(st, 0, -r0, 2*noise(i+3), -r1, tooth) })
	}
}

var wallLooks = []look{
	{"fine", func(s *sketch) { s.rays(faultThin, 26, 28, 37, 1) }},
	{"deep", func(s *sketch) {
		s.rays(fault, 8, 26, 43, 2.5)
		for i := range 8 {
			s.at(80, 48, 360*(float64(i)+.3*noise(i))/8, 1, func() { s.poly(faultFill, -3.5, -42, 3.5, -42, 0, -29) })
		}
	}},
	{"cut", func(s *sketch) {
		s.at(80, 48, 40, 1, func() {
			s.route().move(-15, -33).quad(0, -44, 15, -33).quad(0, -26, -15, -33).close().ink(faultBody)
			for i := range 5 {
				x := -9 + 4.5*float64(i)
				s.segs(fault, x, -37, x+2, -30)
			}
		})
		s.arrow(fault, 144, 8, 122, 20)
	}},
	{"bulge", func(s *sketch) {
		s.at(80, 48, 58, 1, func() {
			s.blob(faultBody, -16, -40, -11, -50, 0, -53, 11, -50, 16, -40, 0, -32)
			s.hatch(faultThin, 90, 4.5, -15, -40, -10, -49, 0, -52, 10, -49, 15, -40, 0, -34)
		})
	}},
}

func drawDisc(s *sketch, a args) {
	s.circle(body, 80, 48, 45)
	s.circle(thin, 80, 48, 42)
	s.circle(body, 80, 48, 20)
	s.circle(body, 80, 48, 8)
	for i := range 5 {
		s.at(80, 48, 72*float64(i), 1, func() { s.circle(part, 0, -14, 2.4) })
	}
	s.seen(discLooks, a["is"])
}

var discLooks = []look{
	{"grooved", func(s *sketch) {
		for _, r := range []float64{25, 29, 32, 36, 39} {
			s.circle(fault, 80, 48, r)
		}
		s.circle(Style{Stroke: Act, Width: 3}, 80, 48, 44)
	}},
	{"rust", func(s *sketch) {
		for i := range 46 {
			s.at(80, 48, 41*float64(i), 1, func() { s.circle(faultFill, 33+8*noise(i), 0, 2.4+noise(i+8)) })
		}
	}},
	{"cracked", func(s *sketch) {
		s.rays(fault, 5, 22, 44, 3)
		s.sway(fault, 134, 36, 134, 60)
		s.segs(fault, 126, 34, 142, 34, 126, 62, 142, 62)
	}},
}

func drawCalliper(s *sketch, a args) {
	thick := 10.
	if a.is("is", "stiff") {
		thick = 4
	}
	s.rect(body, 4, 44, 152, 8, 0)
	s.rect(body, 46, 52, 68, 5, 0)
	s.rect(rubber, 48, 57, 64, 10, 0)
	s.rect(body, 46, 39, 68, 5, 0)
	s.rect(rubber, 48, 39-thick, 64, thick, 0)
	s.route().move(36, 68).to(124, 68).to(124, 88).to(36, 88).close().ink(body)
	y := 28.
	if a.is("is", "stiff") {
		y = 34
	}
	s.line(line, 36, 74, 28, 74, 28, y-14, 132, y-14, 132, 74, 124, 74)
	s.rect(body, 36, y-14, 88, 14, 2)
	s.segs(line, 14, 70, 14, 92, 146, 70, 146, 92, 14, 80, 28, 80, 132, 80, 146, 80)
	switch a["is"] {
	case "free":
		s.sway(line, 64, 78, 96, 78)
	case "stiff":
		s.rect(faultBody, 48, 39-thick, 64, thick, 0)
		s.rusty(10, 74, 16, 14, 12, 2)
		s.rusty(134, 74, 16, 14, 12, 2)
		s.cross(80, 78, 8)
	case "drags":
		s.segs(Style{Stroke: Act, Width: 4}, 48, 44, 112, 44, 48, 52, 112, 52)
		s.heat(20, 38, 2)
		s.heat(140, 38, 2)
	}
}

func drawCylinder(s *sketch, a args) {
	s.route().arc(80, 100, 88, 209, 331).arc(80, 100, 78, 331, 209).close().ink(rubber)
	s.route().arc(80, 100, 76, 212, 250).arc(80, 100, 66, 250, 212).close().ink(body)
	s.route().arc(80, 100, 76, 290, 328).arc(80, 100, 66, 328, 290).close().ink(body)
	s.rect(body, 58, 36, 44, 20, 2)
	s.poly(rubber, 48, 40, 58, 36, 58, 56, 48, 52)
	s.poly(rubber, 112, 40, 102, 36, 102, 56, 112, 52)
	s.rect(body, 40, 42, 8, 8, 0)
	s.rect(body, 112, 42, 8, 8, 0)
	if a.is("is", "wet") {
		s.film(fluid, 50, 58, 12, 6)
		s.film(fluid, 112, 58, 12, 6)
		s.drop(fluid, 50, 78, 5)
		s.drop(fluid, 112, 78, 5)
		s.film(fluid, 34, 50, 10, 5)
	}
}

// pedalAt draws a pedal turned by deg about its pivot, and its sole.
func (s *sketch) pedalAt(st Style, deg float64) {
	s.at(96, 10, deg, 1, func() {
		s.line(st, 0, 0, 0, 58)
		s.line(st, -7, 54, 7, 64)
	})
}

func drawPedal(s *sketch, a args) {
	s.line(line, 4, 92, 100, 92)
	s.metal(128, 4, 12, 62)
	s.line(line, 128, 66, 100, 92)
	s.circle(body, 96, 10, 5)
	if !s.seen(pedalLooks, a["is"]) {
		s.foot(42, line)
		s.pedalAt(hidden, 58)
	}
}

// foot draws the pedal at deg with a shoe on it.
func (s *sketch) foot(deg float64, st Style) {
	st.Width = 3
	sin, cos := math.Sincos(deg * math.Pi / 180)
	s.at(96-60*sin, 10+60*cos, 0, 1, func() {
		s.route().move(-42, -10).to(-22, -7).quad(-6, -12, 0, -22).quad(6, -24, 7, -18).to(-8, 18).quad(-12, 21, -17,
			17).
			to(-24, 8).to(-44, 4).ink(body)
		s.segs(line, 5, -13, -10, 20)
		s.segs(thin, -24, -6, -27, 7)
	})
	s.pedalAt(st, deg)
}

var pedalLooks = []look{
	{"soft", func(s *sketch) {
		s.pedalAt(hidden, 42)
		s.foot(20, line)
		s.turn(fault, 96, 10, 72, 134, 112)
		s.line(fault, 112, 24, 118, 30, 112, 36, 118, 42, 112, 48, 118, 54, 112, 60)
	}},
	{"sinks", func(s *sketch) {
		s.pedalAt(hidden, 42)
		s.foot(6, line)
		s.turn(fault, 96, 10, 70, 134, 99)
		s.segs(fault, 70, 94, 124, 94)
	}},
	{"falls", func(s *sketch) {
		s.pedalAt(hidden, 46)
		s.foot(34, line)
		s.turn(line, 96, 10, 74, 140, 126)
	}},
	{"stays", func(s *sketch) {
		s.foot(46, line)
		s.segs(fault, 54, 44, 64, 58)
		s.cross(110, 40, 9)
	}},
	{"light", func(s *sketch) {
		s.pedalAt(hidden, 48)
		s.foot(22, line)
		s.turn(line, 96, 10, 72, 138, 114)
	}},
	{"heavy", func(s *sketch) {
		s.pedalAt(hidden, 54)
		s.foot(42, line)
		s.arrow(Style{Stroke: Act, Width: 4}, 8, 46, 28, 52)
		s.segs(fault, 58, 48, 68, 64)
	}},
	{"hard", func(s *sketch) {
		s.foot(52, line)
		s.arrow(Style{Stroke: Act, Width: 4}, 4, 28, 22, 34)
		s.arrow(Style{Stroke: Act, Width: 4}, 2, 48, 20, 54)
		s.segs(Style{Stroke: Act, Width: 4}, 54, 36, 62, 54)
		s.cross(110, 40, 9)
	}},
	{"low", func(s *sketch) {
		s.pedalAt(hidden, 48)
		s.foot(12, line)
		s.sway(fault, 118, 66, 112, 88)
	}},
	{"fails", func(s *sketch) {
		s.pedalAt(hidden, 42)
		s.foot(4, line)
		s.turn(fault, 96, 10, 70, 134, 97)
		s.clicks(fault, 136, 34, 10, 20, 110, 250, 5)
		s.jag(fault, 134, 6, 134, 64, 3)
	}},
}

func drawLever(s *sketch, a args) {
	deg := map[string]float64{"yes": -22, "far": -52, "no": -58}[a["holds"]]
	n := map[string]int{"yes": 5, "far": 10, "no": 10}[a["holds"]]
	st := line
	if n > 5 {
		st = fault
	}
	s.metal(12, 78, 60, 14)
	s.at(36, 72, deg, .76, func() {
		s.rect(body, 0, -6, 60, 12, 3)
		s.rect(rubber, 56, -8, 44, 16, 7)
	})
	s.circle(body, 36, 72, 7)
	for i := range n {
		s.at(36, 72, -6-5*float64(i), 1, func() { s.segs(st, 80, 0, 86, 0) })
	}
	if a.is("holds", "no") {
		s.poly(body, 92, 90, 156, 90, 156, 72)
		s.at(126, 78, -16, 1, func() {
			s.route().move(-18, -4).to(-12, -4).to(-8, -12).to(8, -12).to(12, -4).to(18, -4).to(18, 1).to(-18, 1).
				close().ink(body)
			s.circle(body, -10, 1, 4)
			s.circle(body, 10, 1, 4)
		})
		s.arrow(fault, 132, 56, 106, 64)
	}
}

func drawAxle(s *sketch, a args) {
	s.rect(body, 30, 44, 100, 9, 0)
	s.rect(rubber, 12, 14, 22, 68, 6)
	s.rect(rubber, 126, 14, 22, 68, 6)
	s.metal(66, 53, 28, 36)
	switch a["brakes"] {
	case "alike":
		s.arrow(line, 44, 24, 36, 24)
		s.arrow(line, 116, 24, 124, 24)
		s.segs(line, 74, 20, 86, 20, 74, 26, 86, 26)
	case "uneven":
		s.arrow(Style{Stroke: Act, Width: 4}, 62, 24, 40, 24)
		s.arrow(fault, 112, 24, 122, 24)
		s.segs(fault, 74, 20, 86, 20, 74, 26, 86, 26, 86, 12, 74, 33)
	case "drags":
		s.poly(faultFill, 118, 22, 126, 22, 126, 74, 118, 74)
		s.heat(108, 38, 2)
		s.turn(line, 50, 66, 9, 120, 330)
	}
}

func drawCar(s *sketch, a args) {
	for _, x := range []float64{36, 98} {
		s.rect(rubber, x, 12, 24, 10, 2)
		s.rect(rubber, x, 74, 24, 10, 2)
	}
	s.rect(body, 20, 18, 116, 60, 14)
	s.poly(part, 92, 26, 106, 22, 106, 74, 92, 70)
	s.rect(part, 34, 26, 10, 44, 2)
	switch a["does"] {
	case "straight":
		s.arrow(line, 112, 48, 152, 48)
	case "pulls":
		s.segs(hidden, 112, 48, 156, 48)
		s.curve(fault, 112, 48, 130, 50, 144, 62, 150, 80)
		s.head(fault, 151, 82, 72)
	case "hotwheel":
		s.rect(faultFill, 98, 74, 24, 10, 2)
		s.heat(144, 90, 2)
		s.heat(84, 92, 1)
		s.circle(faultDash, 110, 79, 15)
	}
}

func drawGround(s *sketch, a args) {
	s.line(line, 3, 84, 157, 84)
	s.route().move(14, 66).to(14, 46).quad(16, 40, 32, 38).to(48, 20).to(96, 20).to(114, 38).to(144, 42).
		quad(150, 44, 150, 66).close().ink(body)
	s.poly(part, 52, 24, 72, 24, 72, 38, 42, 38)
	s.poly(part, 78, 24, 94, 24, 106, 38, 78, 38)
	for _, x := range []float64{42, 122} {
		s.circle(rubber, x, 70, 13)
		s.circle(part, x, 70, 6)
	}
	s.seen(groundLooks, a["has"])
}

var groundLooks = []look{
	{"water", func(s *sketch) {
		s.drop(coolant, 92, 76, 3.6)
		s.ellipse(faultBody, 92, 87, 16, 3.4)
		s.clicks(fault, 92, 56, 0, 7, 0, 300, 6)
	}},
	{"oil", func(s *sketch) {
		for i, x := range []float64{84, 98, 144} {
			s.ellipse(faultFill, x, 87+2*noise(i), 6+2*noise(i+4), 2.4)
		}
		s.drop(oil, 96, 76, 4)
	}},
	{"coolant", func(s *sketch) {
		s.ellipse(faultBody, 140, 88, 17, 4.4)
		s.curve(faultThin, 128, 88, 136, 87, 144, 89, 152, 88)
		s.drop(coolant, 142, 76, 4.4)
	}},
	{"fuel", func(s *sketch) {
		s.rect(faultBody, 18, 52, 20, 11, 2)
		s.ellipse(faultBody, 22, 88, 17, 4.4)
		s.hatch(faultThin, -45, 4, 8, 86, 36, 86, 36, 90, 8, 90)
		s.drop(fluid, 22, 76, 4.4)
		s.heat(8, 74, 1)
	}},
	{"brake", func(s *sketch) {
		s.circle(fault, 122, 70, 13)
		s.drop(fluid, 122, 79, 3)
		s.ellipse(faultBody, 122, 88, 15, 3.6)
		s.hatch(faultThin, -45, 4, 110, 86, 134, 86, 134, 90, 110, 90)
		s.arrow(fault, 142, 14, 128, 50)
	}},
}

func drawTelltale(s *sketch, a args) { s.at(-24, 0, 0, 1, func() { s.telltale(a) }) }

func (s *sketch) telltale(a args) {
	s.rect(body, 30, 6, 100, 84, 10)
	if a.is("lit", "none") {
		s.circle(hidden, 80, 48, 28)
	}
	s.seen(lampLooks, a["lit"])
	if a.on("flashes") {
		s.clicks(fault, 80, 48, 40, 48, 155, 205, 3)
		s.clicks(fault, 80, 48, 54, 66, -25, 25, 3)
	}
}

// lampLooks are the symbols of ISO 2575, from memory.
var lampLooks = []look{
	{"engine", func(s *sketch) {
		s.poly(faultBody, 54, 36, 64, 36, 68, 28, 90, 28, 94, 36, 100, 42, 106, 42, 106, 62, 100, 62, 94, 70, 66, 70,
			60, 62, 54,
			62)
		s.segs(fault, 72, 22, 88, 22, 80, 22, 80, 28, 48, 40, 48, 58, 48, 49, 54, 49)
	}},
	{"charge", func(s *sketch) {
		s.rect(faultBody, 50, 34, 60, 36, 0)
		s.rect(faultFill, 57, 28, 10, 6, 0)
		s.rect(faultFill, 93, 28, 10, 6, 0)
		s.segs(fault, 58, 48, 68, 48, 92, 48, 102, 48, 97, 43, 97, 53)
	}},
	{"temperature", func(s *sketch) {
		s.rect(faultBody, 75, 18, 10, 38, 5)
		s.circle(faultFill, 80, 58, 9)
		s.segs(fault, 85, 26, 94, 26, 85, 34, 94, 34, 85, 42, 94, 42)
		s.curve(fault, 50, 66, 56, 62, 62, 66, 68, 70)
		s.curve(fault, 92, 70, 98, 66, 104, 62, 110, 66)
		s.curve(fault, 50, 78, 60, 74, 70, 78, 80, 82, 90, 78, 100, 74, 110, 78)
	}},
	{"oil", func(s *sketch) {
		s.poly(faultBody, 52, 46, 64, 46, 70, 40, 78, 40, 90, 44, 110, 34, 114, 38, 96, 62, 62, 62, 60, 52, 50, 54)
		s.segs(fault, 66, 34, 82, 34, 74, 34, 74, 40)
		s.drop(oil, 116, 56, 4)
	}},
	{"brake", func(s *sketch) {
		s.circle(faultBody, 80, 48, 22)
		s.arc(fault, 80, 48, 30, 135, 225)
		s.arc(fault, 80, 48, 30, -45, 45)
		s.segs(Style{Stroke: Act, Width: 4}, 80, 36, 80, 51)
		s.circle(faultFill, 80, 59, 2.4)
	}},
}
