package print

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// maxHidden is how many further openings a round sheet lists.
const maxHidden = 8

// Round writes a round sheet with room to write.
func (t *Text) Round(r *visit.Round) {
	t.Told(told.Names(r.Told()))
	if s := r.PickedWords(); s != "" {
		t.Line(s)
	}
	t.Line("Date ____________  Odometer ____________  Top-ups since last time ____________")
	for i, s := range r.Stages {
		if i == r.ClosesBefore() {
			t.opened(closedHead, r.Closing(), func(o visit.Opened) message.Text { return closedWords(o, t.prefs) })
		}
		t.opened(openedHead, s.Open, openedWords)
		t.Head(s.Title())
		for _, c := range s.Cautions {
			t.Item("! ", message.Is(c))
		}
		for _, stop := range s.Stops {
			t.stop(stop)
		}
	}
	if r.ClosesBefore() == len(r.Stages) {
		t.opened(closedHead, r.Closing(), func(o visit.Opened) message.Text { return closedWords(o, t.prefs) })
	}
	t.hidden(r)
}

// What stands over what is opened for a round, and closed after it.
const (
	openedHead message.Text = "Open first, in this order"
	closedHead message.Text = "Close it all again, in this order"
)

// opened lists what is opened or closed, each behind its cautions.
func (t *Text) opened(head message.Text, opened []visit.Opened, words func(visit.Opened) message.Text) {
	if len(opened) == 0 {
		return
	}
	t.Head(head)
	for _, o := range opened {
		for _, c := range o.Cautions {
			t.Item("    ! ", message.Is(c))
		}
		t.Item("[_] ", words(o))
	}
}

func openedWords(o visit.Opened) message.Text {
	return message.Joined(append([]message.Text{message.Is(o.Name)}, minutes(o.Minutes)...), ", ")
}

// closedWords says how an opening is closed, and how tight.
func closedWords(o visit.Opened, p units.Preferences) message.Text {
	all := []message.Text{message.Is(o.Undo)}
	for _, q := range o.Torques {
		for _, col := range torqueRow(q, p)[1:] {
			if col := message.Is(col); col != "" {
				all = append(all, col)
			}
		}
	}
	out := message.Joined(append(all, minutes(o.UndoMinutes)...), ", ")
	if f := o.MakersFigure(); f != "" {
		out = message.Of("%s. %s", out, f)
	}
	return out
}

func (t *Text) stop(s visit.Stop) {
	t.Blank()
	t.Item(fmt.Sprintf("%3d. ", s.N), message.Of("%s%s  [%s]", s.Position.Name, whereWords(s), s.Position.ID))
	for _, c := range s.Cautions {
		t.Item("     ! ", message.Is(c))
	}
	for _, c := range s.Checks {
		if c.Caution != "" {
			t.Item("     ! ", message.Is(c.Caution))
		}
		t.Item("     ", message.Of("%s: %s %s", message.Is(c.Sense), c.Question, c.How))
		t.Item("     ", answerRow(c))
		if c.Last != nil {
			t.Item("     ", message.Of("last time: %s, %s", lastAnswer(c.Check, c.Last), told.Short(c.Last.Date)))
		}
	}
}

// answerRow is a check's tick boxes, or its line for a figure.
func answerRow(c visit.CheckItem) message.Text {
	if c.Measured() {
		return message.Of("________ %s", c.Unit)
	}
	boxes := make([]message.Text, len(c.Answers))
	for i, a := range c.Answers {
		boxes[i] = message.Of("[_]"+stay+"%s", a.Say)
	}
	return message.Joined(boxes, "  ")
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
	var rows [][]any
	for i, h := range r.Hidden {
		if i == maxHidden {
			break
		}
		names := make([]string, len(h.Positions))
		for k, p := range h.Positions {
			names[k] = p.Name
		}
		rows = append(rows, []any{h.Opening.ID, fmt.Sprintf("%.0f min", h.Minutes),
			message.Joined(told.Names(names), ", ")})
	}
	t.table([]column{{head: "Opening"}, {head: "Takes", right: true}, {head: "Shows"}},
		rows)
}
