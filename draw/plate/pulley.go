package plate

// Pulleys, face on and on their edges.

var pulleyShapes = []shape{{
	name: "pulley", says: "a pulley, face on", corner: bottomRight,
	params: []param{word("seal", "whole", "grease", "gone"), yesNo("crack"), yesNo("rust"), word("cap", "none",
		"on", "off"),
		yesNo("burnt"), yesNo("smoke"), word("rim", "true", "worn"),
		word("spins", "no", "smooth", "dry", "gritty", "stuck"), word("ring", "no", "right", "rough", "solid",
			"free")},
	draw: drawPulley,
}, {
	name: "edgeon", says: "a pulley on its edge, with the shaft in its bearing", corner: topLeft,
	params: []param{word("grooves", "clean", "dirty", "worn"), word("rim", "true", "step"), word("runs", "still",
		"true", "wobbles", "scrapes"),
		word("rocks", "no", "none", "play", "loose"), word("pushed", "no", "firm", "slight", "clicks")},
	draw: drawEdgeOn,
}, {
	name: "damper", says: "a pulley of hub, rubber and ring, face on", corner: bottomRight,
	params: []param{word("rubber", "whole", "cracked", "bulging", "soft", "parting"), word("mark", "none", "line",
		"shifted"),
		word("bolt", "tight", "rust", "loose")},
	draw: drawDamper,
}}

func drawPulley(s *sketch, a args) {
	const x, y = 80., 48.
	if a.is("rim", "worn") {
		s.circle(hidden, x, y, 42)
		s.circle(faultBody, x, y, 37)
		s.clicks(fault, x, y, 37, 42, 0, 345, 24)
	} else {
		s.circle(body, x, y, 42)
		s.circle(line, x, y, 36)
	}
	s.circle(part, x, y, 21)
	s.circle(part, x, y, 11)
	s.hexagon(part, x, y, 6)
	for i := range 5 {
		s.clicks(thin, x, y, 24, 34, 20+72*float64(i), 20+72*float64(i), 1)
	}
	switch a["cap"] {
	case "on":
		s.circle(body, x, y, 22)
		s.arc(thin, x, y, 17, 200, 280)
	case "off":
		s.circle(dark, x, y, 20)
		s.circle(void, x, y, 12)
		s.clicks(fault, x, y, 12, 17, 0, 330, 12)
		s.circle(fault, x, y, 21)
		s.at(134, 74, 0, 1, func() { s.ellipse(faultDash, 0, 0, 20, 15) })
	}
	switch a["seal"] {
	case "grease":
		for i := range 6 {
			s.at(x, y, 60*float64(i)+12, 1, func() {
				s.blob(faultFill, 13, -4, 22, -3, 34, -2, 38, 1, 30, 3, 20, 3, 13, 4)
			})
		}
		s.crumbs(faultFill, x-46, y+22, x-60, y+34, 4, 3, 2)
		s.crumbs(faultFill, x+46, y-22, x+60, y-34, 4, 3, 2)
	case "gone":
		s.circle(void, x, y, 21)
		s.circle(fault, x, y, 21)
		for i := range 8 {
			s.at(x, y, 45*float64(i), 1, func() { s.circle(faultBody, 16, 0, 4) })
		}
	}
	if a.on("crack") {
		s.jag(fault, x+10, y+16, x+30, y+30, 2.4)
		s.jag(fault, x-14, y-18, x-28, y-32, 2.4)
		s.poly(faultFill, x+24, y+22, x+35, y+25, x+29, y+32)
	}
	if a.on("rust") {
		for i := range 9 {
			s.at(x, y, 40*float64(i), 1, func() { s.crumbs(faultFill, 13, 0, 34, 0, 6, 4, 1.6) })
		}
	}
	if a.on("burnt") {
		s.circle(Style{Fill: Paper, Stroke: Act, Width: 2}, x, y, 30)
		for i := range 12 {
			s.clicks(fault, x, y, 13, 29, 30*float64(i), 30*float64(i), 1)
			s.clicks(faultThin, x, y, 19, 29, 30*float64(i)+10, 30*float64(i)+20, 2)
		}
		s.circle(body, x, y, 12)
	}
	if a.on("smoke") {
		for i := range 3 {
			d := 16 * float64(i)
			s.curve(fault, 112+d*.9, 44-d*.2, 106+d, 32, 118+d*.8, 20, 110+d, 5)
			s.curve(fault, 48-d*.9, 44-d*.2, 42-d*.8, 32, 53-d, 20, 46-d*.9, 5)
		}
	}
	pulleySpins(s, a, x, y)
	ringTurns(s, a, x, y)
}

func pulleySpins(s *sketch, a args, x, y float64) {
	switch a["spins"] {
	case "smooth":
		s.turn(line, x, y, 29, -150, -40)
	case "dry":
		s.turn(fault, x, y, 29, -170, -20)
		s.turn(fault, x, y, 29, 10, 160)
		s.segs(fault, 126, 22, 142, 16, 128, 34, 148, 30, 34, 62, 12, 66, 36, 74, 18, 82)
	case "gritty":
		s.turn(fault, x, y, 29, -150, -40)
		for i := range 14 {
			s.at(x, y, 26*float64(i), 1, func() {
				s.at(16+3*noise(i), 0, 40*noise(i), 1, func() { s.poly(faultFill, -2.6, 2, 0, -3, 3, 1.6) })
			})
		}
		s.clicks(fault, x, y, 46, 53, 150, 210, 3)
		s.clicks(fault, x, y, 46, 53, -30, 30, 3)
	case "stuck":
		s.turn(fault, x, y, 29, -150, -40)
		s.segs(Style{Stroke: Act, Width: 3.4}, x-14, y-38, x+14, y-12, x+14, y-38, x-14, y-12)
	}
}

// ringTurns draws how an outer ring turns against its rotor, one way and the other.
func ringTurns(s *sketch, a args, x, y float64) {
	ring := a["ring"]
	if ring == "no" {
		return
	}
	free := func(st Style, mirror bool) {
		turn := func() { s.turn(st, x, y, 52, -10, -44) }
		if mirror {
			s.mirrored(x, turn)
		} else {
			turn()
		}
	}
	solid := func(st Style, left bool) {
		d := 1.
		if left {
			d = -1
		}
		s.rect(Style{Fill: st.Stroke, Stroke: st.Stroke, Width: 1}, x+d*56-4, 22, 8, 30, 0)
		s.arrow(st, x+d*45, 37, x+d*51, 37)
	}
	switch ring {
	case "right", "rough":
		free(line, false)
		solid(line, true)
		if ring == "rough" {
			s.clicks(fault, x, y, 46, 53, 15, 50, 4)
			s.clicks(fault, x, y, 46, 53, 130, 165, 4)
			s.crumbs(faultFill, x-14, y+16, x+14, y+16, 7, 2, 2)
			s.crumbs(faultFill, x-14, y-16, x+14, y-16, 7, 2, 2)
		}
	case "solid":
		solid(fault, false)
		solid(fault, true)
	case "free":
		free(fault, false)
		free(fault, true)
	}
}

func drawEdgeOn(s *sketch, a args) {
	const left, right, top, low = 62., 112., 14., 82.
	s.rect(body, 10, 32, 26, 32, 2)
	s.hatch(fine, -45, 5, 10, 32, 36, 32, 36, 64, 10, 64)
	s.rect(part, 36, 42, 26, 12, 0)
	ghost := func(deg float64, st Style) {
		s.at(62, 48, deg, 1, func() { s.rect(st, 0, top-48, right-left, low-top, 3) })
	}
	switch a["runs"] {
	case "wobbles":
		ghost(6, faultDash)
		ghost(-6, faultDash)
	case "scrapes":
		ghost(13, faultDash)
		ghost(-13, faultDash)
	}
	switch a["rocks"] {
	case "play":
		ghost(5, faultDash)
	case "loose":
		ghost(10, faultDash)
		ghost(-10, faultDash)
	}
	s.edgeRim(a, left, right, top, low)
	if !a.is("runs", "still") {
		st := line
		if !a.is("runs", "true") {
			st = fault
		}
		s.turn(st, 134, 48, 14, 120, -120)
	}
	if a.is("runs", "scrapes") {
		s.clicks(fault, 52, 24, 4, 12, 120, 240, 4)
		s.clicks(fault, 52, 74, 4, 12, 120, 240, 4)
	}
	switch a["rocks"] {
	case "none":
		s.fingers(right, top, low)
	case "play":
		s.fingers(right, top, low)
		s.sway(fault, 118, 48, 136, 48)
	case "loose":
		s.fingers(right+4, top, low)
		s.sway(fault, 116, 48, 152, 48)
		s.clicks(fault, 49, 48, 11, 18, 60, 120, 3)
		s.clicks(fault, 49, 48, 11, 18, 240, 300, 3)
	}
	switch a["pushed"] {
	case "firm":
		s.finger(right+1, 48, 40, 90)
	case "slight":
		s.rect(faultDash, left-5, top, right-left, low-top, 3)
		s.finger(right+1, 48, 40, 90)
		s.sway(fault, left-9, 89, left+9, 89)
	case "clicks":
		s.rect(faultDash, left-15, top, right-left, low-top, 3)
		s.finger(right+1, 48, 40, 90)
		s.sway(fault, left-22, 89, left+22, 89)
		s.clicks(fault, 41, 48, 11, 19, 200, 340, 5)
	}
}

// fingers draws two fingertips that rock a pulley at its rim.
func (s *sketch) fingers(x, top, low float64) {
	s.at(x, top+10, 0, .8, func() { s.finger(1, 0, 44, 90) })
	s.at(x, low-10, 0, .8, func() { s.finger(1, 0, 44, 90) })
}

// edgeRim draws the rim with its grooves.
func (s *sketch) edgeRim(a args, left, right, top, low float64) {
	r := s.route().move(left, top)
	tooth := 5.
	if a.is("grooves", "worn") {
		tooth = 8
	}
	for i := range 5 {
		x := left + 10*float64(i)
		r.to(x+2.5, top).to(x+5, top+tooth).to(x+7.5, top)
	}
	r.to(right, top).to(right, low)
	for i := range 5 {
		x := right - 10*float64(i)
		r.to(x-2.5, low).to(x-5, low-tooth).to(x-7.5, low)
	}
	r.to(left, low).close().ink(body)
	for i := range 5 {
		x := left + 5 + 10*float64(i)
		s.line(thin, x, top+tooth, x, low-tooth)
		switch a["grooves"] {
		case "dirty":
			for _, y := range []float64{top + 2, low - 2} {
				s.crumbs(faultFill, x-2, y, x+2, y, 3, 2, 2.4)
			}
			s.crumbs(faultFill, x, top+10, x, low-10, 7, 1, 1.7)
		case "worn":
			s.segs(fault, x-2.5, top, x, top+tooth, x, top+tooth, x+2.5, top, x-2.5, low, x, low-tooth, x,
				low-tooth, x+2.5, low)
			s.crumbs(faultFill, x, top+14, x, low-14, 4, 3, 1.5)
		}
	}
	if a.is("grooves", "worn") {
		s.poly(void, right-9, top-2, right+3, top-2, right+3, top+12)
		s.line(fault, right-9, top, right-5, top+6, right, top+11)
		s.poly(void, left+8, low+2, left-3, low+2, left-3, low-9)
		s.line(fault, left+8, low, left+4, low-5, left, low-8)
	}
	if a.is("rim", "step") {
		for _, y := range []float64{top, low} {
			d := 1.
			if y == low {
				d = -1
			}
			s.poly(void, left+9, y-3*d, right-9, y-3*d, right-9, y+7*d, left+9, y+7*d)
			s.line(hidden, left+9, y, right-9, y)
			s.line(fault, left+9, y, left+9, y+7*d, right-9, y+7*d, right-9, y)
		}
	}
}

func drawDamper(s *sketch, a args) {
	const x, y = 80., 48.
	shift := 0.
	if a.is("rubber", "parting") {
		shift = 7
		s.circle(hidden, x, y, 42)
	}
	st := body
	if shift > 0 {
		st = faultBody
	}
	s.circle(st, x+shift, y+shift*.3, 42)
	s.circle(thin, x+shift, y+shift*.3, 38.5)
	s.circle(rubber, x+shift, y+shift*.3, 33)
	s.circle(body, x, y, 25)
	s.circle(part, x, y, 12)
	s.rubberRing(a, x, y, shift)
	switch a["mark"] {
	case "line":
		s.clicks(Style{Stroke: Ink, Width: 3}, x, y, 14, 42, -60, -60, 1)
	case "shifted":
		s.clicks(Style{Stroke: Ink, Width: 3}, x, y, 14, 25, -60, -60, 1)
		s.clicks(Style{Stroke: Act, Width: 3.4}, x, y, 33, 42, -28, -28, 1)
		s.turn(fault, x, y, 29, -58, -32)
	}
	s.hexagon(body, x, y, 8)
	switch a["bolt"] {
	case "rust":
		for i := range 10 {
			s.at(x, y, 36*float64(i), 1, func() { s.crumbs(faultFill, 10, 0, 23, 0, 4, 3, 1.6) })
		}
	case "loose":
		s.at(x+3, y-3, 28, 1, func() { s.hexagon(faultBody, 0, 0, 9) })
		s.turn(fault, x, y, 18, 40, -140)
	}
}

// rubberRing draws what is wrong with the rubber between hub and ring.
func (s *sketch) rubberRing(a args, x, y, shift float64) {
	switch a["rubber"] {
	case "cracked":
		for i := range 14 {
			deg := 25.7 * float64(i)
			s.at(x, y, deg, 1, func() { s.jag(fault, 25.5, 0, 32.5, 2, 1.4) })
		}
	case "bulging":
		for i := range 5 {
			s.at(x, y, 72*float64(i)-20, 1, func() {
				s.blob(faultBody, 24, -9, 31, -10, 37, -4, 36, 5, 30, 10, 24, 8)
				s.hatch(faultThin, 40, 3.5, 25, -8, 34, -6, 34, 5, 27, 8)
			})
		}
	case "soft":
		for i := range 9 {
			s.at(x, y, 40*float64(i), 1, func() { s.blob(faultFill, 25, -6, 30, -8, 34, -3, 33, 5, 28, 7, 24, 4) })
		}
		s.drop(oil, x-14, 89, 4.4)
		s.drop(oil, x+16, 88, 4.4)
	case "parting":
		s.route().arc(x, y, 26, 100, 260).arc(x+shift, y+shift*.3, 33, 250, 110).close().ink(faultFill)
		s.arrow(fault, 128, 50, 148, 55)
	}
}
