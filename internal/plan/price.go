package plan

import (
	"undertray/internal/advise"
	"undertray/internal/judge"
	"undertray/internal/visit"
)

// Prices are what the changes of a vehicle cost, as its plan reckons them.
type Prices struct {
	m *maker
}

// PricesOf prepares the prices of a vehicle. It returns a *fleet.Error where
// its sheet mixes currencies.
func PricesOf(r *advise.Report) (*Prices, error) {
	m, err := newMaker(r, Options{})
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

// Price is what one change takes.
type Price struct {
	Money    float64  // to buy
	Minutes  float64  // of work, openings not counted
	Openings []string // needed, each after those it needs
}

// Change is what the change of a part takes.
func (p *Prices) Change(j *judge.Judgement) Price {
	it := p.m.bare(j)
	return Price{Money: it.price, Minutes: it.minutes, Openings: it.openings}
}

// OpeningMinutes is what an opening takes to open and to close again.
func (p *Prices) OpeningMinutes(id string) float64 {
	return visit.OpeningMinutes(p.m.r.Vehicle.Opening(id))
}
