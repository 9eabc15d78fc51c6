package say

import (
	"fmt"
	"math"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// Several writes a number in figures with its noun: "1 stop", "38 stops".
func Several(n int, one, many string) string { return told.Several(n, one, many).String() }

// Number writes a number, a small one in words.
func Number(n int) string { return told.Number(n).String() }

// Count writes a number with its noun, small numbers in words: "three parts".
func Count(n int, one, many string) string {
	if n == 1 {
		return Number(n) + " " + one
	}
	return Number(n) + " " + many
}

// Odds says a chance as one would: "about 1 in 40", "less than 1 in 1000".
func Odds(p float64) string { return told.Odds(p).String() }

// Rough shows so many km or engine hours, whichever is counted, rounded to what is
// worth saying: two significant figures, in the reader's unit.
func Rough(x float64, p units.Preferences) string {
	unit := p.CounterUnit()
	value := x / units.Must(1, unit).Base()
	if value <= 0 {
		return units.Format(0, unit, 0)
	}
	step := math.Pow(10, math.Max(0, math.Floor(math.Log10(value))-1))
	return units.Format(math.Round(value/step)*step, unit, 0)
}

// Money is a sum in a currency ("" for one not known), rounded to the whole.
func Money(v float64, currency string) string {
	if currency == "" {
		return fmt.Sprintf("%.0f", v)
	}
	return units.Format(math.Round(v), currency, 0)
}

// Minutes says how long a job takes: "45 minutes", and from 100 on in hours to
// the quarter.
func Minutes(minutes float64) string { return told.Minutes(minutes).String() }

// Hours says a number of hours to the quarter: "2.25 hours".
func Hours(h float64) string { return told.Hours(h).String() }

// Months says a number of months, whole years from two on as years.
func Months(n int) string { return told.Months(n).String() }

// Age says the time from one day to a later one: "12 days", "three months",
// "2.4 years".
func Age(from, on civil.Date) string { return told.Age(from, on).String() }

// Weekday names the day of the week.
func Weekday(d civil.Date) string { return told.Weekday(d).String() }
