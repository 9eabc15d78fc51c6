package plate

// Engine mounts, wipers, boots, joints, dampers and forks.

var chassisShapes = []shape{{
	name: "mount", says: "an engine mount: bracket above, rubber, bracket below", corner: topLeft,
	params: []param{oneOf("is", "sound", mountLooks)},
	draw:   drawMount,
}, {
	name: "wiper", says: "a wiper on its screen", corner: bottomRight,
	params: []param{word("wipes", "clean", "streaks", "smears")},
	draw:   drawWiper,
}, {
	name: "blade", says: "a cut across a wiper's rubber, a finger at its edge", corner: topLeft,
	params: []param{word("is", "sound", "hard", "torn")},
	draw:   drawBlade,
}, {
	name: "port", says: "a service port with its cap", corner: topLeft,
	params: []param{word("cap", "on", "off")},
	draw:   drawPort,
}, {
	name: "boot", says: "a drive shaft's boot between joint and shaft", corner: topRight,
	params: []param{oneOf("is", "sound", bootLooks)},
	draw:   drawBoot,
}, {
	name: "balljoint", says: "a ball joint with its boot, from the side", corner: topLeft,
	params: []param{oneOf("is", "whole", ballLooks)},
	draw:   drawBall,
}, {
	name: "ujoint", says: "a propeller shaft's joint", corner: bottomLeft,
	params: []param{oneOf("is", "sound", ujointLooks)},
	draw:   drawUjoint,
}, {
	name: "strut", says: "a damper in its spring", corner: topLeft,
	params: []param{oneOf("is", "sound", strutLooks)},
	draw:   drawStrut,
}, {
	name: "fork", says: "a fork's tube, its seal and leg", corner: topLeft,
	params: []param{oneOf("is", "dry", forkLooks)},
	draw:   drawFork,
}}

func drawMount(s *sketch, a args) {
	sag := 0.
	switch a["is"] {
	case "sagged":
		sag = 12
	case "metal":
		sag = 16
	}
	s.rect(body, 12, 80, 136, 10, 0)
	s.rect(body, 20, 60, 12, 20, 0)
	s.rect(body, 128, 60, 12, 20, 0)
	top := 24 + sag
	if a.is("is", "parted") {
		top = 20
	}
	if a.is("is", "parted") {
		s.poly(rubber, 46, 42, 114, 38, 122, 80, 38, 80)
	} else {
		s.route().move(46, top+10).to(114, top+10).quad(116+sag, 60, 122, 80).to(38, 80).quad(44-sag, 60, 46, top+10).
			close().
			ink(rubber)
	}
	if !a.is("is", "bracket") && !a.is("is", "fractured") {
		s.rect(body, 26, top, 108, 10, 0)
		s.rect(body, 26, top+10, 10, 8, 0)
		s.rect(body, 124, top+10, 10, 8, 0)
	}
	if !a.is("is", "loose") {
		s.hexagon(body, 80, top-6, 7)
		s.hexagon(body, 24, 85, 4.5)
		s.hexagon(body, 136, 85, 4.5)
	}
	s.seen(mountLooks, a["is"])
}

var mountLooks = []look{
	{"crazed", func(s *sketch) { s.crazed(52, 38, 56, 38, 12) }},
	{"torn", func(s *sketch) {
		s.route().move(41, 62).quad(62, 50, 82, 58).quad(62, 60, 41, 68).close().ink(faultFill)
		s.jag(fault, 82, 58, 92, 56, 2)
	}},
	{"deep", func(s *sketch) {
		s.route().move(42, 56).quad(72, 42, 104, 56).quad(74, 62, 41, 68).close().ink(faultFill)
		s.route().move(121, 72).quad(98, 62, 78, 72).quad(98, 74, 122, 78).close().ink(faultFill)
		s.jag(fault, 104, 56, 116, 50, 2)
		s.jag(fault, 60, 36, 68, 50, 3)
	}},
	{"weep", func(s *sketch) {
		s.film(fluid, 60, 66, 14, 7)
		s.drop(fluid, 62, 86, 5)
		s.film(fluid, 96, 70, 12, 5)
		s.circle(fault, 62, 58, 2)
	}},
	{"oily", func(s *sketch) {
		s.film(oil, 62, 48, 16, 8)
		s.film(oil, 96, 60, 18, 9)
		s.curve(fault, 44, 50, 36, 60, 40, 70, 32, 80)
		s.curve(fault, 116, 50, 124, 60, 120, 70, 128, 80)
		s.drop(oil, 74, 78, 4.4)
	}},
	{"parted", func(s *sketch) {
		s.poly(faultFill, 46, 42, 114, 38, 114, 31, 46, 31)
		s.segs(Style{Stroke: Paper, Width: 1.4}, 56, 32, 54, 39, 74, 32, 76, 38, 96, 32, 94, 37)
		s.sway(fault, 146, 28, 146, 48)
	}},
	{"loose", func(s *sketch) {
		s.rect(line, 77, 6, 6, 18, 0)
		s.at(80, 7, 24, 1, func() { s.hexagon(faultBody, 0, 0, 5.6) })
		s.sway(fault, 94, 6, 94, 20)
		s.clicks(fault, 80, 22, 12, 18, 170, 200, 2)
		s.clicks(fault, 80, 22, 12, 18, -20, 10, 2)
	}},
	{"bracket", func(s *sketch) {
		s.rect(body, 26, 24, 108, 10, 0)
		s.hexagon(body, 80, 18, 7)
		s.line(fault, 110, 24, 106, 28, 110, 31, 105, 35)
		s.poly(faultFill, 105, 23, 116, 23, 109, 31)
		s.segs(fault, 100, 24, 98, 29, 120, 24, 121, 29)
		s.arrow(fault, 126, 5, 115, 18)
	}},
	{"fractured", func(s *sketch) {
		s.poly(body, 26, 24, 98, 24, 94, 28, 99, 31, 95, 34, 26, 34)
		s.at(8, -6, 6, 1, func() { s.poly(faultBody, 104, 24, 134, 24, 134, 34, 102, 34, 106, 30, 101, 27) })
		s.hexagon(body, 80, 18, 7)
		s.clicks(fault, 104, 26, 12, 20, 200, 290, 4)
		s.line(fault, 98, 24, 94, 28, 99, 31, 95, 34)
	}},
	{"sagged", func(s *sketch) {
		s.rect(hidden, 26, 24, 108, 10, 0)
		s.arrow(fault, 110, 16, 110, 34)
		s.curve(fault, 44, 48, 38, 60, 38, 78)
		s.curve(fault, 116, 48, 122, 60, 122, 78)
	}},
	{"metal", func(s *sketch) {
		s.rect(hidden, 26, 24, 108, 10, 0)
		s.segs(Style{Stroke: Act, Width: 4}, 24, 59, 38, 59, 122, 59, 136, 59)
		s.clicks(fault, 24, 58, 9, 18, 150, 240, 4)
		s.clicks(fault, 136, 58, 9, 18, -60, 30, 4)
		s.arrow(fault, 110, 18, 110, 36)
	}},
}

func drawWiper(s *sketch, a args) {
	s.route().move(10, 84).to(24, 16).quad(80, 4, 136, 16).to(150, 84).close().ink(body)
	s.route().arc(80, 92, 70, 205, 325).arc(80, 92, 26, 325, 205).close().ink(wash)
	s.circle(body, 80, 88, 5)
	s.segs(rope, 80, 88, 118, 44, 98, 68, 134, 32)
	switch a["wipes"] {
	case "streaks":
		for _, r := range []float64{36, 48, 60} {
			s.arc(fault, 80, 92, r, 210, 302)
		}
	case "smears":
		for i := range 4 {
			r := 32 + 10*float64(i)
			s.arc(Style{Stroke: Act, Width: 5}, 80, 92, r, 215+6*float64(i), 235+4*float64(i))
			s.arc(Style{Stroke: Act, Width: 5}, 80, 92, r, 255, 268+4*float64(i))
		}
		s.clicks(fault, 128, 36, 8, 14, 180, 260, 3)
	default:
		s.glint(line, 62, 52, 8)
		s.arc(thin, 80, 92, 62, 215, 300)
	}
}

func drawBlade(s *sketch, a args) {
	s.rect(body, 62, 4, 36, 14, 3)
	s.route().move(70, 18).to(90, 18).to(90, 26).to(84, 30).to(84, 36).to(96, 44).to(84, 74).to(76, 74).to(64, 44).
		to(76, 36).
		to(76, 30).to(70, 26).close().ink(rubber)
	s.segs(line, 8, 78, 152, 78)
	s.segs(fine, 10, 84, 150, 84)
	switch a["is"] {
	case "hard":
		s.line(fault, 84, 74, 88, 66, 84, 66, 90, 58)
		s.jag(fault, 66, 48, 82, 52, 2)
		s.jag(fault, 70, 60, 84, 60, 2)
		s.glint(fault, 106, 50, 9)
		s.glint(fault, 50, 56, 7)
	case "torn":
		s.poly(void, 74, 60, 86, 60, 86, 77, 74, 77)
		s.line(fault, 69, 58, 74, 62, 79, 57, 84, 63, 90, 58)
		s.at(112, 66, 50, 1, func() { s.poly(faultBody, -4, -12, 4, -12, 6, 0, 3, 12, -3, 12, -6, 0) })
		s.curve(fault, 90, 58, 100, 54, 106, 58)
	}
}

func drawPort(s *sketch, a args) {
	s.rect(body, 3, 62, 154, 16, 0)
	s.segs(thin, 4, 67, 156, 67)
	s.rect(body, 64, 40, 32, 22, 0)
	for i := range 4 {
		s.segs(thin, 64, 44+5*float64(i), 96, 42+5*float64(i))
	}
	if a.is("cap", "on") {
		s.rect(body, 58, 14, 44, 34, 5)
		s.segs(thin, 66, 16, 66, 46, 76, 16, 76, 46, 86, 16, 86, 46, 94, 16, 94, 46)
		return
	}
	s.rect(faultDash, 58, 12, 44, 28, 5)
	s.circle(faultFill, 80, 40, 4)
	s.arrow(fault, 124, 20, 108, 26)
}

func drawBoot(s *sketch, a args) {
	s.rect(body, 100, 42, 57, 12, 0)
	s.rect(body, 3, 16, 26, 64, 4)
	s.rect(body, 28, 24, 10, 48, 0)
	if a.is("is", "off") {
		s.at(26, 5, 0, .9, func() { s.bootRubber() })
		s.rect(body, 100, 42, 57, 12, 0)
	} else {
		s.bootRubber()
		s.rect(body, 28, 21, 7, 54, 1)
		s.rect(body, 98, 37, 7, 22, 1)
	}
	s.seen(bootLooks, a["is"])
}

// bootRubber draws the tapering folds of a boot.
func (s *sketch) bootRubber() {
	bootBack(bootTop(s.route().move(30, 24))).close().ink(rubber)
	for i := range 4 {
		x, h := 46+14*float64(i), 26-4.4*float64(i)
		s.route().move(x, 48-h+3).quad(x+5, 48, x, 48+h-3).ink(thin)
	}
}

func bootTop(r *route) *route {
	for i := range 5 {
		x, h := 38+14*float64(i), 34-4.4*float64(i)
		r.quad(x-4, 48-h, x+1, 48-h).quad(x+6, 48-h, x+8, 48-(h-9))
	}
	return r.to(106, 39)
}

func bootBack(r *route) *route {
	r.to(106, 57)
	for i := 4; i >= 0; i-- {
		x, h := 38+14*float64(i), 34-4.4*float64(i)
		r.to(x+8, 48+h-9).quad(x+6, 48+h, x+1, 48+h).quad(x-4, 48+h, x-6, 48+h-9)
	}
	return r.to(30, 72)
}

var bootLooks = []look{
	{"cracked", func(s *sketch) {
		for i := range 4 {
			x, h := 46+14*float64(i), 22-4.4*float64(i)
			s.line(fault, x-3, 48-h, x+2, 48-h+4, x-2, 48-h+8)
			s.line(fault, x-3, 48+h-8, x+2, 48+h-4, x-2, 48+h)
		}
	}},
	{"off", func(s *sketch) {
		s.rect(faultDash, 28, 21, 7, 54, 1)
		s.sway(fault, 38, 10, 58, 10)
		s.at(46, 86, 10, 1, func() { s.rect(faultBody, -14, -3, 28, 6, 2) })
	}},
	{"split", func(s *sketch) {
		s.route().move(60, 24).quad(72, 48, 62, 74).quad(56, 48, 60, 24).close().ink(faultFill)
		for _, d := range [][3]float64{{84, 12, 5}, {98, 22, 4}, {72, 8, 3}, {84, 86, 5}, {100, 78, 3.6}, {68, 90, 3}} {
			s.blob(faultFill, d[0]-d[2], d[1], d[0], d[1]-d[2]*.7, d[0]+d[2]*1.3, d[1]+1, d[0], d[1]+d[2]*.8)
		}
		s.clicks(faultThin, 64, 20, 4, 12, 280, 350, 3)
		s.clicks(faultThin, 64, 78, 4, 12, 10, 80, 3)
	}},
}

func drawBall(s *sketch, a args) {
	lift := 0.
	if a.is("is", "out") {
		lift = -14
	}
	s.poly(body, 70, 3, 90, 3, 88, 28+lift, 72, 28+lift)
	s.metal(34, 4, 92, 14)
	s.route().arc(80, 66, 26, 0, 180).to(54, 52).to(106, 52).close().ink(body)
	s.rect(body, 106, 60, 50, 14, 0)
	s.circle(body, 80, 62+lift, 14)
	if a.is("is", "out") {
		s.rect(body, 74, 18, 12, 20, 0)
		s.seen(ballLooks, "out")
		return
	}
	s.route().move(68, 18).quad(60, 22, 60, 28).quad(44, 32, 52, 52).to(108, 52).quad(116, 32, 100, 28).quad(100, 22,
		92, 18).
		close().ink(rubber)
	s.route().move(60, 28).quad(80, 34, 100, 28).ink(thin)
	s.rect(body, 52, 50, 56, 5, 1)
	s.rect(body, 66, 16, 28, 5, 1)
	s.seen(ballLooks, a["is"])
}

var ballLooks = []look{
	{"cracked", func(s *sketch) {
		for i := range 5 {
			x := 58 + 10*float64(i)
			s.line(fault, x, 33, x+3, 38, x-1, 42, x+2, 46)
		}
	}},
	{"split", func(s *sketch) {
		s.route().move(66, 24).quad(92, 34, 84, 50).quad(70, 42, 66, 24).close().ink(faultFill)
		s.blob(faultFill, 86, 48, 104, 54, 112, 66, 100, 70, 88, 60)
		s.blob(faultFill, 116, 78, 120, 75, 124, 79, 119, 83)
		s.blob(faultFill, 62, 66, 66, 62, 72, 68, 66, 74)
	}},
	{"out", func(s *sketch) {
		s.circle(faultBody, 80, 48, 14)
		s.rect(body, 74, 18, 12, 18, 0)
		s.line(fault, 56, 52, 60, 46, 65, 52, 95, 52, 100, 46, 104, 52)
		s.sway(fault, 134, 30, 134, 52)
		s.segs(faultDash, 64, 68, 96, 68)
	}},
}

func drawUjoint(s *sketch, a args) {
	if a.is("is", "cracked") || a.is("is", "torn") {
		s.seen(ujointLooks, a["is"])
		return
	}
	s.rect(body, 3, 32, 40, 32, 0)
	s.rect(body, 117, 32, 40, 32, 0)
	s.poly(body, 42, 30, 58, 14, 96, 14, 96, 30, 66, 30, 66, 66, 96, 66, 96, 82, 58, 82, 42, 66)
	s.poly(body, 118, 34, 112, 38, 104, 40, 104, 56, 112, 58, 118, 62)
	s.rect(body, 72, 30, 18, 36, 0)
	s.rect(body, 64, 40, 42, 16, 2)
	s.circle(body, 81, 22, 7)
	s.circle(body, 81, 74, 7)
	s.circle(part, 81, 48, 9)
	s.seen(ujointLooks, a["is"])
}

var ujointLooks = []look{
	{"rust", func(s *sketch) {
		s.rusty(68, 14, 28, 18, 24, 2)
		s.crumbs(faultFill, 70, 92, 96, 92, 9, 1.5, 1.6)
		s.rusty(68, 64, 28, 18, 24, 2)
	}},
	{"cracked", func(s *sketch) {
		s.coupling()
		s.rays(fault, 7, 19, 35, 2)
	}},
	{"play", func(s *sketch) {
		s.turn(fault, 26, 48, 18, 150, 210)
		s.turn(fault, 134, 48, 18, 30, -30)
		s.sway(fault, 81, 34, 81, 62)
		s.clicks(fault, 81, 48, 14, 22, -30, 30, 3)
	}},
	{"torn", func(s *sketch) {
		s.coupling()
		s.route().move(100, 20).to(116, 34).to(98, 42).to(94, 32).close().ink(faultFill)
		s.route().move(46, 62).to(60, 78).to(66, 60).close().ink(faultFill)
		s.jag(fault, 104, 38, 126, 26, 3)
		s.sway(fault, 80, 2, 80, 14)
		s.hexagon(faultBody, 80, 19, 7)
	}},
}

// coupling draws a rubber coupling, face on, in place of the cross.
func (s *sketch) coupling() {
	s.circle(rubber, 80, 48, 42)
	s.circle(body, 80, 48, 17)
	s.circle(part, 80, 48, 8)
	for i := range 6 {
		s.at(80, 48, 60*float64(i), 1, func() { s.hexagon(body, 0, -29, 6) })
	}
}

func drawStrut(s *sketch, a args) {
	s.metal(44, 3, 72, 8)
	s.rect(rubber, 58, 11, 44, 8, 3)
	s.rect(body, 76, 19, 8, 34, 0)
	s.rect(body, 66, 46, 28, 42, 2)
	s.rect(body, 44, 64, 72, 5, 1)
	s.circle(body, 80, 88, 6)
	n := 4
	for i := range n {
		if a.is("is", "broken") && i == 2 {
			continue
		}
		y := 22 + 10.4*float64(i)
		s.curve(Style{Stroke: Ink, Width: 4.6}, 50, y+6, 80, y+5, 110, y)
		s.curve(Style{Stroke: Paper, Width: 2}, 50, y+6, 80, y+5, 110, y)
	}
	s.seen(strutLooks, a["is"])
}

var strutLooks = []look{
	{"wet", func(s *sketch) {
		s.film(oil, 80, 57, 13, 6)
		s.film(oil, 80, 76, 13, 8)
		s.segs(fault, 70, 60, 70, 84, 90, 60, 90, 82)
		s.drop(oil, 100, 88, 5)
	}},
	{"rubber", func(s *sketch) {
		s.rect(void, 56, 12, 48, 7, 0)
		s.poly(faultBody, 54, 12, 73, 12, 68, 18, 74, 25, 58, 24)
		s.poly(faultBody, 106, 12, 87, 12, 91, 18, 86, 26, 102, 24)
		s.at(32, 60, 30, 1, func() { s.poly(faultFill, -8, -5, 6, -6, 9, 3, -4, 6) })
		s.crumbs(faultFill, 28, 76, 42, 84, 6, 4, 2.2)
		s.arrow(fault, 138, 30, 112, 21)
	}},
	{"broken", func(s *sketch) {
		s.curve(Style{Stroke: Act, Width: 4.6}, 50, 49, 66, 50, 72, 48)
		s.curve(Style{Stroke: Act, Width: 4.6}, 110, 44, 98, 50, 92, 56)
		s.clicks(fault, 122, 46, 2, 12, -50, 50, 4)
		s.clicks(fault, 38, 50, 2, 12, 130, 230, 4)
	}},
}

func drawFork(s *sketch, a args) {
	switch a["is"] {
	case "bent":
		s.route().move(68, 3).quad(66, 22, 78, 46).to(96, 42).quad(84, 22, 86, 3).close().ink(body)
		s.segs(hidden, 72, 3, 72, 50, 90, 3, 90, 50)
	default:
		s.rect(body, 72, 3, 18, 46, 0)
		s.segs(thin, 77, 4, 77, 44)
	}
	s.rect(body, 64, 46, 34, 46, 3)
	s.rect(rubber, 61, 42, 40, 9, 3)
	s.circle(body, 130, 78, 15)
	s.circle(part, 130, 78, 8)
	s.rect(body, 104, 66, 18, 22, 3)
	s.rect(body, 96, 72, 10, 8, 0)
	s.seen(forkLooks, a["is"])
}

var forkLooks = []look{
	{"ring", func(s *sketch) { s.rect(faultFill, 72, 34, 18, 5, 2) }},
	{"wet", func(s *sketch) {
		s.rect(faultFill, 72, 32, 18, 8, 2)
		s.film(oil, 80, 62, 14, 8)
		s.segs(fault, 70, 52, 70, 88, 80, 52, 80, 90, 88, 52, 88, 84)
		s.drop(oil, 56, 86, 5)
	}},
	{"brake", func(s *sketch) {
		s.rect(faultFill, 72, 32, 18, 8, 2)
		s.film(oil, 84, 60, 12, 8)
		s.film(oil, 112, 76, 14, 9)
		s.film(oil, 136, 80, 9, 7)
		s.arrow(fault, 128, 38, 128, 60)
	}},
	{"pitted", func(s *sketch) {
		s.rusty(73, 8, 16, 32, 16, 2)
		s.poly(faultFill, 88, 22, 93, 26, 88, 30)
		s.arrow(fault, 116, 20, 98, 26)
	}},
	{"bent", func(s *sketch) {
		s.arrow(fault, 112, 14, 92, 20)
		s.curve(fault, 68, 5, 67, 22, 76, 42)
	}},
}
