package lifetime

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// FitOptions change a fit. The zero value estimates everything.
type FitOptions struct {
	// Sigma, above 0, is the scale of ln t taken as known: 1/beta for a Weibull life of known
	// shape. 0 estimates it, except for the exponential family, where it is 1.
	Sigma float64
}

// Fit is a maximum-likelihood estimate. It is read-only and may be used from several goroutines.
type Fit struct {
	Family   Family
	Coef     []float64 // of ln life: the intercept, then one per covariate
	LogSigma float64
	LogLik   float64 // full densities on the scale of age, as R's survreg reports it

	// Cov is the covariance of Coef and, last, LogSigma, from the observed information; the
	// row of LogSigma is 0 where sigma was known.
	Cov [][]float64

	Parts, Failures float64 // sums of weights
	Steps           int     // Newton steps taken

	sigmaKnown bool
	problem    *problem
	par        []float64 // in the problem's own scaling
}

// Estimate fits a life without covariates by maximum likelihood. Errors: [DataError],
// [ErrNoFailures], [ErrUnbounded], [ErrNotConverged].
func Estimate(family Family, obs []Observation) (*Fit, error) {
	return Regress(family, obs, FitOptions{})
}

// Regress fits ln life = coefficient · (1, covariates) + sigma·z by maximum likelihood: an
// accelerated life model, as survreg of R's survival package fits it. All observations need the
// same number of covariates. Errors as [Estimate], and [ErrSingular].
func Regress(family Family, obs []Observation, opts FitOptions) (*Fit, error) {
	if err := firstError(family.check(), notNegative("Sigma", opts.Sigma), checkAll(obs)); err != nil {
		return nil, err
	}
	p, err := newProblem(family, obs, nil)
	if err != nil {
		return nil, err
	}
	f := &Fit{Family: family, problem: p}
	for _, o := range p.obs {
		f.Parts += o.weight
		if o.outcome != Running {
			f.Failures += o.weight
		}
	}
	if f.Failures == 0 {
		return nil, ErrNoFailures
	}
	par := p.start()
	t := untied
	if family == Exponential {
		opts.Sigma = 1
	}
	if opts.Sigma > 0 {
		f.sigmaKnown = true
		t.also, par[p.p] = p.p, math.Log(opts.Sigma)
	} else if p.p == 1 && oneAgeExplainsAll(obs) {
		return nil, ErrUnbounded
	}
	c := newClimber(p, t)
	if f.LogLik, err = c.climb(par); err != nil {
		return nil, err
	}
	f.Steps, f.par = c.steps, par
	if err := f.finish(c); err != nil {
		return nil, err
	}
	return f, nil
}

// oneAgeExplainsAll is true when every failure may have been at one age that nothing outlived: the
// likelihood then grows for ever as the scatter shrinks.
func oneAgeExplainsAll(obs []Observation) bool {
	low, high := 0.0, math.Inf(1)
	for _, o := range obs {
		switch o.Outcome {
		case Failed:
			low, high = math.Max(low, o.Age), math.Min(high, o.Age)
		case Running:
			low = math.Max(low, o.Age)
		case FoundFailed:
			low, high = math.Max(low, o.Entry), math.Min(high, o.Age)
		case Between:
			low, high = math.Max(low, o.Age), math.Min(high, o.Upper)
		}
	}
	return low <= high
}

// newProblem prepares observations. Covariates are centred at centre, or at their means where
// that is nil, and scaled by their spread.
func newProblem(family Family, obs []Observation, centre []float64) (*problem, error) {
	if len(obs) == 0 {
		return nil, ErrNoFailures
	}
	k := len(obs[0].Covariates)
	p := &problem{family: family, p: k + 1, obs: make([]logged, 0, len(obs))}
	for i, o := range obs {
		if len(o.Covariates) != k {
			return nil, &DataError{i, "Covariates", float64(len(o.Covariates)),
				"as many covariates as the first observation has"}
		}
		p.obs = append(p.obs, logObservation(o))
	}
	if err := p.scale(obs, centre); err != nil {
		return nil, err
	}
	p.shorten()
	return p, nil
}

func (p *problem) scale(obs []Observation, centre []float64) error {
	k := p.p - 1
	if k == 0 {
		return nil
	}
	mean := make([]float64, k)
	p.spread = make([]float64, k)
	for j := range k {
		var sum, n float64
		for _, o := range obs {
			sum += o.weight() * o.Covariates[j]
			n += o.weight()
		}
		mean[j] = sum / n
		var squares float64
		for _, o := range obs {
			d := o.Covariates[j] - mean[j]
			squares += o.weight() * d * d
		}
		p.spread[j] = math.Sqrt(squares / n)
		if !(p.spread[j] > 1e-12*math.Abs(mean[j])) {
			return ErrSingular
		}
	}
	p.centre = mean
	if centre != nil {
		p.centre = centre
	}
	p.design(obs)
	return nil
}

func (p *problem) design(obs []Observation) {
	x := make([]float64, len(obs)*p.p)
	for i, o := range obs {
		row := x[i*p.p : (i+1)*p.p]
		row[0] = 1
		for j, v := range o.Covariates {
			row[j+1] = (v - p.centre[j]) / p.spread[j]
		}
		p.obs[i].x = row
	}
}

// start returns parameters from which the climb sets out: the mean and spread of the log ages.
func (p *problem) start() []float64 {
	var n, sum, squares float64
	top := math.Inf(-1)
	each := func(do func(y, w float64)) {
		for _, o := range p.obs {
			y := o.y
			if o.outcome == Between && !o.fromNew {
				y = (o.y + o.upper) / 2
			} else if o.outcome == Between {
				y = o.upper
			}
			if !math.IsInf(y, -1) {
				do(y, o.weight)
			}
		}
	}
	each(func(y, w float64) { n += w; sum += w * y; top = math.Max(top, y) })
	mean := sum / n
	each(func(y, w float64) { squares += w * (y - mean) * (y - mean) })
	sigma := math.Max(math.Sqrt(squares/n), 0.1)
	if p.family != Lognormal {
		mean += 0.5772 * sigma * 0.78 // the extreme value's mean lies Euler's constant below its location
		sigma *= 0.78                 // and its standard deviation is pi/sqrt 6 of its scale
	}
	sigma = math.Max(sigma, (top-mean)/3)
	par := make([]float64, p.p+1)
	par[0], par[p.p] = mean, math.Log(sigma)
	return par
}

// finish fills the coefficients and their covariance in the caller's scaling.
func (f *Fit) finish(c *climber) error {
	n := f.problem.p + 1
	k := len(c.free)
	info := mat.NewSymDense(k, nil)
	for a, i := range c.free {
		for b := a; b < k; b++ {
			info.SetSym(a, b, -c.hess[i*n+c.free[b]])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(info) || chol.Cond() > 1e14 {
		if f.problem.p == 1 {
			return ErrUnbounded
		}
		return ErrSingular
	}
	var inverse mat.SymDense
	if err := chol.InverseTo(&inverse); err != nil {
		return ErrSingular
	}
	scaled := mat.NewDense(n, n, nil)
	for a, i := range c.free {
		for b, j := range c.free {
			scaled.Set(i, j, inverse.At(a, b))
		}
	}
	back := f.problem.unscale()
	var coef mat.VecDense
	coef.MulVec(back, mat.NewVecDense(n, append([]float64(nil), f.par...)))
	var half, cov mat.Dense
	half.Mul(back, scaled)
	cov.Mul(&half, back.T())
	for i := range n {
		f.Cov = append(f.Cov, mat.Row(nil, i, &cov))
		if i < n-1 {
			f.Coef = append(f.Coef, coef.AtVec(i))
		}
	}
	f.LogSigma = coef.AtVec(n - 1)
	return nil
}

// unscale returns the matrix that turns scaled parameters into the caller's.
func (p *problem) unscale() *mat.Dense {
	n := p.p + 1
	m := mat.NewDense(n, n, nil)
	m.Set(0, 0, 1)
	m.Set(n-1, n-1, 1)
	for j := range p.p - 1 {
		m.Set(j+1, j+1, 1/p.spread[j])
		m.Set(0, j+1, -p.centre[j]/p.spread[j])
	}
	return m
}
