package draw

import (
	"fmt"
	"slices"

	"undertray.example/undertray/internal/message"
)

// View is the side from which the vehicle is drawn.
type View string

// The two views. Seen from below the vehicle's left lies on the right, as it
// does for someone lying under it with the head to the front.
const (
	Above View = "above"
	Below View = "below"
)

// Engine says what the drawing of the engine looks like. The zero value is an
// engine along the vehicle, cylinders in line.
type Engine struct {
	Transverse bool
	Vee        bool
	Cylinders  int // 0: four
}

// Shape is what is drawn at a position, on the vehicle's own line work.
type Shape string

// Shapes. Anything else that a position holds is shown by its mark alone.
const (
	NoShape    Shape = ""
	Battery    Shape = "battery"
	Tank       Shape = "tank"      // expansion or washer tank with a cap
	Reservoir  Shape = "reservoir" // small, for a fluid
	Servo      Shape = "servo"     // brake servo and master cylinder
	AirBox     Shape = "air-box"
	Canister   Shape = "canister" // spin-on filter, fuel filter
	Machine    Shape = "machine"  // driven by a belt: alternator, pump, compressor
	FrontHose  Shape = "front-hose"
	RearHose   Shape = "rear-hose"
	CoolantCap Shape = "cap"
)

// Shapes lists every shape but NoShape.
func Shapes() []Shape {
	return []Shape{Battery, Tank, Reservoir, Servo, AirBox, Canister, Machine, FrontHose, RearHose, CoolantCap}
}

// Spot is one position on the bay plan.
type Spot struct {
	ID      string
	Name    string
	Verdict Verdict
	X       float64 // 0 the vehicle's left, 100 its right
	Y       float64 // 0 the front, 100 the bulkhead, 200 the rear end
	Shape   Shape
	Lit     bool   // reached by the opening that is shown
	Href    string // empty: no link
	Number  int    // 0: numbered by the drawing; give all or none
}

// LineKind is how a line between positions is drawn.
type LineKind string

// Kinds of line.
const (
	Hose  LineKind = "hose"
	Pipe  LineKind = "pipe"
	Cable LineKind = "cable"
	Strap LineKind = "strap" // a belt seen from above
)

// Line is a hose, pipe, cable or belt. It runs as a smooth curve through the
// points given, X and Y as in Spot.
type Line struct {
	Kind LineKind
	Via  [][2]float64
}

// Bay is what a bay plan shows.
type Bay struct {
	Head
	View   View
	Engine Engine
	Spots  []Spot
	Lines  []Line
	// Bare leaves out marks and numbers: the page puts one mark where it says.
	Bare bool
}

// Callout is one entry of the legend: which number points to which position.
type Callout struct {
	Number  int
	ID      string
	Name    string
	Verdict Verdict
	Lit     bool
	X, Y    float64 // of its place on the drawing, in px
}

// BayFigure is a bay plan with its legend in order of the numbers.
type BayFigure struct {
	Figure
	View   View
	Legend []Callout
	// Across and Along say where places lie on the drawing: pairs of a coordinate and
	// its px, straight between one and the next.
	Across, Along [][2]float64
}

// Sizes of the bay plan in px at DefaultWidth. Wider figures keep the size of
// letters and marks and spread the rest.
const (
	bayMargin   = 42.0 // either side, for the numbers
	bayLeader   = 21.0 // where leaders start, from the edge
	bayGap      = 12.4 // between two points
	bayRow      = 14.0 // between two numbers
	bayTopSpace = 24.0
)

// BayPlan draws the front of the vehicle, or its underside, as line work in
// the manner of a workshop manual, with a numbered leader to every position.
// The drawing is of the type of vehicle, not to scale; positions too close to
// tell apart are moved asunder. Numbers depend on where positions lie and not
// on their verdicts, so they stay the same from visit to visit. It fails on
// unknown views, verdicts or shapes, and on coordinates that are not numbers
// or lie more than 20 outside the vehicle.
func BayPlan(spec Bay) (BayFigure, error) {
	if err := spec.check(); err != nil {
		return BayFigure{}, err
	}
	f := newFrame(&spec)
	p := f.arrange(spec.Spots)
	fig := BayFigure{View: spec.View, Legend: p.legend}
	fig.Across = [][2]float64{{0, f.X(0)}, {100, f.X(100)}}
	for _, k := range f.knots {
		fig.Along = append(fig.Along, [2]float64{k[0], f.Y(k[0])})
	}
	fig.Title = spec.Title
	fig.Caption = bayCaption(&spec)
	desc := spec.words(spec.Desc)
	if desc == "" {
		desc = spec.words(fig.Caption)
	}
	var c canvas
	links := false
	for _, s := range spec.Spots {
		links = links || s.Href != ""
	}
	c.begin(spec.Head, "bay", desc, spec.Width, f.height, links)
	c.start("g", ` aria-hidden="true"`)
	f.vehicle(&c)
	f.features(&c, &spec)
	f.orient(&c, &spec.Head)
	c.end()
	if !spec.Bare {
		f.leaders(&c, &spec, p)
		f.marks(&c, &spec, p)
	}
	fig.SVG = c.finish()
	return fig, nil
}

func (b *Bay) check() error {
	if err := b.Head.check(); err != nil {
		return err
	}
	if b.View != Above && b.View != Below {
		return fmt.Errorf("draw: figure %s: view %q: use above or below", b.ID, b.View)
	}
	if b.Engine.Cylinders < 0 || b.Engine.Cylinders > 16 {
		return fmt.Errorf("draw: figure %s: %d cylinders: use 0 to 16", b.ID, b.Engine.Cylinders)
	}
	seen := map[string]bool{}
	numbers := map[int]bool{}
	for i, s := range b.Spots {
		if err := s.check(); err != nil {
			return fmt.Errorf("draw: figure %s: position %d (%s): %w", b.ID, i+1, s.ID, err)
		}
		if seen[s.ID] {
			return fmt.Errorf("draw: figure %s: position %s is given twice", b.ID, s.ID)
		}
		seen[s.ID] = true
		if s.Number != 0 {
			if numbers[s.Number] {
				return fmt.Errorf("draw: figure %s: number %d is given twice", b.ID, s.Number)
			}
			numbers[s.Number] = true
		}
	}
	if n := len(numbers); n != 0 && n != len(b.Spots) {
		return fmt.Errorf("draw: figure %s: %d of %d positions are numbered: number all or none", b.ID, n, len(b.Spots))
	}
	return b.checkLines()
}

func (b *Bay) checkLines() error {
	for i, l := range b.Lines {
		switch l.Kind {
		case Hose, Pipe, Cable, Strap:
		default:
			return fmt.Errorf("draw: figure %s: line %d: kind %q: use hose, pipe, cable or strap", b.ID, i+1, l.Kind)
		}
		if len(l.Via) < 2 {
			return fmt.Errorf("draw: figure %s: line %d has fewer than two points", b.ID, i+1)
		}
		for _, v := range l.Via {
			if !onVehicle(v[0], v[1]) {
				return fmt.Errorf("draw: figure %s: line %d: point %g, %g is off the vehicle", b.ID, i+1, v[0], v[1])
			}
		}
	}
	return nil
}

func onVehicle(x, y float64) bool {
	return finite(x, y) && x >= -20 && x <= 120 && y >= -20 && y <= 220
}

func (s *Spot) check() error {
	if s.ID == "" {
		return fmt.Errorf("it has no id")
	}
	if !s.Verdict.known() {
		return fmt.Errorf("verdict %q: use keep, watch, put right, park or unseen", s.Verdict)
	}
	if !onVehicle(s.X, s.Y) {
		return fmt.Errorf("place %g, %g: x runs from 0 to 100, y from 0 to 200", s.X, s.Y)
	}
	if s.Number < 0 || s.Number > 999 {
		return fmt.Errorf("number %d: use 1 to 999", s.Number)
	}
	if s.Shape != NoShape && !slices.Contains(Shapes(), s.Shape) {
		return fmt.Errorf("shape %q is not known", s.Shape)
	}
	return checkHref(s.Href)
}

// bayCaption says in words what the drawing shows.
func bayCaption(b *Bay) message.Text {
	first := message.Text("Seen from above, front of the vehicle at the top")
	if b.View == Below {
		first = "Seen from below, front of the vehicle at the top: its left is on the right"
	}
	if b.Bare {
		return sentences(first, "Not to scale")
	}
	count := map[Verdict]int{}
	lit := 0
	for _, s := range b.Spots {
		count[s.Verdict]++
		if s.Lit {
			lit++
		}
	}
	var counts []message.Text
	vs := Verdicts()
	for i := len(vs) - 1; i >= 0; i-- {
		v := vs[i]
		if count[v] == 0 {
			continue
		}
		counts = append(counts, message.Of("%d %s (%s)", count[v], v.word(), v.outline()))
	}
	out := message.Counted(len(b.Spots), "%s; %d position", "%s; %d positions", first, len(b.Spots))
	if len(counts) > 0 {
		out = message.Of("%s: %s", out, message.Joined(counts, ", "))
	}
	var ringed message.Text
	if lit > 0 {
		ringed = message.Of("Ringed numbers are reached by the opening shown: %d", lit)
	}
	return sentences(out, ringed, "Not to scale; positions close together are drawn apart")
}
