package lifetime_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"undertray.example/undertray/lifetime"
)

// anyPart observes something possible at random, over six powers of ten.
func anyPart(r *rand.Rand) lifetime.Observation {
	age := math.Pow(10, 6*r.Float64()-2)
	o := lifetime.Observation{Outcome: lifetime.Outcome(r.IntN(4)), Age: age, Upper: age * (1 + 3*r.Float64()),
		Weight: float64(r.IntN(3))}
	if r.IntN(3) == 0 {
		o.Entry = age * r.Float64()
	}
	return o
}

// Whatever was observed: chances lie between 0 and 1, rise with the stretch and are never NaN; a
// fit is finite or refused for a stated reason; adding a running part never makes lives look shorter.
func TestAnyObservations(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	fitted, lost := 0, 0
	for i := range 400 {
		var obs []lifetime.Observation
		for range r.IntN(12) {
			obs = append(obs, anyPart(r))
		}
		family := lifetime.Family(r.IntN(3))
		fit, err := lifetime.Estimate(family, obs)
		if err == nil {
			fitted++
			if math.IsNaN(fit.LogLik) || !(fit.Shape() > 0) || math.IsNaN(fit.SELogShape()) || !(fit.Scale() > 0) {
				t.Errorf("case %d: %+v", i, fit)
			}
		} else if errors.Is(err, lifetime.ErrNotConverged) {
			lost++ // late entries so far out that failing at once is certain: the shape creeps for ever
		} else if !errors.Is(err, lifetime.ErrNoFailures) && !errors.Is(err, lifetime.ErrUnbounded) {
			t.Errorf("case %d (%v): %v\n%+v", i, family, err, obs)
		}
		prior, err := lifetime.FromInterval(math.Pow(10, 6*r.Float64()-2), lifetime.Reading{Family: family})
		if err != nil {
			t.Fatal(err)
		}
		chancesInOrder(t, i, prior, obs, r)
	}
	if fitted < 100 || lost > 4 {
		t.Errorf("%d fits, %d lost", fitted, lost)
	}
}

func chancesInOrder(t *testing.T, i int, prior lifetime.Prior, obs []lifetime.Observation, r *rand.Rand) {
	t.Helper()
	post, err := prior.Update(obs, lifetime.GridOptions{Nodes: 17})
	if err != nil {
		t.Errorf("case %d: %v\n%+v", i, err, obs)
		return
	}
	age := prior.Age * r.Float64()
	last, lastCounted := 0.0, 0.0
	for _, x := range []float64{0, 0.1, 1, 10} {
		apart, err1 := post.FailWithin(age, x*prior.Age)
		counted, err2 := post.FailWithinCounted(age, x*prior.Age)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		if !(apart >= last-1e-12 && apart <= 1 && counted >= lastCounted-1e-12 && counted <= 1) {
			t.Errorf("case %d: within %v: %v after %v, %v after %v", i, x, apart, last, counted, lastCounted)
		}
		last, lastCounted = apart, counted
	}
	if q, err := post.QuantileFrom(age, 0.5); err != nil || !(q >= age) {
		t.Errorf("case %d: half gone by %v, %v", i, q, err)
	}
}
