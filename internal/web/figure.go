package web

import (
	"html/template"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/message"
)

// drawing is a figure with its words. SVG is empty where it cannot be drawn, and
// Fault then says why.
type drawing struct {
	ID             string // of a belt run
	Title, Caption message.Text
	SVG            template.HTML
	Fault          message.Text
	Fold           message.Text // the summary under which it is folded; "": it is in view
	Pulleys        []pulleyRow
}

// planWidth is the layout width of drawings in px: they stand beside text on a
// desk and fill a phone held upright.
const planWidth = 400

// plans puts the drawings from above and from below on the page and returns
// each position's number: the same on the drawings and in the lists.
func (d *desk) plans(page *vehiclePage, open []string) (map[string]int, error) {
	figs, err := d.report.Bays(open, planWidth, d.in, d.positionHref)
	if err != nil {
		return nil, err
	}
	numbers := map[string]int{}
	for _, fig := range figs {
		for _, c := range fig.Legend {
			numbers[c.ID] = c.Number
		}
		// its alternative text counts the marks, which stand in the list
		seen := message.Text("From above, not to scale.")
		if fig.View == draw.Below {
			seen = "From below, not to scale."
		}
		page.Plans = append(page.Plans, drawing{Title: fig.Title, SVG: template.HTML(fig.SVG), Caption: seen})
	}
	return numbers, nil
}

// positionHref is the address of a position's page.
func (d *desk) positionHref(position string) string { return "/v/" + d.vehicle.ID + "/p/" + position }

// pulleyRow is a line of the table beside a belt's run.
type pulleyRow struct {
	N        int
	Name     string
	Position string // id of its position, or ""
	Touches  message.Text
	Diameter string
}

// touches says with which side of a belt it touches a pulley.
var touches = map[string]message.Text{"ribs": "ribs", "back": "back"}

// run draws the belt run a position belongs to, or returns nil. What the sheet
// says that cannot be drawn is said in its place.
func (d *desk) run(position string) *drawing {
	run := d.vehicle.RunOf(position)
	if run == nil {
		return nil
	}
	out := &drawing{ID: run.ID, Title: message.Name(run.Name)}
	for i, p := range run.Pulleys {
		out.Pulleys = append(out.Pulleys,
			pulleyRow{N: i + 1, Name: p.Name, Position: p.Position, Touches: touches[p.Side],
				Diameter: p.Diameter.String()})
	}
	fig, err := belt.Sketch(run, draw.Head{ID: "run-" + run.ID, Width: planWidth, In: d.in}, func(at string) string {
		if at == position {
			return ""
		}
		return d.positionHref(at)
	})
	if err != nil {
		out.Fault = message.Of("The run cannot be drawn from the sheet's figures: %v.", err)
		return out
	}
	out.SVG, out.Caption = template.HTML(fig.SVG), fig.Caption
	return out
}
