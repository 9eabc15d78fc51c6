package wear_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"undertray.example/undertray/wear"
)

// Whatever is measured, an answer is in order and never NaN, or the refusal is ErrTooLittle.
func TestAnyPath(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	answered := 0
	for i := range 300 {
		limit, prior, axes := wear.Limit{Value: 10, Falling: r.IntN(3) == 0}, wear.Prior{}, 1+r.IntN(2)
		switch r.IntN(4) {
		case 0:
			limit.Value = 0
		case 1:
			limit.Value = -5
		case 2:
			limit.Counts = !limit.Falling
		}
		if r.IntN(2) == 0 {
			prior = wear.Prior{HasStart: true, Start: limit.Value - 3, Life: []float64{50, 7}[:axes]}
			if limit.Falling {
				prior.Start = limit.Value + 3
			}
		}
		var peers []wear.Path
		for range r.IntN(4) {
			peers = append(peers, anyPath(r, axes))
		}
		kind, err := wear.Prepare(limit, prior, peers, axes)
		if err != nil {
			t.Fatalf("case %d: %v", i, err)
		}
		f, err := kind.Forecast(anyPath(r, axes))
		if errors.Is(err, wear.ErrTooLittle) {
			continue
		}
		if err != nil {
			t.Fatalf("case %d: %v", i, err)
		}
		answered++
		checkAnswer(t, i, f)
	}
	if answered < 150 {
		t.Errorf("only %d answers", answered)
	}
}

func checkAnswer(t *testing.T, i int, f *wear.Forecast) {
	t.Helper()
	c := f.Crossing()
	if !(c.Earliest <= c.Expected && c.Expected <= c.Latest) || c.Earliest < 0 {
		t.Errorf("case %d: %+v", i, c)
	}
	v := f.ValueAt(100)
	s, err := f.Compare(500, 3)
	if err != nil {
		t.Errorf("case %d: %v", i, err)
	}
	b := f.Basis()
	for _, x := range []float64{f.PastBy(60), v.Low, v.Mid, v.High, s.Factor, s.Chance, b.PriorWeight,
		b.BendShare, b.AxisShare} {
		if math.IsNaN(x) {
			t.Errorf("case %d: NaN in %+v %+v %+v", i, v, s, b)
		}
	}
}

// anyPath walks up or down at random; exposures may stand still and values may be 0 or repeat.
func anyPath(r *rand.Rand, axes int) wear.Path {
	var p wear.Path
	x, v := make([]float64, axes), 4*r.Float64()
	if r.IntN(4) == 0 {
		v = 0
	}
	drift := 2 * r.NormFloat64()
	for range 1 + r.IntN(6) {
		p = append(p, wear.Observation{Exposure: append([]float64(nil), x...), Value: v, SD: float64(r.IntN(2)) * 0.1})
		for j := range x {
			x[j] += float64(r.IntN(4)) * 5 * r.Float64()
		}
		if r.IntN(5) > 0 {
			v += drift + r.NormFloat64()/2
		}
	}
	return p
}
