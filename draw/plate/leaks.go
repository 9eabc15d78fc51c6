package plate

// Leaks by how wet they are, at whatever leaks.

var leakShapes = []shape{{
	name: "leak", says: "a joint from the side, and how wet it is", corner: bottomLeft,
	params: []param{oneOf("at", "hose", leakPlaces), word("wet", leaks...), word("fluid", coolant, oil, fluid),
		yesNo("exhaust")},
	draw: drawLeak,
}}

// leakPlaces draw what leaks at 96, 38.
var leakPlaces = []look{
	{"crimp", func(s *sketch) {
		s.hoseEnd(3, 90, 26, 11)
		s.rect(body, 78, 12, 28, 28, 2)
		s.segs(thin, 84, 13, 84, 39, 92, 13, 92, 39, 100, 13, 100, 39)
		s.rect(body, 106, 20, 16, 12, 0)
		s.rect(body, 122, 14, 14, 24, 1)
		s.metal(136, 4, 21, 44)
	}},
	{"pipe", func(s *sketch) {
		s.rect(body, 3, 20, 154, 12, 0)
		s.segs(thin, 4, 24, 156, 24)
		s.rect(body, 84, 14, 24, 24, 2)
		s.segs(thin, 85, 20, 107, 20, 85, 31, 107, 31)
		s.rect(body, 108, 17, 9, 18, 0)
		s.metal(142, 4, 15, 46)
	}},
	{"casing", func(s *sketch) {
		s.route().move(10, 3).to(150, 3).to(150, 20).to(10, 20).close().ink(body)
		s.hatch(fine, -45, 6, 10, 3, 150, 3, 150, 20, 10, 20)
		s.route().move(14, 24).to(146, 24).quad(144, 40, 128, 40).to(32, 40).quad(16, 40, 14, 24).close().ink(body)
		s.rect(body, 6, 18, 148, 8, 1)
		s.segs(line, 6, 22, 154, 22)
		for i := range 3 {
			s.hexagon(body, 28+52*float64(i), 31, 4.5)
		}
	}},
	{"filter", func(s *sketch) {
		s.metal(40, 2, 80, 20)
		s.route().move(54, 26).to(106, 26).to(106, 72).quad(106, 84, 94, 84).to(66, 84).quad(54, 84, 54, 72).close().
			ink(body)
		s.rect(rubber, 52, 22, 56, 5, 1)
		s.segs(thin, 64, 40, 64, 78, 74, 40, 74, 80, 84, 40, 84, 80)
	}},
	{"tank", func(s *sketch) {
		s.rect(body, 30, 8, 84, 32, 8)
		s.rect(body, 46, 2, 26, 8, 2)
		s.segs(thin, 31, 24, 113, 24, 36, 15, 46, 15, 36, 33, 46, 33)
		s.rect(rubber, 89, 40, 14, 14, 0)
		s.rect(body, 86, 42, 20, 5, 1)
	}},
	{"cap", func(s *sketch) {
		s.rect(body, 20, 42, 130, 12, 3)
		s.rect(body, 62, 24, 46, 20, 0)
		s.rect(body, 54, 8, 62, 17, 3)
		s.segs(thin, 62, 9, 62, 24, 72, 9, 72, 24, 82, 9, 82, 24, 92, 9, 92, 24, 102, 9, 102, 24)
	}},
	{"core", func(s *sketch) {
		s.rect(body, 10, 3, 140, 18, 6)
		s.rect(body, 6, 20, 148, 8, 1)
		s.rect(body, 14, 28, 132, 22, 0)
		s.hatch(fine, 90, 4, 14, 28, 146, 28, 146, 50, 14, 50)
		for i := range 12 {
			s.segs(line, 11+12.4*float64(i), 20, 11+12.4*float64(i), 28)
		}
	}},
	{"ram", func(s *sketch) {
		s.rect(body, 96, 21, 61, 10, 0)
		s.segs(thin, 97, 24, 156, 24)
		s.rect(body, 8, 12, 80, 28, 2)
		s.segs(thin, 9, 20, 86, 20)
		s.rect(body, 84, 9, 14, 34, 2)
		s.rect(body, 30, 3, 14, 10, 0)
	}},
}

func drawLeak(s *sketch, a args) {
	if !s.seen(leakPlaces, a["at"]) {
		s.hoseEnd(3, 100, 26, 13)
		s.hoseStub(100, 26, 9)
		s.hoseClip(84, 26, 15)
	}
	x, y, down := 96., 42., 50.
	if a.is("at", "filter") {
		x, y, down = 104, 30, 62
	}
	if a.is("at", "cap") || a.is("at", "core") {
		y, down = 46, 46
	}
	const k = 1.25
	if a.on("exhaust") {
		s.rect(body, 3, 74, 154, 17, 0)
		s.segs(thin, 4, 79, 156, 79)
		s.film(a["fluid"], x, y+2, 14, 6)
		s.drop(a["fluid"], x, 66, 5)
		s.film(a["fluid"], x, 76, 12, 4)
		s.heat(x-40, 70, 3)
		s.heat(x+34, 70, 2)
		return
	}
	if a.is("wet", "dry") {
		return
	}
	s.at(x, y, 0, k, func() { s.leak(a["wet"], a["fluid"], 0, 0, down/k-4) })
}
