package plan

import (
	"context"
	"fmt"
	"maps"
	"math"
	"runtime"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"undertray/internal/advise"
)

// room is the most that a vehicle may take of one month.
type room struct{ hours, money float64 } // +Inf: no limit

// leastRoom is the number of hours below which no visit is planned.
const leastRoom = 1.0

// closedBy reports whether nothing fits.
func (r room) closedBy() bool { return r.hours < leastRoom || r.money < 1 }

// narrow lowers the limits of the months in which other vehicles take their
// share, and closes those in which nothing is left.
func (m *maker) narrow() {
	cal := m.problem.Vehicles[0].Calendar
	for t, r := range m.opt.rooms {
		if t > len(cal) || m.held[t-1] || m.settledIn(t) {
			continue
		}
		cal[t-1].Hours = math.Min(cal[t-1].Hours, math.Max(leastRoom, r.hours))
		if m.limit > 0 {
			cal[t-1].Money = math.Min(cal[t-1].Money, math.Max(1, r.money)+m.timeShare()*(m.money.visit()+m.openingHours()*m.money.hour))
		}
		cal[t-1].Closed = cal[t-1].Closed || r.closedBy()
	}
}

// settledIn reports whether the owner has settled something for a month.
func (m *maker) settledIn(t int) bool {
	return slices.ContainsFunc(m.items, func(it *item) bool { return it.wish == t })
}

// sharing works out who gets which share of the months that are too full.
type sharing struct {
	y       *Yard
	reports []*advise.Report
	opt     Options
	alone   []map[string]int
	rooms   []map[int]room // by vehicle and month
	plans   []*Plan
	least   []float64 // what each costs by itself: no sharing is cheaper
	mu      sync.Mutex
	known   map[string]*Plan
}

// share plans the vehicles one by one, month after month: where a month is too
// full every vehicle in turn comes first in it and the others get what it
// leaves; the cheapest of that counts.
func (y *Yard) share(ctx context.Context, reports []*advise.Report, opt Options) ([]*Plan, error) {
	s := &sharing{y: y, reports: reports, opt: opt, plans: slices.Clone(y.Plans), known: map[string]*Plan{}}
	for _, p := range y.Plans {
		s.alone, s.least = append(s.alone, p.firstPeriods()), append(s.least, p.Score)
		s.rooms = append(s.rooms, map[int]room{})
	}
	const most = 60
	for range most {
		t := s.firstOverfull()
		if t == 0 {
			break
		}
		if err := s.settle(ctx, t); err != nil {
			return nil, err
		}
	}
	return s.plans, s.polish(ctx)
}

// takes is what the visit of a month takes of it: hours without the quick jobs
// that are put at it afterwards, money with them.
func (p *Plan) takes(t int) (hours, money float64) {
	for i, v := range p.m.solved.Visits {
		if v.Period == t {
			return v.Hours, p.Visits[i].Money
		}
	}
	return 0, 0
}

// firstOverfull returns the first month that is too full and in which somebody
// can still give way, or 0.
func (s *sharing) firstOverfull() int {
	over := s.y.overfullOf(s.plans)
	for _, t := range slices.Sorted(maps.Keys(over)) {
		in := 0
		for i, p := range s.plans {
			if h, _ := p.takes(t); h > 0 && !s.fixed(i, t) {
				in++
			}
		}
		if in > 1 || in == 1 && len(s.plans) > in && !s.onlyOne(t) {
			return t
		}
	}
	return 0
}

// onlyOne reports whether one vehicle alone fills a month.
func (s *sharing) onlyOne(t int) bool {
	n := 0
	for _, p := range s.plans {
		if h, _ := p.takes(t); h > 0 {
			n++
		}
	}
	return n == 1
}

// fixed reports whether a vehicle cannot give way in a month.
func (s *sharing) fixed(i, t int) bool {
	m := s.plans[i].m
	return m.held[t-1] || m.settledIn(t) || s.rooms[i][t] != (room{}) && s.rooms[i][t].closedBy()
}

// settle shares out one month.
func (s *sharing) settle(ctx context.Context, t int) error {
	var in []int
	for i, p := range s.plans {
		if h, _ := p.takes(t); h > 0 {
			in = append(in, i)
		}
	}
	type turn struct {
		plans []*Plan
		rooms []map[int]room
	}
	turns := make([]turn, len(in))
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i := range in {
		group.Go(func() (err error) {
			turns[i].plans, turns[i].rooms, err = s.inOrder(ctx, t, slices.Concat(in[i:], in[:i]))
			return err
		})
	}
	if err := group.Wait(); err != nil {
		return err
	}
	best := math.Inf(1)
	for _, turn := range turns {
		if cost := costOf(turn.plans); cost < best {
			best, s.plans, s.rooms = cost, turn.plans, turn.rooms
		}
	}
	return nil
}

// costOf is what plans cost together.
func costOf(plans []*Plan) float64 {
	sum := 0.0
	for _, p := range plans {
		sum += p.Score
	}
	return sum
}

// inOrder gives each vehicle what those before it leave of a month.
func (s *sharing) inOrder(ctx context.Context, t int, order []int) ([]*Plan, []map[int]room, error) {
	plans, rooms := slices.Clone(s.plans), slices.Clone(s.rooms)
	left := s.y.whole()
	for n, i := range order {
		h, c := plans[i].takes(t)
		if n > 0 && (h > left.hours+0.01 || c > left.money+0.01) {
			rooms[i] = maps.Clone(rooms[i])
			rooms[i][t] = room{math.Max(0, left.hours), math.Max(0, left.money)}
			p, err := s.plan(ctx, i, rooms[i])
			if err != nil {
				return nil, nil, err
			}
			plans[i] = p
			h, c = p.takes(t)
		}
		left.hours, left.money = left.hours-h, left.money-c
	}
	return plans, rooms, nil
}

// whole is what there is in a month for all.
func (y *Yard) whole() room {
	r := room{math.Inf(1), math.Inf(1)}
	if y.Hours > 0 {
		r.hours = y.Hours
	}
	if y.Money > 0 {
		r.money = y.Money
	}
	return r
}

func (s *sharing) plan(ctx context.Context, i int, rooms map[int]room) (*Plan, error) {
	key := fmt.Sprint(i)
	for _, t := range slices.Sorted(maps.Keys(rooms)) {
		key += fmt.Sprintf(" %d:%.2f:%.2f", t, rooms[t].hours, rooms[t].money)
	}
	s.mu.Lock()
	p := s.known[key]
	s.mu.Unlock()
	if p != nil {
		return p, nil
	}
	opt := s.opt
	opt.rooms, opt.alone, opt.cap = rooms, s.alone[i], s.y.capOf(s.plans[i])
	p, err := Make(ctx, s.reports[i], opt)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.known[key] = p
	return p, err
}
