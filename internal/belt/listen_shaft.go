package belt

import (
	"fmt"
	"math"
	"strings"

	"undertray/internal/advise"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/internal/say"
	"undertray/listen"
)

// ShaftQuestion is a recording of one shaft on its own: a machine, a tool, a
// pulley spun by hand or drill.
type ShaftQuestion struct {
	Bearings   []string // numbers as stamped
	RPM        float64
	Tolerance  float64   // relative; 0: 2.5 %
	OuterTurns bool      // the outer ring turns, as in most idlers
	Ignore     []float64 // Hz whose multiples are passed over: mains, a lamp
}

// ShaftHeard is what a recording says about the bearings of one shaft.
type ShaftHeard struct {
	Question  ShaftQuestion
	Bearings  []catalogue.Bearing
	Recording listen.Recording
	Diagnosis listen.Diagnosis
	geometry  []listen.Bearing
}

// Shaft says which element of a shaft's bearings shows in a recording, if any.
// It fails with a *fleet.Error: NotFound for a bearing whose inside is not
// known, Invalid for a speed or a recording that cannot be used.
func Shaft(rec listen.Recording, q ShaftQuestion) (*ShaftHeard, error) {
	h := &ShaftHeard{Question: q, Recording: rec}
	if len(q.Bearings) == 0 {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "bearing", Msg: "no bearing is named", Hint: "give the number stamped on it, such as 6203"}
	}
	if !(q.RPM >= 30 && q.RPM <= 120000) {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "rpm", Msg: fmt.Sprintf("a shaft speed of %g rpm", q.RPM), Hint: "give the speed of the shaft to within 2 %: without it a comb of lines means nothing"}
	}
	for _, n := range q.Bearings {
		b, err := catalogue.BearingOf(n)
		if err != nil {
			return nil, err
		}
		h.Bearings = append(h.Bearings, b)
		h.geometry = append(h.geometry, listen.Bearing{Name: b.Number, Balls: b.Balls, Ball: b.Ball.Base(), Pitch: b.Pitch.Base(), OuterTurns: q.OuterTurns})
	}
	tol := q.Tolerance
	if tol == 0 {
		tol = 0.025
	}
	var err error
	h.Diagnosis, err = listen.DiagnoseWith(rec, listen.RPM(q.RPM, tol), h.geometry, listen.Options{Notch: q.Ignore})
	if err != nil {
		return nil, recordingError("recording", err)
	}
	return h, nil
}

// Headline answers in a sentence.
func (h *ShaftHeard) Headline() string {
	d := &h.Diagnosis
	switch d.Outcome {
	case listen.Quiet:
		return "Not enough to tell: " + say.LowerFirst(d.Reason)
	case listen.Unclear:
		return "Not enough to tell: " + say.LowerFirst(d.Reason)
	}
	lead := "Possibly"
	if d.Firm {
		lead = "Most likely"
	}
	return fmt.Sprintf("%s the %s of the %s, %.1f times what is asked for.", lead, d.Element, strings.Join(d.Bearings, " or "), d.Margin)
}

// Basis says how the answer is known.
func (h *ShaftHeard) Basis() []string {
	d := &h.Diagnosis
	speed := "not borne out by the recording"
	if d.Speed.Supported {
		speed = "borne out by lines one, two and three turns apart"
	}
	out := []string{
		fmt.Sprintf("Shaft speed %.1f rpm (%.0f given), %s.", d.Speed.Hz*60, h.Question.RPM, speed),
		fmt.Sprintf("%.1f s at %.0f samples a second. The best fit scores %.1f; false rates reach %.1f on it, the next element %.1f.", h.Recording.Seconds(), h.Recording.Rate, d.Score, d.False, d.Rival),
	}
	for _, b := range h.Bearings {
		out = append(out, fmt.Sprintf("The %s is taken to hold %d balls of %s on a circle of %s (%s): a maker may build it otherwise.", b.Number, b.Balls, b.Ball, b.Pitch, b.Standing))
	}
	return append(out, "A score is evidence, not severity: nothing here says how worn a bearing is.")
}

// Warnings say what is doubtful about the recording.
func (h *ShaftHeard) Warnings() []string { return warningTexts(h.Diagnosis.Warnings) }

// TapHeard is the tension read from a recording of taps on a span at rest.
type TapHeard struct {
	Run       *Run
	Answer    TapAnswer // of the tone heard; zero where there is none
	Low, High TapAnswer // of the other readings where an octave is in doubt
	Tap       listen.Tap
}

// Tapped reads the tone of a tapped span from a recording, engine off, and the
// tension from the run it belongs to. The span is named by its two pulleys. It
// fails with a *fleet.Error: NotFound for an unknown run or pulley, Invalid for
// two pulleys without a span between them or a recording that cannot be used.
func Tapped(r *advise.Report, rec listen.Recording, run, from, to string) (*TapHeard, error) {
	if run == "" && len(r.Vehicle.Runs) > 0 {
		run = runWith(r, from, to)
	}
	b, err := Of(r, run, Question{})
	if err != nil {
		return nil, err
	}
	if len(b.Refused) > 0 {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "run", Msg: b.Headline(), Hint: "put that right first"}
	}
	t := &TapHeard{Run: b}
	// The span is looked up before the recording is read, so that a name mistyped is said first.
	if t.Answer, err = b.tapped(Tap{From: from, To: to, Hz: 100}); err != nil {
		return nil, err
	}
	kg, _ := b.Source.Belt.MassKgPerM()
	if t.Tap, err = listen.TappedSpan(rec, &listen.Span{Length: t.Answer.SpanMM / 1000, Mass: kg}); err != nil {
		return nil, recordingError("recording", err)
	}
	if t.Tap.Hz == 0 {
		t.Answer = TapAnswer{From: t.Answer.From, To: t.Answer.To, SpanMM: t.Answer.SpanMM}
		return t, nil
	}
	for _, reading := range []struct {
		hz float64
		to *TapAnswer
	}{{t.Tap.Hz, &t.Answer}, {t.Tap.LowHz, &t.Low}, {t.Tap.HighHz, &t.High}} {
		if reading.hz <= 0 {
			continue
		}
		within := reading.hz * max(0.01, t.Tap.Spread/2)
		if *reading.to, err = b.tapped(Tap{From: from, To: to, Hz: reading.hz, HzError: within}); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// runWith finds the run that has both pulleys, otherwise the first.
func runWith(r *advise.Report, from, to string) string {
	for i := range r.Vehicle.Runs {
		b := &Run{Run: &r.Vehicle.Runs[i]}
		_, errFrom := b.pulley(from)
		_, errTo := b.pulley(to)
		if errFrom == nil && errTo == nil {
			return b.Run.ID
		}
	}
	return r.Vehicle.Runs[0].ID
}

// Headline answers in a sentence or two.
func (t *TapHeard) Headline() string {
	span := fmt.Sprintf("%s to %s (%s)", t.Answer.From, t.Answer.To, mm(t.Answer.SpanMM))
	if t.Tap.Hz == 0 {
		return fmt.Sprintf("Not enough to tell: no tap with a tone was heard on the span %s. %s", span, say.Sentence(t.Tap.Note))
	}
	a := t.Answer
	a.Tap.Hz = math.Round(a.Tap.Hz*10) / 10
	s := a.Words()
	if t.Tap.Ambiguous {
		s = "Not enough to tell for sure. " + s
	}
	return s
}

// Basis says how it is known.
func (t *TapHeard) Basis() []string {
	out := []string{fmt.Sprintf("%d taps heard, their tones within %.1f %% of one another.", len(t.Tap.Plucks), 100*t.Tap.Spread)}
	if len(t.Tap.Plucks) > 0 && !t.Tap.Repeatable {
		out = append(out, "Three taps or more within 3 % are asked for: tap again, a second apart, in the middle of the span.")
	}
	if t.Tap.Ambiguous {
		for _, a := range []TapAnswer{t.Low, t.High} {
			if a.Tap.Hz > 0 {
				out = append(out, fmt.Sprintf("If the tone is really %.1f Hz, the tension is %.0f N.", a.Tap.Hz, a.Tension.TensionN))
			}
		}
		out = append(out, say.Sentence(t.Tap.Note))
	}
	return append(out, "With a sprung tensioner the tone tells the spring, not how the belt was fitted. Engine off, key out, belt at rest.")
}

// Warnings say what is doubtful about the recording.
func (t *TapHeard) Warnings() []string { return warningTexts(t.Tap.Warnings) }

// Compared sets two recordings side by side.
type Compared struct {
	listen.Comparison
	NameA, NameB string
}

// CompareRecordings compares two recordings level by level: before and after,
// load off and on, near one pulley and near another. The error is a
// *fleet.Error that names the recording that cannot be used.
func CompareRecordings(a, b listen.Recording, nameA, nameB string) (*Compared, error) {
	for _, x := range []struct {
		rec  listen.Recording
		name string
	}{{a, nameA}, {b, nameB}} {
		if _, err := x.rec.Check(); err != nil {
			return nil, recordingError(x.name, err)
		}
	}
	c, err := listen.Compare(a, b)
	if err != nil {
		return nil, recordingError(nameA+", "+nameB, err)
	}
	return &Compared{c, nameA, nameB}, nil
}

// stands is from how many dB a change in one third-octave band is said
// (common practice; two takes of one thing differ by 2 to 3).
const stands = 6

// Headline answers what changed most.
func (c *Compared) Headline() string {
	if len(c.Bands) == 0 {
		return "Not enough to tell: the two recordings share no band."
	}
	most := c.Bands[c.Most]
	if most.Change < stands {
		return fmt.Sprintf("Nothing stands out: no band rose by %d dB or more against the rest from %s to %s.", stands, c.NameA, c.NameB)
	}
	return fmt.Sprintf("From %s to %s the band from %.0f to %.0f Hz rose most, by %.0f dB against the rest.", c.NameA, c.NameB, most.From, most.To, most.Change)
}

// Basis says how far the comparison goes.
func (c *Compared) Basis() []string {
	return []string{
		fmt.Sprintf("All bands together changed by %+.1f dB, which distance, the recorder's level control or a louder engine do too; it is taken off.", c.Gain),
		"Record both from the same place with the same device at the same engine speed, one after the other.",
	}
}
