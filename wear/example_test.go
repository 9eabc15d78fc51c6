package wear_test

import (
	"fmt"

	"undertray.example/undertray/wear"
)

// A belt's rib depth is 2.0 mm when new and the belt is due at 1.2 mm. It was measured three times,
// at thousands of kilometres; two older belts of the yard went the same way.
func ExampleKind_Forecast() {
	at := func(thousandKm, depth float64) wear.Observation {
		return wear.Observation{Exposure: []float64{thousandKm}, Value: depth}
	}
	kind, err := wear.Prepare(
		wear.Limit{Value: 1.2, Falling: true},
		wear.Prior{HasStart: true, Start: 2, Life: []float64{100}},
		[]wear.Path{
			{at(0, 2), at(40, 1.68), at(80, 1.37)},
			{at(0, 2), at(50, 1.64), at(100, 1.25)},
		}, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	f, err := kind.Forecast(wear.Path{at(0, 2), at(30, 1.75), at(60, 1.5)})
	if err != nil {
		fmt.Println(err)
		return
	}
	c := f.Crossing()
	fmt.Printf("between %.0f and %.0f, most likely about %.0f thousand km\n", c.Earliest, c.Latest, c.Expected)
	fmt.Printf("past it by 100: %.0f %%\n", 100*f.PastBy(100))

	s, err := f.Compare(70, 1.25)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f times the wear expected: %v\n", s.Factor, s.Contradicts)
	// Output:
	// between 92 and 103, most likely about 96 thousand km
	// past it by 100: 79 %
	// 3 times the wear expected: true
}
