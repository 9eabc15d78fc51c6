package plan_test

import (
	"slices"
	"testing"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/why"
)

// What is bought in a month, quick jobs included, stays within its money, but
// where the plan says that it does not.
func TestQuickJobsKeepToTheMoneyOfAMonth(t *testing.T) {
	full, held := 0, 0
	for id := range demotest.Reports(t) {
		for _, money := range []string{"260 EUR", "330 EUR", "400 EUR"} {
			p := planned(t, id, plan.Options{Money: quantityOf(money)})
			most := quantityOf(money).Value()
			spent := map[string]float64{}
			for i := range p.Visits {
				spent[fleet.MonthOf(p.Visits[i].Date).Words().String()] += p.Visits[i].Money
			}
			for _, s := range p.Small {
				spent[fleet.MonthOf(s.By).Words().String()] += s.Task.Money
			}
			for month, sum := range spent {
				if sum > most-15 && sum <= most+0.01 {
					full++
				}
				if sum <= most+0.01 {
					held++
				} else if !slices.ContainsFunc(p.Gives, func(g why.Give) bool {
					return g.Code == why.GiveOver && g.Month.Words().String() == month || g.Code == why.GiveMoney
				}) {
					t.Errorf("%s, %s: %s takes %g, which nothing says: %q", id, money, month, sum, p.GivesWords())
				}
			}
		}
	}
	if full == 0 || held < 20 {
		t.Errorf("%d months within the money, %d nearly full: too few to tell", held, full)
	}
}
