package draw

import "fmt"

// Course is a sum that was forecast as time went by, against what came true.
type Course struct {
	Head
	X, Y Axis
	Said []Band  // x ascending, with the band it is to lie in
	Came []Point // rises in steps, x ascending
}

// CourseChart draws what was said with its band and what came true as steps, a dot at
// each. Its Desc is the text alternative, and has to be given. It fails on fewer than two
// points of what was said.
func CourseChart(spec Course) (Figure, error) {
	if err := spec.Head.check(); err != nil {
		return Figure{}, err
	}
	if spec.Desc == "" || len(spec.Said) < 2 {
		return Figure{}, fmt.Errorf("draw: figure %s: a course needs its text alternative and two points or more",
			spec.ID)
	}
	if err := checkBands(spec.ID, "sum", spec.Said); err != nil {
		return Figure{}, err
	}
	if err := checkPoints(spec.ID, "sum", spec.Came); err != nil {
		return Figure{}, err
	}
	ys := []float64{0, 1}
	var xs []float64
	for _, b := range spec.Said {
		xs, ys = append(xs, b.X), append(ys, b.Hi)
	}
	for _, q := range spec.Came {
		xs, ys = append(xs, q.X), append(ys, q.Y)
	}
	if err := spec.X.fit(spec.ID, xs); err != nil {
		return Figure{}, err
	}
	if err := spec.Y.fit(spec.ID, ys); err != nil {
		return Figure{}, err
	}
	p := newPlot(spec.Head, "course", spec.words(spec.Desc), &spec.X, &spec.Y, 12)
	p.band(spec.Said, false)
	p.line("d-ahead", edge(spec.Said, false, func(b Band) float64 { return b.Mid }))
	var steps []Point
	for i, q := range spec.Came {
		if i > 0 {
			steps = append(steps, Point{q.X, spec.Came[i-1].Y})
			if q.Y > spec.Came[i-1].Y {
				p.c.circle("d-dot", p.x.at(q.X), p.y.at(q.Y), 3.4)
			}
		}
		steps = append(steps, q)
	}
	p.line("d-curve", steps)
	return Figure{Title: spec.Title, Caption: spec.Desc, SVG: p.c.finish()}, nil
}
