package plate

// Adjusters and pumps.

var slotShapes = []shape{{
	name: "slot", says: "a slotted adjuster with its lock bolt", corner: topRight,
	params: []param{word("left", "much", "little", "none"), word("bolt", "tight", "loose", "rounded"),
		word("bracket", "whole", "cracked", "through"), word("holds", "yes", "no")},
	draw: drawSlot,
}, {
	name: "pump", says: "a belt-driven pump from the side, with the hole below its shaft", corner: topLeft,
	params: []param{word("hole", leaks...), word("joint", leaks...), word("belt", "dry", "wet"), word("fluid",
		coolant, fluid)},
	draw: drawPump,
}}

func drawSlot(s *sketch, a args) {
	s.rect(body, 8, 30, 124, 36, 18)
	s.rect(part, 128, 34, 24, 28, 2)
	s.hatch(fine, -45, 5, 128, 34, 152, 34, 152, 62, 128, 62)
	s.rect(line, 22, 41, 92, 14, 7)
	x := map[string]float64{"much": 82, "little": 46, "none": 29}[a["left"]]
	switch a["left"] {
	case "much":
		s.arrow(line, 68, 80, 30, 80)
	case "little":
		s.arrow(fault, 36, 80, 26, 80)
		s.segs(fault, 22, 74, 22, 86)
	case "none":
		s.segs(Style{Stroke: Act, Width: 3}, 22, 34, 22, 62)
		s.clicks(fault, 22, 48, 14, 20, 130, 230, 3)
	}
	s.circle(body, x, 48, 14)
	switch a["bolt"] {
	case "rounded":
		s.blob(faultBody, x-8, 45, x-4, 40, x+3, 39.5, x+8, 44, x+8, 51, x+3, 56.5, x-4, 56, x-8, 51)
		s.segs(faultThin, x-4, 44, x+5, 52, x+1, 43, x+6, 47, x-6, 49, x-1, 54)
	case "loose":
		s.hexagon(hidden, x, 48, 9)
		s.at(x, 48, 26, 1, func() { s.hexagon(faultBody, 0, 0, 9) })
		s.turn(fault, x, 48, 23, -30, -150)
	default:
		s.hexagon(body, x, 48, 9)
	}
	switch a["bracket"] {
	case "cracked":
		s.jag(fault, 120, 30, 117, 48, 2)
		s.poly(faultFill, 116, 29, 124, 29, 119, 38)
	case "through":
		s.poly(void, 116, 28, 124, 28, 121, 48, 125, 68, 116, 68, 118, 48)
		s.jag(fault, 116, 30, 116, 66, 3)
		s.jag(fault, 124, 31, 124, 65, 3)
	}
	if a.is("holds", "no") {
		s.circle(faultDash, x-26, 48, 14)
		s.arrow(fault, x-2, 80, x-34, 80)
	}
}

func drawPump(s *sketch, a args) {
	what := a["fluid"]
	s.rect(body, 8, 10, 22, 62, 4)
	s.hatch(fine, -45, 5, 8, 10, 30, 10, 30, 72, 8, 72)
	s.rect(body, 30, 14, 8, 54, 1)
	s.poly(body, 38, 18, 62, 26, 88, 26, 88, 54, 62, 54, 38, 64)
	s.rect(part, 88, 35, 14, 10, 0)
	s.rect(body, 102, 8, 34, 64, 2)
	for i := range 3 {
		s.line(thin, 110+9*float64(i), 9, 110+9*float64(i), 71)
	}
	s.circle(dark, 76, 54, 3)
	s.segs(thin, 34, 20, 34, 62)
	if !a.is("hole", "dry") {
		s.leak(a["hole"], what, 76, 58, 33)
	}
	if !a.is("joint", "dry") {
		s.leak(a["joint"], what, 36, 64, 26)
	}
	if a.is("belt", "wet") {
		s.film(what, 119, 24, 14, 7)
		s.film(what, 117, 52, 13, 8)
		s.drop(what, 110, 83, 5.4)
		s.drop(what, 128, 83, 5.4)
		s.segs(faultThin, 140, 30, 150, 26, 140, 40, 152, 40, 140, 50, 150, 54)
	}
}
