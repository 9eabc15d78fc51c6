package draw

import (
	"math"

	"undertray.example/undertray/internal/message"
)

// caption says how to read the drawing.
func (s *sheet) caption() message.Text {
	way := message.Text("Seen from the front of the engine; pulleys on the ribs turn clockwise")
	if s.r.Anticlockwise {
		way = "Seen from the front of the engine; pulleys on the ribs turn anticlockwise"
	}
	scale := message.Text("Pulleys to scale; belt drawn thicker than it is")
	if s.r.Thickness*s.k >= s.thick-.01 {
		scale = "To scale"
	}
	return sentences(way, "The heavy line is the ribbed side of the belt",
		"Double rims carry the ribs, single rims the back; ticks in the rim show where the belt arrives and leaves, "+
			"the degrees its wrap",
		"Figures along the belt are span lengths in mm",
		s.travelWords(), scale)
}

func (s *sheet) travelWords() message.Text {
	t := s.r.Tensioner
	if t == nil {
		return ""
	}
	unit := "°"
	if t.Slides {
		unit = " mm"
	}
	return message.Of("Broken outlines show the tensioner at its stops: %s one way, %s the other",
		figure(math.Abs(t.Low), 0)+unit, figure(t.High, 0)+unit)
}

// describe puts the drawing in words for who can't see it.
func (s *sheet) describe() message.Text {
	n := len(s.r.Pulleys)
	parts := make([]message.Text, n)
	for i, p := range s.r.Pulleys {
		of := message.Text("%d %s (ribs, wrap %s, %s mm to %d)")
		if p.Back {
			of = "%d %s (back, wrap %s, %s mm to %d)"
		}
		parts[i] = of.With(p.Number, p.Name, degrees(s.wrap(i)), figure(s.spanLength(i), 0),
			s.r.Pulleys[(i+1)%n].Number)
	}
	return sentences(message.Counted(n, "%d pulley in order of the belt's travel: %s",
		"%d pulleys in order of the belt's travel: %s", n, message.Joined(parts, "; ")), s.travelWords())
}
