package lifetime_test

import (
	"math"
	"testing"

	"undertray.example/undertray/lifetime"
)

func weibull(t testing.TB, beta, eta float64) lifetime.Life {
	t.Helper()
	l, err := lifetime.NewWeibull(beta, eta)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Checks A1, A2, A5, A6 and A8: the table of section 5, computed with scipy. Row 1 is the example
// of a reliability handbook (inputs and formula seen), row 2 has the inputs of a newsletter of
// 2009 (seen), row 3 those of a lecture (shape and scale seen).
func TestAgeReplacementTable(t *testing.T) {
	rows := []struct{ beta, eta, cp, cf, age, cost, never, survival float64 }{
		{2.5, 1000, 1, 5, 493.0469576, 0.003462042739, 0.005635302490, 0.843079},
		{3, 150, 2, 8, 83.1229825, 0.0368502945, 0.0597251478, 0.843},
		{3, 10, 1, 2, 8.1034203, 0.1969962604, 0.2239693043, 0.587362},
		{3, 10, 1, 3, 6.3654786, 0.2431159071, 0.3359539565, 0.772653},
		{3, 10, 1, 6, 4.6609614, 0.3258684229, 0.6719079130, 0.903700},
		{2, 100, 1, 10, 33.6451191, 0.06056121443, 0.1128379167, 0.892973},
		{1.5, 60, 150, 900, 34.4258003, 14.20259391, 16.61598251, 0.647517},
		{3.5, 120, 80, 100, 143.9915627, 0.9200391143, 0.9261861055, 0.150688},
		{2.1, 90, 40, 600, 24.5996226, 3.13703483, 7.527057395, 0.936486},
	}
	for _, r := range rows {
		life := weibull(t, r.beta, r.eta)
		got, err := lifetime.AgeReplacement(life, r.cp, r.cf)
		if err != nil || got.Why != lifetime.Worthwhile {
			t.Fatalf("%v: %+v, %v", r, got, err)
		}
		near(t, "T*", got.Age, r.age, 1e-8)
		near(t, "C*", got.Cost, r.cost, 1e-8)
		near(t, "C(never)", got.RunToFailure, r.never, 1e-8)
		within(t, "R(T*)", got.Survival, r.survival, 1e-3)
		near(t, "C* = (cf-cp) h(T*)", got.Cost, (r.cf-r.cp)*life.Hazard(got.Age), 1e-9)
		if got.Cost >= got.RunToFailure {
			t.Errorf("%v: no better than never", r)
		}
	}
}

// Checks A7 and A8: no finite optimum, or none of any use.
func TestNoUsefulAge(t *testing.T) {
	cases := []struct {
		beta, eta, cp, cf float64
		why               lifetime.Why
	}{
		{1.2, 100, 1, 2, lifetime.SavingTooLow},
		{1, 100, 1, 50, lifetime.NotWearingOut},
		{0.7, 100, 1, 50, lifetime.NotWearingOut},
		{3, 100, 5, 5, lifetime.NotDearer},
		{3, 100, 5, 4, lifetime.NotDearer},
	}
	for _, c := range cases {
		life := weibull(t, c.beta, c.eta)
		got, err := lifetime.AgeReplacement(life, c.cp, c.cf)
		if err != nil || got.Why != c.why || got.Age != 0 || got.Why.String() == "" {
			t.Errorf("%v: %+v, %v", c, got, err)
		}
		near(t, "cost", got.Cost, c.cf/life.Mean(), 1e-12)
	}
	near(t, "C(never) of the flat row", must(lifetime.AgeReplacement(weibull(t, 1.2, 100), 1, 2)).Cost,
		0.02126176096, 1e-9)
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// uniform is a life that ends at any age up to its own with equal chance.
type uniform float64

func (u uniform) Survival(t float64) float64 { return 1 - min(t/float64(u), 1) }
func (u uniform) Hazard(t float64) float64   { return 1 / max(float64(u)-t, 0) }
func (u uniform) MeanUpTo(t float64) float64 {
	t = min(t, float64(u))
	return t - t*t/(2*float64(u))
}
func (u uniform) Mean() float64 { return float64(u) / 2 }

// Check A3: Jardine and Tsang, Maintenance, Replacement, and Reliability, chapter 2, problem 2
// (solution seen, printed to four decimals); the optimum 40000(sqrt 3 - 1) in closed form.
func TestUniformLife(t *testing.T) {
	life := uniform(40_000)
	got := must(lifetime.AgeReplacement(life, 100, 200))
	near(t, "T*", got.Age, 40_000*(math.Sqrt(3)-1), 1e-9)
	near(t, "C*", got.Cost, 0.0093301270, 1e-8)
}

// withMean is a Weibull delay of given shape and mean.
func withMean(t testing.TB, shape, mean float64) lifetime.Life {
	return weibull(t, shape, mean/math.Gamma(1+1/shape))
}

// Checks A11 and A12: the delay-time table of section 5; the exponential has a closed form.
func TestDelayTime(t *testing.T) {
	exponential := must(lifetime.NewExponential(3))
	rows := []struct {
		delay        lifetime.Life
		t, detect, b float64
	}{
		{exponential, 0.5, 1, .07889035}, {exponential, 1, 1, .14959393}, {exponential, 2, 1, .27012568},
		{exponential, 3, 1, .36787944}, {exponential, 6, 1, .56766764}, {exponential, 12, 1, .75457891},
		{withMean(t, 2, 3), 1, 1, .02834284}, {withMean(t, 2, 3), 2, 1, .10511827},
		{withMean(t, 2, 3), 3, 1, .21009141},
		{withMean(t, 3, 6), 3, 1, .02169793}, {withMean(t, 3, 6), 6, 1, .14708068},
		{withMean(t, 3, 6), 12, 1, .50017820},
		{exponential, 2, 0.8, .34928266}, {withMean(t, 2, 3), 2, 0.8, .20593350},
		{withMean(t, 3, 6), 3, 0.7, .14524777}, {withMean(t, 3, 6), 6, 0.9, .21916422},
	}
	for _, r := range rows {
		in := lifetime.Inspection{Delay: r.delay, Detection: r.detect}
		within(t, "b", must(in.Missed(r.t)), r.b, 1e-8)
	}
	same := lifetime.Inspection{Delay: weibull(t, 1, 3)}
	within(t, "shape 1 is exponential", must(same.Missed(2)),
		must(lifetime.Inspection{Delay: exponential}.Missed(2)), 1e-12)
}

// The two optima given with the delay-time table (own numbers, computed with scipy).
func TestInspectionIntervals(t *testing.T) {
	in := lifetime.Inspection{Delay: must(lifetime.NewExponential(3))}
	plan := must(in.ByCost(lifetime.InspectionCosts{Defects: 0.1, Look: 20, Repair: 60, Failure: 500}))
	near(t, "T*", plan.Interval, 2.06288, 1e-5)
	near(t, "cost", plan.Rate, 27.878190, 1e-7)
	near(t, "without", plan.Without, 50, 1e-12)
	down := must(in.ByDowntime(0.5, 4, 0.5))
	near(t, "T*", down.Interval, 0.927625, 1e-5)
	near(t, "downtime", down.Rate, 0.53194431, 1e-7)
	dear := must(in.ByCost(lifetime.InspectionCosts{Defects: 0.1, Look: 5000, Repair: 60, Failure: 500}))
	if dear.Pays || dear.Interval != 0 {
		t.Errorf("looking too dear: %+v", dear)
	}
	if _, err := in.Missed(-1); err == nil {
		t.Error("a negative interval was taken")
	}
	if _, err := (lifetime.Inspection{}).Missed(1); err == nil {
		t.Error("no delay was taken")
	}
}

// A predictive life is a law too: its best age lies near that of the life it is certain of.
func TestReplacementUnderDoubt(t *testing.T) {
	sure := lifetime.Prior{Shape: 2.5, ShapeLogSD: 0.001, Age: 1000, AgeLogSD: 0.001}
	post := update(t, sure, nil, lifetime.GridOptions{Nodes: 13})
	got := must(lifetime.AgeReplacement(post, 1, 5))
	near(t, "T*", got.Age, 493.0469576, 1e-4)
	doubtful := lifetime.Prior{Shape: 2.5, ShapeLogSD: 0.4, Age: 1000, AgeLogSD: 0.4}
	wide := must(lifetime.AgeReplacement(update(t, doubtful, nil, lifetime.GridOptions{Nodes: 13}), 1, 5))
	if wide.Why != lifetime.Worthwhile || !(wide.Cost > got.Cost) {
		t.Errorf("doubt costs nothing: %+v against %+v", wide, got)
	}
}
