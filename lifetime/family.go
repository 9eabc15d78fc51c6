package lifetime

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Family is a distribution of life. All three are log-location-scale families: z = (ln t - mu)/sigma
// has a fixed distribution, the smallest extreme value for Weibull and exponential, the normal for
// lognormal.
type Family int

// The families.
const (
	Weibull     Family = iota // mu = ln eta, sigma = 1/beta
	Lognormal                 // mu and sigma of ln t
	Exponential               // Weibull with shape 1
)

// String returns the family's name.
func (f Family) String() string {
	switch f {
	case Weibull:
		return "Weibull"
	case Lognormal:
		return "lognormal"
	case Exponential:
		return "exponential"
	}
	return "unknown family"
}

func (f Family) check() error {
	if f < Weibull || f > Exponential {
		return parameter("Family", float64(f), "Weibull, Lognormal or Exponential")
	}
	return nil
}

// curve is a function with its first two derivatives at one point.
type curve struct{ v, d1, d2 float64 }

// ridge is a function of two arguments with its derivatives at one point.
type ridge struct{ v, a, b, aa, ab, bb float64 }

// logSurvival is ln S(z). S is exp(-e^z) for the extreme value family.
func (f Family) logSurvival(z float64) curve {
	if f != Lognormal {
		e := math.Exp(z)
		return curve{-e, -e, -e}
	}
	s := normalLogSurvival(z)
	h := math.Exp(normalLogDensity(z) - s)
	return curve{s, -h, -h * (h - z)}
}

// logDensity is ln f(z).
func (f Family) logDensity(z float64) curve {
	if f != Lognormal {
		e := math.Exp(z)
		return curve{z - e, 1 - e, -e}
	}
	return curve{normalLogDensity(z), -z, -1}
}

// logBetween is ln(S(a) - S(b)) for a < b.
func (f Family) logBetween(a, b float64) ridge {
	v := f.logBetweenValue(a, b)
	fa, fb := f.logDensity(a), f.logDensity(b)
	ra, rb := math.Exp(fa.v-v), math.Exp(fb.v-v)
	return ridge{
		v: v, a: -ra, b: rb,
		aa: -ra*fa.d1 - ra*ra, ab: ra * rb, bb: rb*fb.d1 - rb*rb,
	}
}

func (f Family) logBetweenValue(a, b float64) float64 {
	if f == Lognormal && a < 0 { // the lower tail keeps its digits there
		a, b = -b, -a
	}
	sa, sb := f.logSurvivalValue(a), f.logSurvivalValue(b)
	return sa + math.Log(-math.Expm1(sb-sa))
}

func (f Family) logSurvivalValue(z float64) float64 {
	if f != Lognormal {
		return -math.Exp(z)
	}
	return normalLogSurvival(z)
}

// quantile is the z below which a share p lies.
func (f Family) quantile(p float64) float64 {
	if f != Lognormal {
		return math.Log(-math.Log1p(-p))
	}
	return distuv.UnitNormal.Quantile(p)
}

func normalLogDensity(z float64) float64 { return -z*z/2 - 0.5*math.Log(2*math.Pi) }

// normalLogSurvival is ln(1 - Phi(z)). Beyond z = 25 the asymptotic series is exact to double
// precision (Abramowitz and Stegun 1964, 26.2.12).
func normalLogSurvival(z float64) float64 {
	if z < 25 {
		return math.Log(0.5 * math.Erfc(z/math.Sqrt2))
	}
	i := 1 / (z * z)
	return normalLogDensity(z) - math.Log(z) + math.Log1p(-i*(1-3*i*(1-5*i*(1-7*i))))
}
