package usage

import (
	"errors"
	"fmt"
	"math"
	"sort"
)

// YearDays is the length of the average Julian year, the year of this package, in days.
const YearDays = 365.25

const (
	monthDays      = YearDays / 12
	sameMoment     = 1.0 / 1440 // readings closer than a minute count as one, in days
	maxDay         = 1e8        // days either side of the epoch
	maxDistance    = 1e12       // any unit
	defaultHorizon = 20 * YearDays
	yearlyWeight   = 0.25 // years of driving the owner's own estimate counts for
)

// ErrTooLittle is returned by [Fit] when neither the readings nor the owner's estimate give a rate.
var ErrTooLittle = errors.New("usage: fewer than two readings on different days and no yearly distance: give the " +
	"yearly distance or another reading")

// Reading is one look at the odometer.
type Reading struct {
	Day      float64 // days since any epoch, the same for all readings; fractions allowed
	Distance float64 // total since new, any unit, the same for all readings
}

// Options are what is known besides the readings. The zero value is useful with two or more readings.
type Options struct {
	// YearlyDistance is the owner's own estimate of the distance driven in one year, in the unit
	// of the readings; 0 means none is given.
	YearlyDistance float64

	// Start is the day from which distance is counted when there is no reading at all.
	Start float64

	// HorizonDays is how far beyond the last reading [Forecast.When] looks; 0 means 20 years.
	HorizonDays float64
}

// Forecast is a fitted record, ready to be asked. It is a value: asking it changes nothing and it
// may be used from several goroutines. The zero value is not useful; get one from [Fit].
type Forecast struct {
	days, dist []float64 // readings with same-moment ones merged, at least one
	rate       float64   // expected distance per day from the last reading on
	backRate   float64   // distance per day over the first year of the record
	scatter    float64   // relative variance of one year's distance about its level
	weight     float64   // years of driving the level rests on
	quantile   float64   // 90 % point of the Student t distribution for the scatter
	horizon    float64
	basis      Basis
}

// Basis says what a forecast rests on, for callers to put in words.
type Basis struct {
	Readings int     // readings used, those of one moment counted once
	SpanDays float64 // days from the first to the last of them

	// YearlyShare is the weight of the owner's own estimate in the expected rate, 0 to 1.
	YearlyShare float64

	// FellBack is true when the owner's own estimate carries more than half of the weight.
	FellBack bool

	// RatePerDay is the expected rate from the last reading on, distance per day.
	RatePerDay float64

	// YearScatter is the standard deviation of one year's distance about its level, as a
	// fraction of the level.
	YearScatter float64

	// ScatterShare is the weight of the vehicle's own past forecast errors in YearScatter,
	// 0 (only the assumption) to nearly 1 (long record).
	ScatterShare float64

	// ChangeChance is the chance, 0 to 1, that the habit changed lastingly within the last year;
	// 0 while the record is too short to tell.
	ChangeChance float64

	// Changed is true when that is more likely than not: the forecast then rests mainly on the
	// months since.
	Changed bool
}

// Basis returns what the forecast rests on.
func (f *Forecast) Basis() Basis { return f.basis }

// Fit learns a forecast from readings in order of day. Days and distances must be finite and must
// not decrease; readings less than a minute apart count as one, with the last distance. The slice
// is not kept or changed. Errors name the reading by its index; [ErrTooLittle] when nothing gives
// a rate. The cost is proportional to the readings plus the months of the record (at most 50
// years month by month).
func Fit(readings []Reading, opts Options) (*Forecast, error) {
	return fit(readings, opts, priorScatter)
}

func fit(readings []Reading, opts Options, prior float64) (*Forecast, error) {
	if err := opts.validate(); err != nil {
		return nil, err
	}
	days, dist, err := clean(readings)
	if err != nil {
		return nil, err
	}

	f := &Forecast{days: days, dist: dist, horizon: opts.HorizonDays}
	f.basis.Readings = len(days)
	if f.horizon == 0 {
		f.horizon = defaultHorizon
	}
	if len(days) == 0 {
		f.days, f.dist = []float64{opts.Start}, []float64{0}
	}
	if len(days) < 2 && opts.YearlyDistance == 0 {
		return nil, ErrTooLittle
	}

	f.learn(opts.YearlyDistance, prior)
	return f, nil
}

// learn fills the forecast from the cleaned readings; prior is the scatter before any is learned.
func (f *Forecast) learn(yearly, prior float64) {
	past := newHistory(f.days, f.dist, yearly)
	scatter, count := past.scatter(prior, 0)
	level := past.level(prior)

	f.rate = level.perYear / YearDays
	f.weight = level.years
	f.scatter = scatter
	f.quantile = upperTenth(priorCount + count)
	f.backRate = firstYearRate(f.days, f.dist, f.rate)

	share := past.yearlyShare()
	f.basis.SpanDays = past.span
	f.basis.YearlyShare = share
	f.basis.FellBack = share > 0.5
	f.basis.RatePerDay = f.rate
	f.basis.YearScatter = math.Sqrt(scatter)
	f.basis.ScatterShare = count / (priorCount + count)
	f.basis.ChangeChance = level.change
	f.basis.Changed = level.changed()
}

func (o Options) validate() error {
	return errors.Join(
		within("YearlyDistance", o.YearlyDistance, 0, maxDistance),
		within("Start", o.Start, -maxDay, maxDay),
		within("HorizonDays", o.HorizonDays, 0, maxDay))
}

// within reports a value that is not a number from low to high, by name.
func within(name string, value, low, high float64) error {
	if value >= low && value <= high {
		return nil
	}
	return fmt.Errorf("usage: %s is %g, want a number from %g to %g", name, value, low, high)
}

// clean checks the readings and returns days and distances with those of one moment merged.
func clean(readings []Reading) (days, dist []float64, err error) {
	both := make([]float64, 2*len(readings))
	days, dist = both[:0:len(readings)], both[len(readings):len(readings)]
	for i, r := range readings {
		var previous Reading
		if i == 0 {
			previous.Day = -maxDay
		} else {
			previous = readings[i-1]
		}
		if err := r.validate(i, previous); err != nil {
			return nil, nil, err
		}
		if n := len(days); n > 0 && r.Day-days[n-1] < sameMoment {
			dist[n-1] = r.Distance
			continue
		}
		days, dist = append(days, r.Day), append(dist, r.Distance)
	}
	return days, dist, nil
}

func (r Reading) validate(index int, previous Reading) error {
	switch {
	case !(math.Abs(r.Day) <= maxDay):
		return fmt.Errorf("usage: reading %d: day is %g, want a number from %g to %g", index, r.Day, -maxDay, maxDay)
	case !(r.Distance >= 0 && r.Distance <= maxDistance):
		return fmt.Errorf("usage: reading %d: distance is %g, want a number from 0 to %g", index,
			r.Distance, maxDistance)
	case r.Day < previous.Day:
		return fmt.Errorf("usage: reading %d: day %g comes before day %g of the reading before it, want readings in "+
			"order of day", index, r.Day, previous.Day)
	case r.Distance < previous.Distance:
		return fmt.Errorf("usage: reading %d: distance %g is less than %g of the reading before it, want a total "+
			"that never falls", index, r.Distance, previous.Distance)
	}
	return nil
}

// interpolate returns the distance on a day from the first to the last of days, on the straight
// line between the readings either side.
func interpolate(days, dist []float64, day float64) float64 {
	i := sort.SearchFloat64s(days, day)
	if i == 0 || days[i] == day {
		return dist[i]
	}
	share := (day - days[i-1]) / (days[i] - days[i-1])
	return dist[i-1] + share*(dist[i]-dist[i-1])
}

// firstYearRate is the distance per day over the first year of the record, or otherwise when the
// record has no length.
func firstYearRate(days, dist []float64, otherwise float64) float64 {
	if len(days) < 2 {
		return otherwise
	}
	end := min(days[0]+YearDays, days[len(days)-1])
	return (interpolate(days, dist, end) - dist[0]) / (end - days[0])
}
