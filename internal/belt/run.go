package belt

import (
	"errors"
	"fmt"
	"slices"

	"undertray/drive"
	"undertray/internal/advise"
	"undertray/internal/fleet"
	"undertray/internal/say"
	"undertray/internal/sheet"
)

// Question is what is asked about a run beyond how it stands. The zero
// value asks nothing more.
type Question struct {
	Belt     string // designation of a belt to try, such as 6PK1880
	RPM      float64
	LeaveOut string // pulley, by name or by position
	// Diameters and Moves change pulleys, by name or position: mm.
	Diameters map[string]float64
	Moves     map[string]drive.Point
	Idler     *drive.Pulley // to be added wherever it works; its side is searched for
	Taps      []Tap
	// Arm is where the tensioner was seen to stand, degrees or mm from where it
	// is drawn, within ArmError.
	Arm      *float64
	ArmError float64
}

// changes reports whether the question asks for another run.
func (q *Question) changes() bool {
	return q.LeaveOut != "" || len(q.Diameters) > 0 || len(q.Moves) > 0 || q.Idler != nil
}

// Run is one run with everything that could be worked out about it.
type Run struct {
	Run      *fleet.Run
	Vehicle  *fleet.Vehicle // nil for a run from a file of its own
	Facts    sheet.BeltFacts
	BeltFrom string // where the belt is known from: "fitted 3 May 2024", "named in the sheet", "asked for"
	// Unmeasured says what of the tensioner is missing; empty when nothing is.
	Unmeasured string
	Work
	Findings []Finding
	Offset   *OffsetWords // where an offset was found
	Wear     *WearWords
	Change   *Change
	Taps     []TapAnswer
}

// Work is what package drive makes of a run.
type Work struct {
	Source  drive.Run
	Refused []*drive.Refusal // why it cannot be; all that follows is then empty
	Drive   *drive.Drive
	Layout  drive.Layout // with the belt on where it fits, otherwise as drawn
	Fit     *drive.Fit
	NoFit   *drive.Refusal // why the belt does not fit, or why that cannot be said
	Lengths *drive.Lengths
	// StretchPercent is how much longer the run is than a stretch-fit belt.
	StretchPercent float64
	Installed      *drive.Forces
	States         []State
	NoForces       string           // why there are no tensions; empty when there are
	SlipsFrom      *drive.SlipPoint // lowest speed from idle to the highest at which a pulley slips
	Entries        []drive.Entry    // alignment, where pulleys have offsets
	Warnings       []drive.Warning
}

// State is a run at one engine speed.
type State struct {
	Name   string // idle, usual, highest, asked
	RPM    float64
	Speeds drive.Speeds
	Forces *drive.Forces
	Slip   *drive.SlipPoint // which slips first, at how many times its load
}

// Finding is what a finding at the run says, as it was judged.
type Finding struct {
	Position string
	Name     string
	Verdict  fleet.Verdict
	Words    string
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
	b := &Run{Run: rs.Run, Facts: rs.Belt, BeltFrom: "named in the file"}
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
	b.Facts, b.BeltFrom = sheet.BeltOf(b.Run, kind, p.Part), "named in the sheet"
	place := r.State.Place(p.ID)
	if place == nil || place.Fitted == nil || place.Fitted.Entry == "" {
		return
	}
	if fitted := sheet.BeltOf(b.Run, kind, place.Fitted.Spec); fitted.Printed != "" {
		b.Facts, b.BeltFrom = fitted, "fitted "+place.Fitted.From.Date.Long()
	}
}

// answer works the run out and answers the question.
func (b *Run) answer(q Question) error {
	if q.Belt != "" {
		if err := b.tryBelt(q.Belt); err != nil {
			return err
		}
	}
	if !(q.RPM >= 0 && q.RPM <= 30000) { // NaN is neither
		return &fleet.Error{Kind: fleet.Invalid, Where: "rpm", Msg: fmt.Sprintf("an engine speed of %g rpm", q.RPM), Hint: "write a speed of the crank pulley such as 800"}
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
	assumed := []string(nil)
	if was.Section.Family != belt.Section.Family && was.Section.Name != sheet.Toothed {
		assumed = append(assumed, fmt.Sprintf("A %s belt needs other grooves than the %s belt of this run.", belt.Section.Name, was.Section.Name))
	}
	if b.Facts.Printed != "" && was.Section.Name == belt.Section.Name && belt.Ribs != was.Ribs {
		assumed = append(assumed, fmt.Sprintf("It has %g ribs, the belt of this run %g: see that it fills the grooves, no more and no fewer than the maker asks for.", belt.Ribs, was.Ribs))
	}
	b.Facts, b.BeltFrom = sheet.BeltFacts{Belt: belt, Printed: d.String(), Assumed: assumed}, "asked about"
	return nil
}

// invalidRun puts a refusal of package drive into the owner's error.
func invalidRun(where string, err error) error {
	var why *drive.Refusal
	if !errors.As(err, &why) {
		return err
	}
	hint := why.Hint
	if len(why.Suggestions) > 0 {
		hint = why.Suggestions[0].Text
	}
	return &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: why.Text, Hint: hint, Err: err}
}

// speed is an engine speed with the name it has for the owner.
type speed struct {
	name string
	rpm  float64
}

// Engine speeds a run is worked out at where its owner gives none (common
// practice).
var usualSpeeds = []speed{{"idle, taken as 800 rpm", 800}, {"usual, taken as 2500 rpm", 2500}}

func engineSpeeds(r *fleet.Run, asked float64) []speed {
	var out []speed
	if r.Idle != nil {
		out = append(out, speed{"idle", r.Idle.Base()})
	}
	if r.Usual != nil {
		out = append(out, speed{"usual", r.Usual.Base()})
	}
	if r.Maximum != nil {
		out = append(out, speed{"highest", r.Maximum.Base()})
	}
	if len(out) == 0 {
		out = slices.Clone(usualSpeeds)
	}
	if asked > 0 {
		out = append(out, speed{"asked", asked})
	}
	return out
}

// work puts a run to package drive.
func work(source drive.Run, speeds []speed) Work {
	w := Work{Source: source}
	d, err := drive.New(source)
	if err != nil {
		w.Refused = sheet.Refusals(err)
		return w
	}
	w.Drive, w.Layout = d, d.Drawn()
	w.fit()
	w.states(speeds)
	if slices.ContainsFunc(source.Pulleys, func(p drive.Pulley) bool { return p.Axial != drive.Axial{} }) {
		if entries, err := w.Drive.Alignment(); err == nil {
			w.Entries = entries
		}
	}
	return w
}

// toothed reports whether the belt has teeth: it is laid out and no more.
func (w *Work) toothed() bool { return w.Source.Belt.Section.Name == sheet.Toothed }

// fit finds where the belt puts the tensioner and which belts would do.
func (w *Work) fit() {
	if l, err := w.Drive.Lengths(); err == nil {
		w.Lengths = &l
	}
	length := w.Source.Belt.LengthMM
	if length == 0 || w.toothed() {
		return
	}
	if w.Source.Belt.Stretch {
		w.StretchPercent = (w.Layout.EffectiveMM/length - 1) * 100
	}
	f, err := w.Drive.Fit(length)
	if err != nil {
		w.NoFit = firstRefusal(err)
		if w.NoFit.Reason == drive.BeltTooShort || w.NoFit.Reason == drive.BeltTooLong {
			w.asDrawn()
		}
		return
	}
	w.Fit = &f
	if l, err := w.Drive.LayoutAt(f.Position); err == nil {
		w.Layout = l
	}
}

// asDrawn goes on with the run as drawn where the belt does not fit.
func (w *Work) asDrawn() {
	run := w.Source
	run.Belt.LengthMM = 0
	if d, err := drive.New(run); err == nil {
		w.Drive = d
	}
}

// states works out speeds, tensions and slip at each engine speed.
func (w *Work) states(speeds []speed) {
	if w.toothed() {
		w.NoForces = "a toothed belt does not slip; its tension is set by the maker's procedure"
	}
	w.warn(w.Layout.Warnings)
	for _, s := range speeds {
		st := State{Name: s.name, RPM: s.rpm}
		got, err := w.Drive.Speeds(s.rpm)
		if err != nil {
			continue
		}
		st.Speeds = got
		w.warn(got.Warnings)
		w.forces(&st)
		w.States = append(w.States, st)
	}
	if len(w.States) > 1 && w.NoForces == "" {
		if p, err := w.Drive.SlipSpeed(speeds[0].rpm, speeds[len(speeds)-1].rpm); err == nil && !p.Never {
			w.SlipsFrom = &p
		}
	}
	if w.NoForces == "" {
		if f, err := w.Drive.Installed(); err == nil {
			w.Installed = &f
		}
	}
}

func (w *Work) forces(st *State) {
	if w.NoForces != "" {
		return
	}
	f, err := w.Drive.Forces(st.RPM)
	if err != nil {
		w.NoForces = err.Error()
		return
	}
	st.Forces = &f
	if p, err := w.Drive.FirstSlip(st.RPM); err == nil && f.Weakest != "" {
		st.Slip = &p
	}
}

// warn takes warnings in, each pulley's text once with its worst value.
func (w *Work) warn(found []drive.Warning) {
	for _, f := range found {
		if i := slices.IndexFunc(w.Warnings, func(o drive.Warning) bool { return o.Pulley == f.Pulley && o.Limit == f.Limit && o.Source == f.Source }); i >= 0 {
			w.Warnings[i] = f
			continue
		}
		w.Warnings = append(w.Warnings, f)
	}
}

func firstRefusal(err error) *drive.Refusal {
	if all := sheet.Refusals(err); len(all) > 0 {
		return all[0]
	}
	return &drive.Refusal{Text: err.Error()}
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
	hint := "the run has " + say.Listing(names)
	if near := fleet.Nearest(what, names); near != "" {
		hint = fmt.Sprintf("did you mean %q?", near)
	}
	return "", &fleet.Error{Kind: fleet.NotFound, Where: "pulley", Msg: fmt.Sprintf("%s has no pulley %q", b.Run.Name, what), Hint: hint}
}
