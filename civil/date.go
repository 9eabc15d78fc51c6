package civil

import (
	"cmp"
	"fmt"
	"math"
	"time"
)

// Date is a day of the Gregorian calendar. The zero value means "no date".
// Dates are comparable with ==.
type Date struct {
	Year  int        // 1 to 9999
	Month time.Month // 1 to 12
	Day   int        // 1 to the length of the month
}

const (
	minYear = 1
	maxYear = 9999
	// minDays and maxDays are 0001-01-01 and 9999-12-31 counted from 1970-01-01.
	minDays = -719162
	maxDays = 2932896
)

// Of returns the calendar day that t falls on in t's own location. The zero
// Time gives the zero Date. A year outside 1 to 9999 stops at the nearest end.
func Of(t time.Time) Date {
	if t.IsZero() {
		return Date{}
	}
	year, month, day := t.Date()
	return clamp(Date{Year: year, Month: month, Day: day})
}

// FromDays returns the date n days after 1970-01-01 (before it when n is
// negative). Beyond years 1 to 9999 it stops at the first or last day.
func FromDays(n int) Date {
	n = min(max(n, minDays), maxDays)
	// Count from 0000-03-01, so that the leap day ends the (shifted) year.
	n += 719468
	era := floorDiv(n, 146097)
	dayOfEra := n - era*146097
	yearOfEra := (dayOfEra - dayOfEra/1460 + dayOfEra/36524 - dayOfEra/146096) / 365
	dayOfYear := dayOfEra - (365*yearOfEra + yearOfEra/4 - yearOfEra/100)
	shifted := (5*dayOfYear + 2) / 153 // 0 is March
	day := dayOfYear - (153*shifted+2)/5 + 1
	month := shifted + 3
	year := yearOfEra + era*400
	if month > 12 {
		month -= 12
		year++
	}
	return Date{Year: year, Month: time.Month(month), Day: day}
}

// IsZero reports whether d is the zero value, which means "no date".
func (d Date) IsZero() bool { return d == Date{} }

// IsValid reports whether d is a day that exists, in years 1 to 9999. The zero
// Date is not valid.
func (d Date) IsValid() bool {
	return d.Year >= minYear && d.Year <= maxYear &&
		d.Month >= time.January && d.Month <= time.December &&
		d.Day >= 1 && d.Day <= daysIn(d.Year, d.Month)
}

// Days returns the number of days from 1970-01-01 to d, negative before it.
// d must be valid; the result for any other value means nothing.
func (d Date) Days() int {
	year, shifted := d.Year, int(d.Month)-3
	if shifted < 0 {
		shifted += 12
		year--
	}
	era := floorDiv(year, 400)
	yearOfEra := year - era*400
	dayOfYear := (153*shifted+2)/5 + d.Day - 1
	dayOfEra := yearOfEra*365 + yearOfEra/4 - yearOfEra/100 + dayOfYear
	return era*146097 + dayOfEra - 719468
}

// AddDays returns the date n days later, or earlier when n is negative. The
// zero Date stays zero.
func (d Date) AddDays(n int) Date {
	if d.IsZero() {
		return d
	}
	n = min(max(n, minDays-maxDays), maxDays-minDays)
	return FromDays(d.Days() + n)
}

// AddMonths returns the same day of the month n months later, or earlier when
// n is negative. Where that month is too short the result is its last day:
// 31 January plus one month is 28 or 29 February. The zero Date stays zero.
func (d Date) AddMonths(n int) Date {
	if d.IsZero() {
		return d
	}
	const longest = 12 * maxYear
	n = min(max(n, -longest), longest)
	months := d.Year*12 + int(d.Month) - 1 + n
	year := floorDiv(months, 12)
	month := time.Month(months-year*12) + time.January
	return clamp(Date{Year: year, Month: month, Day: d.Day})
}

// Add returns d plus the span: its months first, then its days rounded to whole
// days (halves away from zero). The zero Date stays zero, and a span whose days
// are not a number gives the zero Date.
func (d Date) Add(s Span) Date {
	if math.IsNaN(s.Days) {
		return Date{}
	}
	const longest = maxDays - minDays
	days := math.Round(min(max(s.Days, -longest), longest))
	return d.AddMonths(s.Months).AddDays(int(days))
}

// Sub returns the number of days from other to d, positive when d is later.
// Both must be valid.
func (d Date) Sub(other Date) int { return d.Days() - other.Days() }

// Before reports whether d is earlier than other. The zero Date is earlier than
// every real one.
func (d Date) Before(other Date) bool { return d.Compare(other) < 0 }

// After reports whether d is later than other.
func (d Date) After(other Date) bool { return d.Compare(other) > 0 }

// Compare returns -1 when d is earlier than other, +1 when it is later and 0
// when they are the same day. It suits slices.SortFunc.
func (d Date) Compare(other Date) int {
	return cmp.Or(
		cmp.Compare(d.Year, other.Year),
		cmp.Compare(d.Month, other.Month),
		cmp.Compare(d.Day, other.Day),
	)
}

// String returns the date in ISO 8601 extended form, "2026-11-25", and the
// empty string for the zero Date.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day)
}

// Long returns the date for a heading, "25 November 2026"; empty for no date.
func (d Date) Long() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%d %s %d", d.Day, d.Month, d.Year)
}

// Short returns the date for a table, "25 Nov 2026"; empty for no date.
func (d Date) Short() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%d %.3s %d", d.Day, d.Month.String(), d.Year)
}

// MonthYear returns the month the date falls in, "November 2026"; empty for no
// date.
func (d Date) MonthYear() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%s %d", d.Month, d.Year)
}

// daysIn returns the length of a month, 1 to 12, in days.
func daysIn(year int, month time.Month) int {
	switch month {
	case time.February:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	case time.April, time.June, time.September, time.November:
		return 30
	default:
		return 31
	}
}

// clamp brings a date whose month is right back into years 1 to 9999 and into
// the length of its month.
func clamp(d Date) Date {
	if d.Year < minYear {
		return Date{Year: minYear, Month: time.January, Day: 1}
	}
	if d.Year > maxYear {
		return Date{Year: maxYear, Month: time.December, Day: 31}
	}
	d.Day = min(d.Day, daysIn(d.Year, d.Month))
	return d
}

// floorDiv divides rounding towards minus infinity; b is positive.
func floorDiv(a, b int) int {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
