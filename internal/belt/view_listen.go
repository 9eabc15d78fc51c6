package belt

import (
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/listen"
)

// HeardView is what a recording says about a vehicle's pulleys, in JSON. Rates
// in Hz, speeds in rpm, scores in nats of evidence a line, at most 5.
type HeardView struct {
	Vehicle   string             `json:"vehicle"`
	Headline  message.Text       `json:"headline"`
	Rest      message.Text       `json:"rest,omitempty"` // what else there is to it
	Decides   message.Text       `json:"what_decides"`
	Caution   message.Text       `json:"caution"`
	Outcome   string             `json:"outcome"` // named, unclear or none
	Answer    Code               `json:"answer"`
	Doubtful  bool               `json:"recording_doubtful,omitempty"`
	Sure      *CertaintyView     `json:"sure,omitempty"` // where a pulley, or one of two, is said
	Margin    float64            `json:"margin"`
	False     float64            `json:"false_ratios_reach"`
	EngineRPM float64            `json:"engine_rpm"`
	Supported bool               `json:"engine_rpm_supported"`
	Seconds   float64            `json:"seconds"`
	Suspects  []SuspectView      `json:"suspects"`
	Noise     message.Text       `json:"noise,omitempty"`
	NoiseSort *NoiseView         `json:"noise_sort,omitempty"`
	Basis     []message.Text     `json:"basis"`
	Assumed   []AssumptionView   `json:"assumed,omitempty"`
	Warnings  []message.Text     `json:"warnings,omitempty"`
	More      []message.Text     `json:"more,omitempty"`
	WarnCodes []SoundWarningView `json:"warning_codes,omitempty"`
	MoreCodes []listen.Code      `json:"more_codes,omitempty"`
	Tests     []message.Text     `json:"tests"`
	Trials    []Code             `json:"trials"`

	Experiment *ExperimentView `json:"experiment,omitempty"`
}

// SuspectView is one suspect in JSON.
type SuspectView struct {
	Name      message.Text `json:"name"`
	Positions []string     `json:"positions,omitempty"`
	What      message.Text `json:"what"`
	Shows     string       `json:"shows"`
	Element   string       `json:"element,omitempty"`
	Score     float64      `json:"score"`
	Share     float64      `json:"share"`
	RPM       float64      `json:"rpm"`
	ShiftPct  float64      `json:"shift_percent"`
	Lines     []LineView   `json:"lines,omitempty"`
}

// LineView is one line of a spectrum in JSON.
type LineView struct {
	What     message.Text `json:"what"`
	Times    int          `json:"times"`
	Of       listen.Code  `json:"of"`
	Tone     string       `json:"tone,omitempty"`
	Side     int          `json:"side,omitempty"`
	SideOf   listen.Code  `json:"side_of,omitempty"`
	Hz       float64      `json:"hz"`
	Order    float64      `json:"per_turn"`
	Evidence float64      `json:"evidence"`
}

// SoundWarningView is what is doubtful about a recording, in JSON.
type SoundWarningView struct {
	Code  string  `json:"code"`
	Share float64 `json:"share,omitempty"` // clipped: of the samples

	Coding  string  `json:"coding,omitempty"` // lossy: its name
	From    float64 `json:"from_s,omitempty"` // cut: what was kept
	To      float64 `json:"to_s,omitempty"`
	Of      float64 `json:"of_s,omitempty"`
	Channel int     `json:"channel,omitempty"` // opposed: the one taken, absent for their difference
}

func warningViews(ws []listen.Warning) []SoundWarningView {
	var out []SoundWarningView
	for _, w := range ws {
		out = append(out, SoundWarningView{w.Kind.String(), w.Share, w.Coding, w.From, w.To, w.Of, w.Channel})
	}
	return out
}

// View returns the answer in JSON's form.
func (h *Heard) View() HeardView {
	k, a := &h.Ranking, h.Answer()
	v := HeardView{Vehicle: h.Vehicle.ID, Headline: h.Headline(), Rest: told.Rest(h.Told()), Decides: ListenDecides,
		Caution: ListenCaution, Outcome: k.Outcome.String(), Answer: a.Code, Doubtful: a.Doubtful,
		Margin: k.Margin, False: k.False, EngineRPM: k.Crank.Hz * 60, Supported: k.Crank.Supported,
		Seconds: h.Recording.Seconds(),
		Noise:   h.NoiseWords(), Basis: h.Basis(), Warnings: h.Warnings(), More: h.More(), Tests: h.Tests(),
		NoiseSort: h.noiseView(), Trials: h.Trials(), WarnCodes: warningViews(k.Warnings), MoreCodes: h.more()}
	if k.P > 0 {
		v.Sure = &CertaintyView{k.Sure().String(), k.P}
	}
	for _, x := range h.Assumed {
		v.Assumed = append(v.Assumed,
			AssumptionView{x.Code, x.Name, refusalView(x.Refusal), x.Bearing.Number, x.OuterTurns, x.Tried})
	}
	for _, q := range k.Suspects {
		s := SuspectView{Name: h.Name(q), What: h.whatWords(q), Shows: q.Shows.String(), Score: q.Score, Share: q.Share,
			RPM: h.RPMOf(q), ShiftPct: 100 * q.Shift, Lines: lineViews(q.Lines)}
		if q.Shows == listen.ShowsElement {
			s.Element = q.Element.String()
		}
		for _, n := range suspectNames(q) {
			if src := h.source(n); src != nil && src.Position != "" {
				s.Positions = append(s.Positions, src.Position)
			}
		}
		v.Suspects = append(v.Suspects, s)
	}
	return v
}

func lineViews(ls []listen.Line) []LineView {
	var out []LineView
	for i := range ls {
		l := &ls[i]
		out = append(out, LineView{What: lineWhat(l), Times: l.Times, Of: l.Of, Tone: l.Tone, Side: l.Side,
			SideOf: l.SideOf, Hz: l.Hz, Order: l.Order, Evidence: l.Evidence})
	}
	return out
}

// AssumptionView is something taken to be so before a recording was read, in
// JSON.
type AssumptionView struct {
	Code       Code         `json:"code"`
	Name       string       `json:"name,omitempty"`
	Refused    *RefusalView `json:"refused,omitempty"`
	Bearing    string       `json:"bearing,omitempty"`
	OuterTurns bool         `json:"outer_turns,omitempty"`
	Tried      int          `json:"tried,omitempty"`
}

// NoiseView is the sort of a noise in JSON: rate per second, tone in Hz.
type NoiseView struct {
	Sort    string   `json:"sort"`
	Rate    float64  `json:"per_second,omitempty"`
	Tone    float64  `json:"tone_hz,omitempty"`
	Matches []string `json:"in_time_with,omitempty"`
}

func (h *Heard) noiseView() *NoiseView {
	if h.Sort == nil {
		return nil
	}
	return &NoiseView{Sort: h.Sort.Sort.String(), Rate: h.Sort.Rate, Tone: h.Sort.Tone, Matches: h.Sort.Matches}
}

// ShaftView is what a recording says about one shaft's bearings, in JSON. The
// answer has two parts: that a bearing is flawed, and which element it is.
type ShaftView struct {
	Headline  message.Text       `json:"headline"`
	Rest      message.Text       `json:"rest,omitempty"` // what else there is to it
	Decides   message.Text       `json:"what_decides"`
	Outcome   string             `json:"outcome"` // named, flawed (no element said), unclear or none
	Flawed    *CertaintyView     `json:"flawed,omitempty"`
	Element   string             `json:"element,omitempty"`
	Sure      string             `json:"element_certainty,omitempty"`
	Elements  []ElementView      `json:"elements,omitempty"` // whose lines stand out
	Bearings  []string           `json:"bearings,omitempty"`
	Firm      bool               `json:"firm"` // the element is said as most likely
	Score     float64            `json:"score"`
	Margin    float64            `json:"margin"`
	False     float64            `json:"false_rates_reach"`
	RPM       float64            `json:"rpm"`
	Supported bool               `json:"rpm_supported"`
	Lines     []LineView         `json:"lines,omitempty"`
	Basis     []message.Text     `json:"basis"`
	Warnings  []message.Text     `json:"warnings,omitempty"`
	More      []message.Text     `json:"more,omitempty"`
	Why       listen.Code        `json:"why"`
	Lit       int                `json:"lines_of_3,omitempty"`
	Rival     string             `json:"rival_element,omitempty"`
	WarnCodes []SoundWarningView `json:"warning_codes,omitempty"`
	MoreCodes []listen.Code      `json:"more_codes,omitempty"`
}

// CertaintyView is how sure a thing is, in JSON: most likely (19 in 20),
// probably (4 in 5), perhaps (1 in 2), or not said.
type CertaintyView struct {
	Certainty   string  `json:"certainty,omitempty"`
	Probability float64 `json:"probability"`
}

// ElementView is an element whose lines stand out, in JSON.
type ElementView struct {
	Element     string  `json:"element"`
	Probability float64 `json:"probability"` // that the bearing is flawed and this its flawed element
	Score       float64 `json:"score"`
}

// View returns the answer in JSON's form.
func (h *ShaftHeard) View() ShaftView {
	d := &h.Diagnosis
	v := ShaftView{Headline: h.Headline(), Rest: told.Rest(h.Told()), Decides: ShaftDecides,
		Outcome: d.Outcome.String(), Firm: d.Firm, Score: d.Score, Margin: d.Margin, False: d.False,
		RPM: d.Speed.Hz * 60, Supported: d.Speed.Supported, Lines: lineViews(d.Lines), Basis: h.Basis(),
		Warnings: h.Warnings(), More: h.More(), Why: d.Why, Lit: d.Lit, WarnCodes: warningViews(d.Warnings),
		MoreCodes: d.More}
	if d.RivalElement != listen.NoElement {
		v.Rival = d.RivalElement.String()
	}
	if len(d.Elements) > 0 {
		v.Flawed = &CertaintyView{d.FlawSure().String(), d.Flaw}
	}
	for _, b := range d.Elements {
		v.Elements = append(v.Elements, ElementView{b.Element.String(), b.P, b.Score})
	}
	switch d.Outcome {
	case listen.Named:
		v.Element, v.Bearings, v.Sure = d.Element.String(), d.Bearings, d.ElementSure().String()
	case listen.Flawed:
		v.Bearings = d.Bearings
	}
	return v
}

// TapHeardView is a tension read from a recording, in JSON.
type TapHeardView struct {
	Headline  message.Text   `json:"headline"`
	Rest      message.Text   `json:"rest,omitempty"` // what else there is to it
	Answer    Code           `json:"answer"`
	Run       string         `json:"run"`
	From      string         `json:"from"`
	To        string         `json:"to"`
	SpanMM    float64        `json:"span_mm"`
	Hz        float64        `json:"hz,omitempty"`
	TensionN  float64        `json:"tension_n,omitempty"`
	WithinN   float64        `json:"within_n,omitempty"`
	Taps      int            `json:"taps"`
	Ambiguous bool           `json:"octave_in_doubt"`
	Doubt     listen.Code    `json:"doubt,omitempty"`
	Basis     []message.Text `json:"basis"`
	Warnings  []message.Text `json:"warnings,omitempty"`
}

// View returns the answer in JSON's form.
func (t *TapHeard) View() TapHeardView {
	a := &t.Answer
	return TapHeardView{Headline: t.Headline(), Rest: told.Rest(t.Told()), Answer: t.Says(), Run: t.Run.Run.ID,
		From: a.From, To: a.To, SpanMM: a.SpanMM, Hz: t.Tap.Hz, TensionN: a.Tension.TensionN,
		WithinN: a.Tension.ErrorN, Taps: len(t.Tap.Plucks), Ambiguous: t.Tap.Ambiguous, Doubt: t.Tap.Doubt,
		Basis: t.Basis(), Warnings: t.Warnings()}
}

// ComparedView is two recordings side by side, in JSON.
type ComparedView struct {
	Headline message.Text   `json:"headline"`
	Rest     message.Text   `json:"rest,omitempty"` // what else there is to it
	Answer   Code           `json:"answer"`
	GainDB   float64        `json:"gain_db"`
	Bands    []BandView     `json:"bands"`
	Basis    []message.Text `json:"basis"`
}

// BandView is one third-octave band of two recordings, in JSON: dB.
type BandView struct {
	FromHz float64 `json:"from_hz"`
	ToHz   float64 `json:"to_hz"`
	A      float64 `json:"first_db"`
	B      float64 `json:"second_db"`
	Change float64 `json:"change_db"`
}

// View returns the comparison in JSON's form.
func (c *Compared) View() ComparedView {
	v := ComparedView{Headline: c.Headline(), Rest: told.Rest(c.Told()), Answer: c.Answer(), GainDB: c.Gain,
		Basis: c.Basis()}
	for _, b := range c.Bands {
		v.Bands = append(v.Bands, BandView{b.From, b.To, b.A, b.B, b.Change})
	}
	return v
}
