package advise

import (
	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// DrawnVerdict turns a verdict into that of the drawings.
func DrawnVerdict(v fleet.Verdict) draw.Verdict {
	if v == fleet.Unseen {
		return draw.Unseen
	}
	return draw.Verdict(v.String())
}

// Bays draws the engine bay from above and from below, each where something is
// seen from there, and lights what the openings given show. Its positions are
// numbered in the order of the walk, those from below after those from above. Width is
// the drawing's in px, in its language, href gives a position's address.
func (r *Report) Bays(open []string, width float64, in *message.Language, href func(position string) string) (
	[]draw.BayFigure, error) {
	var out []draw.BayFigure
	for _, side := range []fleet.Side{fleet.Above, fleet.Below} {
		spec := r.bay(side, open, href)
		spec.Width, spec.In = width, in
		if len(spec.Spots) == 0 {
			continue
		}
		fig, err := draw.BayPlan(spec)
		if err != nil {
			return nil, err
		}
		out = append(out, fig)
	}
	return out, nil
}

// BareBays is Bays without marks and numbers, for a page that shows one place at a
// time; the legend says where each is. A side on which nothing stands is drawn too
// if both are asked for.
func (r *Report) BareBays(width float64, in *message.Language, both bool) (map[fleet.Side]draw.BayFigure, error) {
	out := map[fleet.Side]draw.BayFigure{}
	for _, side := range []fleet.Side{fleet.Above, fleet.Below} {
		spec := r.bay(side, nil, func(string) string { return "" })
		spec.Width, spec.In, spec.Bare, spec.ID = width, in, true, "bare-"+string(side)
		if len(spec.Spots) == 0 && !both {
			continue
		}
		fig, err := draw.BayPlan(spec)
		if err != nil {
			return nil, err
		}
		out[side] = fig
	}
	return out, nil
}

// bay is one side of the bay, not numbered yet.
func (r *Report) bay(side fleet.Side, open []string, href func(position string) string) draw.Bay {
	e := r.Vehicle.Engine
	title := message.Text("%s from above")
	if side == fleet.Below {
		title = "%s from below"
	}
	spec := draw.Bay{Head: draw.Head{ID: "bay-" + string(side), Title: title.With(r.Vehicle.Name)},
		View: draw.View(side), Engine: draw.Engine{Transverse: e.Layout == "transverse", Vee: e.Cylinders == 6 &&
			e.Layout == "longitudinal", Cylinders: e.Cylinders}}
	for i, j := range r.Walk() {
		if j.Position.From != side {
			continue
		}
		spec.Spots = append(spec.Spots,
			draw.Spot{ID: j.Position.ID, Name: j.Position.Name, Verdict: DrawnVerdict(j.Verdict), Number: i + 1,
				X: j.Position.X, Y: j.Position.Y, Shape: j.Kind.Drawn, Href: href(j.Position.ID),
				Lit: Shown(r.Vehicle.Closure(j.Position.Seen), open)})
	}
	return spec
}
