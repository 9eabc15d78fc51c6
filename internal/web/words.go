package web

import (
	"math"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/units"
)

// vehicleTabs are the pages about a vehicle, by the names of their addresses; the
// first is its own.
var vehicleTabs = []tab{{Path: "state", Name: "State"}, {Path: "round", Name: "Round"},
	{Path: "job", Name: "Job sheet"}, {Path: "plan", Name: "Plan"}, {Path: "trip", Name: "Trip"},
	{Path: "run", Name: "Belt run"}, {Path: "listen", Name: "Listen"}, {Path: "add", Name: "Write down"},
	{Path: "record", Name: "Record"}, {Path: "journal", Name: "Journal"}, {Path: "sheet", Name: "Sheet"}}

// row is one position in a list.
type row struct {
	N       int // on the drawing; 0: not on it
	ID      string
	Name    string
	Verdict fleet.Verdict
	Looked  message.Text
	Overdue bool // the next look is overdue
	Due     message.Text
	By      message.Text // who says when it is due
	Seen    []string     // openings needed to see it
	Lit     bool         // shown by the opening that is chosen
}

func (d *desk) row(j *judge.Judgement) row {
	due, by := d.due(j)
	return row{ID: j.Position.ID, Name: j.Position.Name, Verdict: j.Verdict, Looked: lookedShort(j),
		Overdue: j.Looked.Stale,
		Due:     due, By: by, Seen: d.vehicle.Closure(j.Position.Seen)}
}

// lookedShort says for a table when a position was last looked at.
func lookedShort(j *judge.Judgement) message.Text {
	switch l := j.Looked; {
	case l.AtFitting:
		return message.Of("fitted %s", told.Short(l.Last.Date))
	case l.Never:
		return "never"
	}
	return told.Short(j.Looked.Last.Date)
}

// due says when a part is next due, and who says so.
func (d *desk) due(j *judge.Judgement) (when, by message.Text) {
	return d.report.DueWords(j)
}

// km shows a distance of km in the owner's unit.
func (d *desk) km(km float64) string { return d.vehicle.Reader.Run(km) }

func (d *desk) at(m fleet.Moment) message.Text {
	if !m.HasTotal {
		return ""
	}
	return message.Name(d.km(m.Total))
}

// catalogue is the yard's as it is read about the vehicle.
func (d *desk) catalogue() *catalogue.Catalogue { return d.yard.Catalogue.Of(d.vehicle) }

// reading says what the odometer last showed and what is expected today.
func (d *desk) reading() message.Text { return together.ReadingWords(d.report, d.vehicle.Reader) }

// price is an amount of money, with what is less than a whole where there is
// such; "" for none.
func price(q *units.Quantity) string {
	switch {
	case q == nil:
		return ""
	case q.Value() == math.Trunc(q.Value()):
		return units.Format(q.Value(), q.Unit(), 0)
	}
	return units.Format(q.Value(), q.Unit(), 2)
}

// sourceLine is a source that a page refers to.
type sourceLine struct {
	ID         string
	What, Seen message.Text
}

// sourceLines looks up sources of the catalogue, each once.
func sourceLines(c *catalogue.Catalogue, ids []string) []sourceLine {
	var out []sourceLine
	seen := map[string]bool{}
	for _, id := range ids {
		if s := c.Source(id); s != nil && !seen[id] {
			seen[id] = true
			out = append(out, sourceLine{ID: s.ID, What: message.Name(s.What), Seen: message.Name(s.Seen)})
		}
	}
	return out
}

// distance reads a distance or engine hours as typed; a bare number is in the owner's unit.
func distance(field, typed string, p units.Preferences) (*units.Quantity, error) {
	return quantity(field, typed, p.Counter(), p.CounterUnit())
}

// quantity reads a figure as typed, nil for nothing; a bare number is in unit.
func quantity(field, typed string, d units.Dimension, unit string) (*units.Quantity, error) {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return nil, nil
	}
	q, err := units.Parse(typed, d)
	if err != nil && unit != "" {
		if with, again := units.Parse(typed+" "+unit, d); again == nil {
			return &with, nil
		}
	}
	if err != nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: field, Msg: message.Is(err), Err: err}
	}
	return &q, nil
}

// looseDay reads a day, a month or a year: of the latter two the middle, and says so.
func looseDay(typed string) (day civil.Date, about message.Text, err error) {
	switch len(typed) {
	case 0:
		return civil.Date{}, "", nil
	case len("2019"):
		day, err = civil.Parse(typed + "-07-01")
		return day, message.Of("some time in %s", typed), err
	case len("2019-05"):
		day, err = civil.Parse(typed + "-15")
		return day, message.Of("some time in %s", fleet.MonthOf(day).Words()), err
	}
	day, err = civil.Parse(typed)
	return day, "", err
}
