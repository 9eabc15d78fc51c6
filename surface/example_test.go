package surface_test

import (
	"fmt"
	"math"

	"undertray.example/undertray/surface"
)

// A dark line of 3 by 60 pixels on an even ground.
func ExampleCracks() {
	p := surface.Picture{Width: 100, Height: 50, Light: make([]float64, 100*50)}
	for i := range p.Light {
		x, y := i%100, i/100
		if p.Light[i] = 0.6; x >= 20 && x < 80 && math.Abs(float64(y)-25) < 2 {
			p.Light[i] = 0.3
		}
	}
	marks, err := surface.Cracks(p, surface.Usual())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range marks {
		fmt.Printf("%.0f px long, %.1f px wide, %.0f %% darker\n", m.Length, m.Width, 100*m.Contrast)
	}
	// Output:
	// 60 px long, 3.0 px wide, 50 % darker
}
