package buying

import (
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// Shopping is what a plan buys, by the day by which it is ordered.
type Shopping struct {
	Vehicle *fleet.Vehicle // nil for all vehicles of a yard
	On, End civil.Date
	Lots    []Lot
}

// Lot is what to order by one day, for one visit or one quick job.
type Lot struct {
	Vehicle *fleet.Vehicle
	By      civil.Date
	For     civil.Date       // the day of the visit, or by which the quick job is done
	Visit   int              // number of the visit in the vehicle's plan; 0 for a quick job
	Job     *visit.Job       // its Parts and Consumables are to be bought
	Had     []visit.PartLine // bought already
	Stock   []*fleet.Entry   // how consumables for it were bought
}

// things counts what is to be ordered.
func (l *Lot) things() int { return len(l.Job.Parts) + len(l.Job.Consumables) }

// OfPlan lists what the plan of a vehicle buys, the soonest first. Errors are
// those of Plan.Job.
func OfPlan(p *plan.Plan) (*Shopping, error) {
	out := &Shopping{Vehicle: p.Vehicle, On: p.On, End: p.End}
	for i := range p.Visits {
		v := &p.Visits[i]
		job, err := p.Job(v.N)
		if err != nil {
			return nil, err
		}
		out.add(Lot{Vehicle: p.Vehicle, By: v.BuyBy, For: v.Date, Visit: v.N, Job: job})
	}
	for _, s := range p.Small {
		if s.Task.Do != fleet.DoReplace {
			continue
		}
		job, err := p.QuickJob(&s)
		if err != nil {
			return nil, err
		}
		by := s.By.AddDays(-plan.BuyAheadDays)
		if by.Before(p.On) {
			by = p.On
		}
		out.add(Lot{Vehicle: p.Vehicle, By: by, For: s.By, Job: job})
	}
	out.sort()
	out.take(p.Supplies())
	return out, nil
}

// OfYard lists what the plans of all vehicles buy, the soonest first. Errors
// are those of Plan.Job.
func OfYard(y *plan.Yard) (*Shopping, error) {
	out := &Shopping{On: y.On, End: y.End}
	for _, p := range y.Plans {
		one, err := OfPlan(p)
		if err != nil {
			return nil, err
		}
		out.Lots = append(out.Lots, one.Lots...)
	}
	out.sort()
	return out, nil
}

// add takes a lot in, unless it buys nothing; what was bought already is not asked for.
func (s *Shopping) add(l Lot) {
	job := *l.Job
	job.Parts = nil
	for _, p := range l.Job.Parts {
		if p.Bought != nil {
			l.Had = append(l.Had, p)
		} else {
			job.Parts = append(job.Parts, p)
		}
	}
	if l.Job = &job; l.things()+len(l.Had) > 0 {
		s.Lots = append(s.Lots, l)
	}
}

// take no longer asks for consumables that were bought: each is for the first lot that uses it.
func (s *Shopping) take(bought []*fleet.Entry) {
	bought = slices.Clone(bought)
	for i := range s.Lots {
		l := &s.Lots[i]
		l.Job.Consumables = slices.DeleteFunc(slices.Clone(l.Job.Consumables), func(c fleet.Consumable) bool {
			k := slices.IndexFunc(bought, func(e *fleet.Entry) bool { return e.Bought.Of.What == c.What })
			if k >= 0 {
				l.Stock = append(l.Stock, bought[k])
				bought = slices.Delete(bought, k, k+1)
			}
			return k >= 0
		})
	}
}

func (s *Shopping) sort() {
	slices.SortStableFunc(s.Lots, func(a, b Lot) int { return a.By.Compare(b.By) })
}

// cost is what all lots come to where it is known, and false where none is or
// the currencies differ.
func (s *Shopping) cost() (units.Quantity, bool) {
	var known []units.Quantity
	for i := range s.Lots {
		if cost, ok := s.Lots[i].Job.Money(); ok {
			known = append(known, cost)
		}
	}
	return visit.SumOf(known)
}
