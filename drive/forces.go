package drive

import (
	"math"
)

// Cap is what a ratio that would be infinite is reported as.
const Cap = 99

// SpanForce is one span in a steady state.
type SpanForce struct {
	From, To string
	LengthMM float64
	TensionN float64 // in the cord, the centrifugal part included
	ContactN float64 // what presses on pulleys: TensionN less the centrifugal part
	StillHz  float64 // lowest tone at rest
	Hz       float64 // lowest tone in this state
	Slack    bool    // no contact tension left
}

// PulleyForce is one pulley in a steady state.
type PulleyForce struct {
	Name     string
	RPM      float64
	TorqueNm float64 // taken from the belt; negative where the pulley drives it
	PowerW   float64
	InN      float64 // contact tension arriving
	OutN     float64 // contact tension leaving
	Used     float64 // share of the grip in use; 1 slips; at most Cap
	Margin   float64 // friction there is over friction needed; at most Cap
	MuNeeded float64 // friction coefficient needed not to slip; at most Cap
	Slips    bool
	HubN     float64 // pull on the shaft
	HubDeg   float64 // its direction, degrees anticlockwise from the x axis
	Life     *BearingLife
	Tones    *BearingTones
}

// Forces is the run in a steady state.
type Forces struct {
	DriverRPM    float64
	LoadFactor   float64
	BeltMS       float64
	CentrifugalN float64
	KgPerM       float64
	Weighed      bool    // false: KgPerM is an estimate from memory
	Mu           float64 // coefficient the margins are judged with
	Position     float64 // of the tensioner
	PowerW       float64 // given by the driver
	Spans        []SpanForce
	Pulleys      []PulleyForce
	Weakest      string // pulley that uses most of its grip; empty when none is loaded
	Slack        bool   // a span has lost its tension
}

// Installed is the run standing still: every span at its installed tension.
func (d *Drive) Installed() (Forces, error) { return d.ForcesAt(0, 0) }

// Forces is the run at a driver speed in rpm with its loads as given.
func (d *Drive) Forces(driverRPM float64) (Forces, error) { return d.ForcesAt(driverRPM, 1) }

// ForcesAt is the run at a driver speed with all loads multiplied by
// loadFactor. Standing still no load is taken.
//
// The tension steps up by torque over pitch radius from the span entering a
// driven pulley to the span leaving it; the level comes from the balance of the
// spring arm or slider, or on fixed centres from the mean tension as set.
// Grip is judged by (T1-Tc)/(T2-Tc) against exp(mu wrap), mu divided by
// sin(groove/2) where the ribs sit in grooves and plain on the back. Arm
// friction, damping, bending and pulley inertia are left out: this is a steady
// state, and a jerk can slip a belt that this calls safe.
func (d *Drive) ForcesAt(driverRPM, loadFactor float64) (Forces, error) {
	if !within(driverRPM, 0, 1e6) || !within(loadFactor, 0, 1e6) {
		return Forces{}, badInput("speed and load factor", figure("speed", driverRPM, "rpm"),
			figure("factor", loadFactor, ""))
	}
	ps := d.newPose()
	st, err := d.steady(ps, driverRPM, loadFactor)
	if err != nil {
		return Forces{}, err
	}
	still := st
	if driverRPM > 0 {
		if still, err = d.steady(d.newPose(), 0, 0); err != nil {
			return Forces{}, err
		}
	}
	d.move(ps, st.q)
	return d.report(ps, &st, &still, driverRPM, loadFactor), nil
}

func (d *Drive) report(ps *pose, st, still *state, rpm, factor float64) Forces {
	n := len(d.cs)
	_, weighed := d.run.Belt.MassKgPerM()
	f := Forces{
		DriverRPM: rpm, LoadFactor: factor, BeltMS: st.beltMS, CentrifugalN: st.tc, KgPerM: d.kgPerM, Weighed: weighed,
		Mu: d.run.Friction.mu(), Position: st.q / d.mv.unit,
		PowerW: -st.torque[d.driver] * d.rpm(d.driver, rpm) * math.Pi / 30,
		Spans:  make([]SpanForce, n), Pulleys: make([]PulleyForce, n),
	}
	most := 0.0
	for i := range n {
		f.Spans[i] = d.spanForce(ps, st, still, i)
		f.Slack = f.Slack || f.Spans[i].Slack
		f.Pulleys[i] = d.pulleyForce(ps, st, i, rpm)
		if u := f.Pulleys[i].Used; u > most {
			most, f.Weakest = u, f.Pulleys[i].Name
		}
	}
	return f
}

func (d *Drive) rpm(i int, driverRPM float64) float64 {
	return driverRPM * d.pitch[d.driver] / d.pitch[i]
}

func (d *Drive) spanForce(ps *pose, st, still *state, i int) SpanForce {
	s := SpanForce{
		From: d.run.Pulleys[i].Name, To: d.run.Pulleys[(i+1)%len(d.cs)].Name,
		LengthMM: ps.path.Spans[i].LengthMM, ContactN: st.contact[i], TensionN: st.contact[i] + st.tc,
	}
	s.Slack = !(s.ContactN > 0)
	if d.kgPerM > 0 {
		s.StillHz = SpanHz(still.contact[i]+still.tc, d.kgPerM, s.LengthMM)
		s.Hz = MovingSpanHz(s.TensionN, d.kgPerM, s.LengthMM, st.beltMS)
	}
	return s
}

func (d *Drive) pulleyForce(ps *pose, st *state, i int, driverRPM float64) PulleyForce {
	in, out := st.contact[(i+len(d.cs)-1)%len(d.cs)], st.contact[i]
	rpm := d.rpm(i, driverRPM)
	p := PulleyForce{
		Name: d.run.Pulleys[i].Name, RPM: rpm, TorqueNm: st.torque[i], PowerW: st.torque[i] * rpm * math.Pi / 30,
		InN: in, OutN: out,
	}
	g := d.grip(ps.path, st, i)
	p.Used, p.MuNeeded = g.used, g.needed
	p.Margin = Cap
	if p.MuNeeded > 0 {
		p.Margin = math.Min(Cap, d.run.Friction.mu()/p.MuNeeded)
	}
	p.Slips = p.Used >= 1
	u, w := ps.path.in(i).Dir, ps.path.Spans[i].Dir
	hx, hy := out*w.X-in*u.X, out*w.Y-in*u.Y
	p.HubN, p.HubDeg = math.Hypot(hx, hy), deg(math.Atan2(hy, hx))
	d.bearingForce(&p, d.run.Pulleys[i].Bearing)
	return p
}

func (d *Drive) bearingForce(p *PulleyForce, b *Bearing) {
	if b == nil || p.RPM == 0 {
		return
	}
	share := b.Share
	if share == 0 {
		share = 1
	}
	if life, err := L10(b.DynamicN, p.HubN*share, p.RPM, b.Roller); err == nil {
		p.Life = &life
	}
	if tones, err := b.Tones(p.RPM); err == nil {
		p.Tones = &tones
	}
}

type grip struct{ used, needed float64 }

// grip is how much of a pulley's friction is in use.
func (d *Drive) grip(p *Path, st *state, i int) grip {
	in, out := st.contact[(i+len(d.cs)-1)%len(d.cs)], st.contact[i]
	lo, hi := math.Min(in, out), math.Max(in, out)
	if hi-lo <= 1e-9*math.Abs(hi) && lo > 0 {
		return grip{}
	}
	if !(lo > 0) {
		return grip{Cap, Cap}
	}
	arm := p.WrapRad[i] * WedgeFactor(d.groove(i))
	if arm < 1e-9 {
		return grip{Cap, Cap}
	}
	needed := math.Log(hi/lo) / arm
	return grip{math.Min(Cap, needed/d.run.Friction.mu()), math.Min(Cap, needed)}
}
