package belt

import (
	"undertray/drive"
	"undertray/internal/fleet"
)

// RunView is a run in JSON. Lengths mm, forces N, torques N.m, speeds rpm,
// angles degrees anticlockwise.
type RunView struct {
	Vehicle  string        `json:"vehicle,omitempty"`
	Run      string        `json:"run,omitempty"`
	Name     string        `json:"name"`
	Headline string        `json:"headline"`
	Caution  string        `json:"caution"`
	Basis    []string      `json:"basis,omitempty"`
	Refused  []RefusalView `json:"refused,omitempty"`
	Belt     *BeltView     `json:"belt,omitempty"`
	*WorkView
	Findings []RunFindingView `json:"findings,omitempty"`
	Offset   string           `json:"offset,omitempty"`
	Wear     *WearView        `json:"wear,omitempty"`
	Taps     []TapView        `json:"taps,omitempty"`
	Change   *ChangeView      `json:"what_if,omitempty"`
}

// RefusalView is why a run cannot be, in JSON.
type RefusalView struct {
	Reason  string   `json:"reason"`
	Pulleys []string `json:"pulleys,omitempty"`
	Text    string   `json:"text"`
	Hint    string   `json:"hint,omitempty"`
	Try     []string `json:"try,omitempty"`
}

// BeltView is the belt of a run in JSON.
type BeltView struct {
	Printed  string  `json:"printed,omitempty"`
	Known    string  `json:"known_from,omitempty"`
	Section  string  `json:"section"`
	LengthMM float64 `json:"length_mm,omitempty"`
	KgPerM   float64 `json:"kg_per_m,omitempty"`
	Weighed  bool    `json:"weighed"`
	Fits     *bool   `json:"fits,omitempty"` // absent where it cannot be said
	Why      string  `json:"why_not,omitempty"`
	MissMM   float64 `json:"miss_mm,omitempty"`
}

// WorkView is what was worked out of a run, in JSON.
type WorkView struct {
	EffectiveMM float64          `json:"effective_mm"`
	PitchMM     float64          `json:"pitch_mm"`
	Fit         *FitView         `json:"tensioner,omitempty"`
	Lengths     *LengthsView     `json:"belts_that_fit,omitempty"`
	Pulleys     []RunPulleyView  `json:"pulleys"`
	Spans       []RunSpanView    `json:"spans"`
	States      []RunStateView   `json:"states,omitempty"`
	NoForces    string           `json:"no_tensions_because,omitempty"`
	SlipsFrom   *SlipView        `json:"slips_from,omitempty"`
	Alignment   []EntryView      `json:"alignment,omitempty"`
	Warnings    []RunWarningView `json:"warnings,omitempty"`
}

// FitView is how the tensioner stands, in JSON: degrees or mm.
type FitView struct {
	Position    float64 `json:"position"`
	Unit        string  `json:"unit"`
	ToTakeUp    float64 `json:"to_take_up_stop"`
	ToTakeUpMM  float64 `json:"to_take_up_stop_belt_mm"`
	ToFitting   float64 `json:"to_fitting_stop"`
	ToFittingMM float64 `json:"to_fitting_stop_belt_mm"`
	InMarks     bool    `json:"between_marks"`
	TensionN    float64 `json:"tension_n,omitempty"`
}

// LengthsView is the range of belts that fit, in JSON.
type LengthsView struct {
	ShortestMM  float64 `json:"shortest_mm"`
	LongestMM   float64 `json:"longest_mm"`
	FromMM      float64 `json:"from_mm"`
	ToMM        float64 `json:"to_mm"`
	ToleranceMM float64 `json:"tolerance_mm"`
	Source      string  `json:"tolerance_source"`
}

// RunPulleyView is one pulley as it stands, in JSON.
type RunPulleyView struct {
	N           int     `json:"n"`
	Name        string  `json:"name"`
	XMM         float64 `json:"x_mm"`
	YMM         float64 `json:"y_mm"`
	DiameterMM  float64 `json:"diameter_mm"`
	Side        string  `json:"side"`
	Driver      bool    `json:"driver,omitempty"`
	WrapDeg     float64 `json:"wrap_deg"`
	Turns       string  `json:"turns"`
	Ratio       float64 `json:"ratio,omitempty"`
	ClearanceMM float64 `json:"clearance_mm,omitempty"` // absent where there is nothing near
}

// RunSpanView is one span, in JSON.
type RunSpanView struct {
	From     string  `json:"from"`
	To       string  `json:"to"`
	LengthMM float64 `json:"length_mm"`
	TensionN float64 `json:"tension_at_rest_n,omitempty"`
	Hz       float64 `json:"tone_at_rest_hz,omitempty"`
}

// RunStateView is a run at one engine speed, in JSON.
type RunStateView struct {
	Name    string            `json:"name"`
	RPM     float64           `json:"rpm"`
	BeltMS  float64           `json:"belt_m_per_s"`
	Spans   []SpanForceView   `json:"spans,omitempty"`
	Pulleys []PulleyStateView `json:"pulleys"`
	Slip    *SlipView         `json:"first_to_slip,omitempty"`
}

// SpanForceView is a span's tension and tone, in JSON.
type SpanForceView struct {
	From     string  `json:"from"`
	To       string  `json:"to"`
	TensionN float64 `json:"tension_n"`
	Hz       float64 `json:"tone_hz"`
}

// PulleyStateView is a pulley at one engine speed, in JSON.
type PulleyStateView struct {
	Name     string   `json:"name"`
	RPM      float64  `json:"rpm"`
	TorqueNm float64  `json:"torque_nm,omitempty"`
	Used     *float64 `json:"grip_used,omitempty"`
	MuNeeded *float64 `json:"friction_needed,omitempty"`
	HubN     float64  `json:"hub_n,omitempty"`
	L10Hours float64  `json:"l10_hours,omitempty"`
	Caution  string   `json:"l10_caution,omitempty"`
}

// SlipView is which pulley slips first, in JSON.
type SlipView struct {
	Pulley     string  `json:"pulley"`
	RPM        float64 `json:"rpm"`
	LoadFactor float64 `json:"times_the_loads"`
}

// EntryView is how the belt meets a pulley, in JSON.
type EntryView struct {
	Pulley   string      `json:"pulley"`
	From     string      `json:"from"`
	To       string      `json:"to"`
	AngleDeg float64     `json:"angle_deg"`
	OffsetMM float64     `json:"offset_mm"`
	Limits   []LimitView `json:"limits"`
}

// LimitView is an alignment limit judged, in JSON.
type LimitView struct {
	Name   string  `json:"name"`
	Deg    float64 `json:"deg"`
	Source string  `json:"source"`
	Passed bool    `json:"within"`
}

// RunWarningView is a limit passed, in JSON.
type RunWarningView struct {
	Pulley string  `json:"pulley,omitempty"`
	Text   string  `json:"text"`
	Value  float64 `json:"value"`
	Limit  float64 `json:"limit"`
	Source string  `json:"source"`
}

// RunFindingView is a finding at the run, in JSON.
type RunFindingView struct {
	Position string        `json:"position"`
	Verdict  fleet.Verdict `json:"verdict"`
	Words    string        `json:"words"`
}

// WearView is rib wear read from the tensioner or the other way round, in JSON.
type WearView struct {
	Words  string  `json:"words"`
	SinkMM float64 `json:"sink_mm"`
	Moved  float64 `json:"moved"`
	Left   float64 `json:"left"`
	Unit   string  `json:"unit"`
}

// TapView is the tension read from a tone, in JSON.
type TapView struct {
	From      string  `json:"from"`
	To        string  `json:"to"`
	Hz        float64 `json:"hz"`
	TensionN  float64 `json:"tension_n"`
	ErrorN    float64 `json:"error_n"`
	IfOctaveN float64 `json:"if_octave_n"`
	IfHalfN   float64 `json:"if_half_tone_n"`
	ExpectedN float64 `json:"worked_out_n,omitempty"`
	Words     string  `json:"words"`
}

// ChangeView is a run after a change, in JSON.
type ChangeView struct {
	What     []string      `json:"what"`
	Headline string        `json:"headline"`
	Order    []string      `json:"order,omitempty"`
	Back     []string      `json:"on_the_back,omitempty"`
	Reversed []string      `json:"turn_the_other_way,omitempty"`
	Unsuited []string      `json:"pulleys_to_change,omitempty"`
	Refused  []RefusalView `json:"refused,omitempty"`
	*WorkView
}

// View returns the run in JSON's form.
func (b *Run) View() RunView {
	v := RunView{Run: b.Run.ID, Name: b.Run.Name, Headline: b.Headline(), Caution: Caution, Basis: b.Basis(),
		Refused: refusalViews(b.Refused), Belt: b.beltView(), WorkView: b.Work.view()}
	if b.Vehicle != nil {
		v.Vehicle = b.Vehicle.ID
	}
	for _, f := range b.Findings {
		v.Findings = append(v.Findings, RunFindingView{Position: f.Position, Verdict: f.Verdict, Words: f.Words})
	}
	if b.Offset != nil {
		v.Offset = b.Offset.Words()
	}
	if w := b.Wear; w != nil {
		v.Wear = &WearView{Words: w.Words(), SinkMM: w.Wear.SinkMM, Moved: w.Wear.Moved, Left: w.Wear.Left, Unit: w.Unit}
	}
	for i := range b.Taps {
		t := &b.Taps[i]
		v.Taps = append(v.Taps, TapView{From: t.From, To: t.To, Hz: t.Tap.Hz, TensionN: t.Tension.TensionN, ErrorN: t.Tension.ErrorN,
			IfOctaveN: t.Tension.IfOctaveN, IfHalfN: t.Tension.IfHalfN, ExpectedN: t.Expected, Words: t.Words()})
	}
	if b.Change != nil {
		v.Change = b.Change.view()
	}
	return v
}

func (c *Change) view() *ChangeView {
	v := &ChangeView{What: c.What, Headline: c.Headline(), Refused: refusalViews(c.After.Refused), WorkView: c.After.view()}
	if c.Way != nil {
		v.Order, v.Back, v.Reversed, v.Unsuited = c.Way.Order, c.Way.Back, c.Way.Reversed, c.Way.Unsuited
	}
	return v
}

func refusalViews(rs []*drive.Refusal) []RefusalView {
	var out []RefusalView
	for _, r := range rs {
		v := RefusalView{Reason: r.Reason.String(), Pulleys: r.Pulleys, Text: r.Text, Hint: r.Hint}
		for _, s := range r.Suggestions {
			v.Try = append(v.Try, s.Text)
		}
		out = append(out, v)
	}
	return out
}

func (b *Run) beltView() *BeltView {
	belt := &b.Source.Belt
	kg, weighed := belt.MassKgPerM()
	v := &BeltView{Printed: b.Facts.Printed, Known: b.BeltFrom, Section: belt.Section.Name, LengthMM: belt.LengthMM, KgPerM: kg, Weighed: weighed}
	switch {
	case b.Fit != nil:
		yes := true
		v.Fits = &yes
	case b.NoFit != nil && (b.NoFit.Reason == drive.BeltTooShort || b.NoFit.Reason == drive.BeltTooLong):
		no := false
		v.Fits, v.Why, v.MissMM = &no, b.NoFit.Text, b.NoFit.MM
	}
	return v
}

func (w *Work) view() *WorkView {
	if w.Drive == nil {
		return nil
	}
	v := &WorkView{EffectiveMM: w.Layout.EffectiveMM, PitchMM: w.Layout.PitchMM, NoForces: w.NoForces, SlipsFrom: slipView(w.SlipsFrom)}
	if f := w.Fit; f != nil && w.Source.Tensioner.Kind != drive.NoTensioner {
		v.Fit = &FitView{Position: f.Position, Unit: w.unit(), ToTakeUp: f.Take.Move, ToTakeUpMM: f.Take.BeltMM, ToFitting: f.Fitting.Move,
			ToFittingMM: f.Fitting.BeltMM, InMarks: f.InMarks, TensionN: f.Tension}
	}
	if l := w.Lengths; l != nil && !w.toothed() {
		v.Lengths = &LengthsView{ShortestMM: l.ShortestMM, LongestMM: l.LongestMM, FromMM: l.FromMM, ToMM: l.ToMM, ToleranceMM: l.ToleranceMM,
			Source: l.Standing.String() + ": " + l.Source}
	}
	w.viewLayout(v)
	for i := range w.States {
		v.States = append(v.States, stateView(&w.States[i]))
	}
	for _, e := range w.Entries {
		ev := EntryView{Pulley: e.Pulley, From: e.Span[0], To: e.Span[1], AngleDeg: e.AngleDeg, OffsetMM: e.OffsetMM}
		for _, l := range e.Limits {
			ev.Limits = append(ev.Limits, LimitView{Name: l.Name, Deg: l.Deg, Source: l.Source, Passed: l.Passed})
		}
		v.Alignment = append(v.Alignment, ev)
	}
	for _, x := range w.Warnings {
		v.Warnings = append(v.Warnings, RunWarningView{Pulley: x.Pulley, Text: x.Text, Value: x.Value, Limit: x.Limit, Source: x.Source})
	}
	return v
}

// clearOf is the clearance that stands for nothing near.
const clearOf = 9999

func (w *Work) viewLayout(v *WorkView) {
	for i, p := range w.Layout.Pulleys {
		s := &w.Source.Pulleys[i]
		pv := RunPulleyView{N: i + 1, Name: p.Name, XMM: p.Centre.X, YMM: p.Centre.Y, DiameterMM: s.DiameterMM, Side: p.Side.String(),
			Driver: s.Driver, WrapDeg: p.WrapDeg, Turns: TurnWords(p.Turns)}
		if p.ClearanceMM < clearOf {
			pv.ClearanceMM = p.ClearanceMM
		}
		if len(w.States) > 0 {
			pv.Ratio = w.States[0].Speeds.Pulleys[i].Ratio
		}
		v.Pulleys = append(v.Pulleys, pv)
	}
	for i, s := range w.Layout.Spans {
		sv := RunSpanView{From: s.Leaves, To: s.Reaches, LengthMM: s.LengthMM}
		if w.Installed != nil {
			sv.TensionN, sv.Hz = w.Installed.Spans[i].TensionN, w.Installed.Spans[i].StillHz
		}
		v.Spans = append(v.Spans, sv)
	}
}

func stateView(st *State) RunStateView {
	v := RunStateView{Name: st.Name, RPM: st.RPM, BeltMS: st.Speeds.BeltMS, Slip: slipView(st.Slip)}
	for i, p := range st.Speeds.Pulleys {
		pv := PulleyStateView{Name: p.Name, RPM: p.RPM}
		if st.Forces != nil {
			f := &st.Forces.Pulleys[i]
			pv.TorqueNm, pv.HubN, pv.Used, pv.MuNeeded = f.TorqueNm, f.HubN, &f.Used, &f.MuNeeded
			if f.Life != nil {
				pv.L10Hours, pv.Caution = f.Life.Hours, f.Life.Caution
			}
		}
		v.Pulleys = append(v.Pulleys, pv)
	}
	if st.Forces != nil {
		for _, s := range st.Forces.Spans {
			v.Spans = append(v.Spans, SpanForceView{From: s.From, To: s.To, TensionN: s.TensionN, Hz: s.Hz})
		}
	}
	return v
}

func slipView(s *drive.SlipPoint) *SlipView {
	if s == nil || s.Never {
		return nil
	}
	return &SlipView{Pulley: s.Pulley, RPM: s.DriverRPM, LoadFactor: s.LoadFactor}
}

// TurnWords names a turning direction.
func TurnWords(turns int) string {
	if turns == drive.Anticlockwise {
		return "anticlockwise"
	}
	return "clockwise"
}
