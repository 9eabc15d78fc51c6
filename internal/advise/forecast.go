package advise

import (
	"fmt"
	"math"

	"undertray/civil"
	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/internal/say"
	"undertray/units"
	"undertray/usage"
)

// Forecast is the expected distance of a vehicle over time.
type Forecast struct {
	model *usage.Forecast // nil: nothing to forecast from
	state *fleet.State
}

func newForecast(s *fleet.State) *Forecast {
	readings := make([]usage.Reading, len(s.Readings))
	for i, r := range s.Readings {
		readings[i] = usage.Reading{Day: float64(r.Date.Days()), Distance: r.Total}
	}
	opt := usage.Options{}
	if s.Vehicle.Yearly != nil {
		opt.YearlyDistance = s.Vehicle.Yearly.Base()
	}
	if len(readings) == 0 {
		if s.Vehicle.Built.IsZero() {
			return &Forecast{state: s}
		}
		opt.Start = float64(s.Vehicle.Built.Days())
	}
	model, err := usage.Fit(readings, opt)
	if err != nil {
		// Fold keeps readings in order, so all that can be wrong is that
		// there are too few: the forecast then knows only the last one.
		return &Forecast{state: s}
	}
	return &Forecast{model: model, state: s}
}

// Distance is the total distance in km expected on a day.
type Distance struct {
	On                  civil.Date
	Expected, Low, High float64 // 8 in 10 chances lie between Low and High
}

// At returns the distance expected on a day, and false where nothing is known
// to forecast from.
func (f *Forecast) At(day civil.Date) (Distance, bool) {
	if f.model == nil {
		return Distance{}, false
	}
	p, err := f.model.At(float64(day.Days()))
	if err != nil {
		return Distance{}, false
	}
	return Distance{On: day, Expected: p.Expected, Low: p.Low, High: p.High}, true
}

func (f *Forecast) Total(day civil.Date) (float64, bool) {
	if d, ok := f.At(day); ok {
		return d.Expected, true
	}
	last, ok := f.state.Last()
	return last.Total, ok
}

// Basis says what the forecast rests on, in one sentence.
func (f *Forecast) Basis(p units.Preferences) string {
	if f.model == nil {
		return "There is no forecast: give the sheet a yearly distance, or record two odometer readings."
	}
	b := f.model.Basis()
	rate := say.Rough(b.RatePerDay*usage.YearDays, p) + " a year"
	switch {
	case b.Readings == 0:
		return fmt.Sprintf("No reading is recorded: it rests on the sheet's %s alone.", rate)
	case b.FellBack:
		return fmt.Sprintf("Few readings (%d over %.0f days): it rests mostly on the sheet's yearly distance; about %s.", b.Readings, b.SpanDays, rate)
	}
	s := fmt.Sprintf("It rests on %d readings over %.1f years; about %s now.", b.Readings, b.SpanDays/usage.YearDays, rate)
	if b.Changed {
		s += " The yearly distance seems to have changed within the last year."
	}
	return s
}

// When is when a mark is expected to be reached: a date known from the
// calendar, a date range known from the distance, or whichever comes first.
type When struct {
	Total    float64 // km, where the mark names a distance
	HasTotal bool
	// Earliest to Latest is the range of 8 chances in 10; all three are the
	// same day where the calendar alone decides. Expected is zero where no
	// date can be given; Latest is zero where it lies too far ahead to say.
	Earliest, Expected, Latest civil.Date
	Reached                    bool
	on                         civil.Date
}

// When turns a mark into dates.
func (r *Report) When(m judge.Mark) When {
	w := When{Total: m.Total, HasTotal: m.HasTotal, on: r.On, Reached: m.Passed(r.On, r.Total, r.HasTotal)}
	w.Earliest, w.Expected, w.Latest = m.Date, m.Date, m.Date
	if !m.HasTotal || r.Forecast.model == nil {
		return w
	}
	a, err := r.Forecast.model.When(math.Max(0, m.Total))
	if err != nil {
		return w
	}
	w.Earliest = sooner(m.Date, day(a.Earliest, a.EarliestWithin))
	w.Expected = sooner(m.Date, day(a.Expected, a.ExpectedWithin))
	w.Latest = sooner(m.Date, day(a.Latest, a.LatestWithin))
	return w
}

func day(d float64, within bool) civil.Date {
	if !within {
		return civil.Date{}
	}
	return civil.FromDays(int(math.Round(d)))
}

// sooner returns the earlier of two dates, a zero one meaning never.
func sooner(a, b civil.Date) civil.Date {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
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
	if from.Before(w.on) {
		from = w.on
	}
	switch {
	case from.MonthYear() == w.Latest.MonthYear():
		return "in " + w.Latest.MonthYear()
	case from.Year == w.Latest.Year:
		return fmt.Sprintf("between %s and %s", from.Month, w.Latest.MonthYear())
	}
	return fmt.Sprintf("between %s and %s", from.MonthYear(), w.Latest.MonthYear())
}
