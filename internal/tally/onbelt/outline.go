package onbelt

import (
	"image"
	"math"
	"slices"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/surface"
)

// What a picture shows beside cracks.
const (
	Profile = "profile" // a belt along its ribs
	Gauge   = "gauge"   // the same with a wear gauge in its grooves
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

// Told is what a reader on a device is told: how to read, and the words of its page's language, none for English.
type Told struct {
	Options
	Words message.Some `json:"words,omitempty"`
}

// Outline is an outline as it was found, and what is measured on it.
type Outline struct {
	Lines    [][]surface.Point `json:"lines"` // px
	Measured []Measured        `json:"measured"`
	Usual    []surface.Measure `json:"usual,omitempty"` // as Options has it
	Least    float64           `json:"least,omitempty"` // of a hose: share below which nothing is told
}

// Measured is a rib, with its height and width in mm, a bar of a gauge, with the mm by which it stands above the tips,
// or a place where a hose is not as wide as its sound part, with the share of its diameter that is more and, where it
// may be a kink, the chance of that.
type Measured struct {
	Kind    string            `json:"kind"` // "rib", "bar", "swelling", "necking", "kink"
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
	case Gauge:
		err = s.gauge(p, o)
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
		figures := []surface.Measure{f.Share}
		if f.Chance > 0 {
			figures = append(figures, surface.Measure{Value: f.Chance, Low: f.Chance, High: f.Chance})
		}
		s.Outline.Measured = append(s.Outline.Measured, Measured{Kind: f.Kind, Line: []surface.Point{at.A, at.B},
			Figures: figures, Beyond: f.Beyond})
	}
	return nil
}

// gauge draws a line over the tips, and one over each bar's top.
func (s *Seen) gauge(p *image.Gray, o Options) error {
	r, err := surface.ReadGauge(p, surface.ProfileOptions{Pitch: o.Pitch})
	if err != nil {
		return err
	}
	s.Version, s.Faults = r.Version, r.Faults
	s.Outline = &Outline{Lines: [][]surface.Point{thinned(r.Outline)}}
	if len(r.Bars) == 0 {
		return nil
	}
	first, last := r.Bars[0].Tips, r.Bars[len(r.Bars)-1].Tips
	long := math.Hypot(last.X-first.X, last.Y-first.Y)
	along := surface.Point{X: (last.X - first.X) / long, Y: (last.Y - first.Y) / long}
	on := func(at surface.Point, mm float64) surface.Point {
		return surface.Point{X: at.X + mm*r.PerMM*along.X, Y: at.Y + mm*r.PerMM*along.Y}
	}
	s.Outline.Lines = append(s.Outline.Lines, []surface.Point{on(first, -2), on(last, 2)})
	for _, b := range r.Bars {
		s.Outline.Measured = append(s.Outline.Measured, Measured{Kind: "bar",
			Line: []surface.Point{on(b.Top, -0.5), on(b.Top, 0.5)}, Figures: []surface.Measure{b.Stand}})
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
	least, most := 1, 1
	switch s.Of {
	case Profile:
		least, most = 2, 2
		if len(o.Measured) == 0 || len(o.Usual) != 2 || !(o.Usual[0].Low > 0 && o.Usual[1].Low > 0) {
			return false
		}
	case Gauge:
		if len(o.Measured) == 0 {
			return false
		}
	case Hose:
		most = 2
	}
	return !slices.ContainsFunc(o.Lines, func(l []surface.Point) bool { return len(l) < 2 || len(l) > mostPoints }) &&
		!slices.ContainsFunc(o.Measured, func(m Measured) bool {
			return len(m.Line) != 2 || len(m.Figures) < least || len(m.Figures) > most || !whole(m.Figures)
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
// way up, on the mean; of a gauge how far it stands above the tips, on the mean; of a hose by what share it is thicker
// than its sound part at most.
func (s *Seen) measure() {
	var share surface.Measure
	switch s.Of {
	case Profile:
		share = s.worn()
	case Gauge:
		s.stands()
		return
	default:
		share = s.thicker()
	}
	percent := func(v float64) float64 { return 100 * min(max(v, 0), 2) }
	s.Value = math.Round(percent(share.Value))
	s.Low, s.High = math.Floor(percent(share.Low)), math.Ceil(percent(share.High)-1e-6)
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

// levelMM is by how many mm off the tips a bar still counts as level with them: about what an eye tells with a lamp
// behind (a guess).
const levelMM = 0.1

// Answers about a gauge's bars, as the catalogue has them.
const (
	Above = "above"
	Level = "level"
	Below = "below"
)

// stand is by how many mm the bars that stand are above the tips, on the mean. Bars of one picture err alike.
func (s *Seen) stand() (m surface.Measure) {
	all := s.standing()
	n := float64(len(all))
	for _, b := range all {
		f := b.Figures[0]
		m = surface.Measure{Value: m.Value + f.Value/n, Low: m.Low + f.Low/n, High: m.High + f.High/n}
	}
	return m
}

// stands says how far the bars are from the tips, in mm to the hundredth to the side on which they are, and which
// answers that and its band are.
func (s *Seen) stands() {
	m := s.stand()
	if len(s.standing()) == 0 {
		return
	}
	answer := func(mm float64) string {
		switch {
		case mm > levelMM:
			return Above
		case mm < -levelMM:
			return Below
		}
		return Level
	}
	s.Answer = answer(m.Value)
	for _, mm := range []float64{m.Low, m.High} {
		if a := answer(mm); a != s.Answer && !slices.Contains(s.Else, a) {
			s.Else = append(s.Else, a)
		}
	}
	if m.Value < 0 {
		m = surface.Measure{Value: -m.Value, Low: -m.High, High: -m.Low}
		s.Unit = belowTips
	}
	round := func(v float64) float64 { return math.Round(100*min(max(v, -20), 20)) / 100 }
	s.Value, s.Low, s.High = round(m.Value), round(m.Low), round(m.High)
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
		if s.Of == Hose && !d.Out && m.Kind == surface.Kink {
			s.Said = append(s.Said, kinkSaid(m))
		}
		s.Drawn = append(s.Drawn, d)
	}
}
