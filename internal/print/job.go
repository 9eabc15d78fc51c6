package print

import (
	"fmt"
	"slices"
	"strings"

	"undertray/internal/advise"
	"undertray/internal/fleet"
)

// Job writes a job sheet: what for, the steps with cautions before them, and
// the lists of torques, tools and parts.
func (t *Text) Job(j *advise.Job) {
	t.Line(j.Headline())
	if len(j.Tasks) > 0 {
		t.Head("What for")
		for _, task := range j.Tasks {
			t.Item("- ", fmt.Sprintf("%s: %s. %s", task.Judgement.Position.Name, doWord(task.Do), advise.Sentence(task.Why)))
		}
	}
	for _, task := range j.Elsewhere {
		t.Item("- ", fmt.Sprintf("%s: for a licensed workshop, not to be opened at home. %s", task.Judgement.Position.Name, advise.Sentence(task.Why)))
	}
	if len(j.Steps) > 0 {
		t.Head("Steps")
		var said []string
		for _, s := range j.Steps {
			t.step(s, said)
			said = s.Cautions
		}
	}
	t.torques(j)
	t.lists(j)
}

func doWord(do string) string {
	if do == fleet.DoReplace {
		return "change"
	}
	return "look at it"
}

// step writes a step behind its cautions, but for those that stand before the
// step above and still hold.
func (t *Text) step(s advise.JobStep, said []string) {
	for _, c := range s.Cautions {
		if !slices.Contains(said, c) {
			t.Item("     ! ", c)
		}
	}
	text := s.Text
	if s.Kind == advise.StepLook {
		text = "While it is open, look at: " + advise.LowerFirst(s.Text)
		if s.Engine == fleet.Running {
			text = "With the engine running, check: " + advise.LowerFirst(s.Text)
		}
	}
	if s.Minutes > 0 {
		text += fmt.Sprintf("  (%.0f min)", s.Minutes)
	}
	t.Item(fmt.Sprintf("[ ] %2d. ", s.N), text)
}

func (t *Text) torques(j *advise.Job) {
	if len(j.Torques) == 0 {
		return
	}
	t.Head("Torques for refitting")
	var rows [][]string
	for _, q := range j.Torques {
		count := ""
		if q.Count > 0 {
			count = fmt.Sprint(q.Count)
		}
		note := q.Note
		if q.New {
			note = strings.TrimSpace("new one. " + note)
		}
		rows = append(rows, []string{q.Where, strings.TrimSpace(q.What + " " + q.Size), count, t.prefs.Show(*q.Torque), note})
	}
	t.table([]column{{head: "Where", width: 22}, {head: "Fastener", width: 20}, {head: "No.", width: 3, right: true},
		{head: "Torque", width: 9, right: true}, {head: "", width: 16}}, rows)
}

func (t *Text) lists(j *advise.Job) {
	if len(j.Parts) > 0 {
		t.Head("Parts")
		var rows [][]string
		for _, p := range j.Parts {
			rows = append(rows, []string{or(p.Spec.Quantity, "1"), p.Spec.Name, p.Spec.Number, money(p.Spec)})
		}
		t.table([]column{{head: "No.", width: 6, right: true}, {head: "Part", width: 42}, {head: "Number", width: 14}, {head: "Cost", width: 11, right: true}}, rows)
		if total := j.Cost(); total != "" {
			t.Line("Together about " + total + ", where a cost is known.")
		}
	}
	if len(j.Consumables) > 0 {
		t.Head("Have ready")
		for _, c := range j.Consumables {
			s := c.What
			if c.Amount != nil {
				s += ", " + t.prefs.Show(*c.Amount)
			}
			t.Item("- ", s)
		}
	}
	t.list("Bear in mind with these parts", len(j.Bear), func(i int) string { return j.Bear[i] })
	if len(j.Tools) > 0 {
		t.Head("Tools")
		t.Line(advise.Capital(strings.Join(j.Tools, ", ")) + ".")
	}
}

func money(p fleet.PartSpec) string {
	if p.Cost == nil {
		return ""
	}
	return p.Cost.String()
}
