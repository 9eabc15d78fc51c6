package advise

import (
	"math"

	"undertray/civil"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/lifetime"
)

// Chance is how likely a part is to let the owner down, and what that rests
// on. It is reckoned from the interval an authority states, read as an early
// percentile of life, and from the yard's own parts of the kind.
type Chance struct {
	Life    *catalogue.Life // what happens when it fails
	Due     *judge.Due      // the interval it rests on
	Own     int             // parts of the yard that had come off, besides this one
	Running int             // parts of the yard still at work, this one included
	Rough   bool            // rests on little
	Assumed bool            // history not known: taken to be as old as the vehicle

	law     *lifetime.Posterior
	in      exposure
	age     float64 // in that exposure
	counted bool    // the part's own life so far is among the observations
	report  *Report
}

// fewOff is the number of a yard's own past parts below which a chance is
// called rough.
const fewOff = 4

// chanceNodes is how finely a posterior is worked out: good to about 0.001 in
// a chance, which is finer than anything said of it.
const chanceNodes = 17

// Chance reckons the chance of a part failing, or returns false where the
// catalogue says that the kind cannot let one down, or no authority names an
// interval, or its age is not known.
func (r *Report) Chance(j *judge.Judgement) (*Chance, bool) {
	due := replacementInterval(j)
	if j.Kind.Life == nil || due == nil {
		return nil, false
	}
	c := &Chance{Life: j.Kind.Life, Due: due, Assumed: due.Assumed, report: r}
	interval, ok := c.measure(j, r)
	if !ok {
		return nil, false
	}
	prior, err := lifetime.FromInterval(interval, reading(r.Catalogue.Lives(), j.Kind.Life))
	if err != nil {
		return nil, false
	}
	obs, off, counted := r.experience().lives(j.Kind.ID, j.Place.Fitted.Material(), c.in, j.Place.Fitted)
	c.Own, c.Running, c.counted = off, len(obs)-off, counted
	c.Rough = off < fewOff
	if c.law, err = prior.Update(obs, lifetime.GridOptions{Nodes: chanceNodes}); err != nil {
		return nil, false
	}
	return c, true
}

// reading says how the catalogue wants an interval read for a kind.
func reading(general catalogue.Reading, l *catalogue.Life) lifetime.Reading {
	out := lifetime.Reading{Family: lifetime.Weibull, Share: general.Share, LogSD: general.LogSD, Shape: general.Shape, ShapeLogSD: general.ShapeLogSD}
	if l.Share > 0 {
		out.Share = l.Share
	}
	if l.Shape > 0 {
		out.Shape = l.Shape
	}
	return out
}

// measure chooses whether the life is counted in distance or in time: by the
// one of which more of the interval is used up.
func (c *Chance) measure(j *judge.Judgement, r *Report) (interval float64, ok bool) {
	from, _ := judge.From(r.Vehicle, j.Place.Fitted)
	now := fleet.Moment{Date: r.On, Total: r.Total, HasTotal: r.HasTotal}
	dist, time := c.Due.Interval.Distance, c.Due.Interval.Time
	used := -1.0
	if dist != nil {
		if age, known := byDistance.span(from, now); known {
			interval, c.age, c.in, used, ok = dist.Base(), age, byDistance, age/dist.Base(), true
		}
	}
	if time != nil {
		if age, known := byTime.span(from, now); known && age/time.Base() > used {
			interval, c.age, c.in, ok = time.Base(), age, byTime, true
		}
	}
	return interval, ok && interval > 0
}

// experience is the yard's, or the vehicle's own where it was worked out
// alone.
func (r *Report) experience() *Experience {
	if r.Experience == nil {
		Gather([]*Report{r})
	}
	return r.Experience
}

// Until is the chance, 0 to 1, of failing before a day on which the vehicle is
// expected to have run a total distance in km.
func (c *Chance) Until(day civil.Date, total float64) float64 {
	ahead := total - c.report.Total
	if c.in == byTime {
		ahead = float64(day.Sub(c.report.On))
	}
	return c.within(ahead)
}

// During is the chance, 0 to 1, of failing in a stretch of use of so many km
// and days that begins on a day, after a total distance in km, given that the
// part gets that far: as it is, and were it new at its beginning.
func (c *Chance) During(day civil.Date, total, km, days float64) (p, renewed float64) {
	ahead, long := total-c.report.Total, km
	if c.in == byTime {
		ahead, long = float64(day.Sub(c.report.On)), days
	}
	a, b := c.within(ahead), c.within(math.Max(0, ahead)+long)
	if a < 1 {
		p = math.Max(0, (b-a)/(1-a))
	}
	if n, ok := c.anew(long); ok {
		renewed = n
	}
	return p, math.Min(renewed, p)
}

// Renewed is the chance, 0 to 1, that a new part of the kind fails within so
// many days of the vehicle's usual use.
func (c *Chance) Renewed(days float64) float64 {
	if c.in == byDistance {
		days *= c.report.PerDay()
	}
	p, _ := c.anew(days)
	return p
}

// anew is the chance of a new part failing within an exposure.
func (c *Chance) anew(ahead float64) (float64, bool) {
	p, err := c.law.FailWithin(0, ahead)
	return p, err == nil
}

func (c *Chance) within(ahead float64) float64 {
	if ahead <= 0 {
		return 0
	}
	ask := c.law.FailWithin
	if c.counted {
		ask = c.law.FailWithinCounted
	}
	p, err := ask(math.Max(0, c.age), ahead)
	if err != nil {
		return 0
	}
	return p
}
