package wear

import (
	"fmt"
	"math"
)

// Bend is a pair of transforms under which a path is taken to be straight: value to the power
// Value (0: its logarithm; the family of Box and Cox 1964) against exposure to the power Exposure
// (0: its logarithm). Value -1 against exposure is a crack that grows by the square of its length;
// the growth law of Paris and Erdogan (1963) with exponent m has Value 1-m/2.
type Bend struct{ Value, Exposure float64 }

// String says it in words.
func (b Bend) String() string {
	return power("value", b.Value) + " against " + power("exposure", b.Exposure)
}

func power(of string, p float64) string {
	switch p {
	case 0:
		return "log " + of
	case 0.5:
		return "square root of " + of
	case 1:
		return of
	}
	return fmt.Sprintf("%s to the power %g", of, p)
}

// bends are the candidates with their prior weights, a judgement from what wear is known to do: the
// steady rate of sliding wear first (Archard 1953); rates that slow down, as running in, films that
// grow by diffusion (Wagner 1933, the square root) and creep do; rates that gather speed with age; and wear
// that feeds on itself, as growth by a share and cracks do (Paris and Erdogan 1963: exponents of 2 to 4 have
// powers of 0 to -1, and more where the part gets weaker all over). All from memory.
var bends = [...]struct {
	Bend
	weight float64
}{
	{Bend{1, 1}, 4},
	{Bend{1, 0.2}, 0.2},
	{Bend{1, 1. / 3}, 0.4},
	{Bend{1, 0.5}, 0.6},
	{Bend{1, 0.7}, 1},
	{Bend{1, 1.4}, 1},
	{Bend{1, 2}, 0.5},
	{Bend{0.5, 1}, 1},
	{Bend{0, 1}, 2},
	{Bend{-0.5, 1}, 1},
	{Bend{-1, 1}, 1},
	{Bend{-1.5, 1}, 0.5},
	{Bend{-2, 1}, 0.5},
	{Bend{-3, 1}, 0.5},
	{Bend{0, 0}, 2},
}

// scale fixes the units the model works in: values as shares of the limit (or of the way to it),
// exposures as shares of a typical life.
type scale struct {
	limit Limit
	unit  float64 // of values
	way   float64 // typical rise from new to the limit, in unit
	mid   float64 // a value half-way, in unit
	life  float64 // typical exposure from new to the limit
	start float64 // typical value of a new part, in unit
}

const countShift = 0.375 // Anscombe 1948: the shift that steadies the scatter of small counts

// in returns a value in the scale's unit.
func (s *scale) in(value float64) float64 {
	if s.limit.Counts {
		value += countShift
	}
	return value / s.unit
}

// smallestShare is the share of the limit, or of a life, below which powers and logarithms would
// let one early measurement outweigh all others.
const smallestShare = 1e-3

// value transforms a value in the scale's unit so that it rises towards the limit.
func (b Bend) value(u float64, falling bool) float64 {
	z := 0.0
	switch b.Value {
	case 1:
		z = u - 1
	case 0:
		z = math.Log(u)
	case -1:
		z = 1 - 1/u
	case 0.5:
		z = 2 * (math.Sqrt(u) - 1)
	default:
		z = (math.Pow(u, b.Value) - 1) / b.Value
	}
	if falling {
		return -z
	}
	return z
}

// slope is the derivative of value at u, without its sign.
func (b Bend) slope(u float64) float64 {
	if b.Value == 1 {
		return 1
	}
	return math.Pow(u, b.Value-1)
}

// takes is true when a value, in the scale's unit, can be transformed.
func (b Bend) takes(u float64) bool { return b.Value == 1 || u > smallestShare }

// exposure transforms an exposure counted in lives.
func (b Bend) exposure(x float64) float64 {
	switch b.Exposure {
	case 1:
		return x
	case 0:
		return math.Log(x)
	case 0.5:
		return math.Sqrt(x)
	}
	return math.Pow(x, b.Exposure)
}

// takesExposure is true when an exposure, in lives, can be transformed.
func (b Bend) takesExposure(x float64) bool { return b.Exposure > 0 || x > smallestShare*smallestShare }
