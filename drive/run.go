package drive

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"undertray.example/undertray/internal/message"
)

// Side is the side of the belt a pulley runs on.
type Side uint8

// Sides of the belt. RibSide is the inner side of any section.
const (
	RibSide Side = iota
	BackSide
)

// String is "ribs" or "back".
func (s Side) String() string { return s.Message().String() }

// Message is String as a text.
func (s Side) Message() message.Text {
	if s == BackSide {
		return "back"
	}
	return "ribs"
}

// Pulley is one wheel of a run.
type Pulley struct {
	Name       string // unique within the run
	Centre     Point  // mm
	DiameterMM float64
	Measured   Measure // how DiameterMM was taken; Plain means a smooth rim
	GrooveDeg  float64 // 0: the section's own groove angle
	Side       Side
	Driver     bool // exactly one pulley of a run drives
	Load       Load // ignored for the driver; the zero value idles
	Bearing    *Bearing
	MaxRPM     float64 // 0: no limit known
	Alternator bool    // apply the speed limits of an alternator
	Axial      Axial   // where its plane lies, for alignment
}

// Belt is the belt of a run. The zero LengthMM means unknown: the run is then
// taken as drawn.
type Belt struct {
	Section    Section
	Ribs       float64 // ribs, V strands, or mm of width for flat
	LengthMM   float64 // effective length, as printed on the belt
	Stretch    bool    // stretch-fit: no tensioner, no length check
	KgPerM     float64 // weighed mass over length; 0: estimated from the section
	StiffnessN float64 // tension that would stretch it by 100 %, N; 0: unknown
}

// MassKgPerM is the mass per metre and whether it was weighed; otherwise it is
// an estimate from memory.
func (b Belt) MassKgPerM() (kgPerM float64, weighed bool) {
	if b.KgPerM > 0 {
		return b.KgPerM, true
	}
	return b.Section.RibKgPerM * b.Ribs, false
}

// Friction is the friction a slip margin is judged with. Rubber on steel ranges
// from 0.25 to 0.5 (from memory) and wet or glazed belts have less, so results
// also say how much friction is needed. Zero means 0.3.
type Friction struct{ Mu float64 }

// DefaultMu is the coefficient used where none is given. From memory.
const DefaultMu = 0.3

func (f Friction) mu() float64 {
	if f.Mu > 0 {
		return f.Mu
	}
	return DefaultMu
}

// Run is one belt with the pulleys it goes over, listed in order of travel.
type Run struct {
	Pulleys     []Pulley
	Belt        Belt
	Tensioner   Tensioner
	DriverTurns int // Clockwise, Anticlockwise, or 0: follows from the order
	Friction    Friction
}

// Index is the place of the pulley of that name, or -1.
func (r *Run) Index(name string) int {
	return slices.IndexFunc(r.Pulleys, func(p Pulley) bool { return p.Name == name })
}

// clone copies what a change might touch.
func (r Run) clone() Run {
	r.Pulleys = slices.Clone(r.Pulleys)
	r.Tensioner.Marks = slices.Clone(r.Tensioner.Marks)
	return r
}

const tooBig = 1e5 // mm; a hundred metres is no belt run

// Validate checks the figures of a run without its geometry. All faults come
// back at once, joined, each a *Refusal with reason BadInput or PulleyCount; then, of figures
// that are right in themselves, pulleys too small for the belt.
func (r *Run) Validate() error {
	var errs []error
	if n := len(r.Pulleys); n < MinPulleys || n > MaxPulleys {
		errs = append(errs, refuse(Fault{Reason: PulleyCount, A: n}, nil))
	}
	seen, drivers := map[string]bool{}, 0
	for i := range r.Pulleys {
		p := &r.Pulleys[i]
		errs = append(errs, p.validate(i)...)
		if seen[p.Name] {
			errs = append(errs, badInput("name twice", called("pulley", p.Name)))
		}
		seen[p.Name] = true
		if p.Driver {
			drivers++
		}
	}
	if drivers != 1 {
		errs = append(errs, badInput("not one driver", figure("drivers", float64(drivers), "")))
	}
	if r.DriverTurns < -1 || r.DriverTurns > 1 {
		errs = append(errs, badInput("driver turns", figure("turns", float64(r.DriverTurns), "")))
	}
	if !within(r.Friction.Mu, 0, 5) {
		errs = append(errs, badInput("friction", figure("mu", r.Friction.Mu, "")))
	}
	errs = append(errs, r.Belt.validate()...)
	errs = append(errs, r.Tensioner.validate(r)...)
	if err := errors.Join(errs...); err != nil {
		return err
	}
	return r.tooSmall()
}

func (p *Pulley) validate(i int) (errs []error) {
	name := p.Name
	if name == "" {
		name = fmt.Sprintf("pulley %d", i+1)
		errs = append(errs, badInput("no name", figure("number", float64(i+1), "")))
	}
	bad := func(code Code, args ...Arg) {
		errs = append(errs, badInput(code, append([]Arg{called("pulley", name)}, args...)...))
	}
	if !within(p.Centre.X, -tooBig, tooBig) || !within(p.Centre.Y, -tooBig, tooBig) {
		bad("centre", figure("x", p.Centre.X, "mm"), figure("y", p.Centre.Y, "mm"))
	}
	if !within(p.DiameterMM, 1, tooBig) {
		bad("diameter", figure("diameter", p.DiameterMM, "mm"))
	}
	if p.Measured > Plain {
		bad("measure")
	}
	if p.Side > BackSide {
		bad("side")
	}
	if p.GrooveDeg != 0 && !within(p.GrooveDeg, 20, 90) {
		bad("groove", figure("angle", p.GrooveDeg, "degrees"))
	}
	if !within(p.MaxRPM, 0, 1e6) {
		bad("speed limit", figure("speed", p.MaxRPM, "rpm"))
	}
	if !within(p.Axial.OffsetMM, -tooBig, tooBig) || !within(p.Axial.TiltXDeg, -45, 45) ||
		!within(p.Axial.TiltYDeg, -45, 45) {
		bad("out of line", figure("offset", p.Axial.OffsetMM, "mm"), figure("tilt x", p.Axial.TiltXDeg, "degrees"),
			figure("tilt y", p.Axial.TiltYDeg, "degrees"))
	}
	if err := p.Load.validate(name); err != nil {
		errs = append(errs, err)
	}
	if p.Bearing != nil {
		if err := p.Bearing.validate(name); err != nil {
			errs = append(errs, err)
		}
	}
	return errs
}

func (b *Belt) validate() (errs []error) {
	s := &b.Section
	if s.Name == "" {
		errs = append(errs, badInput("no section"))
	}
	if !within(b.Ribs, 0.1, 1000) {
		errs = append(errs, badInput("ribs", figure("ribs", b.Ribs, "")))
	}
	if b.LengthMM != 0 && !within(b.LengthMM, 50, tooBig) {
		errs = append(errs, badInput("length of the belt", figure("length", b.LengthMM, "mm")))
	}
	if b.KgPerM != 0 && !within(b.KgPerM, 1e-4, 100) {
		errs = append(errs, badInput("mass", figure("mass", b.KgPerM, "kg/m")))
	}
	if b.StiffnessN != 0 && !within(b.StiffnessN, 1000, 1e9) {
		errs = append(errs, badInput("stiffness", figure("stiffness", b.StiffnessN, "N")))
	}
	ok := within(s.PitchMM, 0, 100) && within(s.BallMM, 0, 100) && within(s.LineMM, -50, 50) &&
		within(s.OtherLine, -50, 50) && within(s.BackMM, 0, 50) &&
		within(s.ThickMM, 0, 50) && within(s.RibKgPerM, 0, 100) && within(s.TipMM, -20, 20) &&
		within(s.TipPerDeg, -5, 5) &&
		within(s.OverBallMM, -20, 20) && within(s.MinMM, 0, tooBig) && within(s.MinBackMM, 0, tooBig) &&
		within(s.MaxSpeed, 0, 1e4)
	if !ok || s.Family > Flat || (s.GrooveDeg != 0 && !within(s.GrooveDeg, 20, 90)) {
		errs = append(errs, badInput("section figures", called("section", s.Name)))
	}
	return errs
}

func within(v, lo, hi float64) bool { return !math.IsNaN(v) && v >= lo && v <= hi }
