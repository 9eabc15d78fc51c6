package ahead

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"

	"undertray.example/undertray/condition"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/lifetime"
)

// said is forecasts of about one chance, and what came of them.
type said struct{ n, chance, failed float64 }

// ownFailures forecasts parts in use at some age from so many failures of the yard's own, by what the program makes of
// an interval. The lives are Weibull's of a shape, with a mean drawn from what is believed of it. Ages and stretches
// are shares of the mean as believed, or of the true one where told: what is asked then tells of the true mean.
func ownFailures(t *testing.T, cat *catalogue.Catalogue, shape float64, failures, worlds int,
	told bool) (bins [5]said) {
	t.Helper()
	read := reading(cat.Lives(), &catalogue.Life{})
	interval, err := lifetime.FromInterval(1, read)
	if err != nil {
		t.Fatal(err)
	}
	life, doubt := interval.MeanLife()
	c := course{kind: "it", life: [2]float64{100_000, 0}, interval: 1 / life, logSD: doubt, shape: read.Shape,
		shapeLogSD: read.ShapeLogSD, spread: 0.7, anyAge: read.AnyAge}
	c.lead[0], c.early = leadMost*c.life[0]/2, *cat.Looks().Early
	prior, err := c.prior(cat.Looks())
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(uint64(10*shape), uint64(failures)))
	for range worlds {
		mean := c.life[0] * math.Exp(c.logSD*r.NormFloat64())
		life := distuv.Weibull{K: shape, Lambda: mean / math.Gamma(1+1/shape), Src: r}
		var own []condition.History
		for range failures {
			own = append(own, condition.History{Outcome: condition.Failed, At: []float64{life.Rand(), 0},
				Ages: c.begun(nil)})
		}
		post, err := learnFrom(own, prior, nil)
		if err != nil {
			t.Fatal(err)
		}
		for range 40 {
			asked := c.life[0]
			if told {
				asked = mean
			}
			age, within, lasts := 1.2*asked*r.Float64(), asked*(0.1+0.7*r.Float64()), life.Rand()
			if lasts <= age {
				continue
			}
			part, err := post.Part(condition.History{At: []float64{age, 0}, Ages: c.begun(nil)})
			if err != nil {
				t.Fatal(err)
			}
			p := fails(part, within, 0)
			b := &bins[min(int(5*p), 4)]
			b.n, b.chance = b.n+1, b.chance+p
			if lasts <= age+within {
				b.failed++
			}
		}
	}
	return bins
}

// off is by how much what came differs from what was said, in the mean and at the most in a bin of 300 lives.
func off(bins [5]said) (mean, most float64) {
	n := 0.0
	for _, b := range bins {
		mean, n = mean+math.Abs(b.failed-b.chance), n+b.n
		if b.n >= 300 {
			most = max(most, math.Abs(b.failed-b.chance)/b.n)
		}
	}
	return mean / n, most
}

// From three and five failures of the yard's own the chances of parts of which nothing says how they fail are true
// within 10 points in every bin, whether they wear out, shape 3, or fail at any age, shape 1 (with UNDERTRAY_SOAK;
// 7.5 in the mean of a part of the worlds). Shape 1 after three is not: one bin is off by up to 20, and no belief
// that holds wearing out possible meets 10 there, see TestThreeFailuresTellNoMore and docs/calibration.md.
func TestOwnFailuresTellHowPartsFail(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	worlds, mean, most := 60, 0.075, 1.0
	soak := os.Getenv("UNDERTRAY_SOAK") != ""
	if soak {
		worlds, mean, most = 1000, 0.06, 0.1
	}
	for _, shape := range []float64{1, 3} {
		for _, failures := range []int{0, 3, 5} {
			bins := ownFailures(t, cat, shape, failures, worlds, false)
			t.Log(row(shape, failures, bins))
			allowed := most
			if shape == 1 && failures == 3 {
				allowed *= 2
			}
			if m, b := off(bins); failures > 0 && (m > mean || b > allowed) {
				t.Errorf("shape %g, %d failures: %.1f points off in the mean, %.1f at the most", shape, failures, 100*m,
					100*b)
			}
			if soak {
				t.Log("told:", row(shape, failures, ownFailures(t, cat, shape, failures, worlds, true)))
			}
		}
	}
}

func row(shape float64, failures int, bins [5]said) string {
	text := fmt.Sprintf("| %g | %d |", shape, failures)
	for _, b := range bins {
		text += fmt.Sprintf(" %.0f: %.0f, %.0f |", b.n, 100*b.chance/b.n, 100*b.failed/b.n)
	}
	m, _ := off(bins)
	return fmt.Sprintf("%s %.1f |", text, 100*m)
}

// lived is a Weibull life with how likely it is.
type lived struct{ shape, scale, weight float64 }

// alike are lives of a shape, give or take so much, about a mean of 1 that is known as little as the program knows it.
func alike(shape, shapeLogSD, doubt float64) (out []lived) {
	for x := -2.7; x <= 2.71; x += 0.6 {
		for y := -3.6; y <= 3.61; y += 0.3 {
			k := shape * math.Exp(shapeLogSD*x)
			out = append(out, lived{k, math.Exp(doubt*y) / math.Gamma(1+1/k), math.Exp(-(x*x + y*y) / 2)})
		}
	}
	return out
}

// bestTold is what one may at best say of a part from so many failures, by each of several sorts of lives: how likely
// the failures are and the part lives to its age, and on to the end of the stretch.
type bestTold struct {
	lives, lasts []float64
	failed       bool
}

// best asks what ownFailures asks, and answers by Bayes' rule.
func best(shape, doubt float64, failures, worlds int, told bool, sorts [][]lived) (out []bestTold) {
	r := rand.New(rand.NewPCG(uint64(10*shape), uint64(failures)))
	for range worlds {
		mean := math.Exp(doubt * r.NormFloat64())
		life := distuv.Weibull{K: shape, Lambda: mean / math.Gamma(1+1/shape), Src: r}
		known := make([][]lived, len(sorts))
		for s := range sorts {
			known[s] = slices.Clone(sorts[s])
		}
		for range failures {
			x := life.Rand()
			for s := range known {
				for i, l := range known[s] {
					z := math.Pow(x/l.scale, l.shape)
					known[s][i].weight *= l.shape * z / x * math.Exp(-z)
				}
			}
		}
		asked := 1.0
		if told {
			asked = mean
		}
		for range 40 {
			age, within, lasts := 1.2*asked*r.Float64(), asked*(0.1+0.7*r.Float64()), life.Rand()
			if lasts <= age {
				continue
			}
			b := bestTold{make([]float64, len(sorts)), make([]float64, len(sorts)), lasts <= age+within}
			for s := range known {
				for _, l := range known[s] {
					b.lives[s] += l.weight * math.Exp(-math.Pow(age/l.scale, l.shape))
					b.lasts[s] += l.weight * math.Exp(-math.Pow((age+within)/l.scale, l.shape))
				}
			}
			out = append(out, b)
		}
	}
	return out
}

// Three failures do not tell how parts fail well enough for any belief that holds wearing out possible: of all beliefs
// of shapes 0.8, 1, 1.7 and about 3, in tenths, those alone are within 10 points in every bin, for lives of shape 1 as
// of 3, that hold only shapes of 1 and below. Five do. Where ages and stretches are asked in true mean lives none is,
// not even of who knows that the shape is 1: he is not told what the question gives away.
func TestThreeFailuresTellNoMore(t *testing.T) {
	if os.Getenv("UNDERTRAY_SOAK") == "" {
		t.Skip("takes a minute: UNDERTRAY_SOAK")
	}
	const doubt = 0.424
	sorts := [][]lived{alike(0.8, 0, doubt), alike(1, 0, doubt), alike(1.7, 0, doubt), alike(3, 0.4, doubt)}
	for _, c := range []struct {
		failures int
		told     bool
	}{{3, false}, {5, false}, {3, true}, {5, true}} {
		asked := [][]bestTold{best(1, doubt, c.failures, 1000, c.told, sorts),
			best(3, doubt, c.failures, 1000, c.told, sorts)}
		within, wears, tried, knowing := 0, 0, 0, 0.0
		each := func(w []float64) {
			most := 0.0
			for i, all := range asked {
				var bins [5]said
				for _, b := range all {
					p := 1 - floats.Dot(w, b.lasts)/floats.Dot(w, b.lives)
					q := &bins[min(int(5*p), 4)]
					q.n, q.chance = q.n+1, q.chance+p
					if b.failed {
						q.failed++
					}
				}
				_, m := off(bins)
				most = max(most, m)
				if i == 0 && w[1] == 10 {
					knowing = m
				}
			}
			if tried++; most <= 0.1 {
				within++
				if w[2]+w[3] > 0 {
					wears++
				}
			}
		}
		for a := range 11 {
			for b := range 11 - a {
				for d := range 11 - a - b {
					each([]float64{float64(a), float64(b), float64(d), float64(10 - a - b - d)})
				}
			}
		}
		t.Logf("%d failures, told %v: %d of %d beliefs are within 10 points, %d of them hold wearing out possible; "+
			"who knows of shape 1 is off by %.1f", c.failures, c.told, within, tried, wears, 100*knowing)
		if holds := c.failures == 5 && !c.told; (wears > 0) != holds || c.told && (within > 0 || knowing < 0.1) {
			t.Error("the bound is another")
		}
	}
}
