package plan

import (
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/why"
)

// month is one period of a plan, both days included.
type month struct{ from, to civil.Date }

// shortMonth is the number of days below which what is left of the present
// month is planned together with the next.
const shortMonth = 14

// monthsAhead cuts time into calendar months, the first from the day on.
func monthsAhead(on civil.Date, n int) []month {
	first := civil.Date{Year: on.Year, Month: on.Month, Day: 1}
	end := first.AddMonths(1).AddDays(-1)
	if end.Sub(on) < shortMonth {
		end = first.AddMonths(2).AddDays(-1)
	}
	out := []month{{on, end}}
	for len(out) < n {
		from := out[len(out)-1].to.AddDays(1)
		out = append(out, month{from, from.AddMonths(1).AddDays(-1)})
	}
	return out
}

// period returns the month of the plan, from 1, that a day falls in; days
// before it count as the first month, and beyond it months are counted on. A
// zero day is never.
func (m *maker) period(day civil.Date) int {
	const never = 1000
	first := m.months[0].to
	switch {
	case day.IsZero():
		return never
	case !day.After(first):
		return 1
	}
	return min(never, 1+12*(day.Year-first.Year)+int(day.Month)-int(first.Month))
}

// lastDay is the last day of a month of the plan, which may lie beyond it.
func (m *maker) lastDay(period int) civil.Date {
	if period <= len(m.months) {
		return m.months[max(0, period-1)].to
	}
	first := m.months[0].to
	return civil.Date{Year: first.Year, Month: first.Month, Day: 1}.AddMonths(period).AddDays(-1)
}

// visitDay is the day a visit of a month is put on: its first Saturday, since
// owners work on their vehicles at the week's end (common practice).
//
// In the first month it is left time to order parts, but where the vehicle must
// not be driven before; in a month settled by the owner it lies in that month.
func (m *maker) visitDay(period int) civil.Date {
	month := m.months[period-1]
	from := month.from
	if period == 1 && len(m.r.With(fleet.Park)) == 0 {
		from = from.AddDays(BuyAheadDays)
	}
	for i, w := range m.wishes {
		if first := w.Month.First(); !w.Not && !m.lifted(i) && m.period(first) == period && first.After(from) &&
			(w.Position == nil || m.item(changeID(w.Position.ID)) != nil) {
			from = first
		}
	}
	const saturday = 2 // 1970-01-03, counted from 1970-01-01
	day := from.AddDays(((saturday-from.Days())%7 + 7) % 7)
	if day.Month == time.January && day.Day == 1 {
		day = day.AddDays(7) // nobody keeps a workshop on New Year's Day
	}
	if day.After(month.to) {
		return month.to
	}
	return day
}

func newMaker(r *advise.Report, opt Options) (*maker, error) {
	rules := r.Vehicle.Visits
	if opt.Months == 0 {
		opt.Months = monthsUsual
	}
	if opt.Steps == 0 {
		opt.Steps = stepsUsual
	}
	if opt.Months < 1 || opt.Months > monthsMost {
		return nil, advise.Fault("months", message.Of("%d months cannot be planned", opt.Months),
			message.Of("plan 1 to %d months", monthsMost))
	}
	if !(opt.Hours >= 0 && opt.Hours <= 24) {
		return nil, advise.Fault("hours", message.Of("a visit of %g hours is not possible", opt.Hours),
			"write hours above 0 and up to 24, such as 4")
	}
	m := &maker{r: r, opt: opt, months: monthsAhead(r.On, opt.Months),
		hours: firstPositive(opt.Hours, rules.Hours, hoursUsual)}
	if err := m.priceTime(); err != nil {
		return nil, err
	}
	m.capped()
	if err := m.gatherWishes(); err != nil {
		return nil, err
	}
	if err := m.close(rules); err != nil {
		return nil, err
	}
	m.wishVisits()
	return m, nil
}

// capped holds a vehicle of a yard to what there is in a month for all.
func (m *maker) capped() {
	m.alone = m.opt.alone
	if c := m.opt.cap; c.hours > 0 {
		m.hours = min(m.hours, c.hours)
	}
	if c := m.opt.cap; c.money > 0 && (m.limit == 0 || c.money < m.limit) {
		m.limit = c.money
	}
}

func firstPositive(of ...float64) float64 {
	for _, x := range of {
		if x > 0 {
			return x
		}
	}
	return 0
}

// close marks the months without visits.
func (m *maker) close(rules fleet.VisitRules) error {
	skip := map[time.Month]bool{}
	for _, month := range m.opt.Skip {
		skip[month] = true
	}
	for _, name := range rules.NotIn {
		if month, err := fleet.ParseMonth(name); err == nil {
			skip[month] = true
		}
	}
	m.closed = make([]bool, len(m.months))
	open := 0
	for i, month := range m.months {
		m.closed[i] = skip[month.to.Month] && skip[month.from.Month]
		if !m.closed[i] {
			open++
		}
	}
	if open == 0 {
		return advise.Fault("skip", "every month is left out", "leave at least one month for visits")
	}
	if m.closed[0] && len(m.r.With(fleet.Park)) > 0 {
		m.closed[0] = false
		m.gives = append(m.gives, why.Give{Code: why.GiveParkedNow})
	}
	return nil
}
