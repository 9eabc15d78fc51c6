package drive

import (
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

// Suggestion is a change that makes a refused run work.
type Suggestion struct {
	Text string // in the owner's words
	Run  Run    // the run so changed
}

// Refusal is the error of this package: what is wrong and what would be right,
// in words an owner can act on. Every error returned is a *Refusal or several
// of them joined by errors.Join; use errors.As.
type Refusal struct {
	Reason      Reason
	Pulleys     []string // the pulleys concerned, by name
	MM          float64  // by how much, mm, where that has a meaning; otherwise 0
	Text        string   // what is wrong
	Hint        string   // what would be right; may be empty
	Suggestions []Suggestion
}

// Error is the text, the hint and the first suggestion.
func (e *Refusal) Error() string {
	var b strings.Builder
	b.WriteString(e.Text)
	if e.Hint != "" {
		b.WriteString("; " + e.Hint)
	}
	if len(e.Suggestions) > 0 {
		b.WriteString("; " + e.Suggestions[0].Text)
	}
	return b.String()
}

func badInput(hint, format string, args ...any) *Refusal {
	return &Refusal{Reason: BadInput, Text: fmt.Sprintf(format, args...), Hint: hint}
}

// refuse puts a fault of the geometry into words.
func refuse(f Fault, ps []Pulley) *Refusal {
	name := func(i int) string {
		if i >= 0 && i < len(ps) {
			return ps[i].Name
		}
		return "?"
	}
	after := func(i int) string { return name((i + 1) % max(len(ps), 1)) }
	a, b := name(f.A), name(f.B)
	r := &Refusal{Reason: f.Reason, Pulleys: []string{a, b}, MM: f.MM}
	switch f.Reason {
	case PulleyInside:
		r.Text = fmt.Sprintf("the %s lies wholly inside the %s", a, b)
		r.Hint = "check both centres and whether a radius was entered as a diameter"
	case PulleysOverlap:
		r.Text = fmt.Sprintf("the %s and the %s overlap by %.1f mm", a, b, f.MM)
		r.Hint = "check both centres and diameters"
	case NoTangent:
		r.Text = fmt.Sprintf("no straight belt can run from the %s to the %s: they are too close for the sides given", a, b)
		r.Hint = "check the two centres and which of them runs on the back of the belt"
	case SpanBlocked:
		r.Pulleys = append(r.Pulleys, name(f.C))
		r.Text = fmt.Sprintf("the span from the %s to the %s passes through the %s, %.1f mm inside its rim", a, b, name(f.C), f.MM)
		r.Hint = "check the order of travel and the side of the belt on each of the three"
	case SpansCross:
		r.Text = fmt.Sprintf("the span %s to %s crosses the span %s to %s", a, after(f.A), b, after(f.B))
		r.Pulleys = []string{a, after(f.A), b, after(f.B)}
		r.Hint = "check the order of travel"
	case NotReached:
		r.Pulleys, r.MM = []string{a}, 0
		r.Text = fmt.Sprintf("the belt does not touch the %s on the side given", a)
		r.Hint = "check its place in the order and whether it runs on the ribs or on the back"
	case DoesNotClose:
		r.Pulleys, r.MM = nil, 0
		r.Text = unclosedText(f)
		r.Hint = "check the order of travel and the side of the belt on each pulley"
	case PulleyCount:
		r.Pulleys, r.MM = nil, 0
		r.Text = fmt.Sprintf("the run has %d pulleys", f.A)
		r.Hint = fmt.Sprintf("a run has %d to %d pulleys", MinPulleys, MaxPulleys)
	default:
		r.Pulleys, r.Text = nil, "the figures of this run are too large or not numbers"
	}
	return r
}

func unclosedText(f Fault) string {
	switch {
	case f.A == insideOut:
		return "the belt does not close with its ribs facing inwards"
	case f.MM == 0:
		return "the belt does not close: it would have to cross itself like a figure of eight"
	}
	return fmt.Sprintf("the belt does not close: round the whole run it turns through %.0f revolutions instead of one", math.Abs(f.MM))
}
