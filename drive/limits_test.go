package drive

import (
	"math"
	"slices"
	"testing"
)

func TestSpeedsDirectionsAndWarnings(t *testing.T) {
	d := mustNew(t, reference())
	s, err := d.Speeds(6500)
	if err != nil {
		t.Fatal(err)
	}
	turns := []int{s.Pulleys[0].Turns, s.Pulleys[1].Turns, s.Pulleys[2].Turns, s.Pulleys[3].Turns, s.Pulleys[4].Turns}
	if !slices.Equal(turns, []int{1, 1, 1, -1, 1}) {
		t.Errorf("turning directions %v", turns)
	}
	checkRows(t, []row{
		{"speed", "belt", s.BeltMS, math.Pi * 0.164 * 6500 / 60, 1e-9, "pi d_p n"},
		{"speed", "belt pass", s.PassHz, s.BeltMS / 1.69086779, 1e-4, "belt speed over pitch length"},
		{"speed", "tensioner", s.Pulleys[3].RPM, 6500 * 164 / (70 + 2*1.2), 1e-6, "back: d + 2 H_b"},
	})
	if !warns(s.Warnings, "", FastBelt) {
		t.Errorf("55.8 m/s should warn: %+v", s.Warnings)
	}
	slow, _ := d.Speeds(700)
	if !warns(slow.Warnings, "alternator", SlowAlternator) || warns(slow.Warnings, "", FastBelt) {
		t.Errorf("idling: %+v", slow.Warnings)
	}
	fast, _ := d.Speeds(6600)
	if !warns(fast.Warnings, "alternator", FastAlternator) {
		t.Errorf("18 040 rpm should warn: %+v", fast.Warnings)
	}
	r := reference()
	r.Pulleys[1].MaxRPM = 8000
	lim, _ := mustNew(t, r).Speeds(6500)
	if !warns(lim.Warnings, "compressor", FastPulley) {
		t.Errorf("compressor at 8597 of 8000 rpm: %+v", lim.Warnings)
	}
}

func warns(ws []Warning, pulley string, kind WarningKind) bool {
	return slices.ContainsFunc(ws, func(w Warning) bool {
		return w.Pulley == pulley && w.Kind == kind && w.Source != ""
	})
}

func TestLayoutWarnsOfSmallPulleys(t *testing.T) {
	r := reference()
	r.Pulleys[2].DiameterMM = 44
	l := mustNew(t, r).Drawn()
	if !warns(l.Warnings, "alternator", SmallPulley) || !warns(l.Warnings, "tensioner", SmallBackPulley) {
		t.Errorf("44 mm under 45 (ISO 9981), 70 mm under 90 (SAE J1596): %+v", l.Warnings)
	}
	r.Pulleys[2].DiameterMM, r.Pulleys[3].DiameterMM = 45, 90
	if l := mustNew(t, r).Drawn(); len(l.Warnings) != 0 {
		t.Errorf("at the limits nothing should warn: %+v", l.Warnings)
	}
}

func TestAlignmentOfARun(t *testing.T) {
	r := reference()
	r.Pulleys[2].Axial.OffsetMM = 1.5
	d := mustNew(t, r)
	es, err := d.Alignment()
	if err != nil {
		t.Fatal(err)
	}
	l := d.Drawn()
	for _, e := range es {
		touches := e.Span[0] == "alternator" || e.Span[1] == "alternator"
		want := 0.0
		if touches {
			want = AngleDeg(1.5, e.SpanMM)
		}
		checkRows(t, []row{{"M5", e.Pulley, math.Abs(e.AngleDeg), want, 1e-9, "atan(e/S)"}})
		for _, lim := range e.Limits {
			if lim.Passed != (want <= lim.Deg) {
				t.Errorf("%s: %g degrees against %s: passed %v", e.Pulley, want, lim.Name, lim.Passed)
			}
			checkRows(t, []row{{"M", "allowed", lim.AllowedMM, e.SpanMM * math.Tan(rad(lim.Deg)), 1e-12,
				"S tan(limit)"}})
		}
	}
	if len(es) != 2*len(l.Spans) || len(es[0].Limits) != 3 {
		t.Errorf("%d entries, %d limits", len(es), len(es[0].Limits))
	}
	// 1.5 mm over 180 mm fails 0.33 degrees: check M5.
	if m5 := AngleDeg(1.5, 180); m5 <= 0.33 {
		t.Errorf("M5: %g passes", m5)
	}
}

// A run tilted as one body stays in line with itself.
func TestATiltedRunIsAlignedWithItself(t *testing.T) {
	r := reference()
	const tilt = 2.0
	for i := range r.Pulleys {
		p := &r.Pulleys[i]
		p.Axial = Axial{TiltXDeg: tilt, OffsetMM: p.Centre.Y * math.Tan(rad(tilt))}
	}
	es, err := mustNew(t, r).Alignment()
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range es {
		if math.Abs(e.AngleDeg) > 1e-9 {
			t.Errorf("%s: %g degrees", e.Pulley, e.AngleDeg)
		}
	}
}

// A tilt about the direction of travel does not turn the belt aside at entry; a
// tilt about the axis across it does, by itself.
func TestTiltCountsAlongTheSpan(t *testing.T) {
	r := Run{
		Pulleys: []Pulley{
			{Name: "a", Centre: Point{0, 0}, DiameterMM: 100, Driver: true},
			{Name: "b", Centre: Point{400, 0}, DiameterMM: 100},
		},
		Belt: Belt{Section: AV13(), Ribs: 1}, Tensioner: Tensioner{SetN: 300},
	}
	r.Pulleys[1].Axial.TiltYDeg = 1
	es, err := mustNew(t, r).Alignment()
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range es {
		want := 0.0
		if e.Pulley == "b" {
			want = 1
		}
		checkRows(t, []row{{"tilt", e.Pulley, math.Abs(e.AngleDeg), want, 1e-9, "plane geometry"}})
		if e.Pulley == "b" && (len(e.Limits) != 2 || e.Limits[0].Passed) {
			t.Errorf("1 degree should fail both V-belt limits: %+v", e.Limits)
		}
	}
}

func TestLoadTables(t *testing.T) {
	l := Load{Kind: PowerLoad, Table: []LoadPoint{{1000, 100}, {2000, 300}}}
	checkRows(t, []row{
		{"load", "between", l.TorqueNm(1500), 200 / (1500 * math.Pi / 30), 1e-12, "linear"},
		{"load", "below", l.TorqueNm(500), 100 / (500 * math.Pi / 30), 1e-12, "held"},
		{"load", "above", l.TorqueNm(4000), 300 / (4000 * math.Pi / 30), 1e-12, "held"},
		{"load", "standing", l.TorqueNm(0), 0, 0, "no power at rest"},
		{"load", "torque", Load{Kind: TorqueLoad, Value: 7}.TorqueNm(123), 7, 0, "constant"},
		{"load", "idle", Load{Value: 7}.TorqueNm(123), 0, 0, "idle takes nothing"},
	})
}

func TestMeasuredSlip(t *testing.T) {
	s, err := Slip(1000, 164, 2700, 60)
	if err != nil {
		t.Fatal(err)
	}
	checkRows(t, []row{{"slip", "share", s, 1 - 2700.0*60/(1000*164), 1e-12, "belts.md section 4"}})
	if _, err := Slip(0, 1, 1, 1); reason(err) != BadInput {
		t.Errorf("standing driver: %v", err)
	}
}
