package draw

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"undertray.example/undertray/internal/message"
)

// Candidate is a source of noise and the frequencies at which it would sound.
type Candidate struct {
	Number int
	Name   message.Text
	At     []float64 // Hz, the fundamental first
}

// Spectrum is the level of a recording over frequency.
type Spectrum struct {
	Head
	X, Y       Axis
	Line       []Point // x ascending
	Candidates []Candidate
}

// SpectrumChart draws the line and, over it, the number of each candidate at
// the frequencies where it would sound. Lines longer than the paper is wide
// are thinned to the lowest and highest value of each px, so no peak is lost.
// It fails on fewer than two points, or on points out of order.
func SpectrumChart(spec Spectrum) (Figure, error) {
	if err := spec.check(); err != nil {
		return Figure{}, err
	}
	var xs, ys []float64
	for _, q := range spec.Line {
		xs, ys = append(xs, q.X), append(ys, q.Y)
	}
	if err := spec.X.fit(spec.ID, xs); err != nil {
		return Figure{}, err
	}
	if err := spec.Y.fit(spec.ID, ys); err != nil {
		return Figure{}, err
	}
	fig := Figure{Title: spec.Title, Caption: spec.caption()}
	desc := spec.words(spec.Desc)
	if desc == "" {
		desc = spec.words(fig.Caption)
	}
	p := newPlot(spec.Head, "spectrum", desc, &spec.X, &spec.Y, 24)
	fig.Numbers = p.candidates(spec.Candidates, spec.Line)
	p.line("d-trace", p.thin(spec.Line))
	fig.SVG = p.c.finish()
	return fig, nil
}

func (s *Spectrum) check() error {
	if err := s.Head.check(); err != nil {
		return err
	}
	if len(s.Line) < 2 {
		return fmt.Errorf("draw: figure %s: a spectrum needs two points or more", s.ID)
	}
	if err := checkPoints(s.ID, "point", s.Line); err != nil {
		return err
	}
	for i := 1; i < len(s.Line); i++ {
		if s.Line[i].X < s.Line[i-1].X {
			return fmt.Errorf("draw: figure %s: point %d lies before the one it follows", s.ID, i+1)
		}
	}
	for _, c := range s.Candidates {
		for _, f := range c.At {
			if !finite(f) {
				return fmt.Errorf("draw: figure %s: candidate %d (%s): frequency %g", s.ID, c.Number, c.Name, f)
			}
		}
	}
	return nil
}

// thin keeps the lowest and highest of the points that share a px column.
func (p *plot) thin(line []Point) []Point {
	var out []Point
	for i := 0; i < len(line); {
		if !p.x.has(line[i].X) {
			i++
			continue
		}
		col := math.Floor(p.x.at(line[i].X))
		lo, hi := i, i
		j := i
		for ; j < len(line) && p.x.has(line[j].X) && math.Floor(p.x.at(line[j].X)) == col; j++ {
			if line[j].Y < line[lo].Y {
				lo = j
			}
			if line[j].Y > line[hi].Y {
				hi = j
			}
		}
		out = append(out, line[min(lo, hi)])
		if lo != hi {
			out = append(out, line[max(lo, hi)])
		}
		i = j
	}
	return out
}

// candidates sets numbers over the plot, spread so that none touch, each with
// a line down to the spectrum, and returns those that show. The fundamental is
// ringed.
func (p *plot) candidates(cs []Candidate, line []Point) (shown []int) {
	type flag struct {
		x, hz float64
		num   int
		first bool
	}
	var fs []flag
	for _, c := range cs {
		for k, hz := range c.At {
			if p.x.has(hz) {
				fs = append(fs, flag{p.x.at(hz), hz, c.Number, k == 0})
				if !slices.Contains(shown, c.Number) {
					shown = append(shown, c.Number)
				}
			}
		}
	}
	slices.SortStableFunc(fs, func(a, b flag) int { return cmpFloat(a.x, b.x) })
	want := make([]float64, len(fs))
	for i, f := range fs {
		want[i] = f.x
	}
	at := slots(want, 17, p.left, p.right-4)
	for i, f := range fs {
		foot := p.y.at(p.y.clamp(level(line, f.hz))) - 3
		p.c.path("d-lead", new(trace).move(at[i], p.top-12).to(f.x, p.top).to(f.x, math.Max(p.top, foot)).d())
		text := strconv.Itoa(f.num)
		if f.first {
			w := textWidth(text, 11) + 7
			p.c.path("d-ring", pill(at[i]-w/2, p.top-25, w, 13))
		}
		p.c.text("d-num", centred, at[i], p.top-14.6, text)
	}
	return shown
}

// level reads the line at a frequency.
func level(line []Point, hz float64) float64 {
	i, ok := slices.BinarySearchFunc(line, hz, func(q Point, v float64) int { return cmpFloat(q.X, v) })
	switch {
	case ok:
		return line[i].Y
	case i == 0:
		return line[0].Y
	case i == len(line):
		return line[i-1].Y
	}
	a, b := line[i-1], line[i]
	return a.Y + (hz-a.X)/(b.X-a.X)*(b.Y-a.Y)
}

func (s *Spectrum) caption() message.Text {
	if len(s.Candidates) == 0 {
		return sentences("Level of the recording over frequency")
	}
	list := make([]message.Text, len(s.Candidates))
	for i, c := range s.Candidates {
		list[i] = message.Of("%d %s", c.Number, c.Name)
		if len(c.At) > 0 {
			list[i] = message.Of("%s (%s Hz)", list[i], figure(c.At[0], 0))
		}
	}
	return sentences("Level of the recording over frequency; numbers stand where each candidate would sound, ringed "+
		"at its lowest", message.Joined(list, "; "))
}
