package drive

import (
	"fmt"
	"math"
	"sort"
)

// Travel is how far the tensioner can still go.
type Travel struct {
	Stop   string  // "take-up stop" or "fitting stop"
	Move   float64 // degrees or mm
	BeltMM float64 // belt length that would use it up
	AtStop bool    // false: something other than the stop ends it, see Note
	Note   string
}

// Fit is how a belt of one length sits on the run.
type Fit struct {
	LengthMM  float64
	Position  float64 // degrees or mm from as drawn
	ArmDeg    float64 // direction of the arm, degrees anticlockwise from the x axis; swinging kinds only
	Centre    Point   // of the tensioner pulley, mm
	RateMM    float64 // change of path length per degree or mm, signed
	Take      Travel  // left as the belt lengthens or wears
	Fitting   Travel  // left for fitting the belt
	Share     float64 // 0 at the fitting stop, 1 at the take-up stop
	Between   [2]string
	InMarks   bool    // the pointer lies between the outermost marks; true without marks
	SpringNow float64 // N.m or N at this position; sprung kinds only
	Tension   float64 // span tension at standstill, N; 0 when unknown
}

// Lengths is the range of belts a run takes. All effective lengths, mm. FromMM
// above ToMM means that no belt fits with its whole tolerance.
type Lengths struct {
	DrawnMM     float64 // path as drawn
	ShortestMM  float64 // path at the fitting stop
	LongestMM   float64 // path at the take-up stop
	ToleranceMM float64 // of a belt about that length, either way
	Standing    Standing
	Source      string
	FromMM      float64 // shortest nominal length that fits at the bottom of its tolerance
	ToMM        float64 // longest nominal length that fits at the top of its tolerance
}

// LengthToleranceMM is the tolerance on the effective length of a PK belt,
// either way, mm. From memory (ISO 9981), not verified; belts above 3000 mm are
// given the last step.
func LengthToleranceMM(lengthMM float64) float64 {
	for _, step := range [...][2]float64{{1000, 5}, {1200, 6}, {1500, 8}, {2000, 9}} {
		if lengthMM <= step[0] {
			return step[1]
		}
	}
	return 10
}

// Lengths is the range of belts the run takes. A stretch-fit run is refused:
// the length and tolerance clauses of ISO 9981 do not apply to such belts.
func (d *Drive) Lengths() (Lengths, error) {
	if d.run.Belt.Stretch {
		return Lengths{}, stretchRefusal()
	}
	_, _, shortest, longest := d.sweep.ends()
	ps := d.newPose()
	d.move(ps, 0)
	tol := LengthToleranceMM(ps.path.LengthMM)
	return Lengths{
		DrawnMM: ps.path.LengthMM, ShortestMM: shortest, LongestMM: longest,
		ToleranceMM: tol, Standing: FromMemory, Source: "ISO 9981, not verified",
		FromMM: shortest + tol, ToMM: longest - tol,
	}, nil
}

func stretchRefusal() *Refusal {
	return &Refusal{Reason: StretchBelt,
		Text: "no length check is defined for stretch-fit belts: ISO 9981 leaves their length and tolerance to the maker",
		Hint: "compare the part number the vehicle maker gives"}
}

// Fit finds where a belt of an effective length puts the tensioner. Too short
// or too long a belt is refused with how much is missing at which stop.
func (d *Drive) Fit(lengthMM float64) (Fit, error) {
	if d.run.Belt.Stretch {
		return Fit{}, stretchRefusal()
	}
	if !within(lengthMM, 50, tooBig) {
		return Fit{}, badInput("effective length in mm", "a belt %g mm long", lengthMM)
	}
	if d.mv.idx < 0 {
		return d.fitFixed(lengthMM)
	}
	ps := d.newPose()
	q, rate, err := d.place(ps, lengthMM)
	if err != nil {
		return Fit{}, err
	}
	return d.fitAt(ps, q, rate, lengthMM), nil
}

// place finds q for a path length or says by how much it can't be.
func (d *Drive) place(ps *pose, lengthMM float64) (q, rate float64, err error) {
	fitQ, takeQ, shortest, longest := d.sweep.ends()
	if lengthMM < shortest-1e-9 {
		return 0, 0, &Refusal{Reason: BeltTooShort, MM: shortest - lengthMM,
			Text: fmt.Sprintf("the belt is %.1f mm too short: with the tensioner at its fitting stop (%s) the run still needs %.1f mm",
				shortest-lengthMM, d.show(fitQ), shortest)}
	}
	if lengthMM > longest+1e-9 {
		return 0, 0, &Refusal{Reason: BeltTooLong, MM: lengthMM - longest,
			Text: fmt.Sprintf("the belt is %.1f mm too long: with the tensioner at its take-up stop (%s) the run takes up only %.1f mm",
				lengthMM-longest, d.show(takeQ), longest)}
	}
	q, rate = d.seek(ps, lengthMM)
	return q, rate, nil
}

// show writes a position for an owner.
func (d *Drive) show(q float64) string {
	unit := "mm"
	if d.mv.kind.Swings() {
		unit = "degrees"
	}
	return fmt.Sprintf("%+.1f %s from as drawn", q/d.mv.unit, unit)
}

// fitFixed judges a belt on fixed centres by its tolerance.
func (d *Drive) fitFixed(lengthMM float64) (Fit, error) {
	need := d.sweep.loLen
	tol := LengthToleranceMM(need)
	switch miss := lengthMM - need; {
	case miss < -tol:
		return Fit{}, &Refusal{Reason: BeltTooShort, MM: -miss,
			Text: fmt.Sprintf("the belt is %.1f mm too short: all centres are fixed and the run needs %.1f mm", -miss, need)}
	case miss > tol:
		return Fit{}, &Refusal{Reason: BeltTooLong, MM: miss,
			Text: fmt.Sprintf("the belt is %.1f mm too long: all centres are fixed and the run takes %.1f mm", miss, need)}
	}
	return Fit{LengthMM: lengthMM, Share: 0.5, InMarks: true, Tension: d.run.Tensioner.SetN}, nil
}

// fitAt describes the tensioner at q.
func (d *Drive) fitAt(ps *pose, q, rate, lengthMM float64) Fit {
	fitQ, takeQ, shortest, longest := d.sweep.ends()
	c, _ := d.mv.at(q)
	u := d.mv.unit
	f := Fit{
		LengthMM: lengthMM, Position: q / u, Centre: c, RateMM: rate * u,
		Take:    d.travel("take-up stop", takeQ, q, longest-ps.path.LengthMM),
		Fitting: d.travel("fitting stop", fitQ, q, ps.path.LengthMM-shortest),
		Share:   within01((ps.path.LengthMM - shortest) / (longest - shortest)),
		Tension: d.run.Tensioner.SetN,
	}
	if d.mv.kind.Swings() {
		f.ArmDeg = wrapDeg(deg(d.mv.alpha0 + q))
	}
	f.Between, f.InMarks = d.marks(f.Position)
	if d.mv.kind.Sprung() {
		f.SpringNow = d.spring(q)
		f.Tension = math.Max(0, f.SpringNow*d.perSpring()/math.Abs(rate))
	}
	return f
}

func (d *Drive) travel(name string, end, q, beltMM float64) Travel {
	t := Travel{Stop: name, Move: math.Abs(end-q) / d.mv.unit, BeltMM: math.Max(0, beltMM), AtStop: true}
	why := d.sweep.hiWhy
	if end == d.sweep.lo {
		why = d.sweep.loWhy
	}
	if why.OK() {
		return t
	}
	t.AtStop = false
	if why.Reason == OutsideTravel {
		t.Note = "before the stop, moving the pulley further no longer takes up belt"
	} else {
		t.Note = "before the stop, " + refuse(why, d.run.Pulleys).Text
	}
	return t
}

// spring is the spring's torque in N.m or force in N at q, rising towards the
// fitting stop.
func (d *Drive) spring(q float64) float64 {
	t := &d.run.Tensioner
	return t.Spring - d.sweep.sense*t.Rate*q/d.mv.unit
}

// perSpring turns the unit of the spring into N and mm.
func (d *Drive) perSpring() float64 {
	if d.mv.kind.Swings() {
		return 1000
	}
	return 1
}

// marks finds the marks the pointer lies between.
func (d *Drive) marks(position float64) (between [2]string, inside bool) {
	ms := d.run.clone().Tensioner.Marks
	if len(ms) == 0 {
		return between, true
	}
	sort.Slice(ms, func(i, j int) bool { return ms[i].At < ms[j].At })
	i := sort.Search(len(ms), func(i int) bool { return ms[i].At >= position })
	if i > 0 {
		between[0] = ms[i-1].Name
	}
	if i < len(ms) {
		between[1] = ms[i].Name
	}
	return between, position >= ms[0].At && position <= ms[len(ms)-1].At
}

func within01(v float64) float64 {
	if !(v > 0) {
		return 0
	}
	return math.Min(v, 1)
}

// wrapDeg brings an angle between -180 and 180.
func wrapDeg(a float64) float64 {
	a = math.Mod(a, 360)
	switch {
	case a > 180:
		return a - 360
	case a <= -180:
		return a + 360
	}
	return a
}
