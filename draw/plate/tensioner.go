package plate

import "math"

// Tensioners: an arm with its pulley, face on and from the side.

var tensionerShapes = []shape{{
	name: "tensioner", says: "a tensioner, face on: body, arm, pulley, and a pointer between two marks",
	corner: bottomRight,
	params: []param{word("mark", "none", "between", "end", "outside"), word("arm", "whole", "broken", "stuck"),
		word("pivot", "clean", "rust", "bright", "oil"), word("stop", "whole", "cracked"),
		word("swings", "no", "little", "far"), word("moves", "no", "smooth", "notchy", "weak")},
	draw: drawTensioner,
}, {
	name: "armside", says: "a tensioner from the side: body, arm, pulley and belt on their edges", corner: topLeft,
	params: []param{word("arm", "straight", "cocked", "play"), word("belt", "central", "off", "away")},
	draw:   drawArmSide,
}}

func drawTensioner(s *sketch, a args) {
	const bx, by = 46., 56.
	lean := map[string]float64{"end": 12, "outside": 24}[a["mark"]]
	arm := func(deg float64, st Style, full bool) {
		s.at(bx, by, deg-22, 1, func() {
			s.route().arc(0, 0, 17, 40, 320).to(70, -7).to(70, 7).close().ink(st)
			if full {
				s.circle(body, 72, 0, 21)
				s.circle(thin, 72, 0, 16)
				s.circle(part, 72, 0, 6)
			} else {
				s.circle(st, 72, 0, 21)
			}
		})
	}
	s.circle(body, bx, by, 27)
	switch a["swings"] {
	case "little":
		s.turn(line, bx, by, 97, -27, -15)
	case "far":
		arm(-6, faultDash, false)
		arm(14, faultDash, false)
		s.turn(fault, bx, by, 99, -18, -29)
		s.turn(fault, bx, by, 99, -18, 4)
	}
	arm(lean*.5, body, true)
	s.circle(part, bx, by, 9)
	s.hexagon(part, bx, by, 5)
	s.rect(body, bx-38, by+20, 16, 10, 2)
	tensionerMark(s, a["mark"], bx, by, lean)
	tensionerHurt(s, a, bx, by)
	switch a["moves"] {
	case "smooth":
		s.turn(line, bx, by, 97, -4, -28)
	case "notchy":
		var pts []float64
		for i := range 13 {
			deg := (-28 + 26*float64(i)/12) * math.Pi / 180
			r := 97 + 4*float64(i%2*2-1)
			pts = append(pts, bx+r*math.Cos(deg), by+r*math.Sin(deg))
		}
		s.line(fault, pts...)
		s.head(fault, pts[0], pts[1], -125)
	case "weak":
		s.arc(faultDash, bx, by, 97, -28, -4)
		s.head(fault, bx+97*math.Cos(-.49), by+97*math.Sin(-.49), -118)
		s.curve(fault, 20, 88, 32, 82, 40, 92, 50, 84, 58, 93, 66, 90, 80, 93)
	}
}

func tensionerMark(s *sketch, mark string, bx, by, lean float64) {
	if mark == "none" {
		return
	}
	tick := func(st Style, deg, from, to float64) { s.clicks(st, bx, by, from, to, deg, deg, 1) }
	s.arc(line, bx, by, 35, -150, -70)
	tick(rope, -138, 31, 41)
	tick(rope, -84, 31, 41)
	st := dark
	if lean > 0 {
		st = faultFill
	}
	at := -111.
	switch mark {
	case "end":
		at = -86
	case "outside":
		at = -56
		s.arc(faultDash, bx, by, 35, -80, -60)
	}
	sin, cos := math.Sincos(at * math.Pi / 180)
	s.at(bx+31*cos, by+31*sin, at, 1, func() { s.poly(st, 4, 0, -14, -6, -14, 6) })
}

func tensionerHurt(s *sketch, a args, bx, by float64) {
	switch a["arm"] {
	case "broken":
		s.poly(void, bx+30, by-32, bx+52, by-40, bx+58, by-8, bx+38, by-2)
		s.jag(fault, bx+30, by-23, bx+38, by-6, 3)
		s.jag(fault, bx+46, by-30, bx+54, by-12, 3)
		s.line(faultThin, bx+40, by-24, bx+44, by-14)
	case "stuck":
		s.turn(fault, bx, by, 97, -4, -28)
		s.segs(Style{Stroke: Act, Width: 3}, 130, 16, 150, 34, 150, 16, 130, 34)
		s.crumbs(faultFill, bx-14, by-12, bx+14, by-14, 8, 4, 1.7)
		s.crumbs(faultFill, bx-14, by+14, bx+14, by+12, 8, 4, 1.7)
	}
	switch a["pivot"] {
	case "rust":
		for _, d := range []float64{-14, -7, 7, 14} {
			s.crumbs(faultFill, bx-18, by+d, bx+18, by+d, 8, 3, 1.5)
		}
		s.curve(fault, bx-6, by+18, bx-8, by+28, bx-5, by+37)
		s.curve(fault, bx+6, by+18, bx+8, by+30, bx+4, by+38)
	case "bright":
		s.arc(Style{Stroke: Act, Width: 3}, bx, by, 22, 100, 170)
		s.arc(fault, bx, by, 25, 110, 160)
		s.glint(fault, bx-18, by+16, 9)
		s.glint(fault, bx+24, by-22, 8)
	case oil:
		s.film(oil, bx-2, by+14, 18, 8)
		s.drop(oil, bx-8, by+31, 5)
		s.drop(oil, bx+8, by+33, 5)
	}
	if a.is("stop", "cracked") {
		s.poly(void, bx-41, by+17, bx-30, by+17, bx-30, by+33, bx-41, by+33)
		s.jag(fault, bx-28, by+19, bx-31, by+32, 2.4)
		s.at(bx-34, by+30, -28, 1, func() { s.rect(faultBody, -8, -5, 11, 10, 1) })
		s.clicks(fault, bx-30, by+24, 10, 15, 170, 250, 3)
	}
}

// hexagon draws a bolt's head.
func (s *sketch) hexagon(st Style, x, y, r float64) {
	var pts []float64
	for i := range 6 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 3)
		pts = append(pts, x+r*cos, y+r*sin)
	}
	s.poly(st, pts...)
}

func drawArmSide(s *sketch, a args) {
	st := body
	shift := map[string]float64{"off": 10, "away": 26}[a["belt"]]
	arm := func(st, belt Style, full bool) {
		s.rect(st, 56, 16, 12, 74, 3)
		s.rect(st, 74, 20, 66, 44, 3)
		if !full {
			return
		}
		s.rect(part, 68, 38, 6, 8, 0)
		for i := range 5 {
			s.segs(thin, 85+11*float64(i), 21, 85+11*float64(i), 63)
		}
		s.rect(belt, 87+shift, 11, 40, 9, 2)
		s.rect(belt, 87+shift, 64, 40, 9, 2)
	}
	s.rect(body, 18, 58, 38, 32, 3)
	s.line(hidden, 10, 74, 74, 74)
	belt := rubber
	if shift > 0 {
		belt = Style{Fill: Act, Stroke: Act, Width: 1.6}
	}
	switch a["arm"] {
	case "cocked":
		arm(hidden, hidden, false)
		st.Stroke = Act
		s.at(62, 84, 10, 1, func() { s.at(-62, -84, 0, 1, func() { arm(st, rubber, true) }) })
	case "play":
		arm(st, belt, true)
		s.at(62, 84, 5, 1, func() { s.at(-62, -84, 0, 1, func() { s.rect(faultDash, 74, 20, 66, 44, 3) }) })
		s.at(62, 84, -5, 1, func() { s.at(-62, -84, 0, 1, func() { s.rect(faultDash, 74, 20, 66, 44, 3) }) })
		s.sway(fault, 74, 83, 140, 83)
	default:
		arm(st, belt, true)
	}
	if shift > 0 {
		s.line(hidden, 107, 4, 107, 84)
		s.arrow(fault, 107, 83, 107+shift+4, 83)
	}
}
