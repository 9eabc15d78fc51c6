package drive

import (
	"cmp"
	"math"
	"slices"
)

// SearchOptions narrows a search for routes. The zero value tries both sides of
// the belt on every pulley but the driver, in the order of travel given.
type SearchOptions struct {
	KeepSides bool      // leave every pulley on its side of the belt
	Orders    bool      // also try every other order of travel
	Routes    int       // most routes returned per question; 0 means 8
	Belts     []float64 // effective lengths to be had, mm; may be nil
	Steps     int       // most steps of the search; 0 means two million
}

// Route is one way round the pulleys that works.
type Route struct {
	Run         Run      // ready for New
	Order       []string // of travel
	Back        []string // pulleys on the back of the belt
	SidesMoved  []string // pulleys on another side than before
	Reversed    []string // of those, loaded ones: they turn the other way, which most accessories don't stand
	Unsuited    []string // grooved pulleys on the back or plain ones on the ribs: change the pulley
	Reordered   bool
	Weakest     string  // loaded pulley with the least grip
	WeakestWrap float64 // its wrap, degrees
	LengthMM    float64 // path as drawn
	Shortest    float64 // path at the fitting stop, mm
	Longest     float64 // path at the take-up stop, mm
	PresentBelt bool    // the belt the run has fits
	BeltMM      float64 // the belt judged: present, else the best of Belts, else the path as drawn
	Share       float64 // where the tensioner stands with it: 0 fitting stop, 1 take-up stop
	ClearanceMM float64 // least room between rims and spans there
	grip        float64 // of the weakest: wrap times wedge factor, degrees
}

// Routes is the answer to a search, best first.
type Routes struct {
	LeftOut string
	Found   []Route
	Closing int  // routes that close, before the best were picked
	Steps   int  // of the search
	Partial bool // the search ran out of steps
}

const (
	defaultRoutes = 8
	defaultSteps  = 2_000_000
)

// Routes searches for ways round the run's own pulleys.
//
// Ranking: routes that keep every loaded pulley turning as before come first;
// then by the grip of the weakest loaded pulley (wrap times wedge factor, in
// steps worth 5 degrees of ribbed wrap), then by how central the tensioner
// stands (in tenths of its travel), then by the least clearance. Where no pulley
// but the driver has a load, all but the tensioner count.
func (r Run) Routes(o SearchOptions) (Routes, error) {
	s, err := newSearch(&r, o)
	if err != nil {
		return Routes{}, err
	}
	return s.without(-1), nil
}

// LeaveOut searches for ways round the run with one pulley left out.
func (r Run) LeaveOut(name string, o SearchOptions) (Routes, error) {
	if _, err := r.Without(name); err != nil {
		return Routes{}, err
	}
	s, err := newSearch(&r, o)
	if err != nil {
		return Routes{}, err
	}
	return s.without(r.Index(name)), nil
}

// LeaveOneOut is LeaveOut for every pulley in turn except the driver and the
// tensioner.
func (r Run) LeaveOneOut(o SearchOptions) ([]Routes, error) {
	s, err := newSearch(&r, o)
	if err != nil {
		return nil, err
	}
	var out []Routes
	for i := range r.Pulleys {
		if i == s.driver || i == s.mover || len(r.Pulleys) <= MinPulleys {
			continue
		}
		out = append(out, s.without(i))
	}
	return out, nil
}

// Insert searches for ways to add a pulley, as a rule an idler: in every gap of
// the order and on both sides of the belt, the others left on their sides.
func (r Run) Insert(p Pulley, o SearchOptions) (Routes, error) {
	o.KeepSides, o.Orders = true, false
	var all Routes
	for i := range r.Pulleys {
		for _, side := range [...]Side{RibSide, BackSide} {
			p.Side = side
			c, err := r.WithPulley(p, r.Pulleys[i].Name)
			if err != nil {
				return Routes{}, err
			}
			s, err := newSearch(&c, o)
			if err != nil {
				return Routes{}, err
			}
			got := s.without(-1)
			all.Found = append(all.Found, got.Found...)
			all.Closing += got.Closing
			all.Steps += got.Steps
		}
	}
	rank(all.Found, WedgeFactor(r.Belt.Section.GrooveDeg))
	all.Found = all.Found[:min(len(all.Found), o.most())]
	return all, nil
}

func (o *SearchOptions) most() int {
	if o.Routes > 0 {
		return o.Routes
	}
	return defaultRoutes
}

// search is what the questions about one run share.
type search struct {
	r      *Run
	o      SearchOptions
	t      *spanTable
	driver int
	mover  int     // -1: none
	sense  float64 // way the spring pushes; 0 unknown or no spring
}

func newSearch(r *Run, o SearchOptions) (*search, error) {
	if err := r.Validate(); err != nil {
		return nil, err
	}
	if !finite(o.Belts...) {
		return nil, badInput("length on offer")
	}
	s := &search{r: r, o: o, driver: r.driver(), mover: -1}
	if r.Tensioner.Kind != NoTensioner {
		s.mover = r.Index(r.Tensioner.Pulley)
	}
	var solver Solver
	turn, f := orient(&solver, r)
	switch f.Reason {
	case NoFault:
		if s.mover >= 0 && r.Tensioner.Kind.Sprung() {
			s.sense = layRun(*r, turn).senseAsDrawn()
		}
	case PulleyInside, PulleysOverlap, BadInput:
		return nil, refuse(f, r.Pulleys)
	default:
		turn = float64(r.DriverTurns)
		if turn == 0 {
			turn = Clockwise
		}
		if r.Pulleys[s.driver].Side == BackSide {
			turn = -turn
		}
	}
	s.t = newSpanTable(r, turn)
	return s, nil
}

// layRun is a Drive without the sweep of its tensioner.
func layRun(r Run, turn float64) *Drive {
	d := &Drive{run: r, cs: circles(&r, turn), mv: newMover(&r)}
	d.derive()
	return d
}

func (d *Drive) senseAsDrawn() float64 {
	rate, _ := d.move(d.newPose(), 0)
	return sign(rate)
}

// without walks the routes that leave one pulley out (-1: none) and works the
// best ones out in full.
func (s *search) without(out int) Routes {
	w := s.newWalk(out)
	w.start()
	res := Routes{Closing: len(w.found), Steps: w.nodes, Partial: w.nodes > w.budget}
	if out >= 0 {
		res.LeftOut = s.r.Pulleys[out].Name
	}
	slices.SortStableFunc(w.found, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.reversed, b.reversed), cmp.Compare(b.grip, a.grip), cmp.Compare(a.moved, b.moved))
	})
	most := s.o.most()
	for i := range w.found {
		if len(res.Found) >= 2*most {
			break
		}
		if rt, ok := s.route(&w.found[i], len(w.seq)); ok {
			res.Found = append(res.Found, rt)
		}
	}
	rank(res.Found, WedgeFactor(s.r.Belt.Section.GrooveDeg))
	res.Found = res.Found[:min(len(res.Found), most)]
	return res
}

func (s *search) newWalk(out int) *walk {
	w := &walk{t: s.t, free: s.o.Orders, budget: s.o.Steps}
	if w.budget <= 0 {
		w.budget = defaultSteps
	}
	n := len(s.r.Pulleys)
	for i := range n {
		k := (s.driver + i) % n
		if k == out {
			continue
		}
		p, bit := &s.r.Pulleys[k], uint32(1)<<k
		w.seq = append(w.seq, k)
		w.members |= bit
		w.was |= uint32(p.Side) << k
		if p.Driver || !p.Load.idles() {
			w.loaded |= bit
		}
		w.wedge[k] = 1
		if p.Measured != Plain {
			w.wedge[k] = WedgeFactor(cmp.Or(p.GrooveDeg, s.r.Belt.Section.GrooveDeg))
		}
	}
	w.counts = w.loaded
	if w.loaded == 1<<s.driver {
		w.counts = w.members
		if s.mover >= 0 && s.mover != out {
			w.counts &^= 1 << s.mover
		}
	}
	w.fixed = 1 << s.driver
	if s.o.KeepSides {
		w.fixed = w.members
	}
	return w
}

// rank sorts routes by the rule of Routes.
func rank(rs []Route, wedge float64) {
	bucket := func(r *Route) float64 { return math.Round(r.grip / wedge / 5) }
	central := func(r *Route) float64 { return math.Round(math.Abs(r.Share-0.5) * 10) }
	slices.SortStableFunc(rs, func(a, b Route) int {
		return cmp.Or(
			cmp.Compare(len(a.Reversed), len(b.Reversed)),
			cmp.Compare(bucket(&b), bucket(&a)),
			cmp.Compare(central(&a), central(&b)),
			cmp.Compare(b.ClearanceMM, a.ClearanceMM),
		)
	})
}
