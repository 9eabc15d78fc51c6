package plan

import (
	"math"
	"slices"

	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/schedule"
)

// standsEarly says why a doing stands months before its limit: what waiting for
// the last visit before the limit, or for the limit itself, would cost.
func (m *maker) standsEarly(it *item, r schedule.Reason, v schedule.Visit, due int) why.Stand {
	if pace := m.pace(v); pace != nil {
		if pace != it {
			return why.Stand{Code: why.StandPace, Early: due - r.Period, With: pace.subject()}
		}
		return m.wholeVisit(r, v, due)
	}
	if lead := m.leader(it, r, v, due); lead != nil {
		return why.Stand{Code: why.StandPace, Early: due - r.Period, With: lead.subject()}
	}
	last := m.lastVisit(r.Period, due)
	s := why.Stand{Early: due - r.Period, Month: m.lastDay(max(1, last))}
	if m.closedUntil(r.Period, due) {
		s.Code = why.StandClosed
		return s
	}
	if group := m.group(it, v, due); last > 0 && len(group) > 1 && !m.fits(schedule.Visit{Tasks: ids(group)}, last) {
		s.Code, s.Scope = why.StandNoRoom, why.ScopeGroup
		return s
	}
	opening, with := m.sharedWith(r)
	if last == 0 {
		s.Code, s.Opening, s.With = why.StandSpares, opening, with
		return s
	}
	if opening != nil && slices.Contains(m.openedAgain(it, last), opening.ID) {
		s.Code, s.Opening, s.With = why.StandOpening, opening, with
		return s
	}
	if !r.Later.Possible && r.Later.Period > 0 && r.Later.Period <= due {
		s.Code, s.Month = why.StandNoRoom, m.lastDay(r.Later.Period)
		return s
	}
	return m.waiting(s, []*item{it}, r.Period, last)
}

// lastVisit returns the last month of the plan with a visit after one month and
// no later than another, or 0.
func (m *maker) lastVisit(after, to int) int {
	last := 0
	for _, v := range m.solved.Visits {
		if v.Period > after && v.Period <= to {
			last = v.Period
		}
	}
	return last
}

// earliness is how many months before its limit a task of a visit stands.
func (m *maker) earliness(id string, period int) (*item, int) {
	it := m.item(id)
	return it, m.dueIn(it, period) - period
}

// leader returns the task that a doing goes along with, where several with the
// same limit stand early together: the first of them says why.
func (m *maker) leader(it *item, r schedule.Reason, v schedule.Visit, due int) *item {
	for _, id := range v.Tasks {
		other, early := m.earliness(id, r.Period)
		if other == it {
			return nil
		}
		if other.own && other.j != nil && other.wish == 0 && early == due-r.Period && m.sharesMost(it, other) {
			return other
		}
	}
	return nil
}

// sharesMost reports whether two tasks are reached through the same costly
// opening.
func (m *maker) sharesMost(a, b *item) bool {
	best, most := "", 0.0
	for _, id := range a.openings {
		if minutes := visit.OpeningMinutes(m.r.Vehicle.Opening(id)); minutes > most {
			best, most = id, minutes
		}
	}
	return best != "" && slices.Contains(b.openings, best)
}

// group returns the tasks of a visit that stand as early as one and are reached
// through the same costly opening.
func (m *maker) group(it *item, v schedule.Visit, due int) []*item {
	var out []*item
	for _, id := range v.Tasks {
		other, early := m.earliness(id, v.Period)
		if other == it || other.own && other.j != nil && early == due-v.Period && m.sharesMost(it, other) {
			out = append(out, other)
		}
	}
	return out
}

func ids(items []*item) []string {
	var out []string
	for _, it := range items {
		out = append(out, it.id)
	}
	return out
}

// pace returns the task of a visit whose limit comes first, where no task holds
// the visit where it stands: all of it is early. Else it returns nil.
func (m *maker) pace(v schedule.Visit) *item {
	var pace *item
	least := math.MaxInt
	for _, id := range v.Tasks {
		it, early := m.earliness(id, v.Period)
		switch {
		case !it.own && it.wish == 0:
		case early <= 1 || it.wish > 0 || it.j == nil:
			return nil
		case early < least:
			pace, least = it, early
		}
	}
	if m.held[v.Period-1] {
		return nil
	}
	return pace
}

// wholeVisit says why a visit as a whole stands before the limits of all it
// does.
func (m *maker) wholeVisit(r schedule.Reason, v schedule.Visit, due int) why.Stand {
	s := why.Stand{Early: due - r.Period}
	if m.closedUntil(r.Period, due) {
		s.Code = why.StandClosed
		return s
	}
	s.Scope = why.ScopeVisit
	last := m.lastVisit(r.Period, due)
	if last > 0 && due-r.Period <= aroundMonths && !m.fits(v, last) {
		s.Code, s.Month = why.StandNoRoom, m.lastDay(last)
		return s
	}
	if last == 0 {
		last = min(due, len(m.months))
	}
	return m.waiting(s, m.ofVisit(v), r.Period, last)
}

// closedUntil reports whether there are no visits in the months after one, up
// to another.
func (m *maker) closedUntil(period, due int) bool {
	for t := period + 1; t <= min(due, len(m.months)); t++ {
		if !m.closed[t-1] {
			return false
		}
	}
	return due <= len(m.months)
}

// ofVisit returns the tasks of a visit that have a reason of their own.
func (m *maker) ofVisit(v schedule.Visit) []*item {
	var out []*item
	for _, id := range v.Tasks {
		if it := m.item(id); it.own {
			out = append(out, it)
		}
	}
	return out
}

// fits reports whether what a visit does fits another visit of the plan too.
func (m *maker) fits(v schedule.Visit, at int) bool {
	for _, o := range m.solved.Visits {
		if o.Period != at {
			continue
		}
		var all []*item
		for _, id := range slices.Concat(o.Tasks, v.Tasks) {
			if it := m.item(id); !slices.Contains(all, it) {
				all = append(all, it)
			}
		}
		hours, money := m.needs(all)
		return hours <= m.hoursAt[at-1]+1e-9 && (m.limit == 0 || money <= m.moneyAt[at-1]+1e-9)
	}
	return true
}

// openedAgain returns the openings of a task that a later visit does not make.
func (m *maker) openedAgain(it *item, at int) []string {
	var out []string
	for _, v := range m.solved.Visits {
		if v.Period != at {
			continue
		}
		for _, id := range it.openings {
			if !slices.Contains(v.Openings, id) && visit.OpeningMinutes(m.r.Vehicle.Opening(id)) > 0 {
				out = append(out, id)
			}
		}
	}
	return out
}

// waiting weighs the risk that waiting adds against the life that is thrown
// away by not waiting.
func (m *maker) waiting(s why.Stand, items []*item, period, until int) why.Stand {
	added, lost, n := 0.0, 0.0, until-period
	for _, it := range items {
		age := it.age + period
		if last := m.before(it, period); last > 0 {
			age = period - last
		}
		if risk := m.risk(it, age+n); len(risk) > age+n {
			added += risk[age+n] - risk[age]
		}
		if it.life > 0 {
			lost += (it.price + it.minutes/60*m.money.hour) * math.Min(1, float64(n)/float64(it.life))
		}
	}
	s.Month, s.Risk, s.Lost, s.Currency = m.lastDay(until), added, lost, m.money.currency
	if s.Code = why.StandSame; math.Round(added) > math.Round(lost) {
		s.Code = why.StandRisk
	}
	return s
}
