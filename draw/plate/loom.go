package plate

// Wires: looms, what they pass, their fixings, and single cables.

var loomShapes = []shape{{
	name: "loom", says: "a taped bundle of wires", corner: topRight,
	params: []param{word("cover", "sound", "open", "chafed", "brittle", "melted", "chewed", "stretched", "bare")},
	draw:   drawLoom,
}, {
	name: "route", says: "a taped bundle of wires and what it passes", corner: topRight,
	params: []param{word("by", "nothing", "near", "edge", "hot", "moving")},
	draw:   drawRoute,
}, {
	name: "fixing", says: "a taped bundle of wires in its clip and its grommet", corner: topRight,
	params: []param{word("is", "right", "broken", "grommet", "dangling")},
	draw:   drawFixing,
}, {
	name: "cable", says: "one thick cable in its clip", corner: topRight,
	params: []param{word("cover", "sound", "rubbed", "cut", "crazed", "tracked", "split"), word("clip", "on",
		"off"), word("cap", "no", "yes")},
	draw: drawCable,
}, {
	name: "connector", says: "two halves of a plug and socket, joined", corner: topRight,
	params: []param{word("is", "locked", "unlocked", "half", "green", "burnt", "twisted")},
	draw:   drawConnector,
}}

// taped draws a taped bundle from x0 to x1 about a height.
func (s *sketch) taped(x0, x1, y, half float64) {
	s.rect(rubber, x0, y-half, x1-x0, 2*half, 3)
	for x := x0 + 10; x+half < x1; x += 11 {
		s.segs(thin, x, y+half, x+half*.9, y-half)
	}
}

const loomFrom, loomTo = 42., 118. // where a loom lies open

func drawLoom(s *sketch, a args) {
	if a.is("cover", "sound") {
		s.taped(3, 157, 48, 15)
		return
	}
	long := func(st Style, y float64, i int) {
		if a.is("cover", "stretched") {
			s.segs(st, loomFrom-6, y, loomTo+6, y)
			return
		}
		s.curve(st, loomFrom-6, y, 60, y-2+float64(i), 80, y+2*float64(i-1), 100, y+1, loomTo+6, y)
	}
	for i, y := range []float64{37, 48, 59} {
		long(Style{Stroke: Ink, Width: 9.5}, y, i)
		long(Style{Stroke: Wash, Width: 6.4}, y, i)
	}
	s.taped(3, loomFrom, 48, 15)
	s.taped(loomTo, 157, 48, 15)
	switch a["cover"] {
	case "open":
		s.route().move(loomFrom, 34).cubic(52, 20, 64, 22, 70, 10).to(79, 13).cubic(74, 26, 62, 34, loomFrom, 44).
			close().
			ink(faultBody)
		s.hatch(faultThin, 60, 5, 46, 36, 58, 24, 70, 12, 78, 14, 66, 30, 46, 42)
		s.route().move(loomTo, 62).cubic(110, 74, 100, 72, 94, 86).to(86, 84).cubic(90, 70, 104, 64, loomTo, 54).
			close().ink(faultBody)
		s.hatch(faultThin, 60, 5, 114, 64, 100, 72, 93, 84, 88, 82, 96, 70, 112, 58)
	case "chafed":
		s.poly(faultBody, 62, 33, 98, 33, 94, 40, 66, 40)
		s.hatch(faultThin, -30, 3, 62, 33, 98, 33, 94, 40, 66, 40)
		s.poly(body, 58, 8, 102, 8, 96, 30, 64, 30)
		s.hatch(fine, -45, 5, 58, 8, 102, 8, 96, 30, 64, 30)
		s.sway(fault, 108, 24, 134, 24)
	case "brittle":
		for i := range 9 {
			x := loomFrom + 5 + 8*float64(i)
			for j, y := range []float64{37, 48, 59} {
				if (i+j)%3 != 2 {
					s.jag(fault, x, y-4.6, x+2, y+4.6, 1.2)
				}
			}
		}
		s.poly(void, 72, 52, 80, 52, 78, 66, 70, 64)
		s.poly(fault, 71, 66, 79, 68, 77, 76, 70, 73)
	case "melted":
		s.route().move(52, 34).cubic(60, 30, 100, 30, 108, 34).cubic(110, 60, 104, 56, 102, 72).cubic(100, 84, 96,
			78, 95, 68).
			cubic(92, 58, 86, 66, 85, 82).cubic(83, 94, 77, 92, 76, 80).cubic(75, 64, 68, 62, 66, 72).cubic(63, 80,
			58, 76, 58, 64).
			cubic(56, 54, 52, 48, 52, 34).close().ink(faultBody)
		s.hatch(faultThin, 80, 5, 56, 36, 104, 36, 100, 60, 86, 58, 80, 72, 70, 56, 60, 60)
		s.heat(80, 26, 3)
	case "chewed":
		for i := range 5 {
			x := 52 + 13*float64(i)
			s.poly(faultFill, x, 31, x+3, 40, x+6, 31)
			s.poly(faultFill, x+3, 65, x+6, 55, x+9, 65)
			s.line(fault, x+2, 45, x+5, 51)
		}
		s.curve(fault, 62, 24, 66, 14, 72, 24)
		s.curve(fault, 72, 24, 76, 14, 82, 24)
		s.curve(fault, 82, 24, 86, 14, 92, 24)
	case "stretched":
		s.arrow(fault, 62, 20, 8, 20)
		s.arrow(fault, 98, 20, 152, 20)
		s.segs(fault, 46, 33, 114, 33, 46, 63, 114, 63)
	case "bare":
		s.rect(void, 64, 41, 34, 14, 0)
		for i := range 4 {
			s.curve(fault, 62, 44+3*float64(i), 74, 45+3*float64(i-1), 86, 44+3*float64(i), 100, 45+2.6*float64(i))
		}
		s.jag(fault, 63, 42, 62, 55, 2)
		s.jag(fault, 99, 42, 100, 55, 2)
		s.clicks(fault, 81, 30, 4, 15, 200, 340, 5)
	}
}

// heat draws waves of heat that rise from a middle point.
func (s *sketch) heat(x, y float64, n int) {
	for i := range n {
		d := x + 14*(float64(i)-float64(n-1)/2)
		s.curve(fault, d, y, d-4, y-6, d+4, y-13, d, y-20)
	}
}

func drawRoute(s *sketch, a args) {
	y := 30.
	switch a["by"] {
	case "near":
		y = 44
	case "edge", "hot", "moving":
		y = 50
	}
	switch a["by"] {
	case "nothing", "near", "hot":
		s.rect(body, 3, 66, 154, 24, 0)
		for i := range 9 {
			s.segs(fine, 10+17*float64(i), 68, 10+17*float64(i), 88)
		}
	case "edge":
		s.poly(body, 76, 52, 92, 52, 92, 93, 30, 93, 30, 82, 76, 82)
		s.hatch(fine, -45, 5, 76, 52, 92, 52, 92, 93, 30, 93, 30, 82, 76, 82)
	case "moving":
		s.route().arc(84, 102, 40, 196, 344).ink(body)
		s.arc(rope, 84, 102, 40, 197, 343)
		s.turn(fault, 84, 102, 28, 215, 320)
	}
	s.taped(3, 157, y, 12)
	switch a["by"] {
	case "near":
		s.segs(fault, 66, 61, 94, 61)
		s.arrow(fault, 130, 46, 130, 56)
		s.heat(40, 64, 2)
	case "edge":
		s.poly(faultFill, 74, 52, 94, 52, 90, 62, 78, 62)
		s.hatch(fault, -50, 4, 66, 50, 102, 50, 100, 62, 68, 62)
		s.sway(fault, 60, 74, 110-20, 74)
	case "hot":
		s.poly(faultFill, 48, 58, 112, 58, 108, 66, 52, 66)
		s.heat(80, 34, 4)
		s.blob(fault, 46, 54, 80, 50, 114, 54, 112, 64, 80, 66, 48, 64)
	case "moving":
		s.hatch(fault, -50, 4, 62, 52, 106, 52, 102, 62, 66, 62)
		s.hairs(fault, 66, 60, 102, 60, 8, 14, 60)
	}
	if a.is("by", "nothing") {
		s.sway(line, 130, 45, 130, 62)
	}
}

func drawFixing(s *sketch, a args) {
	wall := []float64{120, 4, 134, 4, 134, 92, 120, 92}
	s.poly(body, wall...)
	s.hatch(fine, -45, 5, wall...)
	if a.is("is", "dangling") {
		for i, d := range []float64{0, 9, 18} {
			s.curve(Style{Stroke: Ink, Width: 6}, 3, 20+d, 30, 22+d, 52, 46+d, 60-8*float64(i), 88)
			s.curve(Style{Stroke: Wash, Width: 3.4}, 3, 20+d, 30, 22+d, 52, 46+d, 60-8*float64(i), 86)
		}
		s.taped(3, 26, 29, 14)
		s.clicks(fault, 50, 86, 12, 16, 30, 150, 2)
		s.sway(fault, 76, 62, 104, 62)
		s.circle(hidden, 127, 40, 12)
		return
	}
	sag := 0.
	if a.is("is", "broken") {
		sag = 14
	}
	tube := func(st Style) { s.curve(st, 11, 40, 40, 40+sag*.9, 66, 40+sag, 96, 40+sag*.6, 118, 40, 149, 40) }
	s.poly(void, 119, 27, 135, 27, 135, 53, 119, 53)
	tube(Style{Stroke: Ink, Width: 19})
	tube(Style{Stroke: Wash, Width: 16})
	for x := 14.; x < 114; x += 12 {
		if x < 34 || sag == 0 || x > 90 {
			s.segs(thin, x, 47, x+7, 33)
		}
	}
	gx := 127.
	gst := body
	if a.is("is", "grommet") {
		gx, gst = 92, faultBody
		s.segs(Style{Stroke: Act, Width: 3}, 120, 27, 134, 27, 120, 53, 134, 53)
		s.hatch(faultThin, -50, 4, 122, 31, 133, 31, 133, 49, 122, 49)
		s.arrow(fault, 122, 70, 100, 70)
	}
	s.rect(gst, gx-11, 24, 7, 32, 3)
	s.rect(gst, gx+4, 24, 7, 32, 3)
	s.rect(gst, gx-5, 28, 10, 24, 1)
	s.loomClip(a.is("is", "broken"))
}

func (s *sketch) loomClip(broken bool) {
	s.rect(body, 40, 76, 36, 9, 1)
	if broken {
		s.segs(Style{Stroke: Act, Width: 3}, 47, 76, 44, 70, 69, 76, 72, 69)
		s.at(92, 84, 40, 1, func() { s.arc(Style{Stroke: Act, Width: 3}, 0, 0, 9, 190, 350) })
		s.arrow(fault, 22, 58, 22, 74)
		return
	}
	s.arc(Style{Stroke: Ink, Width: 3.4}, 58, 40, 13, 180, 360)
	s.segs(Style{Stroke: Ink, Width: 3.4}, 45, 40, 50, 76, 71, 40, 66, 76)
}

func drawCable(s *sketch, a args) {
	if a.is("cap", "yes") {
		s.poly(body, 116, 26, 152, 22, 156, 48, 152, 74, 116, 66)
		s.segs(thin, 126, 27, 126, 65, 136, 26, 136, 67)
	}
	to := 157.
	if a.is("cap", "yes") {
		to = 117
	}
	s.rect(rubber, 3, 34, to-3, 26, 0)
	s.line(fine, 6, 39, to-4, 39)
	switch a["cover"] {
	case "rubbed":
		s.poly(faultBody, 50, 34, 104, 34, 98, 40, 56, 40)
		s.hatch(faultThin, -30, 3, 50, 34, 104, 34, 98, 40, 56, 40)
		s.sway(fault, 60, 24, 96, 24)
	case "cut":
		s.poly(faultFill, 62, 31, 76, 31, 71, 50, 68, 50)
		s.rect(void, 88, 33, 18, 28, 0)
		for i := range 6 {
			s.curve(fault, 86, 37+4*float64(i), 94, 35+4*float64(i), 100, 38+4*float64(i), 108, 37+4*float64(i))
		}
		s.drop(oil, 44, 76, 6)
		s.film(oil, 42, 58, 14, 5)
	case "crazed":
		for i := range 10 {
			x := 10 + 10.4*float64(i)
			s.jag(faultThin, x, 35, x+3, 47+10*noise(i)*.6+4, 1.4)
			s.jag(faultThin, x+5, 59, x+3, 50+6*noise(i+5)*.6, 1.4)
		}
	case "tracked":
		s.line(fault, 10, 44, 24, 52, 34, 42, 48, 54, 58, 44, 74, 50, 84, 42, 98, 52, 112, 46)
		s.segs(fault, 34, 42, 42, 38, 58, 44, 64, 58, 84, 42, 90, 38, 24, 52, 20, 58)
		s.crumbs(faultFill, 122, 36, 146, 36, 6, 6, 2)
		s.crumbs(faultFill, 122, 58, 146, 58, 6, 6, 2)
	case "split":
		s.poly(faultFill, 44, 33, 50, 45, 46, 61, 56, 61, 58, 46, 53, 33)
		s.clicks(fault, 50, 24, 2, 12, 210, 330, 4)
		s.poly(faultFill, 82, 42, 104, 36, 108, 52, 88, 56)
		s.heat(94, 30, 2)
	}
	if a.is("cap", "yes") {
		return
	}
	if a.is("clip", "off") {
		s.rect(hidden, 118, 28, 16, 38, 4)
		s.at(126, 84, 14, 1, func() { s.rect(faultBody, -22, -5, 44, 9, 3) })
		s.arrow(fault, 126, 62, 126, 76)
		return
	}
	s.rect(body, 118, 29, 16, 36, 4)
	s.rect(body, 112, 65, 28, 12, 1)
	s.circle(part, 126, 71, 3.4)
}

func drawConnector(s *sketch, a args) {
	if a.is("is", "twisted") {
		for _, y := range []float64{38, 56} {
			s.curve(Style{Stroke: Ink, Width: 9}, 6, y, 30, y, 50, 47)
			s.curve(Style{Stroke: Wash, Width: 6}, 6, y, 30, y, 50, 47)
			s.curve(Style{Stroke: Ink, Width: 9}, 154, y, 130, y, 110, 47)
			s.curve(Style{Stroke: Wash, Width: 6}, 154, y, 130, y, 110, 47)
		}
		for i := range 6 {
			x := 52 + 10*float64(i)
			s.curve(fault, x, 40, x+3, 47, x+8, 54)
			s.curve(fault, x+8, 40, x+5, 47, x, 54)
		}
		s.poly(faultBody, 88, 34, 114, 30, 116, 64, 90, 62)
		s.hatch(faultThin, 70, 5, 88, 34, 114, 30, 116, 64, 90, 62)
		s.poly(faultBody, 112, 60, 122, 78, 114, 82, 104, 62)
		return
	}
	gap := map[string]float64{"half": 15, "unlocked": 4}[a["is"]]
	for i := range 3 {
		y := 40 + 9*float64(i)
		s.segs(Style{Stroke: Ink, Width: 4.4}, 3, y, 34-gap/2, y, 126+gap/2, y, 157, y)
	}
	s.rect(body, 30-gap, 28, 50, 42, 4)
	s.rect(body, 78+gap, 24, 52, 50, 4)
	s.segs(thin, 40-gap, 34, 40-gap, 64, 50-gap, 34, 50-gap, 64, 112+gap, 30, 112+gap, 68)
	if gap > 0 {
		for i := range 3 {
			s.rect(part, 80-gap, 37+9*float64(i), gap*2-2, 4, 0)
		}
	}
	switch a["is"] {
	case "unlocked":
		s.line(Style{Stroke: Act, Width: 3}, 62, 27, 66, 17, 72, 20)
		s.line(hidden, 62, 24, 102, 16)
		s.at(106, 9, -20, 1, func() { s.rect(faultBody, -12, -3, 24, 7, 1) })
		s.arrow(fault, 90, 86, 112, 86)
		return
	case "half":
		s.rect(part, 56-gap, 17, 28, 8, 1)
		s.sway(fault, 65, 86, 95, 86)
		return
	}
	s.poly(body, 60, 28, 60, 17, 100, 13, 106, 24)
	s.line(rope, 96, 24, 96, 17)
	switch a["is"] {
	case "green":
		s.crumbs(faultFill, 80, 28, 80, 70, 16, 3.4, 2.6)
		s.crumbs(faultFill, 72, 32, 72, 68, 8, 3, 1.8)
		s.crumbs(faultFill, 90, 30, 90, 70, 8, 3, 1.8)
		s.crumbs(faultFill, 26, 38, 26, 60, 8, 3, 1.8)
	case "burnt":
		s.blob(faultFill, 66, 44, 74, 34, 88, 36, 98, 30, 102, 48, 96, 62, 84, 60, 76, 68, 68, 58)
		s.route().move(70, 64).cubic(70, 80, 76, 90, 80, 84).cubic(84, 78, 80, 72, 84, 64).close().ink(faultFill)
		s.heat(122, 22, 2)
		s.heat(50, 24, 1)
	}
}
