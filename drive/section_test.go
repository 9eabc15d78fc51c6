package drive

import (
	"math"
	"testing"
)

func TestDiametersConvert(t *testing.T) {
	pk, pj := PK(), PJ()
	checkRows(t, []row{
		{"PK", "over balls", pk.EffectiveMM(100, OverBalls, 0), 99.010, 1e-9, "d_e = K - 0.990, A1 [S2]"},
		{"PK", "over tips, 40 deg", pk.EffectiveMM(100, Outside, 0), 100.885, 1e-9, "A1 differences [S2], [C]"},
		{"PK", "over tips, 37 deg", pk.EffectiveMM(100, Outside, 37), 100.815, 1e-9, "A1 differences [S2], [C]"},
		{"PK", "tips from balls, 40 deg", pk.EffectiveMM(100-1.875, Outside, 40), pk.EffectiveMM(100, OverBalls, 40),
			1e-9, "tip K - 1.875, A1 [S2]"},
		{"PK", "tips from balls, 37 deg", pk.EffectiveMM(100-1.805, Outside, 37), pk.EffectiveMM(100, OverBalls, 37),
			1e-9, "tip K - 1.805, A1 [S2]"},
		{"PK", "as drawn", pk.EffectiveMM(100, Effective, 0), 100, 0, "definition"},
		// The groove tip, rounded to a radius r, lies 2 (r/sin(a/2) - r) under the
		// apex: with 0.2 mm that is PJ's effective diameter.
		{"PJ", "over balls", GrooveApexMM(2.34, 1.5, 40) - 2*0.2*(1/math.Sin(rad(20))-1), -pj.OverBallMM, 0.005,
			"groove geometry [C]"},
		{"PK", "over balls", GrooveApexMM(3.56, 2.5, 40) - 2*0.25*(1/math.Sin(rad(20))-1), -pk.OverBallMM, 0.005,
			"same with 0.25 mm [C] against A1 [S2]"},
	})
}

func TestBeltLinesOnEachFaceAndSide(t *testing.T) {
	s := PK()
	s.LineMM, s.BackMM, s.ThickMM = 2, 1.2, 4.5
	at := func(m Measure, side Side) Circle {
		return circle(&Pulley{DiameterMM: 100, Measured: m, Side: side}, &s, 1)
	}
	checkRows(t, []row{
		{"R", "grooved on ribs", at(Effective, RibSide).R, 50, 0, "belts.md section 1: d_e/2"},
		{"R", "plain on back", at(Plain, BackSide).R, 50 + 1.2 + 2, 0, "belts.md section 1: d/2 + H_b + b_e"},
		{"R", "plain on ribs", at(Plain, RibSide).R, 50 + 4.5 - 1.2 - 2, 1e-12, "rib tips on the rim"},
		{"R", "grooved on back", at(Effective, BackSide).R, 50 - 0.885/2 + 3.2, 1e-12, "back on the groove tips"},
		{"turn", "ribs", at(Effective, RibSide).Turn, 1, 0, "given"},
		{"turn", "back", at(Plain, BackSide).Turn, -1, 0, "opposite"},
	})
	flat := FlatSection(3)
	f := circle(&Pulley{DiameterMM: 100, Measured: Plain}, &flat, 1)
	b := circle(&Pulley{DiameterMM: 100, Measured: Plain, Side: BackSide}, &flat, 1)
	checkRows(t, []row{
		{"flat", "inner side", f.R, 50, 1e-12, "effective line at the inner surface"},
		{"flat", "back", b.R, 53, 1e-12, "whole thickness away"},
	})
}

func TestEverySectionTellsItsSources(t *testing.T) {
	for _, name := range []string{"PK", "PJ", "AV10", "av 13", "flat"} {
		s, err := SectionNamed(name)
		if err != nil || len(s.Figures) < 3 {
			t.Fatalf("%s: %v, %d figures", name, err, len(s.Figures))
		}
		for _, f := range s.Figures {
			if f.Source == "" || f.Unit == "" || f.Name == "" {
				t.Errorf("%s: figure without source, unit or name: %+v", name, f)
			}
		}
		var line float64
		for _, f := range s.Figures {
			if f.Name == "effective line differential" {
				line = f.Value
			}
		}
		if line != s.LineMM {
			t.Errorf("%s: LineMM %g but its figure says %g", name, s.LineMM, line)
		}
	}
	if _, err := SectionNamed("PQ"); reason(err) != BadInput {
		t.Errorf("PQ: %v", err)
	}
}
