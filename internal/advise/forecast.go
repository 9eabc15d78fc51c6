package advise

import (
	"math"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/usage"
)

// Forecast is the expected distance, or hours, of a vehicle over time.
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

// Distance is the total, in km or hours, expected on a day.
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

// When is when a mark is expected to be reached: a date known from the
// calendar, a date range known from the distance, or whichever comes first.
type When struct {
	Total    float64 // km or hours, as Counts says, where the mark names them
	HasTotal bool
	Counts   fleet.Counter
	// Earliest to Latest is the range of 8 chances in 10; all three are the
	// same day where the calendar alone decides. Expected is zero where no
	// date can be given; Latest is zero where it lies too far ahead to say.
	Earliest, Expected, Latest civil.Date
	Reached                    bool
	On                         civil.Date
}

// When turns a mark into dates.
func (r *Report) When(m judge.Mark) When {
	w := When{Total: m.Total, HasTotal: m.HasTotal, On: r.On, Counts: r.Vehicle.Counts,
		Reached: m.Passed(r.On, r.Total, r.HasTotal)}
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

// PerDay is how many km or hours the vehicle is expected to run a day.
func (r *Report) PerDay() float64 {
	const year = 365
	now, ok := r.Forecast.Total(r.On)
	then, _ := r.Forecast.Total(r.On.AddDays(year))
	if !ok {
		return 0
	}
	return (then - now) / year
}
