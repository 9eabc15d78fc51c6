package plan

import (
	"context"
	"maps"
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/schedule"
)

// build writes the scheduling problem. Limits that not even one job alone
// could keep are loosened first.
func (m *maker) build(ctx context.Context) {
	v := m.r.Vehicle
	share := m.timeShare()
	sv := schedule.Vehicle{ID: v.ID, VisitCost: m.money.visit() * share, Hours: m.hours,
		Calendar: make([]schedule.Period, len(m.months))}
	for i := range v.Openings {
		o := &v.Openings[i]
		minutes := visit.OpeningMinutes(o)
		sv.Openings = append(sv.Openings, schedule.Opening{ID: o.ID, Needs: o.Needs, Hours: minutes / 60,
			Cost: minutes/60*m.money.hour*share + m.consumables(o.Consumables)})
	}
	m.recallChances()
	for _, it := range m.items {
		if ctx.Err() != nil {
			break // what follows ends with that; chances take long
		}
		t := schedule.Task{ID: it.id, Kind: schedule.Change, Cost: it.price, Hours: it.minutes / 60,
			Openings: it.openings, Age: it.age,
			With: it.with}
		if it.do == fleet.DoInspect {
			t.Kind = schedule.Inspect
		}
		t.AgeCost, t.EndCost = m.tables(it)
		m.settle(it, &t)
		sv.Tasks = append(sv.Tasks, t)
	}
	m.rememberChances()
	for i := range sv.Calendar {
		sv.Calendar[i].Closed, sv.Calendar[i].Held = m.closed[i], m.held[i]
	}
	m.problem = &schedule.Problem{Periods: len(m.months), Vehicles: []schedule.Vehicle{sv}}
}

// scantTime is the share at which the time for visits and openings counts
// where money is limited: the engine counts it as money spent, and it must not
// crowd out parts.
const scantTime = 0.2

func (m *maker) timeShare() float64 {
	if m.limit > 0 {
		return scantTime
	}
	return 1
}

// openingHours is half the work in all openings of the sheet: more than a
// visit opens, as a rule.
func (m *maker) openingHours() float64 {
	sum := 0.0
	for i := range m.r.Vehicle.Openings {
		sum += visit.OpeningMinutes(&m.r.Vehicle.Openings[i])
	}
	return sum / 120
}

// together returns the tasks that must be done with one, itself included.
func (m *maker) together(id string) []*item {
	var out []*item
	var visit func(id string)
	visit = func(id string) {
		it := m.item(id)
		if it == nil || slices.Contains(out, it) {
			return
		}
		out = append(out, it)
		for _, w := range it.with {
			visit(w)
		}
	}
	visit(id)
	return out
}

// needs is the work in hours and the money that a set of tasks takes.
func (m *maker) needs(items []*item) (hours, money float64) {
	var open []string
	for _, it := range items {
		hours += it.minutes / 60
		money += it.price
		open = append(open, it.openings...)
	}
	for _, id := range m.r.Vehicle.Closure(open) {
		o := m.r.Vehicle.Opening(id)
		hours += visit.OpeningMinutes(o) / 60
		money += m.consumables(o.Consumables)
	}
	return hours, money
}

// loosen makes room where one job, with all that is tied to it, would break a
// limit by itself: first by no longer tying what has a date of its own, then by
// raising the limit; both are said.
func (m *maker) loosen() {
	var parted []*item
	for _, it := range m.items {
		if (it.own || it.wish > 0) && m.tooMuch(it) && m.untie(it) {
			parted = append(parted, it)
		}
	}
	if len(parted) > 0 {
		m.gives = append(m.gives, why.Give{Code: why.GiveParted, Tasks: subjects(parted)})
	}
	m.raise()
}

// tooMuch reports whether a task with what is tied to it breaks a limit.
func (m *maker) tooMuch(it *item) bool {
	h, c := m.needs(m.together(it.id))
	return h > m.hours+1e-9 || m.limit > 0 && c > m.limit+1e-9
}

// untie frees what has a date of its own from a task, but for the oil change.
func (m *maker) untie(it *item) bool {
	if it.round || it.j != nil && it.j.Kind.OilChange == catalogue.SetsOilChange {
		return false
	}
	before := len(it.with)
	it.with = slices.DeleteFunc(it.with, func(id string) bool {
		other := m.item(id)
		return other.own && !other.round && other.j.Kind.OilChange != catalogue.SetsOilChange
	})
	return len(it.with) < before
}

// aroundMonths is how many months before its date a job that is too long, or
// too dear, for the limits gets room beyond them.
const aroundMonths = 3

// raise lifts limits that one job alone would still break, in the months
// around its date, and says so.
func (m *maker) raise() {
	m.hoursAt, m.moneyAt = make([]float64, len(m.months)), make([]float64, len(m.months))
	for i := range m.months {
		m.hoursAt[i], m.moneyAt[i] = m.hours, m.limit
	}
	var long, dear []*item
	var hours, money float64
	for _, it := range m.items {
		if !it.own && it.wish == 0 {
			continue
		}
		h, c := m.needs(m.together(it.id))
		if h > m.hours+1e-9 {
			m.roomFor(it, m.hoursAt, h+0.01)
			long, hours = append(long, it), max(hours, h)
		}
		if m.limit > 0 && c > m.limit+1e-9 {
			m.roomFor(it, m.moneyAt, c+0.01)
			dear, money = append(dear, it), max(money, c)
		}
	}
	if len(long) > 0 {
		m.gives = append(m.gives, why.Give{Code: why.GiveHours, Tasks: subjects(long), Limit: m.hours, Needs: hours})
	}
	if len(dear) > 0 {
		m.gives = append(m.gives, why.Give{Code: why.GiveMoney, Tasks: subjects(dear), Limit: m.limit, Needs: money,
			Currency: m.money.currency})
	}
}

// roomFor raises a limit around the dates of a task.
func (m *maker) roomFor(it *item, limit []float64, needs float64) {
	every := max(it.life, 1)
	if it.life == 0 {
		every = len(limit) + 1
	}
	from := it.by
	if it.wish > 0 {
		from = it.wish
	}
	for by := from; by-aroundMonths <= len(limit); by += every {
		for t := max(1, by-aroundMonths); t <= min(len(limit), by+1); t++ {
			limit[t-1] = max(limit[t-1], needs)
		}
	}
}

// solve finds the plan. Where limits are so tight that a short search leaves
// something due undone, a longer one follows; what is then still undone is
// said.
func (m *maker) solve(ctx context.Context) (*schedule.Plan, error) {
	m.loosen()
	m.loosened = len(m.gives)
	m.build(ctx)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	plan, err := m.within(ctx, m.opt.Steps)
	if err != nil {
		return nil, err
	}
	const longer = 3
	if left := m.undone(plan); len(left) > 0 {
		limits, search := slices.Clone(m.problem.Vehicles[0].Calendar), m.search
		again, err := m.within(ctx, longer*m.opt.Steps)
		if err == nil && again.Cost < plan.Cost {
			plan = again
		} else {
			m.problem.Vehicles[0].Calendar, m.search = limits, search // those the plan was made under
		}
	}
	return plan, m.giveWhatIsLeft(ctx, plan)
}

// giveWhatIsLeft notes what a plan leaves undone, and where it buys for more
// than the limit.
func (m *maker) giveWhatIsLeft(ctx context.Context, plan *schedule.Plan) error {
	m.waits = nil
	if left := m.undone(plan); len(left) > 0 {
		var crowded []*item
		crowded, m.waits = m.crowdedOut(ctx, left)
		m.giveUndone(crowded)
	}
	for _, t := range slices.Sorted(maps.Keys(m.overspent(plan))) {
		m.gives = append(m.gives, m.littleMore(t))
	}
	return ctx.Err()
}

// crowdedOut tells those tasks left undone that would be done if there were
// hours and money enough from those that wait for a visit after the plan even
// then, since none within it pays.
func (m *maker) crowdedOut(ctx context.Context, left []*item) (crowded, waits []*item) {
	free := m.problem.Vehicles[0]
	free.Hours, free.Calendar = 0, make([]schedule.Period, len(m.months))
	for i := range free.Calendar {
		free.Calendar[i].Closed, free.Calendar[i].Held = m.closed[i], m.held[i]
	}
	plan, err := schedule.Solve(ctx, &schedule.Problem{Periods: len(m.months), Vehicles: []schedule.Vehicle{free}},
		schedule.Options{Steps: m.opt.Steps, Gap: gapAim})
	if err != nil {
		return left, nil
	}
	undone := m.undone(plan)
	for _, it := range left {
		if slices.Contains(undone, it) {
			waits = append(waits, it)
		} else {
			crowded = append(crowded, it)
		}
	}
	return crowded, waits
}

// giveUndone gives what is due within the plan and never done in it: what there
// is no room for, and what waits.
func (m *maker) giveUndone(crowded []*item) {
	if len(crowded) > 0 {
		m.gives = append(m.gives, why.Give{Code: why.GiveUndone, Tasks: subjects(crowded)})
	}
	if len(m.waits) > 0 {
		m.gives = append(m.gives, why.Give{Code: why.GiveWaits, Tasks: subjects(m.waits)})
	}
}

// littleMore says that a month buys for more than the limit.
func (m *maker) littleMore(t int) why.Give {
	return why.Give{Code: why.GiveOver, Month: fleet.MonthOf(m.lastDay(t)), Limit: m.limit, Currency: m.money.currency}
}

// undone returns what is due within a plan and never done in it.
func (m *maker) undone(plan *schedule.Plan) []*item {
	var out []*item
	for _, it := range m.items {
		done := slices.ContainsFunc(plan.Visits, func(v schedule.Visit) bool { return slices.Contains(v.Tasks, it.id) })
		if it.own && !done && it.by <= len(m.months) {
			out = append(out, it)
		}
	}
	return out
}

// within finds the plan by a number of steps. Money is limited for what is
// bought; the engine counts the time for openings in as well, so its limit is
// first widened by that and drawn in where a month then spends too much.
func (m *maker) within(ctx context.Context, steps int) (*schedule.Plan, error) {
	m.limitVisits()
	cal := m.problem.Vehicles[0].Calendar
	one := func() (*schedule.Plan, error) {
		found, err := search(ctx, m.memory(), m.problem, nil, m.opt.start.doings(m), steps)
		if err != nil {
			return nil, m.unsolved(err)
		}
		m.search = found
		return found.plan, nil
	}
	return drawnIn(one, m.overspent, func(t int, slack float64) {
		cal[t-1].Money = min(cal[t-1].Money, m.moneyAt[t-1]+slack)
	})
}

// drawnIn plans, and draws in the limit of each month that then buys for more than
// there is by what was counted besides, a few times at most.
func drawnIn(plan func() (*schedule.Plan, error), overspent func(*schedule.Plan) map[int]float64,
	drawIn func(t int, slack float64)) (*schedule.Plan, error) {
	const tries = 3
	for try := 1; ; try++ {
		made, err := plan()
		if err != nil {
			return nil, err
		}
		over := overspent(made)
		if len(over) == 0 || try == tries {
			return made, nil
		}
		for t, slack := range over {
			drawIn(t, slack)
		}
	}
}

// limitVisits sets what one visit may take in each month.
func (m *maker) limitVisits() {
	cal := m.problem.Vehicles[0].Calendar
	for i := range cal {
		cal[i].Hours = m.hoursAt[i]
		if m.limit > 0 {
			cal[i].Money = m.moneyAt[i] + m.timeMoney()
		}
	}
	m.narrow()
}

// overspent returns, by month that buys for more than the limit, the value of
// the time in what the engine counted.
func (m *maker) overspent(plan *schedule.Plan) map[int]float64 {
	out := map[int]float64{}
	for _, v := range plan.Visits {
		if spent := m.spent(v); m.limit > 0 && spent > m.moneyAt[v.Period-1]+0.02 {
			out[v.Period] = v.Money - spent
		}
	}
	return out
}

// spent is what a visit buys for.
func (m *maker) spent(v schedule.Visit) float64 {
	sum := 0.0
	for _, id := range v.Tasks {
		sum += m.item(id).price
	}
	for _, id := range v.Openings {
		sum += m.consumables(m.r.Vehicle.Opening(id).Consumables)
	}
	return sum
}
