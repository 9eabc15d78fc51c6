package draw_test

import (
	"fmt"
	"strings"

	"undertray.example/undertray/draw"
)

func ExampleBayPlan() {
	fig, err := draw.BayPlan(draw.Bay{
		Head:   draw.Head{ID: "bay", Title: "Heron from above"},
		View:   draw.Above,
		Engine: draw.Engine{Vee: true, Cylinders: 6},
		Spots: []draw.Spot{
			{ID: "top-hose", Name: "Upper radiator hose", Verdict: draw.PutRight, X: 58, Y: 14, Shape: draw.FrontHose},
			{ID: "battery", Name: "Battery", Verdict: draw.Keep, X: 84, Y: 95, Shape: draw.Battery, Lit: true},
			{ID: "brake-fluid", Name: "Brake fluid", Verdict: draw.Watch, X: 26, Y: 92, Shape: draw.Servo},
		},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range fig.Legend {
		fmt.Println(c.Number, c.Name+":", c.Verdict)
	}
	fmt.Println(fig.Caption)
	// Output:
	// 1 Upper radiator hose: put right
	// 2 Brake fluid: watch
	// 3 Battery: keep
	// Seen from above, front of the vehicle at the top; 3 positions: 1 put right (filled diamond), 1 watch (ring with a dot), 1 keep (open circle). Ringed numbers are reached by the opening shown: 1. Not to scale; positions close together are drawn apart.
}

func ExampleBeltRun() {
	_, err := draw.BeltRun(draw.Run{
		Head: draw.Head{ID: "run", Title: "Fan belt"},
		Pulleys: []draw.Pulley{
			{Number: 1, Name: "Crank pulley", Radius: 70, Driver: true},
			{Number: 2, Name: "Water pump", X: 20, Y: 100, Radius: 60},
			{Number: 3, Name: "Alternator", X: -150, Y: 120, Radius: 35},
		},
	})
	fmt.Println(strings.TrimPrefix(err.Error(), "draw: "))
	// Output:
	// figure run: pulleys 1 and 2 overlap
}

func ExampleTicks() {
	ticks, decimals, err := draw.Ticks(0.12, 0.87, 5)
	fmt.Println(ticks, decimals, err)
	// Output:
	// [0.2 0.4 0.6 0.8] 1 <nil>
}
