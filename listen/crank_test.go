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

// hearCranks makes engines of 3, 4 and 6 cylinders at 700 to 3000 rpm, every second one with a bearing flaw 6 dB below all the rest, at
// one, two and four times the noise of simulate_test.go and at one and three times its wander, and listens to them without a meter.
func hearCranks(t testing.TB, seeds int, key uint64) []crankTrial {
	t.Helper()
	cylinders, hiss, wander := []int{3, 4, 6}, []float64{1, 2, 4}, []float64{1, 3}
	out := make([]crankTrial, len(cylinders)*len(hiss)*len(wander)*seeds)
	parallel(len(out), func(i int) {
		j := i / seeds
		s := simulation{rate: 24000, seconds: 10, snr: -6, faulty: -1, fastest: 3000, rng: rand.New(rand.NewPCG(uint64(i), key)),
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

func TestCrankTable(t *testing.T) {
	if os.Getenv("UNDERTRAY_LONG") == "" {
		t.Skip("long; set UNDERTRAY_LONG")
	}
	all := hearCranks(t, 8, 31)
	row := func(name string, is func(crankTrial) bool) {
		n, right, claimed, wrong, one, two, three := 0, 0, 0, 0, 0, 0, 0
		sq := 0.0
		for _, c := range all {
			if !is(c) {
				continue
			}
			n++
			if c.got.Supported {
				claimed++
				if !c.right() {
					wrong++
				}
			}
			if !c.right() {
				continue
			}
			right++
			sq += c.off() * c.off()
			if c.within(1) {
				one++
			}
			if c.within(2) {
				two++
			}
			if c.within(3) {
				three++
			}
		}
		r := float64(max(right, 1))
		t.Logf("| %s | %d | %d %% | %d %% | %d | %.3f %% | %.0f %% | %.0f %% | %.0f %% |", name, n, 100*right/n, 100*claimed/n, wrong, 100*math.Sqrt(sq/r), 100*float64(one)/r, 100*float64(two)/r, 100*float64(three)/r)
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
	if os.Getenv("CRANKS") != "" {
		for _, q := range all {
			if q.right() != q.got.Supported || !q.within(3) {
				t.Logf("%d cyl hiss %.0f wander %.0f: true %.1f rpm got %.1f (x%.4f) sd %.4f%% score %.1f rival %.1f x%.3f lit %d sup %v drift %.4f", q.cylinders, q.hiss, q.wandering, 60*q.truth, 60*q.got.Hz, q.got.Hz/q.truth, 100*q.got.SD/q.got.Hz, q.got.Score, q.got.Rival, q.got.RivalHz/q.got.Hz, q.got.Lit, q.got.Supported, q.got.Track.Drift())
			}
		}
	}
}
