package plan

import (
	"math"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/visit"
)

// Quick jobs go with a visit that comes up to so many months before they are
// due; otherwise they are done by themselves.
const quickEarly = 3

// addSmall puts the quick jobs at visits near their time, and lists the
// others.
func (m *maker) addSmall(p *Plan) {
	for _, it := range m.small {
		due, last, first := it.due, civil.Date{}, true
		for {
			if due.IsZero() || due.Before(m.r.On) {
				due = m.r.On
			}
			if due.After(p.End) {
				break
			}
			cause := it.cause
			if !first {
				cause = why.Cause{Code: why.DueAgain, By: due, Life: it.life}
			}
			day := m.putSmall(p, it, due, last, cause)
			if it.life == 0 {
				break
			}
			first, last = false, day
			due = day.AddMonths(it.life)
		}
	}
	slices.SortStableFunc(p.Small, func(a, b Small) int { return a.By.Compare(b.By) })
}

// putSmall gives one doing of a quick job to a visit after the last doing, or
// lists it, and returns its day.
func (m *maker) putSmall(p *Plan, it *item, due, last civil.Date, cause why.Cause) civil.Date {
	t := Task{Judgement: it.j, Positions: []*fleet.Position{it.j.Position}, Do: it.do, Due: due,
		Minutes: m.workMinutes(it), Money: it.price, id: it.id, again: !last.IsZero(), Reason: why.Reason{Cause: cause}}
	if !t.again {
		for _, f := range it.j.First {
			t.First = append(t.First, f.Do)
		}
	}
	for i := len(p.Visits) - 1; i >= 0; i-- {
		v := &p.Visits[i]
		if v.Date.After(due.AddDays(quickGrace)) || !last.IsZero() && v.Date.Before(last.AddMonths(max(1, it.life/2))) {
			continue
		}
		if v.Date.Before(due.AddMonths(-min(quickEarly, max(1, it.life/2)))) {
			break
		}
		if !m.affords(p, v.Period, it.price) {
			continue
		}
		v.Tasks = append(v.Tasks, t)
		v.Minutes += it.minutes
		v.Money += it.price
		for _, id := range it.openings {
			if o := m.r.Vehicle.Opening(id); !slices.Contains(v.Openings, o) {
				v.Openings = append(v.Openings, o)
				v.Minutes += visit.OpeningMinutes(o)
			}
		}
		return v.Date
	}
	day := m.payday(p, it, due, last)
	p.Small = append(p.Small, Small{By: day, Task: t})
	return day
}

// monthMoney is what a month of the plan allows to be bought for.
func (m *maker) monthMoney(t int) float64 {
	if m.limit == 0 || t > len(m.moneyAt) {
		return math.Inf(1)
	}
	most := m.moneyAt[t-1]
	if r, ok := m.opt.rooms[t]; ok {
		most = min(most, r.money)
	}
	return most
}

// affords reports whether a month has money left for something.
func (m *maker) affords(p *Plan, t int, price float64) bool {
	for i := range p.Visits {
		if p.Visits[i].Period == t {
			price += p.Visits[i].Money
		}
	}
	for i := range p.Small {
		if m.period(p.Small[i].By) == t {
			price += p.Small[i].Task.Money
		}
	}
	return price <= m.monthMoney(t)+0.01
}

// payday is the day by which a quick job between visits is done: when it is
// due, or at the end of the last month before that has money left for it. Where
// none has, that gives.
func (m *maker) payday(p *Plan, it *item, due, last civil.Date) civil.Date {
	month := m.period(due)
	if m.affords(p, month, it.price) {
		return due
	}
	for t := month - 1; t >= max(1, month-quickEarly) && m.lastDay(t).After(last); t-- {
		if m.affords(p, t, it.price) {
			return m.lastDay(t)
		}
	}
	if g := m.littleMore(month); !slices.ContainsFunc(p.Gives, func(o why.Give) bool {
		return o.Code == g.Code && o.Month == g.Month
	}) {
		p.Gives = append(p.Gives, g)
	}
	return due
}

// quickGrace is how many days a quick job may wait for a visit.
const quickGrace = 14
