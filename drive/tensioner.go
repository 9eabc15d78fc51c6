package drive

import (
	"math"
	"slices"
)

// TensionerKind is how the run is kept tight.
type TensionerKind uint8

// Kinds of tensioner. The two adjusters are moved by hand and clamped; the two
// spring kinds follow the belt.
const (
	NoTensioner   TensionerKind = iota // all centres fixed
	SlideAdjuster                      // clamped, along a slot
	SwingAdjuster                      // clamped, round a pivot bolt
	SpringSlider                       // sprung, along a line
	SpringArm                          // sprung, round a pivot
)

// Sprung reports whether a spring holds the tension.
func (k TensionerKind) Sprung() bool { return k == SpringSlider || k == SpringArm }

// Swings reports whether the pulley moves round a pivot.
func (k TensionerKind) Swings() bool { return k == SwingAdjuster || k == SpringArm }

// Mark is an indicator mark of a tensioner.
type Mark struct {
	Name string
	At   float64 // position, see Tensioner
}

// Tensioner is the pulley that moves. Positions count from where the pulley is
// drawn: degrees anticlockwise for the kinds that swing, mm along SlideDeg for
// those that slide. Which way tightens the belt is found from the geometry.
type Tensioner struct {
	Kind     TensionerKind
	Pulley   string  // name of the pulley that moves
	Pivot    Point   // for the kinds that swing
	SlideDeg float64 // direction of a slide, degrees anticlockwise from the x axis
	Low      float64 // position of the stop on the negative side, 0 or less
	High     float64 // position of the stop on the positive side, 0 or more
	Spring   float64 // as drawn: N.m about the pivot, or N along the slide
	Rate     float64 // rise of Spring per degree or mm towards a tighter spring
	SetN     float64 // adjuster or no tensioner: tension per span when set, N
	Marks    []Mark
}

// unit is what positions are in.
func (t *Tensioner) unit() string {
	if t.Kind.Swings() {
		return "degrees"
	}
	return "mm"
}

func (t *Tensioner) validate(r *Run) (errs []error) {
	bad := func(code Code, args ...Arg) { errs = append(errs, badInput(code, args...)) }
	if t.Kind > SpringArm {
		bad("tensioner kind")
		return errs
	}
	if !within(t.SetN, 0, 1e6) {
		bad("set tension", figure("tension", t.SetN, "N"))
	}
	if t.Kind == NoTensioner {
		return errs
	}
	i := r.Index(t.Pulley)
	if i < 0 {
		bad("tensioner pulley", called("pulley", t.Pulley))
	} else if r.Pulleys[i].Driver {
		bad("tensioner drives", called("pulley", t.Pulley))
	}
	if !within(t.Low, -360, 0) || !within(t.High, 0, 360) || t.Low == t.High {
		bad("stops", figure("low", t.Low, t.unit()), figure("high", t.High, t.unit()))
	}
	if t.Kind.Swings() && t.High-t.Low > 180 {
		bad("half a turn", figure("low", t.Low, "degrees"), figure("high", t.High, "degrees"))
	}
	if !within(t.Pivot.X, -tooBig, tooBig) || !within(t.Pivot.Y, -tooBig, tooBig) || !within(t.SlideDeg, -720, 720) {
		bad("pivot or direction")
	}
	if t.Kind.Swings() && i >= 0 {
		if c := r.Pulleys[i].Centre; math.Hypot(c.X-t.Pivot.X, c.Y-t.Pivot.Y) < 1 {
			bad("no arm")
		}
	}
	if !within(t.Spring, 0, 1e6) || !within(t.Rate, 0, 1e6) {
		bad("spring", figure("spring", t.Spring, ""), figure("rate", t.Rate, ""))
	}
	if slices.ContainsFunc(t.Marks, func(m Mark) bool { return !within(m.At, -360, 360) }) {
		bad("mark")
	}
	return errs
}

// mover moves the tensioner pulley. Its coordinate q is radians for the kinds
// that swing and mm for those that slide; user positions are degrees or mm.
type mover struct {
	kind   TensionerKind
	idx    int     // -1: nothing moves
	c0     Point   // centre as drawn, or the pivot
	arm    float64 // mm
	alpha0 float64 // rad
	dir    Point
	unit   float64 // q per user position
}

func newMover(r *Run) mover {
	t := &r.Tensioner
	m := mover{kind: t.Kind, idx: -1, unit: 1}
	if t.Kind == NoTensioner {
		return m
	}
	m.idx = r.Index(t.Pulley)
	c := r.Pulleys[m.idx].Centre
	if t.Kind.Swings() {
		m.c0, m.unit = t.Pivot, math.Pi/180
		m.arm = math.Hypot(c.X-t.Pivot.X, c.Y-t.Pivot.Y)
		m.alpha0 = math.Atan2(c.Y-t.Pivot.Y, c.X-t.Pivot.X)
		return m
	}
	m.c0 = c
	sin, cos := math.Sincos(rad(t.SlideDeg))
	m.dir = Point{cos, sin}
	return m
}

// at is the centre at q and its rate of change with q.
func (m *mover) at(q float64) (c, rate Point) {
	if !m.kind.Swings() {
		return Point{m.c0.X + q*m.dir.X, m.c0.Y + q*m.dir.Y}, m.dir
	}
	sin, cos := math.Sincos(m.alpha0 + q)
	return Point{m.c0.X + m.arm*cos, m.c0.Y + m.arm*sin}, Point{-m.arm * sin, m.arm * cos}
}
