package lifetime

import (
	"math"
	"sort"
)

// Histogram is a life spread evenly within each of several stretches of age: "uniform up to
// 40 000", or shares counted per band of distance. It is a [Law].
type Histogram struct {
	bounds []float64 // ages, ascending, one more than shares
	shares []float64 // sum 1
	below  []float64 // share failed before each bound
	mean   []float64 // MeanUpTo of each bound
}

// NewHistogram takes the bounds of the stretches, ascending from 0 or above, and the share that
// fails in each; shares are scaled to sum to 1.
func NewHistogram(bounds, shares []float64) (*Histogram, error) {
	if len(shares) == 0 || len(bounds) != len(shares)+1 {
		return nil, parameter("bounds", float64(len(bounds)), "one bound more than there are shares, and at least one share")
	}
	if err := notNegative("bounds", bounds[0]); err != nil {
		return nil, err
	}
	total := 0.0
	for i, s := range shares {
		if !finite(bounds[i+1]) || bounds[i+1] <= bounds[i] {
			return nil, parameter("bounds", bounds[i+1], "ascending ages")
		}
		if err := notNegative("shares", s); err != nil {
			return nil, err
		}
		total += s
	}
	if err := positive("sum of shares", total); err != nil {
		return nil, err
	}
	h := &Histogram{bounds: append([]float64(nil), bounds...)}
	h.below, h.mean = []float64{0}, []float64{bounds[0]}
	for i, s := range shares {
		share := s / total
		width := bounds[i+1] - bounds[i]
		h.mean = append(h.mean, h.mean[i]+width*(1-h.below[i]-share/2))
		h.below = append(h.below, h.below[i]+share)
		h.shares = append(h.shares, share)
	}
	return h, nil
}

// NewUniform is a life equally likely to end anywhere from one age to another.
func NewUniform(from, to float64) (*Histogram, error) {
	return NewHistogram([]float64{from, to}, []float64{1})
}

// at returns the stretch that holds t and how far t is into it, 0 to 1.
func (h *Histogram) at(t float64) (stretch int, part float64) {
	i := sort.SearchFloat64s(h.bounds, t) - 1
	if i < 0 {
		return 0, 0
	}
	if i >= len(h.shares) {
		return len(h.shares) - 1, 1
	}
	return i, (t - h.bounds[i]) / (h.bounds[i+1] - h.bounds[i])
}

// Survival is the share still good at age t.
func (h *Histogram) Survival(t float64) float64 {
	i, part := h.at(t)
	return math.Max(0, 1-h.below[i]-part*h.shares[i])
}

// Hazard is the failure rate at age t, per unit of age, given good until then; 0 outside the stretches and +Inf
// where nothing is left.
func (h *Histogram) Hazard(t float64) float64 {
	if t < h.bounds[0] {
		return 0
	}
	if t >= h.bounds[len(h.bounds)-1] {
		return math.Inf(1)
	}
	i, _ := h.at(t)
	return h.shares[i] / (h.bounds[i+1] - h.bounds[i]) / h.Survival(t)
}

// MeanUpTo is ∫ of Survival from 0 to t.
func (h *Histogram) MeanUpTo(t float64) float64 {
	if t <= h.bounds[0] {
		return math.Max(t, 0)
	}
	i, part := h.at(t)
	width := h.bounds[i+1] - h.bounds[i]
	return h.mean[i] + part*width*(1-h.below[i]-part*h.shares[i]/2)
}

// Mean is the mean life.
func (h *Histogram) Mean() float64 { return h.mean[len(h.mean)-1] }

// FailedBefore is the mean age at failure counted only over parts failed by t: ∫ x f(x) dx from 0
// to t.
func (h *Histogram) FailedBefore(t float64) float64 {
	return h.MeanUpTo(t) - t*h.Survival(t)
}
