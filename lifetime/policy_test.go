package lifetime_test

import (
	"math"
	"testing"

	"undertray/lifetime"
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
	near(t, "C(never) of the flat row", must(lifetime.AgeReplacement(weibull(t, 1.2, 100), 1, 2)).Cost, 0.02126176096, 1e-9)
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// Check A3: Jardine and Tsang, Maintenance, Replacement, and Reliability, chapter 2, problem 2
// (solution seen, printed to four decimals); the optimum 40000(sqrt 3 - 1) in closed form.
func TestUniformLife(t *testing.T) {
	life := must(lifetime.NewUniform(0, 40_000))
	for age, want := range map[float64]float64{10_000: 0.0142857143, 20_000: 0.01, 30_000: 0.0093333333, 40_000: 0.01} {
		near(t, "cost per km", must(lifetime.CostRate(life, 100, 200, age)), want, 1e-8)
	}
	got := must(lifetime.AgeReplacement(life, 100, 200))
	near(t, "T*", got.Age, 40_000*(math.Sqrt(3)-1), 1e-9)
	near(t, "C*", got.Cost, 0.0093301270, 1e-8)
}

// Check A4: the same book, problem 3 (solution seen).
func TestPiecewiseLife(t *testing.T) {
	life := must(lifetime.NewHistogram([]float64{0, 15_000, 20_000}, []float64{15_000.0 / 25_000, 10_000.0 / 25_000}))
	want := [][4]float64{{5000, 0.8, 500, 4500}, {10_000, 0.6, 2000, 8000}, {15_000, 0.4, 4500, 10_500}, {20_000, 0, 11_500, 11_500}}
	for _, w := range want {
		within(t, "R", life.Survival(w[0]), w[1], 1e-12)
		near(t, "∫ x f", life.FailedBefore(w[0]), w[2], 1e-9)
		near(t, "∫ R", life.MeanUpTo(w[0]), w[3], 1e-9)
	}
	near(t, "mean", life.Mean(), 11_500, 1e-12)
	if !math.IsInf(life.Hazard(20_000), 1) || life.Hazard(-1) != 0 {
		t.Error("hazard outside the stretches")
	}
	if _, err := lifetime.NewHistogram([]float64{0, 2, 1}, []float64{1, 1}); err == nil {
		t.Error("descending bounds were taken")
	}
}

// Check A9 and the block policy: Weibull 2.5/1000, computed with the scheme of Xie 1989 on finer
// grids.
func TestRenewals(t *testing.T) {
	life := weibull(t, 2.5, 1000)
	for age, want := range map[float64]float64{250: 0.03085586, 500: 0.16477133, 1000: 0.70250713, 2000: 1.84390756} {
		within(t, "M", must(lifetime.Renewals(life, age)), want, 1e-6)
	}
	flat := must(lifetime.NewExponential(10)) // M(t) = t/mean, in closed form
	within(t, "exponential", must(lifetime.Renewals(flat, 25)), 2.5, 1e-6)

	block := must(lifetime.BlockReplacement(life, 1, 5))
	within(t, "block T*", block.Age, 478.413, 0.01)
	near(t, "block C*", block.Cost, 0.0036435237, 1e-6)
	if age := must(lifetime.AgeReplacement(life, 1, 5)); block.Cost <= age.Cost {
		t.Error("block replacement beats age replacement")
	}
	if none := must(lifetime.BlockReplacement(flat, 1, 5)); none.Why != lifetime.NotWearingOut {
		t.Errorf("exponential: %+v", none)
	}
}

// Check A10: closed form.
func TestMinimalRepair(t *testing.T) {
	got := must(lifetime.MinimalRepair(weibull(t, 2.5, 1000), 1, 5))
	near(t, "T*", got.Age, 446.6583884, 1e-8)
	within(t, "C*", got.Cost, 0.0037314124, 0.5e-10) // half of the last printed digit
	if got := must(lifetime.MinimalRepair(weibull(t, 0.9, 1000), 1, 5)); got.Why != lifetime.NotWearingOut {
		t.Errorf("shape below 1: %+v", got)
	}
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
		{withMean(t, 2, 3), 1, 1, .02834284}, {withMean(t, 2, 3), 2, 1, .10511827}, {withMean(t, 2, 3), 3, 1, .21009141},
		{withMean(t, 3, 6), 3, 1, .02169793}, {withMean(t, 3, 6), 6, 1, .14708068}, {withMean(t, 3, 6), 12, 1, .50017820},
		{exponential, 2, 0.8, .34928266}, {withMean(t, 2, 3), 2, 0.8, .20593350},
		{withMean(t, 3, 6), 3, 0.7, .14524777}, {withMean(t, 3, 6), 6, 0.9, .21916422},
	}
	for _, r := range rows {
		in := lifetime.Inspection{Delay: r.delay, Detection: r.detect}
		within(t, "b", must(in.Missed(r.t)), r.b, 1e-8)
	}
	same := lifetime.Inspection{Delay: weibull(t, 1, 3)}
	within(t, "shape 1 is exponential", must(same.Missed(2)), must(lifetime.Inspection{Delay: exponential}.Missed(2)), 1e-12)
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
