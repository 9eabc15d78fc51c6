package drive

import "math"

// state is one steady condition of the run.
type state struct {
	q, rate float64
	beltMS  float64
	tc      float64             // centrifugal tension, N
	torque  [MaxPulleys]float64 // taken by each pulley, N.m; negative for the driver
	contact [MaxPulleys]float64 // tension of span i less tc, N
}

// loads fills the torques at a driver speed and returns the steps of tension
// from span to span. Standing still, nothing is taken.
func (d *Drive) loads(st *state, rpm, factor float64) (steps [MaxPulleys]float64) {
	st.beltMS = BeltSpeedMS(2*d.pitch[d.driver], rpm)
	st.tc = CentrifugalN(d.kgPerM, st.beltMS)
	if rpm == 0 {
		return steps
	}
	sum := 0.0
	for i := range d.cs {
		if i == d.driver {
			continue
		}
		t := factor * d.run.Pulleys[i].Load.TorqueNm(rpm*d.pitch[d.driver]/d.pitch[i])
		st.torque[i] = t
		steps[i] = 1000 * t / d.pitch[i]
		sum += steps[i]
	}
	steps[d.driver] = -sum
	st.torque[d.driver] = -sum * d.pitch[d.driver] / 1000
	return steps
}

// tensions fills contact from the steps: the belt leaves a driven pulley
// tighter than it arrives, by torque over pitch radius, and the level follows
// from what holds the belt tight.
func (d *Drive) tensions(ps *pose, st *state, steps *[MaxPulleys]float64) {
	n := len(d.cs)
	var c [MaxPulleys]float64
	at := 0.0
	for i := range n {
		at += steps[i]
		c[i] = at
	}
	c[n-1] = 0 // the sum of all steps, free of rounding
	level := 0.0
	if d.mv.kind.Sprung() {
		level = d.sprungLevel(ps, st, &c)
	} else {
		level = d.setLevel(ps, st, &c)
	}
	for i := range n {
		st.contact[i] = level + c[i]
	}
}

// sprungLevel balances spring and belt on the moving pulley. For spans in and
// out with directions u, the pulley moving at v per q, the spring M holds
//
//	sense*M = v.(Tin uin - Tout uout) - turn*R*(Tout - Tin)
//
// where the last term, the torque of a load carried on a swinging arm, is absent
// on a slide. Only contact tension presses on a pulley: the centrifugal part
// turns the belt's own mass.
func (d *Drive) sprungLevel(ps *pose, st *state, c *[MaxPulleys]float64) float64 {
	k := d.mv.idx
	_, v := d.mv.at(st.q)
	in, out := ps.path.in(k).Dir, ps.path.Spans[k].Dir
	cin, cout := c[(k+len(d.cs)-1)%len(d.cs)], c[k]
	pull := d.spring(st.q) * d.perSpring() * d.sweep.sense
	pull -= v.X*(cin*in.X-cout*out.X) + v.Y*(cin*in.Y-cout*out.Y)
	if d.mv.kind.Swings() {
		pull += ps.cs[k].Turn * d.pitch[k] * (cout - cin)
	}
	return pull / st.rate
}

// setLevel keeps the belt's total stretch, and so its mean tension along the
// cord, at what it was when the run was set: fixed centres lose contact tension
// as speed rises.
func (d *Drive) setLevel(ps *pose, st *state, c *[MaxPulleys]float64) float64 {
	sum, length := 0.0, 0.0
	for i := range d.cs {
		w := d.share(ps.path, i)
		sum += w * c[i]
		length += w
	}
	return d.setTension(length) - sum/length - st.tc
}

// share is the belt that goes with span i: the span and half of both arcs, mm
// along the cord.
func (d *Drive) share(p *Path, i int) float64 {
	j := (i + 1) % len(d.cs)
	return p.Spans[i].LengthMM + (p.WrapRad[i]*d.pitch[i]+p.WrapRad[j]*d.pitch[j])/2
}

// setTension is the tension per span as set, or from the stretch of a belt of
// known free length and stiffness on fixed centres.
func (d *Drive) setTension(cordMM float64) float64 {
	if d.run.Tensioner.SetN > 0 {
		return d.run.Tensioner.SetN
	}
	free := d.run.Belt.LengthMM
	if free == 0 {
		return 0
	}
	cord := free + 2*math.Pi*d.run.Belt.Section.LineMM
	return math.Max(0, d.run.Belt.StiffnessN*(cordMM-cord)/cord)
}

// knowsTension reports whether anything says how tight the belt is.
func (d *Drive) knowsTension() error {
	t, b := &d.run.Tensioner, &d.run.Belt
	switch {
	case t.Kind.Sprung():
		if t.Spring > 0 {
			return nil
		}
		return &Refusal{Reason: NoTension, Code: "no spring figure"}
	case t.SetN > 0 || (t.Kind == NoTensioner && b.StiffnessN > 0 && b.LengthMM > 0):
		return nil
	}
	return &Refusal{Reason: NoTension, Code: "nothing says how tight"}
}

// stretch is the elastic lengthening of the belt, mm.
func (d *Drive) stretch(p *Path, st *state) float64 {
	sum := 0.0
	for i := range d.cs {
		sum += d.share(p, i) * (st.contact[i] + st.tc)
	}
	return sum / d.run.Belt.StiffnessN
}

// steady finds the state at a driver speed. With a spring and a belt of known
// stiffness the arm follows the change of stretch against standstill; otherwise
// it stays where the belt's length puts it.
func (d *Drive) steady(ps *pose, rpm, factor float64) (state, error) {
	q, length, err := d.start(ps)
	if err != nil {
		return state{}, err
	}
	st := d.stateAt(ps, q, rpm, factor)
	if err := d.sane(&st); err != nil {
		return state{}, err
	}
	if !d.mv.kind.Sprung() || d.run.Belt.StiffnessN == 0 || rpm == 0 {
		return st, nil
	}
	still := d.stateAt(ps, q, 0, 0)
	rest := d.stretch(ps.path, &still)
	if st, err = d.follow(ps, rpm, factor, length-rest); err != nil {
		return state{}, err
	}
	return st, d.sane(&st)
}

// sane refuses tensions no belt can have, as when a constant power is asked for
// next to standstill or the arm stands at its dead point.
func (d *Drive) sane(st *state) error {
	for _, c := range st.contact[:len(d.cs)] {
		if !within(c, -1e9, 1e9) {
			return badInput("tension beyond proportion")
		}
	}
	return nil
}

// start is where the tensioner stands; a stretch-fit belt on fixed centres has
// only one place.
func (d *Drive) start(ps *pose) (q, length float64, err error) {
	if err := d.knowsTension(); err != nil {
		return 0, 0, err
	}
	return d.settled(ps, 0)
}

func (d *Drive) stateAt(ps *pose, q, rpm, factor float64) state {
	st := state{q: q}
	st.rate, _ = d.move(ps, q)
	steps := d.loads(&st, rpm, factor)
	d.tensions(ps, &st, &steps)
	return st
}

// follow bisects for the q at which path length equals unstretched length plus
// stretch.
func (d *Drive) follow(ps *pose, rpm, factor, free float64) (state, error) {
	excess := func(q float64) (float64, state) {
		st := d.stateAt(ps, q, rpm, factor)
		return ps.path.LengthMM - free - d.stretch(ps.path, &st), st
	}
	fitQ, takeQ, _, _ := d.sweep.ends()
	lo, hi := fitQ, takeQ
	if e, _ := excess(lo); e > 0 {
		return state{}, &Refusal{Reason: BeltTooShort, MM: e, Code: "pressed against the fitting stop"}
	}
	if e, st := excess(hi); e < 0 || st.rate == 0 {
		return state{}, &Refusal{Reason: BeltTooLong, MM: -e, Code: "stretches beyond take-up"}
	}
	var st state
	for range 50 {
		mid := (lo + hi) / 2
		var e float64
		if e, st = excess(mid); e < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return st, nil
}
