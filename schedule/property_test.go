package schedule_test

import (
	"context"
	"errors"
	"math"
	"testing"
	"time"

	schedulebench "undertray/bench/schedule"
	"undertray/schedule"

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
