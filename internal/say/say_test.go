package say_test

import (
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/units"
)

// The expected words are the rules of this house's English, written out by hand.
func TestWords(t *testing.T) {
	day := civil.MustParse("2026-11-25") // a Wednesday by any calendar
	for want, got := range map[string]string{
		"":                    say.Listing(nil),
		"a":                   say.Listing([]string{"a"}),
		"a, b and c":          say.Listing([]string{"a", "b", "c"}),
		"a, left; b and c":    say.Listing([]string{"a, left", "b", "c"}),
		"A belt, worn.":       say.Sentence(" a belt, worn "),
		"top hose":            say.LowerFirst("Top hose"),
		"EGR valve":           say.LowerFirst("EGR valve"),
		"one part":            say.Count(1, "part", "parts"),
		"no parts":            say.Count(0, "part", "parts"),
		"13 parts":            say.Count(13, "part", "parts"),
		"about 1 in 40":       say.Odds(1.0 / 42),
		"less than 1 in 1000": say.Odds(0.0005),
		"about 6 in 10":       say.Odds(0.6),
		"nearly certain":      say.Odds(0.96),
		"12\u202f000 km":      say.Rough(12_340, units.Preferences{}),
		"99 minutes":          say.Minutes(99),
		"1.75 hours":          say.Minutes(100),
		"1 hour":              say.Hours(1.1),
		"2.25 hours":          say.Hours(2.2),
		"two years":           say.Months(24),
		"25 months":           say.Months(25),
		"59 days":             say.Age(day.AddDays(-59), day),
		"two months":          say.Age(day.AddDays(-60), day),
		"2.0 years":           say.Age(day.AddDays(-731), day),
		"Wednesday":           say.Weekday(day),
	} {
		if got != want {
			t.Errorf("%q in place of %q", got, want)
		}
	}
	if got := say.Unique([]string{"a", "b", "a"}); len(got) != 2 {
		t.Errorf("%q", got)
	}
}
