package plate

// Hoses: a length with its end on a stub, one squeezed and one bent by hand.

var hoseShapes = []shape{{
	name: "hose", says: "a length of hose with its end on a stub", corner: topRight,
	params: []param{oneOf("is", "sound", hoseLooks), word("fit", "clip", "crimp", "push"), yesNo("wiped"),
		yesNo("under")},
	draw: drawHose,
}, {
	name: "squeeze", says: "a hose near its end between finger and thumb", corner: topRight,
	params: []param{word("is", "same", "softend", "channel", "spongy", "hard")},
	draw:   drawSqueeze,
}}

const hoseY, hoseHalf, hoseFrom, hoseTo = 48., 18., 12., 112.

// hoseEnd draws a hose from its open left end.
func (s *sketch) hoseEnd(x0, x1, y, half float64) {
	d := half * .35
	s.route().move(x0+d, y-half).to(x1, y-half).to(x1, y+half).to(x0+d, y+half).close().ink(rubber)
	s.ellipse(rubber, x0+d+1, y, d, half)
	s.ellipse(part, x0+d+1, y, d*.6, half*.68)
}

// hoseStub draws the neck that a hose sits on, and what it grows from.
func (s *sketch) hoseStub(x, y, half float64) {
	s.rect(body, x, y-half, 44, 2*half, 0)
	s.segs(thin, x+1, y-half*.5, x+43, y-half*.5)
	s.metal(min(x+40, 146), y-half*1.9, 11, half*3.8)
}

// hoseClip draws a worm-drive clip about a hose, its housing on top.
func (s *sketch) hoseClip(x, y, half float64) {
	s.rect(body, x, y-half, 10, 2*half, 1)
	s.rect(body, x-3, y-half-6, 16, 8, 1)
	s.segs(thin, x, y-half-5, x, y-half+1, x+4, y-half-5, x+4, y-half+1, x+8, y-half-5, x+8, y-half+1)
}

// profile draws a hose whose upper and lower side stand out by so much, at
// even steps from hoseFrom to hoseTo.
func (s *sketch) profile(st Style, top, low []float64) {
	at := func(d []float64, i int, side float64) (x, y float64) {
		return hoseFrom + (hoseTo-hoseFrom)*float64(i)/float64(len(d)-1), hoseY + side*(hoseHalf+d[i])
	}
	var up, down []float64
	for i := range top {
		x, y := at(top, i, -1)
		up = append(up, x, y)
	}
	for i := len(low) - 1; i >= 0; i-- {
		x, y := at(low, i, 1)
		down = append(down, x, y)
	}
	r, back := s.spline(up, false), s.spline(down, false)
	back.segs[0].Op = Line
	r.segs = append(r.segs, back.segs...)
	r.close().ink(st)
}

// hoseMouth closes the left end of a profile.
func (s *sketch) hoseMouth() {
	s.ellipse(rubber, hoseFrom+1, hoseY, 6, hoseHalf)
	s.ellipse(part, hoseFrom+1, hoseY, 3.6, hoseHalf*.68)
}

func (s *sketch) hoseFit(fit string) {
	switch fit {
	case "crimp":
		s.rect(body, 92, hoseY-21, 26, 42, 2)
		s.segs(thin, 98, hoseY-20, 98, hoseY+20, 105, hoseY-20, 105, hoseY+20, 112, hoseY-20, 112, hoseY+20)
	case "clip":
		s.hoseClip(94, hoseY, 20)
	}
}

var flatIn = []float64{0, 0, -4, -11, -14, -14, -11, -4, 0, 0}
var bulgeOut = []float64{0, 0, 2, 9, 15, 15, 9, 2, 0, 0}
var even = []float64{0, 0, 0, 0, 0, 0, 0, 0, 0, 0}

// deformed are the hoses drawn in another shape than the sound one's.
var deformed = map[string][2][]float64{
	"swollen": {{0, 0, 0, 0, 2, 7, 12, 12, 4, 0}, {0, 0, 0, 0, 2, 7, 12, 12, 4, 0}},
	"bulge":   {{0, 0, 0, 3, 17, 19, 6, 0, 0, 0}, even},
	"flat":    {flatIn, flatIn}, "sucked": {flatIn, flatIn}, "balloons": {bulgeOut, bulgeOut},
	"sags":    {{0, -2, -9, -17, -21, -21, -17, -8, 0, 0}, {0, 2, 5, 8, 9, 9, 7, 4, 0, 0}},
	"soft":    {{0, 0, 0, -3, -19, -19, -3, 0, 0, 0}, even},
	"blister": {{0, 0, 0, 0, 3, 12, 12, 2, 0, 0}, {0, 0, 8, 9, 1, 0, 0, 0, 0, 0}},
}

func drawHose(s *sketch, a args) {
	if a.on("under") {
		s.with([6]float64{1, 0, 0, -1, 0, Height}, func() { s.hose(a) })
		return
	}
	s.hose(a)
}

func (s *sketch) hose(a args) {
	is := a["is"]
	switch is {
	case "off", "kinked", "slipped":
		s.seen(hoseLooks, is)
		return
	}
	s.hoseStub(hoseTo, hoseY, 13)
	if d, ok := deformed[is]; ok {
		if is != "swollen" && is != "soft" && is != "bulge" {
			s.profile(hidden, even, even)
		}
		s.profile(rubber, d[0], d[1])
	} else {
		s.profile(rubber, even, even)
	}
	s.hoseMouth()
	s.hoseFit(a["fit"])
	s.seen(hoseLooks, is)
	if a.on("wiped") {
		s.route().move(22, 40).quad(30, 22, 50, 28).to(66, 46).quad(60, 58, 44, 58).quad(26, 58, 22, 40).ink(body)
		s.curve(thin, 30, 44, 42, 36, 56, 44)
		s.curve(thin, 34, 52, 44, 46, 54, 52)
		s.sway(line, 28, 72, 62, 72)
	}
}

func drawSqueeze(s *sketch, a args) {
	dent, x := 3., 76.
	switch a["is"] {
	case "softend":
		dent = 12
	case "spongy":
		dent = 12
	case "hard":
		dent = 0
	}
	d := []float64{0, 0, 0, 0, 0, -dent * .6, -dent, -dent * .4, 0, 0}
	if a.is("is", "spongy") {
		d = []float64{0, 0, -dent, -dent * .8, -1, -dent * .8, -dent, -dent * .3, 0, 0}
	}
	s.hoseStub(hoseTo, hoseY, 13)
	s.profile(rubber, d, d)
	s.hoseMouth()
	s.hoseFit("clip")
	s.finger(x, hoseY-hoseHalf+dent, 26, 0)
	s.finger(x, hoseY+hoseHalf-dent, 26, 180)
	switch a["is"] {
	case "same":
		s.finger(36, hoseY-hoseHalf+dent, 26, 0)
		s.finger(36, hoseY+hoseHalf-dent, 26, 180)
	case "softend":
		s.arrow(fault, x-17, 12, x-17, hoseY-12)
		s.arrow(fault, x-17, 84, x-17, hoseY+12)
		s.finger(34, hoseY-hoseHalf+2, 26, 0)
		s.finger(34, hoseY+hoseHalf-2, 26, 180)
		s.segs(fault, 60, hoseY-9, 90, hoseY-4, 60, hoseY+9, 90, hoseY+4)
	case "spongy":
		s.finger(34, hoseY-hoseHalf+dent, 26, 0)
		s.finger(34, hoseY+hoseHalf-dent, 26, 180)
		for i := range 3 {
			y := hoseY + 5*float64(i-1)
			s.curve(fault, 20, y, 34, y*.3+hoseY*.7, 55, y, x, y*.3+hoseY*.7, 90, y)
		}
	case "channel":
		s.rect(void, 60, hoseY-7, 34, 14, 0)
		s.rect(fault, 60, hoseY-7, 34, 14, 2)
		s.hatch(faultThin, -50, 4, 60, hoseY-7, 94, hoseY-7, 94, hoseY+7, 60, hoseY+7)
		s.segs(fault, 58, hoseY-12, 64, hoseY-7, 58, hoseY+12, 64, hoseY+7)
	case "hard":
		s.clicks(fault, x, hoseY-hoseHalf, 11, 20, 195, 345, 4)
		s.clicks(fault, x, hoseY+hoseHalf, 11, 20, 15, 165, 4)
		s.glint(fault, 32, 42, 10)
		s.glint(fault, 52, 54, 6)
		s.jag(fault, 64, 40, 88, 44, 2)
	}
}
