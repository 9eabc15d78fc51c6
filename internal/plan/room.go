package plan

import (
	"context"
	"math"
	"slices"

	"undertray/civil"
	"undertray/internal/advise"
	"undertray/internal/fleet"
)

// Share is what the plan of all vehicles leaves to one of them. Planned within
// it, a vehicle keeps to what the others do.
type Share struct {
	plan  *Plan                // its own in the plan of all
	rooms map[fleet.Month]room // of the months in which others take something
	cap   room
	alone map[string]int // by task, the month in which it would stand by itself
	taken map[civil.Date]bool
	of    Limits // shared in a month
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

// within holds options to the share.
func (s *Share) within(r *advise.Report, opt Options) Options {
	opt.rooms, opt.cap, opt.alone = map[int]room{}, s.cap, s.alone
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

// polish plans each vehicle anew within all that the others leave, until none
// can do better.
func (s *sharing) polish(ctx context.Context) error {
	const rounds = 2
	for range rounds {
		better := false
		for i, p := range s.plans {
			if p.Score <= s.least[i]+1e-6 {
				continue
			}
			q, err := s.plan(ctx, i, s.y.leftTo(s.plans, i))
			if err != nil {
				return err
			}
			if q.Score < p.Score-1e-6 {
				better = true
			}
			if q.Score <= p.Score+1e-6 {
				s.plans[i] = q
			}
		}
		if !better {
			break
		}
	}
	return nil
}
