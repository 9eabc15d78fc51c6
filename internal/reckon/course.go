package reckon

import (
	"math"
	"slices"

	"undertray.example/undertray/draw"
)

// Course is how many parts were to have failed by each day, summed up over the
// forecasts that had ended, with the middle 19 in 20 of what they give (to two standard
// deviations), and how many had failed: x in days since the beginning.
func (r *Reckoning) Course() (said []draw.Band, came []draw.Point) {
	trials := slices.Clone(r.Trials)
	slices.SortStableFunc(trials, func(a, b Trial) int { return a.Until.Compare(b.Until) })
	sum, variance, n := 0.0, 0.0, 0
	at := func(x float64) {
		sd := 2 * math.Sqrt(variance)
		said = append(said, draw.Band{X: x, Mid: sum, Lo: math.Max(0, sum-sd), Hi: sum + sd})
		came = append(came, draw.Point{X: x, Y: float64(n)})
	}
	at(0)
	for i := range trials {
		t := &trials[i]
		sum, variance = sum+t.Chance, variance+t.Chance*(1-t.Chance)
		if t.Failed {
			n++
		}
		if i == len(trials)-1 || trials[i+1].Until != t.Until {
			at(float64(t.Until.Sub(r.From)))
		}
	}
	return said, came
}
