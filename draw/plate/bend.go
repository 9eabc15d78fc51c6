package plate

import "math"

// Hoses bent by hand, and lines on their way along a wall.

var bendShapes = []shape{{
	name: "bend", says: "a hose bent into an arch by two hands, or laid in one", corner: topRight,
	params: []param{oneOf("is", "supple", bendLooks), yesNo("laid")},
	draw:   drawBend,
}, {
	name: "path", says: "a line along a wall in its clips, from the side", corner: bottomLeft,
	params: []param{word("of", "hose", "pipe"), oneOf("is", "held", pathLooks)},
	draw:   drawPath,
}}

const bendX, bendY, bendOut, bendIn = 80., 98., 72., 46.

func drawBend(s *sketch, a args) {
	switch a["is"] {
	case "stiff", "hard":
		s.route().arc(bendX, bendY, bendOut, 205, 335).ink(hidden)
		s.route().move(8, 46).quad(80, 26, 152, 46).to(152, 72).quad(80, 52, 8, 72).close().ink(rubber)
	case "soft":
		s.route().move(12, 70).quad(30, 34, 78, 30).quad(98, 30, 112, 52).quad(120, 38, 128, 38).to(150, 66).to(128,
			80).quad(122, 66, 112, 60).quad(96, 56, 80, 56).quad(50, 58, 36, 80).close().ink(rubber)
	default:
		s.route().arc(bendX, bendY, bendOut, 205, 335).arc(bendX, bendY, bendIn, 335, 205).close().ink(rubber)
	}
	if !a.on("laid") {
		s.turn(line, 24, 70, 16, 120, 200)
		s.turn(line, 136, 70, 16, 60, -20)
	}
	s.seen(bendLooks, a["is"])
}

// spokes draws strokes across an arch's outer side, at angles, between radii.
func (s *sketch) spokes(st Style, from, to float64, n int, r0, r1 float64) {
	s.clicks(st, bendX, bendY, r0, r1, from, to, n)
}

// arched draws the part of an arch that is swollen.
func (s *sketch) arched(st Style) {
	var out, in []float64
	for i := range 7 {
		sin, cos := math.Sincos((-124 + 68*float64(i)/6) * math.Pi / 180)
		by := 11 * math.Sin(math.Pi*float64(i)/6)
		out = append(out, bendX+(bendOut+by)*cos, bendY+(bendOut+by)*sin)
		in = append([]float64{bendX + (bendIn-by)*cos, bendY + (bendIn-by)*sin}, in...)
	}
	r, back := s.spline(out, false), s.spline(in, false)
	back.segs[0].Op = Line
	r.segs = append(r.segs, back.segs...)
	if st.Fill != None {
		st.Stroke = None
	}
	r.ink(st)
}

var bendLooks = []look{
	{"stiff", func(s *sketch) {
		s.arrow(fault, 80, 18, 80, 34)
		s.segs(fault, 62, 34, 98, 34)
	}},
	{"hard", func(s *sketch) {
		s.glint(fault, 40, 54, 9)
		s.glint(fault, 118, 54, 9)
		s.clicks(fault, 80, 36, 4, 18, 200, 340, 5)
		s.jag(fault, 80, 37, 84, 58, 3)
	}},
	{"fine", func(s *sketch) { s.spokes(fault, 240, 300, 9, bendOut-7, bendOut-1) }},
	{"deep", func(s *sketch) {
		for i := range 5 {
			s.at(bendX, bendY, -32+16*float64(i), 1, func() {
				s.poly(faultBody, -4.5, -bendOut, 4.5, -bendOut, 0, -bendOut+17)
				s.segs(faultThin, -4, -bendOut+9, 4, -bendOut+14, -4, -bendOut+14, 4, -bendOut+9)
			})
		}
	}},
	{"cracks", func(s *sketch) {
		for i := range 5 {
			s.at(bendX, bendY, -32+16*float64(i), 1, func() {
				s.poly(faultFill, -3.4, -bendOut-.5, 3.4, -bendOut-.5, 0, -bendOut+14)
			})
		}
	}},
	{"crazed", func(s *sketch) { s.crazed(48, 30, 64, 18, 13) }},
	{"ozone", func(s *sketch) {
		s.spokes(fault, 234, 306, 9, bendIn+9, bendOut-2)
		s.spokes(faultThin, 238.5, 301.5, 8, bendIn+15, bendOut-7)
	}},
	{"sticky", func(s *sketch) {
		s.arc(Style{Stroke: Act, Width: 7}, bendX, bendY, bendOut-3, 230, 310)
		s.finger(80, 20, 18, 0)
		s.segs(fault, 76, 19, 73, 26, 80, 20, 80, 26, 84, 19, 87, 26)
	}},
	{"chafed", func(s *sketch) {
		s.route().move(56, 30).to(104, 30).quad(98, 46, 80, 46).quad(62, 46, 56, 30).close().ink(faultBody)
		s.hatch(faultThin, -40, 4, 57, 31, 103, 31, 97, 41, 80, 45, 63, 41)
		s.metal(66, 6, 28, 22)
		s.sway(fault, 102, 14, 128, 14)
	}},
	{"swollen", func(s *sketch) {
		s.arched(rubber)
		s.arched(fault)
		s.route().arc(bendX, bendY, bendOut, 242, 298).ink(hidden)
		s.arrow(fault, 80, 36, 80, 18)
		s.arrow(fault, 80, 44, 80, 60)
	}},
	{"scorched", func(s *sketch) {
		s.route().move(50, 33).quad(64, 42, 72, 38).quad(82, 50, 92, 40).quad(100, 42, 110, 33).
			arc(bendX, bendY, bendOut, -65, -115).close().ink(faultFill)
		s.heat(80, 22, 4)
	}},
	{"cords", func(s *sketch) { s.crossed(58, 29, 44, 20) }},
	{"soft", func(s *sketch) {
		s.curve(fault, 96, 32, 106, 40, 112, 54, 118, 44, 126, 37)
		s.arrow(fault, 112, 24, 112, 46)
	}},
}

const pathY = 40.

// lay draws a line through points, as thick as it is.
func (s *sketch) lay(of string, pts ...float64) {
	half, tone := 7., Wash
	if of == "pipe" {
		half, tone = 4.5, Paper
	}
	s.curve(Style{Stroke: Ink, Width: 2*half + 1.6}, pts...)
	s.curve(Style{Stroke: tone, Width: 2*half - 1.6}, pts...)
	if of == "pipe" {
		return
	}
	s.curve(thin, pts...)
}

// pclip draws a clip that hangs a line from the wall.
func (s *sketch) pclip(x float64) {
	s.rect(body, x-4, 15, 8, 14, 0)
	s.rect(body, x-6, 28, 12, 24, 4)
	s.circle(dark, x, 22, 1.8)
}

// pathWays are lines that run otherwise than straight through their clips.
var pathWays = map[string][]float64{
	"hanging":   {14, 40, 36, 40, 60, 58, 82, 74, 106, 58, 126, 40, 146, 40},
	"unclipped": {14, 40, 36, 40, 60, 56, 80, 64, 100, 56, 126, 40, 146, 40},
	"kinked":    {14, 40, 40, 40, 70, 44, 80, 66, 90, 44, 120, 40, 146, 40},
}

func drawPath(s *sketch, a args) {
	is := a["is"]
	s.metal(3, 3, 154, 13)
	way, bent := pathWays[is]
	if !bent {
		way = []float64{14, pathY, 50, pathY, 110, pathY, 146, pathY}
	}
	s.lay(a["of"], way...)
	s.pclip(30)
	if !bent && is != "missing" && is != "bare" && is != "taut" && is != "shut" {
		s.pclip(80)
	}
	s.pclip(130)
	s.seen(pathLooks, is)
}

var pathLooks = []look{
	{"missing", func(s *sketch) {
		s.rect(faultDash, 74, 15, 12, 36, 4)
		s.circle(fault, 80, 10, 4)
	}},
	{"hanging", func(s *sketch) {
		s.circle(fault, 80, 10, 4)
		s.rect(faultDash, 74, 18, 12, 30, 4)
		s.metal(52, 83, 60, 10)
		s.arrow(fault, 120, 58, 120, 80)
		s.segs(fault, 66, 83, 98, 83)
	}},
	{"loose", func(s *sketch) {
		s.curve(faultDash, 40, 40, 60, 54, 80, 58, 100, 54, 120, 40)
		s.curve(faultDash, 40, 38, 60, 28, 72, 24)
		s.sway(fault, 80, 66, 80, 90)
	}},
	{"moving", func(s *sketch) {
		s.arc(body, 80, 98, 40, 205, 335)
		s.arc(rope, 80, 98, 44, 206, 334)
		s.turn(fault, 80, 98, 28, 230, 310)
		s.clicks(fault, 80, 52, 10, 18, 20, 160, 2)
		s.segs(fault, 64, 51, 70, 46, 96, 51, 90, 46)
	}},
	{"hot", func(s *sketch) {
		s.rect(body, 4, 70, 152, 22, 0)
		s.segs(thin, 5, 76, 155, 76)
		s.heat(54, 67, 2)
		s.heat(106, 67, 2)
	}},
	{"edge", func(s *sketch) {
		s.metal(42, 50, 24, 43)
		s.segs(fault, 44, 48, 64, 48)
		s.clicks(fault, 54, 47, 9, 16, 160, 200, 2)
		s.clicks(fault, 54, 47, 9, 16, -20, 20, 2)
	}},
	{"rubbing", func(s *sketch) {
		s.metal(42, 50, 24, 43)
		s.poly(faultFill, 42, 46, 66, 46, 60, 40, 48, 40)
		s.sway(fault, 74, 66, 100, 66)
		s.crumbs(faultFill, 72, 84, 84, 88, 5, 3, 1.5)
		s.crumbs(faultFill, 34, 88, 26, 84, 4, 3, 1.5)
	}},
	{"twisted", func(s *sketch) {
		for x := 40.; x < 120; x += 9 {
			if x > 70 && x < 90 {
				continue
			}
			s.segs(fault, x, pathY+7, x+6, pathY-7)
		}
		s.turn(fault, 54, 40, 20, 20, 160)
		s.turn(fault, 106, 40, 20, 160, 20)
	}},
	{"taut", func(s *sketch) {
		s.curve(hidden, 36, 48, 60, 64, 80, 68, 100, 64, 124, 48)
		s.arrow(fault, 70, 62, 34, 62)
		s.arrow(fault, 90, 62, 126, 62)
		s.segs(fault, 40, 36, 120, 36, 40, 44, 120, 44)
	}},
	{"wheel", func(s *sketch) {
		s.arc(Style{Fill: Paper, Stroke: Ink, Width: 1.6}, 80, 108, 58, 195, 345)
		for i := range 9 {
			s.clicks(line, 80, 108, 50, 58, 210+15*float64(i), 211+15*float64(i), 1)
		}
		s.arc(thin, 80, 108, 50, 200, 340)
		s.segs(fault, 68, 49, 92, 49)
		s.clicks(fault, 80, 52, 15, 22, 165, 180, 2)
		s.clicks(fault, 80, 52, 15, 22, 0, 15, 2)
		s.turn(fault, 80, 108, 36, 240, 300)
	}},
	{"shut", func(s *sketch) {
		s.poly(void, 64, 31, 96, 31, 96, 49, 64, 49)
		s.route().move(62, 33).quad(74, 40, 80, 40).quad(86, 40, 98, 33).ink(fault)
		s.route().move(62, 47).quad(74, 41, 80, 41).quad(86, 41, 98, 47).ink(fault)
		s.arrow(fault, 80, 62, 80, 46)
		s.arrow(fault, 80, 21, 80, 35)
	}},
	{"pinched", func(s *sketch) {
		s.rusty(70, 17, 20, 14, 14, 2)
		s.rusty(70, 48, 20, 8, 9, 2)
		s.poly(faultFill, 70, 31, 90, 31, 84, 38, 76, 38)
		s.poly(faultFill, 70, 49, 90, 49, 84, 42, 76, 42)
		s.arrow(fault, 80, 74, 80, 60)
	}},
	{"kinked", func(s *sketch) {
		s.segs(fault, 72, 48, 84, 62, 88, 48, 76, 62)
		s.arrow(fault, 80, 90, 80, 74)
	}},
	{"unclipped", func(s *sketch) {
		s.rect(faultBody, 76, 15, 8, 14, 0)
		s.arc(fault, 80, 38, 9, -150, -390)
		s.arrow(fault, 100, 84, 86, 74)
	}},
	{"bare", func(s *sketch) {
		s.rect(faultBody, 76, 15, 8, 12, 0)
		s.rect(fault, 71, 26, 18, 28, 6)
		s.segs(fault, 76, 54, 76, 47, 84, 54, 84, 47)
		s.at(104, 76, 20, 1, func() {
			s.rect(rubber, -12, -6, 24, 12, 4)
			s.cross(0, 0, 7)
		})
	}},
	{"trap", func(s *sketch) {
		s.rusty(66, 24, 28, 34, 34, 2.3)
		s.crumbs(faultFill, 74, 66, 90, 84, 6, 4, 1.7)
	}},
}
