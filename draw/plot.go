package draw

import (
	"fmt"
	"math"

	"undertray.example/undertray/internal/message"
)

// Point is one value.
type Point struct{ X, Y float64 }

// Band is a value with the bounds between which 8 in 10 are expected.
type Band struct{ X, Mid, Lo, Hi float64 }

// Tick is a mark on an axis with its own text: a date, a milestone.
type Tick struct {
	At    float64
	Text  message.Text
	Under string // a second line below it, or ""
}

// Axis is one axis. Lo and Hi both zero: from the data, with some air.
type Axis struct {
	Label  message.Text // quantity: "rib wear", "distance"
	Unit   string       // "mm", "km", ""
	Lo, Hi float64
	Log    bool   // frequencies over decades; needs Lo above 0
	Ticks  []Tick // empty: round numbers
}

func (a *Axis) name() message.Text {
	if a.Unit == "" {
		return a.Label
	}
	return message.Of("%s, %s", a.Label, a.unit())
}

// unit is a unit that is a word as one, a symbol as it is.
func (a *Axis) unit() message.Text {
	if a.Unit == "years" {
		return "years"
	}
	return message.Name(a.Unit)
}

// fit settles the ends: those given, or the data's with a twentieth of air.
func (a *Axis) fit(id string, data []float64) error {
	if !finite(a.Lo, a.Hi) {
		return fmt.Errorf("draw: figure %s: axis %s: ends %g and %g", id, a.Label, a.Lo, a.Hi)
	}
	if a.Lo == 0 && a.Hi == 0 {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, v := range data {
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
		if hi == lo {
			lo, hi = lo-math.Max(1, math.Abs(lo)*.1), hi+math.Max(1, math.Abs(hi)*.1)
		}
		air := (hi - lo) * .06
		a.Hi = hi + air
		if a.Lo = lo - air; lo >= 0 && a.Lo < (hi-lo)*.15 {
			a.Lo = 0
		}
		if a.Log {
			a.Lo, a.Hi = lo, hi
		}
	}
	if a.Hi <= a.Lo || (a.Log && a.Lo <= 0) {
		return fmt.Errorf("draw: figure %s: axis %s from %g to %g: the lower end first, above 0 if logarithmic", id,
			a.Label, a.Lo, a.Hi)
	}
	for _, t := range a.Ticks {
		if !finite(t.At) {
			return fmt.Errorf("draw: figure %s: axis %s: tick %q at %g", id, a.Label, t.Text, t.At)
		}
	}
	return nil
}

// ticks returns what is marked between the ends.
func (a *Axis) ticks(want int) []Tick {
	if len(a.Ticks) > 0 {
		var in []Tick
		for _, t := range a.Ticks {
			if t.At >= a.Lo && t.At <= a.Hi {
				in = append(in, t)
			}
		}
		return in
	}
	if a.Log {
		return a.decades()
	}
	at, decimals, err := Ticks(a.Lo, a.Hi, want)
	if err != nil { // ends so close that numbers can't tell them apart
		return nil
	}
	var out []Tick
	for _, v := range at {
		out = append(out, Tick{At: v, Text: message.Name(figure(v, decimals))})
	}
	return out
}

// decades marks 1, 2 and 5 of each power of ten, or only the powers when there
// are many.
func (a *Axis) decades() []Tick {
	var out []Tick
	span := math.Log10(a.Hi / a.Lo)
	for e := math.Floor(math.Log10(a.Lo)); e <= math.Ceil(math.Log10(a.Hi)); e++ {
		for _, m := range []float64{1, 2, 5} {
			v := m * math.Pow(10, e)
			if v < a.Lo*(1-1e-9) || v > a.Hi*(1+1e-9) || (span > 2.4 && m != 1) {
				continue
			}
			out = append(out, Tick{At: v, Text: message.Name(figure(v, int(math.Max(0, -e))))})
		}
	}
	return out
}

// plot is the paper of a chart, its axes drawn.
type plot struct {
	head         Head
	flags        [][2]float64 // middle and width of the words over it
	c            canvas
	x, y         scale
	left, right  float64
	top, bottom  float64
	width, total float64
}

const (
	letter   = 10.0 // px, size of figures at the axes
	tickLong = 4.0
)

// newPlot draws frame, ticks and names of the axes. The plot is 0.56 as high
// as it is wide. above is the room kept free over it for labels.
func newPlot(h Head, kind, desc string, x, y *Axis, above float64) *plot {
	p := &plot{head: h, width: h.Width, top: 20 + above, right: h.Width - 12}
	inner := math.Min(h.Width*.56, 420)
	p.bottom = p.top + inner
	p.total = p.bottom + 38
	yt := y.ticks(max(3, int(inner/44)))
	widest := 0.0
	for _, t := range yt {
		widest = math.Max(widest, textWidth(h.words(t.Text), letter))
	}
	p.left = math.Max(24, widest+tickLong+6)
	p.x = scale{x.Lo, x.Hi, p.left, p.right, x.Log}
	p.y = scale{y.Lo, y.Hi, p.bottom, p.top, y.Log}
	p.c.begin(h, kind, desc, p.width, p.total, false)
	p.c.text("d-word", fromLeft, 1, 11, h.words(y.name()))
	p.axes(x, yt)
	p.c.text("d-word", toRight, p.right, p.bottom+31, h.words(x.name()))
	return p
}

func (p *plot) axes(x *Axis, yt []Tick) {
	c := &p.c
	for _, t := range yt {
		at := p.y.at(t.At)
		c.line("d-grid", p.left, at, p.right, at)
		c.line("d-frame", p.left-tickLong, at, p.left, at)
		c.text("d-note", toRight, p.left-tickLong-3, at+3.5, p.head.words(t.Text))
	}
	c.path("d-frame", new(trace).move(p.left, p.top).to(p.left, p.bottom).to(p.right, p.bottom).d())
	clear := math.Inf(-1)
	for _, t := range p.fitting(x) {
		text := p.head.words(t.Text)
		at, w := p.x.at(t.At), textWidth(text, letter)
		c.line("d-frame", at, p.bottom, at, p.bottom+tickLong)
		mid := math.Max(w/2, math.Min(p.width-w/2-1, at))
		if mid-w/2 < clear {
			continue
		}
		c.text("d-note", centred, mid, p.bottom+15, text)
		clear = mid + w/2 + 5
	}
}

// fitting returns as many ticks as their texts have room.
func (p *plot) fitting(x *Axis) []Tick {
	for want := max(3, int((p.right-p.left)/44)); ; want-- {
		ts := x.ticks(want)
		widest := 0.0
		for _, t := range ts {
			widest = math.Max(widest, textWidth(p.head.words(t.Text), letter))
		}
		if want <= 2 || float64(len(ts))*(widest+10) <= p.right-p.left {
			return ts
		}
	}
}

// line draws points joined by straight strokes, cut off at the plot's edge by
// clamping y.
func (p *plot) line(class string, pts []Point) {
	if len(pts) < 2 {
		return
	}
	var t trace
	for i, q := range pts {
		x, y := p.x.at(p.x.clamp(q.X)), p.y.at(p.y.clamp(q.Y))
		if i == 0 {
			t.move(x, y)
		} else {
			t.to(x, y)
		}
	}
	p.c.path(class, t.d())
}

// band fills between lower and upper bounds and rules both edges.
func (p *plot) band(bs []Band, step bool) {
	if len(bs) < 2 {
		return
	}
	lo, hi := edge(bs, step, func(b Band) float64 { return b.Lo }), edge(bs, step, func(b Band) float64 { return b.Hi })
	var t trace
	for i, q := range hi {
		x, y := p.x.at(p.x.clamp(q.X)), p.y.at(p.y.clamp(q.Y))
		if i == 0 {
			t.move(x, y)
		} else {
			t.to(x, y)
		}
	}
	for i := len(lo) - 1; i >= 0; i-- {
		t.to(p.x.at(p.x.clamp(lo[i].X)), p.y.at(p.y.clamp(lo[i].Y)))
	}
	p.c.path("d-band", t.close().d())
	p.line("d-band-edge", lo)
	p.line("d-band-edge", hi)
}

// edge picks one value of each band, as a line or as steps to the right.
func edge(bs []Band, step bool, of func(Band) float64) []Point {
	var out []Point
	for i, b := range bs {
		if step && i > 0 {
			out = append(out, Point{b.X, of(bs[i-1])})
		}
		out = append(out, Point{b.X, of(b)})
	}
	return out
}

// flag marks one x by a line down the plot and a word over it, beside a word that stands
// there already.
func (p *plot) flag(at float64, text string) {
	if !p.x.has(at) {
		return
	}
	x := p.x.at(at)
	p.c.line("d-now", x, p.top-2, x, p.bottom)
	w := textWidth(text, letter)
	mid := math.Max(w/2+1, math.Min(p.width-w/2-1, x))
	for _, o := range p.flags {
		if need := (w+o[1])/2 + 3; math.Abs(mid-o[0]) < need {
			if mid = o[0] + need; x < o[0] || mid+w/2 > p.width-1 {
				mid = o[0] - need
			}
		}
	}
	p.flags = append(p.flags, [2]float64{mid, w})
	p.c.text("d-note", centred, mid, p.top-5, text)
}

func checkBands(id, what string, bs []Band) error {
	for i, b := range bs {
		if !finite(b.X, b.Mid, b.Lo, b.Hi) || b.Lo > b.Mid || b.Mid > b.Hi {
			return fmt.Errorf("draw: figure %s: %s %d: %g, %g to %g: finite, the middle between the bounds", id, what,
				i+1, b.Mid, b.Lo, b.Hi)
		}
		if i > 0 && b.X < bs[i-1].X {
			return fmt.Errorf("draw: figure %s: %s %d lies before the one it follows", id, what, i+1)
		}
	}
	return nil
}

func checkPoints(id, what string, pts []Point) error {
	for i, q := range pts {
		if !finite(q.X, q.Y) {
			return fmt.Errorf("draw: figure %s: %s %d is not a pair of finite numbers", id, what, i+1)
		}
	}
	return nil
}
