package print

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// Job writes a job sheet: what for, the steps with cautions before them, and
// the lists of torques, tools and parts.
func (t *Text) Job(j *visit.Job) {
	t.Told(j.Told())
	if len(j.Tasks) > 0 {
		t.Head("What for")
		for _, of := range j.Alike() {
			t.Item("- ", fmt.Sprintf("%s: %s. %s", visit.Titles(of), visit.Does(of), say.Sentence(of[0].Why())))
		}
	}
	for _, task := range j.Elsewhere {
		t.Item("- ", fmt.Sprintf("%s: for a licensed workshop, not to be opened at home. %s",
			task.Judgement.Position.Name, say.Sentence(task.Why())))
	}
	if j.RoundWords() != "" {
		t.Item("- ", j.RoundWords())
	}
	if len(j.Steps) > 0 {
		t.Head("Steps")
		var said []string
		for i := range j.Steps {
			t.step(&j.Steps[i], said)
			said = saidBefore(j, i+1)
		}
	}
	exposed := j.ExposedWords()
	t.list(visit.ExposedHead, len(exposed), func(i int) string { return exposed[i] })
	t.torques(j.Torques)
	lookUps := lookUpWords(j.LookUps())
	t.list(LookUpHead, len(lookUps), func(i int) string { return lookUps[i] })
	t.buy(j)
	t.tools(j)
}

// LookUpHead stands over the fasteners whose torque the sheet does not say.
const LookUpHead = "Look up before the work, and enter on the vehicle's sheet"

func lookUpWords(all []visit.LookUp) (out []string) {
	for i := range all {
		out = append(out, all[i].Name()+": "+all[i].What)
	}
	return out
}

// saidBefore is what the step above one has said and need not be said again: where
// the engine begins or ceases to turn all of it is.
func saidBefore(j *visit.Job, i int) []string {
	if i == len(j.Steps) || j.Steps[i].Use.Turns() != j.Steps[i-1].Use.Turns() {
		return nil
	}
	return j.Steps[i-1].Before()
}

// step writes a step behind its cautions, but for those that stand before the
// step above and still hold.
func (t *Text) step(s *visit.Step, said []string) {
	for _, c := range s.Before() {
		if !slices.Contains(said, c) {
			t.Item("     ! ", c)
		}
	}
	text := s.Words()
	if s.Minutes > 0 {
		text += fmt.Sprintf("  (%.0f min%s)", s.Minutes, s.YoursWords())
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
	var rows [][]string
	for _, q := range all {
		rows = append(rows, torqueRow(q, t.prefs))
	}
	t.table([]column{{head: "Where"}, {head: "Fastener"}, {head: "No.", right: true},
		{head: "Torque", right: true}, {head: ""}}, rows)
}

// torqueRow says where, which fastener, how many, how tight, and what else.
func torqueRow(q visit.Torque, p units.Preferences) []string {
	count := ""
	if q.Count > 0 {
		count = fmt.Sprint(q.Count)
	}
	note := q.Note
	if q.New {
		note = strings.TrimSpace("new one. " + note)
	}
	return []string{q.Where, strings.TrimSpace(q.What + " " + q.Size), count, p.Show(*q.Torque), note}
}

// buy lists what to buy and have ready, what it comes to, and what else the
// trade does along with it.
func (t *Text) buy(j *visit.Job) {
	t.buyUnder("Parts and what else to have ready", j)
	t.list("Bear in mind with these parts", len(j.Bear), func(i int) string { return j.Bear[i] })
}

// buyUnder lists what to buy and have ready, with its cost.
func (t *Text) buyUnder(head string, j *visit.Job) {
	if rows := buyRows(j, t.prefs); len(rows) > 0 {
		t.Head(head)
		var short [][]string
		for _, r := range rows {
			short = append(short, []string{r.much, r.what, r.number, r.cost})
		}
		t.table([]column{{head: "No.", right: true}, {head: "Part"}, {head: "Number"},
			{head: "Cost", right: true}}, short)
		if total := j.Cost(); total != "" {
			t.Line("Together about " + total + ", where a cost is known.")
		}
	}
}

func (t *Text) tools(j *visit.Job) {
	if len(j.Tools) > 0 {
		t.Head("Tools")
		t.Line(say.Capital(strings.Join(j.Tools, ", ")) + ".")
	}
}
