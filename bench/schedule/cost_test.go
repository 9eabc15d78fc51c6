//go:build unix

package schedulebench

import (
	"context"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/schedule"
)

// processorTime is what this process has used so far, user and system.
func processorTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// budget ends when the process has used so much processor time.
type budget struct {
	context.Context
	until time.Duration
}

func (b budget) Err() error {
	if processorTime() > b.until {
		return context.DeadlineExceeded
	}
	return nil
}

// solveWithin gives the planner so much processor time; it returns what was
// used, and the plan passes the checker.
func solveWithin(t testing.TB, p *schedule.Problem, d time.Duration) (*schedule.Plan, time.Duration) {
	t.Helper()
	start := processorTime()
	plan, err := schedule.Solve(budget{context.Background(), start + d}, p, schedule.Options{})
	used := processorTime() - start
	if err != nil {
		t.Fatal(err)
	}
	if cost, faults := schedule.Verify(p, plan.Doings()); len(faults) > 0 || cost-plan.Cost > 1e-6 ||
		plan.Bound > cost+1e-6 {
		t.Fatalf("cost %v, bound %v, checker %v, faults %v", plan.Cost, plan.Bound, cost, faults)
	}
	return plan, used
}

// dense makes up three vehicles of 60 tasks with short intervals and openings
// that cross.
func dense(seed uint64, hours, money float64) *schedule.Problem {
	p := Random(seed, Size{Vehicles: 3, Tasks: 60, Openings: 15, Periods: 36})
	p.Money = money
	for v := range p.Vehicles {
		p.Vehicles[v].Hours = hours
	}
	return p
}

// BenchmarkHousehold reports, for three vehicles of 60 tasks over 36 months,
// the mean and greatest gap after one second of processor time, and by how
// much the second was overrun at most: plausible vehicles; dense ones with long
// visits, with visits of 26 hours, and with money shared as well. With
// UNDERTRAY_SLOW and cbc it gives cbc so many seconds for each of the first
// two and reports the gap of its plan against our bound.
func BenchmarkHousehold(b *testing.B) {
	for _, c := range []struct {
		name string
		make func(seed uint64) *schedule.Problem
	}{
		{"plausible", func(s uint64) *schedule.Problem { return Household(s, 3, 60, 36) }},
		{"dense", func(s uint64) *schedule.Problem { return dense(s, 0, 0) }},
		{"dense26h", func(s uint64) *schedule.Problem { return dense(s, 26, 0) }},
		{"dense26hMoney", func(s uint64) *schedule.Problem { return dense(s, 26, 9000) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			const seeds = 7
			var sum, worst, theirs, compared float64
			over := time.Duration(0)
			for b.Loop() {
				sum, worst = 0, 0
				for seed := uint64(1); seed <= seeds; seed++ {
					plan, used := solveWithin(b, c.make(seed), time.Second)
					sum, worst, over = sum+plan.Gap(), max(worst, plan.Gap()), max(over, used-time.Second)
					b.Logf("%s %d: cost %.0f, bound %.0f, gap %.2f %%", c.name, seed, plan.Cost,
						plan.Bound, 100*plan.Gap())
				}
			}
			b.ReportMetric(100*sum/seeds, "gap-%")
			b.ReportMetric(100*worst, "worst-%")
			b.ReportMetric(float64(over.Milliseconds()), "over-ms")
			for seed := uint64(1); seed <= 2 && cbcSeconds() > 0; seed++ {
				plan, _ := solveWithin(b, c.make(seed), time.Second)
				if a, err := CBC(b.TempDir(), c.make(seed), cbcSeconds()); err != nil {
					b.Fatal(err)
				} else if a.Found {
					theirs, compared = theirs+(a.Cost-plan.Bound)/a.Cost, compared+1
				}
			}
			if compared > 0 {
				b.ReportMetric(100*theirs/compared, "cbc-gap-%")
			}
		})
	}
}

// BenchmarkAgainstCBC takes the processor time to the proof of the optimum on
// both sides in the same run and reports the ratio. It takes minutes: set
// UNDERTRAY_SLOW to the seconds cbc may take.
func BenchmarkAgainstCBC(b *testing.B) {
	for _, name := range []string{"mid12", "large30"} {
		b.Run(name, func(b *testing.B) {
			seconds := slow(b, 300)
			if CBCPath() == "" {
				b.Skip("no cbc")
			}
			p, err := ReadInstance(filepath.Join(given.Data(b, "data", "reliability", "milp"), name+".json"))
			if err != nil {
				b.Fatal(err)
			}
			var ours time.Duration
			n := 0
			for b.Loop() {
				plan, used := solveWithin(b, p, time.Minute)
				if !plan.Proven {
					b.Fatalf("not proven: %v, %v", plan.Cost, plan.Bound)
				}
				ours += used
				n++
			}
			a, err := CBC(b.TempDir(), p, seconds)
			if err != nil {
				b.Fatal(err)
			}
			b.Logf("%s: ours %v, cbc %v (proven %v)", name, ours/time.Duration(n), a.CPU, a.Proven)
			b.ReportMetric(ours.Seconds()/float64(n), "ours-s")
			b.ReportMetric(a.CPU.Seconds(), "cbc-s")
			b.ReportMetric(a.CPU.Seconds()*float64(n)/ours.Seconds(), "ratio")
		})
	}
}

// BenchmarkHard30 reports cost and bound of the instance no other solver has closed
// after 10 s of processor time, or as many as UNDERTRAY_SLOW says.
func BenchmarkHard30(b *testing.B) {
	p, err := ReadInstance(filepath.Join(given.Data(b, "data", "reliability", "milp"), "hard30.json"))
	if err != nil {
		b.Fatal(err)
	}
	seconds := max(10, cbcSeconds())
	for b.Loop() {
		plan, used := solveWithin(b, p, time.Duration(seconds)*time.Second)
		if plan.Bound > 8895 || plan.Cost < 8585 {
			b.Errorf("cost %v, bound %v against 8585..8895", plan.Cost, plan.Bound)
		}
		b.ReportMetric(plan.Cost, "cost")
		b.ReportMetric(plan.Bound, "bound")
		b.ReportMetric(used.Seconds(), "cpu-s")
	}
}

// BenchmarkExplain reports the processor time that the reasons of a plan of 250
// tasks take, as a share of that for a first plan.
func BenchmarkExplain(b *testing.B) {
	p := Household(1, 1, 250, 36)
	p.Vehicles[0].Hours *= 4
	start := processorTime()
	plan, err := schedule.Solve(context.Background(), p, schedule.Options{Steps: 1})
	solve := processorTime() - start
	if err != nil {
		b.Fatal(err)
	}
	start = processorTime()
	n := 0
	for b.Loop() {
		if _, err := schedule.Explain(context.Background(), p, plan.Doings()); err != nil {
			b.Fatal(err)
		}
		n++
	}
	b.ReportMetric((processorTime()-start).Seconds()/float64(n)/solve.Seconds(), "of-a-solve")
}
