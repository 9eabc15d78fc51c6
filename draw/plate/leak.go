package plate

// leaks are how wet a place can be, the driest first; shapes that can leak
// take them as word("leak", leaks...).
var leaks = []string{"dry", "stain", "crust", "damp", "forms", "drops", "stream"}

// leak draws how a place at x, y leaks, the wet spreading below it by about
// 14 to each side; what falls lands at most down below it.
func (s *sketch) leak(state, what string, x, y, down float64) {
	patch := []float64{x - 14, y + 1, x - 9, y - 5, x + 2, y - 6, x + 12, y - 3, x + 14, y + 3, x + 6, y + 7, x - 4,
		y + 5, x - 10, y + 6}
	switch state {
	case "stain": // a tide mark
		s.blob(faultDash, patch...)
		s.at(x, y, 0, .55, func() {
			s.blob(faultDash, -14, 1, -9, -5, 2, -6, 12, -3, 14, 3, 6, 7, -4, 5, -10, 6)
		})
	case "crust":
		s.blob(Style{Fill: Paper, Stroke: Act, Width: 1.2}, patch...)
		s.crumbs(faultFill, x-10, y-2, x+10, y-2, 8, 2, 1.7)
		s.crumbs(faultFill, x-9, y+3, x+9, y+3, 7, 2, 1.7)
		s.crumbs(faultFill, x, y+8, x+3, y+down*.6, 5, 2, 1.5)
	case "damp":
		s.film(what, x, y, 13, 6)
	case "forms":
		s.film(what, x, y, 13, 6)
		s.drop(what, x, y+15, 5)
	case "drops":
		s.film(what, x, y, 13, 6)
		s.drop(what, x, y+14, 4.6)
		s.drop(what, x, y+down-9, 4.6)
		s.puddle(what, x, y+down, 16)
	case "stream":
		s.film(what, x, y, 15, 7)
		for _, d := range []float64{-4, 0, 4} {
			s.curve(fault, x+d*.8, y+4, x+d, y+down*.4, x+d*1.4, y+down-2)
		}
		s.puddle(what, x, y+down, 26)
		s.clicks(fault, x, y+down-2, 9, 15, 200, 340, 5)
	}
}

// puddle draws what has fallen, its surface at y.
func (s *sketch) puddle(what string, x, y, half float64) {
	st := faultBody
	st.Width = 1.4
	if what == oil || what == "" {
		st.Fill = Act
	}
	s.ellipse(st, x, y, half, 3.2)
}
