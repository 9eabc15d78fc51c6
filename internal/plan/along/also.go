package along

import (
	"cmp"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
)

// Also answers "I shall be in there anyway: what else?".
type Also struct {
	For    []*judge.Judgement // what one goes in for
	On     civil.Date
	Open   []*fleet.Opening
	Offers []Offer // the cheapest first
	// Looks are positions that are open to look at then and due for it.
	Looks []*judge.Judgement
	// Minutes and Money are what all that is worth adding takes: what several
	// of them open counts once.
	Minutes, Money float64
	Currency       string // "" where no cost is known
}

// Offer is one thing to change along, and what it takes.
type Offer struct {
	Judgement *judge.Judgement
	Minutes   float64   // of work besides
	Money     float64   // to buy
	Saves     float64   // minutes of opening that need not be done again for it
	Lost      float64   // money's worth of life thrown away
	Early     int       // months before it is due, 0: due or past
	Usual     bool      // the trade changes it along with what one goes in for
	Net       float64   // cost of doing it then over doing it when it is due
	Cause     why.Cause // what makes it due
	Currency  string

	work  float64  // minutes without openings
	opens []string // openings besides those made anyway
}

// Offers beyond this many are not worth reading, and neither is what is due
// further ahead.
const (
	offersMost   = 10
	offersMonths = 48
)

// WhileOpen ranks what to add to the change of some positions on a day, least extra
// cost first: the work besides and the life thrown away, less the openings that
// need not be made again. It returns a *fleet.Error where a position is unknown
// or the day is past.
func WhileOpen(r *advise.Report, positions []string, on civil.Date, opt plan.Options) (*Also, error) {
	if opt.Stance != "" && opt.Stance != r.Vehicle.Stance {
		return WhileOpen(r.UnderStance(opt.Stance), positions, on, opt)
	}
	if on.Before(r.On) {
		return nil, advise.Fault("--on-visit", message.Of("%s is past", told.Long(on)),
			message.Of("name a day from %s on", r.On.String()))
	}
	prices, err := plan.PricesOf(r, opt)
	if err != nil {
		return nil, err
	}
	out := &Also{On: on, Currency: prices.Currency()}
	var open []string
	usual := map[*fleet.Position]bool{}
	for _, id := range positions {
		j, err := r.Find(id)
		if err != nil {
			return nil, err
		}
		out.For = append(out.For, j)
		open = append(open, slices.Concat(j.Position.Seen, j.Position.Changed)...)
		for _, c := range r.Companions(j) {
			for _, p := range c.Positions {
				usual[p] = usual[p] || !c.Inspect
			}
		}
	}
	open = r.Vehicle.Closure(open)
	for _, id := range open {
		out.Open = append(out.Open, r.Vehicle.Opening(id))
	}
	for i := range r.Judgements {
		j := &r.Judgements[i]
		if slices.Contains(out.For, j) || j.Position.LookOnly {
			continue
		}
		if o := offer(prices, j, open, on, usual[j.Position]); o != nil {
			out.Offers = append(out.Offers, *o)
		}
	}
	slices.SortStableFunc(out.Offers, func(a, b Offer) int { return cmp.Compare(a.Net, b.Net) })
	out.Offers = out.Offers[:min(len(out.Offers), offersMost)]
	out.sum(r.Vehicle)
	for _, j := range r.Walk() {
		if c := r.Vehicle.Closure(j.Position.Seen); len(c) > 0 && fleet.Subset(c, open) &&
			(j.Looked.Never || j.Looked.Next.Passed(on, 0, false)) {
			out.Looks = append(out.Looks, j)
		}
	}
	return out, nil
}

// offer weighs changing a part along, or returns nil where it shares nothing
// or is far from due.
func offer(prices *plan.Prices, j *judge.Judgement, open []string, on civil.Date, usual bool) *Offer {
	it := prices.Pending(j)
	o := &Offer{Judgement: j, Minutes: it.Minutes, Money: it.Money, Usual: usual, work: it.Minutes}
	for _, id := range it.Openings {
		minutes := prices.OpeningMinutes(id)
		if slices.Contains(open, id) {
			o.Saves += minutes
		} else {
			o.Minutes += minutes
			o.opens = append(o.opens, id)
		}
	}
	if it.Due.After(on) {
		o.Early = 12*(it.Due.Year-on.Year) + int(it.Due.Month) - int(on.Month)
	}
	near := it.Cause.Code != "" && !it.Due.IsZero() && o.Early <= offersMonths
	if o.Saves == 0 || !near && !usual {
		return nil
	}
	if it.Months > 0 {
		o.Lost = it.Money * min(1, float64(o.Early)/float64(it.Months))
	}
	o.Net = (o.Minutes-it.Minutes)/60*prices.Hour() + o.Lost - o.Saves/60*prices.Hour()
	if usual || j.Verdict >= fleet.PutRight { // or one comes back for it
		o.Net -= prices.Visit()
	}
	if o.Net > prices.Visit() {
		return nil
	}
	o.Cause, o.Currency = it.Cause, prices.Currency()
	return o
}

// sum adds up what all that is worth adding takes.
func (a *Also) sum(v *fleet.Vehicle) {
	var extra []string
	for _, o := range a.Worth() {
		a.Minutes += o.work
		a.Money += o.Money
		for _, id := range o.opens {
			if !slices.Contains(extra, id) {
				extra = append(extra, id)
				a.Minutes += visit.OpeningMinutes(v.Opening(id))
			}
		}
	}
}

// Worth returns the offers that cost less then than when they are due.
func (a *Also) Worth() []Offer {
	var out []Offer
	for _, o := range a.Offers {
		if o.Net <= 0 {
			out = append(out, o)
		}
	}
	return out
}
