package wear

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Line is a straight line through transformed measurements by ordinary least squares, for
// comparison with a [Forecast]. It has no band worth the name: what it knows of scatter is
// ResidualSD.
type Line struct {
	Intercept, Slope float64 // of the transformed value on the transformed exposure
	ResidualSD       float64 // transformed; 0 with too few points to tell
	Crossing         float64 // exposure at which the line meets the limit; +Inf where it does not from 0 on
}

// PlainLine fits the line on a bend: values and exposures are raised to the bend's powers, 0
// standing for the natural logarithm. throughOrigin forces it through 0. At least two measurements at different
// exposures are needed.
func PlainLine(p Path, l Limit, axis int, b Bend, throughOrigin bool) (Line, error) {
	if axis < 0 || len(p) > 0 && axis >= len(p[0].Exposure) {
		return Line{}, &DataError{-1, -1, "axis", float64(axis), "the index of an exposure"}
	}
	if len(p) < 2 || p[0].Exposure[axis] == p[len(p)-1].Exposure[axis] {
		return Line{}, ErrTooLittle
	}
	if err := p.check(-1, len(p[0].Exposure)); err != nil {
		return Line{}, err
	}
	var x, y []float64
	for i, o := range p {
		u, v := toPower(o.Exposure[axis], b.Exposure), toPower(o.Value, b.Value)
		if !finite(u) || !finite(v) {
			return Line{}, &DataError{-1, i, "Value", o.Value, "values and exposures above 0 for this bend"}
		}
		x, y = append(x, u), append(y, v)
	}
	var out Line
	out.Intercept, out.Slope = stat.LinearRegression(x, y, nil, throughOrigin)
	squares, free := 0.0, float64(len(x)-2)
	if throughOrigin {
		free++
	}
	for i := range x {
		d := y[i] - out.Intercept - out.Slope*x[i]
		squares += d * d
	}
	if free > 0 {
		out.ResidualSD = math.Sqrt(squares / free)
	}
	out.Crossing = fromPower((toPower(l.Value, b.Value)-out.Intercept)/out.Slope, b.Exposure)
	if math.IsNaN(out.Crossing) || out.Crossing < 0 {
		out.Crossing = math.Inf(1)
	}
	return out, nil
}

func toPower(x, p float64) float64 {
	if p == 0 {
		return math.Log(x)
	}
	return math.Pow(x, p)
}

func fromPower(y, p float64) float64 {
	if p == 0 {
		return math.Exp(y)
	}
	return math.Pow(y, 1/p)
}
