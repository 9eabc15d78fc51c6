package condition_test

import (
	"flag"
	"math"
)

var rewrite = flag.Bool("update", false, "rewrite the condition parts of docs/calibration.md")

// tally gathers forecasts of about one chance.
type tally struct{ n, said, failed, variance float64 }

func (b *tally) add(p float64, failed bool) {
	b.n++
	b.said += p
	b.variance += p * (1 - p)
	if failed {
		b.failed++
	}
}

// off is how many standard errors the share that failed lies from the chance forecast.
func (b *tally) off() float64 { return (b.failed - b.said) / math.Sqrt(b.variance) }
