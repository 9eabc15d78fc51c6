package sequence_test

import (
	"fmt"

	"undertray.example/undertray/sequence"
)

func ExampleOrder() {
	above := sequence.Setting{"side": "above", "height": "ground"}
	below := sequence.Setting{"side": "below", "height": "raised"}
	steps := []sequence.Step{
		{ID: "engine cover off", Needs: above, Rank: 1},
		{ID: "undertray off", Needs: below, Rank: 2},
		{ID: "belt off", Needs: above, Rank: 3, After: []string{"engine cover off"}},
		{ID: "idler renewed", Needs: below, Rank: 4, After: []string{"undertray off", "belt off"}},
		{ID: "belt on", Needs: above, Rank: 5, After: []string{"idler renewed"}},
		{ID: "undertray on", Needs: below, Rank: 6, After: []string{"idler renewed"}},
		{ID: "engine cover on", Needs: above, Rank: 7, After: []string{"belt on"}},
	}
	opts := sequence.Options{
		Start: above,
		End:   sequence.Setting{"height": "ground"},
		Changes: append(
			sequence.BothWays("height", "ground", "raised", 1),
			sequence.BothWays("side", "above", "below", 1)...),
	}
	plan, err := sequence.Order(steps, opts)
	if err != nil {
		fmt.Println(err)
		return
	}
	changes := plan.Changes
	for at, i := range plan.Order {
		for len(changes) > 0 && changes[0].Before == at {
			fmt.Printf("   %s: %s to %s\n", changes[0].Attribute, changes[0].From, changes[0].To)
			changes = changes[1:]
		}
		fmt.Println(steps[i].ID)
	}
	fmt.Printf("%d changes, proven least: %t\n", plan.Cost, plan.Proven)
	// Output:
	// engine cover off
	// belt off
	//    height: ground to raised
	//    side: above to below
	// undertray off
	// idler renewed
	// undertray on
	//    height: raised to ground
	//    side: below to above
	// belt on
	// engine cover on
	// 4 changes, proven least: true
}
