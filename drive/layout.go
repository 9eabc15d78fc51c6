package drive

import (
	"math"

	"undertray.example/undertray/internal/message"
)

// Placed is one pulley as the belt meets it.
type Placed struct {
	Name        string
	Centre      Point   // mm
	RadiusMM    float64 // of the effective line
	PitchMM     float64 // pitch radius
	RimMM       float64 // radius of the solid pulley
	WrapDeg     float64
	Turns       int // Clockwise or Anticlockwise
	Side        Side
	Wedged      bool // gripped by the ribs in grooves
	Enter       Point
	Leave       Point
	ClearanceMM float64 // rim to the nearest other pulley or span line; +9999 if there is none
}

// Leg is one span with the names of its pulleys.
type Leg struct {
	Leaves  string // pulley the belt leaves
	Reaches string // pulley it reaches next
	Span
}

// Layout is a run laid out at one position of its tensioner.
type Layout struct {
	Position    float64 // of the tensioner: degrees or mm from as drawn
	Pulleys     []Placed
	Spans       []Leg
	EffectiveMM float64 // effective length, to compare with the print on a belt
	PitchMM     float64 // length along the cord: EffectiveMM + 2 pi b_e
	Warnings    []Warning
}

// WarningKind says which limit a [Warning] is about.
type WarningKind string

// The limits that are watched.
const (
	SmallPulley     WarningKind = "small pulley"
	SmallBackPulley WarningKind = "small pulley on the back"
	LittleRoom      WarningKind = "little room"
	GroovedBack     WarningKind = "grooved pulley on the back"
	FastBelt        WarningKind = "fast belt"
	FastPulley      WarningKind = "fast pulley"
	FastAlternator  WarningKind = "fast alternator"
	SlowAlternator  WarningKind = "slow alternator"
)

// Warning is a limit passed, with who sets it. It does not stop the answer.
type Warning struct {
	Kind   WarningKind
	Pulley string // empty when the whole run is meant
	Value  float64
	Limit  float64
	Source message.Text
}

// Drawn is the run as drawn, at position 0.
func (d *Drive) Drawn() Layout {
	l, _ := d.LayoutAt(0)
	return l
}

// LayoutAt is the run with its tensioner at a position within its stops,
// degrees or mm from as drawn.
func (d *Drive) LayoutAt(position float64) (Layout, error) {
	q := position * d.mv.unit
	if !(q >= d.sweep.lo-1e-12 && q <= d.sweep.hi+1e-12) {
		return Layout{}, &Refusal{Reason: OutsideTravel,
			Code: "outside travel", Args: []Arg{d.stand("at", q), d.stand("from", d.sweep.lo),
				d.stand("to", d.sweep.hi)}}
	}
	ps := d.newPose()
	if _, f := d.move(ps, q); !f.OK() {
		return Layout{}, refuse(f, d.run.Pulleys)
	}
	return d.layout(ps, position), nil
}

const nothingNear = 9999

func (d *Drive) layout(ps *pose, position float64) Layout {
	n, line := len(ps.cs), d.run.Belt.Section.LineMM
	var near [MaxPulleys]float64
	clearances(ps.cs, ps.path, near[:])
	l := Layout{
		Position: position, EffectiveMM: ps.path.LengthMM,
		PitchMM: ps.path.LengthMM + 2*math.Pi*line,
		Pulleys: make([]Placed, n), Spans: make([]Leg, n),
	}
	for i := range ps.cs {
		c, p := &ps.cs[i], &d.run.Pulleys[i]
		l.Pulleys[i] = Placed{
			Name: p.Name, Centre: Point{c.X, c.Y}, RadiusMM: c.R, PitchMM: d.pitch[i], RimMM: c.Rim,
			WrapDeg: deg(ps.path.WrapRad[i]), Turns: int(c.Turn), Side: p.Side, Wedged: d.ribbed[i] && d.groove(i) > 0,
			Enter: ps.path.in(i).To, Leave: ps.path.Spans[i].From,
			ClearanceMM: math.Min(near[i], nothingNear),
		}
		l.Spans[i] = Leg{Leaves: p.Name, Reaches: d.run.Pulleys[(i+1)%n].Name, Span: ps.path.Spans[i]}
	}
	l.Warnings = d.layoutWarnings(&l)
	return l
}

// groove is the groove angle a pulley grips with, degrees; 0 for none.
func (d *Drive) groove(i int) float64 {
	if !d.ribbed[i] {
		return 0
	}
	if g := d.run.Pulleys[i].GrooveDeg; g > 0 && d.run.Belt.Section.Family != Flat {
		return g
	}
	return d.run.Belt.Section.GrooveDeg
}

func (d *Drive) layoutWarnings(l *Layout) (ws []Warning) {
	s := &d.run.Belt.Section
	for i := range l.Pulleys {
		p := &l.Pulleys[i]
		if eff := 2 * p.RadiusMM; d.ribbed[i] && s.MinMM > 0 && eff < s.MinMM {
			ws = append(ws, Warning{SmallPulley, p.Name, eff, s.MinMM, s.source("smallest effective diameter")})
		}
		if dia := 2 * p.RimMM; p.Side == BackSide && s.MinBackMM > 0 && dia < s.MinBackMM {
			ws = append(ws, Warning{SmallBackPulley, p.Name, dia, s.MinBackMM, s.source("smallest pulley on the back")})
		}
		if p.ClearanceMM < s.ThickMM {
			ws = append(ws, Warning{LittleRoom, p.Name, p.ClearanceMM, s.ThickMM, "geometry"})
		}
		if p.Side == BackSide && d.run.Pulleys[i].Measured != Plain && s.Family == Ribbed {
			ws = append(ws, Warning{GroovedBack, p.Name, 0, 0, "common practice: a smooth pulley belongs there"})
		}
	}
	return ws
}

// source is where a figure of the section comes from.
func (s *Section) source(name string) message.Text {
	for _, f := range s.Figures {
		if f.Name == name {
			return message.Of("%s (%s)", f.Source, f.Standing)
		}
	}
	return "set by the caller"
}
