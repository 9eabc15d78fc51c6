package drive

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestABeltTooShortSaysHowMuchAndWhichStop(t *testing.T) {
	d := mustNew(t, reference())
	r, err := d.Lengths()
	if err != nil {
		t.Fatal(err)
	}
	_, err = d.Fit(r.ShortestMM - 30)
	var ref *Refusal
	if !errors.As(err, &ref) || ref.Reason != BeltTooShort || math.Abs(ref.MM-30) > 1e-6 {
		t.Fatalf("%v", err)
	}
	if got := ref.Args[0]; ref.Code != "short at the fitting stop" || got.Of != "stop" || got.Unit != "degrees" ||
		math.Abs(got.Value+20) > 1e-9 {
		t.Errorf("%v", err)
	}
	_, err = d.Fit(r.LongestMM + 12)
	if !errors.As(err, &ref) || ref.Code != "long at the take-up stop" || math.Abs(ref.MM-12) > 1e-6 ||
		math.Abs(ref.Args[0].Value-20) > 1e-9 {
		t.Errorf("%v", err)
	}
}

func TestTravelAndLengthsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDrive(t)
		if d.mv.idx < 0 {
			t.Skip("nothing moves")
		}
		r, err := d.Lengths()
		if err != nil {
			t.Fatal(err)
		}
		want := r.ShortestMM + (r.LongestMM-r.ShortestMM)*rapid.Float64Range(0, 1).Draw(t, "share")
		f, err := d.Fit(want)
		if err != nil {
			t.Fatal(err)
		}
		l, err := d.LayoutAt(f.Position)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "length at the position found", l.EffectiveMM, want, 1e-6)
		near(t, "belt to both stops", f.Take.BeltMM+f.Fitting.BeltMM, r.LongestMM-r.ShortestMM, 1e-6)
		near(t, "move to both stops", f.Take.Move+f.Fitting.Move, (d.sweep.hi-d.sweep.lo)/d.mv.unit, 1e-9)
		near(t, "share", f.Share, within01((want-r.ShortestMM)/(r.LongestMM-r.ShortestMM)), 1e-6)
		if f.RateMM*d.sweep.sense < 0 {
			t.Fatalf("rate %g against sense %g", f.RateMM, d.sweep.sense)
		}
	})
}

func TestMarksTellWhereThePointerIs(t *testing.T) {
	r := reference()
	r.Tensioner.Marks = []Mark{{"worn", 12}, {"new", -6}, {"half", 3}}
	d := mustNew(t, r)
	for _, c := range []struct {
		at      float64
		between [2]string
		inside  bool
	}{{0, [2]string{"new", "half"}, true}, {8, [2]string{"half", "worn"}, true}, {-9, [2]string{"", "new"}, false},
		{15, [2]string{"worn", ""}, false}} {
		l, _ := d.LayoutAt(c.at)
		f, err := d.Fit(l.EffectiveMM)
		if err != nil {
			t.Fatal(err)
		}
		if f.Between != c.between || f.InMarks != c.inside {
			t.Errorf("at %g: between %v, inside %v", c.at, f.Between, f.InMarks)
		}
	}
}

func TestASpringWithARateIsStifferTowardsTheFittingStop(t *testing.T) {
	r := reference()
	r.Tensioner.Rate = 0.2
	d := mustNew(t, r)
	short, _ := d.Fit(1665)
	long, _ := d.Fit(1690)
	checkRows(t, []row{
		{"spring", "shorter belt", short.SpringNow, 26.7104 - 0.2*short.Position, 1e-9,
			"torque plus rate times degrees"},
		{"spring", "longer belt", long.SpringNow, 26.7104 - 0.2*long.Position, 1e-9, "torque plus rate times degrees"},
	})
	if !(short.Position < 0 && long.Position > 0 && short.SpringNow > long.SpringNow) {
		t.Errorf("positions %g and %g, torques %g and %g", short.Position, long.Position,
			short.SpringNow, long.SpringNow)
	}
}

func TestADeadPointEndsTheTravel(t *testing.T) {
	r := slackSide()
	r.Tensioner.Pivot = Point{-190, 90} // the arm soon moves along the belt, not across it
	d := mustNew(t, r)
	l, _ := d.Lengths()
	f, err := d.Fit(l.LongestMM - 0.1)
	if err != nil {
		t.Fatal(err)
	}
	if f.Take.Ends == nil || f.Take.Ends.Code != "takes up no more" || d.sweep.hi > rad(20) {
		t.Errorf("take-up %+v", f.Take)
	}
}

func TestFixedCentresTakeOneLengthOnly(t *testing.T) {
	r := reference()
	r.Tensioner = Tensioner{SetN: 300}
	d := mustNew(t, r)
	if _, err := d.Fit(1680); err != nil {
		t.Errorf("within tolerance: %v", err)
	}
	if _, err := d.Fit(1660); reason(err) != BeltTooShort {
		t.Errorf("18 mm short: %v", err)
	}
	if _, err := d.Fit(1700); reason(err) != BeltTooLong {
		t.Errorf("22 mm long: %v", err)
	}
	if _, err := d.WearMoves(0.1, 0); reason(err) != NothingMoves {
		t.Errorf("wear on fixed centres: %v", err)
	}
}

func TestWearReadBackFromTheArm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, err := New(reference())
		if err != nil {
			t.Fatal(err)
		}
		flank := rapid.Float64Range(0, 0.3).Draw(t, "flank")
		w, err := d.WearMoves(flank, rapid.Float64Range(1660, 1685).Draw(t, "belt"))
		if err != nil {
			t.Fatal(err)
		}
		back, err := d.WearFrom(w.From, w.To, 0.5)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "flank", back.FlankMM, flank, 1e-8)
		near(t, "left", back.Left, w.Left, 1e-6)
		if w.Moved < -1e-9 || back.LowSink > back.SinkMM || back.TopSink < back.SinkMM {
			t.Fatalf("moved %g, sink %g between %g and %g", w.Moved, back.SinkMM, back.LowSink, back.TopSink)
		}
	})
}

func TestWearSetsSlackFreeByTheWrapOnTheRibs(t *testing.T) {
	d := mustNew(t, reference())
	ps := d.newPose()
	d.move(ps, 0)
	before, wraps := ps.path.LengthMM, d.ribWrap(ps.path)
	const sink = 1e-3
	d.sink(ps, sink)
	d.move(ps, 0)
	checkRows(t, []row{{"R2", "path shortens", before - ps.path.LengthMM, sink * wraps, 1e-7, "dL/dR is the wrap [C]"}})
}

func TestTooMuchWearRunsOutOfTakeUp(t *testing.T) {
	d := mustNew(t, reference())
	if _, err := d.WearMoves(1.5, 0); reason(err) != BeltTooLong {
		t.Errorf("%v", err)
	}
	if _, err := d.WearFrom(0, 25, 0.5); reason(err) != OutsideTravel {
		t.Errorf("%v", err)
	}
}

func TestBeltsThatFit(t *testing.T) {
	d := mustNew(t, reference())
	got, err := d.BeltsThatFit([]float64{1500, 1650, 1660, 1675, 1685, 1695, 1705, 1900})
	if err != nil {
		t.Fatal(err)
	}
	var lengths []float64
	for _, c := range got {
		lengths = append(lengths, c.LengthMM)
	}
	// Paths run from 1644.0 to 1705.5 mm; a belt fits with 9 mm to spare either way.
	want := []float64{1675, 1685, 1695, 1660}
	if len(lengths) != len(want) {
		t.Fatalf("got %v, want %v", lengths, want)
	}
	for i := range want {
		if lengths[i] != want[i] {
			t.Fatalf("got %v, want %v", lengths, want)
		}
	}
}

func TestToleranceSteps(t *testing.T) {
	for length, want := range map[float64]float64{900: 5, 1000: 5, 1001: 6, 1200: 6, 1500: 8, 1885: 9,
		2500: 10, 3500: 10} {
		if got := LengthToleranceMM(length); got != want {
			t.Errorf("%g mm: %g, want %g (ISO 9981, from memory)", length, got, want)
		}
	}
}
