package ahead

import (
	"undertray.example/undertray/condition"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// joinWear takes in the measured figures whose path is known from more than
// what was believed beforehand: of each check the limit that is met first.
func (c *Chance) joinWear(r *advise.Report, j *judge.Judgement, all []Wearout) {
	if j.Place.Fitted.From.Date.IsZero() {
		return
	}
	if all == nil {
		all = wearouts(r, j, false)
	}
	for _, w := range all {
		if w.Prior {
			continue
		}
		c.wear = append(c.wear, w)
	}
	if len(c.wear) == 0 {
		return
	}
	prior, err := c.course.prior(r.Catalogue.Looks())
	if err != nil {
		return
	}
	kind := condition.Kind{Stages: prior.Kind.Stages[min(2, len(prior.Kind.Stages)-1):]}
	if known, err := condition.Known(kind); err == nil {
		c.advanced, _ = known.Part(condition.History{})
	}
}

// wearSteps is in how many steps the way to a limit is gone.
const wearSteps = 8

// byWear is the chance, within so many km and days, that a measured figure meets
// its limit and the part then fails as one with advanced signs does.
func (c *Chance) byWear(km, days float64) float64 {
	worst := 0.0
	if c.advanced == nil || km <= 0 && days <= 0 {
		return worst
	}
	now := fleet.Moment{Date: c.report.On, Total: c.report.Total, HasTotal: c.report.HasTotal}
	for i := range c.wear {
		w := &c.wear[i]
		at, ok := w.in.span(w.from, now)
		if !ok {
			continue
		}
		ahead := days
		if w.in == byDistance {
			ahead = km
		}
		sum, before := 0.0, 0.0
		for k := range wearSteps + 1 {
			part := float64(k) / wearSteps
			met := max(before, w.Forecast.PastBy(at+part*ahead))
			left := 1 - max(0, part-0.5/wearSteps)
			sum += (met - before) * fails(c.advanced, left*km, left*days)
			before = met
		}
		worst = max(worst, sum)
	}
	return worst
}
