package onbelt

import (
	"image"
	"math"
	"slices"

	"undertray.example/undertray/surface"
)

// What a picture shows beside cracks.
const (
	Profile = "profile" // a belt along its ribs
	Hose    = "hose"    // a hose from the side
)

// Options say what a picture shows, and of what.
type Options struct {
	Of    string  `json:"of,omitempty"`    // nothing for cracks, Profile or Hose
	Pitch float64 `json:"pitch,omitempty"` // of a belt's ribs, mm
	Focal float64 `json:"focal,omitempty"` // of the lens, px, 0 for not known
	// Usual are height and width half way up of a new rib, mm, with the least and the most that they may be.
	Usual []surface.Measure `json:"usual,omitempty"`
}

// Outline is an outline as it was found, and what is measured on it.
type Outline struct {
	Lines    [][]surface.Point `json:"lines"` // px
	Measured []Measured        `json:"measured"`
	Usual    []surface.Measure `json:"usual,omitempty"` // as Options has it
	Least    float64           `json:"least,omitempty"` // of a hose: share below which nothing is told
}

// Measured is a rib, with its height and width in mm, or a place where a hose is not as wide as its sound part, with
// the share of its diameter that is more.
type Measured struct {
	Kind    string            `json:"kind"` // "rib", "swelling", "necking", "kink"
	Line    []surface.Point   `json:"line"` // over it, px
	Figures []surface.Measure `json:"figures"`
	Beyond  bool              `json:"beyond,omitempty"` // it goes on where nothing is seen, and may be more there
}

// Read reads a picture of what the options say. The error is the engine's.
func Read(p *image.Gray, o Options) (*Seen, error) {
	s := &Seen{Of: o.Of, Width: p.Rect.Dx(), Height: p.Rect.Dy()}
	var err error
	switch o.Of {
	case Profile:
		err = s.profile(p, o)
	case Hose:
		err = s.hose(p)
	default:
		s.Reading, err = surface.ReadBelt(p, surface.BeltOptions{Pitch: o.Pitch, Focal: o.Focal})
	}
	if err != nil {
		return nil, err
	}
	s.Again()
	return s, nil
}

func (s *Seen) profile(p *image.Gray, o Options) error {
	of := surface.ProfileOptions{Pitch: o.Pitch}
	if len(o.Usual) == 2 {
		of.Height, of.Width = o.Usual[0].Value, o.Usual[1].Value
	}
	r, err := surface.ReadProfile(p, of)
	if err != nil {
		return err
	}
	s.Version, s.Faults = r.Version, r.Faults
	s.Outline = &Outline{Lines: [][]surface.Point{thinned(r.Outline)}, Usual: o.Usual}
	for _, rib := range r.Ribs {
		s.Outline.Measured = append(s.Outline.Measured, Measured{Kind: "rib", Line: upRib(r, rib),
			Figures: []surface.Measure{rib.Height, rib.Width}})
	}
	return nil
}

// upRib is a line from a rib's tip to its foot.
func upRib(r surface.Profile, rib surface.RibShape) []surface.Point {
	first, last := r.Ribs[0].Tip, r.Ribs[len(r.Ribs)-1].Tip
	long := math.Hypot(last.X-first.X, last.Y-first.Y)
	down := surface.Point{X: -(last.Y - first.Y) / long, Y: (last.X - first.X) / long}
	side := 0.0 // of the row of tips on which the outline lies
	for _, q := range r.Outline {
		side += (q.X-first.X)*down.X + (q.Y-first.Y)*down.Y
	}
	deep := math.Copysign(rib.Height.Value*r.PerMM, side)
	return []surface.Point{rib.Tip, {X: rib.Tip.X + deep*down.X, Y: rib.Tip.Y + deep*down.Y}}
}

func (s *Seen) hose(p *image.Gray) error {
	r, err := surface.ReadHose(p, surface.HoseOptions{})
	if err != nil {
		return err
	}
	s.Version, s.Faults = r.Version, r.Faults
	var a, b []surface.Point
	for _, c := range r.Sections {
		a, b = append(a, c.A), append(b, c.B)
	}
	s.Outline = &Outline{Lines: [][]surface.Point{thinned(a), thinned(b)}, Least: r.Least}
	for _, f := range r.Flaws {
		at := slices.MinFunc(r.Sections, func(a, b surface.HoseSection) int {
			if math.Abs(a.Along-f.Along.Value) < math.Abs(b.Along-f.Along.Value) {
				return -1
			}
			return 1
		})
		s.Outline.Measured = append(s.Outline.Measured, Measured{Kind: f.Kind, Line: []surface.Point{at.A, at.B},
			Figures: []surface.Measure{f.Share}, Beyond: f.Beyond})
	}
	return nil
}

// thinned is a line by no more points than are drawn.
func thinned(line []surface.Point) []surface.Point {
	step := (len(line) + mostPoints - 1) / mostPoints
	if step < 2 {
		return line
	}
	var out []surface.Point
	for i := 0; i < len(line); i += step {
		out = append(out, line[i])
	}
	return out
}

// outlined reports whether there is an outline to draw and something to say of it: what comes back from a browser may
// be anything.
func (s *Seen) outlined() bool {
	o := s.Outline
	if o == nil || len(o.Lines) == 0 || len(o.Lines) > 2 || len(o.Measured) > mostMeasured || !whole(o.Usual) ||
		!(o.Least >= 0 && o.Least <= 1) {
		return false
	}
	want := 1
	if s.Of == Profile {
		if want = 2; len(o.Measured) == 0 || len(o.Usual) != 2 || !(o.Usual[0].Low > 0 && o.Usual[1].Low > 0) {
			return false
		}
	}
	return !slices.ContainsFunc(o.Lines, func(l []surface.Point) bool { return len(l) < 2 || len(l) > mostPoints }) &&
		!slices.ContainsFunc(o.Measured, func(m Measured) bool {
			return len(m.Line) != 2 || len(m.Figures) != want || !whole(m.Figures)
		})
}

const mostMeasured = 40

// whole reports whether each value lies in its band, and none beyond what is measured here.
func whole(all []surface.Measure) bool {
	return !slices.ContainsFunc(all, func(m surface.Measure) bool {
		return !(m.Low <= m.Value && m.Value <= m.High && m.Low > -100 && m.High < 100)
	})
}

// measure says what stands of an outline: of ribs what share of a new one's section is worn off, height by width half
// way up, on the mean; of a hose by what share it is thicker than its sound part at most.
func (s *Seen) measure() {
	var share surface.Measure
	if s.Of == Profile {
		share = s.worn()
	} else {
		share = s.thicker()
	}
	percent := func(v float64) float64 { return 100 * min(max(v, 0), 2) }
	s.Value = int(math.Round(percent(share.Value)))
	s.Low, s.High = int(percent(share.Low)), int(math.Ceil(percent(share.High)-1e-6))
}

// standing are the measured that were not struck out.
func (s *Seen) standing() []Measured {
	var out []Measured
	for i, m := range s.Outline.Measured {
		if !slices.Contains(s.Out, i) {
			out = append(out, m)
		}
	}
	return out
}

const ninety = 1.6449 // standard deviations to either side hold nine in ten

func (s *Seen) worn() surface.Measure {
	left, off, n := 0.0, 0.0, 0.0
	for _, m := range s.standing() {
		h, w := m.Figures[0], m.Figures[1]
		if h.Value <= 0 || w.Value <= 0 {
			continue
		}
		// Ribs of one picture err alike: their errors do not cancel out.
		left, n = left+h.Value*w.Value, n+1
		off += math.Hypot((h.High-h.Low)/h.Value, (w.High-w.Low)/w.Value) / (2 * ninety)
	}
	h, w := s.Outline.Usual[0], s.Outline.Usual[1]
	if n == 0 {
		return surface.Measure{}
	}
	left, off = left/n/(h.Value*w.Value), off/n
	// Of a new rib all between least and most is as likely. Half of a height that is taken too great is where a rib
	// with flanks at 40 degrees is narrower, too.
	more := 1 + h.Value*math.Tan(20*math.Pi/180)/w.Value
	even := math.Hypot(more*(h.High-h.Low)/h.Value, (w.High-w.Low)/w.Value) / math.Sqrt(12)
	band := ninety * left * math.Hypot(off, even)
	return surface.Measure{Value: 1 - left, Low: 1 - left - band, High: 1 - left + band}
}

func (s *Seen) thicker() surface.Measure {
	out := surface.Measure{High: s.Outline.Least}
	for _, m := range s.standing() {
		if f := m.Figures[0]; f.Value > out.Value {
			out = surface.Measure{Value: f.Value, Low: f.Low, High: max(out.High, f.High)}
		}
	}
	return out
}

// trace lays an outline over the picture, with what is measured on it.
func (s *Seen) trace() {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, l := range s.Outline.Lines {
		for _, p := range l {
			x0, y0, x1, y1 = min(x0, p.X), min(y0, p.Y), max(x1, p.X), max(y1, p.Y)
		}
		s.Lines = append(s.Lines, path(l))
	}
	free := 0.08 * max(x1-x0, y1-y0)
	x0, y0 = max(x0-free, 0), max(y0-free, 0)
	s.View = view(x0, y0, min(x1+free, float64(s.Width)), min(y1+free, float64(s.Height)))
	for i, m := range s.Outline.Measured {
		d := s.drawnAs(m.Line)
		d.Out, d.Says = slices.Contains(s.Out, i), s.measuredWords(i)
		if s.Of == Hose && !d.Out && !slices.Contains(s.Said, more) {
			s.Said = append(s.Said, more)
		}
		s.Drawn = append(s.Drawn, d)
	}
}
