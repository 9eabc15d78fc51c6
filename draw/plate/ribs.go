package plate

// Ribbed belts: a piece lying on its back with its edge to the reader, a cut
// across it, and its back.

var ribShapes = []shape{{
	name: "ribs", says: "a piece of ribbed belt, ribs up",
	params: []param{count("cracks", 0, 9), word("reach", "rib", "cord"), yesNo("along"), yesNo("chunk"),
		word("strip", "whole", "parting", "torn"), yesNo("cord"), word("edge", "clean", "polished", "frayed", "cord"),
		yesNo("glaze"), word("crumbs", "none", "few", "full"), word("wet", "no", oil, coolant, fluid),
		yesNo("swollen"), yesNo("grit"), word("feel", "none", "firm", "hard", "sticky", "ragged")},
	draw: drawRibs,
}, {
	name: "ribback", says: "a piece of ribbed belt, back up",
	params: []param{word("back", "clean", "polished", "cracked", "scored", "split")},
	draw:   drawRibBack,
}, {
	name: "ribcut", says: "a cut across a ribbed belt", corner: topRight,
	params: []param{word("groove", "v", "u", "uneven"), word("gauge", "none", "above", "level", "below", "bottomed"),
		word("pulley", "none", "high", "low")},
	draw: drawRibCut,
}}

// ribView lays a piece of belt out in parallel perspective: l along the edge
// that faces the reader, w ribs into the depth, h upwards.
type ribView struct {
	s *sketch
	a args
}

const (
	ribLong, ribs                    = 92., 4
	ribCord, ribValley, ribCrest     = 10., 18., 33. // heights above the back
	ribFront, ribBack                = .3, .66       // where a rib's crest lies within it
	ribLeft, ribBase, ribDX, ribDY   = 5., 90., 12., 13.
	chunkFrom, chunkTo, stripFrom    = 32., 58., 36.
	cutLeft, cutPitch                = 12., 34. // of the cut across
	cutBack, cutCord, cutLow, cutTop = 88., 79., 69., 38.
)

func (v ribView) at(l, w, h float64) (x, y float64) {
	return ribLeft + l + ribDX*w, ribBase - h - ribDY*w
}

// path turns l, w, h triples into points.
func (v ribView) path(lwh ...float64) []float64 {
	var out []float64
	for i := 0; i+2 < len(lwh); i += 3 {
		x, y := v.at(lwh[i], lwh[i+1], lwh[i+2])
		out = append(out, x, y)
	}
	return out
}

func drawRibs(s *sketch, a args) {
	v := ribView{s, a}
	for i := ribs - 1; i >= 0; i-- {
		w := float64(i)
		v.rib(w)
		v.cracked(w)
		v.dirt(w)
	}
	v.front()
	v.section()
	v.faults()
	v.felt()
}

// rib draws one rib, in two pieces where a chunk is out or it parts.
func (v ribView) rib(w float64) {
	gone := w == 0 && v.a.on("chunk")
	parts := w == 0 && !v.a.is("strip", "whole")
	switch {
	case gone:
		floor := v.path(chunkFrom, w, ribValley, chunkTo, w, ribValley, chunkTo, w+1, ribValley, chunkFrom, w+1,
			ribValley)
		v.s.poly(void, floor...)
		v.s.hatch(faultThin, -50, 3.4, floor...)
		v.bar(w, 0, chunkFrom)
		v.s.poly(faultFill, v.path(chunkFrom, w, ribValley, chunkFrom+3, w+.1, ribValley+7, chunkFrom-1, w+ribFront,
			ribCrest,
			chunkFrom+1, w+ribBack, ribCrest, chunkFrom, w+1, ribValley)...)
		v.bar(w, chunkTo, ribLong)
		v.s.line(fault, v.path(chunkFrom, 0, ribValley, chunkFrom+8, 0, ribValley-2, chunkFrom+17, 0, ribValley,
			chunkTo, 0, ribValley, chunkTo-2, w+.15, ribValley+8, chunkTo, w+ribFront, ribCrest, chunkTo+1,
			w+ribBack, ribCrest)...)
	case parts:
		floor := v.path(stripFrom, w, ribValley, ribLong, w, ribValley, ribLong, w+1, ribValley, stripFrom, w+1,
			ribValley)
		v.s.poly(void, floor...)
		v.s.hatch(faultThin, -50, 3.4, floor...)
		v.bar(w, 0, stripFrom)
	default:
		v.bar(w, 0, ribLong)
	}
}

// bar draws the flank and crest of a rib between two lengths.
func (v ribView) bar(w, from, to float64) {
	v.s.poly(rubber, v.path(from, w, ribValley, to, w, ribValley, to, w+ribFront, ribCrest, to, w+ribBack, ribCrest,
		from, w+ribBack, ribCrest, from, w+ribFront, ribCrest)...)
	v.s.line(thin, v.path(from, w+ribFront, ribCrest, to, w+ribFront, ribCrest)...)
}

// cracked draws a rib's cracks across: over its crest, or down to the cord.
func (v ribView) cracked(w float64) {
	n := int(v.a.n("cracks"))
	for i := range n {
		if v.a.on("chunk") && w == 0 {
			return
		}
		l := ribLong * (float64(i) + .6 + .12*noise(i+int(w)*7)) / (float64(n) + .2)
		if v.a.is("reach", "cord") {
			v.s.line(fault, v.path(l-1.5, w, ribValley, l+1, w+.15, 22, l-1, w+ribFront, ribCrest, l+.5, w+ribBack,
				ribCrest)...)
			continue
		}
		st := fault
		st.Width = 1.8
		v.s.line(st, v.path(l+1, w+.17, 22, l-1, w+ribFront, ribCrest, l+.5, w+ribBack, ribCrest)...)
	}
}

// dirt draws what lies on and between the ribs.
func (v ribView) dirt(w float64) {
	ax, ay := v.at(3, w+ribBack, ribCrest+1)
	bx, by := v.at(ribLong-3, w+ribBack, ribCrest+1)
	switch {
	case v.a.is("crumbs", "few") && w < ribs-1:
		v.s.crumbs(faultFill, ax, ay-1, bx, by-1, 6, 1, 1.6)
	case v.a.is("crumbs", "full") && w < ribs-1:
		v.s.poly(faultFill, ax, ay-4, bx, by-4, bx, by, ax, ay)
		v.s.crumbs(faultFill, ax, ay-3.5, bx, by-3.5, 22, 1.4, 2.4)
	case v.a.on("grit"):
		for i := range 5 {
			x, y := along(ax, ay, bx, by, (float64(i)+.5+.35*noise(i+int(w)*11))/5)
			y += 4 + 4*noise(i+int(w)*5)
			v.s.at(x, y, 90*noise(i), 1, func() { v.s.poly(faultFill, -3, 2, 0, -3, 3, -.5, 1.5, 2.6) })
		}
	}
	if v.a.on("glaze") {
		l := 12 + w*9
		v.s.line(fault, v.path(l, w+.48, ribCrest, l+26, w+.48, ribCrest)...)
		v.s.line(fault, v.path(l+32, w+.48, ribCrest, l+38, w+.48, ribCrest)...)
	}
	if v.a.on("swollen") {
		v.lumps(w)
	}
	if v.a.is("feel", "ragged") {
		var pts []float64
		for i := range 24 {
			pts = append(pts, float64(i)*4, w+ribFront, ribCrest-4*float64(i%2)+2*noise(i+int(w)*3))
		}
		v.s.line(fault, v.path(pts...)...)
	}
}

// front draws the edge that faces the reader, with its cord.
func (v ribView) front() {
	v.s.poly(rubber, v.path(0, 0, 0, ribLong, 0, 0, ribLong, 0, ribValley, 0, 0, ribValley)...)
	v.s.line(cable, v.path(1.5, 0, ribCord, ribLong-1, 0, ribCord)...)
	n := int(v.a.n("cracks"))
	if !v.a.is("reach", "cord") {
		return
	}
	for i := range n {
		l := ribLong*(float64(i)+.6+.12*noise(i))/(float64(n)+.2) - 1.5
		v.s.poly(faultFill, v.path(l-3.4, 0, ribValley+2, l+3.4, 0, ribValley+2, l+.5, 0, ribCord-2)...)
		v.s.line(fault, v.path(l-7, 0, ribCord, l+7, 0, ribCord)...)
	}
}

// section draws the cut at the right-hand end.
func (v ribView) section() {
	pts := v.path(ribLong, 0, 0, ribLong, 0, ribValley)
	for i := range ribs {
		w := float64(i)
		if i > 0 || (!v.a.on("chunk") && v.a.is("strip", "whole")) || v.a.on("chunk") {
			pts = append(pts, v.path(ribLong, w+ribFront, ribCrest, ribLong, w+ribBack, ribCrest)...)
		}
		pts = append(pts, v.path(ribLong, w+1, ribValley)...)
	}
	pts = append(pts, v.path(ribLong, ribs, 0)...)
	v.s.poly(rubber, pts...)
	for i := range 8 {
		x, y := v.at(ribLong, .25+float64(i)*.5, ribCord)
		v.s.circle(dark, x, y, 1.5)
	}
}

// faults draws what lies over the whole piece.
func (v ribView) faults() {
	s := v.s
	if v.a.on("along") {
		s.line(fault, v.path(6, 1.45, ribCrest, 20, 1.35, ribCrest, 34, 1.55, ribCrest, 50, 1.3, ribCrest+1, 64,
			1.5, ribCrest,
			82, 1.4, ribCrest)...)
		s.segs(faultThin, v.path(34, 1.55, ribCrest, 39, 1.2, ribCrest-4, 64, 1.5, ribCrest, 69, 1.7, ribCrest)...)
	}
	if v.a.on("cord") {
		s.blob(faultBody, v.path(24, .95, 24, 34, 1.6, 30, 56, 1.66, 30, 70, 1.1, 26, 60, .5, 26, 38, .4, 25)...)
		for i := range 4 {
			w := .62 + .27*float64(i)
			s.curve(fault, v.path(32-2*w, w, 27, 44, w+.06, 27, 52, w-.06, 27, 64-2*w, w, 27)...)
		}
	}
	v.strip()
	v.edge()
	v.wet()
	if v.a.on("glaze") {
		for _, l := range [][2]float64{{20, 3.4}, {70, 1.4}, {50, 2.5}} {
			x, y := v.at(l[0], l[1], ribCrest)
			s.glint(fault, x, y, 7)
		}
	}
}

// lumps draws a rib swollen out of shape.
func (v ribView) lumps(w float64) {
	for i := range 3 {
		l := 18 + 28*float64(i) + 6*noise(i+int(w)*3)
		x, y := v.at(l, w+.35, ribCrest-1)
		lump := []float64{x - 15, y + 4, x - 8, y - 4, x + 5, y - 5, x + 15, y + 2, x + 2, y + 6}
		v.s.blob(wash, lump...)
		v.s.blob(fault, lump...)
	}
}

// strip draws a rib that parts from the belt, or a torn one's loose end.
func (v ribView) strip() {
	x, y := v.at(stripFrom, ribFront, ribCrest)
	switch v.a["strip"] {
	case "parting":
		v.s.route().move(x, y+12).quad(x+22, y+10, x+66, y-16).to(x+66, y-29).quad(x+24, y-2, x, y).close().
			ink(faultBody)
		v.s.line(faultThin, x+2, y+5, x+24, y+3, x+66, y-21)
	case "torn":
		v.s.route().move(x, y+12).cubic(x+16, y+12, x+24, y-10, x+14, y-30).to(x+6, y-38).to(x+4, y-29).to(x-4, y-34).
			to(x, y-26).cubic(x+8, y-14, x+6, y-2, x, y).close().ink(faultBody)
		v.s.hatch(faultThin, 0, 5, x, y+12, x+14, y+8, x+19, y-6, x+14, y-26, x+4, y-24, x+8, y-8, x, y)
		v.s.hairs(faultThin, x, y-30, x+12, y-34, 5, 8, -80)
	}
}

func (v ribView) edge() {
	s := v.s
	left, low := v.at(2, 0, 0)
	right, _ := v.at(ribLong-2, 0, 0)
	switch v.a["edge"] {
	case "polished":
		s.segs(fault, v.path(10, 0, 11, 40, 0, 11, 46, 0, 11, 52, 0, 11, 30, 0, 5, 74, 0, 5, 80, 0, 5, 85, 0, 5)...)
		for _, l := range []float64{22, 64} {
			x, y := v.at(l, 0, 8)
			s.glint(fault, x, y, 9)
		}
	case "frayed", "cord":
		s.hairs(faultThin, left, low, right, low, 34, 3.6, 80)
		s.hairs(fault, left, low-8, right, low-7, 16, 8, 70)
	}
	if v.a.is("edge", "cord") {
		for _, l := range []float64{26, 58} {
			x, y := v.at(l, 0, ribCord)
			s.curve(fault, x-8, y, x, y-2, x+6, y-18, x+1, y-30)
			s.curve(fault, x+9, y+1, x+3, y-4, x+16, y-14, x+17, y-24)
			s.curve(fault, x-8, y+3, x-2, y+2, x-10, y-12, x-13, y-20)
		}
	}
}

func (v ribView) wet() {
	what := v.a["wet"]
	if what == "no" {
		return
	}
	for _, at := range [][4]float64{{22, 2.4, 13, 5.5}, {62, 3, 15, 5.5}, {48, 1.2, 17, 6.5}, {14, .6, 9, 5}, {80,
		.5, 8, 5}} {
		x, y := v.at(at[0], at[1], ribCrest)
		v.s.film(what, x, y, at[2], at[3])
	}
	for _, l := range []float64{16, 40, 70} {
		x, _ := v.at(l, 0, 0)
		v.s.drop(what, x, ribBase-2.5, 5.6)
	}
}

// felt draws the finger that feels the ribs.
func (v ribView) felt() {
	x, y := v.at(48, 1.4, ribCrest)
	s := v.s
	switch v.a["feel"] {
	case "firm":
		s.finger(x, y, 34, 20)
	case "hard":
		s.finger(x, y-3, 31, 20)
		s.line(fault, x-14, y-2, x+16, y-2)
		s.clicks(fault, x, y, 10, 18, 200, 340, 2)
		s.glint(fault, x-26, y+4, 8)
		s.glint(fault, x+34, y+10, 8)
	case "sticky":
		s.finger(x, y-12, 22, 20)
		for i := range 5 {
			d := float64(i) - 2
			s.curve(fault, x+d*3, y-16, x+d*2, y-9, x+d*3.4, y-3, x+d*6, y+1)
		}
		s.blob(faultFill, x-18, y+1, x, y-3, x+18, y+1, x, y+5)
	case "ragged":
		s.finger(x, y-2, 32, 20)
	}
}

// drawRibBack draws the back: a flat upper face, ribs below.
func drawRibBack(s *sketch, a args) {
	v := ribView{s, a}
	v.backPiece()
	switch a["back"] {
	case "polished":
		for _, w := range []float64{.7, 1.9, 3.1} {
			s.line(fault, v.path(12+9*w, w, 24, 50+9*w, w, 24)...)
			s.line(fault, v.path(57+9*w, w, 24, 63+9*w, w, 24)...)
			x, y := v.at(26+6*w, w+.2, 24)
			s.glint(fault, x, y, 9)
		}
	case "cracked":
		for i, l := range []float64{14, 34, 55, 76} {
			x0, y0 := v.at(l, .3+.5*float64(i%2), 24)
			x1, y1 := v.at(l+2, 3.6-.7*float64(i%3), 24)
			s.jag(fault, x0, y0, x1, y1, 2.4)
		}
	case "scored":
		for i, w := range []float64{1.2, 1.7, 2.6} {
			x0, y0 := v.at(4, w, 24)
			x1, y1 := v.at(ribLong-3-8*float64(i), w, 24)
			s.line(fault, x0, y0, x1, y1)
		}
		x, y := v.at(30, 1.3, 24)
		s.poly(faultFill, x, y, x+34, y-11, x+38, y-7, x+4, y+4)
	case "split":
		s.poly(faultFill, v.path(40, 0, 24, 44, .8, 24, 42, 1.7, 24, 47, 2.6, 24, 45, 4, 24, 53, 4, 24, 54, 2.7, 24,
			49, 1.8, 24,
			52, .9, 24, 49, 0, 24)...)
		s.poly(faultFill, v.path(40, 0, 24, 49, 0, 24, 45, 0, 6)...)
		for _, w := range []float64{.5, 1.3, 2.2, 3.3} {
			s.segs(Style{Stroke: Paper, Width: 1.2}, v.path(41, w, 24, 53, w+.1, 24)...)
		}
	}
}

func (v ribView) backPiece() {
	s := v.s
	s.poly(rubber, v.path(0, 0, 24, ribLong, 0, 24, ribLong, ribs, 24, 0, ribs, 24)...)
	s.poly(rubber, v.path(0, 0, 4, ribLong, 0, 4, ribLong, 0, 24, 0, 0, 24)...)
	s.line(cable, v.path(1.5, 0, 18, ribLong-1, 0, 18)...)
	pts := v.path(ribLong, 0, 24, ribLong, ribs, 24, ribLong, ribs, 15)
	for i := ribs - 1; i >= 0; i-- {
		w := float64(i)
		pts = append(pts, v.path(ribLong, w+ribBack, 4, ribLong, w+ribFront, 4, ribLong, w, 12)...)
	}
	s.poly(rubber, pts...)
	for i := range 8 {
		x, y := v.at(ribLong, .25+float64(i)*.5, 19)
		s.circle(dark, x, y, 1.3)
	}
}

// cutWear is by how much the grooves of a cut are wider on each side, so that
// a bar of radius cutBar lies as the gauge says: a circle between flanks of slope
// cutSlope.
var cutWear = map[string]float64{"above": 0, "level": 1.75, "below": 4, "bottomed": 6.5}

const cutCrest, cutSlope, cutBar = 8., .29, 8.

// drawRibCut draws the cut across the belt, ribs up, with a gauge or a pulley.
func drawRibCut(s *sketch, a args) {
	wide := cutWear[a["gauge"]]
	half := cutCrest - wide
	if a.is("pulley", "low") {
		wide, half = 2, 6
	}
	r := s.route().move(cutLeft, cutBack).to(cutLeft, cutLow)
	for i := range ribs {
		x := cutLeft + cutPitch*(float64(i)+.5)
		r.to(x-half, cutTop).to(x+half, cutTop)
		if i == ribs-1 {
			break
		}
		x += cutPitch / 2
		switch {
		case a.is("groove", "u"):
			r.cubic(x-8, cutLow-6, x-8, cutLow+2, x, cutLow+2).cubic(x+8, cutLow+2, x+8, cutLow-6, x+9, cutTop)
		case a.is("groove", "uneven") && i == 1:
			r.to(x-12, cutTop).to(x-6, cutLow+6).to(x+6, cutLow+6).to(x+12, cutTop)
		default:
			r.to(x-wide, cutLow).to(x+wide, cutLow)
		}
	}
	r.to(cutLeft+cutPitch*ribs, cutLow).to(cutLeft+cutPitch*ribs, cutBack).close().ink(rubber)
	for i := range 12 {
		s.circle(dark, cutLeft+6+float64(i)*11.3, cutCord+3, 2)
	}
	grooves(s, a)
	gauge(s, a)
	cutPulley(s, a)
}

// grooves draws worn grooves as they were, and marks what is gone.
func grooves(s *sketch, a args) {
	for i := 1; i < ribs; i++ {
		x := cutLeft + cutPitch*float64(i)
		was := []float64{x - 9, cutTop, x, cutLow, x + 9, cutTop}
		switch {
		case a.is("groove", "u"):
			s.line(hidden, was...)
			s.route().move(x-9, cutTop).cubic(x-8, cutLow-6, x-8, cutLow+2, x, cutLow+2).
				cubic(x+8, cutLow+2, x+8, cutLow-6, x+9, cutTop).ink(fault)
		case a.is("groove", "uneven") && i == 2:
			is := []float64{x - 12, cutTop, x - 6, cutLow + 6, x + 6, cutLow + 6, x + 12, cutTop}
			s.line(fault, is...)
			s.hatch(faultThin, -50, 4, append(is, x, cutLow)...)
			s.line(hidden, was...)
		}
	}
}

// gauge draws the bars of a rib gauge in the grooves, seen on their ends, and
// the line of the rib tips.
func gauge(s *sketch, a args) {
	wide, there := cutWear[a["gauge"]]
	if !there {
		return
	}
	y := min(cutLow-cutBar*1.04/cutSlope+wide/cutSlope, cutLow-cutBar-1)
	st := body
	if !a.is("gauge", "above") {
		st = faultBody
	}
	s.line(hidden, cutLeft, cutTop, cutLeft+cutPitch*ribs, cutTop)
	for i := 1; i < ribs; i++ {
		x := cutLeft + cutPitch*float64(i)
		s.circle(st, x, y, cutBar)
		if st == faultBody {
			s.hatch(faultThin, -50, 3.4, x-7, y, x-5, y-5, x, y-7, x+5, y-5, x+7, y, x+5, y+5, x, y+7, x-5, y+5)
		}
		if a.is("gauge", "bottomed") {
			s.segs(fault, x-10, cutLow, x+10, cutLow)
		}
		if y-cutBar > cutTop+2 {
			s.arrow(fault, x, 8, x, cutTop-5)
		}
	}
}

// cutPulley draws a pulley's grooves over the ribs, as they sit in it.
func cutPulley(s *sketch, a args) {
	deep, half := 0., 6.
	switch a["pulley"] {
	case "none":
		return
	case "high":
		deep, half = 6, cutCrest
	}
	r := s.route().move(cutLeft-6, 10).to(cutLeft-6, cutLow-deep)
	for i := range ribs {
		x := cutLeft + cutPitch*(float64(i)+.5)
		r.to(x-half, cutTop-deep).to(x+half, cutTop-deep)
		if i < ribs-1 {
			r.to(x+cutPitch/2, cutLow-deep)
		}
	}
	st := line
	r.to(cutLeft+cutPitch*ribs+6, cutLow-deep).to(cutLeft+cutPitch*ribs+6, 10).ink(st)
	if deep == 0 {
		for i := range ribs {
			x := cutLeft + cutPitch*(float64(i)+.5)
			s.line(fault, x-8, cutTop, x+8, cutTop)
			s.clicks(fault, x, cutTop, 10, 17, 240, 300, 3)
		}
	}
}
