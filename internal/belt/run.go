package belt

import (
	"errors"
	"strings"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/units"
)

// Question is what is asked about a run beyond how it stands. The zero
// value asks nothing more.
type Question struct {
	Belt     string   // designation of a belt to try, such as 6PK1880
	RPM      *float64 // of the crank pulley, beside idle, usual and highest; nil: no more
	LeaveOut string   // pulley, by name or by position
	// Diameters and Moves change pulleys, by name or position: mm.
	Diameters map[string]float64
	Moves     map[string]Point
	Idler     *Idler // to be added wherever it works; its side is searched for
	Taps      []Tap
	// Arm is where the tensioner was seen to stand, degrees or mm from where it
	// is drawn, within ArmError.
	Arm      *float64
	ArmError float64
}

// Point is a place in the plane of the belt, mm.
type Point struct{ X, Y float64 }

// Idler is a smooth pulley to be added.
type Idler struct {
	DiameterMM float64
	At         Point
}

// maxRPM is the highest engine speed a run is worked out at.
const maxRPM = 30000

// check refuses a speed that no engine has.
func (q *Question) check() error {
	if q.RPM == nil || *q.RPM > 0 && *q.RPM <= maxRPM {
		return nil
	}
	return &fleet.Error{Kind: fleet.Invalid, Where: "rpm", Msg: message.Of("an engine speed of %g rpm", *q.RPM),
		Hint: message.Of("write a speed of the crank pulley above 0 and up to %d rpm, such as 800", maxRPM)}
}

// changes reports whether the question asks for another run.
func (q *Question) changes() bool {
	return q.LeaveOut != "" || len(q.Diameters) > 0 || len(q.Moves) > 0 || q.Idler != nil
}

// Run is one run with everything that could be worked out about it.
type Run struct {
	Run     *fleet.Run
	Vehicle *fleet.Vehicle // nil for a run from a file of its own
	Facts   sheet.BeltFacts
	Known   Known // where the belt is known from
	Doubts  []Doubt
	// Unmeasured says what of the tensioner is missing, as the sheet's checks
	// say it; empty when nothing is.
	Unmeasured string
	Work
	Findings []Finding
	Offset   *Offset // where an offset was found
	Wear     *Wear
	Change   *Change
	Taps     []TapAnswer
}

// Finding is what a finding at the run says, as it was judged.
type Finding struct {
	Position string
	Name     string
	Reason   judge.Reason // with its finding and check
}

// Of works out a run of the vehicle with the belt that is fitted, or with the
// one asked about. It fails with a *fleet.Error: NotFound for an unknown run or
// pulley, Invalid for a question that cannot be read. A run that cannot be is no
// error: it is Refused, with reasons.
func Of(r *advise.Report, id string, q Question) (*Run, error) {
	run := r.Vehicle.Run(id)
	if run == nil {
		run = r.Vehicle.RunOf(id)
	}
	if run == nil {
		ids := make([]string, len(r.Vehicle.Runs))
		for i := range r.Vehicle.Runs {
			ids[i] = r.Vehicle.Runs[i].ID
		}
		return nil, advise.NotFound(r.Vehicle.Name, "run", id, ids)
	}
	b := &Run{Run: run, Vehicle: r.Vehicle}
	fittedBelt(r, b)
	b.Findings = runFindings(r, run)
	if err := b.answer(q); err != nil {
		return nil, err
	}
	b.Offset = offset(r, b)
	ribLoss(r, b)
	return b, nil
}

// Alone works out a run that was read from a file of its own.
func Alone(rs *sheet.RunSheet, q Question) (*Run, error) {
	b := &Run{Run: rs.Run, Facts: rs.Belt, Known: Known{Code: InFile}}
	return b, b.answer(q)
}

// fittedBelt finds the belt that is on: the journal's part where its number or
// name is a designation, otherwise what the sheet names.
func fittedBelt(r *advise.Report, b *Run) {
	p := r.Vehicle.Position(b.Run.Belt)
	if p == nil {
		b.Facts = sheet.BeltOf(b.Run, nil, fleet.PartSpec{})
		return
	}
	kind := r.Catalogue.Kind(p.Kind)
	b.Facts, b.Known = sheet.BeltOf(b.Run, kind, p.Part), Known{Code: InSheet}
	place := r.State.Place(p.ID)
	if place == nil || place.Fitted == nil || place.Fitted.Entry == "" {
		return
	}
	if fitted := sheet.BeltOf(b.Run, kind, place.Fitted.Spec); fitted.Printed != "" {
		b.Facts, b.Known = fitted, Known{Code: Fitted, On: place.Fitted.From.Date}
	}
}

// answer works the run out and answers the question.
func (b *Run) answer(q Question) error {
	if err := q.check(); err != nil {
		return err
	}
	if q.Belt != "" {
		if err := b.tryBelt(q.Belt); err != nil {
			return err
		}
	}
	source, unmeasured := sheet.DriveRun(b.Run, b.Facts.Belt)
	b.Unmeasured = unmeasured
	speeds := engineSpeeds(b.Run, q.RPM)
	b.Work = work(source, speeds)
	if q.changes() {
		if err := b.change(q, speeds); err != nil {
			return err
		}
	}
	if err := b.tap(q.Taps); err != nil {
		return err
	}
	return b.wearFromArm(q)
}

// tryBelt puts another belt in the place of the one that is on. Its mass per
// metre is that of the belt weighed, rib by rib.
func (b *Run) tryBelt(print string) error {
	d, err := drive.ParseDesignation(print)
	if err != nil {
		return invalidRun("belt", err)
	}
	belt, err := d.Belt()
	if err != nil {
		return invalidRun("belt", err)
	}
	was := b.Facts.Belt
	belt.Stretch = was.Stretch
	if was.KgPerM > 0 && was.Section.Name == belt.Section.Name {
		belt.KgPerM = was.KgPerM * belt.Ribs / was.Ribs
	}
	if was.Section.Family != belt.Section.Family && was.Section.Name != sheet.Toothed {
		b.Doubts = append(b.Doubts, Doubt{Code: OtherGrooves, Section: belt.Section.Name, Was: was.Section.Name})
	}
	if b.Facts.Printed != "" && was.Section.Name == belt.Section.Name && belt.Ribs != was.Ribs {
		b.Doubts = append(b.Doubts, Doubt{Code: OtherRibs, Ribs: belt.Ribs, WasRibs: was.Ribs})
	}
	b.Facts, b.Known = sheet.BeltFacts{Belt: belt, Printed: d.String()}, Known{Code: Asked}
	return nil
}

// invalidRun puts a refusal of package drive into the owner's error.
func invalidRun(where string, err error) error {
	var why *drive.Refusal
	if !errors.As(err, &why) {
		return err
	}
	return refusal(where, why, err)
}

// pulley finds a pulley of the run by its name or by its position.
func (b *Run) pulley(what string) (string, error) {
	var names []string
	for i := range b.Run.Pulleys {
		p := &b.Run.Pulleys[i]
		name := sheet.PulleyName(p.Name)
		if sheet.PulleyName(what) == name || what == p.Position && what != "" || fold(what) == fold(p.Name) {
			return name, nil
		}
		names = append(names, name)
	}
	hint := message.Of("the run has %s", say.Listing(names))
	if near := fleet.Nearest(what, names); near != "" {
		hint = message.Of("did you mean %q?", near)
	}
	return "", &fleet.Error{Kind: fleet.NotFound, Where: "pulley",
		Msg: message.Of("%s has no pulley %q", b.Run.Name, what), Hint: hint}
}

// fold makes names comparable whatever their case, spaces and hyphens.
func fold(s string) string {
	return strings.ToLower(strings.NewReplacer(" ", "", "-", "", "_", "").Replace(s))
}

// ArmMeasure is what the travel of a run's tensioner is measured by, and its
// unit: an angle for an arm, a length for a slide.
func ArmMeasure(run *fleet.Run) (units.Dimension, string) {
	if t := run.Tensioner; t != nil && sheet.Slides(t) {
		return units.Length, "mm"
	}
	return units.Angle, "°"
}
