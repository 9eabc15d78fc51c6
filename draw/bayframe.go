package draw

import (
	"math"
	"slices"
	"strconv"

	"undertray.example/undertray/internal/message"
)

// frame maps the vehicle's coordinates to px and writes line work in them.
type frame struct {
	view   View
	engine Engine
	k      float64 // px per x unit
	left   float64 // px of x = 0 (or of x = 100 seen from below)
	top    float64
	height float64
	grow   float64 // width over DefaultWidth
	size   float64 // of marks and numbers
	knots  [][2]float64
}

// The lengthwise scale changes at these places: y of the vehicle, units of x.
// The bay, where most positions are, gets most of the paper.
func lengthwise(v View) [][2]float64 {
	if v == Below {
		return [][2]float64{{-20, -20}, {0, 0}, {38, 54}, {100, 100}, {200, 158}, {220, 170}}
	}
	return [][2]float64{{-20, -20}, {0, 0}, {35, 52}, {100, 108}, {200, 150}, {220, 158}}
}

// newFrame fits the vehicle between the two columns of numbers.
func newFrame(b *Bay) *frame {
	f := &frame{view: b.View, engine: b.Engine, knots: lengthwise(b.View), grow: b.Width / DefaultWidth}
	if f.engine.Cylinders == 0 {
		f.engine.Cylinders = 4
	}
	f.size = math.Min(1.3, math.Max(1, f.grow))
	f.left = bayMargin * f.grow
	f.k = (b.Width - 2*f.left) / 100
	f.top = bayTopSpace*math.Min(f.grow, 1.6) + 6*f.k
	bottom := f.Y(203) + 8
	rows := float64((len(b.Spots)+1)/2) * bayRow * f.grow
	f.height = math.Max(bottom, rows+2*bayRow)
	return f
}

// X and Y map a place on the vehicle.
func (f *frame) X(x float64) float64 {
	if f.view == Below {
		x = 100 - x
	}
	return f.left + x*f.k
}

func (f *frame) Y(y float64) float64 { return f.top + f.k*Along(f.knots, y) }

// arrangement is where everything ended up.
type arrangement struct {
	at     []place // of each spot
	num    []int
	from   []place // start of its leader
	anchor []string
	legend []Callout
}

// arrange places points and numbers. It works at DefaultWidth and enlarges the
// outcome, so that every width of a figure has the same numbers.
func (f *frame) arrange(spots []Spot) arrangement {
	small := frame{view: f.view, k: f.k / f.grow, left: bayMargin, knots: f.knots, grow: 1}
	small.top = bayTopSpace + 6*small.k
	n := len(spots)
	home := make([]place, n)
	for i, s := range spots {
		home[i] = place{small.X(s.X), small.Y(s.Y)}
	}
	h := math.Max(small.Y(203)+8, float64((n+1)/2)*bayRow+2*bayRow)
	lo, hi := place{bayMargin + 3, small.Y(0) - 8}, place{DefaultWidth - bayMargin - 3, small.Y(200)}
	pts := spread(home, bayGap, lo, hi)
	left, right := callouts(pts, bayLeader, DefaultWidth-bayLeader, bayRow, h-bayRow, bayRow, 7)

	a := arrangement{at: make([]place, n), num: make([]int, n), from: make([]place, n), anchor: make([]string, n)}
	next := 1
	for _, c := range []*column{&left, &right} {
		for k, id := range c.ids {
			a.num[id] = next
			next++
			a.at[id] = f.enlarge(pts[id], small.top)
			a.from[id] = f.enlarge(place{c.x, c.slot[k]}, small.top)
			a.anchor[id] = toRight
			if c == &right {
				a.anchor[id] = fromLeft
			}
		}
	}
	for i, s := range spots {
		if s.Number != 0 {
			a.num[i] = s.Number
		}
		a.legend = append(a.legend, Callout{Number: a.num[i], ID: s.ID, Name: s.Name, Verdict: s.Verdict, Lit: s.Lit,
			X: f.X(s.X), Y: f.Y(s.Y)})
	}
	slices.SortFunc(a.legend, func(p, q Callout) int { return p.Number - q.Number })
	return a
}

func (f *frame) enlarge(p place, smallTop float64) place {
	return place{p.x * f.grow, f.top + (p.y-smallTop)*f.grow}
}

// leaders draws all lines below all marks, each with a clear edge where it
// passes over the drawing.
func (f *frame) leaders(c *canvas, b *Bay, a arrangement) {
	c.start("g", ` aria-hidden="true"`)
	for i, s := range b.Spots {
		from, to := a.from[i], a.at[i]
		d := from.to(to)
		short := s.Verdict.reach()*f.size + 1
		end := place{to.x - (to.x-from.x)/d*short, to.y - (to.y-from.y)/d*short}
		class := "d-lead"
		if s.Lit {
			class = "d-lead-lit lit"
		}
		c.line("d-clear", from.x, from.y, end.x, end.y)
		c.line(class, from.x, from.y, end.x, end.y)
	}
	c.end()
}

// marks draws points and numbers in the order of the numbers, so that the tab
// key follows them.
func (f *frame) marks(c *canvas, b *Bay, a arrangement) {
	order := make([]int, len(b.Spots))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(p, q int) int { return a.num[p] - a.num[q] })
	for _, i := range order {
		s := b.Spots[i]
		class := "d-call v-" + string(s.Verdict)
		label := message.Of("%d %s: %s", a.num[i], s.Name, s.Verdict.word())
		if s.Lit {
			class += " lit"
			label = message.Of("%s, reached by this opening", label)
		}
		c.link(class, s.Href, b.words(label))
		f.number(c, a, i, s.Lit)
		c.circle("d-halo", a.at[i].x, a.at[i].y, s.Verdict.reach()*f.size-.4)
		c.mark(s.Verdict, a.at[i].x, a.at[i].y, f.size)
		c.end()
	}
}

func (f *frame) number(c *canvas, a arrangement, i int, lit bool) {
	text := strconv.Itoa(a.num[i])
	half := textWidth(text, 11)*boldLetter/meanLetter/2 + 1
	x := a.from[i].x - 2.5 - half
	if a.anchor[i] == fromLeft {
		x = a.from[i].x + 2.5 + half
	}
	y := a.from[i].y
	if lit {
		w := 2*half + 3
		c.path("d-ring", pill(x-w/2, y-6.6, w, 13.2))
	}
	c.text("d-num", centred, x, y+3.9, text)
}

// pill is a box with round ends.
func pill(x, y, w, h float64) string {
	r := math.Min(h, w) / 2
	t := new(trace).move(x+r, y).to(x+w-r, y).arc(r, false, true, x+w, y+r).to(x+w, y+h-r)
	return t.arc(r, false, true, x+w-r, y+h).to(x+r, y+h).arc(r, false, true, x, y+h-r).to(x, y+r).arc(r, false, true,
		x+r, y).close().d()
}

// orient writes which way is forward and which side is which.
func (f *frame) orient(c *canvas, h *Head) {
	mid, y := f.X(50), f.Y(0)-6*f.k-4
	c.path("d-tip", new(trace).move(mid, y-13).to(mid-4.5, y-5).to(mid+4.5, y-5).close().d())
	c.text("d-note", fromLeft, mid+9, y-5, h.words("front"))
	c.text("d-note", centred, f.X(6), y-5, h.words("left"))
	c.text("d-note", centred, f.X(94), y-5, h.words("right"))
}

// Along returns the px of a coordinate on one of the scales of a bay plan.
func Along(scale [][2]float64, at float64) float64 {
	i := 1
	for i < len(scale)-1 && at > scale[i][0] {
		i++
	}
	a, b := scale[i-1], scale[i]
	return a[1] + (at-a[0])/(b[0]-a[0])*(b[1]-a[1])
}
