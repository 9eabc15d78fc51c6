package ahead

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/interp"
)

// lifeLaw is the life of a new part of a kind in one exposure of the vehicle's
// usual use: a lifetime.Law. It holds the cumulated hazard at some ages and a
// smooth rising curve through it, which goes on straight after the last.
type lifeLaw struct {
	age, mean []float64 // mean: of the life up to that age
	hazard    interp.FritschButland
	last      float64 // hazard at the last age, cumulated
	rate      float64 // and per unit of age
}

// lawPoints is at how many ages a life is worked out, up to lawLives mean lives.
const (
	lawPoints = 60
	lawLives  = 3
)

// law is the life of a new part in what the chance is mostly counted in.
func (c *Chance) law() (*lifeLaw, error) {
	per := []float64{1, 0} // km and days in one of it
	use := c.report.PerDay()
	if c.in == byTime {
		per = []float64{use, 1}
	} else if use > 0 {
		per[1] = 1 / use
	}
	rate := 0.0
	for e, life := range c.course.life {
		if life > 0 {
			rate += per[e] / life
		}
	}
	step := lawLives / rate / lawPoints
	failed, err := c.fresh.Curve([]float64{per[0] * step, per[1] * step}, lawPoints)
	if err != nil {
		return nil, err
	}
	l := &lifeLaw{}
	hazard := make([]float64, len(failed))
	for i, f := range failed {
		l.age = append(l.age, float64(i)*step)
		hazard[i] = -math.Log(max(1-f, 1e-12))
	}
	if err := l.hazard.Fit(l.age, hazard); err != nil {
		return nil, err
	}
	n := len(hazard) - 1
	l.last, l.rate = hazard[n], (hazard[n]-hazard[n-1])/step
	l.mean = []float64{0}
	for i := 1; i <= n; i++ {
		l.mean = append(l.mean, l.mean[i-1]+l.between(l.age[i-1], l.age[i]))
	}
	return l, nil
}

// between is the integral of the survival, by Simpson's rule.
func (l *lifeLaw) between(a, b float64) float64 {
	return (b - a) / 6 * (l.Survival(a) + 4*l.Survival((a+b)/2) + l.Survival(b))
}

// beyond is how far an age lies behind the last one worked out.
func (l *lifeLaw) beyond(t float64) float64 { return t - l.age[len(l.age)-1] }

// Survival is the chance to be still good at an age.
func (l *lifeLaw) Survival(t float64) float64 {
	if b := l.beyond(t); b > 0 {
		return math.Exp(-l.last - b*l.rate)
	}
	return math.Exp(-l.hazard.Predict(max(t, 0)))
}

// Hazard is the chance of failing per unit of age, given good until then.
func (l *lifeLaw) Hazard(t float64) float64 {
	if l.beyond(t) > 0 {
		return l.rate
	}
	return l.hazard.PredictDerivative(max(t, 0))
}

// MeanUpTo is the mean age at failure or at t, whichever is first.
func (l *lifeLaw) MeanUpTo(t float64) float64 {
	n := len(l.age) - 1
	if b := l.beyond(t); b > 0 && l.rate > 0 {
		return l.mean[n] + (math.Exp(-l.last)-l.Survival(t))/l.rate
	}
	i := min(max(sort.SearchFloat64s(l.age, t)-1, 0), n-1)
	return l.mean[i] + l.between(l.age[i], t)
}

// Mean is the mean life.
func (l *lifeLaw) Mean() float64 { return l.MeanUpTo(math.Inf(1)) }
