package sequence

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"pgregory.net/rapid"
)

// The functions here work out by brute force what Order works out by search.
// They share no code with it.

// pathCost returns the least cost of the changes that lead one attribute from
// a value to another, by relaxing every listed change until nothing improves.
func pathCost(changes []Change, attribute, from, to string) int64 {
	best := map[string]int64{from: 0}
	for improved := true; improved; {
		improved = false
		for _, c := range changes {
			paid, reached := best[c.From]
			if c.Attribute != attribute || !reached {
				continue
			}
			if old, known := best[c.To]; !known || paid+c.Cost < old {
				best[c.To], improved = paid+c.Cost, true
			}
		}
	}
	if cost, reached := best[to]; reached {
		return cost
	}
	return math.MaxInt64
}

// priceTable holds pathCost for all pairs.
type priceTable map[[3]string]int64

func newPriceTable(changes []Change) priceTable {
	t := priceTable{}
	for _, a := range changes {
		for _, b := range changes {
			if a.Attribute == b.Attribute {
				for _, from := range []string{a.From, a.To} {
					for _, to := range []string{b.From, b.To} {
						t[[3]string{a.Attribute, from, to}] = pathCost(changes, a.Attribute, from, to)
					}
				}
			}
		}
	}
	return t
}

// adopt returns the setting after needs were met and what that cost.
func (t priceTable) adopt(now, needs Setting) (Setting, int64) {
	after, cost := maps.Clone(now), int64(0)
	if after == nil {
		after = Setting{}
	}
	for name, value := range needs {
		if value == "" {
			continue
		}
		if old := after[name]; old != "" {
			cost += t[[3]string{name, old, value}]
		}
		after[name] = value
	}
	return after, cost
}

// exhaustiveCost returns the least cost over every order that respects the
// prerequisites, beginning with the steps in done already done.
func exhaustiveCost(t priceTable, steps []Step, now, end Setting, done map[string]bool) int64 {
	best, finished := int64(math.MaxInt64), true
	for _, s := range steps {
		if done[s.ID] {
			continue
		}
		finished = false
		if !slices.ContainsFunc(s.After, func(id string) bool { return !done[id] }) {
			after, cost := t.adopt(now, s.Needs)
			done[s.ID] = true
			best = min(best, cost+exhaustiveCost(t, steps, after, end, done))
			delete(done, s.ID)
		}
	}
	if finished {
		_, cost := t.adopt(now, end)
		return cost
	}
	return best
}

// costOfOrder returns what one order costs.
func costOfOrder(t priceTable, steps []Step, opts Options, order []int) int64 {
	now, total := opts.Start, int64(0)
	for _, i := range order {
		var cost int64
		now, cost = t.adopt(now, steps[i].Needs)
		total += cost
	}
	_, cost := t.adopt(now, opts.End)
	return total + cost
}

// uniformCost finds the least cost by visiting every pair of steps done and
// setting, one listed change or one step at a time, cheapest first. Start must
// set every attribute. It is quick enough for some fifteen steps.
func uniformCost(steps []Step, opts Options) int64 {
	bit := map[string]uint{}
	for i, s := range steps {
		bit[s.ID] = 1 << i
	}
	type state struct {
		done    uint
		setting string
	}
	settings := map[string]Setting{}
	name := func(s Setting) string {
		key := fmt.Sprint(s) // fmt prints maps in order of their keys
		settings[key] = s
		return key
	}
	buckets := map[int64][]state{0: {{0, name(opts.Start)}}}
	seen := map[state]bool{}
	for cost := int64(0); ; cost++ {
		for len(buckets[cost]) > 0 {
			last := len(buckets[cost]) - 1
			at := buckets[cost][last]
			buckets[cost] = buckets[cost][:last]
			if seen[at] {
				continue
			}
			seen[at] = true
			now := settings[at.setting]
			if at.done == 1<<len(steps)-1 && meetsAll(now, opts.End) {
				return cost
			}
			for i, s := range steps {
				ready := at.done&(1<<i) == 0 && meetsAll(now, s.Needs)
				for _, id := range s.After {
					ready = ready && at.done&bit[id] != 0
				}
				if ready {
					buckets[cost] = append(buckets[cost], state{at.done | 1<<i, at.setting})
				}
			}
			for _, c := range opts.Changes {
				if now[c.Attribute] == c.From {
					after := maps.Clone(now)
					after[c.Attribute] = c.To
					buckets[cost+c.Cost] = append(buckets[cost+c.Cost], state{at.done, name(after)})
				}
			}
		}
	}
}

func meetsAll(now, needs Setting) bool {
	for name, value := range needs {
		if value != "" && now[name] != value {
			return false
		}
	}
	return true
}

// drawOptions draws prices for up to three attributes of up to three values,
// not the same both ways and often cheaper through a third value.
func drawOptions(t *rapid.T, fullStart bool) Options {
	var opts Options
	opts.Start, opts.End = Setting{}, Setting{}
	for a := range rapid.IntRange(1, 3).Draw(t, "attributes") {
		name := fmt.Sprintf("a%d", a)
		values := rapid.IntRange(2, 3).Draw(t, "values")
		for v := range values {
			for w := range values {
				if v != w {
					opts.Changes = append(opts.Changes, Change{name, fmt.Sprint("v", v), fmt.Sprint("v", w),
						rapid.Int64Range(0, 9).Draw(t, "cost")})
				}
			}
		}
		opts.Start[name] = drawValue(t, values, !fullStart)
		opts.End[name] = drawValue(t, values, true)
	}
	return opts
}

func drawValue(t *rapid.T, values int, mayBeEmpty bool) string {
	lowest := 0
	if mayBeEmpty {
		lowest = -1
	}
	v := rapid.IntRange(lowest, values-1).Draw(t, "value")
	if v < 0 {
		return ""
	}
	return fmt.Sprint("v", v)
}

// drawSteps draws steps whose prerequisites go backwards in a hidden order.
func drawSteps(t *rapid.T, opts Options, most int) []Step {
	sizes := map[string]int{}
	for _, c := range opts.Changes {
		var v int
		fmt.Sscanf(c.From, "v%d", &v)
		sizes[c.Attribute] = max(sizes[c.Attribute], v+1)
	}
	names := slices.Sorted(maps.Keys(sizes))
	steps := make([]Step, rapid.IntRange(0, most).Draw(t, "steps"))
	density := rapid.IntRange(0, 5).Draw(t, "density")
	for i := range steps {
		steps[i] = Step{ID: fmt.Sprintf("s%02d", i), Rank: rapid.IntRange(0, 3).Draw(t, "rank"), Needs: Setting{}}
		for _, name := range names {
			steps[i].Needs[name] = drawValue(t, sizes[name], true)
		}
		for j := range i {
			if rapid.IntRange(0, 9).Draw(t, "after") < density {
				steps[i].After = append(steps[i].After, steps[j].ID)
			}
		}
	}
	return rapid.Permutation(steps).Draw(t, "as handed in")
}
