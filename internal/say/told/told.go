// Package told says as texts, which another language can say too, what package say says in English: a room that makes
// its sentences of them changes its types and its imports, and its English stays.
package told

import (
	"fmt"
	"math"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

var numbers = [...]message.Text{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
	"eleven", "twelve"}

// Number writes a number, a small one in words.
func Number(n int) message.Text {
	if n >= 0 && n < len(numbers) {
		return numbers[n]
	}
	return message.Of("%d", n)
}

// Count writes a number with its noun, small numbers in words: "three parts".
func Count(n int, one, many string) message.Text {
	return message.Counted(n, "%s "+one, "%s "+many, Number(n))
}

// Several writes a number in figures with its noun: "1 stop", "38 stops".
func Several(n int, one, many string) message.Text {
	return message.Counted(n, "%d "+one, "%d "+many, n)
}

// Slight is the chance below which no odds are given.
const Slight = 0.001

// NearlySure is the chance from which on no odds are given.
const NearlySure = 0.95

// Odds says a chance as one would: "about 1 in 40", "less than 1 in 1000".
func Odds(p float64) message.Text {
	n, of := OneIn(p)
	switch {
	case p >= NearlySure:
		return "nearly certain"
	case p < Slight:
		return "less than 1 in 1000"
	}
	return message.Of("about %.0f in %.0f", n, of)
}

// OneIn gives a chance as odds that are worth saying, to be rounded to the whole: 1 in 40, or 6 in 10.
func OneIn(p float64) (n, of float64) {
	if p >= 0.4 {
		return p * 10, 10
	}
	of = 1 / p
	step := math.Pow(10, math.Floor(math.Log10(of)))
	if of/step >= 2 {
		step /= 2
	}
	if of < 10 {
		step = 1
	}
	return 1, math.Round(of/step) * step
}

// Hours says a number of hours to the quarter: "2.25 hours".
func Hours(h float64) message.Text {
	h = math.Round(h*4) / 4
	switch {
	case h == 1:
		return "1 hour"
	case h == math.Trunc(h):
		return message.Of("%.0f hours", h)
	case h*2 == math.Trunc(h*2):
		return message.Of("%.1f hours", h)
	}
	return message.Of("%.2f hours", h)
}

// Minutes says how long a job takes: "45 minutes", and from 100 on in hours to the quarter.
func Minutes(minutes float64) message.Text {
	if minutes < 100 {
		return message.Of("%.0f minutes", minutes)
	}
	return Hours(minutes / 60)
}

// Months says a number of months, whole years from two on as years.
func Months(n int) message.Text {
	if n >= 24 && n%12 == 0 {
		return Count(n/12, "year", "years")
	}
	return Count(n, "month", "months")
}

// Age says the time from one day to a later one: "12 days", "three months", "2.4 years".
func Age(from, on civil.Date) message.Text {
	days := on.Sub(from)
	switch {
	case days < 60:
		return Count(days, "day", "days")
	case days < 730:
		return Count(int(float64(days)/30.436875+0.5), "month", "months")
	}
	return message.Of("%.1f years", float64(days)/365.2425)
}

var months = [...]message.Text{"January", "February", "March", "April", "May", "June", "July", "August", "September",
	"October", "November", "December"}

var monthsShort = [...]message.Text{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

var weekdays = [...]message.Text{"Thursday", "Friday", "Saturday", "Sunday", "Monday", "Tuesday", "Wednesday"}

// Long writes a day: "21 November 2026".
func Long(d civil.Date) message.Text {
	if d.IsZero() {
		return ""
	}
	return message.Of("%d %s %d", d.Day, months[d.Month-1], d.Year)
}

// Day writes a day without its year: "21 November".
func Day(d civil.Date) message.Text { return message.Of("%d %s", d.Day, months[d.Month-1]) }

// Month is the month of a day: "November".
func Month(d civil.Date) message.Text { return months[d.Month-1] }

// Short writes a day with the month cut short: "21 Nov 2026".
func Short(d civil.Date) message.Text {
	if d.IsZero() {
		return ""
	}
	return message.Of("%d %s %d", d.Day, monthsShort[d.Month-1], d.Year)
}

// ShortMonth is the month of a day, cut short: "Nov".
func ShortMonth(d civil.Date) message.Text { return monthsShort[d.Month-1] }

// ShortMonthYear is the month of a day and its year, cut short: "Nov 2026".
func ShortMonthYear(d civil.Date) message.Text { return message.Of("%s %d", ShortMonth(d), d.Year) }

// Weekday names the day of the week.
func Weekday(d civil.Date) message.Text { return weekdays[((d.Days()%7)+7)%7] }

// MonthYear writes the month of a day: "November 2026".
func MonthYear(d civil.Date) message.Text {
	if d.IsZero() {
		return ""
	}
	return message.Of("%s %d", months[d.Month-1], d.Year)
}

// Unit is how a unit stands beside a figure: one that is a word in the language, a symbol as it is.
func Unit(unit string) message.Text {
	switch unit {
	case "years":
		return "years"
	case "months":
		return "months"
	case "days":
		return "days"
	}
	return message.Name(unit)
}

// Meter is how the instrument is called that counts how far a vehicle runs, or how long.
func Meter(p units.Preferences) message.Text {
	if p.Counts == units.EngineHours {
		return "hour meter"
	}
	return "odometer"
}

// Names makes texts of names, which are the same in every language.
func Names[S ~string](names []S) []message.Text {
	out := make([]message.Text, len(names))
	for i, n := range names {
		out[i] = message.Is(n)
	}
	return out
}

// Listing joins words as in a sentence: "a, b and c".
func Listing(parts []message.Text) message.Text {
	switch n := len(parts); n {
	case 0:
		return ""
	case 1:
		return parts[0]
	default:
		by := ", "
		for _, p := range parts {
			if strings.Contains(p.String(), ",") {
				by = "; "
			}
		}
		return message.Of("%s and %s", message.Joined(parts[:n-1], by), parts[n-1])
	}
}

// Few lists at most so many names of parts and counts those beyond: "belt, hose and two other parts".
func Few(names []message.Text, most int) message.Text {
	if n := len(names); n > most {
		names = append(names[:most-1:most-1], Count(n-most+1, "other part", "other parts"))
	}
	return Listing(names)
}

// Most lists so many of some words, and counts the rest.
func Most(words []message.Text, most int) message.Text {
	out := words[:min(most, len(words))]
	if more := len(words) - len(out); more > 0 {
		out = append(out[:len(out):len(out)], message.Of("%s more", Number(more)))
	}
	return Listing(out)
}

// Titles lists the names of some things as a title of its own: "Main belt and fan".
func Titles[T any](of []T, name func(T) message.Text) message.Text {
	names := make([]message.Text, len(of))
	for i, t := range of {
		names[i] = name(t).LowerFirst()
	}
	return Listing(names).Capital()
}

// FewWords lists as many names of parts as fit into so many words and counts the others; where none fits it counts all.
func FewWords(names []message.Text, words int) message.Text {
	for most := len(names); most > 0; most-- {
		s := Listing(names[:most])
		if n := len(names) - most; n > 0 {
			s = Listing(append(names[:most:most], Count(n, "other part", "other parts")))
		}
		if Words(s) <= words {
			return s
		}
	}
	if len(names) == 1 {
		return names[0]
	}
	return Count(len(names), "part", "parts")
}

// HeadWords is how many words a headline has at most; what else there is to say stands below it.
const HeadWords = 14

// Brief returns the first of some ways to say a thing that is no longer than a headline, or the last.
func Brief(ways ...message.Text) message.Text {
	for _, w := range ways {
		if Words(w) <= HeadWords {
			return w
		}
	}
	return ways[len(ways)-1]
}

// Words is how many words a text has in English, which headlines are measured by.
func Words(t fmt.Stringer) int { return len(strings.Fields(t.String())) }

// Sentences are texts as sentences of their own, those that say nothing left out.
func Sentences(all ...message.Text) []message.Text {
	var out []message.Text
	for _, t := range all {
		if t != "" {
			out = append(out, t)
		}
	}
	return out
}

// Head is the first of some sentences.
func Head(sentences []message.Text) message.Text {
	if len(sentences) == 0 {
		return ""
	}
	return sentences[0]
}

// Rest is what stands below a headline, or "".
func Rest(sentences []message.Text) message.Text {
	return message.Joined(sentences[min(1, len(sentences)):], " ")
}

// InEnglish are texts for what knows no other language yet.
func InEnglish(texts []message.Text) []string {
	out := make([]string, len(texts))
	for i, t := range texts {
		out[i] = t.String()
	}
	return out
}
