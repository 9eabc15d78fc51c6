package lifetime

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// ProfileShape is the interval of the shape by profile likelihood: all values at which the
// likelihood, maximised over the rest, is within half the chi-squared quantile of its maximum.
func (f *Fit) ProfileShape(level float64) (Interval, error) {
	if err := fraction("level", level); err != nil {
		return Interval{}, err
	}
	if f.sigmaKnown {
		return Interval{f.Shape(), f.Shape()}, nil
	}
	last := f.problem.p
	in, err := f.profile(f.problem, f.par, tie{fixed: last, also: -1}, f.LogSigma, f.SELogShape(), level)
	return Interval{math.Exp(-in.High), math.Exp(-in.Low)}, err
}

// ProfilePercentile is the profile interval of the age by which a share p has failed, at the given
// covariates: ProfilePercentile(0.1, 0.95) is the 95 % interval of the B10 life.
func (f *Fit) ProfilePercentile(p, level float64, covariates ...float64) (Interval, error) {
	se, err := f.SELogPercentile(p, covariates...)
	if err = firstError(err, fraction("level", level)); err != nil {
		return Interval{}, err
	}
	life, err := f.Life(covariates...)
	if err != nil {
		return Interval{}, err
	}
	moved, par := f.recentre(covariates)
	t := tie{fixed: 0, also: -1, q: f.Family.quantile(p)}
	in, err := f.profile(moved, par, t, math.Log(life.Quantile(p)), se, level)
	return Interval{math.Exp(in.Low), math.Exp(in.High)}, err
}

// ProfileScale is the profile interval of Scale, Weibull's eta.
func (f *Fit) ProfileScale(level float64, covariates ...float64) (Interval, error) {
	return f.ProfilePercentile(f.Family.scaleShare(), level, covariates...)
}

// ProfileCoef is the profile interval of the coefficient of covariate i, counted from 1.
func (f *Fit) ProfileCoef(i int, level float64) (Interval, error) {
	if i < 1 || i >= len(f.Coef) {
		return Interval{}, parameter("i", float64(i), "the number of a covariate, counted from 1")
	}
	if err := fraction("level", level); err != nil {
		return Interval{}, err
	}
	spread := f.problem.spread[i-1]
	in, err := f.profile(f.problem, f.par, tie{fixed: i, also: -1}, f.par[i], f.SECoef(i)*spread, level)
	return Interval{in.Low / spread, in.High / spread}, err
}

// recentre returns the problem and its maximum with covariates counted from the given ones, so
// that the intercept is the location there.
func (f *Fit) recentre(covariates []float64) (*problem, []float64) {
	if len(covariates) == 0 {
		return f.problem, f.par
	}
	p := *f.problem
	p.centre = covariates
	p.obs = append([]logged(nil), f.problem.obs...)
	par := append([]float64(nil), f.par...)
	shift := make([]float64, p.p)
	for j := range covariates {
		shift[j+1] = (f.problem.centre[j] - covariates[j]) / p.spread[j]
		par[0] -= par[j+1] * shift[j+1]
	}
	for i := range p.obs {
		x := append([]float64(nil), p.obs[i].x...)
		for j := 1; j < p.p; j++ {
			x[j] += shift[j]
		}
		p.obs[i].x = x
	}
	return &p, par
}

// profile finds both limits of the tied quantity, whose estimate is at with standard error se.
func (f *Fit) profile(p *problem, best []float64, t tie, at, se, level float64) (Interval, error) {
	if f.sigmaKnown {
		t.also = p.p
	}
	drop := distuv.ChiSquared{K: 1}.Quantile(level) / 2
	low, err := f.limit(p, best, t, at, -se, drop)
	if err != nil {
		return Interval{}, err
	}
	high, err := f.limit(p, best, t, at, se, drop)
	return Interval{low, high}, err
}

// limit walks from the estimate in strides until the profile has dropped enough and then closes
// in. A profile that never drops gives an infinite limit.
func (f *Fit) limit(p *problem, best []float64, t tie, at, stride, drop float64) (float64, error) {
	par := append([]float64(nil), best...)
	excess := func(x float64) (float64, error) {
		t.at = x
		v, err := newClimber(p, t).climb(par)
		if errors.Is(err, ErrUnbounded) {
			// the rest has run away: start again from the estimate
			copy(par, best)
			v, err = newClimber(p, t).climb(par)
		}
		return f.LogLik - v - drop, err
	}
	inside, insideExcess := at, -drop
	for step := range 60 {
		x := at + stride*(1+float64(step))*math.Pow(1.15, float64(step))
		e, err := excess(x)
		if err != nil {
			return 0, err
		}
		if e >= 0 {
			return closeIn(excess, inside, x, insideExcess, e)
		}
		inside, insideExcess = x, e
		if math.Abs(x-at) > 200 {
			break
		}
	}
	return math.Copysign(math.Inf(1), stride), nil
}

const profileTolerance = 1e-9 // of log-likelihood, or of the logarithm of the limit

// closeIn finds where fn crosses 0 between a and b by the Illinois variant of false position
// (Dowell and Jarratt 1971).
func closeIn(fn func(float64) (float64, error), a, b, fa, fb float64) (float64, error) {
	for range 100 {
		x := b - fb*(b-a)/(fb-fa)
		fx, err := fn(x)
		if err != nil {
			return 0, err
		}
		if math.Abs(fx) < profileTolerance || math.Abs(b-a) < profileTolerance*1e-3 {
			return x, nil
		}
		if (fx > 0) != (fb > 0) {
			a, fa = b, fb
		} else {
			fa /= 2
		}
		b, fb = x, fx
	}
	return b, nil
}
