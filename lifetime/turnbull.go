package lifetime

import (
	"math"
	"sort"
)

// Mass is a share of failures somewhere in a stretch of age; the data do not tell where in it.
type Mass struct {
	After, UpTo float64 // the stretch (After, UpTo]; one age where they are equal; UpTo +Inf for "later"
	Share       float64
	Survival    float64 // share still good after UpTo
}

const (
	turnbullRounds    = 50_000
	turnbullTolerance = 1e-12 // change of any share in one round
)

// Turnbull is the survival curve that assumes no family, for any kind of censoring and for late
// entry (Turnbull 1976), by the self-consistent expectation-maximisation rounds. Stretches without
// failures are left out.
func Turnbull(obs []Observation) ([]Mass, error) {
	if err := checkAll(obs); err != nil {
		return nil, err
	}
	if len(obs) == 0 {
		return nil, ErrNoFailures
	}
	spans := make([]span, len(obs))
	for i, o := range obs {
		spans[i] = spanOf(o)
	}
	cells := innermost(spans)
	share := selfConsistent(spans, cells)
	var out []Mass
	survival := 1.0
	for j, c := range cells {
		survival -= share[j]
		if share[j] > 1e-9 {
			out = append(out, Mass{c.low, c.high, share[j], math.Max(survival, 0)})
		}
	}
	return out, nil
}

// span is where a part's failure lies: (low, high], or exactly high where exact; and entry.
type span struct {
	low, high, entry, weight float64
	exact                    bool
}

func spanOf(o Observation) span {
	s := span{entry: o.Entry, weight: o.weight(), low: o.Age, high: math.Inf(1)}
	switch o.Outcome {
	case Failed:
		s.high, s.exact = o.Age, true
	case FoundFailed:
		s.low, s.high = o.Entry, o.Age
	case Between:
		s.high = o.Upper
	}
	return s
}

func (s span) holds(c span) bool {
	if s.exact {
		return c.exact && c.high == s.high
	}
	if c.exact {
		return c.high > s.low && c.high <= s.high
	}
	return c.low >= s.low && c.high <= s.high
}

// watched is true when a failure in the cell could have been seen: it lies after entry.
func (s span) watched(c span) bool {
	if s.entry == 0 {
		return true
	}
	if c.exact {
		return c.high > s.entry
	}
	return c.low >= s.entry
}

// innermost returns the cells on which shares can lie: a lower end followed by an upper end with
// none between (Peto 1973). Ages at which parts enter count as upper ends (Frydman 1994).
func innermost(spans []span) []span {
	type end struct {
		age   float64
		order int // at one age: upper ends of exact after their lower, before new lower ends
		upper bool
		exact bool
	}
	var ends []end
	for _, s := range spans {
		if s.exact {
			ends = append(ends, end{s.high, 0, false, true}, end{s.high, 1, true, true})
		} else {
			ends = append(ends, end{s.low, 3, false, false}, end{s.high, 2, true, false})
		}
		if s.entry > 0 {
			ends = append(ends, end{s.entry, 2, true, false})
		}
	}
	sort.SliceStable(ends, func(i, j int) bool {
		if ends[i].age != ends[j].age {
			return ends[i].age < ends[j].age
		}
		return ends[i].order < ends[j].order
	})
	var cells []span
	for i := 1; i < len(ends); i++ {
		if ends[i-1].upper || !ends[i].upper {
			continue
		}
		cells = append(cells, span{low: ends[i-1].age, high: ends[i].age, exact: ends[i-1].exact})
	}
	return cells
}

func selfConsistent(spans, cells []span) []float64 {
	k := len(cells)
	share, next := make([]float64, k), make([]float64, k)
	for j := range share {
		share[j] = 1 / float64(k)
	}
	holds, seen := incidence(spans, cells)
	for range turnbullRounds {
		clear(next)
		for i, s := range spans {
			spread(next, share, holds[i], s.weight)
			if s.entry > 0 {
				unseen(next, share, seen[i], s.weight)
			}
		}
		total, change := 0.0, 0.0
		for _, v := range next {
			total += v
		}
		for j := range next {
			change = math.Max(change, math.Abs(next[j]/total-share[j]))
			share[j] = next[j] / total
		}
		if change < turnbullTolerance {
			break
		}
	}
	return share
}

// incidence returns, for each span, the cells it holds and the cells it could have been seen in.
func incidence(spans, cells []span) (holds, seen [][]bool) {
	for _, s := range spans {
		h, w := make([]bool, len(cells)), make([]bool, len(cells))
		for j, c := range cells {
			h[j], w[j] = s.holds(c), s.watched(c)
		}
		holds, seen = append(holds, h), append(seen, w)
	}
	return holds, seen
}

// spread divides a weight over the marked cells in proportion to their shares.
func spread(next, share []float64, marked []bool, weight float64) {
	sum := 0.0
	for j, m := range marked {
		if m {
			sum += share[j]
		}
	}
	if sum == 0 {
		return
	}
	for j, m := range marked {
		if m {
			next[j] += weight * share[j] / sum
		}
	}
}

// unseen adds the parts that must have failed before they would have been watched: for each one
// watched, (1 - seen share)/seen share of them.
func unseen(next, share []float64, seen []bool, weight float64) {
	sum := 0.0
	for j, w := range seen {
		if w {
			sum += share[j]
		}
	}
	if sum == 0 {
		return
	}
	for j, w := range seen {
		if !w {
			next[j] += weight * share[j] / sum
		}
	}
}
