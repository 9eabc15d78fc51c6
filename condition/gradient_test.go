package condition

import (
	"math"
	"slices"
	"testing"
)

// everything is a prior with every sort of unknown number and histories of every outcome.
func everything() (Prior, []History) {
	kind := Kind{
		Stages: []Stage{
			{Mean: []float64{60, 900}, Shape: 2.3, Fails: []float64{0.001, 0}},
			{Mean: []float64{25, 0}, Shape: 0.6, Fails: []float64{0.002, 0}},
			{Mean: []float64{12, 300}, Shape: 1.7, Family: Weibull},
		},
		Looks: []Sort{
			Graded([]float64{0, 1, 2}, []float64{0.5, 1.5}, 0.6),
			{Level: []float64{1, 2, 4}, Scatter: 0.7},
			{Says: [][]float64{{0.9, 0.1, 0}, {0.2, 0.7, 0.1}, {0, 0.3, 0.7}}},
		},
		SpeedLogSD: 0.3, HabitSD: 0.7,
	}
	prior := Prior{Kind: kind, All: 0.4, Stays: []float64{0.3, 0.5, 0.5}, Shapes: []float64{0.5, 0.5, 0.5},
		Fails: []float64{0.5, 0.6}, Speed: 0.5, Habit: 0.4, Looks: []float64{0.4, 0.5, 0.6}}
	looks := []Look{
		{At: []float64{10, 30}, Sort: 0, Grade: 0}, {At: []float64{30, 90}, Sort: 2, Grade: 1},
		{At: []float64{55, 100}, Sort: 1, Value: 2.2, SD: 0.3}, {At: []float64{55, 100}, Sort: 0, Grade: 2},
	}
	return prior, []History{
		{Looks: looks, Outcome: Running},
		{Looks: looks[:2], Outcome: Failed, At: []float64{80, 200}},
		{Looks: looks[1:], Outcome: FoundFailed, At: []float64{90, 150}, Weight: 2},
		{Looks: looks[:3], Outcome: RemovedBad, At: []float64{70, 130}, By: 0, To: 1},
		{Looks: looks[:1], Outcome: RemovedBad, At: []float64{70, 130}, By: 1, Value: 2.5},
		{Looks: looks, Outcome: Removed, At: []float64{70, 130},
			Ages: []Age{{[]float64{0, 0}, 1}, {[]float64{20, 60}, 2}}},
		{Looks: looks, Outcome: Failed, At: []float64{70, 130},
			Ages:  []Age{{[]float64{0, 0}, 1}, {[]float64{20, 60}, 2}},
			Blind: []Blinded{{0.2, blinded(looks, 0)}, {0.1, blinded(looks, 1)}, {0.1, blinded(looks, 0, 2)}}},
		{Looks: []Look{looks[0], {At: []float64{30, 90}, Sort: 2, Grade: 1, OrWorse: true},
			{At: []float64{40, 95}, Sort: 0, Grade: 1, OrWorse: true, Blind: true}}, Outcome: Failed,
			At: []float64{70, 130}},
	}
}

// blinded are looks of which some sorts are blind.
func blinded(looks []Look, sorts ...int) []Look {
	out := slices.Clone(looks)
	for i := range out {
		out[i].Blind = slices.Contains(sorts, out[i].Sort)
	}
	return out
}

// TestGradient holds the derivatives of the log density against differences of it.
func TestGradient(t *testing.T) {
	prior, histories := everything()
	s, err := prior.space()
	if err != nil {
		t.Fatal(err)
	}
	trails, err := prior.Kind.trails(histories)
	if err != nil {
		t.Fatal(err)
	}
	for one := range histories {
		target := &target{s, trails[one : one+1]}
		z := make([]float64, len(s.params))
		for i := range z {
			z[i] = 0.3 * math.Sin(float64(7*i+one))
		}
		grad, w := make([]float64, len(z)), append([]float64(nil), z...)
		target.value(z, grad)
		for i := range z {
			const h = 1e-5
			w[i] = z[i] + h
			up := target.value(w, nil)
			w[i] = z[i] - h
			slope := (up - target.value(w, nil)) / (2 * h)
			w[i] = z[i]
			if !(math.Abs(grad[i]-slope) < 1e-5*(1+math.Abs(slope))) {
				t.Errorf("history %d, number %d: derivative %.8g, by differences %.8g", one, i, grad[i], slope)
			}
		}
	}
}

// The quick way to exp(-x) against the library's.
func TestFallen(t *testing.T) {
	for x := 0.0; x < 650; x += 0.0137 {
		if want := math.Exp(-x); math.Abs(fallen(x)-want) > 1e-15*want*(1+x) {
			t.Fatalf("exp(-%g) is %.17g, got %.17g", x, want, fallen(x))
		}
	}
}

// With the peak that a search found nothing is searched again, and the posterior is the very same.
func TestAPeakSparesTheSearch(t *testing.T) {
	prior, histories := everything()
	for n, list := range [][]History{histories, histories[:2], nil} {
		post, err := prior.Learn(list, Options{Nodes: 16})
		if err != nil {
			t.Fatal(err)
		}
		peak := post.Peak()
		again, err := prior.Learn(list, Options{Nodes: 16, Peak: &peak})
		if err != nil {
			t.Fatal(err)
		}
		part := History{Looks: histories[0].Looks, Ages: histories[5].Ages}
		for _, p := range []*Posterior{post, again} {
			if p.Histories() != len(list) || p.LogLik() != peak.LogLik {
				t.Errorf("%d: %d histories, %v", n, p.Histories(), p.LogLik())
			}
		}
		a, err := post.Part(part)
		b, err2 := again.Part(part)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		x, _ := a.FailWithin([]float64{10, 100})
		if y, _ := b.FailWithin([]float64{10, 100}); x != y || x.Mean == 0 {
			t.Errorf("%d: %v searched, %v with its peak", n, x, y)
		}
		peak.Root = peak.Root[1:]
		if _, err := prior.Learn(list, Options{Nodes: 16, Peak: &peak}); err == nil {
			t.Errorf("%d: a peak of another prior is taken", n)
		}
	}
}
