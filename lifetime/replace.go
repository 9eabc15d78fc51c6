package lifetime

import (
	"math"
)

// Why says why there is no age at which replacing pays, or that there is one.
type Why int

// The reasons.
const (
	Worthwhile    Why = iota // there is a best age
	NotDearer                // a failure costs no more than a planned replacement
	NotWearingOut            // the failure rate does not rise enough: a new part is no better than the old one
	SavingTooLow             // there is a best age in theory, but it saves less than a millionth
)

// String puts the reason in words.
func (w Why) String() string {
	switch w {
	case Worthwhile:
		return "there is a best age"
	case NotDearer:
		return "a failure costs no more than a planned replacement"
	case NotWearingOut:
		return "parts of this kind do not wear out: a new one is no better than one that has lasted so far"
	case SavingTooLow:
		return "the best age is so late that it saves nothing worth having"
	}
	return "unknown reason"
}

// Replacement is the best age at which to replace a part that has not failed.
type Replacement struct {
	Age          float64 // 0 where Why is not Worthwhile
	Cost         float64 // per unit of age, replacing at Age (or running to failure where that is best)
	RunToFailure float64 // cost per unit of age when nothing is replaced before it fails
	Survival     float64 // chance that a part reaches Age
	Why          Why
}

// leastSaving is the share of the cost below which an optimum is of no use.
const leastSaving = 1e-6

func checkCosts(planned, failure, age float64) error {
	return firstError(positive("planned", planned), positive("failure", failure), positive("age", age))
}

// costRate is the long-run cost per unit of age of replacing at an age, or at failure if that comes
// first: (planned·R(T) + failure·F(T)) / ∫ of R from 0 to T (Barlow and Hunter 1960).
func costRate(life Law, planned, failure, age float64) float64 {
	r := life.Survival(age)
	return (planned*r + failure*(1-r)) / life.MeanUpTo(age)
}

// AgeReplacement finds the age at which replacing costs least in the long run, given the cost of a
// planned replacement and that of a failure with all that follows from it (age replacement: Barlow
// and Hunter 1960; Barlow and Proschan 1965, chapter 4, from memory). With a failure rate that
// rises without bound there is exactly one such age; where the rate does not rise there is none,
// and the answer says so.
func AgeReplacement(life Law, planned, failure float64) (Replacement, error) {
	if err := checkCosts(planned, failure, 1); err != nil {
		return Replacement{}, err
	}
	mean := life.Mean()
	if err := positive("mean life", mean); err != nil {
		return Replacement{}, err
	}
	never := Replacement{Cost: failure / mean, RunToFailure: failure / mean}
	if failure <= planned {
		never.Why = NotDearer
		return never, nil
	}
	rate := func(t float64) float64 { return costRate(life, planned, failure, t) }
	low, high := agesWorthTrying(life, mean)
	left, right, last := valley(roughRate(life, planned, failure), low, high, 120)
	if last {
		never.Why = notWorthIt(life, mean)
		return never, nil
	}
	age := polish(life, planned, failure, left, right)
	r := Replacement{Age: age, Cost: rate(age), RunToFailure: never.Cost, Survival: life.Survival(age)}
	if !(r.Cost < never.Cost*(1-leastSaving)) {
		never.Why = notWorthIt(life, mean)
		return never, nil
	}
	return r, nil
}

// roughRate is the cost rate at ages asked in ascending order, its integral added up by Simpson's
// rule from one to the next: good enough to say between which of them the lowest lies.
func roughRate(life Law, planned, failure float64) func(float64) float64 {
	last, before, sum := 0.0, 1.0, 0.0
	return func(t float64) float64 {
		r := life.Survival(t)
		sum += (t - last) / 6 * (before + 4*life.Survival((t+last)/2) + r)
		last, before = t, r
		return (planned*r + failure*(1-r)) / sum
	}
}

// agesWorthTrying runs from where next to nothing has failed to where next to everything has.
func agesWorthTrying(life Law, mean float64) (low, high float64) {
	low, high = mean*1e-5, mean
	for range 60 {
		if life.Survival(high) < 1e-9 {
			break
		}
		high *= 1.5
	}
	return low, high
}

func notWorthIt(life Law, mean float64) Why {
	if life.Hazard(2*mean) > life.Hazard(mean/2)*(1+1e-9) {
		return SavingTooLow
	}
	return NotWearingOut
}

// polish solves h(T)·∫R - F(T) = planned/(failure-planned), which holds at the optimum, between two
// ages around it. Where the hazard jumps and there is no solution it takes the lowest cost.
func polish(life Law, planned, failure, left, right float64) float64 {
	target := planned / (failure - planned)
	excess := func(t float64) float64 {
		h := life.Hazard(t)
		if math.IsInf(h, 1) {
			return math.MaxFloat64
		}
		return h*life.MeanUpTo(t) - (1 - life.Survival(t)) - target
	}
	if excess(left) < 0 && excess(right) > 0 {
		t := root(excess, left, right)
		if math.Abs(excess(t)) < 1e-6*(1+target) {
			return t
		}
	}
	return lowest(func(t float64) float64 { return costRate(life, planned, failure, t) }, left, right)
}
