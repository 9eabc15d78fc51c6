package belt

import (
	"errors"
	"io"
	"slices"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/runwords"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/listen"
)

// ListenQuestion is how a recording of the running engine was made.
type ListenQuestion struct {
	Run       string  // id of a run, or of a position on it; empty: every run of the vehicle
	RPM       float64 // engine speed as the meter showed it; 0: looked for in the recording
	Tolerance float64 // of RPM, relative; 0: 3 %
	On        []string
}

// meterTolerance is how far a dashboard's engine speed is trusted (common
// practice).
const meterTolerance = 0.03

// Heard is what a recording says about the pulleys of a vehicle.
type Heard struct {
	Vehicle   *fleet.Vehicle
	Runs      []*Run
	Question  ListenQuestion
	Recording listen.Recording
	Sources   []NoiseSource
	Ranking   listen.Ranking
	Sort      *listen.NoiseSort // nil: NoSort says why
	NoSort    error
	Assumed   []Assumption
}

// NoiseSource is something on a run that turns and may be what sounds.
type NoiseSource struct {
	Name     string // inside a sentence, unique among the sources
	Position string // of the part, or ""
	Belt     bool   // a belt going round, not a pulley
	Role     listen.Role
	listen.Pulley
}

// ReadRecording reads a WAV file, the best half minute of a longer one; where
// names it in errors, which are *fleet.Error of kind Invalid that say what is
// wrong with the file and what would do, or the *fleet.Error of r.
func ReadRecording(where string, r io.Reader) (listen.Recording, error) {
	rec, err := listen.ReadWAV(r)
	var told *fleet.Error
	switch {
	case errors.As(err, &told): // by what decodes it
		return listen.Recording{}, told
	case err != nil:
		return listen.Recording{}, recordingError(where, err)
	}
	return rec, nil
}

// LossyComment is a part of a WAV file, to stand before its samples, that says
// in which coding they came that leaves something out; nothing for none.
func LossyComment(coding string) []byte { return listen.Said(coding) }

// WasCut reports whether only a part of a recording was taken in.
func WasCut(rec listen.Recording) bool {
	return slices.ContainsFunc(rec.Warnings, func(w listen.Warning) bool { return w.Kind == listen.Cut })
}

// recordingError puts an error of package listen into the owner's words.
func recordingError(where string, err error) error {
	text, hint := runwords.Sound(err)
	if text == "" {
		return &fleet.Error{Kind: fleet.Unavailable, Where: where, Msg: "the recording cannot be read",
			Hint: "check the file and that you may read it", Err: err}
	}
	return &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: text, Hint: hint,
		Err: err}
}

// Listen ranks the pulleys of the vehicle's runs by how well a recording of
// the running engine fits each, and sorts the belt's noise. It fails with a
// *fleet.Error: NotFound for an unknown run, Invalid where no run can be worked
// out or the recording cannot be used.
func Listen(r *advise.Report, rec listen.Recording, q ListenQuestion) (*Heard, error) {
	h := &Heard{Vehicle: r.Vehicle, Question: q, Recording: rec}
	if err := h.speedGiven(); err != nil {
		return nil, err
	}
	if err := listenTo(r, h); err != nil {
		return nil, err
	}
	return h, h.rank()
}

func (h *Heard) speedGiven() error {
	if q := h.Question; q.RPM != 0 && !(q.RPM >= 200 && q.RPM <= 8000) {
		return &fleet.Error{Kind: fleet.Invalid, Where: "rpm", Msg: message.Of("an engine speed of %g rpm", q.RPM),
			Hint: "write what the meter showed, such as 2000"}
	}
	if h.Question.Tolerance == 0 {
		h.Question.Tolerance = meterTolerance
	}
	return nil
}

// listenTo collects the runs and what turns on them.
func listenTo(r *advise.Report, h *Heard) error {
	var ids []string
	for i := range r.Vehicle.Runs {
		ids = append(ids, r.Vehicle.Runs[i].ID)
	}
	if h.Question.Run != "" {
		ids = []string{h.Question.Run}
	}
	if len(ids) == 0 {
		return &fleet.Error{Kind: fleet.NotFound,
			Msg: message.Of("%s has no belt run on its sheet, so that its pulleys' speeds are not known",
				r.Vehicle.Name),
			Hint: "docs/your-own-run.md says how to measure and write one"}
	}
	for _, id := range ids {
		b, err := Of(r, id, Question{})
		if err != nil {
			return err
		}
		if len(b.Refused) > 0 {
			h.assume(Assumption{Code: RunLeftOut, Name: b.Run.Name, Refusal: b.Refused[0]})
			continue
		}
		h.Runs = append(h.Runs, b)
		if err := h.addSources(b, r.Catalogue); err != nil {
			return err
		}
	}
	if len(h.Runs) == 0 {
		return &fleet.Error{Kind: fleet.Invalid, Msg: message.Of("no run of %s can be worked out", r.Vehicle.Name),
			Hint: "ask for the run by itself, it says what is wrong with it"}
	}
	return nil
}

// addSources adds the driven pulleys of a run and its belt. The crank pulley
// turns with the engine and cannot be told from it.
func (h *Heard) addSources(b *Run, cat *catalogue.Catalogue) error {
	s, err := b.Drive.Speeds(1000)
	if err != nil {
		return invalidRun("run", err)
	}
	for i := range b.Run.Pulleys {
		p := &b.Run.Pulleys[i]
		if p.Driver {
			continue
		}
		src := NoiseSource{Name: h.unique(sheet.PulleyName(p.Name), b), Position: p.Position}
		src.Pulley = listen.Pulley{Name: src.Name, Ratio: s.Pulleys[i].Ratio,
			Reverse: s.Pulleys[i].Turns != driverTurns(s, b)}
		src.Role = h.roleOf(p, cat)
		if src.Bearing = h.bearingOf(src.Name, p); src.Bearing == nil {
			src.Maybe = h.mayHold(src.Name, p)
		}
		if p.Alternator {
			src.Tones = []listen.Tone{{Name: alternatorTone.String(), Order: 36}}
			h.assume(Assumption{Code: WhineTaken, Name: src.Name})
		}
		h.Sources = append(h.Sources, src)
	}
	pass := s.PassHz / (s.DriverRPM / 60)
	name := say.LowerFirst(b.Run.Name)
	if p := h.Vehicle.Position(b.Run.Belt); p != nil {
		name = say.LowerFirst(p.Name)
	}
	h.Sources = append(h.Sources,
		NoiseSource{Name: h.unique(name, b), Position: b.Run.Belt, Belt: true,
			Role: listen.BeltItself, Pulley: listen.Pulley{Ratio: pass}})
	return nil
}

// roleOf is what turns at a pulley, by the sheet and by the kind of its part.
func (h *Heard) roleOf(p *fleet.Pulley, cat *catalogue.Catalogue) listen.Role {
	at := h.Vehicle.Position(p.Position)
	switch {
	case p.Alternator:
		return listen.Alternator
	case at == nil || cat == nil || cat.Kind(at.Kind) == nil:
		return listen.Roller
	case cat.Kind(at.Kind).LoadedBy == catalogue.ByAirConditioning:
		return listen.Compressor
	}
	return listen.Roller
}

// alternatorTone names the whine of an alternator to the engine, which hands
// the name back.
const alternatorTone message.Text = "electrical whine, 36 per turn"

func driverTurns(s drive.Speeds, b *Run) int {
	i := slices.IndexFunc(b.Run.Pulleys, func(p fleet.Pulley) bool { return p.Driver })
	if i < 0 {
		return 0
	}
	return s.Pulleys[i].Turns
}

// unique makes a name that no source has yet.
func (h *Heard) unique(name string, b *Run) string {
	if slices.ContainsFunc(h.Sources, func(s NoiseSource) bool { return s.Name == name }) {
		return name + " (" + b.Run.Name + ")"
	}
	return name
}

// bearingOf is the bearing of a pulley, from the sheet's figures or from the
// usual inside of the number named there; nil where neither says.
func (h *Heard) bearingOf(name string, p *fleet.Pulley) *listen.Bearing {
	b := p.Bearing
	if b == nil {
		return nil
	}
	if b.Elements > 0 && b.Ball != nil && b.Pitch != nil {
		return &listen.Bearing{Name: b.Number, Balls: b.Elements, Ball: b.Ball.Base(), Pitch: b.Pitch.Base(),
			OuterTurns: b.OuterTurns}
	}
	usual, err := catalogue.BearingOf(b.Number)
	if err != nil {
		return nil
	}
	out := usualBearing(usual, b.OuterTurns)
	outer := idles(p) && !out.OuterTurns
	out.OuterTurns = out.OuterTurns || outer
	h.assume(Assumption{Code: UsualInside, Name: name, Bearing: usual, OuterTurns: outer})
	return out
}

func usualBearing(b catalogue.Bearing, outerTurns bool) *listen.Bearing {
	return &listen.Bearing{Name: b.Number, Balls: b.Balls, Ball: b.Ball.Base(), Pitch: b.Pitch.Base(),
		OuterTurns: outerTurns}
}

// idles reports whether a pulley only guides the belt; its outer ring turns
// then (common practice).
func idles(p *fleet.Pulley) bool { return p.Power == nil && p.Torque == nil && !p.Alternator }

// mayHold are the bearings a pulley may hold of which the sheet names none
// that is known: those of the catalogue, for idlers, tensioners and
// alternators. The bearings of pumps are mostly built into their shaft.
func (h *Heard) mayHold(name string, p *fleet.Pulley) []listen.Bearing {
	all, err := catalogue.Bearings()
	if err != nil || !idles(p) && !p.Alternator {
		h.assume(Assumption{Code: InsideUnknown, Name: name})
		return nil
	}
	var out []listen.Bearing
	for _, b := range all {
		out = append(out, *usualBearing(b, idles(p)))
	}
	h.assume(Assumption{Code: UsualTried, Name: name, Tried: len(all)})
	return out
}

// drive is what package listen chooses from: the first belt by its pass, any
// further one as something that turns.
func (h *Heard) drive() listen.Drive {
	d := listen.Drive{Engine: listen.Engine{Cylinders: h.Vehicle.Engine.Cylinders}}
	if d.Engine.Cylinders == 0 {
		d.Engine.Cylinders = 4
		h.assume(Assumption{Code: FourCylinders})
	}
	if h.Question.RPM > 0 {
		d.Engine.Speed = listen.RPM(h.Question.RPM, h.Question.Tolerance)
	}
	for i := range h.Sources {
		s := &h.Sources[i]
		switch {
		case s.Belt && d.BeltPass == 0:
			d.BeltPass = s.Ratio
		case s.Ratio > 0.05 && s.Ratio <= 20:
			s.Pulley.Name = s.Name
			d.Pulleys = append(d.Pulleys, s.Pulley)
		}
	}
	return d
}

func (h *Heard) rank() error {
	d := h.drive()
	var err error
	if h.Ranking, err = listen.Rank(h.Recording, d); err != nil {
		return recordingError("recording", err)
	}
	n, err := listen.SortRunning(h.Recording, d, h.Ranking)
	if err != nil {
		h.NoSort = err
		return nil
	}
	h.Sort = &n
	return nil
}

// source finds a source by name; an empty name stands for the first belt.
func (h *Heard) source(name string) *NoiseSource {
	for i := range h.Sources {
		s := &h.Sources[i]
		if s.Name == name || name == "" && s.Belt {
			return s
		}
	}
	return nil
}

// Positions lists the positions of the first suspect's parts, likeliest first,
// then those of the others.
func (h *Heard) Positions() []string {
	var out []string
	for _, q := range h.Ranking.Suspects {
		for _, name := range suspectNames(q) {
			if s := h.source(name); s != nil && s.Position != "" && !slices.Contains(out, s.Position) {
				out = append(out, s.Position)
			}
		}
	}
	return out
}

// Suspected is the position a firm enough answer points to, or "".
func (h *Heard) Suspected() string {
	first := h.Ranking.Suspects[0]
	if h.Ranking.Outcome != listen.Named || len(first.Pulleys) > 1 {
		return ""
	}
	if s := h.source(suspectNames(first)[0]); s != nil {
		return s.Position
	}
	return ""
}

// suspectNames are the sources of a suspect; that of the belt has none.
func suspectNames(q listen.Suspect) []string {
	if len(q.Pulleys) == 0 {
		return []string{""}
	}
	return q.Pulleys
}
