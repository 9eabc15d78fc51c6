package belt

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"undertray/drive"
	"undertray/internal/fleet"
	"undertray/internal/say"
)

// Change is a run as it would be after a change.
type Change struct {
	What   []string // the changes, in words
	Way    *drive.Route
	Ways   []drive.Route // all ways round that were found, best first
	After  Work
	Versus *drive.Comparison // nil where either run cannot be laid out
	fitted bool              // the belt fitted before the change
}

// change applies the question's changes and works the result out.
func (b *Run) change(q Question, speeds []speed) error {
	c := &Change{}
	run := b.Source
	var err error
	for _, what := range slices.Sorted(maps.Keys(q.Diameters)) {
		if run, err = b.resize(c, run, what, q.Diameters[what]); err != nil {
			return err
		}
	}
	for _, what := range slices.Sorted(maps.Keys(q.Moves)) {
		name, err := b.pulley(what)
		if err != nil {
			return err
		}
		at := q.Moves[what]
		if run, err = run.WithCentre(name, at); err != nil {
			return invalidRun(what, err)
		}
		c.What = append(c.What, fmt.Sprintf("the %s moved to x %.1f, y %.1f mm", name, at.X, at.Y))
	}
	if run, err = b.reroute(c, run, q); err != nil {
		return err
	}
	c.After = work(run, speeds)
	if b.Drive != nil && c.After.Drive != nil {
		if v, err := drive.Compare(b.Drive, c.After.Drive); err == nil {
			c.Versus = &v
		}
	}
	c.fitted = b.Fit != nil
	b.Change = c
	return nil
}

func (b *Run) resize(c *Change, run drive.Run, what string, mm float64) (drive.Run, error) {
	name, err := b.pulley(what)
	if err != nil {
		return run, err
	}
	was := run.Pulleys[run.Index(name)].DiameterMM
	if run, err = run.WithDiameter(name, mm); err != nil {
		return run, invalidRun(what, err)
	}
	c.What = append(c.What, fmt.Sprintf("the %s %g mm instead of %g mm", name, mm, was))
	return run, nil
}

// reroute searches for ways round the run with a pulley left out or added, and
// takes the best.
func (b *Run) reroute(c *Change, run drive.Run, q Question) (drive.Run, error) {
	if q.LeaveOut == "" && q.Idler == nil {
		return run, nil
	}
	var found drive.Routes
	what := ""
	if q.LeaveOut != "" {
		name, err := b.pulley(q.LeaveOut)
		if err != nil {
			return run, err
		}
		what = "the " + name + " left out"
		if found, err = run.LeaveOut(name, drive.SearchOptions{}); err != nil {
			return run, invalidRun("leave-out", err)
		}
		if q.Idler == nil {
			return b.best(c, run, found, what)
		}
		if run, err = run.Without(name); err != nil {
			return run, invalidRun("leave-out", err)
		}
		c.What = append(c.What, what)
	}
	what = fmt.Sprintf("an idler of %g mm added at x %.0f, y %.0f mm", q.Idler.DiameterMM, q.Idler.Centre.X, q.Idler.Centre.Y)
	found, err := run.Insert(*q.Idler, drive.SearchOptions{})
	if err != nil {
		return run, invalidRun("idler", err)
	}
	return b.best(c, run, found, what)
}

// best takes the best way that turns no loaded pulley the other way; where
// there is none, the best of all.
func (b *Run) best(c *Change, run drive.Run, found drive.Routes, what string) (drive.Run, error) {
	c.What = append(c.What, what)
	if len(found.Found) == 0 {
		return run, &fleet.Error{Kind: fleet.Invalid, Where: "run",
			Msg:  fmt.Sprintf("with %s no way round was found that closes and clears every pulley", what),
			Hint: "move an idler, or add one: what stood there kept the belt off its neighbours"}
	}
	c.Ways = found.Found
	i := max(0, slices.IndexFunc(found.Found, func(r drive.Route) bool { return len(r.Reversed) == 0 }))
	c.Way = &found.Found[i]
	next := c.Way.Run
	if !c.Way.PresentBelt {
		next.Belt.LengthMM = 0 // the belt to be bought is not known yet
	}
	return next, nil
}

// Headline answers the what-if in one sentence.
func (c *Change) Headline() string {
	what := say.Capital(strings.Join(c.What, ", "))
	switch {
	case len(c.After.Refused) > 0:
		return what + ": the run cannot be. " + say.Sentence(c.After.Refused[0].Error())
	case c.Versus == nil:
		return what + ": the run needs a belt of " + mm(c.After.Layout.EffectiveMM) + "."
	case c.Versus.BeltFits:
		still := "the belt fits"
		if c.fitted {
			still = "the belt still fits"
		}
		return what + ": " + still + "; " + c.slip() + "."
	}
	s := what + ": this belt does not fit."
	if c.fitted {
		s = what + ": this belt no longer fits."
	}
	if l := c.After.Lengths; l != nil && l.FromMM < l.ToMM {
		return s + fmt.Sprintf(" Belts from %s to %s do; %s.", mm(l.FromMM), mm(l.ToMM), c.slip())
	}
	return s + fmt.Sprintf(" As drawn the run needs %s; %s.", mm(c.After.Layout.EffectiveMM), c.slip())
}

// slip says which pulley is then closest to slipping.
func (c *Change) slip() string {
	if c.Way != nil && len(c.Way.Reversed) > 0 {
		return "but the " + say.Listing(c.Way.Reversed) + " would turn the other way, which most do not stand"
	}
	if s := c.After.weakest(); s != nil {
		return fmt.Sprintf("the %s slips first, at %s", s.Pulley, loadTimes(s.LoadFactor))
	}
	if c.Way != nil {
		return fmt.Sprintf("the %s then has the least wrap that carries load, %.0f°", c.Way.Weakest, c.Way.WeakestWrap)
	}
	return "the change in length is " + signedMM(c.Versus.LengthMM-c.Versus.LengthWas)
}

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
	Warning  string
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
			Msg:  fmt.Sprintf("no span leads from the %s to the %s", from, to),
			Hint: "the spans are " + strings.Join(b.spanNames(), ", ")}
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
	}
	return a, nil
}

func (b *Run) spanNames() []string {
	out := make([]string, len(b.Layout.Spans))
	for i, s := range b.Layout.Spans {
		out[i] = s.Leaves + " to " + s.Reaches
	}
	return out
}

// Words says what the tapped span tells.
func (a *TapAnswer) Words() string {
	s := fmt.Sprintf("%s to %s (%s) at %g Hz: %.0f N, within %.0f N.", say.Capital(a.From), a.To, mm(a.SpanMM), a.Tap.Hz, a.Tension.TensionN, a.Tension.ErrorN)
	if a.Expected > 0 {
		s += fmt.Sprintf(" Worked out for this run at rest: %.0f N", a.Expected)
		switch {
		case near(a.Expected, a.Tension.IfOctaveN, a.Tension.ErrorN/4):
			s += "; that would be the octave, so the tone taken was probably the second."
		case near(a.Expected, a.Tension.IfHalfN, a.Tension.ErrorN*4):
			s += "; that would be half the tone, so the tone taken was probably one below the true one."
		case near(a.Expected, a.Tension.TensionN, a.Tension.ErrorN):
			s += ", which agrees."
		default:
			s += ", which does not agree."
		}
	}
	s += fmt.Sprintf(" If the tone was the octave, the tension is %.0f N; if half the true tone, %.0f N.", a.Tension.IfOctaveN, a.Tension.IfHalfN)
	if !a.Weighed {
		s += " The belt's mass is an estimate: weigh the belt, and the error shrinks."
	}
	if a.Tension.ShortSpan {
		s += " The span is short for its thickness, so stiffness makes the tension read high: tap a longer one."
	}
	return s
}

func near(want, got, within float64) bool { return got-within <= want && want <= got+within }
