package belt

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/runwords"
)

// Code says which of a room's reasons is meant; the arguments stand beside it.
// Only the words files phrase it.
type Code string

// What is answered of a run (Answer).
const (
	CannotBe   Code = "cannot be"      // Refused says why
	Toothed    Code = "toothed"        // ordered by its teeth, not by a length
	NeedsBelt  Code = "needs a belt"   // none is known: Layout and Lengths say which
	StretchFit Code = "stretch fit"    // no published rule checks its length
	TooShort   Code = "too short"      // by NoFit.MM
	TooLong    Code = "too long"       // by NoFit.MM
	NotSaid    Code = "cannot be said" // NoFit says why
	CannotTurn Code = "cannot turn"    // of the right length, but it cannot be at the speed At
	FitsDrawn  Code = "fits as drawn"  // and no pulley is drawn that moves
	Fits       Code = "fits"           // Fit says where the tensioner stands
)

// What is answered of a run after a change, beside CannotBe, CannotTurn and
// Fits.
const (
	StillFits Code = "still fits"     // as before the change
	NoLonger  Code = "no longer fits" // it did before the change
	FitsNot   Code = "does not fit"   // nor did it before the change
	NotLaid   Code = "not compared"   // one of the two cannot be laid out
)

// Why there are no tensions (Untold).
const (
	NoSlip    Code = "does not slip"   // a toothed belt
	NoTension Code = "tension unknown" // nothing says how tight the belt is
)

// How a belt that fits stands (Answer).
const (
	InMarks  Code = "between marks"    // the pointer
	OffMarks Code = "outside marks"    // the pointer
	ShortEnd Code = "short end passes" // made at the short end of its tolerance it passes the fitting stop
	LongEnd  Code = "long end passes"  // made at the long end of its tolerance it passes the take-up stop
)

// Where the belt is known from (Known).
const (
	InSheet Code = "sheet"  // named in the vehicle's sheet
	InFile  Code = "file"   // named in the run's own file
	Fitted  Code = "fitted" // by the journal, on On
	Asked   Code = "asked"  // it is the one asked about; of a speed: the one asked about
)

// Engine speeds (State).
const (
	Idle    Code = "idle"
	Usual   Code = "usual"
	Highest Code = "highest"
)

// What is done to a run (Alteration).
const (
	Resized Code = "resized"  // Pulley to MM instead of Was, mm
	Moved   Code = "moved"    // Pulley to X, Y, mm
	LeftOut Code = "left out" // Pulley
	Added   Code = "added"    // an idler of MM at X, Y, mm
)

// What is doubtful about a belt that was asked about (Doubt).
const (
	OtherGrooves Code = "other grooves" // Section needs other grooves than Was
	OtherRibs    Code = "other ribs"    // Ribs instead of WasRibs
)

// How a tapped tone agrees with what is worked out (TapAnswer).
const (
	Agrees   Code = "agrees"
	Octave   Code = "octave"    // the tone taken was probably the second
	HalfTone Code = "half tone" // the tone taken was probably one below the true one
	Differs  Code = "differs"   // neither
)

// What wear and the tensioner say of each other (Wear).
const (
	RibsGone Code = "ribs gone" // a share of the ribs was found gone: the tensioner must stand so
	NoWear   Code = "no wear"   // the tensioner stands where a new belt puts it, or before
	Worn     Code = "worn"      // the tensioner stands further on: the belt sits deeper
)

// Known says where the belt of a run is known from.
type Known struct {
	Code Code
	On   civil.Date // Fitted
}

// Untold is why no tensions are worked out.
type Untold struct {
	Code    Code           // NoSlip or NoTension
	Refusal *drive.Refusal // NoTension: what is missing
}

// Doubt is what is doubtful about a belt that was asked about.
type Doubt struct {
	Code          Code
	Section, Was  string
	Ribs, WasRibs float64
}

// Alteration is one change to a run: mm.
type Alteration struct {
	Code    Code
	Pulley  string
	MM, Was float64
	X, Y    float64
}

// Answer is what is said of a run first, as data. Refusals that it rests on
// are part of it, so that no answer stands above its own refusal.
type Answer struct {
	Code    Code
	At      *State           // CannotTurn: the lowest speed at which it cannot be
	Slips   *drive.SlipPoint // what slips first; nil where that is not known
	Untold  *Untold          // why that is not known, where something is missing
	Pointer Code             // Fits: between its marks, outside them, or "" where it has none
	Made    Code             // Fits: the end of its tolerance that would not, or ""
}

// Answer says whether the belt fits and what slips first, or why that cannot
// be.
func (b *Run) Answer() Answer {
	a := Answer{Code: b.fits(), At: b.refusedAt(), Slips: b.weakest(), Untold: b.Untold}
	if a.Code == Fits || a.Code == CannotTurn && b.moves() {
		a.Pointer, a.Made = b.pointer(), b.madeAt()
	}
	return a
}

func (b *Run) fits() Code {
	switch {
	case len(b.Refused) > 0:
		return CannotBe
	case b.toothed():
		return Toothed
	case b.Source.Belt.LengthMM == 0:
		return NeedsBelt
	case b.Source.Belt.Stretch:
		return StretchFit
	case b.NoFit != nil:
		return misfit(b.NoFit)
	case b.refusedAt() != nil:
		return CannotTurn
	case !b.moves():
		return FitsDrawn
	}
	return Fits
}

func misfit(r *drive.Refusal) Code {
	switch r.Reason {
	case drive.BeltTooShort:
		return TooShort
	case drive.BeltTooLong:
		return TooLong
	}
	return NotSaid
}

// moves reports whether the run has a tensioner or adjuster.
func (w *Work) moves() bool { return w.Source.Tensioner.Kind != drive.NoTensioner }

// refusedAt is the state of lowest speed that cannot be, or nil.
func (w *Work) refusedAt() *State {
	var lowest *State
	for i := range w.States {
		if st := &w.States[i]; st.Refused != nil && (lowest == nil || st.RPM < lowest.RPM) {
			lowest = st
		}
	}
	return lowest
}

// pointer says how the tensioner's pointer stands to its marks.
func (b *Run) pointer() Code {
	switch f := b.Fit; {
	case !f.InMarks:
		return OffMarks
	case f.Between[0] != "" && f.Between[1] != "":
		return InMarks
	}
	return ""
}

// madeAt says at which end of its tolerance the belt would not fit, "" at
// neither.
func (b *Run) madeAt() Code {
	l, length := b.Lengths, b.Source.Belt.LengthMM
	switch {
	case l == nil || l.FromMM > l.ToMM:
		return ""
	case length > l.ToMM:
		return LongEnd
	case length < l.FromMM:
		return ShortEnd
	}
	return ""
}

// Answer says what a change comes to.
func (c *Change) Answer() Answer {
	a := Answer{At: c.After.refusedAt(), Slips: c.After.weakest(), Untold: c.After.Untold}
	switch {
	case len(c.After.Refused) > 0:
		a.Code = CannotBe
	case c.Versus == nil:
		a.Code = NotLaid
	case !c.Versus.BeltFits && c.fitted:
		a.Code = NoLonger
	case !c.Versus.BeltFits:
		a.Code = FitsNot
	case a.At != nil:
		a.Code = CannotTurn
	case c.fitted:
		a.Code = StillFits
	default:
		a.Code = Fits
	}
	return a
}

// refusal is the owner's error from a refusal of package drive.
func refusal(where string, why *drive.Refusal, err error) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: runwords.Text(why),
		Hint: runwords.Remedy(why), Err: err}
}
