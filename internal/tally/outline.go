package tally

import (
	"math"
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/tally/onbelt"
	"undertray.example/undertray/surface"
)

// outlineOf is what was measured on an outline as a mark on its picture, in parts of its width.
func outlineOf(s *onbelt.Seen, hash string) *fleet.PictureMark {
	w := float64(s.Width)
	o := &fleet.OutlineMarks{Usual: bands(s.Outline.Usual), Least: round(s.Outline.Least, 1e4)}
	at := fleet.Across{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	flat := func(line []surface.Point) (out []float64) {
		for _, p := range line {
			x, y := round(p.X/w, 1e5), round(p.Y/w, 1e5)
			out = append(out, x, y)
			at = fleet.Across{min(at[0], x), min(at[1], y), max(at[2], x), max(at[3], y)}
		}
		return out
	}
	for _, l := range s.Outline.Lines {
		o.Lines = append(o.Lines, flat(l))
	}
	for i, m := range s.Outline.Measured {
		o.Measured = append(o.Measured, fleet.Measured{Kind: m.Kind, At: flat(m.Line), Figures: bands(m.Figures),
			Beyond: m.Beyond, Out: slices.Contains(s.Out, i)})
	}
	return &fleet.PictureMark{Picture: hash, Shape: fleet.MarkOutline, At: inside(s, at), Outline: o}
}

func bands(all []surface.Measure) (out [][3]float64) {
	for _, m := range all {
		out = append(out, [3]float64{round(m.Value, 1e4), round(m.Low, 1e4), round(m.High, 1e4)})
	}
	return out
}

// outlined is a mark's outline on a picture so many px wide, and which of what is measured is struck out.
func outlined(m *fleet.OutlineMarks, width float64) (o *onbelt.Outline, out []int) {
	points := func(flat []float64) (line []surface.Point) {
		for i := 0; i+1 < len(flat); i += 2 {
			line = append(line, surface.Point{X: flat[i] * width, Y: flat[i+1] * width})
		}
		return line
	}
	measures := func(all [][3]float64) (to []surface.Measure) {
		for _, f := range all {
			to = append(to, surface.Measure{Value: f[0], Low: f[1], High: f[2]})
		}
		return to
	}
	o = &onbelt.Outline{Usual: measures(m.Usual), Least: m.Least}
	for _, l := range m.Lines {
		o.Lines = append(o.Lines, points(l))
	}
	for i, k := range m.Measured {
		o.Measured = append(o.Measured, onbelt.Measured{Kind: k.Kind, Line: points(k.At), Figures: measures(k.Figures),
			Beyond: k.Beyond})
		if k.Out {
			out = append(out, i)
		}
	}
	return o, out
}
