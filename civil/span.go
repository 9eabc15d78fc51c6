package civil

import (
	"math"
	"strconv"
	"strings"
)

// DaysPerMonth is the mean Gregorian month in days: 400 years of the calendar
// are 146 097 days and 4 800 months.
const DaysPerMonth = 146097.0 / 4800

// Span is a length of calendar time: whole months (a year is twelve) and days,
// which may be broken. Both usually have the same sign. Spans are comparable
// with ==, but 1 month and 30 days are different spans.
type Span struct {
	Months int
	Days   float64
}

// Approx returns the span in days, a month counting DaysPerMonth.
func (s Span) Approx() float64 { return float64(s.Months)*DaysPerMonth + s.Days }

// IsZero reports whether the span has no length.
func (s Span) IsZero() bool { return s == Span{} }

// String returns the span in words: "4 years", "18 months", "90 days",
// "1 year 2 months". Whole years are said in years, half years below three
// years in months, as intervals are written; days below three that are not
// whole are said in hours.
func (s Span) String() string {
	if s.IsZero() {
		return "0 days"
	}
	var words []string
	years, months := s.Months/12, s.Months%12
	if s.Months%6 == 0 && s.Months%12 != 0 && s.Months > -36 && s.Months < 36 {
		years, months = 0, s.Months
	}
	if years != 0 {
		words = append(words, count(float64(years), "year"))
	}
	if months != 0 {
		words = append(words, count(float64(months), "month"))
	}
	if s.Days != 0 {
		words = append(words, daysInWords(s.Days))
	}
	return strings.Join(words, " ")
}

// daysInWords says a number of days, or of hours where it is short and broken.
func daysInWords(days float64) string {
	if days != math.Trunc(days) && math.Abs(days) < 3 {
		return count(days*24, "hour")
	}
	return count(days, "day")
}

// count says n of a thing with at most one decimal, in the singular for one.
func count(n float64, noun string) string {
	text := strconv.FormatFloat(n, 'f', 1, 64)
	text = strings.TrimSuffix(text, ".0")
	if text == "1" || text == "-1" {
		return text + " " + noun
	}
	return text + " " + noun + "s"
}
