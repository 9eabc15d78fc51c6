package ahead

import (
	"cmp"
	"math"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/condition"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/lifetime"
)

// Chance is how likely a part is to let the owner down, and what that rests
// on: the interval an authority states, read as an early percentile of life, how
// long failures announce themselves, what was seen of the part, the path of its
// measured figures, and the yard's own parts of the kind. Without looks it is
// the chance by age alone.
type Chance struct {
	Life    *catalogue.Life     // what happens when it fails
	Due     *judge.Due          // the interval it rests on; nil where no authority names one
	Lasts   *catalogue.MeanLife // what it rests on then: how long such parts last, from memory
	Own     int                 // parts of the yard that had come off, besides this one
	Running int                 // parts of the yard still at work, this one included
	Rough   bool                // rests on little
	Assumed bool                // history not known: renewed as the trade's intervals imply
	Looks   int                 // days on which something was looked at
	Seen    fleet.Moment        // the last of them
	Glance  bool                // that was a glance, which answered no check
	Found   fleet.Verdict       // what it came to: Keep where nothing was found
	Lead    *catalogue.LeadTime

	course   course
	part     *condition.Pool
	fresh    *condition.Part // a new one of the kind
	advanced *condition.Part // one that meets its limit now; nil where no wear is measured
	wear     []Wearout
	in       exposure // what the life is mostly counted in
	age      float64  // in that exposure
	report   *advise.Report
}

// fewOff is the number of a yard's own past parts below which a chance is
// called rough.
const fewOff = 4

// kindNodes is how many kinds that may be true stand for what is not known:
// good to about 0.003 in a chance, 0.01 beyond twice the interval.
const kindNodes = 16

// ChanceOf reckons the chance of a part failing, or returns false where the
// catalogue says that the kind cannot let one down or knows of no life of it, or
// neither its age nor that of its vehicle is known.
func ChanceOf(r *advise.Report, j *judge.Judgement) (*Chance, bool) { return chanceOf(r, j, nil) }

// chanceOf is ChanceOf where the part's wear has been worked out already; nil where
// it has not.
func chanceOf(r *advise.Report, j *judge.Judgement, wear []Wearout) (*Chance, bool) {
	if j.Kind.Life == nil {
		return nil, false
	}
	looks, heirs := r.Catalogue.Looks(), r.Catalogue.Heirs(j.Kind.ID)
	c := &Chance{Life: j.Kind.Life, Due: replacementInterval(j), report: r, Lead: looks.Lead(heirs)}
	w := watched(r, j.Place.Fitted)
	var ok bool
	if c.Due == nil || c.Due.Untold() {
		c.Due, c.Lasts = nil, looks.Life(heirs)
		if c.Lasts == nil {
			return nil, false
		}
		c.Assumed = w.unknown
		c.course, ok = lastingCourse(r, j, c.Lasts, w.km, w.days)
	} else {
		c.Assumed = c.Due.Assumed
		c.course, ok = courseOf(r, j, c.Due.Interval, w.km, w.days)
	}
	if !ok {
		return nil, false
	}
	c.count()
	known, err := posterior(r.Experienced(), c.course, looks, j.Place.Fitted)
	if err != nil {
		return nil, false
	}
	c.Own, c.Running = known.off, known.running
	c.Rough = c.Own < fewOff
	c.fresh = known.fresh
	if c.part, err = c.follow(r, j, w, known); err != nil {
		return nil, false
	}
	c.joinWear(r, j, wear)
	return c, true
}

// Guessed reports whether the chance rests on nothing but a guess of how long such
// parts last: no interval is named and nothing bad was found. A look comes first
// then, and nothing is changed or summed up by it.
func (c *Chance) Guessed() bool { return c.Due == nil && c.Found < fleet.Watch }

// reading says how the catalogue wants an interval read for a kind.
func reading(general catalogue.Reading, l *catalogue.Life) lifetime.Reading {
	return lifetime.Reading{Family: lifetime.Weibull, LogSD: general.LogSD, ShapeLogSD: general.ShapeLogSD,
		Share: cmp.Or(l.Share, general.Share), Shape: cmp.Or(l.Shape, general.Shape),
		AnyAge: cmp.Or(l.AnyAge, general.AnyAge)}
}

// watch is since when a part is watched, how old the vehicle was then where
// nothing else is known, and what of its age can be counted.
type watch struct {
	from     fleet.Moment
	vehicle  [2]float64
	unknown  bool
	km, days bool
}

// watched is since when a part is watched: since its fitting or, where that is
// not known, since the journal began.
func watched(r *advise.Report, part *fleet.Part) watch {
	from, unknown := judge.From(r.Vehicle, part)
	w := watch{from: from, unknown: unknown, km: from.HasTotal && r.HasTotal, days: !from.Date.IsZero()}
	if !unknown {
		return w
	}
	began := fleet.Moment{Date: r.On, Total: r.Total, HasTotal: r.HasTotal}
	if !r.State.Began.IsZero() {
		began.Date, began.Total = r.State.Began, totalOn(r, r.State.Began)
	}
	w.from = began
	if w.days {
		w.vehicle[1] = float64(began.Date.Sub(from.Date))
	}
	if w.km {
		w.vehicle[0] = began.Total
	}
	return w
}

// totalOn is the vehicle's total distance on a day, in km: read, between two
// readings, or as forecast.
func totalOn(r *advise.Report, day civil.Date) float64 {
	if total, ok := r.State.TotalOn(day); ok {
		return total
	}
	total, _ := r.Forecast.Total(day)
	return min(total, r.Total)
}

// since is how much of both exposures lies between the beginning of the watch
// and a moment; a distance that is not known is reckoned.
func (w watch) since(r *advise.Report, m fleet.Moment) []float64 {
	out := make([]float64, 2)
	if w.km {
		total := m.Total
		if !m.HasTotal {
			total = totalOn(r, m.Date)
		}
		out[0] = max(0, total-w.from.Total)
	}
	if w.days {
		out[1] = max(0, float64(m.Date.Sub(w.from.Date)))
	}
	return out
}

// follow is what is believed of the part after all that was seen of it, and as
// much without what some looks, that may be blind on it, said.
func (c *Chance) follow(r *advise.Report, j *judge.Judgement, w watch, k known) (*condition.Pool, error) {
	looks, all := r.Catalogue.Looks(), looksAt(r.Catalogue, j.Place, j.Place.Fitted, j.Kind)
	h, at := c.history(r, w, all)
	var accounts [][]condition.Look // of what was seen, each once
	var account []condition.Look    // being put together, and kept if it is another
	as := func(blind []string) int {
		if account == nil {
			account = make([]condition.Look, 0, len(all))
		}
		account = inWay(account[:0], all, at, blind)
		same := func(o []condition.Look) bool { return slices.EqualFunc(o, account, sameLook) }
		if i := slices.IndexFunc(accounts, same); i >= 0 {
			return i
		}
		accounts, account = append(accounts, account), nil
		return len(accounts) - 1
	}
	as(nil)
	which := make([]int, len(looks.Blind))
	for i := range looks.Blind {
		which[i] = as(looks.Blind[i].Sorts)
	}
	parts, err := k.parts(h, accounts)
	if err != nil {
		return nil, err
	}
	blind := make([]condition.Blind, len(which))
	for i, n := range which {
		blind[i] = condition.Blind{Share: looks.Blind[i].Share, Part: parts[n]}
	}
	found := slices.ContainsFunc(accounts[0], func(l condition.Look) bool { return l.Grade > 0 })
	return condition.PoolOf(parts[0], found, blind...)
}

func sameLook(a, b condition.Look) bool {
	return a.Sort == b.Sort && a.Grade == b.Grade && a.OrWorse == b.OrWorse && a.Blind == b.Blind &&
		slices.Equal(a.At, b.At)
}

// history is what is known of the part for the engine but for what was seen of it,
// and the exposures at each look; nil for one that is not of this part.
func (c *Chance) history(r *advise.Report, w watch, all []seen) (h condition.History, at [][]float64) {
	if w.unknown {
		h.Ages = c.course.ages(w.vehicle, r.Catalogue.Looks().KeepToInterval)
	}
	h.Ages = c.course.begun(h.Ages)
	last := make([]float64, 2)
	add := func(at []float64) []float64 { // exposures rise together, whatever was read
		for e := range at {
			at[e] = max(at[e], last[e])
		}
		last = at
		return at
	}
	at = make([][]float64, len(all))
	for i, s := range all {
		if s.Date.Before(w.from.Date) || s.Date.After(r.On) {
			continue
		}
		at[i] = add(w.since(r, s.Moment))
		c.Looks, c.Seen, c.Glance, c.Found = c.Looks+1, s.Moment, s.glance, verdictOf(s.grade)
	}
	h.At = add(w.since(r, fleet.Moment{Date: r.On, Total: r.Total, HasTotal: r.HasTotal}))
	c.age = h.At[c.in]
	if w.unknown {
		c.age += w.vehicle[c.in] / 2
	}
	return h, at
}

func verdictOf(grade int) fleet.Verdict {
	return []fleet.Verdict{fleet.Keep, fleet.Watch, fleet.PutRight, fleet.Park}[grade]
}

// count says in what the life is mostly counted: in the one of which the usual
// year uses up more.
func (c *Chance) count() {
	use := [2]float64{c.report.PerDay(), 1}
	c.in = byTime
	if c.course.life[0] > 0 && (c.course.life[1] == 0 || use[0]/c.course.life[0] > use[1]/c.course.life[1]) {
		c.in = byDistance
	}
}

// Until is the chance, 0 to 1, of failing before a day on which the vehicle is
// expected to have run a total distance in km.
func (c *Chance) Until(day civil.Date, total float64) float64 {
	return c.within(total-c.report.Total, float64(day.Sub(c.report.On)))
}

// During is the chance, 0 to 1, of failing in a stretch of use of so many km
// and days that begins on a day, after a total distance in km, given that the
// part gets that far: as it is, and were it new at its beginning.
func (c *Chance) During(day civil.Date, total, km, days float64) (p, renewed float64) {
	aheadKm, aheadDays := max(0, total-c.report.Total), max(0, float64(day.Sub(c.report.On)))
	a, b := c.within(aheadKm, aheadDays), c.within(aheadKm+km, aheadDays+days)
	if a < 1 {
		p = math.Max(0, (b-a)/(1-a))
	}
	return p, math.Min(c.anew(km, days), p)
}

// Renewed is the chance, 0 to 1, that a new part of the kind fails within so
// many days of the vehicle's usual use.
func (c *Chance) Renewed(days float64) float64 { return c.anew(days*c.report.PerDay(), days) }

// anew is the chance of a new part failing within so many km and days.
func (c *Chance) anew(km, days float64) float64 { return fails(c.fresh, km, days) }

// failing is what an engine believes of a part.
type failing interface {
	FailWithin(dx []float64) (condition.Chance, error)
}

func fails(p failing, km, days float64) float64 {
	if km <= 0 && days <= 0 {
		return 0
	}
	f, err := p.FailWithin([]float64{max(0, km), max(0, days)})
	if err != nil {
		return 0
	}
	return f.Mean
}

// within is the chance of failing within so many km and days: by what is known
// of the whole part, or by a measured figure that meets its limit sooner.
func (c *Chance) within(km, days float64) float64 {
	return max(fails(c.part, km, days), c.byWear(km, days))
}
