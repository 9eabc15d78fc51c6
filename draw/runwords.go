package draw

import (
	"math"
	"strconv"
	"strings"
)

// caption says how to read the drawing.
func (s *sheet) caption() string {
	way := "clockwise"
	if s.r.Anticlockwise {
		way = "anticlockwise"
	}
	scale := "Pulleys to scale; belt drawn thicker than it is"
	if s.r.Thickness*s.k >= s.thick-.01 {
		scale = "To scale"
	}
	return sentence(
		"Seen from the front of the engine; pulleys on the ribs turn "+way,
		"The heavy line is the ribbed side of the belt",
		"Double rims carry the ribs, single rims the back; ticks in the rim show where the belt arrives and leaves, "+
			"the degrees its wrap",
		"Figures along the belt are span lengths in mm",
		s.travelWords(), scale)
}

func (s *sheet) travelWords() string {
	t := s.r.Tensioner
	if t == nil {
		return ""
	}
	unit := "°"
	if t.Slides {
		unit = " mm"
	}
	return "Broken outlines show the tensioner at its stops: " + figure(math.Abs(t.Low),
		0) + unit + " one way, " + figure(t.High, 0) + unit + " the other"
}

// describe puts the drawing in words for who can't see it.
func (s *sheet) describe() string {
	var parts []string
	n := len(s.r.Pulleys)
	for i, p := range s.r.Pulleys {
		to := s.r.Pulleys[(i+1)%n].Number
		parts = append(parts, strconv.Itoa(p.Number)+" "+p.Name+" ("+touches(p)+", wrap "+degrees(s.wrap(i))+", "+
			figure(s.spanLength(i), 0)+" mm to "+strconv.Itoa(to)+")")
	}
	return sentence(plural(n, "pulley", "pulleys")+" in order of the belt's travel: "+strings.Join(parts,
		"; "), s.travelWords())
}
