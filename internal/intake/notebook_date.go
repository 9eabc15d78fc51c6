package intake

import (
	"cmp"
	"regexp"
	"strconv"
	"strings"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

const months = `(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?`

// said is a date as it was written: a and b are its first two figures where they can be day and
// month either way round.
type said struct {
	date  civil.Date
	a, b  int
	year  int
	about bool
	bad   message.Text // what is wrong with it, or ""
}

// either reports whether a date can be read day first and month first, to two different days.
func (s *said) either() bool { return s.a > 0 && s.a <= 12 && s.b <= 12 && s.a != s.b }

// dateForms are the ways in which dates are written, the fullest first.
var dateForms = []struct {
	form *regexp.Regexp
	read func(m []string) said
}{
	{regexp.MustCompile(`\b(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})\b`), func(m []string) said {
		return day(number(m[1]), number(m[2]), number(m[3]))
	}},
	{regexp.MustCompile(`\b(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})\b`), func(m []string) said {
		s := said{a: number(m[1]), b: number(m[2]), year: number(m[3])}
		if s.a > 12 && s.b > 12 {
			s.bad = "no month has that number"
		}
		return s
	}},
	{regexp.MustCompile(`(?i)\b(\d{1,2})(?:st|nd|rd|th)?[ -]*` + months +
		`,?[ -]*'?(\d{4}|\d{2})\b`), func(m []string) said {
		return day(number(m[3]), month(m[2]), number(m[1]))
	}},
	{regexp.MustCompile(`(?i)\b` + months + `[ -]*(\d{1,2})(?:st|nd|rd|th)?,?[ -]+'?(\d{4})\b`), func(m []string) said {
		return day(number(m[3]), month(m[1]), number(m[2]))
	}},
	{regexp.MustCompile(`(?i)\b` + months + `,?[ -]*'?(\d{4})\b`), func(m []string) said {
		s := day(number(m[2]), month(m[1]), 15)
		s.about = true
		return s
	}},
	{regexp.MustCompile(`\b(\d{1,2})[-/.](\d{4})\b`), func(m []string) said {
		s := day(number(m[2]), number(m[1]), 15)
		s.about = true
		return s
	}},
	{regexp.MustCompile(`\b(\d{4})-(\d{2})\b`), func(m []string) said {
		s := day(number(m[1]), number(m[2]), 15)
		s.about = true
		return s
	}},
	{regexp.MustCompile(`(?i)(?:^[\s*•-]*|\b(?:in|spring|summer|autumn|fall|winter|early|late|mid) )` +
		`(19[5-9]\d|20\d\d)(?:[:,; ]|$)`),
		func(m []string) said {
			s := day(number(m[1]), 7, 1)
			s.about = true
			return s
		}},
}

// findDate finds the first date in a text by its fullest form, nil where there is none.
func findDate(text string) (at []int, s said) {
	for _, f := range dateForms {
		if at := f.form.FindStringSubmatchIndex(text); at != nil {
			m := make([]string, len(at)/2)
			for i := range m {
				if at[2*i] >= 0 {
					m[i] = text[at[2*i]:at[2*i+1]]
				}
			}
			if far := aheadFar.FindString(text[at[1]:]); far != "" && len(m) == 2 {
				continue // "2010 km" is a distance
			}
			return at[:2], f.read(m)
		}
	}
	return nil, said{}
}

var aheadFar = regexp.MustCompile(`(?i)^\s*(k?m|mi|miles|kms)\b`)

func number(s string) int { n, _ := strconv.Atoi(s); return n }

func month(s string) int {
	return strings.Index("janfebmaraprmayjunjulaugsepoctnovdec", strings.ToLower(s[:3]))/3 + 1
}

// day is a date of the calendar, or says why it is none. A year of two figures is of this
// century until settle knows better.
func day(year, month, d int) said {
	if year < 100 {
		year += 2000
	}
	s := said{date: civil.Date{Year: year, Month: time.Month(month), Day: d}, year: year}
	if !s.date.IsValid() {
		s.bad, s.date = "the calendar has no such day", civil.Date{}
	}
	return s
}

// settle gives the day that a date means, read day or month first.
func (s said) settle(dayFirst bool, today civil.Date) said {
	if s.a > 0 && s.bad == "" {
		d, m := s.a, s.b
		if !dayFirst && s.b <= 31 && s.a <= 12 || s.b > 12 {
			d, m = s.b, s.a
		}
		s = day(s.year, m, d)
	}
	if s.date.After(today) && s.date.Year-100 >= 1950 && s.year < 100 {
		s.date.Year -= 100
	}
	return s
}

// order decides how dates are read where nobody said: by those of the text that can be read in
// one way only, if they agree.
func (n *Notebook) order(rows []row, head *heading, h Habits) {
	if h.DayFirst != nil {
		n.DayFirst = *h.DayFirst
		return
	}
	dayFirst, monthFirst, either := 0, 0, false
	for _, r := range rows {
		_, s := findDate(dateCell(r, head))
		switch {
		case s.a == 0 || s.bad != "":
		case s.either():
			either = true
		case s.a > 12:
			dayFirst = cmp.Or(dayFirst, r.no)
		case s.b > 12:
			monthFirst = cmp.Or(monthFirst, r.no)
		}
	}
	if dayFirst > 0 != (monthFirst > 0) {
		n.DayFirst, n.Decided = dayFirst > 0, dayFirst+monthFirst
		return
	}
	n.AskOrder = either
}

// dateCell is where the date of a line stands.
func dateCell(r row, head *heading) string {
	if head == nil {
		return r.cells[0]
	}
	for i, col := range head.cols {
		if col == colDate && i < len(r.cells) {
			return r.cells[i]
		}
	}
	return ""
}

// date reads what a line says of its day.
func (r *reader) date(p *Past, s said, written string) {
	if s.either() && r.n.AskOrder {
		p.doubt("%s: is that %s or %s? Say whether days or months come first.", written,
			told.Long(s.settle(true, r.h.Today).date), told.Long(s.settle(false, r.h.Today).date))
		return
	}
	s = s.settle(r.n.DayFirst, r.h.Today)
	p.Date, p.About = s.date, s.about
	switch {
	case s.bad != "":
		p.doubt("%s is no date: %s.", written, s.bad)
	case s.date.After(r.h.Today):
		p.doubt("%s lies ahead.", told.Long(s.date))
	case !r.v.Built.IsZero() && s.date.Before(r.v.Built) && !s.about:
		p.doubt("%s is before the vehicle was built, %s.", told.Long(s.date), told.Long(r.v.Built))
	case s.about:
		p.doubt("Only %q is said: the middle of it is taken, as something told.", strings.TrimSpace(written))
	}
}

func (p *Past) doubt(format string, args ...any) {
	p.Doubts = append(p.Doubts, message.Of(format, args...))
}
