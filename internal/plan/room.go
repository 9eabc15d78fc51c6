package plan

import (
	"context"
	"math"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan/why"
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
			cal[t-1].Money = math.Min(cal[t-1].Money, math.Max(1, r.money)+m.timeMoney())
		}
		cal[t-1].Closed = cal[t-1].Closed || r.closedBy()
	}
}

// timeMoney is what the time for a visit and for more openings than it makes,
// as a rule, counts as money with the engine.
func (m *maker) timeMoney() float64 {
	return m.timeShare() * (m.money.visit() + m.openingHours()*m.money.hour)
}

// settledIn reports whether the owner has settled something for a month.
func (m *maker) settledIn(t int) bool {
	return slices.ContainsFunc(m.items, func(it *item) bool { return it.wish == t })
}

// Share is what the plan of all vehicles leaves to one of them. Planned within
// it, a vehicle keeps to what the others do.
type Share struct {
	plan  *Plan                // its own in the plan of all
	rooms map[fleet.Month]room // of the months in which others take something
	cap   room
	alone map[string]int // by task, the month in which it would stand by itself
	taken map[civil.Date]bool
	of    why.Limits // shared in a month
}

// ShareOf returns what the plan of all vehicles leaves to one, or nil where
// they share nothing. Errors are those of MakeYard.
func ShareOf(ctx context.Context, reports []*advise.Report, vehicle string, rules fleet.YardRules) (*Share, error) {
	if len(reports) < 2 || !rules.Any() {
		return nil, nil
	}
	y, err := MakeYard(ctx, reports, YardOptions{Rules: rules})
	if err != nil {
		return nil, err
	}
	return y.Share(vehicle), nil
}

// Share returns what the plan leaves to one of its vehicles, or nil where
// nothing is shared or the vehicle is none of them.
func (y *Yard) Share(vehicle string) *Share {
	i := slices.IndexFunc(y.Plans, func(p *Plan) bool { return p.Vehicle.ID == vehicle })
	if i < 0 || y.Hours == 0 && y.Money == 0 || len(y.Plans) < 2 {
		return nil
	}
	p := y.Plans[i]
	s := &Share{plan: p, rooms: map[fleet.Month]room{}, cap: y.capOf(p), alone: p.m.alone, taken: map[civil.Date]bool{},
		of: y.limits()}
	for t, r := range y.leftTo(y.Plans, i) {
		s.rooms[fleet.MonthOf(p.m.lastDay(t))] = r
	}
	for _, v := range y.Visits {
		if v.Plan != p {
			s.taken[v.Visit.Date] = true
		}
	}
	return s
}

// answers reports whether the plan of all holds the answer to a question about
// a vehicle as it is.
func (s *Share) answers(r *advise.Report, opt Options) bool {
	return r.State == s.plan.m.r.State && !opt.Asks() && len(opt.Wishes) == 0 && opt.lift == 0 && opt.Steps == 0 &&
		(opt.Months == 0 || opt.Months == len(s.plan.m.months))
}

// without reports whether the plan of all holds what a maker's plan would be
// without any wish.
func (s *Share) without(m *maker) bool {
	return s != nil && len(s.plan.m.wishes) == 0 && m.r.State == s.plan.m.r.State && !m.opt.Asks() &&
		len(m.months) == len(s.plan.m.months)
}

// within holds options to the share, and begins with what the vehicle does in
// it, so that without a cause nothing moves.
func (s *Share) within(r *advise.Report, opt Options) Options {
	opt.rooms, opt.cap, opt.alone, opt.start = map[int]room{}, s.cap, s.alone, s.plan
	if opt.Steps == 0 {
		if opt.Steps = shareSteps; opt.Asks() || len(opt.Wishes) > 0 {
			opt.Steps = withinSteps
		}
	}
	for i, m := range monthsAhead(r.On, monthsMost) {
		if room, ok := s.rooms[fleet.MonthOf(m.to)]; ok {
			opt.rooms[i+1] = room
		}
	}
	return opt
}

// dodge puts the visits of a plan on days on which no other vehicle has one,
// as far as the month has any.
func (s *Share) dodge(p *Plan) {
	for i := range p.Visits {
		v := &p.Visits[i]
		v.setDay(freeDay(s.taken, v.Date, p.m.months[v.Period-1].to), p.On)
	}
}

// freeDay is the first day that nobody has taken, of one and those a week
// apart after it, up to the last of its month.
func freeDay(taken map[civil.Date]bool, day, last civil.Date) civil.Date {
	for taken[day] && !day.AddDays(7).After(last) {
		day = day.AddDays(7)
	}
	return day
}

// capOf is the most that a vehicle may take of any month.
func (y *Yard) capOf(p *Plan) room {
	c := room{hours: y.Hours}
	if p.Currency == y.Currency {
		c.money = y.Money
	}
	return c
}

// leftTo is what other plans leave to one of them, by month from 1, of the
// months in which they take something.
func (y *Yard) leftTo(plans []*Plan, one int) map[int]room {
	out := map[int]room{}
	for i, p := range plans {
		if i == one {
			continue
		}
		for _, v := range p.m.solved.Visits {
			left, ok := out[v.Period]
			if !ok {
				left = y.whole()
			}
			h, c := p.takes(v.Period)
			left.hours -= h
			if p.Currency == y.Currency {
				left.money -= c
			}
			if plans[one].Currency != y.Currency {
				left.money = math.Inf(1)
			}
			out[v.Period] = room{math.Max(0, left.hours), math.Max(0, left.money)}
		}
	}
	return out
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
