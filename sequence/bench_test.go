package sequence

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// workshopChanges prices changes by the minute; the figures are invented.
func workshopChanges() []Change {
	return slices.Concat(
		[]Change{
			{"engine", "cold", "running", 1}, {"engine", "running", "hot", 15},
			{"engine", "hot", "running", 1}, {"engine", "hot", "cold", 90},
		},
		[]Change{{"height", "ground", "raised", 12}, {"height", "raised", "ground", 6}},
		BothWays("side", "above", "below", 3),
	)
}

func workshopOptions() Options {
	return Options{
		Start:   Setting{"side": "above", "height": "ground", "engine": "cold"},
		End:     Setting{"height": "ground"},
		Changes: workshopChanges(),
	}
}

// workshopVisit makes up a visit of n steps: openings, some behind others; work
// behind openings; refitting in reverse.
func workshopVisit(seed uint64, n int) []Step {
	v := visitMaker{rng: rand.New(rand.NewPCG(seed, 1)), size: n}
	openings := n / 4
	for k := range openings {
		v.open(k)
	}
	for w := range n - 2*openings {
		v.work(w)
	}
	for k := range openings {
		v.add(fmt.Sprintf("refit %d", k), v.where[k], append([]string{fmt.Sprintf("open %d", k)}, v.behind[k]...))
	}
	return v.steps
}

type visitMaker struct {
	rng    *rand.Rand
	size   int
	steps  []Step
	where  []Setting  // of each opening
	behind [][]string // what must be over before the opening is refitted
}

func (v *visitMaker) add(id string, needs Setting, after []string) {
	v.steps = append(v.steps, Step{ID: id, Needs: needs, After: after, Rank: v.rng.IntN(v.size)})
}

func (v *visitMaker) open(k int) {
	places := []Setting{
		{"side": "above"}, {"side": "above"}, {"side": "above", "height": "ground"},
		{"side": "below", "height": "raised"}, {"height": "raised"},
	}
	v.where = append(v.where, places[v.rng.IntN(len(places))])
	v.behind = append(v.behind, nil)
	var after []string
	if k > 0 && v.rng.IntN(10) < 6 {
		outer := v.rng.IntN(k)
		after = append(after, fmt.Sprintf("open %d", outer))
		v.behind[outer] = append(v.behind[outer], fmt.Sprintf("refit %d", k))
	}
	v.add(fmt.Sprintf("open %d", k), v.where[k], after)
}

func (v *visitMaker) work(w int) {
	engines := []string{"", "", "", "cold", "cold", "hot", "running"}
	k := v.rng.IntN(len(v.where))
	needs := Setting{"engine": engines[v.rng.IntN(len(engines))]}
	for name, value := range v.where[k] {
		needs[name] = value
	}
	after := []string{fmt.Sprintf("open %d", k)}
	if w > 0 && v.rng.IntN(4) == 0 {
		after = append(after, fmt.Sprintf("work %d", v.rng.IntN(w)))
	}
	id := fmt.Sprintf("work %d", w)
	v.behind[k] = append(v.behind[k], id)
	v.add(id, needs, after)
}

// greedyOrder is the naive rule to compare with: do the step of lowest rank
// that can be done as things are; when there is none, make the cheapest change
// that lets a step be done.
func greedyOrder(t priceTable, steps []Step, opts Options) (order []int, cost int64) {
	now, done := opts.Start, map[string]bool{}
	for len(order) < len(steps) {
		best, bestCost := -1, int64(0)
		for i, s := range steps {
			if done[s.ID] || slices.ContainsFunc(s.After, func(id string) bool { return !done[id] }) {
				continue
			}
			_, c := t.adopt(now, s.Needs)
			if best < 0 || c < bestCost || c == bestCost && s.Rank < steps[best].Rank {
				best, bestCost = i, c
			}
		}
		now, _ = t.adopt(now, steps[best].Needs)
		done[steps[best].ID] = true
		order = append(order, best)
		cost += bestCost
	}
	_, home := t.adopt(now, opts.End)
	return order, cost + home
}

// The visits of the benchmark are proven, and never dearer than the naive rule.
func TestMadeUpVisits(t *testing.T) {
	opts := workshopOptions()
	table := newPriceTable(opts.Changes)
	for _, n := range []int{12, 40, 120, 300} {
		for seed := range uint64(5) {
			steps := workshopVisit(seed, n)
			plan := mustOrder(t, steps, opts)
			if !plan.Proven || !plan.Settled {
				t.Errorf("%d steps, seed %d: proven %t, settled %t", n, seed, plan.Proven, plan.Settled)
			}
			if _, greedy := greedyOrder(table, steps, opts); greedy < plan.Cost {
				t.Errorf("%d steps, seed %d: cost %d, the naive rule pays %d", n, seed, plan.Cost, greedy)
			}
		}
	}
}

// BenchmarkOrder reports, beside its own time, how many times as dear the naive
// rule is and how many times as long Order takes as the naive rule, over the
// same visits in the same run.
func BenchmarkOrder(b *testing.B) {
	const visits = 20
	opts := workshopOptions()
	table := newPriceTable(opts.Changes)
	for _, n := range []int{20, 60, 120, 300} {
		b.Run(fmt.Sprintf("steps=%d", n), func(b *testing.B) {
			all := make([][]Step, visits)
			for seed := range all {
				all[seed] = workshopVisit(uint64(seed), n)
			}
			var cost, greedy, rounds int64
			var naive time.Duration
			b.ReportAllocs()
			for b.Loop() {
				for _, steps := range all {
					plan, err := Order(steps, opts)
					if err != nil {
						b.Fatal(err)
					}
					cost += plan.Cost
				}
				b.StopTimer()
				begun := time.Now()
				for _, steps := range all {
					_, c := greedyOrder(table, steps, opts)
					greedy += c
				}
				naive += time.Since(begun)
				rounds++
				b.StartTimer()
			}
			b.ReportMetric(float64(greedy)/float64(cost), "greedy/order-cost")
			b.ReportMetric(b.Elapsed().Seconds()/naive.Seconds(), "order/greedy-time")
			b.ReportMetric(b.Elapsed().Seconds()*1e6/float64(rounds*visits), "µs/visit")
		})
	}
}
