package schedule_test

import (
	"context"
	"errors"
	"math"
	"runtime"
	"slices"
	"testing"
	"time"

	schedulebench "undertray.example/undertray/bench/schedule"
	"undertray.example/undertray/schedule"

	"pgregory.net/rapid"
)

func drawProblem(t *rapid.T) *schedule.Problem {
	return schedulebench.Random(rapid.Uint64Range(1, 1<<40).Draw(t, "seed"), schedulebench.Size{
		Tasks:    rapid.IntRange(2, 7).Draw(t, "tasks"),
		Openings: rapid.IntRange(1, 5).Draw(t, "openings"),
		Periods:  rapid.IntRange(4, 9).Draw(t, "periods"),
		Rich:     rapid.Bool().Draw(t, "rich"),
	})
}

// optimum is the proven least cost, +Inf if there is no plan; the plan must
// pass the checker.
func optimum(t *rapid.T, p *schedule.Problem) float64 {
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	plan, err := schedule.Solve(ctx, p, schedule.Options{})
	var why *schedule.Infeasible
	if errors.As(err, &why) {
		return math.Inf(1)
	}
	if err != nil {
		t.Fatal(err)
	}
	cost, faults := schedule.Verify(p, plan.Doings())
	if len(faults) > 0 || math.Abs(cost-plan.Cost) > 1e-6 || !plan.Proven {
		t.Fatalf("cost %v, checker %v, proven %v, faults %v", plan.Cost, cost, plan.Proven, faults)
	}
	return plan.Cost
}

// TestMoreRoomNeverCostsMore: with more hours or money in a period the optimum
// does not rise; nor with an opening free of charge.
func TestMoreRoomNeverCostsMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		before := optimum(t, p)
		v := &p.Vehicles[0]
		switch rapid.IntRange(0, 2).Draw(t, "change") {
		case 0:
			v.Hours++
			for i := range v.Calendar {
				if v.Calendar[i].Hours > 0 {
					v.Calendar[i].Hours++
				}
			}
		case 1:
			if p.Money > 0 {
				p.Money += 100
			}
		case 2:
			v.Openings[rapid.IntRange(0, len(v.Openings)-1).Draw(t, "opening")].Cost = 0
		}
		if after := optimum(t, p); after > before+1e-6 {
			t.Fatalf("the optimum rose from %v to %v", before, after)
		}
	})
}

// TestVehiclesApartAddUp: two vehicles that share nothing cost together what
// they cost apart; a shared limit too wide to bind changes nothing.
func TestVehiclesApartAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := schedulebench.Size{Tasks: 4, Openings: 3, Periods: 7, Rich: true}
		a := schedulebench.Random(rapid.Uint64Range(1, 1<<40).Draw(t, "a"), z)
		b := schedulebench.Random(rapid.Uint64Range(1, 1<<40).Draw(t, "b"), z)
		a.Money, b.Money = 0, 0
		b.Vehicles[0].ID = "V2"
		both := &schedule.Problem{Periods: 7, Vehicles: []schedule.Vehicle{a.Vehicles[0], b.Vehicles[0]}}
		want := optimum(t, a) + optimum(t, b)
		if got := optimum(t, both); math.Abs(got-want) > 1e-6 && got != want {
			t.Fatalf("together %v, apart %v", got, want)
		}
		both.Money = 590 // may bind: never cheaper than apart
		if got := optimum(t, both); got < want-1e-6 {
			t.Fatalf("with a shared limit %v, apart %v", got, want)
		}
	})
}

// TestMovesAreTheCheckers: what Explain says of each move is what the checker
// says of the plan written out with that move made.
func TestMovesAreTheCheckers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := schedulebench.Random(rapid.Uint64Range(1, 1<<40).Draw(t, "seed"), schedulebench.Size{
			Vehicles: rapid.IntRange(1, 2).Draw(t, "vehicles"), Tasks: 5, Openings: 4, Periods: 7, Rich: true})
		plan, err := schedule.Solve(context.Background(), p, schedule.Options{Steps: 2})
		if err != nil {
			return
		}
		base, _ := schedule.Verify(p, plan.Doings())
		reasons, err := schedule.Explain(context.Background(), p, plan.Doings())
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range reasons {
			m := r.Later
			if m.Period == 0 {
				continue
			}
			cost, faults := schedule.Verify(p, movedTo(p, plan, r, m.Period))
			if m.Possible != (len(faults) == 0) || m.Possible && math.Abs(cost-base-m.Change) > 1e-6 || !m.Possible &&
				m.Against != faults[0] {
				t.Fatalf("%s of %s from %d to %d: %+v; checker: %v more, %v", r.Task, r.Vehicle, r.Period, m.Period, m,
					cost-base, faults)
			}
		}
	})
}

// movedTo is the plan with a doing, and those tied to it both ways, in another
// period; a visit left with nothing to do is given up unless it is held.
func movedTo(p *schedule.Problem, plan *schedule.Plan, r schedule.Reason, to int) []schedule.Doing {
	v := p.Vehicles[slices.IndexFunc(p.Vehicles, func(v schedule.Vehicle) bool { return v.ID == r.Vehicle })]
	group := tiedTo(v, r.Task)
	group = slices.DeleteFunc(group, func(id string) bool { return !slices.Contains(tiedTo(v, id), r.Task) })
	out, there := []schedule.Doing{}, false
	for _, d := range plan.Doings() {
		if d.Vehicle == r.Vehicle && d.Period == r.Period {
			d.Tasks = slices.DeleteFunc(slices.Clone(d.Tasks), func(id string) bool {
				return slices.Contains(group, id)
			})
			held := len(p.Calendar) > 0 && p.Calendar[d.Period-1].Held || len(v.Calendar) > 0 &&
				v.Calendar[d.Period-1].Held
			if len(d.Tasks) == 0 && !held {
				continue
			}
		}
		if d.Vehicle == r.Vehicle && d.Period == to {
			there, d.Tasks = true, slices.DeleteFunc(slices.Clone(d.Tasks), func(id string) bool {
				return slices.Contains(group, id)
			})
			d.Tasks = append(d.Tasks, group...)
		}
		out = append(out, d)
	}
	if !there {
		out = append(out, schedule.Doing{Vehicle: r.Vehicle, Period: to, Tasks: group})
	}
	return out
}

// tiedTo lists a task and all that With brings along.
func tiedTo(v schedule.Vehicle, id string) []string {
	out := []string{id}
	for h := 0; h < len(out); h++ {
		k := v.Tasks[slices.IndexFunc(v.Tasks, func(k schedule.Task) bool { return k.ID == out[h] })]
		for _, w := range k.With {
			if !slices.Contains(out, w) {
				out = append(out, w)
			}
		}
	}
	return out
}

// TestExplainStops: a context that has ended ends it.
func TestExplainStops(t *testing.T) {
	p := schedulebench.Household(1, 1, 20, 24)
	plan, err := schedule.Solve(context.Background(), p, schedule.Options{Steps: 1})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := schedule.Explain(ctx, p, plan.Doings()); !errors.Is(err, context.Canceled) {
		t.Errorf("%v, want the context's error", err)
	}
}

// TestExplainGoesThroughWhatAMoveTouches: each reason of a plan of 120 tasks takes less than half of what the
// checker takes for the whole plan, counted by memory: gone through whole for each, they cost more than a solve.
func TestExplainGoesThroughWhatAMoveTouches(t *testing.T) {
	p := schedulebench.Household(1, 1, 120, 36)
	p.Vehicles[0].Hours *= 4
	plan, err := schedule.Solve(context.Background(), p, schedule.Options{Steps: 1})
	if err != nil {
		t.Fatal(err)
	}
	allocated := func(work func()) uint64 {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		work()
		runtime.ReadMemStats(&after)
		return after.TotalAlloc - before.TotalAlloc
	}
	whole := allocated(func() { schedule.Verify(p, plan.Doings()) })
	var reasons []schedule.Reason
	explain := allocated(func() { reasons, err = schedule.Explain(context.Background(), p, plan.Doings()) })
	if each := explain / uint64(max(1, len(reasons))); err != nil || len(reasons) < 120 || each > whole/2 {
		t.Errorf("%d reasons of %d bytes each, the checker's %d; %v", len(reasons), each, whole, err)
	}
	t.Logf("%d reasons, %d bytes, the checker %d", len(reasons), explain, whole)
}

// TestJoinedPlansAreTheOptimum: planned from what each does by itself, vehicles
// that share come to the same proven cost, never below the sum of what each
// costs by itself.
func TestJoinedPlansAreTheOptimum(t *testing.T) {
	joined := 0
	rapid.Check(t, func(t *rapid.T) {
		p := schedulebench.Random(rapid.Uint64Range(1, 1<<40).Draw(t, "seed"),
			schedulebench.Size{Vehicles: rapid.IntRange(2, 3).Draw(t, "vehicles"),
				Tasks: rapid.IntRange(2, 4).Draw(t, "tasks"), Openings: rapid.IntRange(1, 3).Draw(t, "openings"),
				Periods: rapid.IntRange(4, 7).Draw(t, "periods"), Rich: true})
		want := optimum(t, p)
		if math.IsInf(want, 1) {
			return
		}
		var own []*schedule.Search
		apart := 0.0
		for v := range p.Vehicles {
			o, err := schedule.NewSearch(&schedule.Problem{Periods: p.Periods, Vehicles: p.Vehicles[v : v+1]}, nil)
			if err != nil {
				t.Fatal(err)
			}
			if err := o.Run(context.Background(),
				schedule.Options{Steps: rapid.IntRange(1, 8).Draw(t, "steps")}); err != nil {
				t.Fatal(err)
			}
			plan, err := o.Plan()
			if err != nil {
				t.Fatal(err)
			}
			own, apart = append(own, o), apart+plan.Bound
		}
		j, err := schedule.Join(p, own, nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := j.Run(context.Background(), schedule.Options{}); err != nil {
			t.Fatal(err)
		}
		plan, err := j.Plan()
		if err != nil {
			t.Fatal(err)
		}
		cost, faults := schedule.Verify(p, plan.Doings())
		if len(faults) > 0 || math.Abs(cost-want) > 1e-6 || math.Abs(plan.Cost-want) > 1e-6 || !plan.Proven ||
			want < apart-1e-6 {
			t.Fatalf("cost %v, checker %v, best %v, proven %v, each by itself %v, faults %v", plan.Cost, cost, want,
				plan.Proven, apart, faults)
		}
		joined++
	})
	if joined < 5 {
		t.Errorf("%d joined: nothing is shown", joined)
	}
}

// TestSharedBoundKeepsToEachAlone: vehicles that share little money are bounded
// from below by what each costs by itself, after the first step and when done.
func TestSharedBoundKeepsToEachAlone(t *testing.T) {
	for seed := range uint64(4) {
		p := schedulebench.Household(seed, 2, 6, 12)
		free := 0.0
		for v := range p.Vehicles {
			alone := &schedule.Problem{Periods: p.Periods, Vehicles: p.Vehicles[v : v+1]}
			free += solve(t, alone, 200, schedule.Options{}).Cost
		}
		p.Money = 260
		first, err := schedule.Solve(context.Background(), p, schedule.Options{Steps: 1})
		if err != nil {
			t.Fatal(err)
		}
		done, err := schedule.Solve(context.Background(), p, schedule.Options{Steps: 400})
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("seed %d: %.1f to %.1f, then %.1f to %.1f; each alone %.1f", seed, first.Bound, first.Cost, done.Bound,
			done.Cost, free)
		if first.Bound < 0.9*free || done.Bound < first.Bound || done.Proven && done.Cost < free-1e-6 ||
			first.Bound > done.Cost+1e-6 {
			t.Errorf("seed %d: bounds %v and %v, costs %v and %v, each alone %v", seed, first.Bound, done.Bound,
				first.Cost, done.Cost, free)
		}
	}
}
