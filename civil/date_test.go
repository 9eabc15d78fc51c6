package civil_test

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"undertray.example/undertray/civil"
)

// Every day of two centuries agrees with the calendar of the standard library,
// which is computed independently of this package.
func TestEveryDayAgreesWithStandardLibrary(t *testing.T) {
	day := time.Date(1900, time.January, 1, 0, 0, 0, 0, time.UTC)
	end := time.Date(2101, time.January, 1, 0, 0, 0, 0, time.UTC)
	checked := 0
	for ; day.Before(end); day = day.AddDate(0, 0, 1) {
		year, month, number := day.Date()
		want := civil.Date{Year: year, Month: month, Day: number}
		days := int(day.Unix() / 86400)
		if got := want.Days(); got != days {
			t.Fatalf("%s.Days() = %d, want %d", want, got, days)
		}
		if got := civil.FromDays(days); got != want {
			t.Fatalf("FromDays(%d) = %s, want %s", days, got, want)
		}
		if got := want.String(); got != day.Format(time.DateOnly) {
			t.Fatalf("String() = %q, want %q", got, day.Format(time.DateOnly))
		}
		if got := civil.MustParse(day.Format(time.DateOnly)); got != want || !got.IsValid() {
			t.Fatalf("Parse(%s) = %v", day.Format(time.DateOnly), got)
		}
		if got := civil.Of(day.Add(23 * time.Hour)); got != want {
			t.Fatalf("Of = %s, want %s", got, want)
		}
		if want.Long() != day.Format("2 January 2006") || want.Short() != day.Format("2 Jan 2006") ||
			want.MonthYear() != day.Format("January 2006") {
			t.Fatalf("%s reads %q, %q, %q", want, want.Long(), want.Short(), want.MonthYear())
		}
		checked++
	}
	if checked != 73414 { // 201 years of 365 days and 49 leap days (1904 to 2100 without 2100)
		t.Errorf("checked %d days", checked)
	}
}

func TestEndsOfTheCalendar(t *testing.T) {
	first, last := civil.MustParse("0001-01-01"), civil.MustParse("9999-12-31")
	for _, d := range []civil.Date{first, last} {
		std := time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC)
		if got, want := int64(d.Days()), std.Unix()/86400; got != want {
			t.Errorf("%s.Days() = %d, want %d", d, got, want)
		}
	}
	for name, got := range map[string]civil.Date{
		"one day after":     last.AddDays(1),
		"far after":         last.AddDays(math.MaxInt),
		"a month after":     last.AddMonths(1),
		"far months after":  last.AddMonths(math.MaxInt),
		"endless span":      last.Add(civil.Span{Days: math.Inf(1)}),
		"from far days":     civil.FromDays(math.MaxInt),
		"year 12000 of std": civil.Of(time.Date(12000, 1, 1, 0, 0, 0, 0, time.UTC)),
	} {
		if got != last {
			t.Errorf("%s: %s, want %s", name, got, last)
		}
	}
	for name, got := range map[string]civil.Date{
		"one day before":    first.AddDays(-1),
		"far before":        first.AddDays(math.MinInt),
		"a month before":    first.AddMonths(-1),
		"far months before": first.AddMonths(math.MinInt),
		"from far days":     civil.FromDays(math.MinInt),
	} {
		if got != first {
			t.Errorf("%s: %s, want %s", name, got, first)
		}
	}
}

func TestAddMonthsKeepsToTheMonth(t *testing.T) {
	tests := []struct {
		from   string
		months int
		want   string
	}{
		{"2026-01-31", 1, "2026-02-28"},
		{"2024-01-31", 1, "2024-02-29"},
		{"2024-02-29", 12, "2025-02-28"},
		{"2024-02-29", 48, "2028-02-29"},
		{"2026-03-31", -1, "2026-02-28"},
		{"2026-01-15", -13, "2024-12-15"},
		{"2026-10-31", 1, "2026-11-30"},
		{"1900-01-31", 1, "1900-02-28"}, // a century is no leap year
		{"2000-01-31", 1, "2000-02-29"}, // unless 400 divides it
		{"2026-12-01", 1, "2027-01-01"},
	}
	for _, tt := range tests {
		if got := civil.MustParse(tt.from).AddMonths(tt.months).String(); got != tt.want {
			t.Errorf("%s + %d months = %s, want %s", tt.from, tt.months, got, tt.want)
		}
	}
}

func TestAddSpan(t *testing.T) {
	tests := []struct {
		from string
		span civil.Span
		want string
	}{
		{"2026-11-25", civil.Span{Months: 48}, "2030-11-25"},
		{"2026-01-31", civil.Span{Months: 1, Days: 1}, "2026-03-01"}, // months first
		{"2026-11-25", civil.Span{Days: 90}, "2027-02-23"},
		{"2026-11-25", civil.Span{Days: 0.4}, "2026-11-25"},
		{"2026-11-25", civil.Span{Days: 0.5}, "2026-11-26"},
		{"2026-11-25", civil.Span{Days: -0.5}, "2026-11-24"},
	}
	for _, tt := range tests {
		if got := civil.MustParse(tt.from).Add(tt.span).String(); got != tt.want {
			t.Errorf("%s + %s = %s, want %s", tt.from, tt.span, got, tt.want)
		}
	}
	if got := civil.MustParse("2026-11-25").Add(civil.Span{Days: math.NaN()}); !got.IsZero() {
		t.Errorf("adding no number gives %s, want no date", got)
	}
}

func TestZeroMeansNoDate(t *testing.T) {
	var none civil.Date
	real := civil.MustParse("0001-01-01")
	if none.IsValid() || !none.IsZero() || real.IsZero() {
		t.Error("the zero date must be zero and not valid")
	}
	if !none.Before(real) || !real.After(none) || none.Compare(none) != 0 {
		t.Error("the zero date must sort before every real one")
	}
	for _, d := range []civil.Date{none.AddDays(10), none.AddMonths(3), none.Add(civil.Span{Months: 1}),
		civil.Of(time.Time{})} {
		if !d.IsZero() {
			t.Errorf("no date became %s", d)
		}
	}
	if none.String()+none.Long()+none.Short()+none.MonthYear() != "" {
		t.Error("no date must read as empty text")
	}
}

func TestIsValid(t *testing.T) {
	for _, d := range []civil.Date{
		{2026, 2, 29}, {2026, 4, 31}, {2026, 0, 1}, {2026, 13, 1}, {2026, 1, 0}, {2026, 1, 32}, {0, 1, 1},
		{10000, 1, 1}, {-5, 1, 1}, {1900, 2, 29},
	} {
		if d.IsValid() {
			t.Errorf("%v is taken for a date", d)
		}
		if _, err := d.MarshalText(); err == nil {
			t.Errorf("%v is written out", d)
		}
	}
}

// anyDate draws a real date.
func anyDate(t *rapid.T, label string) civil.Date {
	return civil.FromDays(rapid.IntRange(-719162, 2932896).Draw(t, label))
}

func TestDateLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyDate(t, "a"), anyDate(t, "b")
		if !a.IsValid() {
			t.Fatalf("%v is not valid", a)
		}
		if back, err := civil.Parse(a.String()); err != nil || back != a {
			t.Fatalf("%s read back as %s, %v", a, back, err)
		}
		if a.AddDays(b.Sub(a)) != b {
			t.Fatalf("%s plus the days to %s is %s", a, b, a.AddDays(b.Sub(a)))
		}
		if a.Compare(b) != -b.Compare(a) || a.Before(b) != (a.Sub(b) < 0) || a.After(b) != (a.Sub(b) > 0) {
			t.Fatalf("order of %s and %s contradicts their distance", a, b)
		}
		text, err := a.MarshalText()
		var back civil.Date
		if err != nil || back.UnmarshalText(text) != nil || back != a {
			t.Fatalf("%s does not survive being written", a)
		}
	})
}

func TestAddMonthsAgreesWithStandardLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := civil.FromDays(rapid.IntRange(-200000, 500000).Draw(t, "days"))
		n := rapid.IntRange(-600, 600).Draw(t, "months")
		got := d.AddMonths(n)
		// The library overflows into the next month where this package stops at
		// the last day, so compare the first of the month, then the day.
		first := time.Date(d.Year, d.Month+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
		last := first.AddDate(0, 1, -1).Day()
		want := civil.Date{Year: first.Year(), Month: first.Month(), Day: min(d.Day, last)}
		if got != want {
			t.Fatalf("%s + %d months = %s, want %s", d, n, got, want)
		}
	})
}
