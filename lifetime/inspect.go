package lifetime

import "math"

// Inspection describes parts that show a defect some time before they fail and are looked at at
// regular intervals: the delay-time model of Christer and Waller (1984). Defects come at any
// moment alike; the delay from the first sign to failure is a [Law].
type Inspection struct {
	Delay Law

	// Detection is the chance that a look finds a defect that is there; 0 counts as 1.
	Detection float64
}

func (in Inspection) check(interval float64) error {
	if in.Delay == nil {
		return parameter("Delay", 0, "a life from the first sign to failure")
	}
	if !(in.Detection >= 0 && in.Detection <= 1) {
		return parameter("Detection", in.Detection, "a chance between 0 and 1, or 0 for certain")
	}
	return positive("interval", interval)
}

// Missed is the share b of defects that end in a failure before a look finds them, when the looks
// are an interval apart: 1 - ∫ of R over the interval, divided by it; with imperfect looks
// 1 - Σ r(1-r)^(n-1) times the mean of R over the n-th interval after the defect.
func (in Inspection) Missed(interval float64) (float64, error) {
	if err := in.check(interval); err != nil {
		return 0, err
	}
	return in.missed(interval), nil
}

func (in Inspection) missed(interval float64) float64 {
	r := in.Detection
	if r == 0 || r == 1 {
		return math.Max(0, 1-in.Delay.MeanUpTo(interval)/interval)
	}
	found, chance, before := 0.0, r, 0.0
	for n := 1; n <= 100_000; n++ {
		upTo := in.Delay.MeanUpTo(float64(n) * interval)
		found += chance * (upTo - before) / interval
		chance *= 1 - r
		if chance < 1e-16 || upTo-before < 1e-16*upTo {
			break
		}
		before = upTo
	}
	return math.Max(0, 1-found)
}

// InspectionCosts are what a look, a repair found in time and a failure cost, and how many defects come
// per unit of time.
type InspectionCosts struct {
	Defects float64 // per unit of time, in which the delay is given too
	Look    float64
	Repair  float64
	Failure float64
}

// InspectionPlan is the best interval between looks.
type InspectionPlan struct {
	Interval float64 // 0 where looking does not pay
	Rate     float64 // cost, or share of time lost, per unit of time at that interval (or without looking)
	Without  float64 // the same without any looking
	Missed   float64 // share of defects that still end in a failure
	Pays     bool
}

// ByCost finds the interval with the least cost per unit of time:
// (look + defects·T·(failure·b + repair·(1-b)))/T.
func (in Inspection) ByCost(c InspectionCosts) (InspectionPlan, error) {
	if err := firstError(in.check(1), positive("Defects", c.Defects), positive("Look", c.Look),
		notNegative("Repair", c.Repair), positive("Failure", c.Failure)); err != nil {
		return InspectionPlan{}, err
	}
	rate := func(t float64) float64 {
		b := in.missed(t)
		return c.Look/t + c.Defects*(c.Failure*b+c.Repair*(1-b))
	}
	return in.plan(rate, c.Defects*c.Failure), nil
}

// ByDowntime finds the interval with the least share of time lost: (defects·T·b·failure +
// look)/(T + look), with the time lost by a failure and by a look (Christer and Waller 1984).
func (in Inspection) ByDowntime(defects, failure, look float64) (InspectionPlan, error) {
	if err := firstError(in.check(1), positive("defects", defects), positive("failure", failure),
		positive("look", look)); err != nil {
		return InspectionPlan{}, err
	}
	rate := func(t float64) float64 {
		return (defects*t*in.missed(t)*failure + look) / (t + look)
	}
	return in.plan(rate, defects*failure), nil
}

func (in Inspection) plan(rate func(float64) float64, without float64) InspectionPlan {
	mean := in.Delay.Mean()
	left, right, last := valley(rate, mean*1e-3, mean*1e3, 200)
	t := lowest(rate, left, right)
	if last || rate(t) >= without*(1-leastSaving) {
		return InspectionPlan{Rate: without, Without: without, Missed: 1}
	}
	return InspectionPlan{Interval: t, Rate: rate(t), Without: without, Missed: in.missed(t), Pays: true}
}
