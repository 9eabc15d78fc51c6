package usage

import (
	"math"
	"sort"
)

// Prediction is the odometer on one day, in the unit of the readings.
type Prediction struct {
	Expected float64 // the middle of the forecast
	Low      float64 // exceeded with 90 % chance
	High     float64 // exceeded with 10 % chance
}

// At returns the odometer to expect on a day, with the 80 % band. From the last reading on the
// band starts at the last distance and widens; none of the three ever falls as the day advances.
// Between two readings Expected is on the straight line and the band is the two readings, which
// bound it for certain; before the first reading Expected goes back at the rate of the first year
// of the record, not below 0, and the band is 0 to the first distance. The day must be a number
// within 1e8 days of the epoch.
func (f *Forecast) At(day float64) (Prediction, error) {
	if err := within("day", day, -maxDay, maxDay); err != nil {
		return Prediction{}, err
	}
	last := len(f.days) - 1
	switch {
	case day >= f.days[last]:
		low, expected, high := f.ahead(day - f.days[last])
		return Prediction{Expected: f.dist[last] + expected, Low: f.dist[last] + low, High: f.dist[last] + high}, nil
	case day < f.days[0]:
		back := f.dist[0] - f.backRate*(f.days[0]-day)
		return Prediction{Expected: max(0, back), High: f.dist[0]}, nil
	}
	i := sort.SearchFloat64s(f.days, day)
	if f.days[i] == day {
		return Prediction{Expected: f.dist[i], Low: f.dist[i], High: f.dist[i]}, nil
	}
	return Prediction{Expected: interpolate(f.days, f.dist, day), Low: f.dist[i-1], High: f.dist[i]}, nil
}

// ahead returns the distance driven in the given days after the last reading.
func (f *Forecast) ahead(days float64) (low, expected, high float64) {
	if days <= 0 || f.rate <= 0 {
		return 0, 0, 0
	}
	expected = f.rate * days
	years := max(days, sameMoment) / YearDays
	factor := math.Exp(f.quantile * math.Sqrt(math.Log1p(f.scatter*spread(years, f.weight))))
	return expected / factor, expected, expected * factor
}

// Arrival is when a distance is reached, in days of the readings' epoch.
type Arrival struct {
	Earliest float64 // 10 % chance that it is reached by then
	Expected float64 // the forecast's middle reaches it
	Latest   float64 // 90 % chance that it is reached by then

	// Each of these is false when the day lies beyond the horizon; the day is then +Inf.
	EarliestWithin, ExpectedWithin, LatestWithin bool

	// Reached is true when the last reading is at or past the distance.
	Reached bool
}

// When returns when the odometer reaches a distance. Beyond the last reading the days are those on
// which High, Expected and Low of [Forecast.At] reach it. A distance within the record lies
// between the days of two readings, a distance below the first reading was reached on or before
// its day, which is given for all three. The distance must be a number from 0 to 1e12.
func (f *Forecast) When(distance float64) (Arrival, error) {
	if err := within("distance", distance, 0, maxDistance); err != nil {
		return Arrival{}, err
	}
	last := len(f.days) - 1
	if distance <= f.dist[last] {
		return f.passed(distance), nil
	}
	return f.coming(distance - f.dist[last]), nil
}

// coming is When for a distance still to be driven.
func (f *Forecast) coming(distance float64) Arrival {
	never := math.Inf(1)
	a := Arrival{Earliest: never, Expected: never, Latest: never}
	if f.rate <= 0 {
		return a
	}
	last := f.days[len(f.days)-1]
	middle := distance / f.rate
	if end := min(middle, f.horizon); f.short(distance, end, 1) <= 0 {
		a.Earliest, a.EarliestWithin = last+f.solve(distance, 0, end, 1), true
	}
	if middle > f.horizon {
		return a
	}
	a.Expected, a.ExpectedWithin = last+middle, true
	if f.short(distance, f.horizon, -1) <= 0 {
		a.Latest, a.LatestWithin = last+f.solve(distance, middle, f.horizon, -1), true
	}
	return a
}

// short is how much is missing from distance after days, at the high (side 1) or low (side -1)
// end of the band; it falls as days grow.
func (f *Forecast) short(distance, days, side float64) float64 {
	low, _, high := f.ahead(days)
	if side > 0 {
		return distance - high
	}
	return distance - low
}

// solve finds by halving, between two numbers of days, when nothing is missing any more.
func (f *Forecast) solve(distance, low, high, side float64) float64 {
	for i := 0; i < 100 && high-low > 1e-12*high; i++ {
		mid := (low + high) / 2
		if f.short(distance, mid, side) > 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// passed is When for a distance the record has passed.
func (f *Forecast) passed(distance float64) Arrival {
	a := Arrival{EarliestWithin: true, ExpectedWithin: true, LatestWithin: true, Reached: true}
	i := sort.SearchFloat64s(f.dist, distance)
	if i == 0 || f.dist[i] == distance {
		a.Earliest, a.Expected, a.Latest = f.days[i], f.days[i], f.days[i]
		return a
	}
	share := (distance - f.dist[i-1]) / (f.dist[i] - f.dist[i-1])
	a.Earliest, a.Latest = f.days[i-1], f.days[i]
	a.Expected = a.Earliest + share*(a.Latest-a.Earliest)
	return a
}
