package usage_test

import (
	"fmt"

	"undertray.example/undertray/usage"
)

// The reserve's van: read at each oil change, days counted from the first reading.
func Example() {
	readings := []usage.Reading{
		{Day: 0, Distance: 61200},
		{Day: 190, Distance: 66900},
		{Day: 371, Distance: 72100},
		{Day: 560, Distance: 78000},
	}
	model, err := usage.Fit(readings, usage.Options{YearlyDistance: 12000})
	if err != nil {
		fmt.Println(err)
		return
	}
	summer, err := model.At(560 + 180)
	if err != nil {
		fmt.Println(err)
		return
	}
	belt, err := model.When(90000)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("in 180 days %.0f km (%.0f to %.0f)\n", summer.Expected, summer.Low, summer.High)
	fmt.Printf("90000 km in %.0f days (%.0f to %.0f)\n", belt.Expected-560, belt.Earliest-560, belt.Latest-560)
	fmt.Printf("rests on %d readings over %.0f days\n", model.Basis().Readings, model.Basis().SpanDays)
	// Output:
	// in 180 days 83421 km (82049 to 85257)
	// 90000 km in 398 days (308 to 509)
	// rests on 4 readings over 560 days
}
