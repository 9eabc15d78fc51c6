package plan

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/visit"
)

// Prices are what the changes of a vehicle cost, as its plan reckons them.
type Prices struct {
	m *maker
}

// PricesOf prepares the prices of a vehicle. It returns a *fleet.Error where
// its sheet mixes currencies, or the options make no sense.
func PricesOf(r *advise.Report, opt Options) (*Prices, error) {
	m, err := newMaker(r, opt)
	if err != nil {
		return nil, err
	}
	return &Prices{m}, nil
}

// Currency is what Price.Money is in, and "" where no cost is known.
func (p *Prices) Currency() string { return p.m.money.currency }

// Hour is what an hour of the owner's time is worth.
func (p *Prices) Hour() float64 { return p.m.money.hour }

// Loss is what a breakdown on the road costs.
func (p *Prices) Loss() float64 { return p.m.money.loss }

// Visit is what one more visit costs, getting ready and clearing away.
func (p *Prices) Visit() float64 { return p.m.money.visit() }

// Price is what one change takes.
type Price struct {
	Money    float64  // to buy
	Minutes  float64  // of work, openings not counted
	Openings []string // needed, each after those it needs
}

// Change is what the change of a part takes.
func (p *Prices) Change(j *judge.Judgement) Price { return p.m.bare(j).priceOf() }

// Part is what a part costs, whoever changes it; false where the sheet does not
// say.
func (p *Prices) Part(j *judge.Judgement) (float64, bool) { return p.m.price(j) }

func (it *item) priceOf() Price {
	return Price{Money: it.price, Minutes: it.minutes, Openings: it.openings}
}

// Pending is a change that will fall due, or is.
type Pending struct {
	Price
	Due    civil.Date // zero: not known
	Months int        // that its part lasts; 0: not known
	Cause  why.Cause  // its zero value: it has no reason of its own
}

// Pending is what the change of a part takes, and what makes it due when.
func (p *Prices) Pending(j *judge.Judgement) Pending {
	it := p.m.bare(j)
	out := Pending{Price: it.priceOf()}
	if p.m.reason(it) {
		out.Cause = it.cause
	}
	out.Due, out.Months = it.due, it.life
	return out
}

// OpeningMinutes is what an opening takes to open and to close again.
func (p *Prices) OpeningMinutes(id string) float64 {
	return visit.OpeningMinutes(p.m.r.Vehicle.Opening(id))
}
