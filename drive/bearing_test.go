package drive

import (
	"math"
	"testing"
)

func tones(t *testing.T, b Bearing, rpm float64) BearingTones {
	t.Helper()
	got, err := b.Tones(rpm)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestBearingToneRows(t *testing.T) {
	b6205 := Bearing{Elements: 9, ElementMM: .3126 * 25.4, PitchMM: 1.537 * 25.4}
	b6203 := Bearing{Elements: 8, ElementMM: .2656 * 25.4, PitchMM: 1.122 * 25.4}
	one, two := tones(t, b6205, 60), tones(t, b6203, 60)
	three := tones(t, Bearing{Elements: 9, ElementMM: 7.9375, PitchMM: 38.50}, 60)
	four := tones(t, Bearing{Elements: 8, ElementMM: 2, PitchMM: 12, ContactDeg: 15}, 25*60)
	five, six := tones(t, b6205, 1797), tones(t, b6203, 10000)
	checkRows(t, []row{
		{"BR1", "inner", one.InnerHz, 5.415224, 1e-5, "[C]; published 5.4152 C1 [S]"},
		{"BR1", "outer", one.OuterHz, 3.584776, 1e-5, "[C]; published 3.5848 C1 [S]"},
		{"BR1", "cage", one.CageHz, .398308, 1e-5, "[C]; published 0.39828 C1 [S]"},
		{"BR1", "element", one.ElementHz, 2.356722, 1e-5, "[C]"},
		{"BR1", "ball", one.BallHz, 4.7135, 1e-4, "published 4.7135 C1 [S]"},
		{"BR2", "inner", two.InnerHz, 4.946881, 1e-5, "[C]; published 4.9469 C1 [S]"},
		{"BR2", "outer", two.OuterHz, 3.053119, 1e-5, "[C]; published 3.0530 C1 [S]"},
		{"BR2", "cage", two.CageHz, .381640, 1e-5, "[C]; published 0.3817 C1 [S]"},
		{"BR2", "ball", two.BallHz, 3.987677, 1e-5, "[C]; published 3.9874 C1 [S]"},
		{"BR3", "cage", three.CageHz, .3969, 1e-3, "C2 [S]"},
		{"BR3", "outer", three.OuterHz, 3.572, 1e-3, "C2 [S]"},
		{"BR3", "inner", three.InnerHz, 5.428, 1e-3, "C2 [S]"},
		{"BR3", "element", three.ElementHz, 2.322, 1e-3, "C2 [S]"},
		{"BR4", "outer", four.OuterHz, 83.9012, 1e-3, "inputs from tutorial code [S], values [C]"},
		{"BR4", "inner", four.InnerHz, 116.0988, 1e-3, "inputs from tutorial code [S], values [C]"},
		{"BR5", "inner", five.InnerHz, 162.185, 0.01, "[C]"},
		{"BR5", "outer", five.OuterHz, 107.365, 0.01, "[C]"},
		{"BR5", "cage", five.CageHz, 11.928, 0.01, "[C]"},
		{"BR5", "ball", five.BallHz, 141.169, 0.01, "[C]"},
		{"BR6", "cage", six.CageHz, 63.617, 0.05, "[C]"},
		{"BR6", "outer", six.OuterHz, 508.83, 0.05, "[C]"},
		{"BR6", "inner", six.InnerHz, 824.48, 0.05, "[C]"},
		{"BR6", "ball", six.BallHz, 664.57, 0.05, "[C]"},
	})
}

func TestBearingIdentities(t *testing.T) {
	b := Bearing{Elements: 8, ElementMM: 6.746, PitchMM: 28.5, ContactDeg: 12}
	in := tones(t, b, 6000)
	b.OuterTurns = true
	out := tones(t, b, 6000)
	checkRows(t, []row{
		{"BR", "outer plus inner", in.OuterHz + in.InnerHz, 8 * 100, 1e-9, "BPFO + BPFI = n [C]"},
		{"BR", "outer is n times cage", in.OuterHz, 8 * in.CageHz, 1e-9, "BPFO = n FTF [C]"},
		{"BR", "both cages", in.CageHz + out.CageHz, 100, 1e-9, "(1-g)/2 + (1+g)/2 [C]"},
		{"BR", "rates unchanged", in.OuterHz + in.InnerHz + in.BallHz, out.OuterHz + out.InnerHz + out.BallHz, 1e-9,
			"relative speed [C]"},
	})
	if in.Turning != "inner" || out.Turning != "outer" {
		t.Errorf("turning rings %q, %q", in.Turning, out.Turning)
	}
}

func TestBearingLifeRows(t *testing.T) {
	life := func(c, p, rpm float64, roller bool) BearingLife {
		l, err := L10(c*1000, p*1000, rpm, roller)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	ten := life(56, 14, 1450, true)
	checkRows(t, []row{
		{"BR7", "Mrev", life(16, 2, 1000, false).MillionRevs, 512, 1e-9, "Q&A page [S]"},
		{"BR8", "Mrev", life(30, 3, 1500, false).MillionRevs, 1000, 1e-9, "web [S], [C]"},
		{"BR8", "h", life(30, 3, 1500, false).Hours, 11111, 0.2, "web [S] prints about 11100; [C]"},
		{"BR8", "Mrev at 4 kN", life(30, 4, 1500, false).MillionRevs, 421.875, 0.1, "web [S], [C]"},
		{"BR8", "h at 4 kN", life(30, 4, 1500, false).Hours, 4687.5, 0.1, "web [S] prints 4700; [C]"},
		{"BR9", "Mrev", life(9.95, 1, 10000, false).MillionRevs, 985.07, 0.1, "[C]"},
		{"BR9", "h", life(9.95, 1, 10000, false).Hours, 1641.8, 0.1, "[C]"},
		{"BR10", "Mrev", ten.MillionRevs, 101.59, 0.1, "[C]"},
		{"BR10", "h", ten.Hours, 1167.7, 0.1, "[C]"},
	})
	if math.Abs(ten.MillionRevs-91) < 5 || math.Abs(ten.Hours-1046) < 50 {
		t.Error("BR10: the wrong figures of a web page (91 Mrev, 1046 h) came out")
	}
	if !life(10, 5.1, 1000, false).TooHeavy || life(10, 4.9, 1000, false).TooHeavy {
		t.Error("a load above half the rating should be marked")
	}
}
