package listen

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
)

// crankTrial is one simulated engine heard without a meter.
type crankTrial struct {
	cylinders       int
	wandering, hiss float64
	truth           float64 // Hz
	got             CrankSpeed
}

func (c crankTrial) off() float64 { return c.got.Hz/c.truth - 1 }

func (c crankTrial) right() bool { return math.Abs(c.off()) < 0.01 }

// within reports whether the truth lies within so many of the standard deviations stated.
func (c crankTrial) within(sds float64) bool {
	return math.Abs(c.got.Hz-c.truth) <= sds*c.got.SD
}

// hearCranks makes engines of 3, 4 and 6 cylinders at 700 to 3000 rpm, every second one with a bearing flaw 6 dB
// below all the rest, at one, two and four times the noise of simulate_test.go and at one and three times its
// wander, and listens to them without a meter.
func hearCranks(t testing.TB, seeds int, key uint64) []crankTrial {
	t.Helper()
	cylinders, hiss, wander := []int{3, 4, 6}, []float64{1, 2, 4}, []float64{1, 3}
	out := make([]crankTrial, len(cylinders)*len(hiss)*len(wander)*seeds)
	parallel(len(out), func(i int) {
		j := i / seeds
		s := simulation{rate: 24000, seconds: 10, snr: -6, faulty: -1, fastest: 3000,
			rng:       rand.New(rand.NewPCG(uint64(i), key)),
			cylinders: cylinders[j%3], hiss: hiss[j/3%3], wandering: wander[j/9]}
		if i%2 == 0 {
			s.faulty, s.element = i/2%5, OuterRing
		}
		rec, d := s.run()
		d.Engine.Speed = Speed{}
		got, err := FindCrank(rec, d.Engine, d.Pulleys)
		if err != nil {
			t.Error(err)
		}
		out[i] = crankTrial{s.cylinders, s.wandering, s.hiss, s.truth, got}
	})
	return out
}

// TestCrankOfOddRecordings: noise alone, low rates, short pieces and unusual engines give an answer without support
// or an error, never a panic.
func TestCrankOfOddRecordings(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for _, rate := range []float64{2000, 16000} {
		x := make([]float64, int(4.3*rate))
		for i := range x {
			x[i] = 0.1 * rng.NormFloat64()
		}
		r := Recording{Rate: rate, Channels: [][]float64{x}}
		for _, e := range []Engine{{Cylinders: 1}, {Cylinders: 2, TwoStroke: true}, {Cylinders: 16},
			{Cylinders: 4, Speed: Speed{15, 0.03}}} {
			got, err := FindCrank(r, e, nil)
			if err != nil {
				t.Errorf("%g Hz, %+v: %v", rate, e, err)
			}
			if got.Supported || math.IsNaN(got.Hz) || math.IsNaN(got.Score) {
				t.Errorf("%g Hz, %+v: %+v", rate, e, got)
			}
			k, err := Rank(r, Drive{Engine: e, Pulleys: benchDrive(15).Pulleys})
			if err != nil || k.Outcome == Named {
				t.Errorf("%g Hz, %+v: %s %v", rate, e, k.Outcome, err)
			}
		}
	}
}

// TestMeterMisread: a meter wrong by a third or a half is not believed, a right one is.
func TestMeterMisread(t *testing.T) {
	if testing.Short() {
		t.Skip("simulation is slow")
	}
	factors := []float64{1, 4. / 3, 2. / 3, 1.5, 0.75, 0.5}
	believed := make([]int, len(factors))
	const trials = 8
	for i := range trials {
		s := simulation{rate: 24000, seconds: 10, snr: -9, faulty: i % 5, element: OuterRing,
			cylinders: []int{4, 6, 4, 3}[i%4], rng: rand.New(rand.NewPCG(uint64(i), 517))}
		rec, d := s.run()
		for j, f := range factors {
			e := d.Engine
			e.Speed.Hz *= f
			got, err := FindCrank(rec, e, d.Pulleys)
			if err != nil {
				t.Fatal(err)
			}
			if got.Supported {
				believed[j]++
			}
		}
	}
	t.Logf("meter times %.2f believed %v of %d", factors, believed, trials)
	if believed[0] < trials-2 {
		t.Errorf("a right meter is believed in %d of %d", believed[0], trials)
	}
	for j, n := range believed[1:] {
		if n > 1 {
			t.Errorf("a meter %.2f times too fast is believed in %d of %d", factors[j+1], n, trials)
		}
	}
}

// crankCount is what came of some trials.
type crankCount struct {
	n, right, claimed, wrong, one, two, three int
	sq                                        float64
}

func countCranks(all []crankTrial, is func(crankTrial) bool) crankCount {
	var out crankCount
	for _, c := range all {
		if !is(c) {
			continue
		}
		out.n++
		if c.right() {
			out.right++
		}
		if !c.got.Supported {
			continue
		}
		out.claimed++
		if !c.right() {
			out.wrong++
			continue
		}
		out.sq += c.off() * c.off()
		for i, n := range []*int{&out.one, &out.two, &out.three} {
			if c.within(float64(i + 1)) {
				*n++
			}
		}
	}
	return out
}

func (c crankCount) String() string {
	m := float64(max(c.claimed, 1))
	return fmt.Sprintf("%d | %d %% | %d %% | %d | %.3f %% | %.0f %% | %.0f %% | %.0f %%", c.n, 100*c.right/c.n,
		100*c.claimed/c.n, c.wrong,
		100*math.Sqrt(c.sq/max(m-float64(c.wrong), 1)), 100*float64(c.one)/m, 100*float64(c.two)/m,
		100*float64(c.three)/m)
}

// TestCrankWithoutMeter holds the speed without a meter to what docs/listening.md says of it, on fewer trials.
func TestCrankWithoutMeter(t *testing.T) {
	if testing.Short() {
		t.Skip("simulation is slow")
	}
	all := hearCranks(t, 1, 90)
	c := countCranks(all, func(crankTrial) bool { return true })
	t.Logf("right first, claimed, wrongly, error, within one, two and three deviations: %s", c)
	if c.right < 11 || c.claimed < 6 || c.wrong > 1 || c.two < c.claimed-2 {
		t.Errorf("of %d: %d right, %d claimed, %d of them wrong, %d within two deviations", c.n, c.right,
			c.claimed, c.wrong, c.two)
	}
}

// TestCrankTable prints the table of docs/listening.md: UNDERTRAY_LONG=1 go test ./listen -run CrankTable -v
func TestCrankTable(t *testing.T) {
	if os.Getenv("UNDERTRAY_LONG") == "" {
		t.Skip("long; set UNDERTRAY_LONG")
	}
	all := hearCranks(t, 12, 78)
	row := func(name string, is func(crankTrial) bool) {
		t.Logf("| %s | %s |", name, countCranks(all, is))
	}
	for _, c := range []int{3, 4, 6} {
		row(fmt.Sprintf("%d cylinders", c), func(q crankTrial) bool { return q.cylinders == c })
	}
	for _, h := range []float64{1, 2, 4} {
		row(fmt.Sprintf("noise %.0f times the engine", h), func(q crankTrial) bool { return q.hiss == h })
	}
	for _, w := range []float64{1, 3} {
		row(fmt.Sprintf("wander %.1f %%", 0.3*w), func(q crankTrial) bool { return q.wandering == w })
	}
	row("all", func(crankTrial) bool { return true })
	if c := countCranks(all, func(crankTrial) bool {
		return true
	}); 20*c.wrong > c.claimed || 100*c.two < 85*c.claimed {
		t.Errorf("%d of %d claims wrong, %d within two deviations", c.wrong, c.claimed, c.two)
	}
}
