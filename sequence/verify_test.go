package sequence

import (
	"slices"
	"strings"
	"testing"
)

// Verify must find every way in which a plan can be wrong.
func TestVerifyFindsFaults(t *testing.T) {
	above, below := Setting{"side": "above"}, Setting{"side": "below"}
	steps := []Step{
		{ID: "open", Needs: above}, {ID: "work", Needs: below, After: []string{"open"}}, {ID: "look"},
	}
	opts := Options{Start: above, End: above, Changes: BothWays("side", "above", "below", 2)}
	good := mustOrder(t, steps, opts)

	cases := map[string]struct {
		spoil func(*Plan)
		want  string
	}{
		"step missing": {func(p *Plan) {
			p.Order = p.Order[:2]
			p.Changes[0].Before, p.Changes[1].Before = 2, 2
		}, "has 2 steps, not 3"},
		"step twice":   {func(p *Plan) { p.Order[1] = p.Order[0] }, "done twice"},
		"no such step": {func(p *Plan) { p.Order[0] = 7 }, "there are 3 steps"},
		"prerequisite": {func(p *Plan) {
			p.Order = []int{1, 0, 2}
			p.Changes[0].Before = 0
		}, `"work" is done before "open"`},
		"change missing":   {func(p *Plan) { p.Changes = p.Changes[1:] }, `side must be "below", but is "above"`},
		"return missing":   {func(p *Plan) { p.Changes = p.Changes[:1] }, `the end: side must be "above"`},
		"change unlisted":  {func(p *Plan) { p.Changes[0].Cost = 1 }, "is not listed"},
		"change misplaced": {func(p *Plan) { p.Changes[1].Before = 0 }, "out of place"},
		"change from elsewhere": {func(p *Plan) {
			p.Changes[0].From, p.Changes[0].To = p.Changes[0].To, p.Changes[0].From
		}, `begins at "below", but "above" is set`},
		"wrong total":     {func(p *Plan) { p.Cost, p.LowerBound = 3, 3 }, "cost 4 in all, not 3"},
		"bound too high":  {func(p *Plan) { p.LowerBound = 5 }, "above the cost"},
		"proven too soon": {func(p *Plan) { p.LowerBound = 3 }, "proven is true"},
		"settled alone":   {func(p *Plan) { p.Proven, p.LowerBound = false, 3 }, "not proven"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			plan := good
			plan.Order, plan.Changes = slices.Clone(good.Order), slices.Clone(good.Changes)
			c.spoil(&plan)
			err := Verify(steps, opts, plan)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v, want one that says %q", err, c.want)
			}
		})
	}
}
