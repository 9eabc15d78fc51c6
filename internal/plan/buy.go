package plan

import (
	"fmt"
	"slices"

	"undertray/civil"
	"undertray/internal/fleet"
	"undertray/internal/say"
	"undertray/internal/visit"
	"undertray/units"
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
	Use     string     // what it is for: "the visit of 6 February 2027"
	Visit   int        // number of the visit in the vehicle's plan; 0 for a quick job
	Job     *visit.Job // its Parts and Consumables are to be bought
}

// Shopping lists what the plan of a vehicle buys, the soonest first. Errors are
// those of Plan.Job.
func (p *Plan) Shopping() (*Shopping, error) {
	out := &Shopping{Vehicle: p.Vehicle, On: p.On, End: p.End}
	for i := range p.Visits {
		v := &p.Visits[i]
		job, err := p.Job(v.N)
		if err != nil {
			return nil, err
		}
		out.add(Lot{Vehicle: p.Vehicle, By: v.BuyBy, Use: "the visit of " + v.Date.Long(), Visit: v.N, Job: job})
	}
	for _, s := range p.Small {
		if s.Task.Do != fleet.DoReplace {
			continue
		}
		job, err := visit.NewJob(p.m.r, visit.JobOptions{Positions: []string{s.Task.Positions[0].ID}, Alone: true})
		if err != nil {
			return nil, err
		}
		by := s.By.AddDays(-buyAheadDays)
		if by.Before(p.On) {
			by = p.On
		}
		out.add(Lot{Vehicle: p.Vehicle, By: by, Use: "a quick job by " + s.By.Long(), Job: job})
	}
	out.sort()
	return out, nil
}

// Shopping lists what the plans of all vehicles buy, the soonest first. Errors
// are those of Plan.Job.
func (y *Yard) Shopping() (*Shopping, error) {
	out := &Shopping{On: y.On, End: y.End}
	for _, p := range y.Plans {
		one, err := p.Shopping()
		if err != nil {
			return nil, err
		}
		out.Lots = append(out.Lots, one.Lots...)
	}
	out.sort()
	return out, nil
}

// add takes a lot in, unless it buys nothing.
func (s *Shopping) add(l Lot) {
	if len(l.Job.Parts)+len(l.Job.Consumables) > 0 {
		s.Lots = append(s.Lots, l)
	}
}

func (s *Shopping) sort() {
	slices.SortStableFunc(s.Lots, func(a, b Lot) int { return a.By.Compare(b.By) })
}

// Title says by when a lot is ordered and what for; with the vehicle where the
// list is for several.
func (s *Shopping) Title(l *Lot) string {
	if s.Vehicle == nil {
		return fmt.Sprintf("By %s, for %s of the %s", l.By.Long(), l.Use, l.Vehicle.Name)
	}
	return fmt.Sprintf("By %s, for %s", l.By.Long(), l.Use)
}

// Headline says what to order first, and what all of it comes to.
func (s *Shopping) Headline() string {
	who := "All vehicles"
	if s.Vehicle != nil {
		who = s.Vehicle.Name
	}
	if len(s.Lots) == 0 {
		return fmt.Sprintf("%s: nothing to buy until the end of %s.", who, s.End.MonthYear())
	}
	l := &s.Lots[0]
	out := fmt.Sprintf("%s: order %s by %s", who, say.Count(len(l.Job.Parts)+len(l.Job.Consumables), "thing", "things"), l.By.Long())
	if s.Vehicle == nil {
		out += " for the " + l.Vehicle.Name
	}
	if cost, ok := l.Job.Money(); ok {
		out += ", about " + say.Money(cost.Value(), cost.Unit())
	}
	out += fmt.Sprintf("; until the end of %s there %s", s.End.MonthYear(), lots(len(s.Lots)))
	if cost, ok := s.cost(); ok {
		out += ", together about " + say.Money(cost.Value(), cost.Unit()) + " where a cost is known"
	}
	return out + "."
}

func lots(n int) string {
	if n == 1 {
		return "is no other order"
	}
	return "are " + say.Count(n, "order", "orders")
}

// Cost is what all lots come to where it is known, or "" where none is or the
// currencies differ.
func (s *Shopping) Cost() string {
	total, ok := s.cost()
	if !ok {
		return ""
	}
	return total.String()
}

func (s *Shopping) cost() (units.Quantity, bool) {
	var known []units.Quantity
	for i := range s.Lots {
		if cost, ok := s.Lots[i].Job.Money(); ok {
			known = append(known, cost)
		}
	}
	return visit.SumOf(known)
}

// ShoppingView is a list of what to buy in JSON.
type ShoppingView struct {
	Vehicle  string     `json:"vehicle,omitempty"`
	On       civil.Date `json:"on"`
	Until    civil.Date `json:"until"`
	Headline string     `json:"headline"`
	Cost     string     `json:"cost,omitempty"`
	Orders   []LotView  `json:"orders"`
}

// LotView is what to order by one day in JSON.
type LotView struct {
	Vehicle string             `json:"vehicle"`
	By      civil.Date         `json:"by"`
	Use     string             `json:"for"`
	Visit   int                `json:"visit,omitempty"`
	Parts   []visit.PartView   `json:"parts,omitempty"`
	Ready   []fleet.Consumable `json:"have_ready,omitempty"`
	Cost    string             `json:"cost,omitempty"`
}

// View returns the list in JSON's form.
func (s *Shopping) View() ShoppingView {
	v := ShoppingView{On: s.On, Until: s.End, Headline: s.Headline(), Cost: s.Cost(), Orders: []LotView{}}
	if s.Vehicle != nil {
		v.Vehicle = s.Vehicle.ID
	}
	for _, l := range s.Lots {
		v.Orders = append(v.Orders, LotView{Vehicle: l.Vehicle.ID, By: l.By, Use: l.Use, Visit: l.Visit, Parts: l.Job.View().Parts, Ready: l.Job.Consumables, Cost: l.Job.Cost()})
	}
	return v
}
