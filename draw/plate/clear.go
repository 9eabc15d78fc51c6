package plate

import (
	"fmt"
	"math"

	"undertray.example/undertray/draw/typeface"
)

// Box is a rectangle within the frame.
type Box struct{ Left, Top, Right, Bottom float64 }

// Box returns what a mark covers, the width of its stroke included; words as the
// program's own typeface sets them.
func (m *Mark) Box() Box {
	if m.Text != "" {
		weight := typeface.Regular
		if m.Style.Fill == Act {
			weight = typeface.SemiBold
		}
		w := typeface.Width(m.Text, m.Size, weight)
		left := m.At.X
		switch {
		case m.End:
			left -= w
		case m.Mid:
			left -= w / 2
		}
		return Box{left, m.At.Y - .76*m.Size, left + w, m.At.Y + .24*m.Size}
	}
	b := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	var at Point
	for _, s := range m.Path {
		switch s.Op {
		case Close:
		case Cubic:
			for i := range 16 {
				b.take(bezier(at, s.P, float64(i+1)/16))
			}
			at = s.P[2]
		default:
			b.take(s.P[2])
			at = s.P[2]
		}
	}
	if m.Style.Stroke != None {
		w := m.Style.Width / 2
		b = Box{b.Left - w, b.Top - w, b.Right + w, b.Bottom + w}
	}
	return b
}

func (b *Box) take(p Point) {
	b.Left, b.Right = min(b.Left, p.X), max(b.Right, p.X)
	b.Top, b.Bottom = min(b.Top, p.Y), max(b.Bottom, p.Y)
}

func bezier(a Point, p [3]Point, t float64) Point {
	u := 1 - t
	k0, k1, k2, k3 := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
	return Point{k0*a.X + k1*p[0].X + k2*p[1].X + k3*p[2].X, k0*a.Y + k1*p[0].Y + k2*p[1].Y + k3*p[2].Y}
}

// Clear returns an error that says which mark leaves the frame, or which words
// lie over others; nil for a plate as it should be.
func (p *Plate) Clear() error {
	var words []*Mark
	for i := range p.Marks {
		m := &p.Marks[i]
		b := m.Box()
		if !(b.Left >= 0 && b.Top >= 0 && b.Right <= Width && b.Bottom <= Height) {
			return fmt.Errorf("mark %d %q leaves the frame: %.1f", i, m.Text, b)
		}
		if m.Text == "" {
			continue
		}
		for _, w := range words {
			o := w.Box()
			if b.Left < o.Right && o.Left < b.Right && b.Top < o.Bottom && o.Top < b.Bottom {
				return fmt.Errorf("words %q lie over %q", m.Text, w.Text)
			}
		}
		words = append(words, m)
	}
	return nil
}

// Grey returns the plate with every tone but paper as ink: what a printer
// without colours leaves of it.
func (p *Plate) Grey() *Plate {
	out := &Plate{Marks: append([]Mark(nil), p.Marks...)}
	for i := range out.Marks {
		st := &out.Marks[i].Style
		for _, t := range []*Tone{&st.Fill, &st.Stroke} {
			if *t == Act || *t == Soft {
				*t = Ink
			}
		}
	}
	return out
}
