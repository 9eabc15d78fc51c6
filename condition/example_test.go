package condition_test

import (
	"fmt"

	"undertray.example/undertray/condition"
)

// A hose shows the first sign after about 90 thousand km or ten years, and fails about 15 thousand km or
// twenty months later; neither is well known. It is glanced at from above, which misses most, and now and then
// squeezed.
func hose() (*condition.Posterior, error) { return hoseOf(0) }

func hoseOf(nodes int) (*condition.Posterior, error) {
	glance := condition.Glance(0.02, 0.15, 0.5)
	squeeze := condition.Graded([]float64{0, 1, 2}, []float64{0.5, 1.5}, 0.4)
	prior, err := condition.FromLead(condition.Lead{
		Onset: []float64{180, 20 * 365}, Lead: []float64{30, 3.3 * 365}, // each alone: together they take half as long
		OnsetLogSD: 0.4, LeadLogSD: 0.5, SpeedLogSD: 0.2,
	}, []condition.Sort{glance, squeeze}, []float64{0.3, 0.3})
	if err != nil {
		return nil, err
	}
	return prior.Learn(nil, condition.Options{Nodes: nodes})
}

func ExamplePart_FailWithin() {
	post, err := hose()
	if err != nil {
		fmt.Println(err)
		return
	}
	seen := []condition.Look{{At: []float64{60, 2400}}}                              // fine at a glance
	soft := append(seen, condition.Look{At: []float64{75, 3000}, Sort: 1, Grade: 1}) // softer at a squeeze
	for _, looks := range [][]condition.Look{nil, seen, soft} {
		part, err := post.Part(condition.History{Looks: looks, At: []float64{80, 3200}})
		if err != nil {
			fmt.Println(err)
			return
		}
		c, err := part.FailWithin([]float64{5, 60})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%d looks: %.1f %% (%.1f to %.1f)\n", len(looks), 100*c.Mean, 100*c.Low, 100*c.High)
	}
	// Output:
	// 0 looks: 3.7 % (1.4 to 6.8)
	// 1 looks: 3.5 % (1.2 to 6.1)
	// 2 looks: 7.5 % (2.6 to 11.8)
}

func ExamplePart_Worth() {
	post, err := hose()
	if err != nil {
		fmt.Println(err)
		return
	}
	part, err := post.Part(condition.History{Looks: []condition.Look{{At: []float64{75, 3000}, Grade: 1}},
		At: []float64{80, 3200}})
	if err != nil {
		fmt.Println(err)
		return
	}
	trip := condition.Decision{Within: []float64{3, 10}, Actions: []condition.Action{{IfFails: 900}, {Cost: 60}}}
	for sort, name := range []string{"glance", "squeeze"} {
		w, err := part.Worth(trip, sort)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("a %s is worth %.2f of at most %.2f\n", name, w.Value, w.Perfect)
	}
	// Output:
	// a glance is worth 0.00 of at most 25.10
	// a squeeze is worth 15.77 of at most 25.10
}

func ExamplePart_NextLook() {
	post, err := hose()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, grade := range []int{0, 1} {
		part, err := post.Part(condition.History{Looks: []condition.Look{{At: []float64{70, 2800},
			Sort: 1, Grade: grade}}})
		if err != nil {
			fmt.Println(err)
			return
		}
		days, err := part.NextLook([]float64{0.025, 1}, 0.02, 3650) // 25 km a day
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("grade %d: look again within %.0f days\n", grade, days)
	}
	// Output:
	// grade 0: look again within 418 days
	// grade 1: look again within 69 days
}
