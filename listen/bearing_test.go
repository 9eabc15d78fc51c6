package listen

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestRates compares with the multiples published by the bearing data centre for the two bearings of its rig (third
// column set), with a university data set's table (8 digits are not printed; to 1e-3) and with a tutorial's worked
// example.
func TestRates(t *testing.T) {
	for _, c := range []struct {
		b                            Bearing
		cage, outer, inner, spin2    float64
		tolCage, tolRace, tolRolling float64
	}{
		{shelf["6205"], 0.39828, 3.5848, 5.4152, 4.7135, 5e-5, 5e-5, 1e-4},
		{shelf["6203"], 0.3817, 3.0530, 4.9469, 3.9874, 2e-4, 2e-4, 5e-4},
		{Bearing{Balls: 9, Ball: 7.9375, Pitch: 38.5}, 0.3969, 3.572, 5.428, 2 * 2.322, 1e-3, 1e-3, 2e-3},
		{Bearing{Balls: 8, Ball: 2, Pitch: 12, Contact: 15}, 0.41951, 83.9012 / 25, 116.0988 / 25, 5.844513,
			1e-3, 1e-5, 1e-3},
	} {
		r, err := c.b.Rates()
		if err != nil {
			t.Fatal(err)
		}
		for _, q := range []struct{ got, want, tol float64 }{
			{r.Cage, c.cage, c.tolCage}, {r.Outer, c.outer, c.tolRace}, {r.Inner, c.inner, c.tolRace},
			{2 * r.Spin, c.spin2, c.tolRolling},
		} {
			if math.Abs(q.got-q.want) > q.tol {
				t.Errorf("%+v: %.5f, published %.5f", c.b, q.got, q.want)
			}
		}
	}
}

// TestCageMultiples: by the published cage rates (0.39828 and 0.3817 of the shaft), two to five turns of the cage, and
// of the balls against it, are the bearing's own and no other speed of the shaft; 1.594 is among them. What lies
// between is not.
func TestCageMultiples(t *testing.T) {
	for name, cage := range map[string]float64{"6205": 0.39828, "6203": 0.3817} {
		fs, err := families(0, shelf[name])
		if err != nil {
			t.Fatal(err)
		}
		own := ownRatesOf(fs)
		for k := 2.0; k*cage < 2.4; k++ {
			if !nearAny(k*cage, own.combs, 0.002) {
				t.Errorf("%s: %g cage turns are foreign", name, k)
			}
		}
		if !nearAny(2*(1-cage), own.combs, 0.002) || !nearAny(cage, own.cages, 0.002) {
			t.Errorf("%s: the cage itself is foreign", name)
		}
		if nearAny(1.45, own.combs, slip) || nearAny(1.45, own.cages, 0.02) {
			t.Errorf("%s: 1.45 turns are taken for its own", name)
		}
	}
	fs, _ := families(0, shelf["6205"])
	if !nearAny(1.594, ownRatesOf(fs).combs, slip) {
		t.Error("1.594 turns of a 6205 are foreign")
	}
}

// TestRateLaws: the races share the balls' passes, and with the outer ring turning the cage is the other way about.
func TestRateLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Bearing{Balls: rapid.IntRange(3, 40).Draw(t, "balls"), Pitch: rapid.Float64Range(5, 500).Draw(t, "pitch"),
			Contact: rapid.Float64Range(0, 60).Draw(t, "contact")}
		b.Ball = b.Pitch * rapid.Float64Range(0.02, 0.95).Draw(t, "share") * min(1, math.Pi/float64(b.Balls))
		r, err := b.Rates()
		if err != nil {
			t.Fatal(err)
		}
		if n := float64(b.Balls); math.Abs(r.Outer+r.Inner-n) > 1e-9*n || math.Abs(r.Outer-n*r.Cage) > 1e-9*n {
			t.Fatalf("%+v", r)
		}
		b.OuterTurns = true
		o, _ := b.Rates()
		if math.Abs(o.Cage+r.Cage-1) > 1e-12 || o.Outer != r.Outer || o.Inner != r.Inner || o.Spin != r.Spin {
			t.Fatalf("outer turning %+v, inner %+v", o, r)
		}
	})
}

func TestRatesRefuse(t *testing.T) {
	for _, b := range []Bearing{{}, {Balls: 8, Ball: 2, Pitch: 1}, {Balls: 8, Ball: math.NaN(), Pitch: 1},
		{Balls: 30, Ball: 0.3, Pitch: 1}, {Balls: 8, Ball: .1, Pitch: math.Inf(1)},
		{Balls: 8, Ball: .1, Pitch: 1, Contact: 90}} {
		if _, err := b.Rates(); !errors.Is(err, ErrInput) {
			t.Errorf("%+v: %v", b, err)
		}
	}
}
