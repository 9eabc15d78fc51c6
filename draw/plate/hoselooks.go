package plate

// hoseLooks are what can be wrong with a hose, drawn over the sound one or,
// where it has another shape, in its place.
var hoseLooks = []look{
	{"polished", func(s *sketch) {
		s.rubsOn(50, hoseY-hoseHalf)
		s.ellipse(faultBody, 50, 36, 24, 6)
		s.glint(fault, 50, 36, 5)
		s.glint(fault, 32, 47, 7)
	}},
	{"rubbed", func(s *sketch) {
		s.rubsOn(50, hoseY-hoseHalf+5)
		s.route().move(24, 29).quad(50, 43, 76, 29).to(76, 27).to(24, 27).close().ink(void)
		s.metal(36, 6, 28, 29)
		s.route().move(24, 30).quad(50, 44, 76, 30).quad(70, 54, 50, 54).quad(30, 54, 24, 30).close().ink(faultBody)
		s.hatch(faultThin, -40, 4, 25, 32, 50, 39, 75, 32, 68, 48, 50, 53, 32, 48)
		s.metal(36, 6, 28, 29)
		s.sway(fault, 72, 14, 100, 14)
	}},
	{"oily", func(s *sketch) {
		s.film(oil, 34, 40, 15, 6)
		s.film(oil, 68, 55, 17, 6)
		s.film(oil, 76, 38, 8, 4)
	}},
	{"gloss", func(s *sketch) {
		for i, x := range []float64{26, 50, 74} {
			lump := []float64{x - 14, 36, x, 24 - float64(i%2), x + 14, 36, x + 12, 62, x, 72, x - 12, 62}
			s.blob(faultBody, lump...)
			s.hatch(faultThin, 0, 7, lump...)
			s.drop(oil, x, 84, 5)
		}
		s.glint(fault, 32, 42, 9)
		s.glint(fault, 68, 50, 9)
	}},
	{"swollen", func(s *sketch) {
		s.curve(fault, 56, 27, 67, 22, 78, 18, 89, 18, 97, 25)
		s.curve(fault, 56, 69, 67, 74, 78, 78, 89, 78, 97, 71)
		s.segs(hidden, 52, 30, 92, 30, 52, 66, 92, 66)
		s.arrow(fault, 78, 44, 78, 24)
		s.arrow(fault, 78, 52, 78, 72)
	}},
	{"crazed", func(s *sketch) { s.crazed(22, 32, 66, 32, 16) }},
	{"cracked", func(s *sketch) {
		s.jag(fault, 24, 36, 86, 42, 4)
		s.jag(fault, 44, 39, 52, 62, 3)
		s.jag(fault, 66, 41, 74, 60, 3)
		s.poly(faultFill, 43, 35, 50, 42, 57, 38)
	}},
	{"scorched", func(s *sketch) {
		s.route().move(20, 66).quad(30, 44, 44, 54).quad(56, 40, 66, 54).quad(78, 46, 86, 66).close().ink(faultFill)
		for i, x := range []float64{30, 48, 70} {
			s.circle(faultBody, x, 67+float64(i%2), 5)
		}
		s.heat(54, 94, 4)
	}},
	{"gnawed", func(s *sketch) { s.nibbled(20, 30, 6) }},
	{"cords", func(s *sketch) { s.crossed(28, 34, 48, 28) }},
	{"bulge", func(s *sketch) {
		s.curve(fault, 40, 29, 50, 20, 56, 12, 66, 11, 76, 21, 84, 29)
		s.hatch(faultThin, -50, 5, 45, 30, 56, 14, 67, 13, 78, 30)
		s.segs(hidden, 38, 30, 84, 30)
	}},
	{"blister", func(s *sketch) {
		s.curve(fault, 54, 29, 67, 18, 79, 18, 92, 29)
		s.curve(fault, 24, 67, 34, 75, 45, 75, 55, 67)
		s.hatch(faultThin, -50, 4, 58, 30, 67, 20, 79, 20, 88, 30)
		s.hatch(faultThin, -50, 4, 27, 66, 34, 73, 45, 73, 52, 66)
	}},
	{"split", func(s *sketch) {
		s.route().move(22, 50).quad(54, 30, 86, 46).quad(54, 60, 22, 50).close().ink(faultFill)
		s.segs(Style{Stroke: Paper, Width: 1.4}, 40, 46, 44, 51, 52, 43, 55, 50, 64, 43, 66, 47)
		s.segs(fault, 14, 50, 22, 50, 86, 46, 93, 45)
	}},
	{"splitend", func(s *sketch) {
		s.poly(faultFill, 112, 42, 66, 49, 112, 56)
		s.segs(fault, 66, 49, 52, 48)
		s.clicks(fault, 112, 49, 14, 22, -40, 40, 4)
	}},
	{"sludge", func(s *sketch) {
		s.route().arc(13, 48, 12, 20, 160).close().ink(faultFill)
		s.blob(faultFill, 10, 58, 22, 56, 40, 60, 60, 62, 40, 66, 16, 66)
		s.drop(oil, 12, 84, 5.5)
	}},
	{"iced", func(s *sketch) {
		for _, x := range []float64{20, 46, 72} {
			s.clicks(fault, x, 48, 0, 12, 0, 300, 6)
			s.clicks(faultThin, x, 48, 8, 12, 15, 315, 6)
		}
	}},
	{"smoke", func(s *sketch) {
		s.jag(fault, 44, 44, 60, 50, 3)
		for i, x := range []float64{40, 52, 64} {
			y := 24 - 5*float64(i%2)
			s.blob(faultBody, x-10, y+4, x-6, y-6, x+5, y-7, x+11, y+2, x+3, y+8)
		}
	}},
	{"belt", func(s *sketch) {
		s.arc(line, 40, 94, 20, 180, 360)
		s.poly(dark, 6, 66, 90, 66, 90, 73, 6, 73)
		s.arrow(fault, 92, 82, 120, 82)
		s.clicks(fault, 50, 66, 8, 18, 200, 340, 5)
	}},
	{"off", func(s *sketch) {
		s.at(2, 14, 6, .8, func() {
			s.profile(rubber, even, even)
			s.hoseClip(94, hoseY, 20)
			s.ellipse(rubber, hoseTo, hoseY, 5, hoseHalf)
			s.ellipse(part, hoseTo, hoseY, 3, hoseHalf*.68)
		})
		s.rect(body, 128, 35, 18, 26, 0)
		s.rect(body, 122, 32, 6, 32, 2)
		s.metal(146, 22, 11, 52)
		s.sway(fault, 98, 20, 118, 26)
	}},
	{"slipped", func(s *sketch) {
		s.rect(body, 84, 35, 62, 26, 0)
		s.metal(146, 22, 11, 52)
		s.hoseEnd(6, 88, hoseY, hoseHalf)
		s.hoseClip(68, hoseY, 20)
		s.segs(hidden, 112, 30, 112, 66)
		s.sway(fault, 90, 40, 110, 40)
		s.segs(fault, 88, 30, 88, 66)
	}},
	{"kinked", func(s *sketch) {
		s.poly(rubber, 4, 64, 58, 20, 70, 30, 70, 36, 22, 84)
		s.poly(rubber, 80, 20, 112, 30, 112, 66, 72, 37, 70, 28)
		s.hoseStub(hoseTo, hoseY, 13)
		s.segs(fault, 58, 20, 71, 38, 80, 20, 70, 38, 58, 20, 80, 20)
		s.poly(faultFill, 63, 24, 76, 24, 70, 36)
		s.arrow(fault, 70, 62, 70, 42)
		s.hoseClip(96, hoseY, 20)
	}},
	{"flat", func(s *sketch) {
		s.segs(fault, 44, 44, 68, 44, 44, 52, 68, 52)
		s.curve(fault, 30, 33, 45, 43, 56, 44, 68, 43, 84, 33)
		s.curve(fault, 30, 63, 45, 53, 56, 52, 68, 53, 84, 63)
	}},
	{"sucked", func(s *sketch) {
		s.curve(fault, 30, 33, 45, 43, 56, 44, 68, 43, 84, 33)
		s.curve(fault, 30, 63, 45, 53, 56, 52, 68, 53, 84, 63)
		for _, x := range []float64{44, 68} {
			s.arrow(fault, x, 14, x, 38)
			s.arrow(fault, x, 82, x, 58)
		}
	}},
	{"balloons", func(s *sketch) {
		s.curve(fault, 26, 29, 45, 20, 56, 15, 68, 20, 86, 29)
		s.curve(fault, 26, 67, 45, 76, 56, 81, 68, 76, 86, 67)
		for _, x := range []float64{46, 67} {
			s.arrow(fault, x, 40, x, 24)
			s.arrow(fault, x, 56, x, 72)
		}
	}},
	{"taut", func(s *sketch) {
		s.curve(hidden, 14, 66, 45, 86, 80, 86, 110, 66)
		s.arrow(fault, 50, 48, 22, 48)
		s.arrow(fault, 60, 48, 88, 48)
		s.segs(fault, 30, 38, 84, 38, 30, 58, 84, 58)
	}},
	{"sags", func(s *sketch) {
		s.curve(fault, 22, 33, 45, 47, 60, 51, 78, 46, 100, 31)
		s.curve(fault, 22, 68, 45, 74, 60, 75, 78, 73, 100, 68)
		s.heat(38, 94, 2)
		s.heat(72, 94, 2)
	}},
	{"soft", func(s *sketch) {
		s.curve(fault, 40, 31, 52, 48, 62, 50, 72, 44, 82, 31)
		s.finger(61, 48, 44, 0)
	}},
	{"sticky", func(s *sketch) {
		s.finger(58, 20, 18, 0)
		for i := range 5 {
			d := float64(i) - 2
			s.curve(fault, 58+d*2.6, 17, 58+d*1.6, 22, 58+d*2.6, 27, 58+d*5, 31)
		}
		s.blob(faultFill, 38, 33, 58, 28, 78, 33, 74, 40, 58, 42, 42, 40)
	}},
	{"hard", func(s *sketch) {
		s.finger(58, 30, 28, 0)
		s.segs(fault, 38, 30, 80, 30)
		s.clicks(fault, 58, 30, 11, 20, 195, 345, 4)
		s.glint(fault, 32, 46, 9)
		s.glint(fault, 76, 54, 9)
	}},
	{"layers", func(s *sketch) {
		s.ellipse(faultBody, 13, 48, 9, 26)
		s.ellipse(faultBody, 13, 48, 5, 14)
		s.blob(faultFill, 10, 62, 20, 58, 34, 62, 28, 70, 16, 68)
		s.jag(fault, 22, 40, 60, 40, 2)
		s.segs(fault, 22, 36, 58, 36, 22, 44, 52, 44)
	}},
	{"rusty", func(s *sketch) {
		s.rusty(92, 28, 26, 40, 22, 2.2)
		s.rusty(118, 36, 26, 24, 16, 2)
	}},
	{"spliced", func(s *sketch) {
		s.rect(void, 44, 27, 24, 42, 0)
		s.rect(faultBody, 32, 36, 48, 24, 0)
		s.profileEnds(40, 72)
		for _, x := range []float64{27, 76} {
			s.rect(faultBody, x, 26, 8, 44, 1)
			s.rect(faultFill, x-2, 21, 12, 6, 1)
		}
	}},
	{"blocked", func(s *sketch) {
		s.ellipse(faultFill, 13, 48, 6, 18)
		s.blob(faultFill, 14, 34, 36, 36, 50, 42, 44, 54, 30, 60, 14, 62)
		s.arrow(fault, 84, 48, 60, 48)
		s.segs(fault, 56, 38, 56, 58)
	}},
	{"layered", func(s *sketch) {
		s.segs(Style{Stroke: Act, Width: 6}, 10, 33, 90, 33)
		for i := range 6 {
			s.circle(faultFill, 20+12*float64(i), 38+2*noise(i), 3)
		}
		s.finger(56, 26, 24, 0)
	}},
}

// rubsOn draws what lies against a hose from above, its foot at x, y.
func (s *sketch) rubsOn(x, y float64) { s.metal(x-14, 6, 28, y-6) }

// profileEnds draws the two cut ends of a hose with a gap between them.
func (s *sketch) profileEnds(x0, x1 float64) {
	s.segs(line, x0, 30, x0, 66, x1, 30, x1, 66)
}

// cross strikes something out.
func (s *sketch) cross(x, y, r float64) {
	st := fault
	st.Width = 3.4
	s.segs(st, x-r, y-r, x+r, y+r, x-r, y+r, x+r, y-r)
}
