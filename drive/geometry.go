package drive

import "math"

// Limits on the size of a run.
const (
	MinPulleys = 2
	MaxPulleys = 20
)

// Turning direction of a pulley, as a factor of angle: angles count
// anticlockwise.
const (
	Anticlockwise = +1
	Clockwise     = -1
)

// Point is a place or a direction in the plane of the belt, x to the right and
// y up, in mm (a direction is a unit vector without unit).
type Point struct{ X, Y float64 }

// Circle is one pulley as the belt line sees it: what [Solver] works on. Most
// callers never build one; [New] does it for them.
type Circle struct {
	X, Y float64 // centre, mm
	R    float64 // radius of the belt line, mm
	Rim  float64 // radius of the solid pulley, mm; nothing else may enter it
	Turn float64 // Anticlockwise or Clockwise
}

// Span is the straight belt between two pulleys, in the direction of travel.
type Span struct {
	From, To Point   // tangent points, mm
	Dir      Point   // unit vector of travel
	LengthMM float64 // free length, tangent to tangent, mm
}

// HeadingDeg is the direction of travel, degrees anticlockwise from the x axis,
// between -180 and 180.
func (s Span) HeadingDeg() float64 { return deg(math.Atan2(s.Dir.Y, s.Dir.X)) }

// Path is the belt line over a list of circles. Span i leads from circle i to
// circle i+1, the last one back to circle 0.
type Path struct {
	Spans    []Span
	WrapRad  []float64 // angle of contact on each circle, 0 to 2*pi
	LengthMM float64   // of the whole line
	TurnRad  float64   // sum of Turn times wrap: one whole turn for a belt that closes
}

// Fault is why a path can't be, as a plain value so that a search can throw
// thousands away without allocating. A, B and C are indices of circles.
type Fault struct {
	Reason  Reason
	A, B, C int
	MM      float64
}

// OK reports whether there is no fault.
func (f Fault) OK() bool { return f.Reason == NoFault }

// Solver lays the belt line over a list of circles. The zero value is ready.
// It owns the path it returns, which holds until the next call, and allocates
// nothing; one Solver serves one goroutine.
type Solver struct {
	path  Path
	spans [MaxPulleys]Span
	wraps [MaxPulleys]float64
}

// Solve finds spans, wraps and length in the order given, without asking
// whether the belt could physically lie there: see [Solver.Check] and
// [Closes]. Faults: PulleyCount, NoTangent, BadInput.
//
// Method: for centres d apart and k = Turn_i*R_i - Turn_j*R_j the span is
// sqrt(d*d-k*k) long and its direction is the line of centres turned by
// asin(k/d); the wrap is the angle between the directions in and out. This is
// the tangent geometry of belts.md section 1, with the rotation written out so
// that the only transcendental function per pulley is one arctangent.
func (s *Solver) Solve(cs []Circle) (*Path, Fault) {
	n := len(cs)
	if n < MinPulleys || n > MaxPulleys {
		return nil, Fault{Reason: PulleyCount, A: n}
	}
	length := 0.0
	for i := range cs {
		j := i + 1
		if j == n {
			j = 0
		}
		if f := s.span(&cs[i], &cs[j], i, j); !f.OK() {
			return nil, f
		}
		length += s.spans[i].LengthMM
	}
	turn, in := 0.0, n-1
	for i := range cs {
		w := wrap(s.spans[in].Dir, s.spans[i].Dir, cs[i].Turn)
		s.wraps[i] = w
		length += cs[i].R * w
		turn += cs[i].Turn * w
		in = i
	}
	if math.IsNaN(length) || math.IsInf(length, 0) {
		return nil, Fault{Reason: BadInput}
	}
	s.path = Path{Spans: s.spans[:n], WrapRad: s.wraps[:n], LengthMM: length, TurnRad: turn}
	return &s.path, Fault{}
}

func (s *Solver) span(a, b *Circle, i, j int) Fault {
	sp, ok := tangent(a, b)
	if !ok {
		return Fault{Reason: NoTangent, A: i, B: j}
	}
	s.spans[i] = sp
	return Fault{}
}

// tangent is the span from a to b; false when there is none.
func tangent(a, b *Circle) (Span, bool) {
	dx, dy := b.X-a.X, b.Y-a.Y
	ra, rb := a.Turn*a.R, b.Turn*b.R
	k := ra - rb
	d2 := dx*dx + dy*dy
	l2 := d2 - k*k
	if !(l2 > 0) {
		return Span{}, false
	}
	l, inv := math.Sqrt(l2), 1/d2
	ux, uy := (dx*l-dy*k)*inv, (dy*l+dx*k)*inv
	return Span{
		From:     Point{a.X + ra*uy, a.Y - ra*ux},
		To:       Point{b.X + rb*uy, b.Y - rb*ux},
		Dir:      Point{ux, uy},
		LengthMM: l,
	}, true
}

// wrap is the angle the belt turns through on a pulley. Within 1e-9 of a whole
// turn it is no wrap at all that rounding has thrown to the other end.
func wrap(in, out Point, turn float64) float64 {
	sin := turn * (in.X*out.Y - in.Y*out.X)
	cos := in.X*out.X + in.Y*out.Y
	w := math.Atan2(sin, cos)
	if w < 0 {
		w += 2 * math.Pi
		if w > 2*math.Pi-1e-9 {
			w = 0
		}
	}
	return w
}

// Closes reports whether the belt turns through exactly one revolution, which
// a belt lying flat in one plane without crossing itself must.
func Closes(p *Path) bool { return math.Abs(math.Abs(p.TurnRad)-2*math.Pi) < 1e-6 }

// LengthRate is the change of the path's length, mm, per mm that circle i moves
// along the direction (dx, dy): d . (dir in - dir out). It follows from virtual
// work; belts.md section 4.
func (p *Path) LengthRate(i int, dx, dy float64) float64 {
	in, out := p.in(i).Dir, p.Spans[i].Dir
	return dx*(in.X-out.X) + dy*(in.Y-out.Y)
}

// in is the span arriving at circle i.
func (p *Path) in(i int) *Span {
	if i == 0 {
		return &p.Spans[len(p.Spans)-1]
	}
	return &p.Spans[i-1]
}

func deg(rad float64) float64 { return rad * (180 / math.Pi) }
func rad(deg float64) float64 { return deg * (math.Pi / 180) }

func finite(vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
