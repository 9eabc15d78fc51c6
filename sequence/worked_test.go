package sequence

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Worked by hand. Each case says how its cost comes about. Orders of work
// (refit in reverse, coolant looked at cold, oil drained warm) are common
// practice.
func TestWorkedExamples(t *testing.T) {
	above, below := Setting{"side": "above"}, Setting{"side": "below"}
	side := BothWays("side", "above", "below", 1)
	cases := []struct {
		name  string
		steps []Step
		opts  Options
		order string
		made  []string // "before: from to"
		cost  int64
	}{
		{
			name: "nothing to do", opts: Options{Start: above, Changes: side},
		},
		{
			name: "nothing to do but return",
			opts: Options{Start: above, End: below, Changes: side},
			made: []string{"0: above to below"}, cost: 1,
		},
		{
			// One change each way: all from above, all from below, refit.
			name: "open from above, then from below, refit in reverse",
			steps: []Step{
				{ID: "cover off", Needs: above, Rank: 1},
				{ID: "tray off", Needs: below, Rank: 2, After: []string{"cover off"}},
				{ID: "hose", Needs: below, Rank: 3, After: []string{"tray off"}},
				{ID: "tray on", Needs: below, Rank: 4, After: []string{"hose"}},
				{ID: "cover on", Needs: above, Rank: 5, After: []string{"tray on"}},
				{ID: "battery", Needs: above, Rank: 9},
			},
			opts:  Options{Start: above, Changes: side},
			order: "cover off, battery, tray off, hose, tray on, cover on",
			made:  []string{"2: above to below", "5: below to above"}, cost: 2,
		},
		{
			// The chain forces four changes; the loose step fits in where its
			// side comes up first.
			name: "a chain that goes to and fro",
			steps: []Step{
				{ID: "1", Needs: above}, {ID: "2", Needs: below, After: []string{"1"}},
				{ID: "3", Needs: above, After: []string{"2"}}, {ID: "4", Needs: below, After: []string{"3"}},
				{ID: "loose", Needs: below, Rank: 8},
			},
			opts:  Options{Start: below, End: below, Changes: side},
			order: "loose, 1, 2, 3, 4",
			made:  []string{"1: below to above", "2: above to below", "3: below to above", "4: above to below"},
			cost:  4,
		},
		{
			// Cold first, although it ranks last: 1 + 15. The other way round,
			// 90 more for cooling down. Hot is reached by running.
			name: "cold work before the engine is warmed",
			steps: []Step{
				{ID: "drain oil", Needs: Setting{"engine": "hot"}, Rank: 1},
				{ID: "leak look", Needs: Setting{"engine": "running"}, Rank: 2},
				{ID: "coolant", Needs: Setting{"engine": "cold"}, Rank: 3},
			},
			opts:  Options{Start: Setting{"engine": "cold"}, Changes: workshopChanges()},
			order: "coolant, leak look, drain oil",
			made:  []string{"1: cold to running", "2: running to hot"}, cost: 16,
		},
		{
			// The first value asked for is free when the start says nothing.
			name:  "start left open",
			steps: []Step{{ID: "a", Needs: above, Rank: 2}, {ID: "b", Needs: below, Rank: 1}},
			opts:  Options{Changes: side},
			order: "b, a", made: []string{"1: below to above"}, cost: 1,
		},
		{
			// Without cost, rank decides, then ID; a prerequisite overrides it.
			name: "rank, then ID",
			steps: []Step{
				{ID: "d", Rank: 1}, {ID: "b", Rank: 1}, {ID: "c", Rank: 0, After: []string{"d", "d"}},
				{ID: "a", Rank: 2},
			},
			order: "b, d, c, a",
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			plan := mustOrder(t, c.steps, c.opts)
			var made []string
			for _, m := range plan.Changes {
				made = append(made, fmt.Sprintf("%d: %s to %s", m.Before, m.From, m.To))
			}
			if diff := cmp.Diff(c.made, made); diff != "" {
				t.Errorf("changes (-want +got):\n%s", diff)
			}
			if got := strings.Join(idsOf(c.steps, plan), ", "); got != c.order {
				t.Errorf("order %s, want %s", got, c.order)
			}
			if plan.Cost != c.cost || !plan.Proven || !plan.Settled {
				t.Errorf("cost %d, proven %t, settled %t; want %d, true, true", plan.Cost, plan.Proven,
					plan.Settled, c.cost)
			}
		})
	}
}
