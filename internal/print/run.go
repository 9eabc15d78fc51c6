package print

import (
	"fmt"
	"math"

	"undertray/internal/belt"
	"undertray/internal/say"
)

// Run writes all that was worked out about a belt run.
func (t *Text) Run(b *belt.Run) {
	t.Line(b.Headline())
	t.runQuestion(b)
	if len(b.Refused) > 0 {
		t.refusals(b.Refused)
		t.basis(b)
		return
	}
	t.Blank()
	t.Item("Caution: ", belt.Caution)
	t.runLayout(&b.Work)
	if s := b.LengthWords(); s != "" {
		t.Blank()
		t.Line(s)
	}
	for _, s := range b.FitWords() {
		t.Line(s)
	}
	t.runSpeeds(&b.Work)
	t.runForces(&b.Work)
	t.runSays(b)
	t.basis(b)
}

// runQuestion answers what was asked beyond the run itself.
func (t *Text) runQuestion(b *belt.Run) {
	if c := b.Change; c != nil {
		t.Head("What if")
		t.Line(c.Headline())
		if len(c.After.Refused) == 0 {
			t.runLayout(&c.After)
			t.runForces(&c.After)
		}
		if c.Way != nil && len(c.Way.Unsuited) > 0 {
			t.Line("These would need another pulley, as the belt's other side then runs on them: " + say.Listing(c.Way.Unsuited) + ".")
		}
		t.Head("The run as it is")
	}
	for i := range b.Taps {
		t.Blank()
		t.Item("Tapped:  ", b.Taps[i].Words())
	}
}

func (t *Text) refusals(rs []*belt.Refusal) {
	for _, r := range rs[1:] {
		t.Item("Also: ", say.Sentence(r.Error()))
	}
	for i, s := range rs[0].Suggestions {
		if i > 0 { // the first stands in the headline
			t.Item("Or: ", say.Sentence(s.Text))
		}
	}
}

// runLayout lists pulleys in order of travel.
func (t *Text) runLayout(w *belt.Work) {
	t.Head("Pulleys in order of travel")
	var rows [][]string
	for i, p := range w.Layout.Pulleys {
		ratio := ""
		if len(w.States) > 0 {
			ratio = fmt.Sprintf("%.2f", w.States[0].Speeds.Pulleys[i].Ratio)
		}
		rows = append(rows, []string{fmt.Sprint(i + 1), say.Capital(p.Name), p.Side.String(), belt.TurnWords(p.Turns),
			fmt.Sprintf("%.0f°", p.WrapDeg), fmt.Sprintf("%.0f", w.Layout.Spans[i].LengthMM), ratio})
	}
	t.table([]column{{head: "No", width: 2, right: true}, {head: "Pulley", width: 28}, {head: "On", width: 4}, {head: "Turns", width: 13},
		{head: "Wrap", width: 5, right: true}, {head: "Span mm", width: 7, right: true}, {head: "Ratio", width: 5, right: true}}, rows)
}

func (t *Text) runSpeeds(w *belt.Work) {
	if len(w.States) == 0 {
		return
	}
	t.Head("Speeds, rpm")
	cols := []column{{head: "Pulley", width: 28}}
	states := w.States[:min(len(w.States), 4)]
	for _, s := range states {
		cols = append(cols, column{head: fmt.Sprintf("at %.0f", s.RPM), width: 9, right: true})
	}
	var rows [][]string
	for i, p := range states[0].Speeds.Pulleys {
		row := []string{say.Capital(p.Name)}
		for _, s := range states {
			row = append(row, fmt.Sprintf("%.0f", s.Speeds.Pulleys[i].RPM))
		}
		rows = append(rows, row)
	}
	row := []string{"Belt, m/s"}
	for _, s := range states {
		row = append(row, fmt.Sprintf("%.1f", s.Speeds.BeltMS))
	}
	t.table(cols, append(rows, row))
	for _, x := range w.WarningWords() {
		t.Item("Note: ", x)
	}
}

// runForces lists tensions, tones, grip and hub loads at each speed.
func (t *Text) runForces(w *belt.Work) {
	t.runTensions(w)
	if st := w.Hardest(); st != nil {
		t.runGrip(st)
	}
	for i := range w.States {
		if st := &w.States[i]; st.Slip != nil {
			t.Line(st.SlipWords())
		}
	}
	if s := w.SlipWords(); s != "" {
		t.Line(s)
	}
	t.runLives(w)
}

// runTensions lists each span's tension at rest and at each speed with its
// lowest tone.
func (t *Text) runTensions(w *belt.Work) {
	if w.Installed == nil {
		return
	}
	t.Head("Tension of each span, N, and its lowest tone at rest, Hz")
	cols := []column{{head: "Span", width: 34}, {head: "at rest", width: 7, right: true}, {head: "Hz", width: 5, right: true}}
	var with []*belt.Forces
	for i := range w.States {
		if f := w.States[i].Forces; f != nil && len(with) < 3 {
			with = append(with, f)
			cols = append(cols, column{head: fmt.Sprintf("at %.0f", f.DriverRPM), width: 7, right: true})
		}
	}
	var rows [][]string
	for i, s := range w.Installed.Spans {
		row := []string{say.Capital(s.From) + " to " + s.To, fmt.Sprintf("%.0f", s.TensionN), fmt.Sprintf("%.0f", s.StillHz)}
		for _, f := range with {
			row = append(row, fmt.Sprintf("%.0f", f.Spans[i].TensionN))
		}
		rows = append(rows, row)
	}
	t.table(cols, rows)
}

func (t *Text) runGrip(st *belt.State) {
	if st.Forces == nil || st.Forces.Weakest == "" {
		return
	}
	t.Head(fmt.Sprintf("Grip where slip is nearest: %.0f rpm (%s)", st.RPM, st.Name))
	var rows [][]string
	for _, p := range st.Forces.Pulleys {
		if math.Abs(p.TorqueNm) < 1e-9 {
			rows = append(rows, []string{say.Capital(p.Name), "", "", "", fmt.Sprintf("%.0f", p.HubN)})
			continue
		}
		rows = append(rows, []string{say.Capital(p.Name), fmt.Sprintf("%.1f", p.TorqueNm), fmt.Sprintf("%.0f %%", p.Used*100),
			fmt.Sprintf("%.2f", p.MuNeeded), fmt.Sprintf("%.0f", p.HubN)})
	}
	t.table([]column{{head: "Pulley", width: 26}, {head: "Torque N·m", width: 10, right: true}, {head: "Grip used", width: 9, right: true},
		{head: "Friction needed", width: 15, right: true}, {head: "Hub load N", width: 10, right: true}}, rows)
}

// runLives lists bearing lives at the usual speed, with their caution.
func (t *Text) runLives(w *belt.Work) {
	if len(w.States) == 0 {
		return
	}
	st := w.States[min(1, len(w.States)-1)]
	if st.Forces == nil {
		return
	}
	var rows [][]string
	for _, p := range st.Forces.Pulleys {
		if p.Life == nil {
			continue
		}
		note := ""
		if p.Life.TooHeavy {
			note = "load too heavy for the formula"
		}
		rows = append(rows, []string{say.Capital(p.Name), belt.LifeWords(p.Life.Hours), note})
	}
	if len(rows) == 0 {
		return
	}
	t.Head(fmt.Sprintf("Bearings, L10 at %.0f rpm", st.RPM))
	t.table([]column{{head: "Pulley", width: 24}, {head: "L10", width: 14, right: true}, {head: "", width: 34}}, rows)
	t.Line(belt.LifeCaution)
}

// runSays writes what findings, offsets, wear and pulley planes say.
func (t *Text) runSays(b *belt.Run) {
	if len(b.Findings) > 0 {
		t.Head("What was found here")
		for _, f := range b.Findings {
			t.Item(fmt.Sprintf("%-11s", f.Verdict), f.Name+". "+say.Sentence(f.Words))
		}
	}
	if b.Offset != nil {
		t.Line(b.Offset.Words())
	}
	if b.Wear != nil {
		t.Blank()
		t.Item("Wear: ", b.Wear.Words())
	}
	for _, e := range b.Entries {
		for _, l := range e.Limits {
			if !l.Passed {
				t.Item("Out of line: ", fmt.Sprintf("the belt meets the %s at %.2f°, %.1f mm over %.0f mm; allowed %.2f° (%s).",
					e.Pulley, math.Abs(e.AngleDeg), math.Abs(e.OffsetMM), e.SpanMM, l.Deg, l.Source))
				break
			}
		}
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
