package plan

import (
	"cmp"
	"math"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// item is one task of the scheduling problem.
type item struct {
	id    string
	j     *judge.Judgement // nil: a look at several positions
	looks []*judge.Judgement
	do    string
	round bool

	own   bool // has a reason of its own, and is not merely done along with another
	by    int  // month by which it is to be done
	life  int  // months, 0: not known
	age   int  // months since it was last done, such that at month by it is at its end
	late  float64
	due   civil.Date
	cause why.Cause // what makes it due

	price    float64
	priced   bool
	minutes  float64
	openings []string
	with     []string // done along with it

	risk []float64 // by age, once it was asked for

	wish   int   // month the owner has settled it for, 0: none
	not    []int // months the owner does not want it in
	wished bool  // it has either, or had
}

// subject names the task.
func (it *item) subject() why.Subject {
	s := why.Subject{Round: it.round, Looks: it.looks}
	if it.j != nil {
		s.Position, s.OilChange = it.j.Position, it.j.Kind.OilChange == catalogue.SetsOilChange
	}
	return s
}

func subjects(items []*item) []why.Subject {
	var out []why.Subject
	for _, it := range items {
		out = append(out, it.subject())
	}
	return out
}

func changeID(position string) string { return "change:" + position }

const roundID = why.RoundPlace

// gather makes the tasks: changes, what is changed along with them, and the
// round at each oil change. Quick jobs are set aside.
func (m *maker) gather() {
	for i := range m.r.Judgements {
		if it := m.change(&m.r.Judgements[i]); it != nil {
			m.items = append(m.items, it)
		}
	}
	m.wishTasks()
	m.tieCompanions()
	m.freeWished()
	m.addRound()
	m.setAside()
}

// quickMinutes is how long a job may take, openings included, to be worth no
// visit of its own (common practice).
const quickMinutes = 20

// setAside takes quick jobs out that nothing is tied to: a wiper blade is
// changed on any day.
func (m *maker) setAside() {
	tied := map[string]bool{}
	for _, it := range m.items {
		if len(it.with) > 0 {
			tied[it.id] = true
		}
		for _, id := range it.with {
			tied[id] = true
		}
	}
	m.items = slices.DeleteFunc(m.items, func(it *item) bool {
		if tied[it.id] || it.wished || it.j == nil || m.workMinutes(it) > quickMinutes || it.j.Verdict == fleet.Park ||
			it.j.Remedy() != fleet.Change {
			return false
		}
		m.small = append(m.small, it)
		return true
	})
}

// workMinutes is the work of a task alone, with all it has to open.
func (m *maker) workMinutes(it *item) float64 {
	sum := it.minutes
	for _, id := range it.openings {
		sum += visit.OpeningMinutes(m.r.Vehicle.Opening(id))
	}
	return sum
}

// change makes the task of changing one part, or returns nil where nothing
// asks for it within the plan.
func (m *maker) change(j *judge.Judgement) *item {
	if j.Position.LookOnly || foundOut(j) {
		return nil
	}
	it := m.bare(j)
	it.own = m.reason(it)
	if it.own && it.by <= len(m.months) {
		return it
	}
	return nil
}

// foundOut reports whether a part is put right by finding its age out first.
func foundOut(j *judge.Judgement) bool {
	return j.Verdict == fleet.PutRight && len(j.Todos) > 0 && j.Todos[0].Reason.Due != nil &&
		j.Todos[0].Action != fleet.Change
}

// bare is the change of a part without a reason.
func (m *maker) bare(j *judge.Judgement) *item {
	it := &item{id: changeID(j.Position.ID), j: j, do: fleet.DoReplace, by: len(m.months) + 1}
	it.price, it.priced = m.price(j)
	it.minutes = cmp.Or(j.Position.Minutes, visit.PartMinutes)
	for _, a := range j.Kind.After {
		it.minutes += a.Minutes
	}
	it.openings = m.r.Vehicle.Closure(slices.Concat(j.Position.Seen, j.Position.Changed))
	if j.Remedy() != fleet.Change { // topped up, tightened, found out about: nothing is bought or taken off
		it.price, it.priced, it.minutes, it.openings = 0, true, visit.PutRightMinutes,
			m.r.Vehicle.Closure(j.Position.Seen)
	}
	m.lifetime(it)
	return it
}

// lifetime gives a task the months its part lasts by its interval, and when
// that ends.
func (m *maker) lifetime(it *item) {
	w, d, ok := m.r.Next(it.j)
	if !ok {
		return
	}
	months := m.spanMonths(d.Interval.Distance, d.Interval.Time)
	if it.j.Kind.OilChange == catalogue.SetsOilChange {
		rhythm := judge.OilChange(m.r.Vehicle)
		months = m.spanMonths(rhythm.Distance, rhythm.Time)
		w = m.r.Visits[0].When
	}
	if months == 0 {
		return
	}
	it.life, it.by, it.due = months, m.period(w.Expected), w.Expected
	if w.Reached {
		it.by = 1
	}
	it.cause = why.Cause{Code: why.DueInterval, When: w, Authority: d.Interval.Authority}
}

// spanMonths is a distance or a time, whichever is reached first, in months.
func (m *maker) spanMonths(distance, time *units.Quantity) int {
	months := math.Inf(1)
	if time != nil {
		months = time.Base() / monthDaysMean
	}
	if perDay := m.r.PerDay(); distance != nil && perDay > 0 {
		months = math.Min(months, distance.Base()/perDay/monthDaysMean)
	}
	if math.IsInf(months, 1) {
		return 0
	}
	return max(1, int(math.Round(months)))
}

// reason settles by when a part is to be changed and why: its verdict, a
// forecast of wear, or its interval.
func (m *maker) reason(it *item) bool {
	j := it.j
	it.late = lateVisits * m.money.visit()
	switch {
	case j.Verdict == fleet.Park:
		it.by, it.late, it.cause, it.due = 1, parkVisits*m.money.visit(), m.verdictCause(why.DueVerdict, j), m.r.On
	case j.Verdict == fleet.PutRight && j.Kind.OilChange != catalogue.SetsOilChange:
		next := m.r.Visits[0].When.Expected
		it.by, it.cause, it.due = min(m.period(next), len(m.months)), m.verdictCause(why.DueVerdict, j), next
		if next.IsZero() {
			it.by = 1
		}
		if by := m.deadline(j); !by.IsZero() && (next.IsZero() || by.Before(next)) {
			it.by, it.due = m.period(by), by
		}
	default:
		if w := m.wears(j); w != nil && m.period(w.When.Expected) < it.by {
			it.by, it.due = m.period(w.When.Expected), w.When.Expected
			it.cause = why.Cause{Code: why.DueWear, Check: w.Check, Bound: w.Bound, Authority: w.Limit.Authority,
				By: w.When.Expected}
		}
		if it.cause.Code == "" {
			return false
		}
	}
	it.age = max(0, it.life-it.by)
	if it.life == 0 {
		it.age = len(m.months) // so that ages after the first doing are told from those before
	}
	return true
}

// deadline is the day by which a part is to be put right whatever the rhythm of
// visits, or zero: today for what comes before the next drive, the day expected
// where a distance or a time runs out.
func (m *maker) deadline(j *judge.Judgement) civil.Date {
	switch {
	case len(j.Todos) == 0:
		return civil.Date{}
	case j.Todos[0].Now:
		return m.r.On
	}
	return m.r.When(j.Todos[0].Until).Expected
}

// wears returns the soonest forecast that the owner's stance goes by and that
// rests on more than belief, or nil.
func (m *maker) wears(j *judge.Judgement) *ahead.Wearout {
	all := ahead.Wearouts(m.r, j)
	follow := m.r.Vehicle.Stance.Authority()
	has := follow != "" && slices.ContainsFunc(all, func(w ahead.Wearout) bool { return w.Limit.Authority == follow })
	var best *ahead.Wearout
	for i := range all {
		w := &all[i]
		if w.Prior || w.When.Expected.IsZero() || has && w.Limit.Authority != follow {
			continue
		}
		if best == nil || w.When.Expected.Before(best.When.Expected) {
			best = w
		}
	}
	return best
}

// tieCompanions adds what the trade changes along with each part.
func (m *maker) tieCompanions() {
	for _, it := range slices.Clone(m.items) {
		for _, c := range m.r.Companions(it.j) {
			for _, p := range c.Positions {
				j := m.r.Judgement(p.ID)
				if c.Inspect || p.LookOnly || j == nil {
					continue
				}
				id := changeID(p.ID)
				if m.item(id) == nil {
					other := m.bare(j)
					other.age = max(0, other.life-other.by)
					m.items = append(m.items, other)
				}
				if !slices.Contains(it.with, id) {
					it.with = append(it.with, id)
				}
			}
		}
	}
}

// verdictCause is the cause of a task that a part's verdict asks for.
func (m *maker) verdictCause(code why.Code, j *judge.Judgement) why.Cause {
	return why.OfVerdict(code, j, m.r.Units)
}
