package plan

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/schedule"
	"undertray.example/undertray/units"
)

// money is what things cost in the owner's money. What the sheet does not
// say is taken at a nominal figure, small enough that known costs decide.
type money struct {
	currency       string
	hour, loss     float64
	hourSaid, said bool // hour and loss come from the sheet
}

// Nominal figures (common practice), used where the sheet names none.
const (
	hourNominal  = ahead.HourNominal
	lossNominal  = ahead.LossNominal
	partNominal  = ahead.PartNominal
	visitHours   = 1.5 // getting ready and clearing away again at each visit
	lateVisits   = 3   // a month past a limit weighs as much as this many visits
	parkVisits   = 100 // the same for what must be put right before driving
	lookVisits   = 0.15
	BuyAheadDays = 14 // to order parts
)

func (p money) visit() float64 { return visitHours * p.hour }

// priceTime settles the currency, the worth of an hour and of a breakdown.
func (m *maker) priceTime() error {
	v := m.r.Vehicle
	amounts := []*units.Quantity{v.Visits.MoneyPerMonth, v.Visits.HourWorth, v.Costs.Recovery, v.Costs.Consequence}
	for i := range v.Positions {
		amounts = append(amounts, v.Positions[i].Part.Cost)
	}
	for _, q := range append(amounts, m.opt.Money) {
		if q != nil && m.money.currency == "" {
			m.money.currency = q.Unit()
		}
	}
	m.money.hour, m.money.hourSaid = m.amount(v.Visits.HourWorth)
	if !m.money.hourSaid {
		m.money.hour = hourNominal
	}
	recovery, r := m.amount(v.Costs.Recovery)
	consequence, c := m.amount(v.Costs.Consequence)
	m.money.loss, m.money.said = recovery+consequence, r || c
	if !m.money.said {
		m.money.loss = lossNominal
	}
	money := m.opt.Money
	if money == nil {
		money = v.Visits.MoneyPerMonth
	}
	if money == nil {
		return nil
	}
	limit, ok := m.amount(money)
	if !ok || limit <= 0 {
		return advise.Fault("money", message.Of("%s a month cannot be planned with", money),
			message.Of("write an amount above 0 in the currency of the sheet's parts, such as 200 %s",
				m.money.currency))
	}
	m.limit = limit
	return nil
}

// amount is a sum in the plan's currency, and false where there is none or it
// is in another.
func (m *maker) amount(q *units.Quantity) (float64, bool) {
	if q == nil || q.Unit() != m.money.currency {
		return 0, false
	}
	return q.Value(), true
}

func (m *maker) consumables(cs []fleet.Consumable) float64 {
	sum := 0.0
	for _, c := range cs {
		if v, ok := m.amount(c.Cost); ok {
			sum += v
		}
	}
	return sum
}

// tables fills the costs of age of a change: work each time, the chance of
// being let down while waiting, and lateness; at the end of the plan also the
// life used up, so that a part is neither changed early for nothing nor put
// off beyond the plan for nothing.
func (m *maker) tables(it *item) (age, end []float64) {
	n := it.age + len(m.months) + 1
	work := it.minutes / 60 * m.money.hour
	end0 := max(it.life, it.age+it.by)
	late := schedule.Table(n, func(g int) float64 { return it.late * float64(max(0, g-end0)) })
	wait := schedule.AddTables(late, m.risk(it, n))
	age = schedule.AddTables(wait, schedule.Table(n, func(int) float64 { return work }))
	end = schedule.AddTables(wait, schedule.Table(n, func(g int) float64 {
		switch {
		case it.life > 0:
			return (it.price + work) * math.Min(1, float64(g)/float64(it.life))
		case it.own && g > it.age:
			return it.price + work + it.late*float64(len(m.months)) // not doing it at all is never the cheaper way
		}
		return 0
	}))
	return age, end
}

// settle fixes the first doing of a task to the month its owner has settled,
// and keeps it out of those that the owner does not want. Ages before the first
// doing are told from those after it by moving them beyond the plan's length.
func (m *maker) settle(it *item, t *schedule.Task) {
	n := len(m.months)
	if len(it.not) > 0 || it.wish > 0 {
		t.PeriodCost = make([]float64, n)
	}
	for _, month := range it.not {
		t.PeriodCost[month-1] = math.Inf(1)
	}
	if it.wish == 0 {
		return
	}
	apart := func(table []float64) []float64 {
		return schedule.Table(2*n, func(g int) float64 {
			if g > n {
				g += it.age - n
			}
			return table[min(g, len(table)-1)]
		})
	}
	t.AgeCost, t.EndCost, t.Age = apart(t.AgeCost), apart(t.EndCost), n
	for month := 1; month <= n; month++ {
		if month < it.wish {
			t.PeriodCost[month-1] = math.Inf(1)
		}
		if month != it.wish {
			t.AgeCost[n+month] = math.Inf(1)
		}
	}
	t.EndCost[2*n] = math.Inf(1)
}

// soundShare is the share of failures that come without a sign that a look
// shows: parts to be kept that the next rounds look at count with it (common
// practice). What was seen so far is in the chance already.
const soundShare = 0.25

// seenAtRounds reports whether the plan's rounds look at a part.
func (m *maker) seenAtRounds(j *judge.Judgement) bool {
	round := m.item(roundID)
	return round != nil && slices.Contains(round.looks, j)
}

// risk is the expected cost of being stranded by the part before an age: that of
// the present part above its age, that of a new one up to the length of the
// plan. No part of the plan gets to the ages between.
func (m *maker) risk(it *item, n int) []float64 {
	if len(it.risk) <= n {
		it.risk = m.risks(it, n)
	}
	return it.risk[:min(n+1, len(it.risk))]
}

func (m *maker) risks(it *item, n int) []float64 {
	if it.j == nil || !it.j.Strands() {
		return nil
	}
	loss := m.money.loss
	if it.j.Verdict <= fleet.Keep && m.seenAtRounds(it.j) {
		loss *= soundShare
	}
	fails := m.chances.of(fmt.Sprint(it.j.Position.ID, " ", it.age, " ", n), func() []float64 {
		c, ok := ahead.ChanceOf(m.r, it.j)
		if !ok {
			return []float64{}
		}
		return schedule.Table(n, func(g int) float64 {
			if g > it.age {
				day := m.lastDay(g - it.age)
				total, _ := m.r.Forecast.Total(day)
				return c.Until(day, total)
			}
			if g == 0 || g > len(m.months) {
				return 0
			}
			return c.Renewed(float64(g) * monthDaysMean)
		})
	})
	out := make([]float64, len(fails))
	for g, p := range fails {
		out[g] = loss * p
	}
	return out
}

// chances are those of failing by age, of the parts of a report, as they are kept from one plan to the next: by
// what of a plan they rest on besides.
type chances struct {
	from  string // "": they are not kept
	kept  map[string][]float64
	fresh bool // some were not known before
}

// recallChances takes the chances that are kept for the report and the months of a plan.
func (m *maker) recallChances() {
	m.chances = chances{kept: map[string][]float64{}}
	memory := m.memory()
	if memory == nil || m.r.From == "" {
		return
	}
	m.chances.from = fmt.Sprint("chances ", m.r.From, " ", len(m.months))
	if json.Unmarshal(memory.Recall(m.chances.from), &m.chances.kept) != nil {
		m.chances.kept = map[string][]float64{}
	}
}

func (c *chances) of(what string, work func() []float64) []float64 {
	if c.kept[what] == nil {
		c.kept[what], c.fresh = work(), true
	}
	return c.kept[what]
}

// rememberChances keeps them where there are more than before.
func (m *maker) rememberChances() {
	if !m.chances.fresh || m.chances.from == "" {
		return
	}
	if what, err := json.Marshal(m.chances.kept); err == nil {
		m.memory().Remember(m.chances.from, what)
	}
	m.chances.fresh = false
}

// memory is what keeps what takes long to work out; nil: nothing does.
func (m *maker) memory() advise.Memory { return m.r.Experienced().Memory() }

// monthDaysMean is the mean Gregorian month in days.
const monthDaysMean = 30.436875

// refilled reports whether an opening that a change needs uses up the very
// part, and says at what cost.
func (m *maker) refilled(j *judge.Judgement) bool {
	return slices.ContainsFunc(m.r.Vehicle.Closure(j.Position.Changed), func(id string) bool {
		return visit.Refill(m.r.Vehicle.Opening(id).Consumables, j) >= 0
	})
}

// price is what a change costs to buy, besides what is used up in opening.
func (m *maker) price(j *judge.Judgement) (float64, bool) {
	cost, known := m.amount(visit.PartOf(j).Cost)
	if !known && m.refilled(j) {
		cost, known = 0, true
	}
	if !known {
		cost = partNominal
	}
	return cost + m.consumables(j.Position.Consumables), known
}
