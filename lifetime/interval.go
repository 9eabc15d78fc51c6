package lifetime

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Interval is a range with its lower and upper limit. Where the data set no limit on a side, Low
// is 0 (-Inf for a coefficient) or High is +Inf.
type Interval struct{ Low, High float64 }

// Life returns the fitted life at the given covariates (none for [Estimate]).
func (f *Fit) Life(covariates ...float64) (Life, error) {
	mu := f.Coef[0]
	if len(covariates) != len(f.Coef)-1 {
		return Life{}, parameter("covariates", float64(len(covariates)), "as many covariates as were fitted")
	}
	for j, x := range covariates {
		if !finite(x) {
			return Life{}, parameter("covariates", x, "finite numbers")
		}
		mu += f.Coef[j+1] * x
	}
	return Life{f.Family, mu, math.Exp(f.LogSigma)}, nil
}

// Shape is 1/sigma, Weibull's beta.
func (f *Fit) Shape() float64 { return math.Exp(-f.LogSigma) }

// Scale is the fitted life's [Life.Scale]; only meaningful without covariates.
func (f *Fit) Scale() float64 { return math.Exp(f.Coef[0]) }

// SELogShape is the standard error of ln shape, 0 where it was known.
func (f *Fit) SELogShape() float64 {
	n := len(f.Cov) - 1
	return math.Sqrt(f.Cov[n][n])
}

// SECoef is the standard error of coefficient i, 0 being the intercept.
func (f *Fit) SECoef(i int) float64 { return math.Sqrt(f.Cov[i][i]) }

// AIC is Akaike's information criterion: twice the number of parameters less twice LogLik.
func (f *Fit) AIC() float64 {
	k := float64(len(f.Coef))
	if !f.sigmaKnown {
		k++
	}
	return 2*k - 2*f.LogLik
}

// SELogPercentile is the standard error of the logarithm of the age by which a share p has failed,
// at the given covariates, by the delta method.
func (f *Fit) SELogPercentile(p float64, covariates ...float64) (float64, error) {
	if err := f.checkPercentile(p, covariates); err != nil {
		return 0, err
	}
	g := append([]float64{1}, covariates...)
	g = append(g, f.Family.quantile(p)*math.Exp(f.LogSigma))
	variance := 0.0
	for i := range g {
		for j := range g {
			variance += g[i] * f.Cov[i][j] * g[j]
		}
	}
	return math.Sqrt(variance), nil
}

func (f *Fit) checkPercentile(p float64, covariates []float64) error {
	if err := fraction("p", p); err != nil {
		return err
	}
	_, err := f.Life(covariates...)
	return err
}

// scaleShare is the share failed by the age called Scale: 63.2 % for Weibull, half for lognormal.
func (f Family) scaleShare() float64 {
	if f == Lognormal {
		return 0.5
	}
	return 1 - math.Exp(-1)
}

// WaldShape is the interval of the shape that is symmetric on its logarithm, at a level such as 0.95.
func (f *Fit) WaldShape(level float64) (Interval, error) {
	if err := fraction("level", level); err != nil {
		return Interval{}, err
	}
	return wald(f.Shape(), f.SELogShape(), level), nil
}

// WaldPercentile is the interval, symmetric on the logarithm, of the age by which a share p has
// failed. [Fit.WaldScale] is the one of Scale.
func (f *Fit) WaldPercentile(p, level float64, covariates ...float64) (Interval, error) {
	se, err := f.SELogPercentile(p, covariates...)
	if err = firstError(err, fraction("level", level)); err != nil {
		return Interval{}, err
	}
	life, err := f.Life(covariates...)
	return wald(life.Quantile(p), se, level), err
}

// WaldScale is the interval of Scale (Weibull's eta), symmetric on its logarithm.
func (f *Fit) WaldScale(level float64, covariates ...float64) (Interval, error) {
	return f.WaldPercentile(f.Family.scaleShare(), level, covariates...)
}

// WaldCoef is the interval of coefficient i, symmetric about it.
func (f *Fit) WaldCoef(i int, level float64) (Interval, error) {
	if i < 0 || i >= len(f.Coef) {
		return Interval{}, parameter("i", float64(i), "the index of a coefficient")
	}
	if err := fraction("level", level); err != nil {
		return Interval{}, err
	}
	d := normalHalfWidth(level) * f.SECoef(i)
	return Interval{f.Coef[i] - d, f.Coef[i] + d}, nil
}

func normalHalfWidth(level float64) float64 { return distuv.UnitNormal.Quantile((1 + level) / 2) }

func wald(at, se, level float64) Interval {
	factor := math.Exp(normalHalfWidth(level) * se)
	return Interval{at / factor, at * factor}
}
