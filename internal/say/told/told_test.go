package told_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/message/languages"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// In English a text says to the letter what package say does.
func TestToldIsSaid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, x := rapid.IntRange(0, 2000).Draw(t, "n"), rapid.Float64Range(0, 1).Draw(t, "x")
		from := civil.Date{Year: 2026, Month: 1, Day: 1}
		on := from.AddDays(n)
		names := rapid.SliceOfN(rapid.SampledFrom([]string{"main belt", "hose, upper", "EGR valve", "idler"}), 0, 6).
			Draw(t, "names")
		texts := told.Names(names)
		for said, is := range map[string]message.Text{
			say.Number(n): told.Number(n), say.Count(n, "part", "parts"): told.Count(n, "part", "parts"),
			say.Odds(x): told.Odds(x), say.Hours(x * 40): told.Hours(x * 40), say.Months(n): told.Months(n),
			say.Minutes(x * 400): told.Minutes(x * 400), say.Weekday(on): told.Weekday(on),
			say.Few(names, 3): told.Few(texts, 3),
			say.Age(from, on): told.Age(from, on), on.Long(): told.Long(on), on.MonthYear(): told.MonthYear(on),
			say.Listing(names): told.Listing(texts), say.FewWords(names, 5): told.FewWords(texts, 5),
			fmt.Sprintf("%d parts", n+2): told.Several(n+2, "part", "parts"), on.Short(): told.Short(on),
			say.Titles(names, strings.Clone): told.Titles(texts, message.Text.Capital),
			say.Rest(names):                  told.Rest(texts), say.Head(names): told.Head(texts),
		} {
			if is.String() != said {
				t.Fatalf("%q is told as %q", said, is)
			}
		}
		if got := told.InEnglish(told.Sentences(texts...)); !slices.Equal(got, names) && len(names) > 0 {
			t.Fatalf("%q", got)
		}
	})
}

// In the pseudo-language nothing of it stays English.
func TestToldInAnotherLanguage(t *testing.T) {
	l := languages.With(func() map[string]bool { return nil }).Pseudo
	day := civil.Date{Year: 2026, Month: 11, Day: 21}
	for _, text := range []message.Text{told.Number(3), told.Count(1, "part", "parts"), told.Count(13, "part", "parts"),
		told.Odds(0.99), told.Odds(0.5), told.Odds(1e-5), told.Odds(0.01), told.Hours(1), told.Hours(2.25),
		told.Months(36), told.Age(day, day.AddDays(900)), told.Long(day), told.MonthYear(day),
		told.Several(1, "part", "parts"), told.Most(told.Names([]string{"1", "2", "3"}), 2), told.Minutes(20),
		told.Weekday(day), told.Meter(units.Preferences{}),
		told.Few(told.Names([]string{"1 1", "2 2", "3 3"}), 2),
		told.FewWords(told.Names([]string{"1 1", "2 2", "3 3"}), 4)} {
		got := fmt.Sprint(l.Told(text))
		if strings.ContainsAny(got, "aeou") || !strings.Contains(got, languages.Opens) {
			t.Errorf("%q is told as %q", text, got)
		}
	}
}
