package survey

import (
	"fmt"
	"math"
	"strings"

	"undertray.example/undertray/drive"
)

// Kind says what was measured.
type Kind uint8

// Kinds of measure. All but Belt are of the pulleys' rims as [drive.Pulley].DiameterMM states them.
const (
	Diameter Kind = iota // of pulley A
	Centres              // from the centre of A to the centre of B
	Over                 // over the outsides of A and B, along the line of their centres
	Gap                  // from the rim of A to the rim of B, along that line
	Belt                 // effective length of the belt that is on; no pulley
)

var kindNames = [...]string{"diameter", "centres", "over", "gap", "belt"}

// String names the kind in one word.
func (k Kind) String() string {
	if int(k) < len(kindNames) {
		return kindNames[k]
	}
	return fmt.Sprintf("kind %d", uint8(k))
}

// UsualSD is the standard error, mm, that a measure of this kind is given where none is stated: a calliper over a
// rim, a tape to centres that are judged by eye, a tape over rims. From memory; for a belt see
// [drive.LengthToleranceMM], of which half is taken.
func (k Kind) UsualSD() float64 { return [...]float64{0.2, 2, 1, 1, 5}[min(k, Belt)] }

// Measure is one length, mm.
type Measure struct {
	Kind Kind
	A, B string  // pulleys, by name; B for pairs only
	MM   float64 // above 0
	SDMM float64 // its standard error; 0: the usual one of its kind
}

// Code says what is wrong. It names the figures beside it and is never shown to an owner.
type Code string

// What can be wrong.
const (
	BadNumber    Code = "not a usable number"          // Value, of Measure or of the photograph
	NoPulley     Code = "no such pulley"               // Measure
	SamePulley   Code = "one pulley twice"             // Measure
	TooFew       Code = "too few touches"              // Pulleys, Value: touches wanted of each
	TooFewRims   Code = "too few rims touched in five" // Value: wanted
	NoEllipse    Code = "touches lie on no ellipse"    // Pulleys
	NoSketch     Code = "two centres in one place"     // Pulleys
	NoScale      Code = "nothing says how large it is"
	Undetermined Code = "not determined by the measures" // Pulleys
	NotSettled   Code = "the adjustment did not settle"
)

// Fault is an error of this package, as data; use errors.As. What the belt's way round is refused for is a
// *[drive.Refusal].
type Fault struct {
	Code    Code
	Pulleys []string
	Measure int // index of the measure meant, or -1
	Value   float64
}

// Error is the code with its arguments, for programmers.
func (f *Fault) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "survey: %s", f.Code)
	for _, p := range f.Pulleys {
		fmt.Fprintf(&b, " %.40q", p)
	}
	if f.Measure >= 0 {
		fmt.Fprintf(&b, " measure=%d", f.Measure)
	}
	if f.Value != 0 {
		fmt.Fprintf(&b, " value=%g", f.Value)
	}
	return b.String()
}

func fault(c Code, value float64, pulleys ...string) *Fault {
	return &Fault{Code: c, Pulleys: pulleys, Measure: -1, Value: value}
}

// taken is a measure with its pulleys found.
type taken struct {
	Measure
	a, b int
}

func within(v, lo, hi float64) bool { return v >= lo && v <= hi } // false for NaN

const mostMM = 1e5 // as drive has it

// take checks measures against the pulleys of a run.
func take(run *drive.Run, ms []Measure) ([]taken, error) {
	out := make([]taken, len(ms))
	for i, m := range ms {
		bad := func(c Code, v float64) error { return &Fault{Code: c, Measure: i, Value: v} }
		t := taken{m, run.Index(m.A), run.Index(m.B)}
		switch {
		case m.Kind > Belt:
			return nil, bad(BadNumber, float64(m.Kind))
		case !within(m.MM, 1e-3, mostMM):
			return nil, bad(BadNumber, m.MM)
		case m.SDMM != 0 && !within(m.SDMM, 1e-6, mostMM):
			return nil, bad(BadNumber, m.SDMM)
		case m.Kind != Belt && t.a < 0, m.Kind.pair() && t.b < 0:
			return nil, bad(NoPulley, 0)
		case m.Kind.pair() && t.a == t.b:
			return nil, bad(SamePulley, 0)
		}
		if m.SDMM == 0 {
			t.SDMM = m.Kind.UsualSD()
			if m.Kind == Belt {
				t.SDMM = drive.LengthToleranceMM(m.MM) / 2
			}
		}
		out[i] = t
	}
	return out, nil
}

func (k Kind) pair() bool { return k == Centres || k == Over || k == Gap }

// of is what a measure should read on a shape.
func (m *taken) of(s *shape) float64 {
	switch m.Kind {
	case Diameter:
		return s.d[m.a]
	case Belt:
		return s.length()
	}
	d := math.Hypot(s.c[m.a].X-s.c[m.b].X, s.c[m.a].Y-s.c[m.b].Y)
	half := (s.d[m.a] + s.d[m.b]) / 2
	switch m.Kind {
	case Over:
		return d + half
	case Gap:
		return d - half
	}
	return d
}
