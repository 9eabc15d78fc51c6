package ahead

import (
	"math"

	"undertray.example/undertray/condition"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/lifetime"
	"undertray.example/undertray/units"
)

// course is how a part of a kind is believed to wear, and in what: its mean
// life and the mean time from the first sign to failure, in km and days alone,
// 0 where that does not count. It names what is learnt once.
type course struct {
	kind, material string
	counts         units.Dimension // what e 0 is counted in
	life, lead     [2]float64
	interval       float64 // share of the mean life at which it is due; 0 for never
	spread         float64 // how much lead times differ: sd of the logarithm
	logSD, shape   float64 // doubt of the onset; Weibull's shape of the whole life
	shapeLogSD     float64
	anyAge         float64 // how likely such parts fail at any age instead
	early          catalogue.EarlyLife
}

// leadMost is the share of a mean life that a lead time takes at most: an
// interval of a sheet may be far shorter than the kind's usual one.
const leadMost = 0.4

// courseOf works out how a part wears by an interval and the catalogue's lead
// times, counted in what of its age is known: distance and time both count as
// the kind's lead time says, whichever the authority names, by the usual year. It
// returns false where nothing of its age is known.
func courseOf(r *advise.Report, j *judge.Judgement, iv *fleet.Interval, km, days bool) (course, bool) {
	read := reading(r.Catalogue.Lives(), j.Kind.Life)
	prior, err := lifetime.FromInterval(1, read)
	if err != nil {
		return course{}, false
	}
	mean, doubt := prior.MeanLife()
	c := course{interval: 1 / mean, logSD: doubt, shape: read.Shape, shapeLogSD: read.ShapeLogSD, anyAge: read.AnyAge}
	return c, c.wears(r, j, iv.Distance, iv.Time, mean, km, days)
}

// lastingCourse is courseOf for a kind of which only its mean life is known.
func lastingCourse(r *advise.Report, j *judge.Judgement, m *catalogue.MeanLife, km, days bool) (course, bool) {
	read := reading(r.Catalogue.Lives(), j.Kind.Life)
	c := course{logSD: m.Spread, shape: read.Shape, shapeLogSD: read.ShapeLogSD, anyAge: read.AnyAge}
	return c, c.wears(r, j, m.Distance, m.Time, 1, km, days)
}

// wears fills in life and lead, of a mean life of so many times a distance and a
// time.
func (c *course) wears(r *advise.Report, j *judge.Judgement, distance, time *units.Quantity, mean float64,
	km, days bool) bool {
	c.kind, c.material, c.counts, c.spread = j.Kind.ID, j.Place.Fitted.Material(), r.Vehicle.Counts.Dimension(), 0.7
	if e := r.Catalogue.Looks().Early; e != nil {
		c.early = *e
	}
	lead := r.Catalogue.Looks().Lead(r.Catalogue.Heirs(j.Kind.ID))
	share := [2]float64{0.5, 0.5}
	if lead != nil {
		c.spread, share = lead.Spread, [2]float64{lead.ByDistance, 1 - lead.ByDistance}
	}
	var named [2]float64
	year := r.Catalogue.Looks().PerDay()
	if distance != nil {
		named[0] = distance.Base()
	}
	if time != nil {
		named[1] = time.Base()
	}
	both(&named, year)
	switch {
	case !km:
		share = [2]float64{0, 1}
	case !days:
		share = [2]float64{1, 0}
	}
	for e, n := range named {
		if n > 0 && share[e] > 0 {
			c.life[e] = mean * n / share[e]
			c.lead[e] = leadIn(lead, e, mean*n, year) / share[e]
		}
	}
	return (km || days) && (c.life[0] > 0 || c.life[1] > 0)
}

// both fills in what is named in km (0) or days (1) alone, by so many km a day.
func both(named *[2]float64, perDay float64) {
	switch {
	case named[0] == 0:
		named[0] = named[1] * perDay
	case named[1] == 0 && perDay > 0:
		named[1] = named[0] / perDay
	}
}

// leadIn is a lead time in km (0) or days (1), at most a share of a mean life;
// half of that where none is stated.
func leadIn(l *catalogue.LeadTime, e int, life, perDay float64) float64 {
	most := leadMost * life
	if l == nil || l.Distance == nil && l.Time == nil {
		return most / 2
	}
	var stated [2]float64
	if l.Distance != nil {
		stated[0] = l.Distance.Base()
	}
	if l.Time != nil {
		stated[1] = l.Time.Base()
	}
	both(&stated, perDay)
	return min(stated[e], most)
}

// prior turns a course into what the engine starts from. The doubt is of the
// onset alone, so that no good look ever raises a chance: as much as makes the
// whole life as little known as it is. How much lead times differ goes into the
// stays themselves.
func (c course) prior(looks *catalogue.Looks) (condition.Prior, error) {
	l := condition.Lead{Onset: make([]float64, 2), Lead: c.lead[:], LeadLogSD: c.spread, Within: true,
		ShapeLogSD: 2 * c.shapeLogSD} // a gamma stay of Weibull's spread: its shape goes with the square
	squares := 0.0
	for _, s := range looks.Stages[1:] {
		l.Shares = append(l.Shares, s.Share)
		squares += s.Share * s.Share
	}
	part := 0.0 // of the mean life that the lead takes
	for e := range l.Onset {
		l.Onset[e] = c.life[e] - c.lead[e]
		if c.life[e] > 0 {
			part = c.lead[e] / c.life[e]
		}
	}
	l.OnsetLogSD = math.Sqrt(math.Log1p(math.Expm1(c.logSD*c.logSD) / ((1 - part) * (1 - part))))
	onset := func(spread float64) float64 { // its shape, no more regular than the whole
		return min(1/max(spread, (spread-squares*part*part)/((1-part)*(1-part)), 0.05), 20)
	}
	g := math.Gamma(1 + 1/c.shape)
	l.Shape = onset(math.Gamma(1+2/c.shape)/(g*g) - 1)
	var sorts []condition.Sort
	for _, strength := range catalogue.Strengths() {
		sorts = append(sorts, condition.Sort{Says: looks.Table(strength)})
	}
	p, err := condition.FromLead(l, sorts, nil)
	p.Else = condition.Else{Weight: c.anyAge, Shape: onset(1)}
	return p, err
}

// begun says as how old a part begins of so much age: a few go early, as if
// they had been older by a share of a mean life.
func (c course) begun(ages []condition.Age) []condition.Age {
	if c.early.Share <= 0 {
		return ages
	}
	if ages == nil {
		ages = []condition.Age{{At: []float64{0, 0}, Weight: 1}}
	}
	uses := 0.0 // exposures that count
	for _, life := range c.life {
		if life > 0 {
			uses++
		}
	}
	var out []condition.Age
	for _, a := range ages {
		worn := []float64{a.At[0] + c.early.Worn*c.life[0]/uses, a.At[1] + c.early.Worn*c.life[1]/uses}
		out = append(out, condition.Age{At: a.At, Weight: a.Weight * (1 - c.early.Share)},
			condition.Age{At: worn, Weight: a.Weight * c.early.Share})
	}
	return out
}

// ages says how old a part of unknown history may be after so many km and days
// of its vehicle. Some owners keep to the interval: the part's age is then
// anything up to it. With others it is the first one, or came when one failed.
func (c course) ages(total [2]float64, keep float64) []condition.Age {
	used := 0.0 // mean lives
	for e, x := range total {
		if c.life[e] > 0 {
			used += x / c.life[e]
		}
	}
	if used <= 0 {
		return nil
	}
	var out []condition.Age
	add := func(age, weight float64) {
		if weight > 0 {
			share := age / used
			out = append(out, condition.Age{At: []float64{share * total[0], share * total[1]}, Weight: weight})
		}
	}
	const steps = 4
	if c.interval == 0 {
		keep = 0
	}
	first := 1 - keep
	if used <= c.interval {
		first = 1
	}
	add(used, first)
	for i := range steps {
		at := (float64(i) + 0.5) / steps
		if used > c.interval {
			add(at*c.interval, keep/steps)
		}
		add(at*used, (1-keep)*used/steps) // one change a mean life
	}
	return out
}
