package schedule_test

import (
	"context"
	"errors"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	schedulebench "undertray.example/undertray/bench/schedule"
	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/schedule"
)

// The instances and their optima are from reference/reliability.md, section 6
// (checks G1 to G7): optima by cbc, GLPK and HiGHS, plans checked there by a
// separate program.
func instancePath(t *testing.T, name string) string {
	t.Helper()
	return filepath.Join(given.Data(t, "data", "reliability", "milp"), name)
}

func instance(t *testing.T, name string) *schedule.Problem {
	t.Helper()
	p, err := schedulebench.ReadInstance(instancePath(t, name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func solve(t *testing.T, p *schedule.Problem, seconds int, o schedule.Options) *schedule.Plan {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Duration(seconds)*time.Second)
	defer cancel()
	plan, err := schedule.Solve(ctx, p, o)
	if err != nil {
		t.Fatal(err)
	}
	cost, faults := schedule.Verify(p, plan.Doings())
	if len(faults) > 0 {
		t.Fatalf("the plan breaks rules: %v", faults)
	}
	if d := cost - plan.Cost; d > 1e-6 || d < -1e-6 {
		t.Fatalf("the checker's cost is %v, the plan's %v", cost, plan.Cost)
	}
	return plan
}

func TestReferenceOptima(t *testing.T) {
	for name, want := range map[string]float64{"small6": 2275, "mid12": 3910, "large30": 4935} {
		t.Run(name, func(t *testing.T) {
			if name == "large30" && testing.Short() {
				t.Skip("takes some seconds")
			}
			plan := solve(t, instance(t, name), 120, schedule.Options{})
			if !plan.Proven || plan.Cost != want || plan.Bound != want {
				t.Errorf("cost %v, bound %v, proven %v, want %v proven", plan.Cost, plan.Bound, plan.Proven, want)
			}
			if plan.Nodes > 60 { // up to 133 where the best plan is met late
				t.Errorf("%d nodes", plan.Nodes)
			}
		})
	}
}

// G7: no plan of hard30 costs less than 8585; ours must stay above it and its
// bound below the best plan, 8895, which this planner found in five minutes.
func TestHardInstanceBounds(t *testing.T) {
	plan := solve(t, instance(t, "hard30"), 60, schedule.Options{Steps: 5})
	if plan.Cost < 8585 || plan.Bound > 8895 || plan.Cost > 1.06*plan.Bound {
		t.Errorf("cost %v, bound %v", plan.Cost, plan.Bound)
	}
	t.Logf("five steps: cost %v, bound %v", plan.Cost, plan.Bound)
}

func TestReferenceInfeasible(t *testing.T) {
	for name, want := range map[string]schedule.Infeasible{
		"infeasible6": {Cause: schedule.TooLarge, Tasks: []string{"T01"}, Limit: schedule.HoursLimit,
			Needs: 6.75, Have: 6},
		"infeasible30": {Cause: schedule.DueTogether, Tasks: []string{"T01", "T02"}, Period: 1,
			Limit: schedule.HoursLimit, Needs: 10.75, Have: 10},
	} {
		_, err := schedule.Solve(context.Background(), instance(t, name), schedule.Options{})
		var why *schedule.Infeasible
		if want.Vehicle = instance(t, name).Vehicles[0].ID; !errors.As(err, &why) || !reflect.DeepEqual(*why, want) {
			t.Errorf("%s: %v, want %v", name, err, &want)
		}
	}
}

func TestStoredPlans(t *testing.T) {
	for name, want := range map[string]float64{"small6": 2275, "mid12": 3910, "large30": 4935, "hard30": 8955} {
		stated, plan, err := schedulebench.ReadPlan(instancePath(t, name+".plan.json"))
		if err != nil {
			t.Fatal(err)
		}
		cost, faults := schedule.Verify(instance(t, name), plan)
		if cost != want || stated != want || len(faults) > 0 {
			t.Errorf("%s: cost %v, stated %v, faults %v, want %v", name, cost, stated, faults, want)
		}
		plan[0].Tasks = plan[0].Tasks[1:]
		if _, faults := schedule.Verify(instance(t, name), plan); len(faults) == 0 {
			t.Errorf("%s: the checker passes a plan with its first task left out", name)
		}
	}
}

func TestExplainReference(t *testing.T) {
	p := instance(t, "mid12")
	_, plan, err := schedulebench.ReadPlan(instancePath(t, "mid12.plan.json"))
	if err != nil {
		t.Fatal(err)
	}
	reasons, err := schedule.Explain(context.Background(), p, plan)
	if err != nil {
		t.Fatal(err)
	}
	if len(reasons) != 45 { // executions in the stored plan, section 6
		t.Fatalf("%d reasons, want 45", len(reasons))
	}
	for _, r := range reasons {
		if r.Later.Possible && r.Later.Change < 0 {
			t.Errorf("%s in period %d: a proven plan gains %v by a move to %d", r.Task, r.Period,
				-r.Later.Change, r.Later.Period)
		}
		if !r.Later.Possible && r.Later.Against.Rule == "" {
			t.Errorf("%s in period %d: no reason against a move", r.Task, r.Period)
		}
	}
}

func TestStopsAtOnce(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := schedule.Solve(ctx, instance(t, "mid12"), schedule.Options{})
	if !errors.Is(err, schedule.ErrNoPlan) || !errors.Is(err, context.Canceled) {
		t.Errorf("%v, want no plan, as the context ended", err)
	}
}

// countdown is a context that ends when it has been asked so often.
type countdown struct {
	context.Context
	left *int
}

func (c countdown) Err() error {
	if *c.left--; *c.left < 0 {
		return context.Canceled
	}
	return nil
}

// TestGoesOn: a search that is stopped at many places and gone on with gives
// sound plans and bounds on the way and proves the optimum in the end.
func TestGoesOn(t *testing.T) {
	p, proven := instance(t, "small6"), false
	for first := 1; first < 4000; first += 1 + first/3 {
		s, err := schedule.NewSearch(p, nil)
		if err != nil {
			t.Fatal(err)
		}
		for turn := 0; turn < 40 && !proven; turn++ {
			left := first * (1 + turn)
			if err := s.Run(countdown{context.Background(), &left}, schedule.Options{}); err != nil &&
				!errors.Is(err, context.Canceled) {
				t.Fatal(err)
			}
			plan, err := s.Plan()
			if err != nil {
				continue
			}
			if cost, faults := schedule.Verify(p, plan.Doings()); len(faults) > 0 || cost != plan.Cost ||
				plan.Bound > 2275 || plan.Proven && cost != 2275 {
				t.Fatalf("stopped at %d: cost %v, bound %v, proven %v; checker %v %v", left, plan.Cost, plan.Bound,
					plan.Proven, cost, faults)
			}
			proven = plan.Proven
		}
		if err := s.Run(context.Background(), schedule.Options{}); err != nil {
			t.Fatal(err)
		}
		if plan, err := s.Plan(); err != nil || plan.Cost != 2275 || !plan.Proven {
			t.Fatalf("stopped each %d checks, then gone on: %+v, %v", first, plan, err)
		}
		proven = false
	}
}

// TestBeginsWithAPlan: what is found in one step from a good plan on costs no
// more than that; of a plan that no longer fits, what does is taken.
func TestBeginsWithAPlan(t *testing.T) {
	p := instance(t, "large30")
	stated, start, err := schedulebench.ReadPlan(instancePath(t, "large30.plan.json"))
	if err != nil {
		t.Fatal(err)
	}
	if plan := solve(t, p, 60, schedule.Options{Steps: 1, Start: start}); plan.Cost > stated {
		t.Errorf("from a plan of %v to one of %v", stated, plan.Cost)
	}
	start = append(start[1:], schedule.Doing{Vehicle: "another", Period: 99, Tasks: []string{"x"}})
	if plan := solve(t, p, 60, schedule.Options{Steps: 1, Start: start}); plan.Cost > 1.05*stated {
		t.Errorf("from a plan of %v without its first visit to one of %v", stated, plan.Cost)
	}
}

func TestSameStepsSamePlan(t *testing.T) {
	p := instance(t, "mid12")
	var seen []string
	for range 2 {
		var b strings.Builder
		plan := solve(t, p, 60, schedule.Options{Steps: 12})
		for _, v := range plan.Visits {
			b.WriteString(strings.Join(v.Tasks, ",") + ";")
		}
		seen = append(seen, b.String())
	}
	if seen[0] != seen[1] {
		t.Error("two runs of the same steps differ")
	}
}

// TestHouseholdGap holds how close to its bound the plan of three vehicles of
// 60 tasks each over 36 months comes in five steps per vehicle, for plausible
// vehicles and for dense ones: short intervals, openings that cross.
func TestHouseholdGap(t *testing.T) {
	dense := schedulebench.Random(3, schedulebench.Size{Vehicles: 3, Tasks: 60, Openings: 15, Periods: 36})
	for v := range dense.Vehicles {
		dense.Vehicles[v].Hours = 0
	}
	for name, c := range map[string]struct {
		p    *schedule.Problem
		most float64
	}{
		"household": {schedulebench.Household(2, 3, 60, 36), 0.01},
		"dense":     {dense, 0.03},
	} {
		plan := solve(t, c.p, 300, schedule.Options{Steps: 15})
		t.Logf("%s: cost %.0f, bound %.0f, gap %.2f %%", name, plan.Cost, plan.Bound, 100*plan.Gap())
		if plan.Gap() > c.most {
			t.Errorf("%s: gap %v, want at most %v", name, plan.Gap(), c.most)
		}
	}
}
