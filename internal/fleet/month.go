package fleet

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// Month is one month of the calendar, written 2027-09. The zero value is none.
type Month struct {
	Year  int
	Month time.Month
}

// MonthOf returns the month a day lies in.
func MonthOf(d civil.Date) Month { return Month{d.Year, d.Month} }

// ParseCalendarMonth reads a month as 2027-09 or as "September 2027"; the
// month's name may be cut to three letters.
func ParseCalendarMonth(s string) (Month, error) {
	typed := strings.TrimSpace(s)
	var m Month
	if year, month, ok := strings.Cut(typed, "-"); ok && len(year) == 4 && len(month) == 2 {
		y, errY := strconv.Atoi(year)
		n, errM := strconv.Atoi(month)
		m = Month{y, time.Month(n)}
		if errY == nil && errM == nil && m.IsValid() {
			return m, nil
		}
	}
	if fields := strings.Fields(typed); len(fields) == 2 {
		name, errM := ParseMonth(fields[0])
		y, errY := strconv.Atoi(fields[1])
		m = Month{y, name}
		if errY == nil && errM == nil && m.IsValid() {
			return m, nil
		}
	}
	return Month{}, message.Errorf("%q is not a month of a year: write it as 2027-09", s)
}

// IsValid reports whether it is a month of the years 1 to 9999.
func (m Month) IsValid() bool {
	return m.Month >= time.January && m.Month <= time.December && m.Year >= 1 && m.Year <= 9999
}

// First returns its first day.
func (m Month) First() civil.Date { return civil.Date{Year: m.Year, Month: m.Month, Day: 1} }

// Last returns its last day.
func (m Month) Last() civil.Date { return m.First().AddMonths(1).AddDays(-1) }

// Compare is -1, 0 or 1 as m lies before, at or after another month.
func (m Month) Compare(o Month) int {
	return cmp.Or(cmp.Compare(m.Year, o.Year), cmp.Compare(m.Month, o.Month))
}

// Before reports whether it lies before another month.
func (m Month) Before(o Month) bool { return m.Compare(o) < 0 }

// Words says it as "September 2027"; what is no month is written in figures.
func (m Month) Words() message.Text {
	if !m.IsValid() {
		return message.Name(m.String())
	}
	return told.MonthYear(m.First())
}

// String writes it as 2027-09.
func (m Month) String() string { return fmt.Sprintf("%04d-%02d", m.Year, int(m.Month)) }

// MarshalText writes it as 2027-09.
func (m Month) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads 2027-09 and nothing else.
func (m *Month) UnmarshalText(text []byte) error {
	got, err := ParseCalendarMonth(string(text))
	if err != nil || got.String() != string(text) {
		return message.Errorf("%q is not a month of a year: write it as 2027-09", text)
	}
	*m = got
	return nil
}
