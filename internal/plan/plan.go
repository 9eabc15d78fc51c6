package plan

import (
	"context"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/schedule"
	"undertray.example/undertray/units"
)

// Options chooses how far ahead visits are planned and under which rules.
// What is left at its zero value comes from the vehicle sheet, or is usual.
type Options struct {
	Months int // planned ahead, 1 to 36; 0 means 24
	// Hours is the work that fits in one visit; 0 means the sheet's figure, or
	// a weekend's where it has none.
	Hours float64
	// Money is what may be spent on parts in one month; nil means the sheet's
	// figure, or no limit.
	Money *units.Quantity
	// Stance plans as if the owner followed this authority.
	Stance fleet.Stance
	// Skip names months without visits besides those of the sheet.
	Skip []time.Month
	// Wishes are tried besides those in the journal.
	Wishes []fleet.Wish
	// Share holds the plan to what the plan of all vehicles leaves; nil plans
	// the vehicle by itself.
	Share *Share
	// Steps bounds the search; the same steps give the same plan. 0 means
	// enough for a good plan within a second.
	Steps int

	// What a common plan gives the vehicle, by month from 1, what it would do
	// by itself, and the yard's limits; nil and 0 where it is planned alone.
	rooms map[int]room
	alone map[string]int
	cap   room
	start *Plan // to begin with, nil: none

	unpriced bool // what wishes cost is not asked

	lift int // the wish, from 1, that is left out to find its price; liftAll: every one
}

const (
	monthsUsual = 24
	monthsMost  = 36
	hoursUsual  = 14 // a weekend (common practice)
	DayHours    = 8  // what is longer takes two days
	stepsUsual  = 8
)

// Plan is what to do at which visit over the months ahead, as cheaply as could
// be found.
type Plan struct {
	Vehicle *fleet.Vehicle
	On, End civil.Date
	Visits  []Visit
	// Between are looks at parts on watch that no visit comes in time for.
	Between   []Look
	Small     []Small            // quick jobs that need no visit and fall at none
	Hidden    []*judge.Judgement // not come to, as what hides them stays shut
	Elsewhere []Task             // for a licensed workshop
	// Unknown are parts of which nothing is known: looked at, or their age found
	// out, before anything is planned.
	Unknown []*judge.Judgement
	// Rough are parts of unknown age that were found sound and are roughly due
	// within the plan. A guess at their age condemns none of them: they are looked
	// at again, and due once they have been watched for a whole interval.
	Rough  []*judge.Judgement
	Parked []*judge.Judgement
	Waits  []why.Subject // due within the plan and left to a visit after it
	Gives  []why.Give    // what had to give for a plan to exist
	// Wishes are what the owner has settled, or tries; together they cost
	// WishCosts more than the cheapest plan found.
	Wishes    []why.Wish
	WishCosts float64

	Money    float64 // for parts and what is used up, over the whole plan
	Minutes  float64 // of work
	Currency string  // "" where no cost is known
	Unpriced int     // parts without a cost
	// Score is the cost that was minimised: money, time, life thrown away,
	// risk on the road and lateness; no plan costs less than Bound.
	Score, Bound float64
	Hours        float64 // that one visit may take

	Basis Basis // what it rests on

	m *maker // for Move and Verify
}

// Basis is what a plan rests on.
type Basis struct {
	Forecast   *advise.Forecast
	Hour       float64 // worth of an hour of the owner's time
	HourSaid   bool    // by the sheet
	Loss       float64 // cost of a breakdown on the road
	LossSaid   bool
	Currency   string
	VisitHours float64 // work that a visit holds at most
	ReadyHours float64 // that getting ready and clearing away count as
}

// LeaveOut leaves a month out of visits: that of one year, as 2027-08, or one
// of every year by its name.
func (o *Options) LeaveOut(name string) error {
	if m, err := fleet.ParseCalendarMonth(name); err == nil {
		o.Wishes = append(o.Wishes, fleet.Wish{Month: m, Not: true})
		return nil
	}
	m, err := fleet.ParseMonth(name)
	if err == nil {
		o.Skip = append(o.Skip, m)
	}
	return err
}

// Visit is one visit of a plan.
type Visit struct {
	N         int
	Period    int // month of the plan, from 1
	Date      civil.Date
	Month     message.Text // "April 2027"
	OilChange bool
	Round     bool              // a round of what can be seen goes with it
	RoundSees []*fleet.Position // what that round looks at
	Instead   civil.Date        // a day of the month it would be in if the vehicles did not share; zero: this one
	Further   []*fleet.Position // looked at too, since they are open or nearly so
	Tasks     []Task
	Openings  []*fleet.Opening
	Minutes   float64
	Money     float64
	Sets      []visit.SetOf // what of it is sold and told as one
	Buy       []visit.PartLine
	BuyBy     civil.Date
}

// Task is one thing done at a visit, and why then.
type Task struct {
	Judgement *judge.Judgement // nil for a look at several positions
	Positions []*fleet.Position
	Do        string // fleet.DoReplace or fleet.DoInspect
	Reason    why.Reason
	First     []string // to be put right before
	Due       civil.Date
	Minutes   float64
	Money     float64

	id    string
	again bool // the plan has changed the part before

	set    *visit.SetOf // that it stands for, among Lines
	others []Task       // of that set
}

// Lines returns the tasks as they are told: those of a set as one.
func (v *Visit) Lines() []Task {
	return visit.FoldSets(v.Tasks, v.Sets, func(t *Task) *judge.Judgement {
		return t.Judgement
	}, func(t *Task, set *visit.SetOf, others []Task) {
		t.set, t.others = set, others
	})
}

// Small is a quick job that is worth no visit of its own.
type Small struct {
	By   civil.Date
	Task Task
}

// Look is a look between visits.
type Look struct {
	By        civil.Date
	Tasks     []Task
	Openings  []*fleet.Opening
	Minutes   float64
	Positions []*fleet.Position
}

// Make plans the visits of the months ahead. It returns the context's error where
// that ends first, within 200 ms and with no plan, and a *fleet.Error of kind
// Invalid where the options make no sense; demands that cannot be met are
// loosened as far as needed, and Plan.Gives says so.
func Make(ctx context.Context, r *advise.Report, opt Options) (*Plan, error) {
	if opt.Stance != "" && opt.Stance != r.Vehicle.Stance {
		return Make(ctx, r.UnderStance(opt.Stance), opt)
	}
	if s := opt.Share; s != nil {
		if s.answers(r, opt) {
			return s.plan, nil
		}
		opt = s.within(r, opt)
	}
	m, err := newMaker(r, opt)
	if err != nil {
		return nil, err
	}
	m.gather()
	solved, err := m.solve(ctx)
	if err != nil {
		return nil, err
	}
	p, err := m.tell(ctx, solved)
	if err != nil {
		return nil, err
	}
	if opt.Share != nil {
		opt.Share.dodge(p)
	}
	return p, p.priceWishes(ctx)
}

// planner turns a report into a scheduling problem and a solution into a plan.
type maker struct {
	r      *advise.Report
	opt    Options
	months []month
	closed []bool // by month, from 0
	held   []bool // the owner wants a visit then
	wishes []why.Wish
	// alone is the month in which each task would first be done if the vehicle
	// had all the owner's time; nil where it has.
	alone map[string]int
	hours float64
	limit float64 // money per month; 0: none
	// What hours and limit come to in each month, where one job needs more.
	hoursAt, moneyAt []float64
	money            money
	items            []*item // to be scheduled
	small            []*item // quick jobs, put at the visits afterwards
	gives            []why.Give
	loosened         int     // so many of gives are there whatever is found
	waits            []*item // due within the plan and left to a visit after it

	problem *schedule.Problem
	chances chances
	search  *searched // that found what was solved; nil in a plan of all
	solved  *schedule.Plan
}

func (m *maker) item(id string) *item {
	for _, it := range m.items {
		if it.id == id {
			return it
		}
	}
	return nil
}

// Asks reports whether the options ask for other rules than the sheet's.
func (o Options) Asks() bool {
	return o.Hours != 0 || o.Money != nil || o.Stance != "" || len(o.Skip) > 0
}

// AsItIs returns the options without what they ask for besides the sheet's
// rules.
func (o Options) AsItIs() Options {
	return Options{Months: o.Months, Steps: o.Steps, Share: o.Share}.Unpriced()
}

// Unpriced returns the options without the question what wishes cost, which
// takes a plan for each.
func (o Options) Unpriced() Options {
	o.unpriced = true
	return o
}

// Verdict is the verdict on the part when its turn comes. What was found on
// the present one says nothing of the next, which the plan has fitted by then.
func (t *Task) Verdict() fleet.Verdict {
	return visit.VerdictThen(t.Judgement, t.again)
}
