package plate

// Batteries, their posts and straps, and spark plugs.

var batteryShapes = []shape{{
	name: "battery", says: "a battery in its tray, with its hold-down", corner: topLeft,
	params: []param{word("case", "sound", "dirty", "swollen", "cracked", "leaking"), word("held", "fast", "loose",
		"metal")},
	draw: drawBattery,
}, {
	name: "post", says: "a battery's post with clamp and lead", corner: topLeft,
	params: []param{word("is", "clean", "corroded", "loose", "frayed")},
	draw:   drawPost,
}, {
	name: "strap", says: "a braided strap between two lugs", corner: topRight,
	params: []param{word("is", "sound", "frayed", "green", "painted", "loose", "missing")},
	draw:   drawStrap,
}, {
	name: "plug", says: "the end of a spark plug", corner: bottomRight,
	params: []param{word("end", "sharp", "worn", "cracked"), word("deposit", "none", "tan", "soot", "oil", "white"),
		yesNo("odd")},
	draw: drawPlug,
}}

func drawBattery(s *sketch, a args) {
	lift, tilt := 0., 0.
	if !a.is("held", "fast") {
		lift, tilt = 3, -8
	}
	s.poly(body, 18, 84, 142, 84, 142, 92, 18, 92)
	s.segs(line, 18, 84, 18, 76, 142, 84, 142, 76)
	if tilt != 0 {
		s.rect(hidden, 30, 34, 100, 50, 2)
	}
	s.at(30, 84-lift, tilt, 1, func() {
		if a.is("case", "swollen") {
			s.rect(hidden, 0, -50, 100, 50, 2)
			s.route().move(4, 0).cubic(-14, -14, -14, -38, 2, -50).cubic(30, -60, 70, -60, 98, -50).cubic(114, -38,
				114, -14, 96, 0).
				close().ink(faultBody)
			s.arrow(fault, 12, -24, -8, -24)
			s.arrow(fault, 88, -24, 108, -24)
		} else {
			s.rect(body, 0, -50, 100, 50, 2)
			s.line(thin, 1, -40, 99, -40)
		}
		s.rect(body, 12, -60, 14, 10, 1)
		s.rect(body, 74, -60, 14, 10, 1)
		s.segs(line, 30, -20, 40, -20, 35, -25, 35, -15, 60, -20, 70, -20)
		s.batteryCase(a["case"])
	})
	if a.is("case", "leaking") {
		s.puddle(coolant, 96, 89, 34)
		s.drop(coolant, 88, 80, 5)
	}
	s.batteryHeld(a["held"])
}

func (s *sketch) batteryCase(state string) {
	switch state {
	case "dirty":
		s.crumbs(faultFill, 4, -53, 96, -53, 26, 2.4, 1.8)
		s.crumbs(faultFill, 4, -46, 96, -46, 18, 3, 1.3)
		s.film(fluid, 50, -51, 20, 4)
	case "cracked", "leaking":
		s.jag(fault, 52, -49, 66, -22, 3)
		s.jag(fault, 66, -22, 60, -2, 3)
		s.jag(fault, 66, -22, 84, -12, 2)
		if state == "leaking" {
			s.film(coolant, 62, -8, 15, 6)
		}
	}
}

func (s *sketch) batteryHeld(state string) {
	if state == "fast" {
		s.rect(body, 72, 66, 16, 10, 1)
		s.segs(rope, 72, 84, 66, 76, 88, 84, 94, 76)
		return
	}
	s.sway(fault, 20, 66, 20, 46)
	s.turn(fault, 80, 60, 74, -18, -2)
	if state == "metal" {
		s.poly(body, 66, 2, 156, 2, 156, 11, 66, 11)
		s.hatch(fine, -45, 5, 66, 2, 156, 2, 156, 11, 66, 11)
		s.clicks(fault, 104, 12, 4, 14, 20, 160, 5)
		s.poly(faultFill, 102, 9, 112, 9, 105, 18, 110, 18, 100, 27, 103, 19, 98, 19)
	}
}

func drawPost(s *sketch, a args) {
	s.poly(body, 3, 76, 157, 76, 157, 93, 3, 93)
	s.poly(body, 36, 76, 40, 26, 68, 26, 72, 76)
	tilt, lift := 0., 0.
	st := body
	if a.is("is", "loose") {
		tilt, lift, st = -9, -8, faultBody
	}
	s.at(54, 52+lift, tilt, 1, func() {
		s.rect(st, -28, -12, 56, 24, 5)
		s.rect(part, -40, -8, 14, 16, 1)
		s.hexagon(part, -44, 0, 6)
		s.rect(st, 26, -9, 30, 18, 2)
		s.segs(thin, -17, -11, -14, 11, 16, -11, 13, 11)
	})
	cable := func(st Style) { s.curve(st, 108, 52+lift*2.2, 126, 50+lift*2, 140, 42, 157-st.Width/2, 22) }
	if !a.is("is", "frayed") {
		cable(Style{Stroke: Ink, Width: 15})
		cable(Style{Stroke: Wash, Width: 12})
	}
	switch a["is"] {
	case "corroded":
		for i := range 4 {
			y := 34 + 12*float64(i)
			s.crumbs(faultFill, 24, y, 84, y, 13, 5, 3)
		}
		s.blob(faultBody, 22, 40, 34, 28, 56, 24, 78, 30, 88, 44, 80, 52, 60, 46, 40, 52, 26, 50)
		s.crumbs(faultThin, 28, 38, 82, 38, 9, 4, 2.6)
		s.crumbs(faultFill, 30, 44, 80, 44, 8, 3, 1.8)
	case "loose":
		s.turn(fault, 54, 44, 38, -150, -100)
		s.turn(fault, 54, 44, 38, -40, -80)
		s.segs(fault, 36, 66, 72, 66)
	case "frayed":
		s.rect(rubber, 128, 38, 28, 17, 2)
		for i := range 6 {
			y := 45 + 2.6*float64(i)
			s.curve(fault, 108, y, 114, y-2+4*noise(i), 120, y+2, 129, 40+2.8*float64(i))
		}
		s.hairs(fault, 110, 44, 126, 42, 6, 18, -80)
		s.hairs(fault, 110, 60, 126, 56, 4, 14, 80)
	}
}

func drawStrap(s *sketch, a args) {
	state := a["is"]
	lug := func(x float64, st Style) {
		s.circle(st, x, 48, 16)
		s.hexagon(st, x, 48, 8)
	}
	braid := func(from, to float64, st Style) {
		s.rect(st, from, 36, to-from, 24, 0)
		for x := from + 2; x+12 < to; x += 8 {
			s.segs(thin, x, 37, x+12, 59, x, 59, x+12, 37)
		}
	}
	s.poly(part, 3, 70, 157, 70, 157, 90, 3, 90)
	s.hatch(fine, -45, 6, 3, 70, 157, 70, 157, 90, 3, 90)
	switch state {
	case "missing":
		s.rect(hidden, 38, 36, 84, 24, 0)
		braid(38, 56, body)
		s.hairs(fault, 56, 40, 56, 58, 7, 14, 0)
		s.segs(Style{Stroke: Act, Width: 3}, 82, 38, 100, 58, 100, 38, 82, 58)
	case "frayed":
		braid(38, 70, body)
		braid(92, 122, body)
		for i := range 3 {
			s.segs(line, 70, 50+4*float64(i), 92, 50+4*float64(i))
		}
		s.hairs(fault, 70, 38, 70, 48, 6, 20, -35)
		s.hairs(fault, 92, 38, 92, 48, 6, 18, -145)
	default:
		braid(38, 122, body)
	}
	lug(24, body)
	switch state {
	case "loose":
		s.at(136, 41, 18, 1, func() {
			s.circle(faultBody, 0, 0, 16)
			s.hexagon(faultBody, 0, 0, 8)
		})
		s.turn(fault, 136, 41, 24, -30, -140)
		s.sway(fault, 152, 50, 152, 68)
	case "green":
		lug(136, body)
		s.crumbs(faultFill, 112, 38, 154, 38, 12, 6, 2.4)
		s.crumbs(faultFill, 112, 56, 154, 56, 12, 6, 2.4)
		s.crumbs(faultFill, 40, 48, 110, 48, 12, 9, 1.8)
	case "painted":
		s.at(0, 0, 0, 1, func() { s.rect(Style{Fill: Act, Stroke: Act, Width: 1}, 106, 64, 51, 7, 1) })
		lug(136, body)
		s.hatch(fault, 0, 3, 106, 71, 157, 71, 157, 80, 106, 80)
		s.arrow(fault, 88, 20, 110, 60)
	default:
		lug(136, body)
	}
}

func drawPlug(s *sketch, a args) {
	if a.on("odd") {
		for i := range 4 {
			s.at(22+38*float64(i), 0, 0, 1, func() { s.smallPlug(i == 2) })
		}
		s.arrow(fault, 98, 8, 98, 22)
		return
	}
	s.rect(body, 3, 26, 62, 46, 2)
	for i := range 6 {
		s.line(thin, 10+9*float64(i), 27, 14+9*float64(i), 71)
	}
	s.rect(body, 65, 30, 8, 38, 1)
	s.poly(body, 73, 36, 98, 42, 98, 56, 73, 62)
	gap := 7.
	worn := a.is("end", "worn")
	if worn {
		gap = 15
	}
	core, hook := body, body
	if worn {
		core = faultBody
		s.rect(hidden, 98, 45, 16, 8, 0)
		s.route().move(98, 45).to(102, 45).cubic(108, 45, 108, 53, 102, 53).to(98, 53).close().ink(core)
		gap = 9
	} else {
		s.rect(core, 98, 45, 16, 8, 0)
	}
	x := 114 + gap
	s.route().move(73, 30).to(x+8, 30).to(x+8, 54).to(x, 54).to(x, 37).to(73, 37).close().ink(hook)
	if worn {
		s.sway(fault, 108, 66, x, 66)
		s.segs(fault, 107, 60, 107, 72, x, 60, x, 72)
	}
	if a.is("end", "cracked") {
		s.jag(fault, 76, 37, 88, 60, 3)
		s.poly(faultFill, 88, 40, 98, 42, 98, 50, 92, 47)
	}
	s.plugDeposit(a["deposit"], x)
}

// plugDeposit draws what lies on the nose and the hook of a plug.
func (s *sketch) plugDeposit(what string, x float64) {
	nose := []float64{74, 38, 97, 43, 112, 46, 112, 52, 97, 55, 74, 60}
	switch what {
	case "tan":
		s.hatch(thin, -60, 5, nose...)
	case "soot":
		s.blob(faultFill, 72, 33, 88, 30, 104, 32, 118, 40, 114, 56, 100, 60, 84, 64, 72, 66)
		s.crumbs(faultFill, 76, 70, 118, 66, 10, 4, 1.8)
		s.crumbs(faultFill, 84, 26, 126, 28, 10, 3, 1.8)
	case "oil":
		s.film(oil, 90, 49, 20, 10)
		s.drop(oil, 86, 78, 6)
		s.drop(oil, 104, 74, 5)
		s.film(oil, x+3, 42, 7, 9)
		s.drop(oil, x+4, 70, 5)
	case "white":
		for i := range 9 {
			px, py := along(76, 42, 112, 46, float64(i)/8)
			s.circle(faultBody, px, py+9*noise(i)*.8+3, 3.4)
		}
		s.heat(96, 24, 3)
	}
}

func (s *sketch) smallPlug(odd bool) {
	st := body
	if odd {
		st = faultBody
	}
	s.rect(st, -13, 30, 26, 34, 2)
	for i := range 4 {
		s.line(thin, -12, 36+7*float64(i), 12, 34+7*float64(i))
	}
	s.poly(st, -9, 64, 9, 64, 4, 76, -4, 76)
	s.rect(st, -2.5, 76, 5, 6, 0)
	s.line(Style{Stroke: st.Stroke, Width: 3}, 11, 64, 11, 88, -3, 88)
	if odd {
		s.blob(faultFill, -10, 62, 10, 62, 8, 76, 0, 84, -8, 76)
	}
}
