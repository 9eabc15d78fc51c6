package advise

import (
	"fmt"

	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/internal/say"
	"undertray/lifetime"
	"undertray/units"
)

// Worth is what it costs to change a part now, at the next visit, or when it
// fails, in the owner's money.
type Worth struct {
	Part    units.Quantity // the part with what is used up in changing it
	Failure units.Quantity // what a failure costs on top: recovery and consequence
	// Now, Wait and Fail are costs for each 1000 km (or each year, with PerYear) of
	// the part's life: changed now, changed at the next visit with the chance of
	// failing before it, and left until it fails.
	Now, Wait, Fail float64
	PerYear         bool
	Currency        string
	// Best is the cheapest age to change at, in km or days; Why says why there
	// is none.
	Best lifetime.Replacement
}

// Worth prices the choices, or returns false where the part's cost, the cost
// of a breakdown or the chance is not known, or the currencies differ.
func (r *Report) Worth(j *judge.Judgement, c *Chance) (*Worth, bool) {
	part := j.Position.Part.Cost
	costs := r.Vehicle.Costs
	if part == nil || costs.Recovery == nil || !j.Kind.Life.Strands || c.age <= 0 {
		return nil, false
	}
	failure := *costs.Recovery
	if costs.Consequence != nil {
		sum, err := units.Sum(failure, *costs.Consequence)
		if err != nil {
			return nil, false
		}
		failure = sum
	}
	if failure.Unit() != part.Unit() {
		return nil, false
	}
	w := &Worth{Part: *part, Failure: failure, PerYear: c.in == byTime, Currency: part.Unit()}
	per := 1000.0
	if w.PerYear {
		per = 365.2425
	}
	ahead, p := c.untilVisit()
	mean := c.law.Mean()
	w.Now = part.Value() / c.age * per
	w.Wait = (part.Value() + p*failure.Value()) / (c.age + ahead) * per
	w.Fail = (part.Value() + failure.Value()) / mean * per
	best, err := lifetime.AgeReplacement(c.law, part.Value(), part.Value()+failure.Value())
	if err != nil {
		return nil, false
	}
	w.Best = best
	return w, true
}

// untilVisit is how much of the exposure lies ahead until the next visit, and
// the chance of failing in it.
func (c *Chance) untilVisit() (ahead, p float64) {
	day := c.report.Visits[0].When.Expected
	if day.IsZero() || !c.report.On.Before(day) {
		day = c.report.On
	}
	total, ok := c.report.Forecast.Total(day)
	if c.in == byTime {
		ahead = float64(day.Sub(c.report.On))
	} else if ok {
		ahead = max(0, total-c.report.Total)
	}
	return ahead, c.within(ahead)
}

// Words compares the choices in one or two sentences.
func (w *Worth) Words(p units.Preferences) string {
	per := "1000 km"
	if w.PerYear {
		per = "year"
	}
	money := func(v float64) string { return units.Format(v, w.Currency, 2) }
	s := fmt.Sprintf("Changed now it will have cost %s for each %s; at the next visit %s, the chance of failing before it counted; left until it fails about %s.",
		money(w.Now), per, money(w.Wait), money(w.Fail))
	switch {
	case w.Best.Why != lifetime.Worthwhile:
		return s + " No age is known at which changing it beforehand pays."
	case w.PerYear:
		return s + fmt.Sprintf(" Cheapest in the long run: changed at about %.1f years.", w.Best.Age/365.2425)
	}
	return s + fmt.Sprintf(" Cheapest in the long run: changed at about %s.", say.Rough(w.Best.Age, p))
}

// Outlook is what lies ahead of a part, in sentences ready to show.
type Outlook struct {
	Wear       []Wearout
	Chance     *Chance // nil: none is reckoned
	Worth      *Worth  // nil: not priced
	Contradict []string
}

// Outlook works out what lies ahead of a part, prices included.
func (r *Report) Outlook(j *judge.Judgement) Outlook {
	o := r.Glance(j)
	if o.Chance != nil {
		if w, ok := r.Worth(j, o.Chance); ok {
			o.Worth = w
		}
	}
	return o
}

// Glance is Outlook without the prices, for a list of parts in passing.
func (r *Report) Glance(j *judge.Judgement) Outlook {
	var o Outlook
	o.Wear = r.Wearouts(j)
	for i := range o.Wear {
		if s := o.Wear[i].SurpriseWords(); s != "" && (len(o.Contradict) == 0 || o.Contradict[len(o.Contradict)-1] != s) {
			o.Contradict = append(o.Contradict, s)
		}
	}
	if c, ok := r.Chance(j); ok {
		o.Chance = c
	}
	return o
}

// Lines says the outlook in sentences: the governing wear first, then the
// chance, then what contradicts the forecast.
func (o *Outlook) Lines(p units.Preferences, all bool) []string {
	var out []string
	for _, w := range o.worthSaying(all) {
		out = append(out, w.Words(p))
	}
	out = append(out, o.Contradict...)
	if o.Chance != nil {
		out = append(out, o.Chance.Words())
	}
	if all && o.Worth != nil {
		out = append(out, o.Worth.Words(p))
	}
	return out
}

// What is forecast further ahead than this many months is not worth saying:
// in passing, and where all is asked for.
const (
	soonMonths = 36
	farMonths  = 120
)

// worthSaying returns the forecasts to put in words: of all, those that may
// come true within ten years; in passing, the soonest within three.
func (o *Outlook) worthSaying(all bool) []*Wearout {
	var out []*Wearout
	for i := range o.Wear {
		w := &o.Wear[i]
		on := w.When.on
		switch {
		case all && (w.Crossed || !w.When.Earliest.IsZero() && w.When.Earliest.Before(on.AddMonths(farMonths))):
			out = append(out, w)
		case all || w.Crossed || w.When.Expected.IsZero() || !w.When.Expected.Before(on.AddMonths(soonMonths)):
		case len(out) == 0:
			out = append(out, w)
		case w.When.Expected.Before(out[0].When.Expected):
			out[0] = w
		}
	}
	return out
}

// LetsDown says what happens when the part fails, or "".
func LetsDown(j *judge.Judgement) string {
	if j.Kind.Life == nil || j.Verdict == fleet.Keep {
		return ""
	}
	return "If it fails: " + j.Kind.Life.LetsDown + "."
}
