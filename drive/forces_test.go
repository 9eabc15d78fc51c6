package drive

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// slackSide is a run whose sprung arm sits on the slack side, right after the
// crank, as arms usually do.
func slackSide() Run {
	return Run{
		Pulleys: []Pulley{
			{Name: "crank", Centre: Point{0, 0}, DiameterMM: 160, Driver: true},
			{Name: "tensioner", Centre: Point{-130, 120}, DiameterMM: 80, Measured: Plain, Side: BackSide},
			{Name: "alternator", Centre: Point{-230, 260}, DiameterMM: 56, Load: Load{Kind: PowerLoad, Value: 1500},
				Alternator: true},
			{Name: "pump", Centre: Point{0, 300}, DiameterMM: 130, Load: Load{Kind: TorqueLoad, Value: 4}},
			{Name: "compressor", Centre: Point{240, 150}, DiameterMM: 120, Load: Load{Kind: TorqueLoad, Value: 9}},
		},
		Belt: Belt{Section: PK(), Ribs: 6, KgPerM: 0.12},
		Tensioner: Tensioner{Kind: SpringArm, Pulley: "tensioner", Pivot: Point{-172, 188},
			Low: -25, High: 25, Spring: 22},
		DriverTurns: Clockwise,
	}
}

func mustForces(t testing.TB, d *Drive, rpm, factor float64) Forces {
	t.Helper()
	f, err := d.ForcesAt(rpm, factor)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestForcesHoldTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDrive(t)
		rpm := rapid.Float64Range(300, 7000).Draw(t, "rpm")
		f, err := d.Forces(rpm)
		if err != nil {
			t.Skip(err)
		}
		n, power := len(f.Pulleys), 0.0
		for i, p := range f.Pulleys {
			near(t, "step of tension", p.OutN-p.InN, 1000*p.TorqueNm/d.pitch[i], 1e-6*math.Max(1, math.Abs(p.OutN)))
			if p.TorqueNm > 0 && p.InN > p.OutN+1e-9*math.Max(1, math.Abs(p.OutN)) {
				t.Fatalf("slack side above the tight side on the driven %s: %g, %g", p.Name, p.InN, p.OutN)
			}
			near(t, "hub load", p.HubN*p.HubN,
				math.Pow(HubLoadN(p.InN, p.OutN, solve(posed(d, f.Position)...).WrapRad[i]), 2),
				1e-5*math.Max(1, p.HubN*p.HubN))
			near(t, "span meets pulley", f.Spans[i].ContactN, p.OutN, 0)
			near(t, "span meets next", f.Spans[i].ContactN, f.Pulleys[(i+1)%n].InN, 0)
			near(t, "centrifugal part", f.Spans[i].TensionN-f.Spans[i].ContactN, f.CentrifugalN,
				1e-9*math.Max(1, math.Abs(f.Spans[i].TensionN)))
			power += p.PowerW
		}
		near(t, "power", power, 0, 1e-6*math.Max(1, f.PowerW))
		near(t, "driver power", f.PowerW, -f.Pulleys[d.driver].PowerW, 1e-9*math.Max(1, f.PowerW))
	})
}

// posed is the circles with the tensioner at a position.
func posed(d *Drive, position float64) []Circle {
	ps := d.newPose()
	d.move(ps, position*d.mv.unit)
	return ps.cs
}

// The spring arm is in balance when the moments of the belt's pulls, taken at
// the tangent points, and the spring's add to nothing: another way round than
// the virtual work the code uses.
func TestSpringArmIsInBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := slackSide()
		r.Tensioner.Rate = rapid.Float64Range(0, 0.3).Draw(t, "rate")
		r.Pulleys[1].Load = Load{Kind: TorqueLoad, Value: rapid.Float64Range(0, 1).Draw(t, "drag")}
		r.Belt.StiffnessN = rapid.SampledFrom([]float64{0, 60_000, 200_000}).Draw(t, "stiffness")
		d, err := New(r)
		if err != nil {
			t.Fatal(err)
		}
		f, err := d.Forces(rapid.Float64Range(700, 6500).Draw(t, "rpm"))
		if err != nil {
			t.Fatal(err)
		}
		cs := posed(d, f.Position)
		pitch := append([]Circle(nil), cs...)
		for i := range pitch {
			pitch[i].R = d.pitch[i]
		}
		p := solve(pitch...)
		in, out := p.Spans[0], p.Spans[1]
		cross := func(at Point, dir Point, n float64) float64 {
			return (at.X-r.Tensioner.Pivot.X)*dir.Y*n - (at.Y-r.Tensioner.Pivot.Y)*dir.X*n
		}
		belt := cross(in.To, in.Dir, -f.Spans[0].ContactN) + cross(out.From, out.Dir, f.Spans[1].ContactN)
		spring := 1000 * d.spring(f.Position*d.mv.unit) * d.sweep.sense
		near(t, "moment about the pivot", belt+spring, 0, 1e-6*math.Abs(spring))
	})
}

func TestSprungRunKeepsContactTensionAndFixedCentresLoseIt(t *testing.T) {
	sprung := mustNew(t, slackSide())
	slow, fast := mustForces(t, sprung, 800, 0), mustForces(t, sprung, 6000, 0)
	fixed := slackSide()
	fixed.Tensioner = Tensioner{SetN: 300}
	still, spun := mustForces(t, mustNew(t, fixed), 0, 0), mustForces(t, mustNew(t, fixed), 6000, 0)
	checkRows(t, []row{
		{"sprung", "contact", fast.Spans[2].ContactN, slow.Spans[2].ContactN, 1e-9,
			"the arm feels contact tension only"},
		{"fixed", "as set", still.Spans[2].ContactN, 300, 1e-9, "set tension"},
		{"fixed", "cord", spun.Spans[2].TensionN, 300, 1e-9, "fixed centres keep the cord's stretch"},
		{"fixed", "contact", spun.Spans[2].ContactN, 300 - spun.CentrifugalN, 1e-9, "m v^2 comes off"},
		{"tone", "at rest", fast.Spans[2].StillHz,
			SpanHz(slow.Spans[2].ContactN, 0.12, fast.Spans[2].LengthMM), 1e-9, "string"},
	})
	if !(fast.Spans[2].Hz < fast.Spans[2].StillHz) {
		t.Error("a travelling span should sound lower than one at rest")
	}
}

func TestFixedCentresKeepTheMeanTension(t *testing.T) {
	r := slackSide()
	r.Tensioner = Tensioner{SetN: 450}
	d := mustNew(t, r)
	f := mustForces(t, d, 3000, 1)
	p := solve(d.cs...)
	sum, length := 0.0, 0.0
	for i, s := range f.Spans {
		w := d.share(&p, i)
		sum += s.TensionN * w
		length += w
	}
	checkRows(t, []row{
		{"fixed", "mean tension", sum / length, 450, 1e-9, "stretch is conserved"},
		{"fixed", "belt along the cord", length, d.Drawn().PitchMM, 1e-9, "pitch length"},
	})
}

func TestStretchBeltTensionFollowsItsStretch(t *testing.T) {
	r := slackSide()
	r.Tensioner = Tensioner{}
	r.Belt.Stretch, r.Belt.StiffnessN = true, 20_000
	r.Belt.LengthMM = mustNew(t, r).Drawn().EffectiveMM - 25
	d := mustNew(t, r)
	f := mustForces(t, d, 0, 0)
	pitch := d.Drawn().PitchMM
	checkRows(t, []row{{"stretch", "tension", f.Spans[0].TensionN, 20_000 * 25 / (pitch - 25), 1e-9, "Hooke"}})
	if _, err := d.Fit(1500); reason(err) != StretchBelt {
		t.Errorf("length check of a stretch belt: %v", err)
	}
	if _, err := d.Lengths(); reason(err) != StretchBelt {
		t.Errorf("lengths of a stretch belt: %v", err)
	}
}

func TestStiffBeltMovesTheArmLittle(t *testing.T) {
	r := slackSide()
	at := func(stiff float64) float64 {
		r.Belt.StiffnessN = stiff
		return mustForces(t, mustNew(t, r), 3000, 1).Position
	}
	rigid, stiff, soft := at(0), at(1e9), at(60_000)
	if math.Abs(rigid-stiff) > 1e-3 || math.Abs(soft) < math.Abs(stiff) || math.Abs(soft) < 0.1 {
		t.Errorf("arm moved %g with a rigid belt, %g with a stiff one, %g with a soft one", rigid, stiff, soft)
	}
}

// A flat belt over two pulleys set to a tension slips when the load makes
// (T1-Tc)/(T2-Tc) the capstan ratio of the smaller wrap: closed form.
func TestFirstSlipMatchesTheClosedForm(t *testing.T) {
	const set, mu, rpm = 400.0, 0.35, 1500.0
	r := Run{
		Pulleys: []Pulley{
			{Name: "motor", Centre: Point{0, 0}, DiameterMM: 200, Driver: true},
			{Name: "fan", Centre: Point{500, 0}, DiameterMM: 100, Load: Load{Kind: TorqueLoad, Value: 2}},
		},
		Belt:      Belt{Section: FlatSection(2), Ribs: 40, KgPerM: 0.1},
		Tensioner: Tensioner{SetN: set},
		Friction:  Friction{Mu: mu},
	}
	d := mustNew(t, r)
	got, err := d.FirstSlip(rpm)
	if err != nil {
		t.Fatal(err)
	}
	p := solve(d.cs...)
	grip := CapstanRatio(mu, p.WrapRad[1])
	tc := CentrifugalN(0.1, BeltSpeedMS(2*d.pitch[0], rpm))
	w0, w1 := d.share(&p, 0)/d.Drawn().PitchMM, d.share(&p, 1)/d.Drawn().PitchMM
	// Tight T1 and slack T2 with w T1 + w' T2 = set - tc and T1 = grip T2.
	slack := (set - tc) / (math.Max(w0, w1)*1 + math.Min(w0, w1)*1 + (grip-1)*w1)
	if math.Abs(w0-w1) > 1e-12 {
		t.Fatalf("both halves should weigh the same: %g, %g", w0, w1)
	}
	torque := slack * (grip - 1) * d.pitch[1] / 1000
	checkRows(t, []row{{"slip", "load factor", got.LoadFactor, torque / 2, 1e-6, "capstan with centrifugal tension"}})
	if got.Pulley != "fan" {
		t.Errorf("the %s slips first, not the fan with the smaller wrap", got.Pulley)
	}
	at := mustForces(t, d, rpm, got.LoadFactor)
	below := mustForces(t, d, rpm, got.LoadFactor*0.999)
	if !at.Pulleys[1].Slips || below.Pulleys[1].Slips || below.Pulleys[0].Slips {
		t.Error("the slip point is not where slipping starts")
	}
}

func TestSlipSpeedFindsWhereGripRunsOut(t *testing.T) {
	r := slackSide()
	r.Friction.Mu = 0.2
	r.Tensioner.Spring = 13
	r.Pulleys[2].Load = Load{Kind: TorqueLoad, Table: []LoadPoint{{0, 0}, {20000, 18}}}
	d := mustNew(t, r)
	got, err := d.SlipSpeed(700, 6500)
	if err != nil {
		t.Fatal(err)
	}
	if got.Never || got.Pulley == "" {
		t.Fatalf("no slip found: %+v", got)
	}
	after, before := mustForces(t, d, got.DriverRPM, 1), mustForces(t, d, got.DriverRPM-1, 1)
	slips := func(f Forces) bool {
		for _, p := range f.Pulleys {
			if p.Slips {
				return true
			}
		}
		return false
	}
	if !slips(after) || slips(before) {
		t.Errorf("slip at %g rpm is not a threshold", got.DriverRPM)
	}
	r.Friction.Mu = 1.5
	if calm, _ := mustNew(t, r).SlipSpeed(700, 800); !calm.Never {
		t.Errorf("a grippy belt should hold: %+v", calm)
	}
}

func TestBackSideHasNoWedge(t *testing.T) {
	r := slackSide()
	r.Pulleys[1].Load = Load{Kind: TorqueLoad, Value: 2}
	d := mustNew(t, r)
	f := mustForces(t, d, 1500, 1)
	l := d.Drawn()
	for _, i := range [...]int{1, 3} {
		p := f.Pulleys[i]
		ratio := math.Max(p.InN, p.OutN) / math.Min(p.InN, p.OutN)
		mu := FrictionFor(ratio, rad(l.Pulleys[i].WrapDeg))
		want := mu
		if i == 3 {
			want = mu / WedgeFactor(40)
		}
		checkRows(t, []row{{"wedge", p.Name, p.MuNeeded, want, 1e-9, "belts.md section 2: back-side pulleys use mu"}})
	}
}

func TestBearingLifeRidesOnHubLoad(t *testing.T) {
	r := slackSide()
	r.Pulleys[1].Bearing = &Bearing{DynamicN: 9550, Elements: 8, ElementMM: 6.746, PitchMM: 28.5, OuterTurns: true}
	f := mustForces(t, mustNew(t, r), 2000, 1)
	p := f.Pulleys[1]
	if p.Life == nil || p.Tones == nil {
		t.Fatal("no life or no tones")
	}
	want, _ := L10(9550, p.HubN, p.RPM, false)
	if *p.Life != want {
		t.Errorf("life %+v, want %+v", *p.Life, want)
	}
	checkRows(t, []row{{"BR", "outer ring rate", p.Tones.OuterHz, 3.053 * p.RPM / 60, 0.002 * p.RPM / 60,
		"published 3.0530 C1 [S]"}})
}

func TestUnknownTensionIsSaid(t *testing.T) {
	r := reference()
	r.Tensioner.Spring = 0
	if _, err := mustNew(t, r).Installed(); reason(err) != NoTension {
		t.Errorf("no spring figure: %v", err)
	}
	r.Tensioner = Tensioner{}
	if _, err := mustNew(t, r).Installed(); reason(err) != NoTension {
		t.Errorf("no set tension: %v", err)
	}
}
