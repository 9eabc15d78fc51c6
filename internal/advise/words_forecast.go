package advise

import (
	"fmt"

	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/units"
	"undertray.example/undertray/usage"
)

// Basis says what the forecast rests on, in one sentence.
func (f *Forecast) Basis(p units.Preferences) string {
	yearly, changed := "yearly distance", "The yearly distance seems"
	if p.Counts == units.EngineHours {
		yearly, changed = "year's hours", "The year's hours seem"
	}
	if f.model == nil {
		return fmt.Sprintf("There is no forecast: give the sheet a %s, or record two %s readings.", yearly, p.Meter())
	}
	b := f.model.Basis()
	rate := say.Rough(b.RatePerDay*usage.YearDays, p) + " a year"
	switch {
	case b.Readings == 0:
		return fmt.Sprintf("No reading is recorded: it rests on the sheet's %s alone.", rate)
	case b.FellBack:
		return fmt.Sprintf("Few readings (%d over %.0f days): it rests mostly on the sheet's %s; "+
			"about %s.", b.Readings, b.SpanDays, yearly, rate)
	}
	s := fmt.Sprintf("It rests on %d readings over %.1f years; about %s now.", b.Readings,
		b.SpanDays/usage.YearDays, rate)
	if b.Changed {
		s += " " + changed + " to have changed within the last year."
	}
	return s
}

// Words says when: "now", "in March 2027", "between March and July 2027".
func (w When) Words() string {
	switch {
	case w.Reached:
		return "now"
	case w.Expected.IsZero() && w.HasTotal:
		return "at a distance too far ahead to date"
	case w.Expected.IsZero():
		return "at no known date"
	case w.Latest.IsZero():
		return "from " + w.Earliest.MonthYear() + " on"
	}
	from := w.Earliest
	if from.Before(w.On) {
		from = w.On
	}
	switch {
	case from.MonthYear() == w.Latest.MonthYear():
		return "in " + w.Latest.MonthYear()
	case from.Year == w.Latest.Year:
		return fmt.Sprintf("between %s and %s", from.Month, w.Latest.MonthYear())
	}
	return fmt.Sprintf("between %s and %s", from.MonthYear(), w.Latest.MonthYear())
}
