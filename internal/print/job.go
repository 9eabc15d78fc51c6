package print

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// Job writes a job sheet: what for, the steps with cautions before them, and
// the lists of torques, tools and parts.
func (t *Text) Job(j *visit.Job) {
	t.Told(told.Names(j.Told()))
	if len(j.Tasks) > 0 {
		t.Head("What for")
		for _, of := range j.Alike() {
			t.Item("- ", message.Of("%s: %s. %s", visit.Titles(of), visit.Does(of),
				of[0].Why().Sentence()))
		}
	}
	for _, task := range j.Elsewhere {
		t.Item("- ", message.Of("%s: for a licensed workshop, not to be opened at home. %s",
			task.Judgement.Position.Name, task.Why().Sentence()))
	}
	if j.RoundWords() != "" {
		t.Item("- ", j.RoundWords())
	}
	if len(j.Steps) > 0 {
		t.Head("Steps")
		var said []message.Text
		for i := range j.Steps {
			t.step(&j.Steps[i], said)
			said = saidBefore(j, i+1)
		}
	}
	t.lines(visit.ExposedHead, told.Names(j.ExposedWords()))
	t.torques(j.Torques)
	t.lines(LookUpHead, lookUpWords(j.LookUps()))
	t.buy(j)
	t.tools(j)
}

// LookUpHead stands over the fasteners whose torque the sheet does not say.
const LookUpHead message.Text = "Look up before the work, and enter on the vehicle's sheet"

func lookUpWords(all []visit.LookUp) (out []message.Text) {
	for i := range all {
		out = append(out, message.Of("%s: %s", message.Is(all[i].Name()), all[i].What))
	}
	return out
}

// saidBefore is what the step above one has said and need not be said again: where
// the engine begins or ceases to turn all of it is.
func saidBefore(j *visit.Job, i int) []message.Text {
	if i == len(j.Steps) || j.Steps[i].Use.Turns() != j.Steps[i-1].Use.Turns() {
		return nil
	}
	return told.Names(j.Steps[i-1].Before())
}

// step writes a step behind its cautions, but for those that stand before the
// step above and still hold.
func (t *Text) step(s *visit.Step, said []message.Text) {
	for _, c := range told.Names(s.Before()) {
		if !slices.Contains(said, c) {
			t.Item("     ! ", c)
		}
	}
	text := s.Words()
	if s.Minutes > 0 {
		text = message.Of("%s  (%.0f min%s)", text, s.Minutes, s.YoursWords())
	}
	box := "[ ]"
	if s.Done {
		box = "[x]"
	}
	t.Item(fmt.Sprintf("%s %2d. ", box, s.N), text)
	if f := s.MakersFigure(); f != "" {
		t.Item("        ", f)
	}
}

func (t *Text) torques(all []visit.Torque) {
	if len(all) == 0 {
		return
	}
	t.Head("Torques for refitting")
	var rows [][]any
	for _, q := range all {
		rows = append(rows, torqueRow(q, t.prefs))
	}
	t.table([]column{{head: "Where"}, {head: "Fastener"}, {head: "No.", right: true},
		{head: "Torque", right: true}, {head: ""}}, rows)
}

// torqueRow says where, which fastener, how many, how tight, and what else.
func torqueRow(q visit.Torque, p units.Preferences) []any {
	count := ""
	if q.Count > 0 {
		count = fmt.Sprint(q.Count)
	}
	note := message.Is(q.Note)
	switch {
	case q.New && note == "":
		note = "new one."
	case q.New:
		note = message.Of("new one. %s", note)
	}
	return []any{q.Where, strings.TrimSpace(q.What + " " + q.Size), count, p.Show(*q.Torque), note}
}

// buy lists what to buy and have ready, what it comes to, and what else the
// trade does along with it.
func (t *Text) buy(j *visit.Job) {
	t.buyUnder("Parts and what else to have ready", j)
	t.lines("Bear in mind with these parts", told.Names(j.Bear))
}

// buyUnder lists what to buy and have ready, with its cost.
func (t *Text) buyUnder(head message.Text, j *visit.Job) {
	if rows := buyRows(j, t.prefs); len(rows) > 0 {
		t.Head(head)
		var short [][]any
		for _, r := range rows {
			short = append(short, []any{r.much, r.what, r.number, r.cost})
		}
		t.table([]column{{head: "No.", right: true}, {head: "Part"}, {head: "Number"},
			{head: "Cost", right: true}}, short)
		if total := j.Cost(); total != "" {
			t.Line(message.Of("Together about %s, where a cost is known.", total))
		}
	}
}

func (t *Text) tools(j *visit.Job) {
	if len(j.Tools) > 0 {
		t.Head("Tools")
		t.Line(message.Of("%s.", message.Joined(told.Names(j.Tools), ", ").Capital()))
	}
}
