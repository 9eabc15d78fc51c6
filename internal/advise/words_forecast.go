package advise

import (
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
	"undertray.example/undertray/usage"
)

// Basis says what the forecast rests on, in one sentence.
func (f *Forecast) Basis(p units.Preferences) message.Text {
	yearly, changed := message.Text("yearly distance"),
		message.Text("%s The yearly distance seems to have changed within the last year.")
	if p.Counts == units.EngineHours {
		yearly, changed = "year's hours", "%s The year's hours seem to have changed within the last year."
	}
	if f.model == nil {
		return message.Of("There is no forecast: give the sheet a %s, or record two %s readings.", yearly,
			told.Meter(p))
	}
	b := f.model.Basis()
	rate := message.Of("%s a year", say.Rough(b.RatePerDay*usage.YearDays, p))
	switch {
	case b.Readings == 0:
		return message.Of("No reading is recorded: it rests on the sheet's %s alone.", rate)
	case b.FellBack:
		return message.Of("Few readings (%d over %.0f days): it rests mostly on the sheet's %s; "+
			"about %s.", b.Readings, b.SpanDays, yearly, rate)
	}
	s := message.Of("It rests on %d readings over %.1f years; about %s now.", b.Readings,
		b.SpanDays/usage.YearDays, rate)
	if b.Changed {
		s = changed.With(s)
	}
	return s
}

// Words says when: "now", "in March 2027", "between March and July 2027".
func (w When) Words() message.Text {
	switch {
	case w.Reached:
		return "now"
	case w.Expected.IsZero() && w.HasTotal:
		return "at a distance too far ahead to date"
	case w.Expected.IsZero():
		return "at no known date"
	case w.Latest.IsZero():
		return message.Of("from %s on", told.MonthYear(w.Earliest))
	}
	from := w.Earliest
	if from.Before(w.On) {
		from = w.On
	}
	switch {
	case from.MonthYear() == w.Latest.MonthYear():
		return message.Of("in %s", told.MonthYear(w.Latest))
	case from.Year == w.Latest.Year:
		return message.Of("between %s and %s", told.Month(from), told.MonthYear(w.Latest))
	}
	return message.Of("between %s and %s", told.MonthYear(from), told.MonthYear(w.Latest))
}
