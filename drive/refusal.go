package drive

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Reason says why a run, a belt or a question was refused.
type Reason uint8

// Reasons. Each is met once in [Refusal].
const (
	NoFault        Reason = iota
	BadInput              // a figure is missing, not finite or out of all proportion
	PulleyCount           // fewer than 2 or more than 20 pulleys
	PulleyInside          // a pulley lies wholly inside another
	PulleysOverlap        // two pulleys share space
	NoTangent             // two neighbours are too close for a belt between them on the sides given
	SpanBlocked           // a span passes through a third pulley
	SpansCross            // two spans cross
	WrongOrder            // the pulleys are not listed in the order the belt travels
	NotReached            // the belt does not touch a pulley on the side given
	DoesNotClose          // the belt does not come back on itself in one turn
	TurnsBackwards        // the order listed turns the driver the wrong way
	BeltTooShort          // even at the fitting stop the run needs a longer belt
	BeltTooLong           // even at the take-up stop the belt stays slack
	StretchBelt           // no length check is defined for stretch-fit belts
	NothingMoves          // the question needs a pulley that moves
	BeltSlack             // a span has no tension left
	OutsideTravel         // a tensioner position beyond its stops
	BadDesignation        // text that is not a belt designation
	NoTension             // nothing says how tight the belt is
)

var reasonText = [...]string{
	"no fault", "bad input", "number of pulleys", "pulley inside another", "pulleys overlap",
	"no tangent", "span through a third pulley", "spans cross", "wrong order", "pulley not reached",
	"run does not close", "turns the driver backwards", "belt too short", "belt too long",
	"stretch-fit belt", "no tensioner", "belt slack", "outside the tensioner's travel",
	"not a belt designation", "tension unknown",
}

// String names the reason in plain words.
func (r Reason) String() string {
	if int(r) < len(reasonText) {
		return reasonText[r]
	}
	return fmt.Sprintf("reason %d", uint8(r))
}

// Code says which case of a [Reason] is meant. It names the arguments that stand
// beside it, and is never shown to an owner: what is said of it is phrased
// elsewhere, in any language.
type Code string

// Arg is one argument of a refusal: a name, or a figure with its unit.
type Arg struct {
	Of    string  // what it is, such as "needs" or "pulley"
	Name  string  // of a pulley, a section, or what was typed; "" for a figure
	Value float64 // of a figure; it may be NaN or infinite where that is the fault
	Unit  string  // mm, degrees, N, N.m, rpm, Hz, kg/m; "" for a bare number
}

func called(of, name string) Arg { return Arg{Of: of, Name: name} }

func figure(of string, v float64, unit string) Arg { return Arg{Of: of, Value: v, Unit: unit} }

// The changes that can make a refused run work.
const (
	TurnRound Code = "listed the other way round"
	Swap      Code = "swapped"    // the two Pulleys
	OtherSide Code = "other side" // the pulley, on Side of the belt
)

// Suggestion is a change that makes a refused run work.
type Suggestion struct {
	Code    Code
	Pulleys []string // concerned, by name
	Side    Side     // OtherSide
	Run     Run      // the run so changed
}

// Refusal is the error of this package, as data: which rule is broken, which
// case of it, and the arguments of that case. Every error returned is a *Refusal
// or several of them joined by errors.Join; use errors.As.
type Refusal struct {
	Reason      Reason
	Code        Code
	Pulleys     []string // the pulleys concerned, by name
	MM          float64  // by how much, mm, where that has a meaning; otherwise 0
	Args        []Arg
	Suggestions []Suggestion
}

// Error is the code with its arguments, for programmers: an owner is told in
// words that are made of these elsewhere.
func (e *Refusal) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "drive: %s: %s", e.Reason, e.Code)
	for _, p := range e.Pulleys {
		fmt.Fprintf(&b, " %q", p)
	}
	for _, a := range e.Args {
		if a.Name != "" {
			fmt.Fprintf(&b, " %s=%.40q", a.Of, a.Name)
			continue
		}
		fmt.Fprintf(&b, " %s=%g%s", a.Of, a.Value, a.Unit)
	}
	return b.String()
}

func badInput(code Code, args ...Arg) *Refusal {
	return &Refusal{Reason: BadInput, Code: code, Args: args}
}

// refuse names the pulleys of a fault of the geometry.
func refuse(f Fault, ps []Pulley) *Refusal {
	name := func(i int) string {
		if i >= 0 && i < len(ps) {
			return ps[i].Name
		}
		return "?"
	}
	after := func(i int) string { return name((i + 1) % max(len(ps), 1)) }
	a, b := name(f.A), name(f.B)
	r := &Refusal{Reason: f.Reason, Code: Code(f.Reason.String()), Pulleys: []string{a, b}, MM: f.MM}
	switch f.Reason {
	case PulleyInside, PulleysOverlap, NoTangent:
	case SpanBlocked:
		r.Pulleys = append(r.Pulleys, name(f.C))
	case SpansCross:
		r.Pulleys = []string{a, after(f.A), b, after(f.B)}
	case NotReached:
		r.Pulleys, r.MM = []string{a}, 0
	case DoesNotClose:
		r.Pulleys, r.MM, r.Code = nil, 0, unclosed(f)
		if f.MM != 0 {
			r.Args = []Arg{figure("revolutions", math.Abs(f.MM), "")}
		}
	case PulleyCount:
		r.Pulleys, r.MM = nil, 0
		r.Args = []Arg{figure("pulleys", float64(f.A), ""), figure("least", MinPulleys, ""),
			figure("most", MaxPulleys, "")}
	default:
		r.Pulleys, r.Code = nil, "figures unusable"
	}
	return r
}

func unclosed(f Fault) Code {
	switch {
	case f.A == insideOut:
		return "ribs outwards"
	case f.MM == 0:
		return "figure of eight"
	}
	return "turns round"
}

// Refusals takes an error of this package apart, in the order in which it was
// joined. An error of another package comes back as unusable figures.
func Refusals(err error) []*Refusal {
	if err == nil {
		return nil
	}
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		var out []*Refusal
		for _, e := range many.Unwrap() {
			out = append(out, Refusals(e)...)
		}
		return out
	}
	var one *Refusal
	if errors.As(err, &one) {
		return []*Refusal{one}
	}
	return []*Refusal{badInput("figures unusable")}
}
