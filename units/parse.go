package units

import (
	"strings"

	"undertray.example/undertray/internal/message"
)

// Parse reads a quantity of the given dimension: "8200 mi", "13 200km", `3/8"`,
// "25 lb-ft", "£24.50". A bare figure is accepted for Number and for
// SpecificGravity. The error is an *Error that says what would be right.
func Parse(s string, d Dimension) (Quantity, error) {
	q, err := read(s, d)
	if err != nil {
		return Quantity{}, err
	}
	return q, nil
}

// ParseAny reads a quantity of whatever dimension its unit belongs to; a bare
// figure is a Number. The error is an *Error.
func ParseAny(s string) (Quantity, error) { return Parse(s, 0) }

// MustParse is ParseAny for quantities written in the program; it panics on an
// error.
func MustParse(s string) Quantity {
	q, err := ParseAny(s)
	if err != nil {
		panic("units: " + err.Error())
	}
	return q
}

// read is Parse with the error in its own type; d is 0 when any dimension will do.
func read(s string, d Dimension) (Quantity, *Error) {
	fail := func(problem, suggestion message.Text) (Quantity, *Error) {
		return Quantity{}, &Error{Text: s, Problem: problem, Want: want(d), Suggestion: suggestion}
	}
	text := tidy(s)
	if d == Money {
		text = strings.ToUpper(text)
	}
	if text == "" {
		return fail("holds no quantity", offer("", d))
	}
	figure, spelling := splitNumber(unitLast(text))
	if figure == "" {
		return fail("does not begin with a figure", offer("", d))
	}
	n, problem, better := readNumber(figure)
	if problem != "" {
		return fail(problem, offerCorrected(better, spelling, d))
	}
	if spelling == "" {
		return bare(n, d, fail)
	}
	row := hoursFor(lookup(spelling), d)
	if row == nil {
		return fail(unknownUnit(n, spelling, d))
	}
	if d != 0 && row.dim != d {
		return fail(wrongDimension(n, row, d))
	}
	return newQuantity(n, row, fail)
}

// hoursFor is the row, or that of hours of the sort which is asked for: "h" is what an
// hour meter counts, and "hours" a span of time, unless the other is wanted.
func hoursFor(row *unit, d Dimension) *unit {
	switch {
	case row != nil && row.symbol == "h" && d == TimeSpan:
		return lookup("hours")
	case row != nil && row.symbol == "hours" && d == EngineHours:
		return lookup("h")
	}
	return row
}

// ParseRun reads what a vehicle has run or is to run, a distance or engine hours,
// where it is not known yet which of them it counts. The error is an *Error.
func ParseRun(s string) (Quantity, error) {
	q, err := Parse(s, Distance)
	if err != nil {
		if h, e := Parse(s, EngineHours); e == nil {
			return h, nil
		}
	}
	return q, err
}

// failure builds the result of a failed read.
type failure func(problem, suggestion message.Text) (Quantity, *Error)

// bare makes a quantity of a figure that has no unit.
func bare(n number, d Dimension, fail failure) (Quantity, *Error) {
	switch d {
	case 0, Number:
		return Quantity{num: n, dim: Number}, nil
	case SpecificGravity:
		return Quantity{num: n, unit: "SG", dim: SpecificGravity}, nil
	default:
		return fail("has no unit", offer(n.text, d))
	}
}

// newQuantity joins a figure and a unit. An amount of money must be decimal,
// with no more decimals than its currency has.
func newQuantity(n number, row *unit, fail failure) (Quantity, *Error) {
	if row.dim == Money {
		if n.isFraction() {
			return fail("is an amount of money with a fraction",
				message.Of("write it in decimals, such as %s", Money.Example()))
		}
		if places := minorDigits(row.symbol); n.decimals() > places {
			rounded := decimalText(n.rat(), places)
			return fail(message.Of("has more decimals than %s is counted in", row.symbol),
				message.Of("write %s", join(rounded, row.symbol)))
		}
	}
	return Quantity{num: n, unit: row.symbol, dim: row.dim}, nil
}

// unitLast moves a unit that is written before its figure behind it: "£24.50",
// "GBP 24.50", "Shore A 70".
func unitLast(s string) string {
	sign, rest := "", s
	if s[0] == '-' || s[0] == '+' {
		sign, rest = s[:1], strings.TrimSpace(s[1:])
	}
	for _, symbol := range [...]string{"£", "$", "€"} {
		if after, ok := strings.CutPrefix(rest, symbol); ok {
			return sign + strings.TrimSpace(after) + " " + symbol
		}
	}
	if len(rest) > 3 && isCurrency(rest[:3]) && (isDigit(rest[3]) || strings.ContainsRune(" -+.", rune(rest[3]))) {
		return sign + strings.TrimSpace(rest[3:]) + " " + rest[:3]
	}
	const shore = "shore a "
	if len(rest) > len(shore) && strings.EqualFold(rest[:len(shore)], shore) {
		return sign + rest[len(shore):] + " Shore A"
	}
	return s
}

// offerCorrected suggests the corrected figure with the unit as typed.
func offerCorrected(better, spelling string, d Dimension) message.Text {
	if better == "" {
		return message.Of("write one figure with a decimal point, such as %s", traitOf(d).example)
	}
	if row := lookup(spelling); row != nil {
		return message.Of("write %s", join(better, row.symbol))
	}
	if spelling != "" {
		return message.Of("write %s %s", better, spelling)
	}
	if d == 0 {
		return message.Of("write %s", better)
	}
	return offer(better, d)
}

// unknownUnit words the problem of a unit that is not in the table and suggests
// what was probably meant.
func unknownUnit(n number, spelling string, d Dimension) (problem, suggestion message.Text) {
	problem = message.Of("has a unit that is not known, %s", quote(spelling))
	switch key(spelling) {
	case "gal", "gals", "gallon", "gallons":
		return "does not say which gallon", either(n, "imp gal", "US gal")
	case "pt", "pts", "pint", "pints":
		return "does not say which pint", either(n, "imp pt", "US pt")
	case "floz":
		return "does not say which fluid ounce", either(n, "imp fl oz", "US fl oz")
	case "qt", "quart", "quarts":
		return "does not say which quart", message.Of("write %s US qt, or the volume in l", n.text)
	}
	if strings.HasPrefix(strings.ToLower(spelling), "per ") {
		return message.Of("is counted over no length that is known, %s", quote(spelling[len("per "):])),
			offer(n.text, Density)
	}
	if strings.ContainsAny(spelling, "0123456789") {
		return "holds more than one figure", message.Of("write one quantity, such as %s", traitOf(d).example)
	}
	if code := strings.ToUpper(spelling); (d == 0 || d == Money) && isCurrency(code) {
		return problem, message.Of("write %s", join(n.text, code))
	}
	if near := nearest(spelling, d); near != "" {
		return problem, message.Of("write %s", join(n.text, near))
	}
	return problem, offer(n.text, d)
}

// either suggests a figure in either of two units, as they are typed.
func either(n number, one, other string) message.Text {
	return message.Of("write %s %s or %s %s", n.text, message.Key(one), n.text, message.Key(other))
}

// wrongDimension words the problem of a unit that measures something else.
func wrongDimension(n number, row *unit, d Dimension) (problem, suggestion message.Text) {
	problem = message.Of("is %s, not %s", row.dim.withArticle(), d.withArticle())
	replacement := ""
	switch {
	case row.symbol == "m" && d == Distance:
		return message.Of("%s (m is the metre)", problem), offer(n.text, d)
	case row.symbol == "m" && d == TimeSpan:
		return message.Of("%s (m is the metre)", problem), either(n, "months", "minutes")
	case row.symbol == "lb" && d == Force:
		replacement = "lbf"
	case row.symbol == "kg" && d == Force:
		replacement = "kgf"
	case row.symbol == "lb" && d == Torque, row.symbol == "lbf" && d == Torque:
		replacement = "lbf·ft"
	case row.symbol == "°" && d == Temperature:
		return problem, offer(n.text, d)
	}
	if replacement != "" {
		return problem, message.Of("write %s", join(n.text, replacement))
	}
	return problem, message.Of("write for example %s", traitOf(d).example)
}

// nearest returns the symbol of the unit one slip of the finger away from the
// spelling, of dimension d unless that is 0; empty when there is none or the
// spelling is too short to tell. The first letter must be right: it may be a
// prefix, and GPa is no slip for MPa.
func nearest(spelling string, d Dimension) string {
	typed := []rune(key(spelling))
	if len(typed) < 3 || isOtherUnit(squeeze(spelling)) {
		return ""
	}
	for _, row := range table().ordered {
		if d != 0 && row.dim != d {
			continue
		}
		for _, known := range append([]string{row.symbol}, row.aliases...) {
			letters := []rune(key(known))
			if typed[0] == letters[0] && oneEditApart(typed, letters) {
				return row.symbol
			}
		}
	}
	return ""
}

// oneEditApart reports whether one letter added, left out or changed makes a
// into b.
func oneEditApart(a, b []rune) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(b)-len(a) > 1 || len(a) < 2 {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	if len(a) == len(b) {
		return i < len(a) && string(a[i+1:]) == string(b[i+1:])
	}
	return string(a[i:]) == string(b[i+1:])
}
