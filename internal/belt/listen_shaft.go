package belt

import (
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/listen"
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
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "bearing", Msg: "no bearing is named",
			Hint: "give the number stamped on it, such as 6203"}
	}
	if !(q.RPM >= 30 && q.RPM <= 120000) {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "rpm", Msg: message.Of("a shaft speed of %g rpm", q.RPM),
			Hint: "give the speed of the shaft to within 2 %: without it a comb of lines means nothing"}
	}
	for _, n := range q.Bearings {
		b, err := catalogue.BearingOf(n)
		if err != nil {
			return nil, err
		}
		h.Bearings = append(h.Bearings, b)
		h.geometry = append(h.geometry, listen.Bearing{Name: b.Number, Balls: b.Balls, Ball: b.Ball.Base(),
			Pitch: b.Pitch.Base(), OuterTurns: q.OuterTurns})
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
		return nil, refusal("run", b.Refused[0], nil)
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

// What a comparison of two recordings says (Compared).
const (
	NoBand      Code = "no band"      // they share none
	NothingRose Code = "nothing rose" // against the rest
	BandRose    Code = "band rose"    // Bands[Most] rose most
)

// Answer says whether a band rose against the rest.
func (c *Compared) Answer() Code {
	switch {
	case len(c.Bands) == 0:
		return NoBand
	case c.Bands[c.Most].Change < stands:
		return NothingRose
	}
	return BandRose
}

// What a recording of taps says (TapHeard).
const (
	NoTap       Code = "no tap"          // with a tone was heard
	OctaveDoubt Code = "octave in doubt" // Low and High are the other readings
	TapRead     Code = "read"
)

// Says tells whether a tone was heard and whether it is sure.
func (t *TapHeard) Says() Code {
	switch {
	case t.Tap.Hz == 0:
		return NoTap
	case t.Tap.Ambiguous:
		return OctaveDoubt
	}
	return TapRead
}

// Few reports whether the taps heard are fewer or less alike than asked for.
func (t *TapHeard) Few() bool { return len(t.Tap.Plucks) > 0 && !t.Tap.Repeatable }

// stands is from how many dB a change in one third-octave band is said
// (common practice; two takes of one thing differ by 2 to 3).
const stands = 6
