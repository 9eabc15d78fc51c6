package plate

import "math"

// Chains, couplings, lamps, exhausts, control cables and take-offs.

var gearShapes = []shape{{
	name: "chain", says: "a drive chain on its sprocket", corner: topLeft,
	params: []param{oneOf("is", "even", chainLooks)},
	draw:   drawChain,
}, {
	name: "towball", says: "a tow ball and the head on it, cut", corner: bottomLeft,
	params: []param{word("wear", "none", "near", "past", "off")},
	draw:   drawTowBall,
}, {
	name: "towhead", says: "a coupling on its bracket, with its cable", corner: topLeft,
	params: []param{oneOf("is", "sound", towLooks)},
	draw:   drawTowHead,
}, {
	name: "drawbar", says: "a drawbar that pushes into its damper", corner: bottomRight,
	params: []param{word("moves", "even", "free", "stuck")},
	draw:   drawDrawbar,
}, {
	name: "rear", says: "a vehicle's rear with its lamps", corner: topLeft,
	params: []param{word("lamps", "all", "dim", "out", "brakeout")},
	draw:   drawRear,
}, {
	name: "socket", says: "a lamp's lens and the pins of a socket", corner: bottomRight,
	params: []param{word("is", "clean", "wet", "green")},
	draw:   drawSocket,
}, {
	name: "exhaust", says: "a silencer on its pipe, with hanger and shield", corner: bottomRight,
	params: []param{oneOf("is", "sound", exhaustLooks)},
	draw:   drawExhaust,
}, {
	name: "wire", says: "the end of a control cable: casing, wire and nipple", corner: topRight,
	params: []param{word("is", "whole", "rusty", "strand", "frayed")},
	draw:   drawWire,
}, {
	name: "hand", says: "a lever on its bar, and how it goes back", corner: topRight,
	params: []param{word("moves", "free", "heavy", "noplay", "sticks")},
	draw:   drawHandLever,
}, {
	name: "guard", says: "a take-off shaft in its plastic tube, held by a chain", corner: topLeft,
	params: []param{word("is", "whole", "chain", "broken")},
	draw:   drawGuard,
}, {
	name: "nipple", says: "a grease nipple under the gun", corner: topRight,
	params: []param{word("takes", "yes", "dry", "no")},
	draw:   drawNipple,
}}

const chainX, chainY, chainR = 58., 48., 34.

func drawChain(s *sketch, a args) {
	r := s.route()
	teeth := 14
	for i := range teeth {
		lean := 0.
		if a.is("is", "hooked") {
			lean = 9
		}
		if a.is("is", "broken") && (i == 12 || i == 13) {
			s.tooth(r, i, teeth, 0, chainR-7)
			continue
		}
		s.tooth(r, i, teeth, lean, chainR+5)
	}
	r.close().ink(body)
	s.circle(part, chainX, chainY, 20)
	s.circle(body, chainX, chainY, 8)
	off := 0.
	if a.is("is", "hooked") {
		off = 8
	}
	for i := range 6 {
		deg := 102 + 31*float64(i)
		sin, cos := math.Sincos(deg * math.Pi / 180)
		s.link(chainX+chainR*cos-off*math.Sin(math.Pi*float64(i)/5), chainY+chainR*sin, deg+90)
	}
	for i := range 6 {
		x, bend := chainX+2+16.5*float64(i), 0.
		if a.is("is", "kinked") && (i == 2 || i == 3) {
			bend = 12
		}
		s.link(x, chainY-chainR-1, 0)
		s.link(x, chainY+chainR+1-bend, 0)
	}
	s.seen(chainLooks, a["is"])
}

// tooth goes on along one tooth of a sprocket.
func (s *sketch) tooth(r *route, i, of int, lean, tip float64) {
	for j, d := range []float64{-.5, -.16, .16, .5} {
		rad := chainR - 6
		if j == 1 || j == 2 {
			rad = tip
			d += lean / 50
		}
		sin, cos := math.Sincos((float64(i) + d) * 2 * math.Pi / float64(of))
		x, y := chainX+rad*cos, chainY+rad*sin
		if i == 0 && j == 0 {
			r.move(x, y)
			continue
		}
		r.to(x, y)
	}
}

// link draws one link of chain about x, y.
func (s *sketch) link(x, y, deg float64) {
	s.at(x, y, deg, 1, func() {
		s.rect(body, -10, -4.5, 20, 9, 4.5)
		s.route().arc(-5.5, 0, 1.8, 0, 360).close().arc(5.5, 0, 1.8, 0, 360).close().ink(dark)
	})
}

var chainLooks = []look{
	{"dry", func(s *sketch) {
		s.rusty(54, 76, 98, 14, 34, 1.9)
		s.rusty(54, 7, 98, 14, 34, 1.9)
	}},
	{"kinked", func(s *sketch) {
		s.line(fault, 66, 86, 80, 66, 118, 66, 132, 86)
		s.arrow(fault, 99, 44, 99, 60)
	}},
	{"hooked", func(s *sketch) {
		s.arrow(fault, 30, 48, 10, 48)
		s.clicks(fault, chainX, chainY, chainR-4, chainR+4, -60, 60, 7)
		s.arc(fault, chainX, chainY, chainR-4, -60, 60)
	}},
	{"broken", func(s *sketch) {
		s.rect(void, 91, 76, 18, 16, 0)
		s.line(fault, 90, 77, 94, 81, 90, 85, 94, 89)
		s.line(fault, 110, 77, 106, 81, 110, 85, 106, 89)
		s.clicks(fault, 100, 84, 14, 22, 230, 310, 4)
		s.clicks(fault, chainX, chainY, chainR-6, chainR+6, -40, 0, 2)
	}},
}

func drawTowBall(s *sketch, a args) {
	up := 0.
	if a.is("wear", "off") {
		up = -22
	}
	s.rect(body, 72, 66, 16, 26, 0)
	s.rect(body, 54, 86, 52, 8, 0)
	s.circle(body, 80, 52, 22)
	s.wearMark(a["wear"])
	s.at(0, up, 0, 1, func() {
		s.route().move(40, 66).to(40, 40).quad(42, 24, 62, 24).to(156, 24).to(156, 38).to(122, 40).to(120, 66).to(108,
			66).
			to(107, 52).arc(80, 52, 27, 0, -180).to(52, 66).close().ink(body)
		s.rect(body, 116, 28, 12, 6, 0)
	})
	switch a["wear"] {
	case "near":
		s.sway(fault, 26, 44, 26, 54)
	case "past":
		s.sway(fault, 26, 36, 26, 62)
		s.clicks(fault, 80, 39, 34, 42, 200, 225, 2)
		s.rect(faultFill, 60, 28, 40, 4, 0)
	case "off":
		s.arrow(fault, 20, 60, 20, 20)
		s.clicks(fault, 80, 48, 26, 32, 230, 310, 1)
		s.cross(136, 70, 9)
	}
}

// wearMark draws a head's wear mark: a pointer before or past its line.
func (s *sketch) wearMark(wear string) {
	if wear == "off" {
		return
	}
	s.rect(body, 110, 70, 46, 12, 0)
	s.hatch(line, -45, 4, 136, 71, 155, 71, 155, 81, 136, 81)
	s.segs(line, 136, 66, 136, 86)
	x, st := 118., dark
	switch wear {
	case "near":
		x, st = 132, faultFill
	case "past":
		x, st = 148, faultFill
	}
	s.poly(st, x, 76, x-4, 92, x+4, 92)
}

func drawTowHead(s *sketch, a args) {
	s.metal(4, 18, 30, 50)
	s.rect(body, 34, 24, 10, 40, 0)
	s.rect(body, 44, 38, 66, 14, 2)
	s.rect(body, 98, 18, 10, 22, 0)
	s.circle(body, 103, 16, 11)
	s.hexagon(body, 50, 30, 5)
	s.hexagon(body, 50, 60, 5)
	if !a.is("is", "cable") {
		s.curve(rope, 56, 52, 66, 76, 88, 86, 120, 84, 148, 70)
	}
	s.circle(line, 56, 52, 4)
	s.seen(towLooks, a["is"])
}

var towLooks = []look{
	{"loose", func(s *sketch) {
		s.hexagon(void, 50, 30, 6)
		s.rect(line, 44, 27, 14, 6, 0)
		s.hexagon(faultBody, 64, 30, 6)
		s.turn(fault, 64, 30, 12, 200, 340)
		s.sway(fault, 64, 12, 80, 12)
	}},
	{"cable", func(s *sketch) {
		s.curve(rope, 56, 52, 62, 68, 76, 80)
		s.curve(rope, 112, 86, 130, 80, 148, 70)
		s.hairs(fault, 74, 78, 78, 78, 6, 12, 10)
		s.hairs(fault, 112, 86, 112, 84, 5, 12, 190)
	}},
	{"cracked", func(s *sketch) {
		s.jag(fault, 72, 38, 66, 52, 2)
		s.poly(faultFill, 68, 37, 79, 37, 72, 45)
		s.rusty(36, 26, 8, 36, 16, 2)
		s.rusty(46, 40, 20, 11, 12, 2)
		s.rusty(80, 40, 28, 11, 14, 2)
	}},
}

func drawDrawbar(s *sketch, a args) {
	s.rect(body, 70, 26, 84, 40, 4)
	s.rect(body, 22, 38, 58, 16, 0)
	s.circle(body, 18, 46, 12)
	for i := range 5 {
		s.rect(rubber, 52+5*float64(i), 34-float64(i%2)*3, 5, 24+float64(i%2)*6, 2)
	}
	s.rect(part, 92, 36, 50, 20, 2)
	s.segs(line, 76, 46, 108, 46)
	s.segs(Style{Stroke: Ink, Width: 3}, 108, 38, 108, 54)
	switch a["moves"] {
	case "even":
		s.arrow(line, 10, 80, 54, 80)
		s.arrow(line, 54, 14, 10, 14)
	case "free":
		s.arrow(Style{Stroke: Act, Width: 4}, 6, 80, 58, 80)
		s.clicks(fault, 136, 46, 8, 18, -60, 60, 5)
		s.segs(faultDash, 108, 46, 140, 46)
	case "stuck":
		s.arrow(line, 10, 80, 34, 80)
		s.cross(48, 80, 8)
		s.rusty(24, 38, 28, 16, 18, 2)
	}
}

func drawRear(s *sketch, a args) {
	s.rect(rubber, 24, 74, 18, 18, 3)
	s.rect(rubber, 118, 74, 18, 18, 3)
	s.route().move(12, 80).to(12, 46).quad(14, 38, 26, 36).to(40, 8).to(120, 8).to(134, 36).quad(146, 38, 148, 46).
		to(148, 80).close().ink(body)
	s.poly(part, 46, 13, 114, 13, 124, 34, 36, 34)
	s.rect(part, 62, 58, 36, 11, 1)
	for i, x := range []float64{18, 122} {
		s.rect(part, x, 44, 20, 24, 2)
		s.segs(thin, x, 52, x+20, 52, x, 60, x+20, 60)
		out := i == 1 && (a.is("lamps", "out") || a.is("lamps", "dim"))
		if a.is("lamps", "brakeout") || out {
			continue
		}
		s.clicks(line, x+10, 56, 14, 20, 0, 330, 12)
		s.circle(dark, x+10, 56, 4)
	}
	switch a["lamps"] {
	case "dim":
		s.circle(fault, 132, 56, 4)
		s.clicks(faultThin, 132, 56, 7, 10, 0, 315, 8)
		s.rect(fault, 122, 44, 20, 24, 2)
	case "out":
		s.rect(fault, 122, 44, 20, 24, 2)
		s.cross(132, 56, 8)
	case "brakeout":
		s.rect(fault, 122, 44, 20, 24, 2)
		s.rect(fault, 18, 44, 20, 24, 2)
		s.cross(132, 56, 8)
		s.cross(28, 56, 8)
		s.circle(faultBody, 80, 84, 7)
		s.segs(fault, 80, 80, 80, 85)
	}
}

func drawSocket(s *sketch, a args) {
	s.route().move(8, 20).quad(8, 10, 20, 10).to(60, 14).to(60, 80).to(20, 84).quad(8, 84, 8, 74).close().ink(body)
	s.segs(thin, 20, 12, 20, 82, 34, 13, 34, 82, 47, 14, 47, 80)
	s.rect(body, 60, 12, 8, 70, 0)
	s.circle(body, 116, 48, 36)
	s.circle(part, 116, 48, 27)
	for i := range 7 {
		x, y := 116., 48.
		if i > 0 {
			sin, cos := math.Sincos(float64(i) * math.Pi / 3)
			x, y = x+17*cos, y+17*sin
		}
		s.circle(body, x, y, 4.6)
		if a.is("is", "green") && i != 2 {
			s.crumbs(faultFill, x-5, y, x+5, y, 6, 4, 2)
		}
	}
	if a.is("is", "wet") {
		s.poly(faultBody, 9, 58, 60, 58, 60, 80, 20, 84, 10, 80)
		s.curve(fault, 10, 58, 24, 55, 42, 60, 60, 57)
		s.hatch(faultThin, 0, 6, 10, 60, 60, 60, 60, 79, 20, 83)
		s.drop(coolant, 26, 44, 4)
		s.drop(coolant, 46, 36, 4)
	}
}

func drawExhaust(s *sketch, a args) {
	s.metal(3, 3, 154, 8)
	s.rect(body, 3, 58, 154, 14, 0)
	s.rect(body, 46, 46, 72, 38, 12)
	s.segs(thin, 56, 46, 56, 84, 108, 46, 108, 84)
	if !a.is("is", "hanger") {
		s.segs(line, 82, 11, 82, 20, 82, 36, 82, 46)
		s.rect(rubber, 75, 18, 14, 20, 6)
	}
	if !a.is("is", "shield") {
		s.curve(Style{Stroke: Ink, Width: 2.4}, 8, 34, 30, 28, 60, 28)
		s.segs(line, 14, 11, 14, 32, 54, 11, 54, 27)
	}
	s.seen(exhaustLooks, a["is"])
}

var exhaustLooks = []look{
	{"hanger", func(s *sketch) {
		s.segs(line, 82, 11, 82, 18, 82, 38, 82, 46)
		s.route().move(76, 16).quad(76, 26, 82, 27).quad(88, 26, 88, 16).ink(fault)
		s.route().move(76, 40).quad(77, 34, 80, 36).quad(84, 32, 88, 40).ink(fault)
		s.arrow(fault, 134, 76, 134, 92)
		s.segs(hidden, 46, 42, 118, 42)
	}},
	{"shield", func(s *sketch) {
		s.curve(faultDash, 8, 34, 30, 28, 60, 28)
		s.segs(line, 14, 11, 14, 20, 54, 11, 54, 18)
		s.at(30, 46, 28, 1, func() { s.curve(Style{Stroke: Act, Width: 2.6}, -24, 2, 0, -4, 22, -2) })
		s.heat(132, 50, 2)
	}},
	{"rusted", func(s *sketch) {
		s.rusty(48, 58, 68, 26, 42, 2.4)
		s.blob(dark, 62, 74, 72, 68, 84, 72, 80, 82, 68, 82)
		s.blob(fault, 62, 74, 72, 68, 84, 72, 80, 82, 68, 82)
		s.rusty(122, 58, 32, 14, 18, 2.2)
		s.crumbs(faultFill, 60, 91, 110, 91, 10, 1.6, 1.8)
	}},
}

func drawWire(s *sketch, a args) {
	s.rect(rubber, 3, 34, 56, 28, 4)
	s.rect(body, 59, 38, 12, 20, 1)
	s.rect(body, 128, 30, 22, 36, 4)
	y0, y1 := 43., 53.
	if !a.is("is", "frayed") {
		s.rect(body, 71, y0, 57, y1-y0, 0)
		for i := range 8 {
			s.segs(thin, 74+7*float64(i), y1, 78+7*float64(i), y0)
		}
	}
	switch a["is"] {
	case "rusty":
		s.rusty(72, 43, 54, 10, 26, 1.9)
		s.crumbs(faultFill, 80, 70, 120, 74, 8, 3, 1.5)
	case "strand":
		s.curve(fault, 96, 44, 104, 38, 102, 26, 94, 18)
		s.curve(fault, 106, 44, 110, 38, 118, 32)
	case "frayed":
		s.segs(rope, 71, 47, 128, 47)
		s.hairs(fault, 84, 44, 96, 44, 6, 22, -70)
		s.hairs(fault, 100, 51, 118, 51, 6, 22, 80)
		s.hairs(fault, 100, 44, 120, 44, 4, 16, -110)
		s.hairs(fault, 80, 51, 92, 51, 4, 16, 100)
	}
}

func drawHandLever(s *sketch, a args) {
	s.rect(rubber, 4, 14, 60, 22, 6)
	s.rect(body, 64, 18, 92, 14, 0)
	s.rect(body, 112, 14, 22, 26, 3)
	s.curve(rope, 134, 36, 148, 48, 152, 70, 152, 90)
	lever := func(st Style, deg float64) {
		s.at(118, 40, deg, 1, func() {
			s.route().move(-6, -6).quad(-40, 8, -84, 8).quad(-92, 8, -92, 13).quad(-92, 18, -84, 18).quad(-36, 18, 4,
				6).close().ink(st)
		})
	}
	switch a["moves"] {
	case "free":
		lever(hidden, -14)
		lever(body, 6)
		s.sway(line, 20, 46, 24, 62)
	case "heavy":
		lever(hidden, -14)
		lever(body, 6)
		s.arrow(Style{Stroke: Act, Width: 4}, 60, 88, 60, 74)
		s.line(fault, 140, 52, 148, 56, 140, 62, 148, 68, 140, 74, 148, 80)
	case "noplay":
		lever(body, 6)
		s.segs(Style{Stroke: Act, Width: 3}, 138, 36, 138, 46)
		s.arrow(fault, 140, 62, 146, 50)
		s.segs(fault, 134, 36, 148, 48)
		s.words(Act, 70, 88, "0 play")
	case "sticks":
		lever(hidden, 6)
		lever(faultBody, -12)
		s.arrow(faultDash, 40, 62, 40, 78)
		s.cross(78, 78, 9)
	}
}

func drawGuard(s *sketch, a args) {
	s.rect(body, 3, 40, 14, 16, 0)
	s.poly(rubber, 16, 20, 36, 30, 36, 66, 16, 76)
	s.poly(rubber, 144, 20, 124, 30, 124, 66, 144, 76)
	s.rect(body, 143, 40, 14, 16, 0)
	if a.is("is", "broken") {
		s.rect(body, 36, 41, 88, 14, 0)
		s.segs(thin, 36, 45, 124, 45)
		s.poly(rubber, 36, 32, 60, 32, 55, 40, 62, 48, 56, 56, 60, 64, 36, 64)
		s.line(fault, 60, 32, 55, 40, 62, 48, 56, 56, 60, 64)
		s.poly(rubber, 124, 32, 106, 32, 110, 42, 103, 50, 108, 58, 104, 64, 124, 64)
		s.line(fault, 106, 32, 110, 42, 103, 50, 108, 58, 104, 64)
		s.turn(fault, 82, 48, 24, 150, 330)
	} else {
		s.rect(rubber, 36, 32, 88, 32, 2)
		s.segs(thin, 80, 33, 80, 63)
	}
	if !a.is("is", "chain") {
		for i := range 6 {
			s.ellipse(line, 46+2*float64(i), 67+4*float64(i), 2.2, 2.6)
		}
		s.metal(48, 89, 24, 5)
		return
	}
	s.circle(fault, 46, 66, 3)
	s.turn(fault, 80, 48, 26, 230, 310)
	s.turn(fault, 80, 48, 26, 50, 130)
	for i := range 3 {
		s.ellipse(faultDash, 48+3*float64(i), 73+5*float64(i), 2.4, 2.8)
	}
}

func drawNipple(s *sketch, a args) {
	s.metal(20, 66, 120, 22)
	s.rect(body, 74, 52, 12, 16, 0)
	s.hexagon(body, 80, 54, 8)
	s.circle(body, 80, 44, 5)
	s.rect(body, 70, 3, 20, 40, 2)
	s.segs(thin, 74, 4, 74, 42)
	st, fill := line, Style{Fill: Soft}
	switch a["takes"] {
	case "yes":
		s.arrow(st, 106, 12, 106, 40)
		for _, x := range []float64{16, 144} {
			s.blob(fill, x-6, 84, x-4, 74, x+4, 72, x+8, 82, x+2, 90)
		}
	case "dry":
		s.arrow(st, 106, 12, 106, 40)
		s.rusty(22, 68, 116, 18, 24, 1.8)
		s.segs(faultDash, 10, 72, 10, 90, 150, 72, 150, 90)
		s.clicks(fault, 20, 78, 6, 12, 150, 210, 3)
	case "no":
		s.cross(80, 58, 9)
		s.blob(faultFill, 60, 44, 66, 36, 72, 44, 70, 54, 62, 52)
		s.blob(faultFill, 90, 42, 98, 36, 102, 46, 96, 54, 90, 50)
		s.turn(fault, 106, 36, 14, 60, -60)
	}
}
