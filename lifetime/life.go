package lifetime

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Life is one distribution of life with known parameters. Make one with [NewWeibull]
// or [NewExponential], or take it from a [Fit]. Ages are in the unit it was made in.
type Life struct {
	Family Family
	Mu     float64 // location of ln t: ln eta for Weibull
	Sigma  float64 // scale of ln t: 1/beta for Weibull
}

// Law is what the replacement and inspection calculations need to know of a life. [Life]
// and [Posterior] (its predictive life) are laws. Arguments are ages, 0 or above.
type Law interface {
	Survival(t float64) float64 // chance to be still good at age t
	Hazard(t float64) float64   // chance of failing per unit of age at age t, given good until then
	MeanUpTo(t float64) float64 // mean age at failure or at t, whichever is first: ∫ of Survival from 0 to t
	Mean() float64              // mean life
}

// NewWeibull returns the Weibull life R(t) = exp(-(t/eta)^beta). Both parameters must be positive.
func NewWeibull(beta, eta float64) (Life, error) {
	if err := firstError(positive("beta", beta), positive("eta", eta)); err != nil {
		return Life{}, err
	}
	return Life{Weibull, math.Log(eta), 1 / beta}, nil
}

// NewExponential returns the life without memory with the given mean.
func NewExponential(mean float64) (Life, error) {
	if err := positive("mean", mean); err != nil {
		return Life{}, err
	}
	return Life{Exponential, math.Log(mean), 1}, nil
}

// Shape is 1/Sigma: Weibull's beta. Above 1 a Weibull part wears out, below 1 it dies young.
func (l Life) Shape() float64 { return 1 / l.Sigma }

// Scale is exp(Mu): Weibull's eta, the age by which 63.2 % have failed; the median of a lognormal.
func (l Life) Scale() float64 { return math.Exp(l.Mu) }

func (l Life) z(t float64) float64 { return (math.Log(t) - l.Mu) / l.Sigma }

// Survival is the chance to be still good at age t; 1 for t at or below 0.
func (l Life) Survival(t float64) float64 {
	if t <= 0 {
		return 1
	}
	return math.Exp(l.Family.logSurvivalValue(l.z(t)))
}

// Hazard is the failure rate at age t, per unit of age. At age 0 it is 0 for a part that wears
// out and may be +Inf for one that dies young.
func (l Life) Hazard(t float64) float64 {
	if t <= 0 {
		return l.hazardAtZero()
	}
	z := l.z(t)
	if l.Family != Lognormal {
		return math.Exp(z-math.Log(t)) / l.Sigma
	}
	return math.Exp(normalLogDensity(z)-normalLogSurvival(z)-math.Log(t)) / l.Sigma
}

func (l Life) hazardAtZero() float64 {
	switch {
	case l.Family == Lognormal || l.Sigma < 1:
		return 0
	case l.Sigma == 1:
		return math.Exp(-l.Mu)
	}
	return math.Inf(1)
}

// Quantile is the age by which a share p has failed: Quantile(0.1) is the B10 life. p must lie
// between 0 and 1 (panics otherwise).
func (l Life) Quantile(p float64) float64 {
	if !(p > 0 && p < 1) {
		panic("lifetime: Quantile: p outside 0 to 1")
	}
	return math.Exp(l.Mu + l.Sigma*l.Family.quantile(p))
}

// Mean is the mean life: eta·Γ(1+1/beta), or exp(mu+sigma²/2).
func (l Life) Mean() float64 {
	if l.Family == Lognormal {
		return distuv.LogNormal{Mu: l.Mu, Sigma: l.Sigma}.Mean()
	}
	return l.Scale() * math.Gamma(1+l.Sigma)
}

// SD is the standard deviation of life.
func (l Life) SD() float64 {
	if l.Family == Lognormal {
		return distuv.LogNormal{Mu: l.Mu, Sigma: l.Sigma}.StdDev()
	}
	return distuv.Weibull{K: l.Shape(), Lambda: l.Scale()}.StdDev()
}

// MeanUpTo is ∫ of Survival from 0 to t. Weibull: (eta/beta)·Γ(1/beta)·P(1/beta, (t/eta)^beta)
// with P the regularised lower incomplete gamma function; lognormal: t·R(t) plus the partial
// expectation.
func (l Life) MeanUpTo(t float64) float64 {
	if t <= 0 {
		return 0
	}
	z := l.z(t)
	if l.Family == Lognormal {
		below := distuv.UnitNormal.CDF(z - l.Sigma)
		return t*math.Exp(normalLogSurvival(z)) + l.Mean()*below
	}
	x := math.Exp(z)
	if x > 700 {
		return l.Mean()
	}
	return l.Mean() * mathext.GammaIncReg(l.Sigma, x)
}

// FailWithin is the chance that a part good at an age fails within the next x: 1 - R(age+x)/R(age).
func (l Life) FailWithin(age, x float64) float64 {
	if x <= 0 {
		return 0
	}
	before := 0.0
	if age > 0 {
		before = l.Family.logSurvivalValue(l.z(age))
	}
	return -math.Expm1(l.Family.logSurvivalValue(l.z(age+x)) - before)
}
