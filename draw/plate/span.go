package plate

// Belts on their pulleys: how tight a span is, and where the belt runs.

var spanShapes = []shape{{
	name: "span", says: "a span of belt between two pulleys, pressed by a finger", corner: topRight,
	params: []param{word("belt", "firm", "slack", "tight", "missing", "slips", "flaps", "sinks"), word("finger",
		"yes", "no")},
	draw: drawSpan,
}, {
	name: "track", says: "a belt as it runs over a pulley, seen on its edge", corner: topRight,
	params: []param{word("runs", "central", "off", "groove", "away")},
	draw:   drawTrack,
}}

func drawSpan(s *sketch, a args) {
	const lx, rx, y, r = 27., 133., 62., 21.
	for _, x := range []float64{lx, rx} {
		s.circle(body, x, y, r)
		s.circle(thin, x, y, r-5)
		s.circle(part, x, y, 5)
	}
	if a.is("belt", "missing") {
		s.segs(hidden, lx, y-r-3, rx, y-r-3, lx, y+r+3, rx, y+r+3)
		s.arc(hidden, lx, y, r+3, 90, 270)
		s.arc(hidden, rx, y, r+3, -90, 90)
		s.segs(fault, 72, 54, 88, 70, 88, 54, 72, 70)
		return
	}
	dip := map[string]float64{"firm": 5, "slack": 26, "tight": 0, "slips": 2, "flaps": 0, "sinks": 13}[a["belt"]]
	belt := Style{Stroke: Ink, Width: 4}
	top := y - r - 2
	s.arc(belt, lx, y, r+2, 90, 270)
	s.arc(belt, rx, y, r+2, -90, 90)
	s.line(belt, lx, y+r+2, rx, y+r+2)
	bad := belt
	if !a.is("belt", "firm") {
		bad.Stroke = Act
	}
	switch a["belt"] {
	case "flaps":
		for _, d := range []float64{-13, 13} {
			s.route().move(lx, top).cubic(60, top+d, 100, top+d, rx, top).ink(faultDash)
		}
		s.route().move(lx, top).cubic(60, top-6, 100, top+6, rx, top).ink(bad)
		s.sway(fault, 80, top-19, 80, top-7)
		s.sway(fault, 80, top+7, 80, top+20)
	case "slips":
		s.line(belt, lx, top, rx, top)
		for i := range 3 {
			x := lx - 9 + 9*float64(i)
			s.curve(fault, x, 36, x-4, 29, x+4, 21, x, 12)
		}
		s.turn(line, lx, y, 12, 200, 340)
		s.segs(fault, 52, 32, 62, 32, 66, 32, 80, 32, 56, 26, 70, 26)
		s.arc(fault, lx, y, r+2, 200, 290)
	default:
		s.route().move(lx, top).cubic(60, top, 76, top+dip, 80, top+dip).cubic(84, top+dip, 100, top, rx, top).
			ink(bad)
		if dip > 6 {
			s.line(hidden, lx, top, rx, top)
		}
	}
	if a.is("belt", "sinks") {
		s.circle(faultDash, rx-12, y, r)
		s.arrow(fault, rx+4, y, rx-17, y)
	}
	if a.is("belt", "tight") {
		s.clicks(fault, 80, top+4, 6, 13, 30, 150, 3)
		s.arrow(fault, 56, 54, 50, 54)
		s.segs(fault, 50, 50, 50, 58, 110, 50, 110, 58)
		s.arrow(fault, 104, 54, 110, 54)
	}
	if a.is("finger", "yes") && !a.is("belt", "flaps") && !a.is("belt", "slips") {
		s.finger(80, top+dip-2, top+dip-4, 0)
	}
}

func drawTrack(s *sketch, a args) {
	const left, right, top, low = 52., 108., 28., 76.
	s.rect(part, 70, 78, 20, 14, 0)
	s.rect(body, left, top, right-left, low-top, 3)
	for i := range 6 {
		x := left + 3 + 10*float64(i)
		s.line(thin, x, top, x, low)
	}
	shift := map[string]float64{"central": 0, "off": 5, "groove": 10, "away": 36}[a["runs"]]
	x0, w := 55+shift, 50.
	st, rib := rubber, thin
	if shift > 0 {
		st = Style{Fill: Wash, Stroke: Act, Width: 2}
	}
	if a.is("runs", "away") {
		s.route().move(x0, 3).to(x0+w, 3).cubic(x0+w, 40, x0+w+10, 60, x0+w+4, 93).to(x0-2, 93).cubic(x0, 60, x0,
			40, x0, 3).close().
			ink(st)
	} else {
		s.poly(st, x0, 3, x0+w, 3, x0+w, 93, x0, 93)
	}
	for i := range 4 {
		x := x0 + 10*float64(i+1)
		s.line(rib, x, 4, x, 92)
	}
	s.line(hidden, 80, 3, 80, 93)
	switch a["runs"] {
	case "off":
		s.sway(fault, 114, 52, 142, 52)
		s.line(hidden, 55, 3, 55, 93)
		s.line(hidden, 105, 3, 105, 93)
	case "groove":
		s.hatch(fault, -50, 4, right, 3, x0+w, 3, x0+w, 93, right, 93)
		s.line(fault, right, 3, right, 93)
		s.line(hidden, 55, 3, 55, 93)
		s.arrow(fault, 120, 52, 144, 52)
	case "away":
		s.line(hidden, 55, 3, 55, 93)
		s.line(hidden, 105, 3, 105, 93)
		s.hatch(faultThin, -50, 4, right, 3, x0+w, 3, x0+w, 93, right, 93)
		s.line(fault, right, top, right, low)
		s.arrow(fault, 12, 52, 44, 52)
	}
}
