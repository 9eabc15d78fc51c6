package schedule

import "math"

// Kind says what sort of task it is. The engine plans all kinds alike; the
// kind comes back in reasons so that a caller can word them.
type Kind string

// The three kinds of task.
const (
	Inspect Kind = "inspect"
	Change  Kind = "change"
	Service Kind = "service"
)

// Problem is what has to be planned. Money is in one currency unit, hours in
// working hours; periods are numbered 1..Periods (a month, usually).
type Problem struct {
	// Periods is the number of periods planned ahead, 1..120.
	Periods int
	// Vehicles are planned together; they influence one another only through
	// the limits below.
	Vehicles []Vehicle
	// Money is what may be spent in one period on all vehicles together
	// (visits, openings, task costs). 0: no limit.
	Money float64
	// Hours is the work that fits in one period on all vehicles together.
	// 0: no limit.
	Hours float64
	// Calendar overrides Money and Hours per period; empty, or one per period.
	// Closed and Held apply to every vehicle.
	Calendar []Period
}

// Vehicle is one vehicle with its visits, openings and tasks.
type Vehicle struct {
	ID string
	// VisitCost is paid at every visit, whatever is done.
	VisitCost float64
	// Hours is the length of one visit. 0: no limit.
	Hours float64
	// Calendar overrides Hours and Money of this vehicle per period; empty, or
	// one per period.
	Calendar []Period
	Openings []Opening
	Tasks    []Task
	// Windows are stretches of periods that must hold at least one visit.
	Windows []Window
}

// Period is one entry of a calendar. The zero value changes nothing.
type Period struct {
	// Hours and Money replace the general limits in this period if above 0.
	Hours, Money float64
	// Closed forbids visits in the period.
	Closed bool
	// Held fixes a visit in the period: it takes place, and is paid for, even
	// if nothing is done.
	Held bool
}

// Window is a stretch of periods From..To (both included) in which at least
// one visit takes place: "an oil change about every four months" is a run of
// windows.
type Window struct{ From, To int }

// Opening is something taken off, drained, raised or disconnected to reach
// tasks. It is paid once per visit however many tasks use it.
type Opening struct {
	ID          string
	Cost, Hours float64
	// Needs lists openings of the same vehicle that must be made first.
	Needs []string
}

// Task is work that recurs, or is done once in a window.
//
// The age of a task is the number of periods since it was last done. At the
// start it is Age; in period t, if not done before, Age+t.
type Task struct {
	ID   string
	Kind Kind
	// Cost is paid each time and counts against the money of the period;
	// Hours is the work without openings.
	Cost, Hours float64
	// Openings that must be made to do it, of the same vehicle. Those they
	// need come with them.
	Openings []string

	// Age is the number of periods since the task was last done, before
	// period 1. At least 0.
	Age int
	// Every is the greatest age at which a recurring task may be done, a hard
	// limit; a task that old or older at the start is due in period 1. At the end of the plan its age is below
	// Every. 0: no hard limit (the tables below then decide), or a task done once.
	Every int
	// Once marks a task done at most once, in the periods Earliest..Latest.
	// Latest 0 or beyond the plan: it may be left undone, at EndCost.
	Once             bool
	Earliest, Latest int

	// AgeCost is the extra cost, not paid in money, of doing the task at age
	// g: AgeCost[g] (life thrown away when early, risk on the road when late,
	// penalty past a limit). +Inf forbids that age. Beyond the table its last
	// entry holds.
	AgeCost []float64
	// EndCost is the cost of standing at age g when the plan ends, read like
	// AgeCost.
	EndCost []float64
	// PeriodCost is an extra cost, not paid in money, of doing the task in
	// period t: PeriodCost[t-1]. +Inf forbids. Empty, or one per period.
	PeriodCost []float64

	// With names tasks of the same vehicle done at every visit at which this
	// one is done (the tensioner with the belt). Name each in the other's
	// list to tie them both ways.
	With []string
	// After names tasks of the same vehicle whose first doing in the plan
	// must not be later than the first doing of this one (the leak before the
	// belt). The same visit will do.
	After []string
}

// Table tabulates a cost by age 0..n, for AgeCost or EndCost.
func Table(n int, cost func(age int) float64) []float64 {
	t := make([]float64, n+1)
	for g := range t {
		t[g] = cost(g)
	}
	return t
}

// UnusedLife is the table, ages 0..life, of the value thrown away when a part
// of the given price and life is changed at age g: price·(life−g)/life,
// straight-line. Life must be above 0.
func UnusedLife(price float64, life int) []float64 {
	return Table(life, func(g int) float64 {
		return price * float64(life-g) / float64(life)
	})
}

// RoadRisk is the table, ages 0..n, of the expected cost of failing on the
// road before age g: loss times the sum of hazard(1..g), the chance of failing
// in each period. (A renewal inside the wait is neglected; good for chances
// well below one.)
func RoadRisk(n int, loss float64, hazard func(age int) float64) []float64 {
	t := make([]float64, n+1)
	for g := 1; g <= n; g++ {
		t[g] = t[g-1] + loss*hazard(g)
	}
	return t
}

// AddTables adds tables entry by entry; a shorter one holds its last entry.
func AddTables(tables ...[]float64) []float64 {
	n := 0
	for _, t := range tables {
		n = max(n, len(t))
	}
	sum := make([]float64, n)
	for _, t := range tables {
		for g := range sum {
			sum[g] += tableAt(t, g)
		}
	}
	return sum
}

// tableAt reads a cost table: 0 if empty, the last entry beyond its end.
func tableAt(t []float64, g int) float64 {
	if len(t) == 0 {
		return 0
	}
	return t[min(max(g, 0), len(t)-1)]
}

// arcCost is the cost of doing the task in period t when last done in period
// last (0: before the plan), +Inf if not allowed. Calendars are not looked at.
func (k *Task) arcCost(last, t int) float64 {
	age := t - last
	if last == 0 {
		age += k.Age
	}
	if k.Once && (last > 0 || t < k.Earliest || (k.Latest > 0 && t > k.Latest)) {
		return math.Inf(1)
	}
	if !k.Once && k.Every > 0 && t-last > k.slack(last) {
		return math.Inf(1)
	}
	c := k.Cost + tableAt(k.AgeCost, age)
	if len(k.PeriodCost) > 0 {
		c += k.PeriodCost[t-1]
	}
	return c
}

// slack is the number of periods within which the task must be done again
// after it was done in period last. An overdue task gets one.
func (k *Task) slack(last int) int {
	if last > 0 {
		return k.Every
	}
	return max(1, k.Every-k.Age)
}

// endCost is the cost of last doing the task in period last and then not
// again up to period n, +Inf if not allowed.
func (k *Task) endCost(last, n int) float64 {
	if k.Once {
		if last > 0 {
			return 0
		}
		if k.Latest > 0 && k.Latest <= n {
			return math.Inf(1)
		}
		return tableAt(k.EndCost, k.Age+n)
	}
	if k.Every > 0 && n-last >= k.slack(last) {
		return math.Inf(1)
	}
	age := n - last
	if last == 0 {
		age += k.Age
	}
	return tableAt(k.EndCost, age)
}
