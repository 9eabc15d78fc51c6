package survey_test

import (
	"fmt"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/survey"
)

// Three pulleys measured by tape: how long the belt is, how sure, and what to measure next.
func ExampleTape() {
	run := drive.Run{Belt: drive.Belt{Section: drive.PK(), Ribs: 6}, Pulleys: []drive.Pulley{
		{Name: "crank", Driver: true, Measured: drive.Outside},
		{Name: "pump", Centre: drive.Point{X: 4}, Measured: drive.Outside}, // a sketch, in squares of the paper
		{Name: "alternator", Centre: drive.Point{X: 1, Y: 3}, Measured: drive.Outside},
	}}
	r, err := survey.Tape(run, []survey.Measure{
		{Kind: survey.Diameter, A: "crank", MM: 160},
		{Kind: survey.Diameter, A: "pump", MM: 130},
		{Kind: survey.Diameter, A: "alternator", MM: 60},
		{Kind: survey.Centres, A: "crank", B: "pump", MM: 400},
		{Kind: survey.Centres, A: "crank", B: "alternator", MM: 300},
		{Kind: survey.Over, A: "pump", B: "alternator", MM: 595},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	lo, hi := r.BandMM(0.9)
	fmt.Printf("%.0f mm, with a chance of 90 %% between %.0f and %.0f mm\n", r.LengthMM, lo, hi)
	next, _ := r.Halving()
	fmt.Printf("next: %s %s to %s, %.1f mm left of %.1f mm\n", next.Kind, next.A, next.B, next.LengthSDMM, r.LengthSDMM)
	// Output:
	// 1563 mm, with a chance of 90 % between 1558 and 1568 mm
	// next: over crank to pump, 2.5 mm left of 3.2 mm
}
