package web

import (
	"fmt"
	"html/template"
	"slices"

	"undertray/draw"
	"undertray/internal/belt"
	"undertray/internal/fleet"
)

// drawing is a figure with its words. SVG is empty where it cannot be drawn, and
// Fault then says why.
type drawing struct {
	ID             string // of a belt run
	Title, Caption string
	SVG            template.HTML
	Fault          string
	Pulleys        []pulleyRow
}

// planWidth is the layout width of drawings in px: they stand beside text on a
// desk and fill a phone held upright.
const planWidth = 400

// drawn turns a verdict into that of the drawings.
func drawn(v fleet.Verdict) draw.Verdict {
	if v == fleet.Unseen {
		return draw.Unseen
	}
	return draw.Verdict(v.String())
}

// plans puts the drawings from above and from below on the page and returns
// each position's number: the same on the drawings and in the lists.
func (d *desk) plans(page *vehiclePage, open []string) (map[string]int, error) {
	numbers := map[string]int{}
	for _, side := range []fleet.Side{fleet.Above, fleet.Below} {
		fig, err := d.bay(side, open, len(numbers))
		if err != nil {
			return nil, err
		}
		if len(fig.Legend) == 0 {
			continue
		}
		for _, c := range fig.Legend {
			numbers[c.ID] = c.Number
		}
		page.Plans = append(page.Plans, drawing{Title: fig.Title, Caption: fig.Caption, SVG: template.HTML(fig.SVG)})
	}
	return numbers, nil
}

// bay draws one side. The drawing numbers its positions from 1; those of a
// second drawing go on from the first.
func (d *desk) bay(side fleet.Side, open []string, after int) (draw.BayFigure, error) {
	e := d.vehicle.Engine
	spec := draw.Bay{Head: draw.Head{ID: "bay-" + string(side), Title: d.vehicle.Name + " from " + string(side), Width: planWidth},
		View: draw.View(side), Engine: draw.Engine{Transverse: e.Layout == "transverse", Vee: e.Cylinders == 6 && e.Layout == "longitudinal", Cylinders: e.Cylinders}}
	for i := range d.report.Judgements {
		j := &d.report.Judgements[i]
		if j.Position.From != side {
			continue
		}
		spec.Spots = append(spec.Spots, draw.Spot{ID: j.Position.ID, Name: j.Position.Name, Verdict: drawn(j.Verdict),
			X: j.Position.X, Y: j.Position.Y, Shape: j.Kind.Drawn, Href: "/v/" + d.vehicle.ID + "/p/" + j.Position.ID,
			Lit: shownBy(d.vehicle.Closure(j.Position.Seen), open)})
	}
	if len(spec.Spots) == 0 {
		return draw.BayFigure{}, nil
	}
	fig, err := draw.BayPlan(spec)
	if err != nil || after == 0 {
		return fig, err
	}
	for _, c := range fig.Legend {
		i := slices.IndexFunc(spec.Spots, func(s draw.Spot) bool { return s.ID == c.ID })
		spec.Spots[i].Number = after + c.Number
	}
	return draw.BayPlan(spec)
}

// pulleyRow is a line of the table beside a belt's run.
type pulleyRow struct {
	N        int
	Name     string
	Position string // id of its position, or ""
	Touches  string
	Diameter string
}

// run draws the belt run a position belongs to, or returns nil. What the sheet
// says that cannot be drawn is said in its place.
func (d *desk) run(position string) *drawing {
	run := d.vehicle.RunOf(position)
	if run == nil {
		return nil
	}
	out := &drawing{ID: run.ID, Title: run.Name}
	for i, p := range run.Pulleys {
		out.Pulleys = append(out.Pulleys, pulleyRow{N: i + 1, Name: p.Name, Position: p.Position, Touches: p.Side, Diameter: p.Diameter.String()})
	}
	fig, err := belt.Sketch(run, draw.Head{ID: "run-" + run.ID, Width: planWidth}, func(at string) string {
		if at == position {
			return ""
		}
		return "/v/" + d.vehicle.ID + "/p/" + at
	})
	if err != nil {
		out.Fault = fmt.Sprintf("The run cannot be drawn from the sheet's figures: %v.", err)
		return out
	}
	out.SVG, out.Caption = template.HTML(fig.SVG), fig.Caption
	return out
}
