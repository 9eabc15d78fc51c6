package belt

import (
	"slices"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/sheet"
)

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
	Untold         *Untold          // why there are no tensions; nil when there are
	SlipsFrom      *drive.SlipPoint // lowest speed from idle to the highest at which a pulley slips
	Entries        []drive.Entry    // alignment, where pulleys have offsets
	Warnings       []drive.Warning
}

// State is a run at one engine speed.
type State struct {
	Code    Code // Idle, Usual, Highest or Asked
	Assumed bool // the sheet gives no speed
	RPM     float64
	Speeds  drive.Speeds
	Refused *drive.Refusal // why it cannot be at this speed; Forces is then nil
	Forces  *drive.Forces
	Slip    *drive.SlipPoint // which slips first, at how many times its load
}

// speed is an engine speed and which one it is.
type speed struct {
	code    Code
	rpm     float64
	assumed bool
}

// Engine speeds a run is worked out at where its owner gives none (common
// practice).
var usualSpeeds = []speed{{Idle, 800, true}, {Usual, 2500, true}}

func engineSpeeds(r *fleet.Run, asked *float64) []speed {
	var out []speed
	if r.Idle != nil {
		out = append(out, speed{code: Idle, rpm: r.Idle.Base()})
	}
	if r.Usual != nil {
		out = append(out, speed{code: Usual, rpm: r.Usual.Base()})
	}
	if r.Maximum != nil {
		out = append(out, speed{code: Highest, rpm: r.Maximum.Base()})
	}
	if len(out) == 0 {
		out = slices.Clone(usualSpeeds)
	}
	if asked != nil {
		out = append(out, speed{code: Asked, rpm: *asked})
	}
	return out
}

// work puts a run to package drive.
func work(source drive.Run, speeds []speed) Work {
	w := Work{Source: source}
	d, err := drive.New(source)
	if err != nil {
		w.Refused = drive.Refusals(err)
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
		w.Untold = &Untold{Code: NoSlip}
	} else if f, err := w.Drive.Installed(); err == nil {
		w.Installed = &f
	}
	w.warn(w.Layout.Warnings)
	for _, s := range speeds {
		st := State{Code: s.code, Assumed: s.assumed, RPM: s.rpm}
		got, err := w.Drive.Speeds(s.rpm)
		if err != nil {
			continue // speeds were checked
		}
		st.Speeds = got
		w.warn(got.Warnings)
		w.forces(&st)
		w.States = append(w.States, st)
	}
	if len(w.States) > 1 && w.Untold == nil && w.refusedAt() == nil {
		if p, err := w.Drive.SlipSpeed(speeds[0].rpm, speeds[len(speeds)-1].rpm); err == nil && !p.Never {
			w.SlipsFrom = &p
		}
	}
}

// forces works out tensions and slip at a speed, or says why it cannot be: for
// want of a figure the run as a whole, otherwise that speed alone.
func (w *Work) forces(st *State) {
	if w.Untold != nil {
		return
	}
	f, err := w.Drive.Forces(st.RPM)
	if err != nil {
		why := firstRefusal(err)
		if why.Reason == drive.NoTension {
			w.Untold = &Untold{Code: NoTension, Refusal: why}
			return
		}
		st.Refused = why
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
		if i := slices.IndexFunc(w.Warnings, func(o drive.Warning) bool {
			return o.Pulley == f.Pulley && o.Limit == f.Limit && o.Source == f.Source
		}); i >= 0 {
			w.Warnings[i] = f
			continue
		}
		w.Warnings = append(w.Warnings, f)
	}
}

// firstRefusal is the first reason of an error of package drive.
func firstRefusal(err error) *drive.Refusal { return drive.Refusals(err)[0] }

// Hardest is the state in which slip is nearest; nil where no slip is known.
func (w *Work) Hardest() *State {
	var worst *State
	for i := range w.States {
		st := &w.States[i]
		if st.Slip != nil && !st.Slip.Never && (worst == nil || st.Slip.LoadFactor < worst.Slip.LoadFactor) {
			worst = st
		}
	}
	return worst
}

// Usual is the state by which lives are judged: at the usual speed, or the
// nearest to it; nil where there is none.
func (w *Work) Usual() *State {
	if len(w.States) == 0 {
		return nil
	}
	return &w.States[min(1, len(w.States)-1)]
}

// weakest is where slip is nearest, or nil.
func (w *Work) weakest() *drive.SlipPoint {
	if st := w.Hardest(); st != nil {
		return st.Slip
	}
	return nil
}

// unit is what the tensioner's travel is measured in.
func (w *Work) unit() string {
	if w.Source.Tensioner.Kind.Swings() {
		return "°"
	}
	return "mm"
}

// Passed is a limit that pulleys pass, all that pass it together.
type Passed struct {
	drive.Warning // of the first
	By            []By
}

// By is a pulley with the figure by which it passes a limit.
type By struct {
	Pulley string
	Value  float64
}

// Passed lists the limits that are passed.
func (w *Work) Passed() []Passed {
	var out []Passed
	for _, x := range w.Warnings {
		i := slices.IndexFunc(out, func(p Passed) bool { return p.Kind == x.Kind && p.Source == x.Source })
		if i < 0 {
			i = len(out)
			out = append(out, Passed{Warning: x})
		}
		if x.Pulley != "" {
			out[i].By = append(out[i].By, By{x.Pulley, x.Value})
		}
	}
	return out
}

// leastWrap is the wrap in degrees below which a belt hardly touches a pulley.
const leastWrap = 8

// Untouched lists the pulleys that the belt hardly touches: as a rule the
// wrong side was written down.
func (w *Work) Untouched() []drive.Placed {
	var out []drive.Placed
	for _, p := range w.Layout.Pulleys {
		if p.WrapDeg < leastWrap {
			out = append(out, p)
		}
	}
	return out
}

// OutOfLine lists where the belt meets a pulley further out of line than the
// first limit named allows.
func (w *Work) OutOfLine() []OutOfLine {
	var out []OutOfLine
	for _, e := range w.Entries {
		if i := slices.IndexFunc(e.Limits, func(l drive.LimitResult) bool { return !l.Passed }); i >= 0 {
			out = append(out, OutOfLine{e, e.Limits[i]})
		}
	}
	return out
}

// OutOfLine is where the belt meets a pulley too far out of line, and the limit.
type OutOfLine struct {
	drive.Entry
	Limit drive.LimitResult
}
