package sequence

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// mustOrder orders, verifies and returns the plan.
func mustOrder(t interface {
	Helper()
	Fatalf(string, ...any)
}, steps []Step, opts Options) Plan {
	t.Helper()
	plan, err := Order(steps, opts)
	if err != nil {
		t.Fatalf("Order: %v", err)
	}
	if err := Verify(steps, opts, plan); err != nil {
		t.Fatalf("Verify: %v", err)
	}
	return plan
}

func TestCostIsLeastOfAllOrders(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		opts := drawOptions(t, false)
		steps := drawSteps(t, opts, 8)
		plan := mustOrder(t, steps, opts)
		table := newPriceTable(opts.Changes)
		want := exhaustiveCost(table, steps, opts.Start, opts.End, map[string]bool{})
		if plan.Cost != want || !plan.Proven || !plan.Settled {
			t.Fatalf("cost %d, proven %t, settled %t; the cheapest of all orders costs %d", plan.Cost, plan.Proven,
				plan.Settled, want)
		}
		if got := costOfOrder(table, steps, opts, plan.Order); got != plan.Cost {
			t.Fatalf("the order costs %d, the plan says %d", got, plan.Cost)
		}
	})
}

func TestCostIsLeastOfAllStates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		opts := drawOptions(t, true)
		steps := drawSteps(t, opts, 11)
		plan := mustOrder(t, steps, opts)
		if want := uniformCost(steps, opts); plan.Cost != want || !plan.Proven {
			t.Fatalf("cost %d, proven %t; the cheapest way through all states costs %d", plan.Cost, plan.Proven, want)
		}
	})
}

// The beam and a search cut short must still give valid orders and bounds.
func TestFallbackIsValidAndBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		opts := drawOptions(t, true)
		opts.MaxStates = rapid.IntRange(1, 20).Draw(t, "max states")
		steps := drawSteps(t, opts, 11)
		plan := mustOrder(t, steps, opts)
		want := uniformCost(steps, opts)
		if plan.Cost < want || plan.LowerBound > want || plan.Proven && plan.Cost != want {
			t.Fatalf("cost %d, lower bound %d, proven %t; the least is %d", plan.Cost, plan.LowerBound,
				plan.Proven, want)
		}
	})
}

// followTieRule builds the order that the package comment describes, with the
// exhaustive cost in place of the search.
func followTieRule(t priceTable, steps []Step, opts Options) []int {
	ranked := make([]int, len(steps))
	for i := range ranked {
		ranked[i] = i
	}
	slices.SortFunc(ranked, func(i, j int) int {
		if steps[i].Rank != steps[j].Rank {
			return steps[i].Rank - steps[j].Rank
		}
		if steps[i].ID < steps[j].ID {
			return -1
		}
		return 1
	})

	now, done, order := opts.Start, map[string]bool{}, []int{}
	ready := func(i int) bool {
		return !done[steps[i].ID] && !slices.ContainsFunc(steps[i].After, func(id string) bool { return !done[id] })
	}
	left := exhaustiveCost(t, steps, now, opts.End, done)
	for len(order) < len(steps) {
		next := slices.IndexFunc(ranked, func(i int) bool { return ready(i) && meetsAll(now, steps[i].Needs) })
		if next >= 0 {
			done[steps[ranked[next]].ID] = true
			order = append(order, ranked[next])
			continue
		}
		for _, i := range ranked {
			if !ready(i) {
				continue
			}
			after, cost := t.adopt(now, steps[i].Needs)
			if rest := exhaustiveCost(t, steps, after, opts.End, done); cost+rest == left {
				now, left = after, rest
				break
			}
		}
	}
	return order
}

func TestTieRule(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		opts := drawOptions(t, false)
		steps := drawSteps(t, opts, 6)
		plan := mustOrder(t, steps, opts)
		want := followTieRule(newPriceTable(opts.Changes), steps, opts)
		if !slices.Equal(plan.Order, want) {
			t.Fatalf("order %v, the tie rule gives %v", plan.Order, want)
		}
	})
}

func TestRelabellingChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		opts := drawOptions(t, false)
		steps := drawSteps(t, opts, 12)
		plan := mustOrder(t, steps, opts)

		// Handed in another way round: the same steps in the same order.
		shuffled := rapid.Permutation(steps).Draw(t, "shuffled")
		again := mustOrder(t, shuffled, opts)
		if got, want := idsOf(shuffled, again), idsOf(steps, plan); !slices.Equal(got, want) {
			t.Fatalf("handed in another way round: %v, before %v", got, want)
		}

		// Other names for steps, attributes and values: the same cost.
		renamed := renameAll(steps, rapid.Permutation(steps).Draw(t, "names"))
		other := mustOrder(t, renamed, renameOptions(opts))
		if other.Cost != plan.Cost {
			t.Fatalf("renamed: cost %d, before %d", other.Cost, plan.Cost)
		}
	})
}

func idsOf(steps []Step, plan Plan) []string {
	ids := make([]string, len(plan.Order))
	for at, i := range plan.Order {
		ids[at] = steps[i].ID
	}
	return ids
}

// renameAll gives every step the ID of the step at its place in names and
// turns the names of attributes and values round.
func renameAll(steps, names []Step) []Step {
	to := map[string]string{}
	for i, s := range steps {
		to[s.ID] = names[i].ID
	}
	out := make([]Step, len(steps))
	for i, s := range steps {
		out[i] = Step{ID: to[s.ID], Rank: -s.Rank, Needs: renameSetting(s.Needs)}
		for _, id := range s.After {
			out[i].After = append(out[i].After, to[id])
		}
	}
	return out
}

func renameOptions(opts Options) Options {
	out := Options{Start: renameSetting(opts.Start), End: renameSetting(opts.End), MaxStates: opts.MaxStates}
	for _, c := range slices.Backward(opts.Changes) {
		out.Changes = append(out.Changes, Change{turned(c.Attribute), turned(c.From), turned(c.To), c.Cost})
	}
	return out
}

func renameSetting(s Setting) Setting {
	out := Setting{}
	for name, value := range s {
		out[turned(name)] = turned(value)
	}
	return out
}

// turned makes "v0" into "9v" and so on; the empty value stays.
func turned(name string) string {
	if name == "" {
		return ""
	}
	return fmt.Sprintf("%c%c", '9'-name[1]+'0', name[0])
}

func TestPrerequisiteNeverLowersCost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		opts := drawOptions(t, false)
		steps := drawSteps(t, opts, 12)
		if len(steps) < 2 {
			return
		}
		plan := mustOrder(t, steps, opts)

		// A prerequisite that some order respects cannot close a cycle.
		from := rapid.IntRange(0, len(steps)-2).Draw(t, "from")
		to := rapid.IntRange(from+1, len(steps)-1).Draw(t, "to")
		first, later := plan.Order[from], plan.Order[to]
		if rapid.Bool().Draw(t, "against the plan") && !reaches(steps, steps[first].ID, steps[later].ID) {
			first, later = later, first
		}
		more := slices.Clone(steps)
		more[later].After = append(slices.Clone(more[later].After), steps[first].ID)
		if got := mustOrder(t, more, opts); got.Cost < plan.Cost {
			t.Fatalf("cost fell from %d to %d when %q was put before %q", plan.Cost, got.Cost,
				steps[first].ID, steps[later].ID)
		}
	})
}

// reaches reports whether later waits for first, directly or through others.
func reaches(steps []Step, first, later string) bool {
	if first == later {
		return true
	}
	at := slices.IndexFunc(steps, func(s Step) bool { return s.ID == later })
	return slices.ContainsFunc(steps[at].After, func(id string) bool { return reaches(steps, first, id) })
}

// The bound must never fall by more than a move costs, and must be zero at the
// end. From the two follows that it never exceeds what is still to pay.
func TestBoundIsConsistent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		opts := drawOptions(t, false)
		steps := drawSteps(t, opts, 20)
		ps, priceErrs := compilePrices(opts.Changes)
		p, errs := compileSteps(steps, opts, ps)
		if len(errs)+len(priceErrs) > 0 {
			t.Fatalf("compile: %v %v", priceErrs, errs)
		}
		x := newExpander(p)
		at := x.root()
		for !x.isGoal(at) {
			bound := x.boundOf(at)
			moves := x.moves(at, nil)
			for _, m := range moves {
				if bound > m.cost+m.bound {
					t.Fatalf("bound %d falls to %d by a move that costs %d", bound, m.bound, m.cost)
				}
				if again := x.boundOf(m.next); again != m.bound {
					t.Fatalf("bound %d on the way, %d from the key", m.bound, again)
				}
			}
			at = moves[rapid.IntRange(0, len(moves)-1).Draw(t, "move")].next
		}
		if bound := x.boundOf(at); bound != 0 {
			t.Fatalf("bound %d at the end", bound)
		}
	})
}
