package units

import (
	"math"
	"strconv"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
)

// Quantity is a figure with its unit, kept as it was typed: "1/2 in" and
// "12.7 mm" are different quantities of the same size. Compare compares sizes;
// == tells whether two were typed alike. The zero Quantity means "none".
type Quantity struct {
	num  number
	unit string
	dim  Dimension
}

// New returns the quantity value in unit, its text being the shortest decimal
// that stands for the value. The unit may be in any accepted spelling; the empty
// unit makes a Number. Money is rounded to the minor unit of its currency. A
// value that is not finite or is 10^15 or more, and an unknown unit, give an
// *Error.
func New(value float64, unit string) (Quantity, error) {
	text := strconv.FormatFloat(value, 'g', -1, 64)
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return Quantity{}, &Error{Text: text, Problem: "is not a finite figure", Suggestion: "give a finite one"}
	}
	const limit, smallest = 1e15, 1e-12
	if math.Abs(value) >= limit {
		return Quantity{}, &Error{Text: text, Problem: "is too large to keep", Suggestion: "give a figure below 10^15"}
	}
	if math.Abs(value) < smallest {
		value = 0
	}
	row := &unitless
	if unit != "" {
		if row = lookup(unit); row == nil {
			return Quantity{}, &Error{Text: unit, Problem: "is not a unit that is known",
				Suggestion: "write a unit such as km, N·m or mm"}
		}
	}
	places := -1
	if row.dim == Money {
		places = minorDigits(row.symbol)
	}
	n, problem, _ := readNumber(strconv.FormatFloat(value, 'f', places, 64))
	if problem != "" {
		return Quantity{}, &Error{Text: text, Problem: problem, Suggestion: "give a figure below 10^15"}
	}
	return Quantity{num: n, unit: row.symbol, dim: row.dim}, nil
}

// unitless is the row of a pure number.
var unitless = unit{dim: Number, num: 1, den: 1, systems: everyone}

// Must is New for values known to be good; it panics on an error.
func Must(value float64, unit string) Quantity {
	q, err := New(value, unit)
	if err != nil {
		panic("units: " + err.Error())
	}
	return q
}

// IsZero reports whether q is the zero Quantity, which means "none". A quantity
// of no size, "0 km", is not zero in this sense.
func (q Quantity) IsZero() bool { return q == Quantity{} }

// Dimension returns what q measures; 0 for none.
func (q Quantity) Dimension() Dimension { return q.dim }

// Value returns the figure in q's own unit.
func (q Quantity) Value() float64 { return q.num.value }

// Number returns the figure as typed, without separators: "8200", "1 1/2".
func (q Quantity) Number() string { return q.num.text }

// Unit returns the canonical symbol of the unit; empty for a Number.
func (q Quantity) Unit() string { return q.unit }

// String returns the quantity as typed, in the canonical spacing: "8200 mi",
// "1 year", "12°", "24.50 GBP". Reading it gives q again. It is empty for none.
func (q Quantity) String() string {
	if q.IsZero() {
		return ""
	}
	return join(q.num.text, q.unit)
}

// MarshalText writes String; none gives empty text.
func (q Quantity) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText reads any quantity, as ParseAny; empty text gives none. A bare
// figure becomes a Number: a field that wants a unit must check Dimension, or
// read its text with Parse.
func (q *Quantity) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*q = Quantity{}
		return nil
	}
	parsed, err := ParseAny(string(text))
	if err != nil {
		return err
	}
	*q = parsed
	return nil
}

// Span returns a TimeSpan as calendar months and days: years count twelve
// months, so "4.5 years" is 54 months. What is left of a broken month is days,
// at civil.DaysPerMonth. Weeks, hours and shorter are days. Other dimensions
// give an *Error.
func (q Quantity) Span() (civil.Span, error) {
	if q.dim != TimeSpan {
		return civil.Span{}, q.misuse(TimeSpan)
	}
	months := q.num.value
	switch q.unit {
	case "years":
		months *= 12
	case "months":
	default:
		return civil.Span{Days: q.Base()}, nil
	}
	const slack = 1e-9 // of a month: 0.1 years is 1.2000000000000002 months
	if whole := math.Round(months); math.Abs(months-whole) < slack {
		return civil.Span{Months: int(whole)}, nil
	}
	whole := math.Trunc(months)
	return civil.Span{Months: int(whole), Days: (months - whole) * civil.DaysPerMonth}, nil
}

// misuse is the error of using q where another dimension is needed.
func (q Quantity) misuse(wanted Dimension) *Error {
	problem := message.Text("is no quantity")
	if !q.IsZero() {
		problem = message.Of("is %s, not %s", q.dim.withArticle(), wanted.withArticle())
	}
	return &Error{Text: q.String(), Problem: problem, Want: want(wanted), Suggestion: offer("", wanted)}
}

// row returns the table row of q's unit.
func (q Quantity) row() *unit {
	if q.unit == "" {
		return &unitless
	}
	return lookup(q.unit)
}
