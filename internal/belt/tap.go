package belt

import (
	"slices"
	"strings"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Tap is the tone of a span, found by tapping or plucking it at rest.
type Tap struct {
	From, To string  // pulleys at its ends, by name or position
	Hz       float64 // the tone
	HzError  float64 // within; 0: 2 %
}

// TapAnswer is the tension read from a tone.
type TapAnswer struct {
	From, To string
	SpanMM   float64
	Tap      Tap
	Tension  drive.SpanTension
	Weighed  bool
	Expected float64 // N at standstill by the spring or the setting; 0 unknown
	Agrees   Code    // how it agrees with that; "" where that is unknown
}

// tap reads the tension of tapped spans.
func (b *Run) tap(taps []Tap) error {
	for _, t := range taps {
		a, err := b.tapped(t)
		if err != nil {
			return err
		}
		b.Taps = append(b.Taps, a)
	}
	return nil
}

func (b *Run) tapped(t Tap) (TapAnswer, error) {
	from, err := b.pulley(t.From)
	if err != nil {
		return TapAnswer{}, err
	}
	to, err := b.pulley(t.To)
	if err != nil {
		return TapAnswer{}, err
	}
	i := slices.IndexFunc(b.Layout.Spans, func(l drive.Leg) bool {
		return l.Leaves == from && l.Reaches == to || l.Leaves == to && l.Reaches == from
	})
	if i < 0 {
		return TapAnswer{}, &fleet.Error{Kind: fleet.Invalid, Where: "tap",
			Msg:  message.Of("no span leads from the %s to the %s", from, to),
			Hint: message.Of("the spans are %s", strings.Join(b.spanNames(), ", "))}
	}
	if t.HzError == 0 {
		t.HzError = t.Hz * 0.02
	}
	kg, weighed := b.Source.Belt.MassKgPerM()
	massError := kg * 0.02
	if !weighed {
		massError = kg * 0.15 // the estimates run from 0.018 to 0.024 kg/m a rib
	}
	span := b.Layout.Spans[i]
	reading := drive.SpanReading{Hz: t.Hz, HzError: t.HzError, SpanMM: span.LengthMM, SpanError: 2,
		KgPerM: kg, MassError: massError, ThickMM: b.Source.Belt.Section.ThickMM}
	tension, err := drive.TensionFromHz(reading)
	if err != nil {
		return TapAnswer{}, invalidRun("tap", err)
	}
	a := TapAnswer{From: from, To: to, SpanMM: span.LengthMM, Tap: t, Tension: tension, Weighed: weighed}
	if b.Installed != nil {
		a.Expected = b.Installed.Spans[i].TensionN
		a.Agrees = agreement(a.Expected, &tension)
	}
	return a, nil
}

func (b *Run) spanNames() []string {
	out := make([]string, len(b.Layout.Spans))
	for i, s := range b.Layout.Spans {
		out[i] = strings.Join([]string{s.Leaves, s.Reaches}, " to ")
	}
	return out
}

// agreement says how a tension read agrees with the one expected, N.
func agreement(expected float64, t *drive.SpanTension) Code {
	switch {
	case expected <= 0:
		return ""
	case near(expected, t.IfOctaveN, t.ErrorN/4):
		return Octave
	case near(expected, t.IfHalfN, t.ErrorN*4):
		return HalfTone
	case near(expected, t.TensionN, t.ErrorN):
		return Agrees
	}
	return Differs
}

func near(want, got, within float64) bool { return got-within <= want && want <= got+within }
