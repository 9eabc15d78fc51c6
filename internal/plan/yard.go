package plan

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/howfar"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/schedule"
)

// Yard is the plan of all vehicles of a yard, which share the owner's hours
// and money.
type Yard struct {
	On, End  civil.Date
	Plans    []*Plan     // by vehicle, in the order of the reports
	Visits   []YardVisit // of all vehicles, in order of days
	Gives    []why.Give
	Hours    float64 // of work in one month for all; 0: no limit
	Money    float64 // to spend on parts in one month for all; 0: no limit
	Currency string
	// Score is what the plans cost together; no plan costs less than Bound.
	// Alone is what they would cost if each vehicle had all the owner's time.
	Score, Bound, Alone float64

	shared *sharing             // nil: each does what it would by itself
	over   map[int]why.Overfull // what would be too much by themselves
}

// YardVisit is a visit of one of the vehicles.
type YardVisit struct {
	Plan  *Plan
	Visit *Visit
}

// YardOptions chooses how far ahead a yard is planned and under which rules.
// Money of the plan's options is shared by all vehicles; zero values come from
// the yard's rules.
type YardOptions struct {
	Options
	MonthHours float64 // of work in one month for all vehicles
	Rules      fleet.YardRules
	// Before is a plan of the same yard to begin with, nil if there is none: what
	// of it still fits is kept where nothing better is found.
	Before *Yard
}

// MakeYard plans the visits of all vehicles together. Where what each vehicle
// would do by itself fits the hours and money that they share, that is the
// plan; else they are planned as one. Vehicles of another currency than the
// first keep to the hours only. Errors are those of Make.
func MakeYard(ctx context.Context, reports []*advise.Report, opt YardOptions) (*Yard, error) {
	y := &Yard{}
	if err := y.limitTo(opt); err != nil {
		return nil, err
	}
	alone := opt.Options
	alone.Money, alone.unpriced = nil, true
	if err := y.byThemselves(ctx, reports, alone); err != nil {
		return nil, err
	}
	if y.over = y.overfullOf(y.Plans); len(y.over) == 0 {
		return y, y.price(ctx)
	}
	if y.Money > 0 { // which binds each by itself as well
		if err := y.byThemselves(ctx, reports, alone); err != nil {
			return nil, err
		}
	}
	var before []schedule.Doing
	if opt.Before != nil {
		for _, p := range opt.Before.Plans {
			before = append(before, p.doings(y.Plans[0].m)...)
		}
	}
	if err := y.share(ctx, before, cmp.Or(opt.Steps, shareSteps)); err != nil {
		return nil, err
	}
	y.finish()
	return y, nil
}

// limitTo sets what the vehicles share.
func (y *Yard) limitTo(opt YardOptions) error {
	y.Hours = firstPositive(opt.MonthHours, opt.Rules.HoursPerMonth)
	if y.Hours > 400 || opt.MonthHours < 0 {
		return advise.Fault("month-hours", message.Of("%g hours a month are not possible", opt.MonthHours),
			"write hours above 0, such as 16")
	}
	money := opt.Money
	if money == nil {
		money = opt.Rules.MoneyPerMonth
	}
	if money != nil {
		if y.Money, y.Currency = money.Value(), money.Unit(); y.Money <= 0 {
			return advise.Fault("money", message.Of("%s a month cannot be planned with", money),
				"write an amount above 0, such as 200 EUR")
		}
	}
	return nil
}

// byThemselves plans each vehicle as if the others were not there; in few steps
// where that is not what is shown.
func (y *Yard) byThemselves(ctx context.Context, reports []*advise.Report, opt Options) (err error) {
	few := opt
	if opt.Steps == 0 && (y.Hours > 0 || y.Money > 0) {
		few.Steps = aloneSteps
	}
	if y.Plans, err = y.plansOf(ctx, reports, few); err != nil {
		return err
	}
	if few.Steps != opt.Steps && y.over == nil && len(y.overfullOf(y.Plans)) == 0 {
		if y.Plans, err = y.plansOf(ctx, reports, opt); err != nil {
			return err
		}
	}
	y.Alone, y.Score, y.Bound = 0, 0, 0
	for _, p := range y.Plans {
		y.Alone += p.Score
		y.Score, y.Bound = y.Score+p.Score, y.Bound+p.Bound
	}
	return nil
}

// price finds what wishes cost in plans that were made by themselves.
func (y *Yard) price(ctx context.Context) error {
	for _, p := range y.Plans {
		p.m.opt.unpriced = false
		if err := p.priceWishes(ctx); err != nil {
			return err
		}
	}
	y.gather()
	return nil
}

// finish says what gives in a plan of all, and lists its visits.
func (y *Yard) finish() {
	y.findWhatGives(y.over)
	y.gather()
}

// plansOf plans each vehicle by itself, several at once, within the hours of the
// yard, and within its money where that is too little for all.
func (y *Yard) plansOf(ctx context.Context, reports []*advise.Report, opt Options) ([]*Plan, error) {
	out := make([]*Plan, len(reports))
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	what := message.Text("vehicles planned by themselves")
	if opt.Steps == 0 {
		what = "vehicles planned in full"
	}
	done := howfar.Begin(ctx, what, len(reports))
	for i, r := range reports {
		opt.cap = room{hours: y.Hours}
		if y.over != nil {
			opt.cap = y.capOf(y.Plans[i])
		}
		group.Go(func() (err error) {
			defer done()
			out[i], err = Make(ctx, r, opt)
			return err
		})
	}
	return out, group.Wait()
}

// overfullOf returns, by month of some plans, what is too much for it.
func (y *Yard) overfullOf(plans []*Plan) map[int]why.Overfull {
	hours, money := map[int]float64{}, map[int]float64{}
	for _, p := range plans {
		for i := range p.Visits {
			t := p.Visits[i].Period
			h, c := p.takes(t)
			hours[t] += h
			if p.Currency == y.Currency {
				money[t] += c
			}
		}
	}
	out := map[int]why.Overfull{}
	for t, h := range hours {
		o := why.Overfull{}
		if y.Hours > 0 && h > y.Hours+0.01 {
			o.Hours = h
		}
		if y.Money > 0 && money[t] > y.Money+0.01 {
			o.Money = money[t]
		}
		if o != (why.Overfull{}) {
			o.Month = plans[0].m.lastDay(t)
			out[t] = o
		}
	}
	return out
}

// firstPeriods returns the month in which each task is first done, by its id.
func (p *Plan) firstPeriods() map[string]int {
	out := map[string]int{}
	for _, v := range p.m.solved.Visits {
		for _, id := range v.Tasks {
			if _, ok := out[id]; !ok {
				out[id] = v.Period
			}
		}
	}
	return out
}

// findWhatGives finds which months were too full, what moved for it and what
// that costs.
func (y *Yard) findWhatGives(over map[int]why.Overfull) {
	g := why.Give{Code: why.GiveOverfull, Shared: y.limits(), Currency: y.Plans[0].Currency, Costs: y.Score - y.Alone}
	for _, t := range slices.Sorted(maps.Keys(over)) {
		g.Overfull = append(g.Overfull, over[t])
	}
	for _, p := range y.Plans {
		for id, t := range p.firstPeriods() {
			if was, ok := p.m.alone[id]; ok && was != t && p.m.item(id).own {
				g.Moved++
			}
		}
	}
	y.Gives = append(y.Gives, g)
	for _, p := range y.Plans {
		if late := p.late(); len(late) > 0 {
			y.Gives = append(y.Gives, why.Give{Code: why.GiveLate, Vehicle: p.Vehicle, Tasks: late})
		}
	}
}

// limits is what the yard has in a month.
func (y *Yard) limits() why.Limits {
	return why.Limits{Hours: y.Hours, Money: y.Money, Currency: y.Currency}
}

// late is what a plan first does after its limit.
func (p *Plan) late() []why.Subject {
	var out []why.Subject
	for _, v := range p.m.solved.Visits {
		for _, id := range v.Tasks {
			if it := p.m.item(id); it.own && it.j != nil && p.m.first(it, v.Period) && v.Period > max(1, it.by) {
				out = append(out, it.subject())
			}
		}
	}
	return out
}

// gather lists the visits of all vehicles by day. Those of one month go to
// different weekends, as far as it has any: what must be put right first, then
// what is due, goes first.
func (y *Yard) gather() {
	for _, p := range y.Plans {
		y.On, y.End = p.On, p.End
		for _, g := range p.Gives {
			g.Vehicle = p.Vehicle
			y.Gives = append(y.Gives, g)
		}
		for i := range p.Visits {
			y.Visits = append(y.Visits, YardVisit{p, &p.Visits[i]})
		}
	}
	slices.SortStableFunc(y.Visits, func(a, b YardVisit) int {
		if c := a.Visit.Period - b.Visit.Period; c != 0 {
			return c
		}
		return int(b.Visit.worst()) - int(a.Visit.worst())
	})
	taken := map[civil.Date]bool{}
	for _, v := range y.Visits {
		day := freeDay(taken, v.Visit.Date, v.Plan.m.months[v.Visit.Period-1].to)
		taken[day] = true
		v.Visit.setDay(day, y.On)
	}
	slices.SortStableFunc(y.Visits, func(a, b YardVisit) int { return a.Visit.Date.Compare(b.Visit.Date) })
}

// worst is the verdict on a visit's parts that asks for most.
func (v *Visit) worst() fleet.Verdict {
	w := fleet.Unseen
	for _, t := range v.Tasks {
		if t.Do == fleet.DoReplace {
			w = max(w, t.Verdict())
		}
	}
	return w
}

// setDay puts a visit on a day, and the day to order its parts by before it.
func (v *Visit) setDay(day, on civil.Date) {
	v.Date, v.Month, v.BuyBy = day, told.MonthYear(day), day.AddDays(-BuyAheadDays)
	if v.BuyBy.Before(on) {
		v.BuyBy = on
	}
}

// Verify checks every vehicle's plan against every rule, and what they share.
func (y *Yard) Verify() error {
	hours := map[int]float64{}
	for _, p := range y.Plans {
		if err := p.Verify(); err != nil {
			return fmt.Errorf("%s: %w", p.Vehicle.ID, err)
		}
		for _, v := range p.m.solved.Visits {
			hours[v.Period] += v.Hours
		}
	}
	for t, h := range hours {
		most := y.whole().hours
		if y.shared != nil {
			most = y.shared.limits[t-1].hours
		}
		if h > most+0.01 {
			return fmt.Errorf("month %d takes %.2f hours, there are %.2f", t, h, most)
		}
	}
	return nil
}

// YardMonth is a month of a yard's plan with its visits.
type YardMonth struct {
	Name           message.Text
	Minutes, Money float64
	Visits         []YardVisit
}

// Months lists the months that have visits, in order.
func (y *Yard) Months() []YardMonth {
	var out []YardMonth
	for _, v := range y.Visits {
		if n := len(out); n == 0 || out[n-1].Name != v.Visit.Month {
			out = append(out, YardMonth{Name: v.Visit.Month})
		}
		m := &out[len(out)-1]
		m.Visits = append(m.Visits, v)
		m.Minutes += v.Visit.Minutes
		m.Money += v.Visit.Money
	}
	return out
}
