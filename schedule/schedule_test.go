package schedule_test

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/schedule"
)

func one(v schedule.Vehicle, periods int) *schedule.Problem {
	v.ID = "van"
	return &schedule.Problem{Periods: periods, Vehicles: []schedule.Vehicle{v}}
}

func periodsOf(p *schedule.Plan, task string) []int {
	var out []int
	for _, v := range p.Visits {
		if slices.Contains(v.Tasks, task) {
			out = append(out, v.Period)
		}
	}
	return out
}

// TestOrderAndTies: the leak is due late and dear to see to, the belt early;
// the leak must come first, and the tensioner goes with the belt.
func TestOrderAndTies(t *testing.T) {
	p := one(schedule.Vehicle{VisitCost: 10, Tasks: []schedule.Task{
		{ID: "belt", Cost: 40, Every: 48, Age: 44, With: []string{"tensioner"}, After: []string{"leak"}},
		{ID: "tensioner", Cost: 60, Every: 96, Age: 10},
		{ID: "leak", Cost: 100, Once: true, EndCost: []float64{5}},
	}}, 12)
	plan := solve(t, p, 10, schedule.Options{})
	if plan.Cost != 210 || !plan.Proven {
		t.Errorf("cost %v, want 10+40+60+100", plan.Cost)
	}
	if l, b := periodsOf(plan, "leak"), periodsOf(plan, "belt"); len(l) != 1 || len(b) != 1 || l[0] > b[0] {
		t.Errorf("leak in %v, belt in %v", l, b)
	}
}

// TestAgeCosts: doing a part of price 120 and life 12 at age g throws away
// 120·(12−g)/12; waiting past age 8 risks 7 more each period. By hand: at age
// 9, 30+7 = 37; at 10, 20+14 = 34; at 11, 10+21 = 31; at 12, 0+28; beyond,
// 7 more each, and the end of the plan at period 12 stops the count.
func TestAgeCosts(t *testing.T) {
	risk := schedule.RoadRisk(30, 70, func(g int) float64 {
		if g > 8 {
			return 0.1
		}
		return 0
	})
	p := one(schedule.Vehicle{Tasks: []schedule.Task{{ID: "hose", Cost: 1, Age: 4,
		AgeCost: schedule.AddTables(schedule.UnusedLife(120, 12), risk),
		EndCost: schedule.AddTables(risk, schedule.Table(30, func(g int) float64 { return float64(10 * g) })),
	}}}, 12)
	plan := solve(t, p, 10, schedule.Options{})
	best := math.Inf(1)
	for at := 1; at <= 12; at++ { // one doing, counted out
		age, rest := 4+at, 12-at
		c := 1 + 120*max(0, float64(12-age))/12 + 7*max(0,
			float64(age-8)) + float64(10*rest) + 7*max(0, float64(rest-8))
		best = min(best, c)
	}
	if math.Abs(plan.Cost-best) > 1e-6 || !plan.Proven {
		t.Errorf("cost %v, want %v", plan.Cost, best)
	}
}

func TestCalendar(t *testing.T) {
	v := schedule.Vehicle{VisitCost: 10, Calendar: make([]schedule.Period, 6),
		Tasks:   []schedule.Task{{ID: "oil", Cost: 5, Every: 4, Age: 2}},
		Windows: []schedule.Window{{From: 5, To: 6}}}
	v.Calendar[1].Closed = true // not in period 2
	v.Calendar[2].Held = true
	plan := solve(t, one(v, 6), 10, schedule.Options{})
	var at []int
	for _, w := range plan.Visits {
		at = append(at, w.Period)
	}
	if at[0] != 1 || !slices.Contains(at, 3) || plan.Cost != 40 || !plan.Proven {
		t.Errorf("visits in %v at %v, want 1, 3 and one of 5, 6 at 3*10+2*5", at, plan.Cost)
	}
}

func TestMoneyOfAPeriod(t *testing.T) {
	p := one(schedule.Vehicle{VisitCost: 10, Tasks: []schedule.Task{
		{ID: "a", Cost: 50, Every: 20, Age: 17}, {ID: "b", Cost: 50, Every: 20, Age: 17}}}, 6)
	if c := solve(t, p, 10, schedule.Options{}).Cost; c != 110 {
		t.Errorf("cost %v, want one visit, 110", c)
	}
	p.Money = 100
	if c := solve(t, p, 10, schedule.Options{}).Cost; c != 120 {
		t.Errorf("cost %v, want two visits, 120", c)
	}
	p.Money = 55
	_, err := schedule.Solve(context.Background(), p, schedule.Options{})
	var why *schedule.Infeasible
	if !errors.As(err, &why) || why.Limit != schedule.MoneyLimit || why.Needs != 60 || why.Have != 55 {
		t.Errorf("%v, want money, 60 of 55", err)
	}
}

// TestInfeasibleReasons: reasons name the tasks and the hours.
func TestInfeasibleReasons(t *testing.T) {
	v := schedule.Vehicle{Hours: 3, Tasks: []schedule.Task{
		{ID: "a", Hours: 2, Every: 12, Age: 10}, {ID: "b", Hours: 2, Every: 12, Age: 10},
		{ID: "c", Hours: 2, Every: 12, Age: 10}}}
	_, err := schedule.Solve(context.Background(), one(v, 12), schedule.Options{})
	var why *schedule.Infeasible
	if !errors.As(err, &why) || why.Vehicle != "van" {
		t.Errorf("three tasks of 2 h due by period 2, visits of 3 h: %v", err)
	}
	v = schedule.Vehicle{Calendar: make([]schedule.Period, 12), Tasks: []schedule.Task{{ID: "a", Every: 12, Age: 11}}}
	v.Calendar[0].Closed = true
	_, err = schedule.Solve(context.Background(), one(v, 12), schedule.Options{})
	if !errors.As(err, &why) || why.Cause != schedule.NeverInTime || why.Period != 1 || why.Tasks[0] != "a" {
		t.Errorf("due in a closed period: %v", err)
	}
}

func TestInputErrors(t *testing.T) {
	bad := func(name, field string, change func(v *schedule.Vehicle, p *schedule.Problem)) {
		t.Helper()
		v := schedule.Vehicle{Openings: []schedule.Opening{{ID: "a"}, {ID: "b", Needs: []string{"a"}}},
			Tasks: []schedule.Task{{ID: "t", Every: 3, Openings: []string{"a"}}}}
		p := one(v, 6)
		change(&p.Vehicles[0], p)
		_, err := schedule.Solve(context.Background(), p, schedule.Options{})
		var in *schedule.InputError
		if !errors.As(err, &in) || !strings.Contains(in.Field, field) {
			t.Errorf("%s: %v", name, err)
		}
	}
	bad("no periods", "Periods", func(_ *schedule.Vehicle, p *schedule.Problem) { p.Periods = 0 })
	bad("not a number", "Cost", func(v *schedule.Vehicle, _ *schedule.Problem) { v.Tasks[0].Cost = math.NaN() })
	bad("infinite", "VisitCost", func(v *schedule.Vehicle, _ *schedule.Problem) { v.VisitCost = math.Inf(1) })
	bad("unknown opening", "Openings", func(v *schedule.Vehicle, _ *schedule.Problem) { v.Tasks[0].Openings[0] = "x" })
	bad("loop", "Needs", func(v *schedule.Vehicle, _ *schedule.Problem) { v.Openings[0].Needs = []string{"b"} })
	bad("vehicle without a name", "Vehicles[0], ID", func(v *schedule.Vehicle, _ *schedule.Problem) { v.ID = "" })
	bad("task without a name", "Tasks[0], ID", func(v *schedule.Vehicle, _ *schedule.Problem) { v.Tasks[0].ID = "" })
	bad("opening without a name", "Openings[1], ID", func(v *schedule.Vehicle, _ *schedule.Problem) {
		v.Openings[1].ID = ""
	})
	bad("twice", "task", func(v *schedule.Vehicle, _ *schedule.Problem) { v.Tasks = append(v.Tasks, v.Tasks[0]) })
	bad("short calendar", "Calendar", func(v *schedule.Vehicle, _ *schedule.Problem) {
		v.Calendar = make([]schedule.Period, 2)
	})
	bad("table", "AgeCost", func(v *schedule.Vehicle, _ *schedule.Problem) { v.Tasks[0].AgeCost = []float64{-1} })
	bad("window", "Windows", func(v *schedule.Vehicle, _ *schedule.Problem) {
		v.Windows = []schedule.Window{{From: 5, To: 9}}
	})
}

// TestLimitInSomePeriods: two limits bind and one is absent in some periods.
// The tasks of 75 and 45 take 2 h each, as much as a visit has, and money is
// short in the last period only: 120 by hand, in two visits that cost nothing.
func TestLimitInSomePeriods(t *testing.T) {
	p := one(schedule.Vehicle{Hours: 2, Calendar: []schedule.Period{{}, {}, {Money: 100}}, Tasks: []schedule.Task{
		{ID: "a", Cost: 75, Hours: 2, Every: 3}, {ID: "b", Cost: 45, Hours: 2, Every: 3}}}, 3)
	if plan := solve(t, p, 10, schedule.Options{}); plan.Cost != 120 || !plan.Proven {
		t.Errorf("cost %v, proven %v, want 120 proven", plan.Cost, plan.Proven)
	}
}

// TestNothingToDo: vehicles without tasks cost the visits that are held.
func TestNothingToDo(t *testing.T) {
	p := one(schedule.Vehicle{VisitCost: 7}, 1)
	if plan := solve(t, p, 10, schedule.Options{}); plan.Cost != 0 || !plan.Proven || len(plan.Visits) != 0 {
		t.Errorf("%+v, want no visit", plan)
	}
	p = one(schedule.Vehicle{VisitCost: 7, Calendar: []schedule.Period{{}, {Held: true}}}, 2)
	if plan := solve(t, p, 10, schedule.Options{}); plan.Cost != 7 || !plan.Proven || len(plan.Visits) != 1 {
		t.Errorf("%+v, want one visit at 7", plan)
	}
	p.Money = 5
	if _, err := schedule.Solve(context.Background(), p, schedule.Options{}); err == nil {
		t.Error("a visit of 7 is held where there is money of 5")
	}
	if plan := solve(t, &schedule.Problem{Periods: 3}, 10, schedule.Options{}); !plan.Proven {
		t.Error("no vehicle at all leaves a doubt")
	}
}

// TestHeldInAClosedPeriod: what the calendar of all forbids and that of the
// vehicle demands cannot be.
func TestHeldInAClosedPeriod(t *testing.T) {
	p := one(schedule.Vehicle{Calendar: []schedule.Period{{}, {Held: true}}}, 2)
	p.Calendar = []schedule.Period{{}, {Closed: true}}
	_, err := schedule.Solve(context.Background(), p, schedule.Options{})
	var why *schedule.Infeasible
	if !errors.As(err, &why) || why.Cause != schedule.HeldWhileClosed || why.Period != 2 || why.Vehicle != "van" {
		t.Errorf("%v, want no plan for the van in period 2", err)
	}
}
