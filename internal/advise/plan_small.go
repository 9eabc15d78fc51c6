package advise

import (
	"fmt"
	"slices"

	"undertray/civil"
	"undertray/internal/fleet"
)

// Quick jobs go with a visit that comes up to so many months before they are
// due; otherwise they are done by themselves.
const quickEarly = 3

// addSmall puts the quick jobs at visits near their time, and lists the
// others.
func (m *planner) addSmall(p *Plan) {
	for _, it := range m.small {
		due, last, first := it.due, civil.Date{}, true
		for {
			if due.IsZero() || due.Before(m.r.On) {
				due = m.r.On
			}
			if due.After(p.End) {
				break
			}
			why := it.why
			if !first {
				why = fmt.Sprintf("due again by %s, %s after the last", due.MonthYear(), monthsWords(it.life))
			}
			day := m.putSmall(p, it, due, last, why)
			if it.life == 0 {
				break
			}
			first, last = false, day
			due = day.AddMonths(it.life)
		}
	}
	slices.SortStableFunc(p.Small, func(a, b PlanSmall) int { return a.By.Compare(b.By) })
}

// putSmall gives one doing of a quick job to a visit after the last doing, or
// lists it, and returns its day.
func (m *planner) putSmall(p *Plan, it *planItem, due, last civil.Date, why string) civil.Date {
	t := PlanTask{Judgement: it.j, Positions: []*fleet.Position{it.j.Position}, Do: it.do, Due: due, Minutes: m.workMinutes(it), Money: it.price, id: it.id, again: !last.IsZero(), Why: why}
	for _, f := range it.j.First {
		t.First = append(t.First, f.Do)
	}
	for i := len(p.Visits) - 1; i >= 0; i-- {
		v := &p.Visits[i]
		if v.Date.After(due.AddDays(quickGrace)) || !last.IsZero() && v.Date.Before(last.AddMonths(max(1, it.life/2))) {
			continue
		}
		if v.Date.Before(due.AddMonths(-min(quickEarly, max(1, it.life/2)))) {
			break
		}
		v.Tasks = append(v.Tasks, t)
		v.Minutes += it.minutes
		v.Money += it.price
		v.Buy = append(v.Buy, buyLine(it))
		for _, id := range it.openings {
			if o := m.r.Vehicle.Opening(id); !slices.Contains(v.Openings, o) {
				v.Openings = append(v.Openings, o)
				v.Minutes += openingMinutes(o)
			}
		}
		return v.Date
	}
	p.Small = append(p.Small, PlanSmall{By: due, Task: t})
	return due
}

// quickGrace is how many days a quick job may wait for a visit.
const quickGrace = 14
