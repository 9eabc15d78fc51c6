package reckon

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"undertray.example/undertray/internal/message"
)

// Share returns the interval of a share of which k of n came true, at a level such as
// 0.95: Clopper and Pearson 1934, "exact", for equal chances and no less wide than it
// need be. It is 0 to 1 where n is 0.
func Share(k, n int, level float64) (low, high float64) {
	low, high = 0, 1
	tail := (1 - level) / 2
	if k > 0 {
		low = mathext.InvRegIncBeta(float64(k), float64(n-k+1), tail)
	}
	if k < n {
		high = mathext.InvRegIncBeta(float64(k+1), float64(n-k), 1-tail)
	}
	return low, high
}

// Counts returns how likely each number of events is, from none to all, where the
// events have these chances and do not hang on each other (the Poisson binomial
// distribution, summed up exactly).
func Counts(chances []float64) []float64 {
	out := make([]float64, 1, len(chances)+1)
	out[0] = 1
	for _, p := range chances {
		out = append(out, 0)
		for k := len(out) - 1; k > 0; k-- {
			out[k] = out[k]*(1-p) + out[k-1]*p
		}
		out[0] *= 1 - p
	}
	return out
}

// middle returns the least and the greatest count of the middle of a distribution:
// what lies beyond on either side is no likelier than half of what the level leaves.
func middle(counts []float64, level float64) (low, high int) {
	tail := (1 - level) / 2
	for sum := counts[0]; sum <= tail && low < len(counts)-1; sum += counts[low] {
		low++
	}
	high = len(counts) - 1
	for sum := counts[high]; sum <= tail && high > 0; sum += counts[high] {
		high--
	}
	return low, high
}

// within is how likely a count from low to high is.
func within(counts []float64, low, high int) float64 {
	sum := 0.0
	for k := low; k <= high; k++ {
		sum += counts[k]
	}
	return sum
}

// Told is what a comparison comes to.
type Told = message.Text

// What comparisons come to.
const (
	AsSaid Told = "as said"
	More   Told = "more than said"
	Fewer  Told = "fewer than said"
	TooFew Told = "too few to tell"
)

// tell compares what came true with the chances that were said: outside the middle of
// what they give, at the level, it is more or fewer; inside it is as said where chances
// twice as great would more likely than not have shown.
func tell(chances []float64, came int, level float64) (low, high int, told Told) {
	low, high = middle(Counts(chances), level)
	twice := make([]float64, len(chances))
	for i, p := range chances {
		twice[i] = math.Min(1, 2*p)
	}
	switch {
	case came > high:
		told = More
	case came < low:
		told = Fewer
	case within(Counts(twice), low, high) > 0.5:
		told = TooFew
	default:
		told = AsSaid
	}
	return low, high, told
}

// Bin is some chances that were said, and what came true of them.
type Bin struct {
	From, To float64 // chances said, To not among them
	About    float64 // what they are called; 0 for below and above all others
	Said     int     // how many
	Mean     float64
	Expected float64 // how many were to come true
	Low      int     // the middle of what these chances give
	High     int
	Came     int
	// ShareLow and ShareHigh bound the share that comes true in the long run, by what
	// came true alone.
	ShareLow, ShareHigh float64
	Told                Told
}

// edges part what is said: less than 1 in 500, about 1 in 200, 1 in 50, 1 in 20,
// 1 in 5, and more.
var (
	edges = []float64{0, 1.0 / 500, 1.0 / 100, 1.0 / 32, 1.0 / 10, 0.3, math.Inf(1)}
	about = []float64{0, 1.0 / 200, 1.0 / 50, 1.0 / 20, 1.0 / 5, 0}
)

const (
	allLevel = 0.95
	binLevel = 0.99 // of six at once
)

func binOf(trials []Trial, from, to, level float64) Bin {
	b := Bin{From: from, To: to}
	var chances []float64
	for i := range trials {
		t := &trials[i]
		if t.Chance < from || t.Chance >= to {
			continue
		}
		chances = append(chances, t.Chance)
		b.Expected += t.Chance
		if t.Failed {
			b.Came++
		}
	}
	b.Said = len(chances)
	b.Low, b.High, b.Told = tell(chances, b.Came, level)
	b.ShareLow, b.ShareHigh = Share(b.Came, b.Said, allLevel)
	if b.Said > 0 {
		b.Mean = b.Expected / float64(b.Said)
	}
	return b
}

// scores are the mean of the squared difference between chance and outcome (Brier
// 1950) and of what an outcome surprises, in units of e (the logarithmic score).
func scores(trials []Trial) (brier, log float64) {
	for i := range trials {
		p := trials[i].Chance
		if trials[i].Failed {
			brier, log = brier+(1-p)*(1-p), log-math.Log(math.Max(p, leastChance))
		} else {
			brier, log = brier+p*p, log-math.Log1p(-math.Min(p, 1-leastChance))
		}
	}
	n := math.Max(1, float64(len(trials)))
	return brier / n, log / n
}

// leastChance is what a chance of 0 counts as where it came true all the same.
const leastChance = 1e-6
