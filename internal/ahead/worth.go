package ahead

import (
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/lifetime"
	"undertray.example/undertray/units"
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

// WorthOf prices the choices, or returns false where the part's cost, the cost
// of a breakdown or the chance is not known, or the currencies differ.
func WorthOf(r *advise.Report, j *judge.Judgement, c *Chance) (*Worth, bool) {
	part := j.Position.Part.Cost
	costs := r.Vehicle.Costs
	if part == nil || costs.Recovery == nil || !j.Strands() || c.age <= 0 {
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
	law, err := c.law()
	if err != nil {
		return nil, false
	}
	w.Now = part.Value() / c.age * per
	w.Wait = (part.Value() + p*failure.Value()) / (c.age + ahead) * per
	w.Fail = (part.Value() + failure.Value()) / law.Mean() * per
	best, err := lifetime.AgeReplacement(law, part.Value(), part.Value()+failure.Value())
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
	days := float64(day.Sub(c.report.On))
	total, _ := c.report.Forecast.Total(day)
	km := max(0, total-c.report.Total)
	if c.in == byTime {
		return days, c.within(km, days)
	}
	return km, c.within(km, days)
}

// Outlook is what lies ahead of a part.
type Outlook struct {
	Wear       []Wearout
	Chance     *Chance    // nil: none is reckoned
	Worth      *Worth     // nil: not priced
	Next       *NextLook  // nil: no chance is reckoned
	Contradict []*Wearout // of Wear: whose newest finding contradicts what was forecast, one for each check

	due bool // it is to be put right anyway
}

// OutlookOf works out what lies ahead of a part, prices included.
func OutlookOf(r *advise.Report, j *judge.Judgement) Outlook {
	o := Glance(r, j)
	if o.Chance != nil {
		if n, ok := NextLookOf(r, j, o.Chance); ok && j.Verdict < fleet.PutRight && !n.On.Before(r.On) {
			o.Next = &n
		}
		if w, ok := WorthOf(r, j, o.Chance); ok {
			o.Worth = w
		}
	}
	return o
}

// Glance is Outlook without the prices, for a list of parts in passing.
func Glance(r *advise.Report, j *judge.Judgement) Outlook {
	o := Outlook{due: j.Verdict >= fleet.PutRight}
	o.Wear = wearouts(r, j, true)
	for i := range o.Wear {
		w := &o.Wear[i]
		if n := len(o.Contradict); w.Surprise != nil && w.Surprise.Contradicts &&
			(n == 0 || o.Contradict[n-1].Check != w.Check) {
			o.Contradict = append(o.Contradict, w)
		}
	}
	if c, ok := chanceOf(r, j, o.Wear); ok && j.Verdict < fleet.Park { // nobody drives with that until then
		o.Chance = c
	}
	return o
}

// What is forecast further ahead than this many months is not worth saying:
// in passing, and where all is asked for.
const (
	soonMonths = 36
	farMonths  = 120
)

// worthSaying returns the forecasts to put in words: of all, those that may
// come true within ten years; in passing, the soonest within three of a part that may stay.
func (o *Outlook) worthSaying(all bool) []*Wearout {
	var out []*Wearout
	for i := range o.Wear {
		w := &o.Wear[i]
		on := w.When.On
		switch {
		case all && (w.Crossed || !w.When.Earliest.IsZero() && w.When.Earliest.Before(on.AddMonths(farMonths))):
			out = append(out, w)
		case all || o.due || w.Crossed || w.When.Expected.IsZero() || !w.When.Expected.Before(on.AddMonths(soonMonths)):
		case len(out) == 0:
			out = append(out, w)
		case w.When.Expected.Before(out[0].When.Expected):
			out[0] = w
		}
	}
	return out
}
