package drive

import (
	"math"
	"testing"
)

// Sources of the check values, as named in the reference notes belts.md:
//
//	[S]  seen in a public text      [S2] seen second-hand
//	[C]  computed there by at least one separate method
//	A1 = summary of SAE J1459, A3 = summary of SAE J1596, A5 = SAE 1999-01-1709,
//	B1 = Shigley ch. 17 solutions, B2 = theory-of-machines companion notebook,
//	B3 = companion files of a crossed-belt example, B4 = Hamrock ch. 19 answers,
//	C1 = list of published bearing multipliers, C2 = bearing data set readme

// row is one check: what was computed, what a source says, within what.
type row struct {
	id, what  string
	got, want float64
	tol       float64
	source    string
}

func checkRows(t *testing.T, rows []row) {
	t.Helper()
	for _, r := range rows {
		if !(math.Abs(r.got-r.want) <= r.tol) {
			t.Errorf("%s %s: got %.8g, want %.8g within %g (%s)", r.id, r.what, r.got, r.want, r.tol, r.source)
		}
	}
}

// reference is the run of check G3: five pulleys, one on the back, which is also
// the tensioner of check T1.
func reference() Run {
	pk := PK()
	return Run{
		Pulleys: []Pulley{
			{Name: "crank", Centre: Point{0, 0}, DiameterMM: 160, Driver: true},
			{Name: "compressor", Centre: Point{260, -20}, DiameterMM: 120},
			{Name: "alternator", Centre: Point{250, 260}, DiameterMM: 56, Alternator: true},
			{Name: "tensioner", Centre: Point{120, 190}, DiameterMM: 70, Measured: Plain, Side: BackSide},
			{Name: "pump", Centre: Point{0, 300}, DiameterMM: 130},
		},
		Belt: Belt{Section: pk, Ribs: 6, KgPerM: 0.12},
		Tensioner: Tensioner{Kind: SpringArm, Pulley: "tensioner", Pivot: Point{180, 235},
			Low: -20, High: 20, Spring: 26.7104},
	}
}

func mustNew(t testing.TB, r Run) *Drive {
	t.Helper()
	d, err := New(r)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// solve lays circles that are known to be fine.
func solve(cs ...Circle) Path {
	var s Solver
	p, f := s.Solve(cs)
	if !f.OK() {
		panic(f)
	}
	return *p
}

func TestGeometryRows(t *testing.T) {
	h := 150 * math.Sqrt(3)
	g1 := solve(Circle{R: 50, Turn: 1}, Circle{X: 300, R: 50, Turn: 1}, Circle{X: 150, Y: h, R: 50, Turn: 1})
	g2 := solve(Circle{R: 80, Turn: 1}, Circle{X: 400, R: 30, Turn: 1}, Circle{Y: 300, R: 60, Turn: 1})
	rows := []row{
		{"G1", "length", g1.LengthMM, 1214.159265, 1e-6, "[C] closed form 900 + 100 pi"},
		{"G2", "length", g2.LengthMM, 1538.160571, 1e-5, "[C] two methods"},
	}
	for i := range 3 {
		rows = append(rows,
			row{"G1", "span", g1.Spans[i].LengthMM, 300, 1e-6, "[C] closed form"},
			row{"G1", "wrap", deg(g1.WrapRad[i]), 120, 1e-6, "[C] closed form"},
			row{"G2", "span", g2.Spans[i].LengthMM, [...]float64{396.862697, 499.099189, 299.332591}[i], 1e-5,
				"[C] two methods"},
			row{"G2", "wrap", deg(g2.WrapRad[i]), [...]float64{101.003310, 132.509534, 126.487157}[i], 1e-5,
				"[C] two methods"})
	}
	checkRows(t, rows)
}

func TestReferenceRunRows(t *testing.T) {
	d := mustNew(t, reference())
	l := d.Drawn()
	ps := d.newPose()
	d.move(ps, 0)
	sp, err := d.Speeds(1000)
	if err != nil {
		t.Fatal(err)
	}
	rows := []row{
		{"G3", "effective length", l.EffectiveMM, 1678.30142, 1e-4, "[C] two methods"},
		{"G3b", "pitch length", l.PitchMM, 1690.86779, 1e-4, "[C]"},
		{"G3b", "difference", l.PitchMM - l.EffectiveMM, 4 * math.Pi, 1e-4, "[C] exactly 2 pi b_e"},
		{"G4", "ratio on pitch", sp.Pulleys[2].Ratio, 2.733333, 1e-6, "[C]"},
		{"G4", "ratio on effective", sp.Pulleys[2].EffRatio, 2.857143, 1e-6, "[C]; a common mistake, A1 [S2]"},
		{"G5", "closure", ps.path.TurnRad, 2 * math.Pi, 1e-12, "[C]"},
	}
	for i := range 5 {
		rows = append(rows,
			row{"G3", "span", l.Spans[i].LengthMM, [...]float64{260, 278.3451, 131.9756, 125.8958, 299.6248}[i], 1e-4,
				"[C] two methods"},
			row{"G3", "wrap", l.Pulleys[i].WrapDeg, [...]float64{92.866, 98.604, 136.336, 136.792, 168.987}[i], 1e-3,
				"[C] two methods"})
	}
	checkRows(t, rows)
}

func TestPitchModelHasTheSameSpans(t *testing.T) {
	d := mustNew(t, reference())
	cs := make([]Circle, len(d.cs))
	for i, c := range d.cs {
		c.R = d.pitch[i]
		cs[i] = c
	}
	eff, pitch := solve(d.cs...), solve(cs...)
	for i := range cs {
		checkRows(t, []row{
			{"G3b", "span", pitch.Spans[i].LengthMM, eff.Spans[i].LengthMM, 1e-9, "[C] parallel curves"},
			{"G3b", "wrap", pitch.WrapRad[i], eff.WrapRad[i], 1e-12, "[C] parallel curves"},
		})
	}
	checkRows(t, []row{{"G3b", "pitch length", pitch.LengthMM, 1690.86779, 1e-4, "[C]"}})
}

func TestWhatADriveHandsOutIsACopy(t *testing.T) {
	d := mustNew(t, reference())
	r := d.Run()
	r.Pulleys[0].DiameterMM = 1
	if got := d.Run().Pulleys[0].DiameterMM; got != 160 {
		t.Errorf("the drive's own run changed to %g mm", got)
	}
	s := d.Drawn().Spans[0]
	checkRows(t, []row{{"heading", "crank to compressor", s.HeadingDeg(),
		deg(math.Atan2(s.To.Y-s.From.Y, s.To.X-s.From.X)), 1e-9, "tangent points"}})
}

func TestLayoutAtStaysWithinTheStops(t *testing.T) {
	d := mustNew(t, reference())
	for _, at := range []float64{-20.1, 20.1, math.NaN(), math.Inf(1)} {
		if _, err := d.LayoutAt(at); reason(err) != OutsideTravel {
			t.Errorf("%g: %v", at, err)
		}
	}
}
