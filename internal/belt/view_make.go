package belt

import (
	"fmt"
	"math"
	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/runwords"
)

// View returns the run in JSON's form.
func (b *Run) View() RunView {
	v := RunView{Run: b.Run.ID, Name: b.Run.Name, Typical: b.Run.Typical, Headline: b.Headline(),
		Answer:  answerView(b.Answer(), b.Refused),
		Caution: Caution, Basis: b.Basis(),
		Refused: refusalViews(b.Refused), Belt: b.beltView(), WorkView: b.Work.view()}
	if b.Vehicle != nil {
		v.Vehicle = b.Vehicle.ID
	}
	for _, f := range b.Findings {
		v.Findings = append(v.Findings, findingView(f))
	}
	if b.Offset != nil {
		v.Offset = b.Offset.Words()
		v.OffsetBy = &OffsetView{MM: b.Offset.MM, MostDeg: drive.AngleDeg(b.Offset.MM, b.Offset.Short.LengthMM),
			LeastDeg: drive.AngleDeg(b.Offset.MM, b.Offset.Long.LengthMM)}
	}
	if w := b.Wear; w != nil {
		v.Wear = &WearView{Code: w.Code, Words: w.Words(), SinkMM: w.Wear.SinkMM, Moved: w.Wear.Moved,
			Left: w.Wear.Left, Unit: w.Unit}
	}
	for i := range b.Taps {
		t := &b.Taps[i]
		v.Taps = append(v.Taps, TapView{From: t.From, To: t.To, Hz: t.Tap.Hz, TensionN: t.Tension.TensionN,
			ErrorN:    t.Tension.ErrorN,
			IfOctaveN: t.Tension.IfOctaveN, IfHalfN: t.Tension.IfHalfN, ExpectedN: t.Expected, Agrees: t.Agrees,
			Words: t.Words()})
	}
	if b.Change != nil {
		v.AsItIs, v.Change = b.AsItIs(), b.Change.view()
	}
	return v
}

func (c *Change) view() *ChangeView {
	v := &ChangeView{What: c.Words(), Headline: c.Headline(), Answer: answerView(c.Answer(), c.After.Refused),
		Refused: refusalViews(c.After.Refused), WorkView: c.After.view()}
	for _, a := range c.What {
		v.Changes = append(v.Changes, AlterationView(a))
	}
	if c.Way != nil {
		v.Order, v.Back, v.Reversed, v.Unsuited = c.Way.Order, c.Way.Back, c.Way.Reversed, c.Way.Unsuited
	}
	return v
}

func refusalViews(rs []*drive.Refusal) []RefusalView {
	var out []RefusalView
	for _, r := range rs {
		out = append(out, *refusalView(r))
	}
	return out
}

func refusalView(r *drive.Refusal) *RefusalView {
	if r == nil {
		return nil
	}
	v := &RefusalView{Reason: r.Reason.String(), Code: r.Code, Pulleys: r.Pulleys, MM: r.MM, Text: runwords.Text(r),
		Hint: runwords.Hint(r)}
	for _, a := range r.Args {
		v.Args = append(v.Args, argView(a))
	}
	for i := range r.Suggestions {
		s := &r.Suggestions[i]
		v.Try = append(v.Try, runwords.Suggestion(s))
		c := ChangeToTry{Code: s.Code, Pulleys: s.Pulleys}
		if s.Code == drive.OtherSide {
			c.Side = s.Side.String()
		}
		v.Changes = append(v.Changes, c)
	}
	return v
}

func argView(a drive.Arg) ArgView {
	v := ArgView{Of: a.Of, Name: a.Name, Unit: a.Unit}
	switch {
	case a.Name != "":
	case math.IsNaN(a.Value) || math.IsInf(a.Value, 0):
		v.Name = fmt.Sprint(a.Value) // no number of JSON
	default:
		v.Value = &a.Value
	}
	return v
}

func answerView(a Answer, refused []*drive.Refusal) AnswerView {
	v := AnswerView{Code: a.Code, Slips: slipView(a.Slips), Pointer: a.Pointer, Made: a.Made}
	if len(refused) > 0 {
		v.Refused = refusalView(refused[0])
	}
	if a.At != nil {
		v.RPM, v.Refused = a.At.RPM, refusalView(a.At.Refused)
	}
	if a.Untold != nil {
		v.Untold = &UntoldView{Code: a.Untold.Code, Refusal: refusalView(a.Untold.Refusal)}
	}
	return v
}

func findingView(f Finding) RunFindingView {
	r := &f.Reason
	return RunFindingView{Position: f.Position, Verdict: r.Verdict, Check: r.Check.ID, Answer: r.Finding.Answer,
		Value:     r.Finding.Value,
		Authority: r.Authority, Words: advise.ReasonWords(f.Reason)}
}

func (b *Run) beltView() *BeltView {
	belt := &b.Source.Belt
	kg, weighed := belt.MassKgPerM()
	v := &BeltView{Printed: b.Facts.Printed, Known: b.Known.Words(), From: b.Known.Code, On: b.Known.On,
		Section: belt.Section.Name, LengthMM: belt.LengthMM, KgPerM: kg, Weighed: weighed}
	for _, d := range b.Doubts {
		v.Doubts = append(v.Doubts, DoubtView(d))
	}
	switch {
	case b.Fit != nil:
		yes := true
		v.Fits = &yes
	case b.NoFit != nil && (b.NoFit.Reason == drive.BeltTooShort || b.NoFit.Reason == drive.BeltTooLong):
		no := false
		v.Fits, v.Why, v.MissMM = &no, runwords.Text(b.NoFit), b.NoFit.MM
	}
	return v
}

func (w *Work) view() *WorkView {
	if w.Drive == nil {
		return nil
	}
	v := &WorkView{EffectiveMM: w.Layout.EffectiveMM, PitchMM: w.Layout.PitchMM, NoForces: w.Untold.Words(),
		SlipsFrom: slipView(w.SlipsFrom)}
	if f := w.Fit; f != nil && w.moves() {
		v.Fit = &FitView{Position: f.Position, Unit: w.unit(), ToTakeUp: f.Take.Move, ToTakeUpMM: f.Take.BeltMM,
			ToFitting:   f.Fitting.Move,
			ToFittingMM: f.Fitting.BeltMM, InMarks: f.InMarks, TensionN: f.Tension}
	}
	if l := w.Lengths; l != nil && !w.toothed() {
		v.Lengths = &LengthsView{ShortestMM: l.ShortestMM, LongestMM: l.LongestMM, FromMM: l.FromMM, ToMM: l.ToMM,
			ToleranceMM: l.ToleranceMM,
			Source:      message.Of("%s: %s", l.Standing, l.Source)}
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
		v.Warnings = append(v.Warnings, RunWarningView{Code: x.Kind, Pulley: x.Pulley, Text: runwords.Warning(x.Kind),
			Value: x.Value, Limit: x.Limit, Source: x.Source})
	}
	return v
}

// clearOf is the clearance that stands for nothing near.
const clearOf = 9999

func (w *Work) viewLayout(v *WorkView) {
	for i, p := range w.Layout.Pulleys {
		s := &w.Source.Pulleys[i]
		pv := RunPulleyView{N: i + 1, Name: p.Name, XMM: p.Centre.X, YMM: p.Centre.Y, DiameterMM: s.DiameterMM,
			Side:   p.Side.String(),
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
	v := RunStateView{Name: st.Name(), Code: st.Code, Refused: refusalView(st.Refused), RPM: st.RPM,
		BeltMS: st.Speeds.BeltMS, Slip: slipView(st.Slip)}
	for i, p := range st.Speeds.Pulleys {
		pv := PulleyStateView{Name: p.Name, RPM: p.RPM}
		if st.Forces != nil {
			f := &st.Forces.Pulleys[i]
			pv.TorqueNm, pv.HubN, pv.Used, pv.MuNeeded = f.TorqueNm, f.HubN, &f.Used, &f.MuNeeded
			if f.Life != nil {
				pv.L10Hours, pv.Caution = f.Life.Hours, LifeCaution
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
