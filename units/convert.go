package units

import (
	"cmp"
	"math"
	"math/big"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/message"
)

// Base returns the size in the base unit of q's dimension; 0 for none.
//
//	Distance km       Length mm        Torque N·m      Temperature °C
//	Pressure kPa      Force N          Mass g          Volume l
//	TimeSpan days     Voltage V        Current A       Resistance Ω
//	Angle °           Percent %        Frequency Hz    Speed rpm
//	RoadSpeed km/h    Density per mm   Hardness        Shore A
//	Concentration ppm SpecificGravity SG Power W
//	EngineHours h
//
// Money and Number have no other unit: their base is the figure itself.
func (q Quantity) Base() float64 {
	if q.IsZero() {
		return 0
	}
	row := q.row()
	return (q.num.value + float64(row.shift)/100) * float64(row.num) / float64(row.den)
}

// Convert returns the size in another unit of the same dimension, in any
// accepted spelling. An unknown unit, a unit of another dimension or currency,
// and no quantity give an *Error.
func (q Quantity) Convert(unit string) (float64, error) {
	to, err := q.target(unit)
	if err != nil {
		return 0, err
	}
	from := q.row()
	if from.symbol == to.symbol {
		return q.num.value, nil
	}
	value := q.num.value + float64(from.shift)/100
	value = value * (float64(from.num) * float64(to.den)) / (float64(from.den) * float64(to.num))
	return value - float64(to.shift)/100, nil
}

// In is Convert for a unit known to fit; it panics where Convert gives an error,
// as that is a mistake in the program.
func (q Quantity) In(unit string) float64 {
	value, err := q.Convert(unit)
	if err != nil {
		panic("units: " + err.Error())
	}
	return value
}

// target finds the unit to convert q to.
func (q Quantity) target(spelling string) (*unit, error) {
	fail := func(problem, suggestion message.Text) (*unit, error) {
		return nil, &Error{Text: q.String(), Problem: problem, Want: want(q.dim), Suggestion: suggestion}
	}
	if q.IsZero() {
		return fail("is no quantity", "give one before converting it")
	}
	if spelling == "" && q.dim == Number {
		return &unitless, nil
	}
	to := lookup(spelling)
	if to == nil {
		return fail(message.Of("cannot be had in %s", quote(spelling)), offerUnits(q.dim))
	}
	if to.dim != q.dim {
		return fail(message.Of("is %s and cannot be had in %s", q.dim.withArticle(), to.symbol), offerUnits(q.dim))
	}
	if q.dim == Money && to.symbol != q.unit {
		return fail(message.Of("cannot be had in %s", to.symbol),
			message.Of("keep to %s: rates of exchange change daily", q.unit))
	}
	return to, nil
}

// offerUnits names units that a quantity of the dimension can be had in.
func offerUnits(d Dimension) message.Text {
	choices := traitOf(d).suggest
	if len(choices) == 0 {
		return "a pure number has no unit"
	}
	return message.Of("use %s", orList(choices))
}

// Compare compares sizes exactly, whatever the units: -1 when q is smaller than
// other, +1 when it is larger, 0 when they are the same size ("1/2 in" and
// "12.7 mm"). Different dimensions, different currencies and no quantity give an
// *Error.
func (q Quantity) Compare(other Quantity) (int, error) {
	if q.IsZero() || other.IsZero() || q.dim != other.dim {
		return 0, q.incomparable(other)
	}
	if q.dim == Money && q.unit != other.unit {
		return 0, q.incomparable(other)
	}
	if q.unit == other.unit && !q.num.isFraction() && !other.num.isFraction() && q.num.value != other.num.value {
		return cmp.Compare(q.num.value, other.num.value), nil
	}
	const doubt = 1e-12 // relative; the rounding of Base is some 1e-15
	a, b := q.Base(), other.Base()
	if math.Abs(a-b) > doubt*(math.Abs(a)+math.Abs(b)+1000) {
		return cmp.Compare(a, b), nil
	}
	return q.exact().Cmp(other.exact()), nil
}

// incomparable is the error of comparing two quantities that are not alike.
func (q Quantity) incomparable(other Quantity) *Error {
	text := other.String()
	if q.IsZero() {
		text = q.String()
	}
	e := &Error{Text: text, Want: want(q.dim), Suggestion: "compare quantities of one kind"}
	switch {
	case text == "":
		e.Problem = "is no quantity"
	case q.dim == other.dim:
		e.Problem = message.Of("is in another currency than %s", q)
		e.Suggestion = message.Of("keep to %s", q.unit)
	default:
		e.Problem = message.Of("is %s, %s is %s", other.dim.withArticle(), q, q.dim.withArticle())
	}
	return e
}

// exact returns the size in base units as a fraction.
func (q Quantity) exact() *big.Rat {
	row := q.row()
	size := q.num.rat()
	size.Add(size, big.NewRat(row.shift, 100))
	return size.Mul(size, big.NewRat(row.num, row.den))
}

// To returns q converted for a reader. The figure is rounded as NIST SP 811
// (2008) B.7.1 advises: to as many significant digits as it was typed with, or
// one more when the first digit of the result is smaller than that of the
// original; but to three at least, as "1 in" is usually a nominal size. A result
// that needs fewer digits gets no zeros added. Temperatures keep the number of
// decimals. In its own unit q stays as it is, and also when the figure would have
// more than 15 digits before the point. Like In it panics when the unit does not
// fit.
func (q Quantity) To(unit string) Quantity { return q.to(unit, q.num.significant()) }

// to is To for a figure that claims so many significant digits.
func (q Quantity) to(unit string, digits int) Quantity {
	to, err := q.target(unit)
	if err != nil {
		panic("units: " + err.Error())
	}
	if to.symbol == q.unit {
		return q
	}
	size := q.exact()
	size.Mul(size, big.NewRat(to.den, to.num))
	size.Sub(size, big.NewRat(to.shift, 100))
	text := decimalText(size, q.num.decimals())
	if to.dim != Temperature {
		text = roundLike(size, q.num, digits)
	}
	n, problem, _ := readNumber(text)
	if problem != "" {
		return q
	}
	return Quantity{num: n, unit: to.symbol, dim: to.dim}
}

// roundLike writes a converted size with the significant digits that the
// original claims.
func roundLike(size *big.Rat, original number, digits int) string {
	const fewest, most = 3, 12
	value, _ := size.Float64()
	if value == 0 {
		return "0"
	}
	first, exponent := leading(value)
	if originally, _ := leading(original.value); first < originally {
		digits++
	}
	digits = min(max(digits, fewest), most)
	places := digits - 1 - exponent
	for fewer := 0; fewer < places; fewer++ {
		if text := decimalText(size, fewer); sameSize(text, size) {
			return text
		}
	}
	if places >= 0 {
		return decimalText(size, min(places, maxDecimals))
	}
	// Round whole figures to tens, hundreds and so on.
	step := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(-places)), nil))
	rounded, _ := new(big.Rat).SetString(decimalText(new(big.Rat).Quo(size, step), 0))
	return decimalText(rounded.Mul(rounded, step), 0)
}

// sameSize reports whether the decimal text stands for exactly that size.
func sameSize(text string, size *big.Rat) bool {
	r, ok := new(big.Rat).SetString(text)
	return ok && r.Cmp(size) == 0
}

// leading returns the first significant digit of a finite value and its power of
// ten: 2 and 3 for 2540. It goes through the shortest text because the logarithm
// of 1000 is not exactly 3. 0 gives 0 and 0.
func leading(value float64) (digit, exponent int) {
	text := strconv.FormatFloat(math.Abs(value), 'e', -1, 64)
	_, power, _ := strings.Cut(text, "e")
	exponent, _ = strconv.Atoi(power)
	return int(text[0] - '0'), exponent
}

// decimalText writes a fraction in decimals, halves rounded away from zero.
func decimalText(r *big.Rat, places int) string { return r.FloatString(places) }
