// Package onbelt is a count of cracks on a photograph of a belt's ribs, or a measure on the outline of ribs or of a
// hose, as hands put it right: what a page on its server, a browser and a command share, in one JSON. It stands on the
// engine and on texts alone, so that it can be built for a browser and stays small there.
//
// What the method found is never taken out: what a hand strikes out stays with the picture and does not count, and what
// a hand draws is told apart.
package onbelt

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/surface"
)

// Seen is a picture as it was read, with what hands changed and what comes of it.
type Seen struct {
	surface.Reading          // of a belt's ribs from above; of an outline its version and faults alone
	Of              string   `json:"of,omitempty"` // as Options has it
	Outline         *Outline `json:"outline,omitempty"`
	Width           int      `json:"width"` // of the picture, px
	Height          int      `json:"height"`
	Out             []int    `json:"out,omitempty"` // places of the marks that a hand struck out

	Headline message.Text   `json:"headline"`
	Basis    []message.Text `json:"basis"`

	Stops bool   `json:"stops"`          // nothing is counted before a fault is put right
	Said  []Said `json:"said,omitempty"` // of the faults
	// Value is the count on 75 mm of the worst rib, or a share in %, a whole number, or what a gauge stands above or
	// below the tips, mm, with the band that holds it nine times in ten; Unit is what stands behind it, Figure how it
	// is written.
	Value  float64      `json:"value"`
	Low    float64      `json:"low"`
	High   float64      `json:"high"`
	Figure string       `json:"figure"`
	Unit   message.Text `json:"unit"`
	// Answer is of a gauge the answer that its bars give, as its check has them, and Else what else lies within the
	// band.
	Answer string   `json:"answer,omitempty"`
	Else   []string `json:"else,omitempty"`
	// Closest is the count on 25 mm of that rib, where its cracks stand closest.
	Closest int `json:"closest,omitempty"`
	// Marks count, ByHand of them were drawn by hand, Struck others struck out.
	Marks  int `json:"marks"`
	ByHand int `json:"by_hand"`
	Struck int `json:"struck"`

	// Turn is by how many degrees the picture is turned for the belt to run downwards, View what of it then holds the
	// belt, as SVG writes both.
	Turn  float64  `json:"turn"`
	View  string   `json:"view"`
	Lines []string `json:"lines"` // borders of the ribs, as paths of an SVG in px
	Drawn []Drawn  `json:"drawn"` // the cracks, in their order
	Loose []Drawn  `json:"loose"` // places to look at that are not counted
}

// Said is a fault in words: what is wrong, and how a better picture is taken.
type Said struct {
	Wrong  message.Text `json:"wrong"`
	Better message.Text `json:"better"`
	Stops  bool         `json:"stops"`
}

// Drawn is a mark on the picture: its path and its middle, px.
type Drawn struct {
	Path string       `json:"path"`
	X    float64      `json:"x"`
	Y    float64      `json:"y"`
	Out  bool         `json:"out,omitempty"`
	Hand bool         `json:"hand,omitempty"`
	Says message.Text `json:"says"`
}

// Again counts what stands, and puts it into words and lines.
func (s *Seen) Again() {
	s.Said, s.Unit = nil, units[s.Of]
	if s.Stops = !s.drawable(); s.Of != "" {
		s.Stops = !s.outlined()
	}
	for _, f := range s.Faults {
		wrong, better := words(s.Of, f)
		s.Said = append(s.Said, Said{wrong, better, f.Stops})
		s.Stops = s.Stops || f.Stops
	}
	s.Closest, s.Value, s.Low, s.High, s.Marks, s.ByHand, s.Struck = 0, 0, 0, 0, 0, 0, 0
	s.Turn, s.View, s.Answer, s.Else = 0, "", "", nil
	s.Lines, s.Drawn, s.Loose = []string{}, []Drawn{}, []Drawn{}
	switch {
	case s.Stops:
		s.Count, s.Cracks, s.Out, s.Candidates, s.Outline = surface.Count{}, []surface.Crack{}, nil, nil, nil
	case s.Of != "":
		s.Cracks = []surface.Crack{}
		s.strike(len(s.Outline.Measured))
		s.measure()
		s.trace()
	default:
		s.Outline = nil
		s.count()
		s.draw()
	}
	switch s.Figure = strconv.FormatFloat(s.Value, 'f', 0, 64); {
	case s.Of == Gauge && s.Answer == "":
		s.Figure, s.Unit = "", ""
	case s.Of == Gauge:
		s.Figure = strconv.FormatFloat(s.Value, 'f', 2, 64)
	}
	s.Headline, s.Basis = s.headline(), s.basis()
}

// Bounds of what is drawn.
const (
	mostStations = 400
	mostCracks   = 1000
	mostPoints   = 200
)

// drawable reports whether there are ribs to draw, and cracks on them: what comes back from a browser may be anything.
func (s *Seen) drawable() bool {
	all := s.Frame.Stations
	if len(all) < 2 || len(all) > mostStations || len(s.Cracks) > mostCracks || !(s.Frame.Pitch > 0) {
		return false
	}
	ribs := len(all[0].Lines) - 1
	for i, st := range all {
		if ribs < 1 || len(st.Lines) != ribs+1 || i > 0 && st.Along <= all[i-1].Along {
			return false
		}
	}
	return !slices.ContainsFunc(s.Cracks, func(c surface.Crack) bool {
		return len(c.Path) == 0 || len(c.Path) > mostPoints || len(c.Ribs) == 0 ||
			slices.ContainsFunc(c.Ribs, func(r int) bool { return r < 0 || r >= ribs })
	})
}

// Things is how many marks there are, struck out or not.
func (s *Seen) Things() int {
	if s.Outline != nil {
		return len(s.Outline.Measured)
	}
	return len(s.Cracks)
}

// strike keeps of what is struck out each of so many once.
func (s *Seen) strike(of int) {
	s.Out = slices.DeleteFunc(s.Out, func(i int) bool { return i < 0 || i >= of })
	slices.Sort(s.Out)
	s.Out = slices.Compact(s.Out)
	s.Struck = len(s.Out)
	s.Marks = of - s.Struck
}

// count counts the cracks that stand.
func (s *Seen) count() {
	s.strike(len(s.Cracks))
	var left []surface.Crack
	for i, c := range s.Cracks {
		switch {
		case slices.Contains(s.Out, i):
			continue
		case c.Hand:
			s.ByHand++
		}
		left = append(left, c)
	}
	s.Reading.Count = surface.CountCracks(s.Frame, left)
	of := s.Reading.Count.Of75
	s.Value, s.Closest = math.Round(of.Value), int(math.Round(s.Reading.Count.Of25.Value))
	s.Low, s.High = min(s.Value, math.Round(of.Low)), max(s.Value, math.Round(of.High))
}

// draw lays lines and marks over the picture.
func (s *Seen) draw() {
	s.look()
	for k := range s.Frame.Stations[0].Lines {
		var line []surface.Point
		for _, st := range s.Frame.Stations {
			line = append(line, st.Lines[k])
		}
		s.Lines = append(s.Lines, path(line))
	}
	for i, c := range s.Cracks {
		d := s.drawn(c.Path)
		d.Hand, d.Out, d.Says = c.Hand, slices.Contains(s.Out, i), says(c)
		s.Drawn = append(s.Drawn, d)
	}
	for _, c := range s.Candidates {
		a, b := c.At, c.Size
		box := []surface.Point{{X: a.X - b.X/2, Y: a.Y - b.Y/2}, {X: a.X + b.X/2, Y: a.Y - b.Y/2},
			{X: a.X + b.X/2, Y: a.Y + b.Y/2}, {X: a.X - b.X/2, Y: a.Y + b.Y/2}, {X: a.X - b.X/2, Y: a.Y - b.Y/2}}
		d := s.drawn(box)
		d.Says = loose[c.Kind]
		s.Loose = append(s.Loose, d)
	}
}

// look turns the picture for the belt to run up or down, whichever is nearer.
func (s *Seen) look() {
	middle := func(st surface.Station) surface.Point {
		a, b := st.Lines[0], st.Lines[len(st.Lines)-1]
		return surface.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
	}
	all := s.Frame.Stations
	from, to := middle(all[0]), middle(all[len(all)-1])
	turn := math.Atan2(to.X-from.X, to.Y-from.Y)
	if math.Abs(turn) > math.Pi/2 {
		turn -= math.Copysign(math.Pi, turn)
	}
	sin, cos := math.Sincos(turn)
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, st := range all {
		for _, p := range st.Lines {
			x, y := p.X*cos-p.Y*sin, p.X*sin+p.Y*cos
			x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
		}
	}
	free := (x1 - x0) / float64(len(all[0].Lines)) / 2
	s.Turn = tenth(turn * 180 / math.Pi)
	s.View = view(x0-free, y0-free, x1+free, y1+free)
}

// view is a part of the picture as SVG writes it.
func view(x0, y0, x1, y1 float64) string {
	return strings.Join([]string{number(x0), number(y0), number(x1 - x0), number(y1 - y0)}, " ")
}

// drawn is a line in the belt's own coordinates as it lies on the picture.
func (s *Seen) drawn(line []surface.Point) Drawn {
	at := make([]surface.Point, len(line))
	for i, p := range line {
		at[i] = s.Frame.Picture(p)
	}
	return s.drawnAs(at)
}

// drawnAs is a line on the picture.
func (s *Seen) drawnAs(at []surface.Point) Drawn {
	mid := at[len(at)/2]
	if len(at) == 2 {
		mid = surface.Point{X: (at[0].X + at[1].X) / 2, Y: (at[0].Y + at[1].Y) / 2}
	}
	return Drawn{Path: path(at), X: tenth(mid.X), Y: tenth(mid.Y)}
}

func number(v float64) string { return strconv.FormatFloat(tenth(v), 'f', -1, 64) }

func tenth(v float64) float64 { return math.Round(10*v) / 10 }

func path(line []surface.Point) string {
	var b strings.Builder
	for i, p := range line {
		b.WriteByte("ML"[min(i, 1)])
		b.WriteString(number(p.X) + " " + number(p.Y))
	}
	return b.String()
}

// margin is the share of a rib that a mark drawn by hand leaves free on either side.
const margin = 0.12

// Add draws a mark across the rib that a point of the picture lies on, px, and reports whether there is one. Whoever
// has added all counts Again.
func (s *Seen) Add(x, y float64) bool {
	if s.Stops || s.Of != "" {
		return false
	}
	at, ok := s.Frame.Belt(surface.Point{X: x, Y: y})
	rib, ribs := int(math.Floor(at.X/s.Frame.Pitch)), len(s.Frame.Stations[0].Lines)-1
	if !ok || rib < 0 || rib >= ribs {
		return false
	}
	from, to := (float64(rib)+margin)*s.Frame.Pitch, (float64(rib)+1-margin)*s.Frame.Pitch
	s.Cracks = append(s.Cracks, surface.Crack{Path: []surface.Point{{X: from, Y: at.Y}, {X: to, Y: at.Y}},
		Ribs: []int{rib}, Length: to - from, Chance: 1, Hand: true})
	return true
}
