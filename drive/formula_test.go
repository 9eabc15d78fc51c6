package drive

import (
	"math"
	"testing"
)

func TestTwoPulleyRows(t *testing.T) {
	g7, _ := OpenBelt(18*25.4, 6*25.4, 96*25.4)
	g8, _ := CrossedBelt(450, 200, 1950)
	g9, _ := OpenBelt(450, 200, 1950)
	path := solve(Circle{R: 225, Turn: 1}, Circle{X: 1950, R: 100, Turn: -1})
	checkRows(t, []row{
		{"G6", "apex over balls, 40 deg", GrooveApexMM(3.56, 2.5, 40), -0.028, 1e-3, "A1 [S2], re-derived [C]"},
		{"G6", "apex over balls, 37 deg", GrooveApexMM(3.56, 2.5, 37), 0.261, 1e-3, "A1 [S2], re-derived [C]"},
		{"G7", "small wrap", g7.SmallRad, 3.016511, 5e-4, "B1 [S], Shigley ch. 17"},
		{"G7", "large wrap", g7.LargeRad, 3.266674, 5e-4, "B1 [S]"},
		{"G7", "length, in", g7.LengthMM / 25.4, 230.074, 5e-4, "B1 [S]; 230.07423 [C]"},
		{"G8", "length", g8.LengthMM, 4975.3107, 1e-3, "inputs B3 [S], value [C]"},
		{"G8", "approximate length", g8.RoughMM, 4975.1843, 1e-3, "[C] handbook approximation"},
		{"G8", "wrap", g8.LargeRad, 3.476489, 1e-5, "[C]"},
		{"G8", "length by signed formula", path.LengthMM, 4975.3107, 1e-3, "[C]"},
		{"G8", "wrap by signed formula, deg", deg(path.WrapRad[0]), 199.188, 1e-3, "[C]"},
		{"G9", "length", g9.LengthMM, 4929.0332, 1e-3, "[C]"},
		{"G9", "approximate length", g9.RoughMM, 4929.0304, 1e-3, "[C] handbook approximation"},
		{"G9", "small wrap, deg", deg(g9.SmallRad), 172.6493, 1e-3, "[C]"},
	})
}

func TestForceRows(t *testing.T) {
	v1 := BeltSpeedMS(450, 200)
	t2 := SlackTension(1000, 0, 0.25, 3.476489)
	grip2 := CapstanRatio(0.80, 3.037)
	f2t, f2s, f2i := InitialTension(664, 73.4, grip2)
	f3t, f3s, f3i := InitialTension(225.8, 3.498*math.Pow(2722.7/1000, 2), 5)
	mu4 := 0.2 * WedgeFactor(36)
	ratio4 := (257.1 - 3.57) / (42.9 - 3.57)
	tc5 := CentrifugalN(0.11, 4.52)
	v9 := BeltSpeedMS(160, 2000)
	tc9 := CentrifugalN(0.12, v9)
	mu9, wrap9 := 0.3*WedgeFactor(40), rad(150)
	t9 := SlackTension(600, tc9, mu9, wrap9)
	checkRows(t, []row{
		{"F1", "belt speed", v1, 4.712389, 5e-3, "formulas and inputs B3 [S], values [C]"},
		{"F1", "slack tension", t2, 419.32, 0.42, "same"},
		{"F1", "power", PowerW(1000, t2, v1), 2736.4, 2.7, "same"},
		{"F2", "grip", grip2, 11.35, 0.023, "B1 [S], Shigley prob. 17-1"},
		{"F2", "F1", f2t, 801.53, 1.6, "B1 prints 802; recomputed [C]"},
		{"F2", "F2", f2s, 137.53, 0.28, "B1 prints 138; recomputed [C]"},
		{"F2", "Fi", f2i, 396.13, 0.8, "B1 prints 396.6; recomputed [C]"},
		{"F2", "friction back", FrictionFor((f2t-73.4)/(f2s-73.4), 3.037), 0.80, 1.6e-3, "B1 [S]"},
		{"F3", "Fc", 3.498 * math.Pow(2722.7/1000, 2), 25.9, 0.1, "B1 [S], prob. 17-19"},
		{"F3", "Fi", f3i, 169.3, 0.1, "B1 [S]"},
		{"F3", "F1", f3t, 308.1, 0.1, "B1 [S]"},
		{"F3", "F2", f3s, 82.3, 0.1, "B1 [S]"},
		{"F4", "effective friction", mu4, 0.647, 6.5e-4, "B4 [S], Hamrock 19.14"},
		{"F4", "ratio", ratio4, 6.446, 6.5e-3, "B4 [S]"},
		{"F4", "wrap", FrictionFor(ratio4, 1) / mu4, 2.880, 2.9e-3, "B4 [S]"},
		{"F4", "power, hp", PowerW(257.1, 42.9, 339) / 6600, 11.0, 0.011, "B4 [S]; 11.002 [C]"},
		{"F5", "mass", 970 * 0.010 * 0.011, 0.107, 5e-4, "paper text [S]"},
		{"F5", "Tc", tc5, 2.25, 0.0113, "paper text [S]"},
		{"F5", "T1", 3 * tc5, 6.75, 0.034, "paper text [S]"},
		{"F5", "T2", SlackTension(3*tc5, tc5, 0.12, 2.543), 5.56, 0.028, "paper text [S]; 5.567 [C]"},
		{"F8", "V ratio", CapstanRatio(0.3*WedgeFactor(40), math.Pi), 15.7308, 1e-3, "[C]"},
		{"F8", "flat ratio", CapstanRatio(0.3, math.Pi), 2.5663, 1e-3, "[C]"},
		{"F9", "belt speed", v9, 16.7552, 0.1, "[C]"},
		{"F9", "Tc", tc9, 33.688, 0.1, "[C]"},
		{"F9", "T2", t9, 90.674, 0.1, "[C]"},
		{"F9", "power", PowerW(600, t9, v9), 8533.8, 0.1, "[C]"},
		{"F10", "Tc at 20 m/s", CentrifugalN(0.12, 20), 48, 1e-12, "[C] exact"},
		{"F10", "Tc at 30 m/s", CentrifugalN(0.12, 30), 108, 1e-12, "[C] exact"},
		{"F10", "Tc at 50 m/s", CentrifugalN(0.12, 50), 300, 1e-12, "[C] exact"},
		{"AC4", "rpm at 50 m/s on 160 mm", RPMAtBeltSpeed(160, 50), 5968.3, 0.1, "[C]; limit A3 [S2]"},
		{"K7", "guide tension, N per kW", GuideTensionN(1000), 59.6516, 0.35, "A3 [S2]: 10 lbf per hp, rounded to 60"},
		{"PK", "wedge factor", WedgeFactor(40), 2.9238, 1e-4, "[C] 1/sin 20"},
	})
}

func TestSpeedRows(t *testing.T) {
	n1 := SpeedWithSlip(150, 750, 450, 0)
	s1 := SpeedWithSlip(150, 750, 450, 0.02)
	const tight, slack, e = 1.4e6, 0.5e6, 100e6
	roots := 200 * 1 / 2.25 * (e + math.Sqrt(slack)) / (e + math.Sqrt(tight))
	checkRows(t, []row{
		{"F6", "no slip", SpeedWithSlip(n1, 900, 150, 0), 1500, 0.1, "B2 ex. 11.1 [S]"},
		{"F6", "2 % each", SpeedWithSlip(s1, 900, 150, 0.02), 1440.6, 0.1, "B2 ex. 11.1 [S] prints 1440"},
		{"F7", "no creep", SpeedWithSlip(200, 1, 2.25, 0), 88.889, 5e-4, "B2 ex. 11.2 [S]"},
		{"F7", "creep", SpeedWithCreep(200, 1, 2.25, tight, slack, e), 88.0999, 5e-5, "physical form [C]"},
		{"F7", "creep, printed form", roots, 88.8885, 5e-5, "B2 ex. 11.2 [S]; dimensionally odd, not used"},
		{"F7", "loss in the printed form", n88() - roots, 0.00042, 1e-5, "[C] unrounded"},
		{"AC1", "6000 rpm on effective", SpeedWithSlip(6000, 160, 56, 0), 17142.9, 0.1, "[C]"},
		{"AC1", "6500 rpm on effective", SpeedWithSlip(6500, 160, 56, 0), 18571.4, 0.1, "[C]"},
		{"AC3", "870 rpm at 2.1", SpeedWithSlip(870, 2.1, 1, 0), 1827, 1e-9, "web page [S]"},
	})
	d := mustNew(t, reference())
	at6000, _ := d.Speeds(6000)
	at6500, _ := d.Speeds(6500)
	flat := reference()
	flat.Belt.Section.LineMM = 0
	zero, _ := mustNew(t, flat).Speeds(6000)
	checkRows(t, []row{
		{"AC2", "6000 rpm on pitch", at6000.Pulleys[2].RPM, 16400.0, 0.1, "[C]"},
		{"AC2", "6500 rpm on pitch", at6500.Pulleys[2].RPM, 17766.7, 0.1, "[C]"},
		{"AC1", "6000 rpm, b_e 0", zero.Pulleys[2].RPM, 17142.9, 0.1, "[C]"},
		{"G4", "ratio, b_e 0", zero.Pulleys[2].Ratio, 2.857143, 1e-6, "[C]"},
		{"G4", "ratio, b_e 1.6", at6000.Pulleys[2].OtherRPM / 6000, 163.2 / 59.2, 1e-9,
			"d_p = d_e + 2 b_e, b_e from memory"},
	})
}

func n88() float64 { return 200 / 2.25 }

func TestVibrationRows(t *testing.T) {
	read := func(hz, mm, kg float64) float64 {
		r, err := TensionFromHz(SpanReading{Hz: hz, SpanMM: mm, KgPerM: kg})
		if err != nil {
			t.Fatal(err)
		}
		return r.TensionN
	}
	r, _ := TensionFromHz(SpanReading{Hz: 100, SpanMM: 250, KgPerM: 0.12, HzError: 1, SpanError: 2.5,
		MassError: 0.0012, ThickMM: 4.5})
	v5 := read(SpanHz(629, 0.12, 200)/2, 200, 0.12)
	checkRows(t, []row{
		{"V1", "tone", SpanHz(629, 0.12, 200), 180.998, 0.01, "[C]"},
		{"V1", "back", read(180.998, 200, 0.12), 629.0, 0.01, "[C]"},
		{"V2", "tone", SpanHz(300, 0.105, 250), 106.904, 0.01, "[C]"},
		{"V3", "tension", read(100, 250, 6*0.0207), 310.5, 0.01, "[C]"},
		{"V4", "tone", SpanHz(1200, 40, 1500), 1.8257, 1e-3, "web example [S]; its M is kg/m"},
		{"V5", "half the tone", v5, 629.0 / 4, 1e-9, "[C] exact"},
		{"V6", "260 mm", SpanHz(300, 0.12, 260), 96.154, 0.05, "[C]"},
		{"V6", "131.976 mm", SpanHz(300, 0.12, 131.976), 189.43, 0.05, "[C]"},
		{"V", "error share", r.ErrorN / r.TensionN, 0.05, 1e-12, "dT/T = 2 df/f + 2 dL/L + dm/m"},
		{"V", "quarter if second mode", r.IfOctaveN, r.TensionN / 4, 1e-12, "T goes as f squared"},
		{"V", "four times if half tone", r.IfHalfN, 4 * r.TensionN, 1e-12, "T goes as f squared"},
		{"V", "moving tone", MovingSpanHz(300, 0.12, 260, 25) / SpanHz(300, 0.12, 260), 0.75, 1e-12,
			"1 - v^2/c^2, c = 50 m/s; from memory"},
	})
	if !mustReading(t, 80).ShortSpan || mustReading(t, 95).ShortSpan {
		t.Error("a span under 20 thicknesses should be called short, one above not")
	}
}

func mustReading(t *testing.T, span float64) SpanTension {
	t.Helper()
	r, err := TensionFromHz(SpanReading{Hz: 100, SpanMM: span, KgPerM: 0.12, ThickMM: 4.5})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestAlignmentRows(t *testing.T) {
	checkRows(t, []row{
		{"M1", "0.58 per 100", AngleDeg(0.58, 100), 0.33231, 1e-4, "A3 [S2], [C]"},
		{"M2", "1/3 degree", OffsetMM(1.0/3, 100), 0.58178, 1e-4, "[C]"},
		{"M2", "0.33 degrees", OffsetMM(0.33, 100), 0.57597, 1e-4, "A5 [S], [C]"},
		{"M3", "0.5 degrees", OffsetMM(0.5, 100), 0.87269, 1e-4, "[C]; a table prints 0.87 [S]"},
		{"M3", "0.25 degrees", OffsetMM(0.25, 100), 0.43634, 1e-4, "[C]"},
		{"M4", "1/16 in per ft", AngleDeg(1.0/16, 12), 0.29841, 1e-4, "[C]"},
		{"M4", "1/10 in per ft", AngleDeg(0.1, 12), 0.47745, 1e-4, "[C]"},
		{"M5", "1.5 mm over 180", AngleDeg(1.5, 180), 0.47745, 1e-4, "[C]"},
	})
}

func TestWearRows(t *testing.T) {
	var m RibModel
	d := mustNew(t, reference())
	ps := d.newPose()
	d.move(ps, 0)
	w, err := d.WearMoves(0.1, 0)
	if err != nil {
		t.Fatal(err)
	}
	checkRows(t, []row{
		{"R1", "sink", SinkMM(0.1, 40), 0.29238, 1e-5, "[C]"},
		{"R2", "wrap on ribs", d.ribWrap(ps.path), 8.670660, 1e-6, "[C]"},
		{"R2", "slack", w.SlackMM, 2.53513, 1e-4, "[C]"},
		{"R3", "5 %", SinkMM(m.FlankMM(0.05, 40), 40), 0.12226, 1e-4, "[C] model rib"},
		{"R3", "10 %", SinkMM(m.FlankMM(0.10, 40), 40), 0.24453, 1e-4, "[C] model rib"},
		{"R3", "share back", m.Share(m.FlankMM(0.07, 40), 40), 0.07, 1e-12, "inverse"},
		{"R2", "arm", w.Moved, 2.53513 / 1.553946, 0.03, "slack over T1 rate, first order"},
	})
}

func TestTensionerRows(t *testing.T) {
	d := mustNew(t, reference())
	fit := func(mm float64) Fit {
		f, err := d.Fit(mm)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	drawn := d.Drawn().EffectiveMM
	f0, f5 := fit(drawn), fit(1683.3014)
	at := func(p float64) float64 {
		l, err := d.LayoutAt(p)
		if err != nil {
			t.Fatal(err)
		}
		return l.EffectiveMM
	}
	in, err := d.Installed()
	if err != nil {
		t.Fatal(err)
	}
	checkRows(t, []row{
		{"T1", "arm", d.mv.arm, 75, 1e-9, "[C]"},
		{"T1", "direction", f0.ArmDeg, -143.1301, 1e-4, "[C]"},
		{"T1", "rate, mm/deg", f0.RateMM, 1.553946, 1e-4, "[C] numeric and virtual work"},
		{"T1", "rate, mm/rad", deg(f0.RateMM), 89.03455, 1e-4, "[C] numeric and virtual work"},
		{"T2", "+5", at(5), 1685.8459, 1e-3, "[C]"},
		{"T2", "-5", at(-5), 1670.3116, 1e-3, "[C]"},
		{"T2", "+15", at(15), 1699.5423, 1e-3, "[C]"},
		{"T2", "-15", at(-15), 1653.0644, 1e-3, "[C]"},
		{"T3", "5 mm longer", f5.Position, 3.27976, 1e-3, "[C]"},
		{"T4", "tension for that moment", f0.Tension, 300, 1e-2, "[C] inverse of T4"},
		{"T4", "hub force", in.Pulleys[3].HubN, 557.851, 1e-2, "[C]"},
		{"T4", "hub force, closed form", HubLoadN(300, 300, rad(d.Drawn().Pulleys[3].WrapDeg)), 557.851, 1e-2, "[C]"},
		{"T4", "moment", 300 * deg(f0.RateMM) / 1000, 26.7104, 1e-4, "[C]"},
		{"T5", "shortest belt, in", FittingLengthMM(60*25.4, 0.4*25.4, 0.05*25.4) / 25.4, 61.664, 1e-3, "A3 [S2], [C]"},
	})
}
