package listen_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"undertray.example/undertray/listen"
)

// A pump's bearing, recorded for ten seconds at 1800 rpm: every ball that passes a flaw on the outer ring rings the
// housing at 3 kHz.
func ExampleDiagnose() {
	bearing := listen.Bearing{Name: "6203", Balls: 8, Ball: 6.746, Pitch: 28.5}
	rates, _ := bearing.Rates()

	const rate, hz = 12000, 30.0
	rng := rand.New(rand.NewPCG(1, 2))
	x := make([]float64, 10*rate)
	last, since := 0.0, 1e9
	for i := range x {
		turns := hz * float64(i) / rate
		if k := math.Floor(turns * rates.Outer); k > last {
			last, since = k, 0
		}
		x[i] = 0.01*rng.NormFloat64() + 0.1*math.Exp(-since/10)*math.Sin(2*math.Pi*3000*since/rate)
		for h := 1.0; h <= 8; h++ { // the shaft itself
			x[i] += 0.01 / h * math.Cos(2*math.Pi*h*turns+h*h)
		}
		since++
	}

	d, err := listen.Diagnose(listen.Recording{Rate: rate, Channels: [][]float64{x}}, listen.RPM(1790, 0.02),
		[]listen.Bearing{bearing})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %s of %v at %.0f rpm\n", d.Outcome, d.Element, d.Bearings, d.Speed.Hz*60)
	fmt.Printf("%d x %s at %.1f Hz\n", d.Lines[0].Times, d.Lines[0].Of, d.Lines[0].Hz)
	// Output:
	// named: outer ring of [6203] at 1800 rpm
	// 1 x outer ring at 91.6 Hz
}

func ExampleBearing_Rates() {
	r, _ := listen.Bearing{Balls: 9, Ball: 0.3126, Pitch: 1.537}.Rates()
	fmt.Printf("outer %.4f, inner %.4f, cage %.4f, twice spin %.4f per turn\n", r.Outer, r.Inner, r.Cage, 2*r.Spin)
	// Output: outer 3.5848, inner 5.4152, cage 0.3983, twice spin 4.7134 per turn
}

func ExampleSpan_Tension() {
	s := listen.Span{Length: 0.25, Mass: 0.105}
	fmt.Printf("%.0f N at 106.9 Hz, %.0f N if that was the octave\n", s.Tension(106.904), s.Tension(106.904/2))
	// Output: 300 N at 106.9 Hz, 75 N if that was the octave
}
