package draw

import (
	"fmt"
	"math"
)

// Pulley is one pulley of a run. Positions and lengths in mm, seen from the
// front of the engine: X to the right, Y upwards, from any origin.
type Pulley struct {
	Number int
	Name   string
	X, Y   float64
	Radius float64 // of the surface as drawn
	Back   bool    // the belt's back touches it, not the ribs
	Driver bool
	Span   float64 // length of the span to the next pulley; 0: of the belt's middle
	Wrap   float64 // degrees; 0: of the belt's middle
	Href   string  // empty: no link
}

// Run is one belt with its pulleys in order of the belt's travel.
type Run struct {
	Head
	Pulleys       []Pulley
	Thickness     float64 // of the belt, mm; 0: 4.5
	Anticlockwise bool    // how ribbed pulleys turn, seen from the front; most engines: clockwise
	Tensioner     *Tensioner
}

// Tensioner is the pulley that moves. Positions count from where the pulley is
// drawn: degrees anticlockwise about the pivot, or mm along a slide.
type Tensioner struct {
	Pulley         int // number of the pulley that moves
	Slides         bool
	PivotX, PivotY float64 // mm, unless it slides
	SlideDeg       float64 // direction of a slide, degrees anticlockwise from the x axis
	Low, High      float64 // stops: 0 or less, 0 or more
	Marks          []TensionMark
}

// TensionMark is a place within the tensioner's travel that has a name: the
// stop, a new belt, the indicator's end.
type TensionMark struct {
	Name string
	At   float64
}

const (
	usualThickness = 4.5 // mm: common practice for ribbed belts of profile PK
	leastBelt      = 5.5 // px: thinner than that, ribs and back can't be told apart
	runSide        = 46.0
	runTop         = 30.0
	maxPulleys     = 16
)

// BeltRun draws a run to scale: the belt with its ribbed side, what each
// pulley touches and how it turns, wraps, lengths of the spans, and the
// tensioner with its travel. It fails if the pulleys overlap, if they are
// listed against the belt's travel, or if no belt can lie round them so.
func BeltRun(spec Run) (Figure, error) {
	if err := spec.check(); err != nil {
		return Figure{}, err
	}
	s, err := newSheet(&spec)
	if err != nil {
		return Figure{}, err
	}
	fig := Figure{Title: spec.Title, Caption: s.caption()}
	desc := spec.words(spec.Desc)
	if desc == "" {
		desc = spec.words(s.describe())
	}
	links := false
	for _, p := range spec.Pulleys {
		links = links || p.Href != ""
	}
	var c canvas
	c.begin(spec.Head, "run", desc, spec.Width, s.h, links)
	s.tensionerTravel(&c)
	s.belt(&c)
	for i := range spec.Pulleys {
		s.pulley(&c, i)
	}
	s.labels(&c)
	fig.SVG = c.finish()
	return fig, nil
}

func (r *Run) check() error {
	if err := r.Head.check(); err != nil {
		return err
	}
	if r.Thickness == 0 {
		r.Thickness = usualThickness
	}
	if !finite(r.Thickness) || r.Thickness < 0 || r.Thickness > 30 {
		return fmt.Errorf("draw: figure %s: belt thickness %g mm: give 0 to 30", r.ID, r.Thickness)
	}
	if n := len(r.Pulleys); n < 2 || n > maxPulleys {
		return fmt.Errorf("draw: figure %s: %d pulleys: a run has 2 to %d", r.ID, n, maxPulleys)
	}
	seen := map[int]bool{}
	for _, p := range r.Pulleys {
		if !finite(p.X, p.Y, p.Radius, p.Span, p.Wrap) || p.Radius <= 0 || p.Span < 0 || p.Wrap < 0 || p.Wrap > 360 {
			return fmt.Errorf("draw: figure %s: pulley %d (%s): place, radius, span and wrap must be finite, radius "+
				"above 0, wrap 0 to 360 degrees", r.ID, p.Number, p.Name)
		}
		if seen[p.Number] || p.Number < 1 || p.Number > 999 {
			return fmt.Errorf("draw: figure %s: pulley %s: number %d: give each its own from 1 to 999", r.ID,
				p.Name, p.Number)
		}
		seen[p.Number] = true
		if err := checkHref(p.Href); err != nil {
			return err
		}
	}
	return r.Tensioner.check(r)
}

func (t *Tensioner) check(r *Run) error {
	if t == nil {
		return nil
	}
	if r.index(t.Pulley) < 0 {
		return fmt.Errorf("draw: figure %s: tensioner: no pulley has number %d", r.ID, t.Pulley)
	}
	if !finite(t.PivotX, t.PivotY, t.SlideDeg, t.Low, t.High) || t.Low > 0 || t.High < 0 || t.High-t.Low > 360 {
		return fmt.Errorf("draw: figure %s: tensioner: stops at %g and %g: the first 0 or less, the second 0 or "+
			"more, 360 apart at most", r.ID, t.Low, t.High)
	}
	for _, m := range t.Marks {
		if !finite(m.At) || math.Abs(m.At) > 360 {
			return fmt.Errorf("draw: figure %s: tensioner: mark %q at %g", r.ID, m.Name, m.At)
		}
	}
	return nil
}

func (r *Run) index(number int) int {
	for i, p := range r.Pulleys {
		if p.Number == number {
			return i
		}
	}
	return -1
}

// span is the straight piece from one pulley to the next.
type span struct {
	from, to place   // tangent points
	length   float64 // of the line they lie on
	heading  float64 // direction of travel, radians anticlockwise from the x axis
}

// route is the belt's way round: span i leaves pulley i, wrap i lies on it.
type route struct {
	spans []span
	wraps []float64 // radians
	sense []float64 // +1 anticlockwise, -1 clockwise
}

// findRoute lays a line round circles, y upwards. Formulas: tangents of two
// circles with signed radii, k = s_i r_i - s_j r_j, length sqrt(d^2 - k^2),
// heading atan2(dy, dx) + asin(k/d); wrap (heading out - heading in) times the
// sense, modulo a full turn. The signed wraps of a simple closed line add to
// one full turn in the sense of the pulleys inside it, those on the ribs
// (Hopf's Umlaufsatz), which tells a wrong order; so do spans that cross.
func findRoute(at []place, radius, sense []float64, inside float64) (route, error) {
	n := len(at)
	rt := route{spans: make([]span, n), wraps: make([]float64, n), sense: sense}
	for i := range at {
		j := (i + 1) % n
		d := at[i].to(at[j])
		k := sense[i]*radius[i] - sense[j]*radius[j]
		if d <= math.Abs(k) {
			return route{}, fmt.Errorf("pulleys %d and %d in order of travel overlap", i+1, j+1)
		}
		psi := math.Atan2(at[j].y-at[i].y, at[j].x-at[i].x) + math.Asin(k/d)
		touch := func(m int) place {
			return place{at[m].x + sense[m]*radius[m]*math.Sin(psi), at[m].y - sense[m]*radius[m]*math.Cos(psi)}
		}
		rt.spans[i] = span{from: touch(i), to: touch(j), length: math.Sqrt(d*d - k*k), heading: psi}
	}
	total := 0.0
	for i := range at {
		in := rt.spans[(i+n-1)%n].heading
		w := math.Mod(sense[i]*(rt.spans[i].heading-in), 2*math.Pi)
		if w < 0 {
			w += 2 * math.Pi
		}
		if w > 2*math.Pi-1e-9 {
			w = 0
		}
		rt.wraps[i] = w
		total += sense[i] * w
	}
	if math.Abs(total-inside*2*math.Pi) > 1e-6 || rt.selfCrossing() {
		return route{}, fmt.Errorf("no belt lies round the pulleys in this order: check the order, and ribs and back")
	}
	return rt, nil
}

func (rt *route) selfCrossing() bool {
	for i, a := range rt.spans {
		for _, b := range rt.spans[:i] {
			if crosses(a.from, a.to, b.from, b.to) {
				return true
			}
		}
	}
	return false
}

// senses gives each pulley its direction: ribbed ones, inside the belt, turn
// one way, back ones the other.
func (r *Run) senses() (each []float64, inside float64) {
	inside = -1
	if r.Anticlockwise {
		inside = 1
	}
	for _, p := range r.Pulleys {
		if p.Back {
			each = append(each, -inside)
		} else {
			each = append(each, inside)
		}
	}
	return each, inside
}
