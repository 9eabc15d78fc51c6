package belt

import (
	"slices"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/listen"
)

// What was taken to be so before a recording was read (Assumption).
const (
	RunLeftOut    Code = "run left out"   // the run Name cannot be worked out: Refusal
	WhineTaken    Code = "whine taken"    // of the alternator Name: 36 cycles per turn
	UsualInside   Code = "usual inside"   // of the bearing of Name: Bearing
	InsideUnknown Code = "inside unknown" // of the bearing of Name: only a knock once per turn can be heard
	UsualTried    Code = "usual tried"    // the bearing of Name is not known: Tried usual ones are tried
	FourCylinders Code = "four cylinders" // the sheet does not say how many
)

// Assumption is something taken to be so before a recording was read.
type Assumption struct {
	Code       Code
	Name       string            // of the source, or of the run
	Refusal    *drive.Refusal    // RunLeftOut
	Bearing    catalogue.Bearing // UsualInside
	OuterTurns bool              // UsualInside: its outer ring is taken to turn, too
	Tried      int               // UsualTried
}

func (h *Heard) assume(a Assumption) { h.Assumed = append(h.Assumed, a) }

// What a recording answers (HeardAnswer).
const (
	NothingOut  Code = "nothing stands out" // from what chance reaches
	SpeedUnsure Code = "speed unsupported"  // First fits best, but the engine speed is not borne out
	Undecided   Code = "undecided"          // between First and Next
	WhineOut    Code = "whine"              // First is the alternator's whine; a sound one makes it too
	TurnAlike   Code = "turn alike"         // the pulleys of First turn alike
	OneNamed    Code = "named"              // First
)

// HeardAnswer is what a recording of the running engine answers, as data.
type HeardAnswer struct {
	Code     Code
	First    listen.Suspect
	Next     *listen.Suspect // who comes next, however far behind; nil where nobody comes near
	Doubtful bool            // the recording itself is in doubt
}

// nextScore is the score below which nobody comes next.
const nextScore = 0.5

// doubtful are the warnings for which a recording itself is in doubt.
var doubtful = []listen.WarningKind{listen.Clipped, listen.Steps, listen.Lossy, listen.Coarse}

// Answer says which pulley makes the noise, or that the recording does not
// tell.
func (h *Heard) Answer() HeardAnswer {
	k := &h.Ranking
	a := HeardAnswer{First: k.Suspects[0], Doubtful: slices.ContainsFunc(k.Warnings, func(w listen.Warning) bool {
		return slices.Contains(doubtful, w.Kind)
	})}
	if len(k.Suspects) > 1 && k.Suspects[1].Score >= max(k.False, nextScore) {
		a.Next = &k.Suspects[1]
	}
	switch {
	case k.Outcome == listen.Quiet:
		a.Code = NothingOut
	case !k.Crank.Supported:
		a.Code = SpeedUnsure
	case k.Outcome == listen.Unclear:
		a.Code, a.Next = Undecided, &k.Suspects[1]
	case a.First.Shows == listen.ShowsTone:
		a.Code = WhineOut
	case len(a.First.Pulleys) > 1:
		a.Code = TurnAlike
	default:
		a.Code = OneNamed
	}
	return a
}

// What can be tried next (Trials).
const (
	TryWater Code = "water"    // on the ribs
	TryLoad  Code = "load"     // off, then on
	TryOff   Code = "belt off" // and each pulley turned by hand
)

// Trials are what to try next, the most telling for this noise first (common
// practice).
func (h *Heard) Trials() []Code {
	switch {
	case h.Sort != nil && (h.Sort.Sort == listen.Chirp || h.Sort.Sort == listen.Squeal):
		return []Code{TryWater, TryLoad, TryOff}
	case h.Tonal():
		return []Code{TryLoad, TryOff, TryWater}
	}
	return []Code{TryOff, TryLoad, TryWater}
}

// Drowned reports whether the engine's own beats are missing although its
// speed was given: a loud noise may drown them.
func (h *Heard) Drowned() bool { return !h.Ranking.Crank.Supported && h.Question.RPM > 0 }

// RPMOf is the speed at which a suspect turns, as heard.
func (h *Heard) RPMOf(q listen.Suspect) float64 {
	s := h.source(suspectNames(q)[0])
	if s == nil {
		return 0
	}
	return s.Ratio * h.Ranking.Crank.Hz * 60 * (1 + q.Shift)
}

// moreEngine asks for a recording in which the engine is heard as well.
const moreEngine listen.Code = "where the engine is heard as well"

// more lists which recordings would tell more.
func (h *Heard) more() []listen.Code {
	if !h.Drowned() {
		return h.Ranking.More
	}
	return append([]listen.Code{moreEngine}, h.Ranking.More...)
}
