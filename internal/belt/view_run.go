package belt

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// RunView is a run in JSON. Lengths mm, forces N, torques N.m, speeds rpm,
// angles degrees anticlockwise.
type RunView struct {
	Vehicle  string         `json:"vehicle,omitempty"`
	Run      string         `json:"run,omitempty"`
	Name     string         `json:"name"`
	Typical  bool           `json:"typical,omitempty"`  // nothing of it was measured
	Headline message.Text   `json:"headline"`           // of the what-if, where one was asked
	AsItIs   message.Text   `json:"as_it_is,omitempty"` // headline of the run itself, beside a what-if
	Answer   AnswerView     `json:"answer"`
	Caution  message.Text   `json:"caution"`
	Basis    []message.Text `json:"basis,omitempty"`
	Refused  []RefusalView  `json:"refused,omitempty"`
	Belt     *BeltView      `json:"belt,omitempty"`
	*WorkView
	Findings []RunFindingView `json:"findings,omitempty"`
	Offset   message.Text     `json:"offset,omitempty"`
	OffsetBy *OffsetView      `json:"offset_by,omitempty"`
	Wear     *WearView        `json:"wear,omitempty"`
	Taps     []TapView        `json:"taps,omitempty"`
	Change   *ChangeView      `json:"what_if,omitempty"`
}

// AnswerView is the run's answer in JSON: a code and its arguments, whatever a
// what-if comes to.
type AnswerView struct {
	Code    Code         `json:"code"`
	RPM     float64      `json:"rpm,omitempty"` // at which it cannot run
	Slips   *SlipView    `json:"slips_first,omitempty"`
	Untold  *UntoldView  `json:"slip_unknown,omitempty"`
	Pointer Code         `json:"pointer,omitempty"`
	Made    Code         `json:"tolerance,omitempty"`
	Refused *RefusalView `json:"refused,omitempty"`
}

// UntoldView is why there are no tensions, in JSON.
type UntoldView struct {
	Code    Code         `json:"code"`
	Refusal *RefusalView `json:"refused,omitempty"`
}

// RefusalView is why a run cannot be, in JSON.
type RefusalView struct {
	Reason  string         `json:"reason"`
	Code    drive.Code     `json:"code"` // which case of the reason
	Pulleys []string       `json:"pulleys,omitempty"`
	MM      float64        `json:"mm,omitempty"`
	Args    []ArgView      `json:"arguments,omitempty"`
	Text    message.Text   `json:"text"`
	Hint    message.Text   `json:"hint,omitempty"`
	Try     []message.Text `json:"try,omitempty"`
	Changes []ChangeToTry  `json:"changes_to_try,omitempty"`
}

// ArgView is an argument of a refusal, in JSON: a name, or a figure with its
// unit.
type ArgView struct {
	Of    string   `json:"of"`
	Name  string   `json:"name,omitempty"`
	Value *float64 `json:"value,omitempty"`
	Unit  string   `json:"unit,omitempty"`
}

// ChangeToTry is a change that makes a refused run work, in JSON.
type ChangeToTry struct {
	Code    drive.Code `json:"code"`
	Pulleys []string   `json:"pulleys,omitempty"`
	Side    string     `json:"side,omitempty"`
}

// BeltView is the belt of a run in JSON.
type BeltView struct {
	Printed  string       `json:"printed,omitempty"`
	Known    message.Text `json:"known_from,omitempty"`
	From     Code         `json:"known_code,omitempty"`
	On       civil.Date   `json:"fitted_on,omitzero"`
	Doubts   []DoubtView  `json:"doubts,omitempty"`
	Section  string       `json:"section"`
	LengthMM float64      `json:"length_mm,omitempty"`
	KgPerM   float64      `json:"kg_per_m,omitempty"`
	Weighed  bool         `json:"weighed"`
	Fits     *bool        `json:"fits,omitempty"` // absent where it cannot be said
	Why      message.Text `json:"why_not,omitempty"`
	MissMM   float64      `json:"miss_mm,omitempty"`
}

// DoubtView is what is doubtful about a belt asked about, in JSON.
type DoubtView struct {
	Code    Code    `json:"code"`
	Section string  `json:"section,omitempty"`
	Was     string  `json:"was,omitempty"`
	Ribs    float64 `json:"ribs,omitempty"`
	WasRibs float64 `json:"ribs_were,omitempty"`
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
	NoForces    message.Text     `json:"no_tensions_because,omitempty"`
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
	ShortestMM  float64      `json:"shortest_mm"`
	LongestMM   float64      `json:"longest_mm"`
	FromMM      float64      `json:"from_mm"`
	ToMM        float64      `json:"to_mm"`
	ToleranceMM float64      `json:"tolerance_mm"`
	Source      message.Text `json:"tolerance_source"`
}

// RunPulleyView is one pulley as it stands, in JSON.
type RunPulleyView struct {
	N           int          `json:"n"`
	Name        string       `json:"name"`
	XMM         float64      `json:"x_mm"`
	YMM         float64      `json:"y_mm"`
	DiameterMM  float64      `json:"diameter_mm"`
	Side        string       `json:"side"`
	Driver      bool         `json:"driver,omitempty"`
	WrapDeg     float64      `json:"wrap_deg"`
	Turns       message.Text `json:"turns"`
	Ratio       float64      `json:"ratio,omitempty"`
	ClearanceMM float64      `json:"clearance_mm,omitempty"` // absent where there is nothing near
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
	Name    message.Text      `json:"name"`
	Code    Code              `json:"code"`
	RPM     float64           `json:"rpm"`
	Refused *RefusalView      `json:"refused,omitempty"`
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
	Name     string       `json:"name"`
	RPM      float64      `json:"rpm"`
	TorqueNm float64      `json:"torque_nm,omitempty"`
	Used     *float64     `json:"grip_used,omitempty"`
	MuNeeded *float64     `json:"friction_needed,omitempty"`
	HubN     float64      `json:"hub_n,omitempty"`
	L10Hours float64      `json:"l10_hours,omitempty"`
	Caution  message.Text `json:"l10_caution,omitempty"`
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
	Name   string       `json:"name"`
	Deg    float64      `json:"deg"`
	Source message.Text `json:"source"`
	Passed bool         `json:"within"`
}

// RunWarningView is a limit passed, in JSON.
type RunWarningView struct {
	Code   drive.WarningKind `json:"code"`
	Pulley string            `json:"pulley,omitempty"`
	Text   message.Text      `json:"text"`
	Value  float64           `json:"value"`
	Limit  float64           `json:"limit"`
	Source message.Text      `json:"source"`
}

// RunFindingView is a finding at the run, in JSON.
type RunFindingView struct {
	Position  string          `json:"position"`
	Verdict   fleet.Verdict   `json:"verdict"`
	Check     string          `json:"check"`
	Answer    string          `json:"answer,omitempty"`
	Value     *units.Quantity `json:"value,omitempty"`
	Authority fleet.Authority `json:"authority"`
	Words     message.Text    `json:"words"`
}

// WearView is rib wear read from the tensioner or the other way round, in JSON.
type WearView struct {
	Code   Code         `json:"code"`
	Words  message.Text `json:"words"`
	SinkMM float64      `json:"sink_mm"`
	Moved  float64      `json:"moved"`
	Left   float64      `json:"left"`
	Unit   string       `json:"unit"`
}

// TapView is the tension read from a tone, in JSON.
type TapView struct {
	From      string       `json:"from"`
	To        string       `json:"to"`
	Hz        float64      `json:"hz"`
	TensionN  float64      `json:"tension_n"`
	ErrorN    float64      `json:"error_n"`
	IfOctaveN float64      `json:"if_octave_n"`
	IfHalfN   float64      `json:"if_half_tone_n"`
	ExpectedN float64      `json:"worked_out_n,omitempty"`
	Agrees    Code         `json:"agrees,omitempty"`
	Words     message.Text `json:"words"`
}

// OffsetView is an offset found between pulleys, in JSON: over the shortest
// and the longest span.
type OffsetView struct {
	MM       float64 `json:"mm"`
	MostDeg  float64 `json:"most_deg"`
	LeastDeg float64 `json:"least_deg"`
}

// AlterationView is one change to a run, in JSON: mm.
type AlterationView struct {
	Code   Code    `json:"code"`
	Pulley string  `json:"pulley,omitempty"`
	MM     float64 `json:"diameter_mm,omitempty"`
	Was    float64 `json:"was_mm,omitempty"`
	X      float64 `json:"x_mm,omitempty"`
	Y      float64 `json:"y_mm,omitempty"`
}

// ChangeView is a run after a change, in JSON.
type ChangeView struct {
	What     []message.Text   `json:"what"`
	Changes  []AlterationView `json:"changes"`
	Answer   AnswerView       `json:"answer"`
	Headline message.Text     `json:"headline"`
	Order    []string         `json:"order,omitempty"`
	Back     []string         `json:"on_the_back,omitempty"`
	Reversed []string         `json:"turn_the_other_way,omitempty"`
	Unsuited []string         `json:"pulleys_to_change,omitempty"`
	Refused  []RefusalView    `json:"refused,omitempty"`
	*WorkView
}
