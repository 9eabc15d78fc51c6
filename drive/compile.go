package drive

import (
	"cmp"
	"errors"
	"math"
	"slices"
)

// Drive is a run that has been checked and laid out. It does not change, so
// any number of goroutines may use one.
type Drive struct {
	run    Run
	cs     []Circle  // effective belt line, as drawn
	pitch  []float64 // pitch radius, mm
	ribbed []bool    // belt grips by its ribs
	driver int
	mv     mover
	sweep  sweep
	kgPerM float64
}

// New checks a run and lays it out as drawn. The error is one or several
// *Refusal: faults of input first; then pulleys inside or overlapping one
// another; then a run that can't be, with changes that would close it.
func New(r Run) (*Drive, error) {
	if err := r.Validate(); err != nil {
		return nil, err
	}
	r = r.clone()
	d := &Drive{run: r, mv: newMover(&r)}
	var s Solver
	turn, f := orient(&s, &r)
	if !f.OK() {
		return nil, diagnose(&r, f)
	}
	d.cs = circles(&r, turn)
	if got := int(d.cs[r.driver()].Turn); r.DriverTurns != 0 && got != r.DriverTurns {
		return nil, backwards(&r, got)
	}
	d.derive()
	d.sweep = d.findSweep()
	if d.mv.idx >= 0 && d.sweep.hi-d.sweep.lo == 0 {
		return nil, badInput("tensioner held as drawn")
	}
	return d, nil
}

// derive fills what follows from run and circles.
func (d *Drive) derive() {
	d.driver = d.run.driver()
	d.kgPerM, _ = d.run.Belt.MassKgPerM()
	d.pitch = make([]float64, len(d.cs))
	d.ribbed = make([]bool, len(d.cs))
	for i := range d.cs {
		p := &d.run.Pulleys[i]
		d.pitch[i] = p.pitchRadius(&d.run.Belt.Section, d.cs[i].R)
		d.ribbed[i] = p.ribbed()
	}
}

// ribbed reports whether the belt grips the pulley by its ribs.
func (p *Pulley) ribbed() bool { return p.Side == RibSide && p.Measured != Plain }

// pitchRadius is the radius of the cord, mm, where the effective line has
// radius r.
func (p *Pulley) pitchRadius(s *Section, r float64) float64 {
	if p.Side == BackSide {
		return r - s.LineMM // the cord lies nearer to a pulley on the back
	}
	return r + s.LineMM
}

// otherPitch is pitch, a pulley's pitch radius, with the section's other line
// differential, which matters only where the diameter is an effective one.
func (p *Pulley) otherPitch(s *Section, pitch float64) float64 {
	if s.OtherLine == 0 || !p.ribbed() {
		return pitch
	}
	return pitch + s.OtherLine - s.LineMM
}

// leastRadius is the least radius of the lines a belt runs on, mm: half of the
// least diameter of a pulley. Below it a ratio of speeds means nothing.
const leastRadius = 0.5

// tooSmall refuses a pulley on which the belt's effective line or its cord
// would have no radius left, as where the cord lies inside the edge of a groove
// and the pulley is hardly wider than twice that.
func (p *Pulley) tooSmall(s *Section) error {
	r := circle(p, s, 1).R
	pitch := p.pitchRadius(s, r)
	least := min(r, pitch, p.otherPitch(s, pitch))
	if least >= leastRadius {
		return nil
	}
	ref := badInput("too small for the belt", called("pulley", p.Name), figure("diameter", p.DiameterMM, "mm"),
		figure("line", 2*least, "mm"),
		figure("least", p.DiameterMM+2*(leastRadius-least), "mm"))
	if s.MinMM > 0 {
		ref.Code = "too small for the section"
		ref.Args = append(ref.Args, figure("smallest", s.MinMM, "mm"), called("section", s.Name))
	}
	ref.Pulleys, ref.MM = []string{p.Name}, 2*(leastRadius-least)
	return ref
}

// tooSmall refuses every pulley of the run that is, joined.
func (r *Run) tooSmall() error {
	var errs []error
	for i := range r.Pulleys {
		errs = append(errs, r.Pulleys[i].tooSmall(&r.Belt.Section))
	}
	return errors.Join(errs...)
}

// Run returns a copy of the run.
func (d *Drive) Run() Run { return d.run.clone() }

func (r *Run) driver() int {
	for i := range r.Pulleys {
		if r.Pulleys[i].Driver {
			return i
		}
	}
	return 0
}

// circle is the effective belt line of one pulley: belts.md section 1, "Rules
// for R". turn is the direction of pulleys on the rib side.
func circle(p *Pulley, s *Section, turn float64) Circle {
	rim, r := p.DiameterMM/2, 0.0
	groove := p.GrooveDeg
	if groove == 0 {
		groove = s.GrooveDeg
	}
	if p.Measured != Plain {
		rim = (s.EffectiveMM(p.DiameterMM, p.Measured, groove) - s.tip(groove)) / 2
	}
	switch {
	case p.Side == BackSide:
		r, turn = rim+s.BackMM+s.LineMM, -turn
	case p.Measured == Plain:
		r = rim + s.ThickMM - s.BackMM - s.LineMM
	default:
		r = s.EffectiveMM(p.DiameterMM, p.Measured, groove) / 2
	}
	return Circle{X: p.Centre.X, Y: p.Centre.Y, R: r, Rim: math.Max(rim, 0), Turn: turn}
}

func circles(r *Run, turn float64) []Circle {
	cs := make([]Circle, len(r.Pulleys))
	for i := range cs {
		cs[i] = circle(&r.Pulleys[i], &r.Belt.Section, turn)
	}
	return cs
}

// orient finds which way round the belt travels in the order listed: +1 when
// pulleys on the ribs turn anticlockwise. Where both ways close, as with two
// pulleys, the driver turns as stated, or else clockwise (common practice: most
// engines do, seen from the belt). The fault is that of the likelier way.
func orient(s *Solver, r *Run) (float64, Fault) {
	want := float64(r.DriverTurns)
	if want == 0 {
		want = Clockwise
	}
	if r.Pulleys[r.driver()].Side == BackSide {
		want = -want
	}
	cs := circles(r, want)
	first := try(s, cs, want)
	if first.OK() {
		return want, first
	}
	for i := range cs {
		cs[i].Turn = -cs[i].Turn
	}
	second := try(s, cs, -want)
	if second.OK() {
		return -want, second
	}
	if area(cs)*want < 0 {
		return 0, second
	}
	return 0, first
}

// try solves and checks; the ribs must face the inside of the loop.
func try(s *Solver, cs []Circle, turn float64) Fault {
	if f := overlap(cs); !f.OK() {
		return f
	}
	p, f := s.Solve(cs)
	if !f.OK() {
		return f
	}
	if f = s.Check(cs, p); f.OK() && sign(p.TurnRad) != turn {
		return Fault{Reason: DoesNotClose, A: insideOut, MM: 1}
	}
	return f
}

// insideOut stands for a belt whose ribs would face outwards.
const insideOut = -1

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}

// area is twice the signed area of the polygon of centres.
func area(cs []Circle) float64 {
	a, n := 0.0, len(cs)
	for i := range cs {
		j := (i + 1) % n
		a += cs[i].X*cs[j].Y - cs[j].X*cs[i].Y
	}
	return a
}

func backwards(r *Run, got int) *Refusal {
	name := r.Pulleys[r.driver()].Name
	rev := r.clone()
	for i, j := 0, len(rev.Pulleys)-1; i < j; i, j = i+1, j-1 {
		rev.Pulleys[i], rev.Pulleys[j] = rev.Pulleys[j], rev.Pulleys[i]
	}
	return &Refusal{
		Reason: TurnsBackwards, Pulleys: []string{name},
		Code:        turning(got),
		Suggestions: []Suggestion{{Code: TurnRound, Run: rev}},
	}
}

func turning(t int) Code {
	if t < 0 {
		return "turns clockwise"
	}
	return "turns anticlockwise"
}

// diagnose names the pulleys of a fault and looks for one change that closes the run:
// two pulleys swapped, or one on the other side of the belt.
func diagnose(r *Run, f Fault) *Refusal {
	ref := refuse(f, r.Pulleys)
	switch f.Reason {
	case BadInput, PulleyCount, PulleyInside, PulleysOverlap:
		return ref
	}
	found := closingChanges(r)
	for i := range min(len(found), 3) {
		ref.Suggestions = append(ref.Suggestions, found[i].Suggestion)
	}
	misplaced := f.Reason == DoesNotClose || f.Reason == NotReached || f.Reason == SpansCross
	if misplaced && len(found) > 0 && found[0].Code == Swap {
		ref.Reason = WrongOrder
	}
	return ref
}

type closing struct {
	Suggestion
	far  int     // 1: a swap of two that aren't neighbours in the order
	miss float64 // mm off the belt's length, or the length itself
}

// closingChanges tries every swap and every change of side, best first: nearest
// to the belt's length where that is known; else neighbours in the order before
// others, and among them the shortest run.
func closingChanges(r *Run) []closing {
	var found []closing
	var s Solver
	consider := func(c Suggestion, far int) {
		turn, f := orient(&s, &c.Run)
		if !f.OK() || c.Run.tooSmall() != nil {
			return
		}
		cs := circles(&c.Run, turn)
		if d := int(cs[c.Run.driver()].Turn); r.DriverTurns != 0 && d != r.DriverTurns {
			return
		}
		p, _ := s.Solve(cs)
		miss := p.LengthMM
		if r.Belt.LengthMM > 0 {
			miss, far = math.Abs(miss-r.Belt.LengthMM), 0
		}
		found = append(found, closing{c, far, miss})
	}
	for i := range r.Pulleys {
		for j := i + 1; j < len(r.Pulleys); j++ {
			c := r.clone()
			c.Pulleys[i], c.Pulleys[j] = c.Pulleys[j], c.Pulleys[i]
			consider(Suggestion{Code: Swap, Pulleys: []string{r.Pulleys[i].Name, r.Pulleys[j].Name}, Run: c},
				apart(i, j, len(r.Pulleys)))
		}
		c := r.clone()
		c.Pulleys[i].Side = 1 - c.Pulleys[i].Side
		consider(Suggestion{Code: OtherSide, Pulleys: []string{r.Pulleys[i].Name}, Side: c.Pulleys[i].Side, Run: c}, 0)
	}
	slices.SortStableFunc(found, func(a, b closing) int {
		return cmp.Or(cmp.Compare(a.far, b.far), cmp.Compare(a.miss, b.miss))
	})
	return found
}

// apart is 0 for neighbours in a round of n, else 1.
func apart(i, j, n int) int {
	if j-i == 1 || j-i == n-1 {
		return 0
	}
	return 1
}
