package plate

// look is one way a thing can be: a value of a word parameter, and what draws it.
type look struct {
	name string
	draw func(s *sketch)
}

// oneOf is a word parameter of looks; sound stands where it is left out.
func oneOf(name, sound string, looks []look) param {
	p := word(name, sound)
	for _, l := range looks {
		p.words = append(p.words, l.name)
	}
	return p
}

// seen draws the look that was asked for, and reports whether it is one of these.
func (s *sketch) seen(looks []look, name string) bool {
	for _, l := range looks {
		if l.name == name {
			l.draw(s)
			return true
		}
	}
	return false
}

// metal draws a block of metal in section or a wall, hatched.
func (s *sketch) metal(x, y, w, h float64) {
	s.rect(body, x, y, w, h, 0)
	s.hatch(fine, -45, 5, x, y, x+w, y, x+w, y+h, x, y+h)
}

// rusty draws rust in a box: pits and flakes, as one mark.
func (s *sketch) rusty(x, y, w, h float64, n int, r float64) {
	pits := s.route()
	for i := range n {
		pits.bit(i, x+w*(.5+.48*noise(i)), y+h*(.5+.48*noise(i+40)), r*(1+.4*noise(i+80)))
	}
	pits.ink(faultFill)
}

// nibbled draws tooth marks along the upper edge of something.
func (s *sketch) nibbled(x, y float64, n int) {
	for i := range n {
		d := x + 11*float64(i)
		s.route().move(d, y-1.5).quad(d+2, y+8, d+5, y+8).quad(d+8, y+8, d+10, y-1.5).close().ink(void)
		s.route().move(d, y-1).quad(d+2, y+8, d+5, y+8).quad(d+8, y+8, d+10, y-1).ink(fault)
		s.segs(fault, d+3, y+13, d+3, y+17, d+7, y+13, d+7, y+17)
	}
}

// crossed draws cords laid crosswise in a box.
func (s *sketch) crossed(x, y, w, h float64) {
	box := []float64{x, y, x + w, y, x + w, y + h, x, y + h}
	s.poly(void, box...)
	st := fault
	st.Width = 1.6
	s.hatch(st, 40, 6, box...)
	s.hatch(st, -40, 6, box...)
	s.jag(fault, x, y, x+w, y, 2)
	s.jag(fault, x, y+h, x+w, y+h, 2)
	s.jag(fault, x, y, x, y+h, 2)
	s.jag(fault, x+w, y, x+w, y+h, 2)
}

// crazed draws a net of fine cracks in a box.
func (s *sketch) crazed(x, y, w, h float64, n int) {
	for i := range n {
		cx, cy := x+w*(.5+.45*noise(i+5)), y+h*(.5+.42*noise(i+25))
		a, b := 5+2*noise(i+9), 3*noise(i+3)
		s.line(faultThin, cx-a, cy+b, cx-1, cy-1, cx+a, cy-b)
		s.line(faultThin, cx-1, cy-1, cx+1, cy+5)
	}
}
