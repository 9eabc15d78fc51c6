package drive

import (
	"math"
	"sort"

	"undertray.example/undertray/internal/message"
)

// Stop names an end of a tensioner's travel.
type Stop string

// The stops.
const (
	TakeUpStop  Stop = "take-up stop"
	FittingStop Stop = "fitting stop"
)

// Travel is how far the tensioner can still go.
type Travel struct {
	Stop   Stop
	Move   float64  // degrees or mm
	BeltMM float64  // belt length that would use it up
	Ends   *Refusal // what ends it before the stop; nil: the stop does
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
	Source      message.Text
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
		Code: "length left to the maker"}
}

// Fit finds where a belt of an effective length puts the tensioner. Too short
// or too long a belt is refused with how much is missing at which stop.
func (d *Drive) Fit(lengthMM float64) (Fit, error) {
	if d.run.Belt.Stretch {
		return Fit{}, stretchRefusal()
	}
	if !within(lengthMM, 50, tooBig) {
		return Fit{}, badInput("belt length", figure("length", lengthMM, "mm"))
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
			Code: "short at the fitting stop", Args: []Arg{d.stand("stop", fitQ), figure("needs", shortest, "mm")}}
	}
	if lengthMM > longest+1e-9 {
		return 0, 0, &Refusal{Reason: BeltTooLong, MM: lengthMM - longest,
			Code: "long at the take-up stop", Args: []Arg{d.stand("stop", takeQ), figure("takes", longest, "mm")}}
	}
	q, rate = d.seek(ps, lengthMM)
	return q, rate, nil
}

// stand is a position of the tensioner, from as drawn.
func (d *Drive) stand(of string, q float64) Arg {
	unit := "mm"
	if d.mv.kind.Swings() {
		unit = "degrees"
	}
	return figure(of, q/d.mv.unit, unit)
}

// fitFixed judges a belt on fixed centres by its tolerance.
func (d *Drive) fitFixed(lengthMM float64) (Fit, error) {
	need := d.sweep.loLen
	tol := LengthToleranceMM(need)
	switch miss := lengthMM - need; {
	case miss < -tol:
		return Fit{}, &Refusal{Reason: BeltTooShort, MM: -miss,
			Code: "short on fixed centres", Args: []Arg{figure("needs", need, "mm")}}
	case miss > tol:
		return Fit{}, &Refusal{Reason: BeltTooLong, MM: miss,
			Code: "long on fixed centres", Args: []Arg{figure("takes", need, "mm")}}
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
		Take:    d.travel(TakeUpStop, takeQ, q, longest-ps.path.LengthMM),
		Fitting: d.travel(FittingStop, fitQ, q, ps.path.LengthMM-shortest),
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

func (d *Drive) travel(stop Stop, end, q, beltMM float64) Travel {
	t := Travel{Stop: stop, Move: math.Abs(end-q) / d.mv.unit, BeltMM: math.Max(0, beltMM)}
	why := d.sweep.hiWhy
	if end == d.sweep.lo {
		why = d.sweep.loWhy
	}
	if why.OK() {
		return t
	}
	if t.Ends = refuse(why, d.run.Pulleys); why.Reason == OutsideTravel {
		t.Ends.Code = "takes up no more"
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
