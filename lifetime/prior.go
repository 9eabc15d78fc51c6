package lifetime

import (
	"math"
)

// What [FromInterval] assumes where nothing else is said.
const (
	DefaultShare      = 0.10 // a stated interval is read as the age by which this share has failed
	DefaultLifeLogSD  = 0.3  // of that age: 95 % between 0.56 and 1.8 of it
	DefaultShape      = 3.0  // median Weibull shape: wearing out, neither sudden nor slow
	DefaultShapeLogSD = 0.4  // 95 % between 1.4 and 6.6
)

// Prior is what is believed of a kind of part before this yard's own observations: independent
// normal distributions of ln shape and of the logarithm of one percentile of life.
type Prior struct {
	Family Family

	Shape      float64 // median of the shape (1/sigma); ignored for Exponential
	ShapeLogSD float64 // standard deviation of its logarithm; 0 means the shape is known

	// Share names the percentile of life: 0.1 for B10; 0 for the life's Scale (Weibull's eta, the
	// lognormal's median).
	Share    float64
	Age      float64 // median of that percentile, in the unit of the observations
	AgeLogSD float64 // standard deviation of its logarithm; 0 means it is known

	// AnyAge is how likely it is that parts fail at any age instead: exponential lives of the same mean, known as
	// little (see [Prior.MeanLife]); by Age more than Share of them have failed. 0 for never, below 1.
	AnyAge float64
}

// Reading says how a stated interval is read. Zero fields take the defaults above.
type Reading struct {
	Family     Family
	Share      float64
	LogSD      float64
	Shape      float64
	ShapeLogSD float64
	AnyAge     float64 // see [Prior]; 0 for never
}

// FromInterval makes a prior of the interval at which an authority wants a part replaced. No public
// rule says which share of parts may have failed by then; the interval is read as an early
// percentile, B10 unless the reading says otherwise, as bearing practice states its L10 (ISO 281, from memory).
// Prior holds all of it as figures, which are to be told with every chance that rests on it.
func FromInterval(interval float64, r Reading) (Prior, error) {
	p := Prior{
		Family: r.Family, Age: interval,
		Shape:      or(r.Shape, DefaultShape),
		ShapeLogSD: or(r.ShapeLogSD, DefaultShapeLogSD),
		Share:      or(r.Share, DefaultShare),
		AgeLogSD:   or(r.LogSD, DefaultLifeLogSD),
		AnyAge:     r.AnyAge,
	}
	if err := p.check(); err != nil {
		return Prior{}, err
	}
	return p, nil
}

func or(value, otherwise float64) float64 {
	if value == 0 {
		return otherwise
	}
	return value
}

func (p Prior) check() error {
	if err := firstError(p.Family.check(), positive("Age", p.Age), notNegative("AgeLogSD", p.AgeLogSD)); err != nil {
		return err
	}
	if p.Share < 0 || p.Share >= 1 || math.IsNaN(p.Share) {
		return parameter("Share", p.Share, "a fraction between 0 and 1, or 0 for the scale")
	}
	if !(p.AnyAge >= 0 && p.AnyAge < 1) || p.AnyAge > 0 && p.Family != Weibull {
		return parameter("AnyAge", p.AnyAge, "0 to below 1, of Weibull lives")
	}
	if p.AgeLogSD > 5 {
		return parameter("AgeLogSD", p.AgeLogSD, "at most 5: a life is not less certain than that")
	}
	if p.Family == Exponential {
		return nil
	}
	if p.ShapeLogSD > 2 {
		return parameter("ShapeLogSD", p.ShapeLogSD, "at most 2")
	}
	return firstError(positive("Shape", p.Shape), notNegative("ShapeLogSD", p.ShapeLogSD))
}

// MeanLife is the mean life of a Weibull prior at its medians, and how little it is known: the standard deviation of
// its logarithm, by the percentile's own and by how far from there the mean lies, which the shape decides.
func (p Prior) MeanLife() (mean, logSD float64) {
	q := p.quantile()
	return math.Exp(math.Log(p.Age)-q/p.Shape) * math.Gamma(1+1/p.Shape), math.Hypot(p.AgeLogSD, q/p.Shape*p.ShapeLogSD)
}

// ageless is the prior where lives are those of AnyAge.
func (p Prior) ageless() Prior {
	mean, logSD := p.MeanLife()
	return Prior{Family: Exponential, Age: mean, AgeLogSD: logSD}
}

// quantile is the standard quantile of the prior's percentile.
func (p Prior) quantile() float64 {
	if p.Share == 0 {
		return 0
	}
	return p.Family.quantile(p.Share)
}

// life returns the life at a point of the grid: u = ln shape, v = ln of the percentile.
func (p Prior) life(u, v, q float64) Life {
	sigma := math.Exp(-u)
	return Life{p.Family, v - sigma*q, sigma}
}

// reach is how far, in standard deviations, the grid of a prior extends.
const reach = 6

func (p Prior) shapeAxis() axis {
	if p.Family == Exponential {
		return axis{}
	}
	return priorAxis(math.Log(p.Shape), p.ShapeLogSD)
}

func (p Prior) ageAxis() axis { return priorAxis(math.Log(p.Age), p.AgeLogSD) }

// axis is one side of a grid with the normal density along it.
type axis struct {
	mean, sd  float64
	low, high float64
}

func priorAxis(mean, sd float64) axis {
	return axis{mean, sd, mean - reach*sd, mean + reach*sd}
}

// known is true for an axis of one point.
func (a axis) known() bool { return a.sd == 0 }

func (a axis) nodes(n int) int {
	if a.known() {
		return 1
	}
	return n
}

func (a axis) spacing(n int) float64 {
	if a.known() {
		return 1
	}
	return (a.high - a.low) / float64(n-1)
}

func (a axis) at(i, n int) float64 {
	if a.known() {
		return a.mean
	}
	return a.low + float64(i)*a.spacing(n)
}

// logTop is the normal log density at its mean; 0 for a known value.
func (a axis) logTop() float64 {
	if a.known() {
		return 0
	}
	return normalLogDensity(0) - math.Log(a.sd)
}

// logDensity is the normal log density; 0 for a known value.
func (a axis) logDensity(x float64) float64 {
	if a.known() {
		return 0
	}
	z := (x - a.mean) / a.sd
	return a.logTop() - z*z/2
}
