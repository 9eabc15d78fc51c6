package survey

import (
	"cmp"
	"image"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"undertray.example/undertray/drive"
)

// Touch is a place on a picture, px from its upper left corner; the middle of the first pixel is (0.5, 0.5).
type Touch struct{ X, Y float64 }

// Photo is a photograph of a run with its rims marked.
type Photo struct {
	WidthPX, HeightPX int
	Rims              [][]Touch // of each pulley of the run: at least 3, and 5 on two of them
	TouchPX           float64   // rms distance of a touch from its rim; 0: 3
	OutMM             float64   // how far rims may stand out of one plane, either way; 0: 10
	FocalPX           float64   // focal length, where the camera tells it; 0: a telephone's, not known
	// Grey is the picture, if touches are to be snapped to the rims' edges: WidthPX by HeightPX pixels.
	Grey *image.Gray
}

// What is believed of a camera of which nothing is told. From memory; the focal length of a telephone is that of 24
// to 52 mm on 35 mm film.
const (
	usualFocal   = 0.95  // of the longer edge of the picture
	focalSpread  = 0.35  // of its logarithm
	toldSpread   = 0.03  // the same, where the focal length is told
	lensSpread   = 0.05  // of the lens term, see [Camera]
	axisSpread   = 0.006 // of the longer edge: how far the optical axis is from the middle
	usualTouchPX = 3
	edgePX       = 0.3 // of an edge found in the picture, at most
	leastPX      = 0.1 // the same, at least
	usualOutMM   = 10
)

// Camera is what the rims tell of the camera.
type Camera struct {
	TiltDeg   float64 // between its axis and the normal of the pulleys' plane
	AwayMM    float64 // from its lens to the pulleys' plane
	FocalPX   float64
	FocalSDPX float64
	Lens      float64 // how much further out a corner of the picture lies without the lens's bending, as a fraction
}

// photo is a photograph within an adjustment. Its unknowns, after those of the pulleys: three turns of the camera, the
// place of the plane it aims at and how far that is per focal length, the logarithm of the focal length, the lens term,
// two of the axis, and how far each rim stands before the plane. In these, what a picture tells well and what it hardly
// tells lie apart, and steps are long.
type photo struct {
	w, h    float64
	touches []touch
	marked  []touch // as they were at first
	focal   float64 // expected
	spread  float64
	out     float64   // standard deviation of a rim's stand, mm
	turn    [3]r3.Vec // the plane's axes as the camera sees them, before the three turns
	rims    int
}

// touch is a place on a rim: as it was marked, or an edge of the picture.
type touch struct {
	rim  int
	at   Touch
	sd   float64
	edge bool
}

const (
	cTurn  = iota
	cAim   = cTurn + 3
	cFocal = cAim + 3
	cTerm  = cFocal + 1
	cAxis  = cTerm + 1
	cOut   = cAxis + 2
)

func (ph *photo) count() int { return len(ph.touches) + 4 + ph.rims }

func newPhoto(run *drive.Run, p *Photo) (*photo, error) {
	if !within(float64(p.WidthPX), 16, 1e5) || !within(float64(p.HeightPX), 16, 1e5) {
		return nil, fault(BadNumber, float64(p.WidthPX))
	}
	for _, v := range []float64{p.TouchPX, p.OutMM, p.FocalPX} {
		if v != 0 && !within(v, 1e-3, 1e6) {
			return nil, fault(BadNumber, v)
		}
	}
	if len(p.Rims) > len(run.Pulleys) {
		return nil, fault(BadNumber, float64(len(p.Rims)))
	}
	if p.Grey != nil && p.Grey.Rect.Size() != image.Pt(p.WidthPX, p.HeightPX) {
		return nil, fault(BadNumber, float64(p.Grey.Rect.Dx()))
	}
	ph := &photo{w: float64(p.WidthPX), h: float64(p.HeightPX), rims: len(run.Pulleys),
		focal: p.FocalPX, spread: toldSpread}
	if p.FocalPX == 0 {
		ph.focal, ph.spread = usualFocal*max(ph.w, ph.h), focalSpread
	}
	ph.out = cmp.Or(p.OutMM, usualOutMM) / math.Sqrt(3) // of an even spread either way
	sd := cmp.Or(p.TouchPX, usualTouchPX)
	few, five := fault(TooFew, 3), 0
	for i := range run.Pulleys {
		if i >= len(p.Rims) || len(p.Rims[i]) < 3 {
			few.Pulleys = append(few.Pulleys, run.Pulleys[i].Name)
			continue
		}
		if len(p.Rims[i]) >= 5 {
			five++
		}
		for _, t := range p.Rims[i] {
			if !within(t.X, 0, ph.w) {
				return nil, fault(BadNumber, t.X, run.Pulleys[i].Name)
			}
			if !within(t.Y, 0, ph.h) {
				return nil, fault(BadNumber, t.Y, run.Pulleys[i].Name)
			}
			ph.touches = append(ph.touches, touch{rim: i, at: t, sd: sd})
		}
	}
	if few.Pulleys != nil {
		return nil, few
	}
	if five < 2 {
		return nil, fault(TooFewRims, 2)
	}
	ph.marked = slices.Clone(ph.touches)
	return ph, nil
}

// view is a camera made ready to look at one rim after another.
type view struct {
	ph     *photo
	eye    r3.Vec    // x right and y up in the plane, z towards the camera
	turn   [3]r3.Vec // the plane's axes as the camera sees them: x right, y down, z away
	focal  float64
	term   float64
	mx, my float64
	half   float64
}

func (ph *photo) view(c []float64) view {
	v := view{ph: ph, focal: ph.focal * math.Exp(c[cFocal]), term: c[cTerm],
		mx: ph.w/2 + c[cAxis]*unit, my: ph.h/2 + c[cAxis+1]*unit, half: math.Hypot(ph.w, ph.h) / 2}
	w := r3.Vec{X: c[cTurn], Y: c[cTurn+1], Z: c[cTurn+2]}
	by := r3.NewRotation(r3.Norm(w), w)
	for i, axis := range ph.turn {
		v.turn[i] = by.Rotate(axis)
	}
	away := -c[cAim+2] * unit * math.Exp(c[cFocal])
	ahead := r3.Vec{X: v.turn[0].Z, Y: v.turn[1].Z, Z: v.turn[2].Z}
	v.eye = r3.Add(r3.Vec{X: c[cAim] * unit, Y: c[cAim+1] * unit}, r3.Scale(away, ahead))
	return v
}

// on is where the line of sight through a place on the picture meets the plane z mm before that of the pulleys. The
// lens is undone by the division model of Fitzgibbon (2001).
func (v *view) on(t Touch, z float64) (x, y float64) {
	px, py := t.X-v.mx, t.Y-v.my
	f := v.focal * (1 - v.term*(px*px+py*py)/(v.half*v.half))
	k := r3.Vec{X: px / f, Y: py / f, Z: 1}
	s := (z - v.eye.Z) / r3.Dot(v.turn[2], k)
	return v.eye.X + s*r3.Dot(v.turn[0], k), v.eye.Y + s*r3.Dot(v.turn[1], k)
}

// sees is the other way round: where a place of the plane, z mm before that of the pulleys, is on the picture.
func (v *view) sees(x, y, z float64) Touch {
	var k r3.Vec
	for i, d := range []float64{x - v.eye.X, y - v.eye.Y, z - v.eye.Z} {
		k = r3.Add(k, r3.Scale(d, v.turn[i]))
	}
	ux, uy := v.focal*k.X/k.Z, v.focal*k.Y/k.Z
	f := 2 / (1 + math.Sqrt(max(1+4*v.term*(ux*ux+uy*uy)/(v.half*v.half), 0)))
	return Touch{v.mx + f*ux, v.my + f*uy}
}

// off is how far a place on the picture lies outside a rim, px, and the direction outwards there: the first-order
// distance, Sampson's.
func (v *view) off(t Touch, c drive.Point, r, z float64) (px, nx, ny float64) {
	g := func(dx, dy float64) float64 {
		x, y := v.on(Touch{t.X + dx, t.Y + dy}, z)
		return math.Hypot(x-c.X, y-c.Y) - r
	}
	nx, ny = g(0.5, 0)-g(-0.5, 0), g(0, 0.5)-g(0, -0.5)
	l := math.Hypot(nx, ny)
	return g(0, 0) / l, nx / l, ny / l
}

func (ph *photo) residuals(dst []float64, s *shape, c []float64) {
	v := ph.view(c)
	for i := range ph.touches {
		t := &ph.touches[i]
		px, _, _ := v.off(t.at, s.c[t.rim], s.d[t.rim]/2, c[cOut+t.rim]*unit)
		dst[i] = px / t.sd
	}
	dst = dst[len(ph.touches):]
	dst[0], dst[1] = c[cFocal]/ph.spread, c[cTerm]/lensSpread
	axis := axisSpread * max(ph.w, ph.h) / unit
	dst[2], dst[3] = c[cAxis]/axis, c[cAxis+1]/axis
	for i := range ph.rims {
		dst[4+i] = c[cOut+i] * unit / ph.out
	}
}

// rimOf is the rim that a residual is about, or -1.
func (ph *photo) rimOf(r int) int {
	if r < len(ph.touches) {
		return ph.touches[r].rim
	}
	return max(r-len(ph.touches)-4, -1)
}

// scale makes everything f times as large.
func (ph *photo) scale(x []float64, shape int, f float64) {
	for i := range x[:shape+cFocal] {
		if i < shape || i >= shape+cAim {
			x[i] *= f
		}
	}
}

func (ph *photo) rim(i int) (out []Touch) {
	for _, t := range ph.touches {
		if t.rim == i {
			out = append(out, t.at)
		}
	}
	return out
}

// start is one way the picture may have been taken.
type start struct {
	focal float64 // logarithm over the expected
	turn  [3]r3.Vec
	shape *shape // in units of the camera's distance
	aim   r3.Vec
	miss  float64
}

// starts are the likeliest ways in which the picture may have been taken, best first, from the ellipses of rims with
// five touches or more: for some focal lengths the two planes each of them may lie in, judged by how round all
// rims become when the picture is laid into that plane.
func (p *problem) starts() ([]start, error) {
	ph := p.photo
	var out []start
	bad := fault(NoEllipse, 0)
	for _, focal := range []float64{-0.5, -0.25, 0, 0.25, 0.5} {
		if ph.spread < focalSpread && focal != 0 {
			continue
		}
		for i := range ph.rims {
			at := ph.rim(i)
			if len(at) < 5 {
				continue
			}
			pts := make([][2]float64, len(at))
			f := ph.focal * math.Exp(focal)
			for k, t := range at {
				pts[k] = [2]float64{(t.X - ph.w/2) / f, (t.Y - ph.h/2) / f}
			}
			q := ellipse(pts)
			if q == nil {
				if !slices.Contains(bad.Pulleys, p.run.Pulleys[i].Name) {
					bad.Pulleys = append(bad.Pulleys, p.run.Pulleys[i].Name)
				}
				continue
			}
			for _, n := range normals(q) {
				if s, ok := p.laidFlat(focal, n); ok {
					out = append(out, s)
				}
			}
		}
	}
	if len(out) == 0 {
		return nil, bad
	}
	slices.SortStableFunc(out, func(a, b start) int { return cmp.Compare(a.miss, b.miss) })
	return out, nil
}

// laidFlat lays the picture into the plane that faces n, one unit from the camera.
func (p *problem) laidFlat(focal float64, n r3.Vec) (start, bool) {
	ph := p.photo
	across := r3.Unit(r3.Sub(r3.Vec{X: 1}, r3.Scale(n.X, n)))
	s := start{focal: focal, turn: [3]r3.Vec{across, r3.Cross(n, across), n}, shape: &shape{}}
	c := make([]float64, cOut)
	c[cFocal], c[cAim+2] = focal, -1/(n.Z*unit*math.Exp(focal))
	c[cAim], c[cAim+1] = -across.Z/(n.Z*unit), -s.turn[1].Z/(n.Z*unit) // so that the lens is above the origin
	s.aim = r3.Vec{X: c[cAim], Y: c[cAim+1], Z: c[cAim+2]}
	saved := ph.turn
	ph.turn = s.turn
	v := ph.view(c)
	ph.turn = saved
	for i := range ph.rims {
		var pts [][2]float64
		for _, t := range ph.rim(i) {
			x, y := v.on(t, 0)
			pts = append(pts, [2]float64{x, y})
		}
		x, y, r, miss, ok := circle(pts)
		if !ok || !within(math.Abs(x)+math.Abs(y)+r, 0, 100) {
			return start{}, false
		}
		s.shape.c, s.shape.d = append(s.shape.c, drive.Point{X: x, Y: y}), append(s.shape.d, 2*r)
		miss *= v.focal / usualTouchPX
		s.miss += miss * miss * float64(len(pts))
	}
	s.miss += focal * focal / (ph.spread * ph.spread)
	return s, true
}

// begin turns a start into a problem with its unknowns, as large as the measures say.
func (p *problem) begin(s start) (*problem, []float64, error) {
	q, ph := *p, *p.photo
	q.photo, ph.turn = &ph, s.turn
	ph.touches = slices.Clone(ph.touches)
	first, second := s.shape.c[0], s.shape.c[1]
	far := math.Hypot(second.X-first.X, second.Y-first.Y)
	if !(far > 0) {
		return nil, nil, fault(NoSketch, 0, p.run.Pulleys[0].Name, p.run.Pulleys[1].Name)
	}
	q.bear = drive.Point{X: (second.X - first.X) / far, Y: (second.Y - first.Y) / far}
	var told, seen float64 // sums of least squares of one factor
	for i := range q.ms {
		if m := &q.ms[i]; m.Kind != Belt {
			v := m.of(s.shape)
			told, seen = told+v*m.MM/(m.SDMM*m.SDMM), seen+v*v/(m.SDMM*m.SDMM)
		}
	}
	if !(told > 0) { // only the belt's length tells: begin with pulleys of a usual size
		told, seen = usualMM*float64(len(s.shape.d)), mat.Sum(mat.NewVecDense(len(s.shape.d), s.shape.d))
	}
	x := append(q.unknowns(s.shape), make([]float64, cOut+ph.rims)...)
	c := x[q.size():]
	c[cFocal], c[cAim], c[cAim+1], c[cAim+2] = s.focal, s.aim.X-first.X/unit, s.aim.Y-first.Y/unit, s.aim.Z
	ph.scale(x, q.size(), told/seen)
	return &q, x, nil
}

const usualMM = 80 // diameter of a pulley, from memory
