package usage

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

const (
	yearDiscount = 1.0 / 3 // a year counts this fraction of the year after it

	// driftPerYear is the growth of the level's variance per year, in units of the scatter, for
	// which yearDiscount is the best discount: gain K = 1 - yearDiscount of the steady
	// local-level filter, drift = K^2/(1-K).
	driftPerYear = (1 - yearDiscount) * (1 - yearDiscount) / yearDiscount

	priorScatter  = 0.125 * 0.125 // relative variance of a year's distance before anything is learned
	priorCount    = 2             // independent forecasts the prior scatter counts for: one year's
	firstForecast = 12            // months of record before a past forecast is judged
	halfYear      = 6             // past forecasts this many months apart count as independent
	maxMonths     = 600           // months looked at one by one

	changeScatter = 0.48     // relative variance of a lasting change: (ln 2)^2, a factor of two
	changeChance  = 1.0 / 84 // per month: one lasting change in seven years
	lookBack      = 12       // months in which a lasting change is looked for
)

// history is the record seen in months counted back from the last reading: element k of each
// slice belongs to the moment k months before it.
type history struct {
	span   float64 // days
	yearly float64 // the owner's estimate, per year, 0 none

	driven []float64 // distance on the odometer
	sum    []float64 // sum of weight times yearly distance over the years before
	years  []float64 // sum of weights, in years of driving
	room   []float64 // working space, of no meaning
}

// newHistory takes at least one reading, cleaned.
func newHistory(days, dist []float64, yearly float64) *history {
	last := len(days) - 1
	h := &history{span: days[last] - days[0], yearly: yearly}
	n := 1 + min(int(h.span/monthDays), maxMonths)
	all := make([]float64, 4*n)
	h.driven, h.sum, h.years, h.room = all[:n], all[n:2*n], all[2*n:3*n], all[3*n:]

	h.driven[0] = dist[last]
	for k, i := 1, last; k < n; k++ {
		day := max(days[last]-float64(k)*monthDays, days[0])
		for days[i-1] > day {
			i--
		}
		share := (day - days[i-1]) / (days[i] - days[i-1])
		h.driven[k] = dist[i-1] + share*(dist[i]-dist[i-1])
	}
	for k := n - 1; k >= 0; k-- {
		h.weigh(k, dist[0])
	}
	return h
}

// weigh fills sum and years for month k: the last whole year counts in full and all before it at
// yearDiscount; what is left of the record before the whole years counts by its length, and the
// owner's estimate stands for the time before the record.
func (h *history) weigh(k int, first float64) {
	if k+12 < len(h.driven) {
		h.sum[k] = h.driven[k] - h.driven[k+12] + yearDiscount*h.sum[k+12]
		h.years[k] = 1 + yearDiscount*h.years[k+12]
		return
	}
	length := max(0, h.span-float64(k)*monthDays) / YearDays
	if length > 0 {
		h.years[k] = min(1, length)
		h.sum[k] = h.years[k] * (h.driven[k] - first) / length
	}
	if h.yearly > 0 {
		h.sum[k] += ownerYears(length) * h.yearly
		h.years[k] += ownerYears(length)
	}
}

// ownerYears is the weight of the owner's estimate, in years of driving, after a record of years.
func ownerYears(years float64) float64 { return yearlyWeight * math.Pow(yearDiscount, years) }

// perYear is the yearly distance to expect as seen k months before the last reading.
func (h *history) perYear(k int) float64 { return h.sum[k] / h.years[k] }

// origins is the number of months back, from 0, at which a forecast can be judged.
func (h *history) origins() int { return len(h.driven) - firstForecast }

// spread is the relative variance of the mean rate over a horizon, in units of the scatter: the
// years' own scatter, the uncertainty of the level now, and its drift until then.
func spread(years, weight float64) float64 {
	return 1/years + 1/weight + driftPerYear*years/3
}

// miss is the error of the forecast made k months back for the months that followed it, relative
// to the mean of forecast and outcome (so from -2 to 2).
func (h *history) miss(k, months int) float64 {
	forecast := h.perYear(k) * float64(months) / 12
	outcome := h.driven[k-months] - h.driven[k]
	if forecast+outcome <= 0 {
		return 0
	}
	return 2 * (outcome - forecast) / (forecast + outcome)
}

// scatter returns the relative variance of a year's distance and the number of independent
// forecasts it rests on, as known the given months before the last reading. For 1, 3, 6 and 12
// months ahead it takes the size that four fifths of the past errors, each in units of its own
// spread, stay within; the mean of the four variances is drawn towards the prior.
func (h *history) scatter(prior float64, before int) (variance, count float64) {
	total, used := 0.0, 0
	for _, months := range [...]int{1, 3, 6, 12} {
		errs := h.room[:0]
		for k := before + months; k < h.origins(); k++ {
			unit := math.Sqrt(spread(float64(months)/12, h.years[k]))
			errs = append(errs, math.Abs(h.miss(k, months))/unit)
		}
		if len(errs) == 0 {
			continue
		}
		slices.Sort(errs)
		sigma := stat.Quantile(0.8, stat.LinInterp, errs, nil) / distuv.UnitNormal.Quantile(0.9)
		total += sigma * sigma
		used++
	}
	if used == 0 {
		return prior, 0
	}
	count = float64(h.origins()-1-before) / halfYear
	return (priorCount*prior + count*total/float64(used)) / (priorCount + count), count
}

// level is the yearly distance to expect.
type level struct {
	perYear float64
	years   float64 // years of driving it rests on
	change  float64 // chance of a lasting change in the last year
}

// changed is true when a lasting change in the last year is more likely than none.
func (l level) changed() bool { return l.change > 0.5 }

// level weighs the steady level against a lasting change 1 to 12 months ago, by Bayes' rule with
// the Student t densities of the error of the forecast made then; the scatter is the one known
// before those months, so that the change does not hide itself. While a change is the less likely
// it is left out; otherwise the months since count in full, and those before as much as the size
// of a usual change allows.
func (h *history) level(prior float64) level {
	scatter, count := h.scatter(prior, lookBack)
	count += priorCount
	var perYear, years, total float64
	for k := 1; k <= lookBack && k < h.origins(); k++ {
		since := float64(k) / 12
		steady := scatter * spread(since, h.years[k])
		e := h.miss(k, k)
		odds := changeChance * math.Exp(logDensity(e, steady+changeScatter, count)-logDensity(e, steady, count))
		before := scatter / (scatter/h.years[k] + changeScatter)
		perYear += odds * (h.driven[0] - h.driven[k] + before*h.perYear(k)) / (since + before)
		years += odds * (since + before)
		total += odds
	}

	out := level{perYear: h.perYear(0), years: h.years[0], change: total / (1 + total)}
	if out.changed() {
		out.perYear, out.years = perYear/total, years/total
	}
	return out
}

func logDensity(x, variance, count float64) float64 {
	return distuv.StudentsT{Sigma: math.Sqrt(variance), Nu: count}.LogProb(x)
}

// upperTenth is the 90 % point of the Student t distribution.
func upperTenth(count float64) float64 {
	return distuv.StudentsT{Sigma: 1, Nu: count}.Quantile(0.9)
}

// yearlyShare is the share of the owner's estimate in the weight at the last reading.
func (h *history) yearlyShare() float64 {
	if h.yearly == 0 {
		return 0
	}
	return ownerYears(h.span/YearDays) / h.years[0]
}
