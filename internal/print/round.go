package print

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// maxHidden is how many further openings a round sheet lists.
const maxHidden = 8

// Round writes a round sheet with room to write.
func (t *Text) Round(r *visit.Round) {
	t.Told(r.Told())
	if s := r.PickedWords(); s != "" {
		t.Line(s)
	}
	t.Line("Date ____________  Odometer ____________  Top-ups since last time ____________")
	for i, s := range r.Stages {
		if i == r.ClosesBefore() {
			t.opened(closedHead, r.Closing(), func(o visit.Opened) string { return closedWords(o, t.prefs) })
		}
		t.opened(openedHead, s.Open, openedWords)
		t.Head(s.Title())
		for _, c := range s.Cautions {
			t.Item("! ", c)
		}
		for _, stop := range s.Stops {
			t.stop(stop)
		}
	}
	if r.ClosesBefore() == len(r.Stages) {
		t.opened(closedHead, r.Closing(), func(o visit.Opened) string { return closedWords(o, t.prefs) })
	}
	t.hidden(r)
}

// What stands over what is opened for a round, and closed after it.
const (
	openedHead = "Open first, in this order"
	closedHead = "Close it all again, in this order"
)

// opened lists what is opened or closed, each behind its cautions.
func (t *Text) opened(head string, opened []visit.Opened, words func(visit.Opened) string) {
	if len(opened) == 0 {
		return
	}
	t.Head(head)
	for _, o := range opened {
		for _, c := range o.Cautions {
			t.Item("    ! ", c)
		}
		t.Item("[_] ", words(o))
	}
}

func openedWords(o visit.Opened) string {
	return strings.Join(append([]string{o.Name}, minutes(o.Minutes)...), ", ")
}

// closedWords says how an opening is closed, and how tight.
func closedWords(o visit.Opened, p units.Preferences) string {
	out := o.Undo
	for _, q := range o.Torques {
		cols := slices.DeleteFunc(torqueRow(q, p)[1:], func(c string) bool { return c == "" })
		out += ", " + strings.Join(cols, ", ")
	}
	out = strings.Join(append([]string{out}, minutes(o.UndoMinutes)...), ", ")
	if f := o.MakersFigure(); f != "" {
		out += ". " + f
	}
	return out
}

func (t *Text) stop(s visit.Stop) {
	t.Blank()
	where := ""
	if s.Position.Where != "" {
		where = ", " + s.Position.Where
	}
	t.Item(fmt.Sprintf("%3d. ", s.N), fmt.Sprintf("%s%s  [%s]", s.Position.Name, where, s.Position.ID))
	for _, c := range s.Cautions {
		t.Item("     ! ", c)
	}
	for _, c := range s.Checks {
		if c.Caution != "" {
			t.Item("     ! ", c.Caution)
		}
		t.Item("     ", fmt.Sprintf("%s: %s %s", c.Sense, c.Question, c.How))
		t.Item("     ", answerRow(c))
		if c.Last != nil {
			t.Item("     ", fmt.Sprintf("last time: %s, %s", lastAnswer(c.Check, c.Last), c.Last.Date.Short()))
		}
	}
}

// answerRow is a check's tick boxes, or its line for a figure.
func answerRow(c visit.CheckItem) string {
	if c.Measured() {
		return "________ " + c.Unit
	}
	boxes := make([]string, len(c.Answers))
	for i, a := range c.Answers {
		boxes[i] = "[_]" + stay + a.Say
	}
	return strings.Join(boxes, "  ")
}

// lastAnswer is what was found, without what was asked; the check may be nil.
func lastAnswer(c *catalogue.Check, f *fleet.Finding) string {
	if f.Value != nil {
		return f.Value.String()
	}
	if c != nil {
		for _, a := range c.Answers {
			if a.ID == f.Answer {
				return strings.TrimRight(a.Say, ".")
			}
		}
	}
	return f.Answer
}

func (t *Text) hidden(r *visit.Round) {
	if len(r.Hidden) == 0 {
		return
	}
	t.Head("What further openings would show")
	var rows [][]string
	for i, h := range r.Hidden {
		if i == maxHidden {
			break
		}
		names := make([]string, len(h.Positions))
		for k, p := range h.Positions {
			names[k] = p.Name
		}
		rows = append(rows, []string{h.Opening.ID, fmt.Sprintf("%.0f min", h.Minutes), strings.Join(names, ", ")})
	}
	t.table([]column{{head: "Opening"}, {head: "Takes", right: true}, {head: "Shows"}},
		rows)
}
