package advise

import (
	"slices"

	"undertray/draw"
	"undertray/internal/fleet"
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
// numbered through: those of the second drawing go on from the first. Width is
// the drawing's in px, href gives a position's address.
func (r *Report) Bays(open []string, width float64, href func(position string) string) ([]draw.BayFigure, error) {
	var out []draw.BayFigure
	after := 0
	for _, side := range []fleet.Side{fleet.Above, fleet.Below} {
		spec := r.bay(side, open, href)
		spec.Width = width
		if len(spec.Spots) == 0 {
			continue
		}
		fig, err := numbered(spec, after)
		if err != nil {
			return nil, err
		}
		after += len(fig.Legend)
		out = append(out, fig)
	}
	return out, nil
}

// BareBays is Bays without marks and numbers, for a page that shows one place at a
// time; the legend says where each is. A side on which nothing stands is drawn too
// if both are asked for.
func (r *Report) BareBays(width float64, both bool) (map[fleet.Side]draw.BayFigure, error) {
	out := map[fleet.Side]draw.BayFigure{}
	for _, side := range []fleet.Side{fleet.Above, fleet.Below} {
		spec := r.bay(side, nil, func(string) string { return "" })
		spec.Width, spec.Bare, spec.ID = width, true, "bare-"+string(side)
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
	spec := draw.Bay{Head: draw.Head{ID: "bay-" + string(side), Title: r.Vehicle.Name + " from " + string(side)},
		View: draw.View(side), Engine: draw.Engine{Transverse: e.Layout == "transverse", Vee: e.Cylinders == 6 &&
			e.Layout == "longitudinal", Cylinders: e.Cylinders}}
	for i := range r.Judgements {
		j := &r.Judgements[i]
		if j.Position.From != side {
			continue
		}
		spec.Spots = append(spec.Spots,
			draw.Spot{ID: j.Position.ID, Name: j.Position.Name, Verdict: DrawnVerdict(j.Verdict),
				X: j.Position.X, Y: j.Position.Y, Shape: j.Kind.Drawn, Href: href(j.Position.ID),
				Lit: Shown(r.Vehicle.Closure(j.Position.Seen), open)})
	}
	return spec
}

// numbered draws a side whose numbers go on after those of another. A drawing
// numbers its positions from 1 by where they stand, so it is drawn to see in
// which order.
func numbered(spec draw.Bay, after int) (draw.BayFigure, error) {
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
