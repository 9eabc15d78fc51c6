package plan

import (
	"context"
	"errors"
	"math"
	"slices"
	"sync"

	"undertray.example/undertray/internal/howfar"
	"undertray.example/undertray/schedule"
)

// sharing plans the vehicles of a yard as one problem of the engine, under the
// hours and the money that they share.
type sharing struct {
	alone   []*Plan // what each would do by itself
	problem *schedule.Problem
	limits  []room // by month, from 0: what may be worked and bought in all
	whole   room   // of a month

	mu     sync.Mutex // for search and those of alone
	search *searched
	done   int // steps that were gone on with
}

// The search of each vehicle by itself and then that of all take so many steps
// before a plan is shown; neither need be proven to the last. Another step for
// each by itself takes a third longer and finds the same plan on the demo yard.
const (
	aloneSteps = 1
	shareSteps = 1
	// withinSteps is for what is tried for a vehicle, beginning with what it does
	// among all. Without anything that is tried, as many steps as all took.
	withinSteps = 3
)

// share plans all vehicles at once, beginning with what each would do by itself
// and with the plan kept from before, nil if there is none.
func (y *Yard) share(ctx context.Context, before []schedule.Doing, steps int) error {
	s := &sharing{alone: y.Plans, problem: &schedule.Problem{Periods: len(y.Plans[0].m.months)}, whole: y.whole()}
	for _, p := range s.alone {
		s.problem.Vehicles = append(s.problem.Vehicles, p.m.problem.Vehicles[0])
	}
	s.limit(y.Currency)
	solved, err := s.solve(ctx, before, steps)
	if err != nil {
		return err
	}
	y.shared = s
	return y.take(ctx, solved)
}

// take makes the yard's plan of a common solution.
func (y *Yard) take(ctx context.Context, solved *schedule.Plan) error {
	plans, err := y.tell(ctx, solved)
	if err != nil {
		return err
	}
	y.Plans, y.Score = plans, 0
	for _, p := range plans {
		y.Score += p.Score
	}
	y.Bound = min(y.Score, max(y.Bound, solved.Bound))
	return nil
}

// limit sets what all vehicles may take of each month: what the yard has, or
// what one job needs by itself, or what the owner has settled for the month.
func (s *sharing) limit(currency string) {
	s.limits = make([]room, s.problem.Periods)
	s.problem.Calendar = make([]schedule.Period, s.problem.Periods)
	oneMoney := !slices.ContainsFunc(s.alone, func(p *Plan) bool { return p.Currency != currency })
	for t := range s.limits {
		l, settled, slack := s.whole, room{}, 0.0
		for _, p := range s.alone {
			m := p.m
			h, c := m.needs(m.settledFor(t + 1))
			settled.hours += h
			if m.hoursAt[t] > m.hours {
				l.hours = max(l.hours, m.hoursAt[t])
			}
			if m.limit > 0 {
				settled.money, slack = settled.money+c, slack+m.timeMoney()
				l.money = max(l.money, m.moneyAt[t])
			}
		}
		l.hours, l.money = max(l.hours, settled.hours), max(l.money, settled.money)
		s.limits[t] = l
		if !math.IsInf(l.hours, 1) {
			s.problem.Calendar[t].Hours = l.hours
		}
		if !math.IsInf(l.money, 1) && oneMoney { // else each keeps to the money for itself
			s.problem.Calendar[t].Money = l.money + slack
		}
	}
}

// settledFor returns the tasks that the owner has settled for a month, with all
// that is tied to them.
func (m *maker) settledFor(t int) []*item {
	var out []*item
	for _, it := range m.items {
		if it.wish != t {
			continue
		}
		for _, with := range m.together(it.id) {
			if !slices.Contains(out, with) {
				out = append(out, with)
			}
		}
	}
	return out
}

// solve finds the plan. The engine counts the time for visits and openings as
// money spent, so that its limit is first widened by that, and drawn in where a
// month then buys for more than there is.
func (s *sharing) solve(ctx context.Context, before []schedule.Doing, steps int) (*schedule.Plan, error) {
	var own []*searched
	for _, p := range s.alone {
		own = append(own, p.m.search)
	}
	joined := func() (*schedule.Plan, error) {
		found, err := search(ctx, s.alone[0].m.memory(), s.problem, own, before, steps)
		if err != nil {
			return nil, s.unsolved(err)
		}
		s.search = found
		return found.plan, nil
	}
	return drawnIn(joined, s.overspent, func(t int, slack float64) {
		cal := &s.problem.Calendar[t-1]
		cal.Money = min(cal.Money, s.limits[t-1].money+slack)
	})
}

// overspent returns, by month that buys for more than there is, the value of
// the time in what the engine counted.
func (s *sharing) overspent(plan *schedule.Plan) map[int]float64 {
	spent, counted, out := map[int]float64{}, map[int]float64{}, map[int]float64{}
	for _, v := range plan.Visits {
		spent[v.Period] += s.makerOf(v.Vehicle).spent(v)
		counted[v.Period] += v.Money
	}
	for t, c := range spent {
		if s.problem.Calendar[t-1].Money > 0 && c > s.limits[t-1].money+0.02 {
			out[t] = counted[t] - c
		}
	}
	return out
}

func (s *sharing) makerOf(vehicle string) *maker {
	return s.alone[slices.IndexFunc(s.alone, func(p *Plan) bool { return p.Vehicle.ID == vehicle })].m
}

// unsolved words the engine's error as that of the vehicle it names.
func (s *sharing) unsolved(err error) error {
	var no *schedule.Infeasible
	if errors.As(err, &no) && no.Vehicle != "" {
		return s.makerOf(no.Vehicle).unsolved(err)
	}
	return s.alone[0].m.unsolved(err)
}

// tell turns a common solution into each vehicle's plan, one after the other:
// each keeps to what the others leave it, their quick jobs included.
func (y *Yard) tell(ctx context.Context, solved *schedule.Plan) ([]*Plan, error) {
	plans := make([]*Plan, len(y.shared.alone))
	for i, p := range y.shared.alone {
		m := p.within(solved)
		plans[i] = &Plan{Vehicle: p.Vehicle, Currency: p.Currency, m: m}
		for _, v := range m.solved.Visits {
			plans[i].Visits = append(plans[i].Visits, Visit{Period: v.Period, Money: m.spent(v)})
		}
	}
	done := howfar.Begin(ctx, "vehicles' visits laid out", len(plans))
	for i := range plans {
		m := plans[i].m
		m.opt.rooms = y.leftTo(plans, i)
		m.keepTo()
		if err := m.giveWhatIsLeft(ctx, m.solved); err != nil {
			return nil, err
		}
		p, err := m.tell(ctx, m.solved)
		if err == nil {
			err = p.priceWishes(ctx)
		}
		if err != nil {
			return nil, err
		}
		plans[i] = p
		done()
	}
	return plans, nil
}

// within is the maker of a vehicle's plan, made by itself, for what it does in a
// common solution.
func (p *Plan) within(all *schedule.Plan) *maker {
	m := *p.m
	v := m.problem.Vehicles[0]
	v.Calendar = slices.Clone(v.Calendar)
	m.problem = &schedule.Problem{Periods: m.problem.Periods, Vehicles: []schedule.Vehicle{v}}
	m.gives, m.waits, m.search = slices.Clone(m.gives[:m.loosened]), nil, nil
	m.alone = p.firstPeriods()
	m.opt.alone, m.opt.unpriced = m.alone, false
	m.solved = &schedule.Plan{Bound: p.Bound}
	for _, v := range all.Visits {
		if v.Vehicle == m.r.Vehicle.ID {
			m.solved.Visits = append(m.solved.Visits, v)
		}
	}
	m.solved.Cost, _ = schedule.Verify(m.problem, m.solved.Doings())
	return &m
}

// keepTo lowers the vehicle's own limits to what the others leave of each
// month, so that its reasons know of it; never below what it does itself.
func (m *maker) keepTo() {
	cal := m.problem.Vehicles[0].Calendar
	was := slices.Clone(cal)
	m.narrow()
	for _, v := range m.solved.Visits {
		c, w := &cal[v.Period-1], was[v.Period-1]
		c.Closed = w.Closed
		c.Hours = min(w.Hours, max(c.Hours, v.Hours))
		if w.Money > 0 {
			c.Money = min(w.Money, max(c.Money, v.Money))
		}
	}
}

// Going on with a search ends after so many steps, which also bounds what it
// holds in memory, and where no more than a share of the cost can be saved.
const (
	furtherSteps = 40
	gapAim       = 0.002
	worthSaving  = 0.0005
)

// GoOn searches on from the plan of a yard and returns a better one: cheaper by
// half a thousandth at least, or shown to be closer to the cheapest once the
// search is at its end. It returns nil where nothing better is found, and the
// context's error where that ends first, 200 ms after it at the latest; what was
// searched until then is not lost.
func (y *Yard) GoOn(ctx context.Context) (*Yard, error) {
	s := y.shared
	if s == nil {
		return nil, nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	bound := y.Bound
	for ; s.done < furtherSteps && y.Score-bound > gapAim*y.Score; s.done++ {
		found, own, err := s.step(ctx)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil {
			return nil, err
		}
		if bound = max(bound, own, found.Bound); found.Cost < y.Score*(1-worthSaving) && len(s.overspent(found)) == 0 {
			return y.with(ctx, found, bound)
		}
	}
	if bound <= y.Bound*(1+worthSaving) {
		return nil, nil
	}
	search, err := s.search.further(ctx)
	if err != nil {
		return nil, err
	}
	found, err := search.Plan()
	if err != nil || len(s.overspent(found)) > 0 {
		return nil, err
	}
	return y.with(ctx, found, bound)
}

// MayGain reports whether GoOn may find a better plan.
func (y *Yard) MayGain() bool { return y.shared != nil && y.Score-y.Bound > gapAim*y.Score }

// step does a step of the search for the bound of each vehicle by itself, while
// these have one to gain, and one of the common search.
func (s *sharing) step(ctx context.Context) (found *schedule.Plan, own float64, err error) {
	if _, err := s.search.further(ctx); err != nil { // which begins with what the others had found by then
		return nil, 0, err
	}
	for _, p := range s.alone {
		alone, err := p.m.search.step(ctx)
		if err != nil {
			return nil, 0, err
		}
		own += alone.Bound
	}
	found, err = s.search.step(ctx)
	return found, own, err
}

// with is the plan of a yard with another solution.
func (y *Yard) with(ctx context.Context, found *schedule.Plan, bound float64) (*Yard, error) {
	b := *y
	b.Visits, b.Gives, b.Bound = nil, nil, bound
	if err := b.take(ctx, found); err != nil {
		return nil, err
	}
	b.finish()
	return &b, nil
}

// doings is what a plan does, by the months of another plan's maker; a nil plan
// does nothing.
func (p *Plan) doings(m *maker) []schedule.Doing {
	var out []schedule.Doing
	if p == nil {
		return nil
	}
	for _, d := range p.m.solved.Doings() {
		if day := p.m.lastDay(d.Period); !day.Before(m.r.On) {
			d.Period = m.period(day)
			out = append(out, d)
		}
	}
	return out
}
