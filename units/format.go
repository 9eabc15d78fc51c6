package units

import (
	"math"
	"strconv"
	"strings"
)

// GroupSpace is the narrow no-break space that Format puts between groups of
// three digits.
const GroupSpace = "\u202f"

// Format writes a computed value for a reader, with the given number of
// decimals: Format(184310.4, "km", 0) is "184 310 km". Whole figures of five and
// more digits are grouped in threes by GroupSpace; the minus sign is "−". Pounds,
// dollars and euros stand before the figure. A unit that is not in the table is
// written as given; a value that is not finite gives "no value".
func Format(value float64, unit string, decimals int) string {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return "no value"
	}
	text := strconv.FormatFloat(value, 'f', max(0, decimals), 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	symbol := unit
	if row := lookup(unit); row != nil {
		symbol = row.symbol
	}
	return dress(text, symbol)
}

// dress groups the digits of a figure, sets its minus sign and adds its unit.
func dress(text, symbol string) string {
	digits, negative := strings.CutPrefix(text, "-")
	sign := ""
	if negative {
		sign = "−"
	}
	singular := join(digits, symbol) // chooses "year" or "years"
	if sigil := moneySign(symbol); sigil != "" {
		return sign + sigil + group(digits)
	}
	return sign + group(digits) + strings.TrimPrefix(singular, digits)
}

// moneySign returns the sign of the three currencies that have one here.
func moneySign(code string) string {
	switch code {
	case "GBP":
		return "£"
	case "EUR":
		return "€"
	case "USD":
		return "$"
	default:
		return ""
	}
}

// group separates the whole digits of an unsigned figure in threes from five
// digits on. Fractions stay as they are.
func group(text string) string {
	whole, rest := text, ""
	if cut := strings.IndexAny(text, "./ "); cut >= 0 {
		whole, rest = text[:cut], text[cut:]
	}
	if len(whole) < 5 {
		return text
	}
	var b strings.Builder
	for i := range len(whole) {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteString(GroupSpace)
		}
		b.WriteByte(whole[i])
	}
	return b.String() + rest
}

// join puts a figure and a unit together: a space between them, except before
// the degree of an angle; one year, two years.
func join(figure, symbol string) string {
	switch symbol {
	case "":
		return figure
	case "°":
		return figure + symbol
	case "years", "months", "weeks", "days", "hours", "minutes", "seconds":
		if figure == "1" || figure == "-1" {
			symbol = strings.TrimSuffix(symbol, "s")
		}
	}
	return figure + " " + symbol
}
