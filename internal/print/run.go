package print

import (
	"fmt"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/message"
)

// Run writes all that was worked out about a belt run, what a change comes to
// first where one was asked about.
func (t *Text) Run(b *belt.Run) {
	t.Told(b.Told())
	t.runQuestion(b)
	if len(b.Refused) > 0 {
		t.refusals(&b.Work)
		t.basis(b)
		return
	}
	t.Blank()
	t.Named("Caution:", 0, belt.Caution)
	t.runLayout(b, &b.Work)
	if s := b.LengthWords(); s != "" {
		t.Blank()
		t.Line(s)
	}
	for _, s := range b.FitWords() {
		t.Line(s)
	}
	t.runSpeeds(&b.Work)
	t.runForces(b, &b.Work)
	t.runSays(b)
	t.basis(b)
}

// runQuestion answers what was asked beyond the run itself.
func (t *Text) runQuestion(b *belt.Run) {
	if c := b.Change; c != nil {
		if len(c.After.Refused) == 0 {
			t.Head("What if")
			t.runLayout(b, &c.After)
			t.runForces(b, &c.After)
		}
		if s := c.UnsuitedWords(); s != "" {
			t.Line(s)
		}
		t.Head("The run as it is")
		t.Line(b.AsItIs())
	}
	for i := range b.Taps {
		t.Blank()
		t.Named("Tapped:", 9, b.Taps[i].Words())
	}
}

func (t *Text) refusals(w *belt.Work) {
	t.notes("Also:", w.Wrong())
	t.notes("Or:", w.Else())
}

// runLayout lists pulleys in order of travel.
func (t *Text) runLayout(b *belt.Run, w *belt.Work) {
	t.Head("Pulleys in order of travel")
	var rows [][]any
	for _, p := range w.Pulleys(b.Run) {
		ratio := ""
		if p.Ratio > 0 {
			ratio = fmt.Sprintf("%.2f", p.Ratio)
		}
		rows = append(rows, []any{fmt.Sprint(p.N), message.Is(p.Name).Capital(), belt.SideWords(p.Back),
			belt.TurnWords(p.Turns),
			fmt.Sprintf("%.0f°", p.WrapDeg), t.prefs.Figure(p.SpanMM, "mm", 0), ratio})
	}
	t.table([]column{{head: "No", right: true}, {head: "Pulley"}, {head: "On"},
		{head: "Turns"},
		{head: "Wrap", right: true}, {head: message.Of("Span %s", t.prefs.UnitFor("mm")), right: true},
		{head: "Ratio", right: true}}, rows)
}

func (t *Text) runSpeeds(w *belt.Work) {
	if len(w.States) == 0 {
		return
	}
	t.Head("Speeds, rpm")
	cols := []column{{head: "Pulley"}}
	states := w.States[:min(len(w.States), 4)]
	for _, s := range states {
		cols = append(cols, column{head: message.Of("at %.0f", s.RPM), right: true})
	}
	var rows [][]any
	for i, p := range states[0].Speeds.Pulleys {
		row := []any{message.Is(p.Name).Capital()}
		for _, s := range states {
			row = append(row, fmt.Sprintf("%.0f", s.Speeds.Pulleys[i].RPM))
		}
		rows = append(rows, row)
	}
	row := []any{message.Of("Belt, %s", t.prefs.UnitFor("m/s"))}
	for _, s := range states {
		row = append(row, t.prefs.Figure(s.Speeds.BeltMS, "m/s", 1))
	}
	t.table(cols, append(rows, row))
	t.notes("Note:", w.WarningWords())
}

// runForces lists tensions, tones, grip and hub loads at each speed.
func (t *Text) runForces(b *belt.Run, w *belt.Work) {
	t.runTensions(w)
	t.runGrip(b, w)
	for i := range w.States {
		if s := w.States[i].SlipWords(); s != "" {
			t.Line(s)
		}
	}
	if s := w.SlipWords(); s != "" {
		t.Line(s)
	}
	t.runLives(w)
}

// tensionColumns is how many speeds have room beside the tension at rest.
const tensionColumns = 3

// runTensions lists each span's tension at rest and at each speed with its
// lowest tone.
func (t *Text) runTensions(w *belt.Work) {
	if w.Installed == nil {
		return
	}
	t.Head(message.Of("Tension of each span, %s, and its lowest tone at rest, Hz", t.prefs.UnitFor("N")))
	cols := []column{{head: "Span"}, {head: "at rest", right: true},
		{head: "Hz", right: true}}
	states := w.Tensions()
	states = states[:min(len(states), tensionColumns)]
	for _, st := range states {
		cols = append(cols, column{head: message.Of("at %.0f", st.RPM), right: true})
	}
	var rows [][]any
	for _, s := range w.Spans() {
		row := []any{message.Of("%s to %s", message.Is(s.From).Capital(), s.To), t.prefs.Figure(s.Rest.N, "N", 0),
			fmt.Sprintf("%.0f", s.Rest.Hz)}
		for i := range states {
			row = append(row, t.prefs.Figure(s.At[i], "N", 0))
		}
		rows = append(rows, row)
	}
	t.table(cols, rows)
}

func (t *Text) runGrip(b *belt.Run, w *belt.Work) {
	st := w.Hardest()
	if st == nil {
		return
	}
	t.Head(message.Of("Grip where slip is nearest: %.0f rpm (%s)", st.RPM, st.Name()))
	var rows [][]any
	for _, p := range w.Pulleys(b.Run) {
		l := p.Bears
		if l.Idles {
			rows = append(rows, []any{message.Is(p.Name).Capital(), "", "", "", t.prefs.Figure(l.HubN, "N", 0)})
			continue
		}
		rows = append(rows, []any{message.Is(p.Name).Capital(), t.prefs.Figure(l.TorqueNm, "N·m", 1),
			fmt.Sprintf("%.0f %%", l.Used*100),
			fmt.Sprintf("%.2f", l.Friction), t.prefs.Figure(l.HubN, "N", 0)})
	}
	t.table([]column{{head: "Pulley"}, {head: message.Of("Torque %s", t.prefs.UnitFor("N·m")), right: true},
		{head: "Grip used", right: true},
		{head: "Friction needed", right: true},
		{head: message.Of("Hub load %s", t.prefs.UnitFor("N")), right: true}}, rows)
}

// runLives lists bearing lives at the usual speed, with their caution.
func (t *Text) runLives(w *belt.Work) {
	lives := w.Lives()
	if len(lives) == 0 {
		return
	}
	var rows [][]any
	for _, l := range lives {
		rows = append(rows, []any{message.Is(l.Pulley).Capital(), belt.LifeWords(l.Hours), l.Note()})
	}
	t.Head(message.Of("Bearings, L10 at %.0f rpm", w.Usual().RPM))
	t.table([]column{{head: "Pulley"}, {head: "L10", right: true}, {head: ""}}, rows)
	t.Line(belt.LifeCaution)
}

// runSays writes what findings, offsets, wear and pulley planes say.
func (t *Text) runSays(b *belt.Run) {
	if len(b.Findings) > 0 {
		t.Head("What was found here")
		for i := range b.Findings {
			f := &b.Findings[i]
			t.Named(f.Reason.Verdict.Message(), verdictWide, message.Of("%s. %s", f.Name, f.Words()))
		}
	}
	if b.Offset != nil {
		t.Line(b.Offset.Words())
	}
	if b.Wear != nil {
		t.Blank()
		t.Named("Wear:", 0, b.Wear.Words())
	}
	for _, o := range b.OutOfLine() {
		t.Named("Out of line:", 0, o.Words())
	}
}

func (t *Text) basis(b *belt.Run) {
	lines := b.Basis()
	if len(lines) == 0 {
		return
	}
	t.Head("How it is known")
	for _, s := range lines {
		t.Line(s)
	}
}
