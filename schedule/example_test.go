package schedule_test

import (
	"context"
	"fmt"

	"undertray.example/undertray/schedule"
)

// The belt and its tensioner are behind the splash shield; the oil is changed
// every six months from below. The plan opens up once for all three.
func Example() {
	p := &schedule.Problem{
		Periods: 12,
		Vehicles: []schedule.Vehicle{{
			ID: "van", VisitCost: 20, Hours: 4,
			Openings: []schedule.Opening{
				{ID: "raised", Cost: 10, Hours: 0.25},
				{ID: "shield off", Cost: 30, Hours: 0.5, Needs: []string{"raised"}},
			},
			Tasks: []schedule.Task{
				{ID: "oil", Kind: schedule.Service, Cost: 60, Hours: 0.5, Every: 6, Age: 2,
					Openings: []string{"raised"}},
				{ID: "belt", Kind: schedule.Change, Cost: 45, Hours: 1, Every: 48, Age: 42,
					Openings: []string{"shield off"}, With: []string{"tensioner"}},
				{ID: "tensioner", Kind: schedule.Change, Cost: 80, Hours: 0.5, Every: 60, Age: 50,
					Openings: []string{"shield off"}},
			},
		}},
	}
	plan, err := schedule.Solve(context.Background(), p, schedule.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, v := range plan.Visits {
		fmt.Println(v.Period, v.Tasks, v.Openings, v.Hours, "h")
	}
	fmt.Println("cost", plan.Cost, "proven", plan.Proven)
	// Output:
	// 3 [oil belt tensioner] [raised shield off] 2.75 h
	// 9 [oil] [raised] 0.75 h
	// cost 335 proven true
}
