package civil

import (
	"fmt"
	"time"
)

// Parse reads a date in ISO 8601 extended form, "2026-11-25". Its error says
// what is wrong with the text and shows a date that would be right.
func Parse(s string) (Date, error) {
	if s == "" {
		return Date{}, fmt.Errorf("no date given: write year-month-day, for example 2026-11-25")
	}
	if !hasShape(s) {
		return Date{}, fmt.Errorf("%q is not a date: write year-month-day with two digits for month and day, for "+
			"example 2026-11-25", s)
	}
	d := Date{Year: digits(s[0:4]), Month: time.Month(digits(s[5:7])), Day: digits(s[8:10])}
	if d.Year < minYear {
		return Date{}, fmt.Errorf("%q has year 0000: years run from 0001 to 9999, for example 2026-11-25", s)
	}
	if d.Month < time.January || d.Month > time.December {
		return Date{}, fmt.Errorf("%q has month %02d: months run from 01 to 12, for example 2026-11-25", s,
			int(d.Month))
	}
	if last := daysIn(d.Year, d.Month); d.Day < 1 || d.Day > last {
		return Date{}, fmt.Errorf("%q has day %02d: %s runs from 01 to %02d, for example %04d-%02d-%02d",
			s, d.Day, d.MonthYear(), last, d.Year, int(d.Month), last)
	}
	return d, nil
}

// MustParse is Parse for dates written in the program; it panics on an error.
func MustParse(s string) Date {
	d, err := Parse(s)
	if err != nil {
		panic("civil: " + err.Error())
	}
	return d
}

// MarshalText writes the date in ISO 8601 form; the zero Date gives empty text.
// A date that does not exist is an error.
func (d Date) MarshalText() ([]byte, error) {
	if !d.IsZero() && !d.IsValid() {
		return nil, fmt.Errorf("%s is not a day of the calendar: a date looks like 2026-11-25", d)
	}
	return []byte(d.String()), nil
}

// UnmarshalText reads what MarshalText writes; empty text gives the zero Date.
func (d *Date) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*d = Date{}
		return nil
	}
	parsed, err := Parse(string(text))
	if err != nil {
		return err
	}
	*d = parsed
	return nil
}

// hasShape reports whether s is ten bytes of the form dddd-dd-dd.
func hasShape(s string) bool {
	if len(s) != len("2026-11-25") {
		return false
	}
	for i := range len(s) {
		if i == 4 || i == 7 {
			if s[i] != '-' {
				return false
			}
			continue
		}
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}

// digits returns the value of a short run of decimal digits.
func digits(s string) int {
	n := 0
	for i := range len(s) {
		n = n*10 + int(s[i]-'0')
	}
	return n
}
