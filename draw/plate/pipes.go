package plate

// Rigid pipes, hose clips and push-on connectors.

var pipeShapes = []shape{{
	name: "pipe", says: "a length of rigid pipe with a clip", corner: topLeft,
	params: []param{word("of", "steel", "plastic"), oneOf("is", "sound", pipeLooks)},
	draw:   drawPipe,
}, {
	name: "clip", says: "a hose's end on a neck with its clip; the bead within is broken", corner: bottomLeft,
	params: []param{oneOf("is", "right", clipLooks), figure("least"), figure("most")},
	draw:   drawClip,
}, {
	name: "quick", says: "a push-on connector and the pipe in it", corner: bottomLeft,
	params: []param{oneOf("is", "latched", quickLooks)},
	draw:   drawQuick,
}}

const pipeY, pipeHalf = 52., 12.

func drawPipe(s *sketch, a args) {
	st := body
	if a.is("of", "plastic") {
		st = rubber
	}
	switch a["is"] {
	case "kinked", "white":
		s.poly(st, 3, 72, 66, 28, 74, 34, 74, 46, 14, 90)
		s.poly(st, 84, 30, 157, 60, 157, 84, 76, 48, 74, 34)
	case "sagged":
		s.route().move(4, 34).quad(40, 38, 60, 64).quad(80, 84, 100, 64).quad(120, 38, 156, 34).to(156, 56).
			quad(132, 58, 112, 74).quad(80, 98, 48, 74).quad(30, 58, 4, 56).close().ink(st)
	default:
		s.rect(st, 3, pipeY-pipeHalf, 154, 2*pipeHalf, 0)
		if a.is("of", "steel") {
			s.segs(thin, 4, pipeY-6, 156, pipeY-6)
		}
		s.rect(body, 116, pipeY-17, 18, 34, 3)
		s.rect(body, 120, pipeY-32, 10, 16, 0)
		s.metal(104, 4, 42, 17)
	}
	s.seen(pipeLooks, a["is"])
}

var pipeLooks = []look{
	{"rust", func(s *sketch) {
		s.rusty(8, pipeY-10, 98, 20, 26, 1.4)
		s.hatch(faultThin, -50, 9, 8, 41, 108, 41, 108, 63, 8, 63)
	}},
	{"scale", func(s *sketch) {
		s.rusty(102, 36, 46, 32, 34, 3)
		s.poly(faultFill, 84, 38, 114, 32, 112, 42)
		s.poly(faultFill, 88, 66, 114, 72, 112, 62)
		s.poly(faultFill, 152, 36, 134, 33, 136, 42)
		s.crumbs(faultFill, 100, 82, 140, 86, 8, 3, 1.8)
	}},
	{"flakes", func(s *sketch) {
		for i := range 7 {
			x := 10 + 14*float64(i)
			s.poly(faultFill, x, 41+3*noise(i), x+12, 36+3*noise(i+3), x+9, 48+4*noise(i+6))
			s.poly(faultFill, x+2, 64+2*noise(i+4), x+11, 67+2*noise(i+2), x+8, 55+3*noise(i+7))
		}
		s.crumbs(faultFill, 20, 82, 90, 84, 10, 3, 1.8)
	}},
	{"pitted", func(s *sketch) {
		for i, x := range []float64{18, 38, 58, 78, 98} {
			y := pipeY + 5*noise(i+2)
			s.blob(faultFill, x-7, y, x-2, y-6, x+5, y-4, x+7, y+3, x, y+6)
			s.circle(faultFill, x+9, y-7*noise(i+8), 2)
		}
		s.route().move(28, 64).quad(33, 54, 38, 64).ink(fault)
		s.route().move(66, 64).quad(72, 53, 78, 64).ink(fault)
	}},
	{"dent", func(s *sketch) {
		s.route().move(34, 39).quad(52, 41, 56, 51).quad(60, 41, 78, 39).to(78, 37).to(34, 37).close().ink(void)
		s.route().move(34, 40).quad(52, 41, 56, 51).quad(60, 41, 78, 40).ink(fault)
		s.arrow(fault, 56, 20, 56, 42)
	}},
	{"polished", func(s *sketch) {
		s.metal(40, 6, 30, pipeY-pipeHalf-7)
		s.ellipse(faultBody, 55, pipeY-8, 24, 4.5)
		s.glint(fault, 32, pipeY+3, 7)
		s.glint(fault, 76, pipeY+3, 7)
	}},
	{"mark", func(s *sketch) {
		s.metal(40, 6, 30, pipeY-pipeHalf-12)
		s.segs(fault, 42, pipeY-9, 68, pipeY-9, 46, pipeY-4, 64, pipeY-4)
	}},
	{"chafed", func(s *sketch) {
		s.route().move(28, 39).to(82, 39).quad(76, 52, 55, 52).quad(34, 52, 28, 39).close().ink(void)
		s.route().move(28, 40).quad(36, 52, 55, 52).quad(74, 52, 82, 40).quad(78, 62, 55, 62).quad(32, 62, 28, 40).
			close().ink(faultBody)
		s.hatch(faultThin, -40, 4, 30, 44, 55, 52, 80, 44, 72, 59, 55, 61, 38, 59)
		s.metal(40, 6, 30, 42)
		s.sway(fault, 14, 18, 34, 18)
	}},
	{"flat", func(s *sketch) {
		s.rect(void, 24, 38, 66, 10, 0)
		s.segs(fault, 20, 40, 28, 47, 28, 47, 86, 47, 86, 47, 94, 40)
		s.segs(hidden, 28, 40, 86, 40)
		s.hatch(faultThin, -40, 4, 26, 47, 88, 47, 84, 56, 32, 56)
		s.arrow(fault, 56, 22, 56, 38)
	}},
	{"kinked", func(s *sketch) {
		s.segs(fault, 66, 28, 75, 48, 84, 30, 75, 48, 66, 28, 84, 30)
		s.poly(faultFill, 68, 30, 82, 31, 75, 45)
		s.arrow(fault, 75, 76, 75, 56)
	}},
	{"white", func(s *sketch) {
		s.poly(faultBody, 62, 28, 86, 29, 82, 52, 68, 52)
		s.segs(faultThin, 66, 34, 82, 50, 82, 34, 68, 48, 74, 30, 75, 51)
		s.clicks(fault, 75, 30, 6, 14, 220, 320, 4)
	}},
	{"sagged", func(s *sketch) {
		s.curve(fault, 46, 48, 60, 64, 80, 74, 100, 64, 114, 48)
		s.glint(fault, 80, 82, 7)
		s.segs(hidden, 8, 34, 152, 34)
		s.heat(80, 56, 3)
	}},
	{"gnawed", func(s *sketch) { s.nibbled(20, 40, 7) }},
	{"through", func(s *sketch) {
		s.blob(Style{Fill: Paper, Stroke: Act, Width: 2.2}, 36, 50, 46, 43, 60, 44, 72, 50, 62, 60, 46, 60)
		s.blob(dark, 44, 51, 52, 47, 64, 50, 54, 56)
		s.jag(fault, 24, 50, 36, 50, 2)
		s.jag(fault, 72, 50, 88, 52, 2)
		s.drop(fluid, 55, 80, 5.5)
	}},
	{"ferrule", func(s *sketch) {
		s.rect(faultBody, 40, 34, 34, 36, 2)
		s.rect(faultBody, 26, 37, 14, 30, 2)
		s.rect(faultBody, 74, 37, 14, 30, 2)
		s.segs(fault, 40, 45, 74, 45, 40, 59, 74, 59)
		s.segs(faultThin, 26, 46, 40, 46, 26, 58, 40, 58, 74, 46, 88, 46, 74, 58, 88, 58)
	}},
	{"mended", func(s *sketch) {
		s.rect(rubber, 18, 34, 80, 36, 2)
		s.rect(fault, 18, 34, 80, 36, 2)
		for _, x := range []float64{24, 82} {
			s.rect(faultBody, x, 31, 9, 42, 1)
			s.rect(faultFill, x-2, 25, 13, 7, 1)
		}
	}},
}

const clipY = 46.

func drawClip(s *sketch, a args) {
	s.rect(body, 112, clipY-17, 36, 34, 0)
	s.metal(146, 8, 11, 76)
	s.route().move(4, clipY-25).to(56, clipY-25).quad(64, clipY-32, 72, clipY-25).to(118, clipY-25).to(118, clipY+25).
		to(72, clipY+25).quad(64, clipY+32, 56, clipY+25).to(4, clipY+25).close().ink(rubber)
	s.line(hidden, 116, clipY-17, 70, clipY-17, 64, clipY-24, 58, clipY-17, 50, clipY-17, 50, clipY+17, 58, clipY+17,
		64, clipY+24, 70, clipY+17, 116, clipY+17)
	switch a["is"] {
	case "cocked", "bead", "end", "wrong", "missing", "broken", "ear", "opened", "plain", "cuts":
	default:
		s.band(body, 92, 28, true)
	}
	s.seen(clipLooks, a["is"])
	s.clipGap(a["least"], a["most"])
}

// clipGap gives the distance from the clip to the hose's end.
func (s *sketch) clipGap(least, most string) {
	if least == "" && most == "" {
		return
	}
	s.segs(thin, 106, 75, 106, 86, 118, 72, 118, 86)
	s.arrow(thin, 97, 79, 105, 79)
	s.arrow(thin, 127, 79, 119, 79)
	if least == "" || most == "" {
		s.figure(Ink, 58, 92, "", least+most)
		return
	}
	number, unit := cutFigure(least)
	s.figure(Ink, 58, 92, s.show(number, unit)+"–", most)
}

// band draws a clip's band from a left edge, and the worm housing on top.
func (s *sketch) band(st Style, x, half float64, slots bool) {
	s.rect(st, x, clipY-half, 14, 2*half, 1)
	s.rect(st, x-5, clipY-half-9, 26, 10, 2)
	s.rect(st, x+21, clipY-half-7, 6, 6, 0)
	if !slots {
		return
	}
	in := thin
	if st.Stroke == Act {
		in = faultThin
	}
	for i := range 6 {
		y := clipY - half + 7 + 9*float64(i)
		s.segs(in, x+4, y+2, x+10, y-2)
	}
}

var clipLooks = []look{
	{"cocked", func(s *sketch) {
		s.at(99, clipY, 17, 1, func() { s.at(-99, -clipY, 0, 1, func() { s.band(faultBody, 92, 29, true) }) })
		s.segs(hidden, 99, 12, 99, 80)
	}},
	{"bead", func(s *sketch) {
		s.band(faultBody, 57, 31, true)
		s.arrow(fault, 78, 88, 98, 88)
		s.rect(faultDash, 92, clipY-27, 14, 54, 1)
	}},
	{"end", func(s *sketch) {
		s.band(faultBody, 111, 27, true)
		s.arrow(fault, 118, 88, 100, 88)
		s.rect(faultDash, 88, clipY-27, 14, 54, 1)
	}},
	{"wrong", func(s *sketch) {
		s.segs(Style{Stroke: Act, Width: 3}, 98, clipY-26, 98, clipY+26)
		s.curve(fault, 98, 20, 94, 14, 102, 10, 94, 6, 102, 3)
		s.curve(fault, 98, 20, 102, 14, 94, 10, 102, 6, 94, 3)
		s.cross(98, clipY, 13)
	}},
	{"missing", func(s *sketch) {
		s.rect(faultDash, 92, clipY-28, 14, 56, 1)
		s.rect(faultDash, 87, clipY-37, 26, 9, 2)
	}},
	{"rust", func(s *sketch) { s.rusty(90, 10, 20, 62, 16, 1.5) }},
	{"rusted", func(s *sketch) {
		s.rusty(86, 9, 28, 66, 46, 2.6)
		s.route().move(92, 60).quad(98, 66, 92, 72).ink(fault)
		s.crumbs(faultFill, 88, 88, 112, 90, 7, 2, 1.6)
	}},
	{"cuts", func(s *sketch) {
		s.band(faultBody, 92, 19, true)
		s.route().move(78, 21).quad(90, 12, 93, 28).ink(fault)
		s.route().move(120, 21).quad(108, 12, 105, 28).ink(fault)
		s.route().move(78, 71).quad(90, 80, 93, 64).to(105, 64).quad(108, 80, 120, 71).ink(fault)
		s.poly(faultFill, 92, 66, 84, 78, 93, 75)
		s.poly(faultFill, 106, 66, 114, 78, 105, 75)
	}},
	{"stripped", func(s *sketch) {
		s.turn(fault, 116, 14, 11, 140, 420)
		s.rect(faultBody, 87, 9, 26, 10, 2)
		s.segs(fault, 90, 15, 96, 13, 100, 15, 106, 12)
		s.segs(fault, 96, 28, 104, 26, 96, 34, 104, 34)
	}},
	{"ear", func(s *sketch) {
		s.rect(body, 92, clipY-27, 14, 54, 1)
		s.poly(faultBody, 90, clipY-27, 94, 6, 106, 6, 110, clipY-27)
		s.jag(fault, 100, 6, 98, clipY-12, 3)
		s.clicks(fault, 114, 12, 2, 9, -50, 50, 3)
	}},
	{"opened", func(s *sketch) {
		s.rect(faultDash, 88, clipY-34, 22, 68, 3)
		s.rect(faultBody, 92, clipY-34, 5, 68, 1)
		s.rect(faultBody, 100, clipY-34, 5, 68, 1)
		s.sway(fault, 122, clipY-34, 122, clipY-24)
		s.sway(fault, 122, clipY+25, 122, clipY+35)
	}},
	{"broken", func(s *sketch) {
		s.poly(faultBody, 92, 18, 106, 18, 106, 44, 101, 38, 97, 46, 92, 40)
		s.at(10, 6, 5, 1, func() { s.poly(faultBody, 92, 40, 97, 46, 101, 40, 106, 46, 106, 70, 92, 70) })
		s.rect(faultBody, 87, 9, 26, 10, 2)
		s.clicks(fault, 86, 48, 2, 10, 130, 230, 3)
	}},
	{"turns", func(s *sketch) {
		s.route().move(30, 21).quad(14, 46, 30, 71).ink(fault)
		s.head(fault, 30, 71, 60)
		s.head(fault, 30, 21, -60)
		s.segs(fault, 44, 30, 44, 62)
	}},
	{"slack", func(s *sketch) {
		s.rusty(90, 12, 20, 62, 18, 1.6)
		s.sway(fault, 78, 88, 122, 88)
	}},
	{"slotted", func(s *sketch) {
		for i := range 6 {
			y := clipY - 21 + 9*float64(i)
			s.poly(faultFill, 95, y+3, 104, y-3, 104, y, 95, y+6)
			s.segs(fault, 90, y+4, 84, y+6)
		}
	}},
	{"plain", func(s *sketch) {
		s.rect(body, 92, clipY-28, 14, 56, 4)
		s.rect(body, 88, 6, 8, 14, 1)
		s.rect(body, 102, 6, 8, 14, 1)
		s.segs(line, 84, 12, 116, 12)
	}},
}

func drawQuick(s *sketch, a args) {
	x := 0.
	switch a["is"] {
	case "witness":
		x = -10
	case "open":
		x = -26
	}
	s.rect(rubber, 132, 34, 25, 28, 0)
	s.rect(body, 70, 26, 64, 44, 4)
	s.segs(thin, 72, 34, 132, 34, 72, 62, 132, 62)
	s.rect(body, 28+x, 37, 44, 22, 0)
	s.rect(body, 4, 37, 26+x+20, 22, 0)
	s.rect(body, 58+x, 32, 6, 32, 1)
	s.segs(hidden, 72, 37, 112+x, 37, 72, 59, 112+x, 59)
	if !a.is("is", "open") && !a.is("is", "clip") {
		s.latch(body, 0)
	}
	s.seen(quickLooks, a["is"])
}

// latch draws the clip of a connector, its legs about the pipe's collar.
func (s *sketch) latch(st Style, lift float64) {
	s.poly(st, 66, 18-lift, 100, 18-lift, 100, 24-lift, 76, 24-lift, 76, 30-lift, 66, 30-lift)
	s.poly(st, 66, 78+lift, 100, 78+lift, 100, 72+lift, 76, 72+lift, 76, 66+lift, 66, 66+lift)
}

var quickLooks = []look{
	{"dirty", func(s *sketch) {
		s.crumbs(faultFill, 60, 28, 80, 28, 9, 4, 2.4)
		s.crumbs(faultFill, 58, 68, 82, 68, 10, 4, 2.4)
		s.crumbs(faultFill, 66, 36, 66, 60, 9, 3, 2.2)
	}},
	{"play", func(s *sketch) {
		s.sway(fault, 14, 26, 50, 26)
		s.rect(faultDash, 48, 32, 6, 32, 1)
	}},
	{"witness", func(s *sketch) {
		s.rect(faultFill, 56, 37, 12, 22, 0)
		s.arrow(fault, 62, 88, 62, 66)
	}},
	{"open", func(s *sketch) {
		s.latch(faultBody, 8)
		s.sway(fault, 41, 80, 67, 80)
	}},
	{"brown", func(s *sketch) {
		s.hatch(faultThin, -40, 3.4, 72, 27, 132, 27, 132, 69, 72, 69)
		s.heat(102, 24, 2)
	}},
	{"clip", func(s *sketch) {
		s.poly(body, 66, 18, 100, 18, 100, 24, 76, 24, 76, 30, 66, 30)
		s.poly(faultDash, 66, 78, 100, 78, 100, 72, 76, 72, 76, 66, 66, 66)
		s.jag(fault, 84, 15, 86, 27, 2)
		s.at(40, 84, 24, 1, func() { s.poly(faultBody, -8, -4, 8, -4, 8, 3, -1, 3, -2, 7, -8, 7) })
	}},
	{"cracked", func(s *sketch) {
		s.jag(fault, 84, 27, 112, 68, 4)
		s.jag(fault, 98, 46, 124, 40, 3)
		s.poly(faultFill, 82, 26, 92, 26, 90, 36)
	}},
	{"gnawed", func(s *sketch) { s.nibbled(78, 27, 5) }},
}
