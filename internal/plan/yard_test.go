package plan_test

import (
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/units"
)

func yardPlan(t *testing.T, opt plan.YardOptions) *plan.Yard {
	t.Helper()
	p, err := plan.MakeYard(t.Context(), demotest.All(t), opt)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Without rules the yard's plan is that of each vehicle, but for the weekends.
func TestYardPlanWithoutRules(t *testing.T) {
	y := yardPlan(t, plan.YardOptions{})
	for _, p := range y.Plans {
		alone := planned(t, p.Vehicle.ID, plan.Options{})
		if p.Score != alone.Score || len(p.Visits) != len(alone.Visits) {
			t.Errorf("%s costs %g in the yard and %g by itself", p.Vehicle.ID, p.Score, alone.Score)
		}
	}
	shared := slices.ContainsFunc(y.Gives, func(g why.Give) bool { return g.Code != why.GiveWaits })
	if y.Score != y.Alone || shared {
		t.Errorf("%g, each by itself %g, gives %q", y.Score, y.Alone, y.GivesWords())
	}
}

// What the vehicles share is kept to, by the checker's own reckoning of each
// plan and by the sum over them; sharing costs something, never less than the
// proven bound, and what gives is said.
func TestYardPlanSharesHours(t *testing.T) {
	y := yardPlan(t, plan.YardOptions{Rules: fleet.YardRules{HoursPerMonth: 20}})
	if err := y.Verify(); err != nil {
		t.Error(err)
	}
	if y.Score < y.Alone-1e-6 || y.Bound > y.Score+1e-6 {
		t.Errorf("cost %g, each by itself %g, bound %g", y.Score, y.Alone, y.Bound)
	}
	if y.Score > 1.05*y.Alone {
		t.Errorf("sharing 20 hours costs %g instead of %g", y.Score, y.Alone)
	}
	g := given(y.Gives, why.GiveOverfull)
	if g == nil || g.Shared.Hours != 20 || len(g.Overfull) == 0 {
		t.Fatalf("gives %+v", y.Gives)
	}
	if o := g.Overfull[0]; fleet.MonthOf(o.Month).String() != "2026-12" || o.Hours <= 20 || o.Hours > 60 {
		t.Errorf("%g hours in %s are said to be too many for 20", o.Hours, o.Month)
	}
	shared := false
	days := map[civil.Date]string{}
	for _, v := range y.Visits {
		if other := days[v.Visit.Date]; other != "" {
			t.Errorf("%s and %s are both on %s", other, v.Plan.Vehicle.ID, v.Visit.Date)
		}
		days[v.Visit.Date] = v.Plan.Vehicle.ID
		shared = shared || !v.Visit.Instead.IsZero()
		for _, task := range v.Visit.Tasks {
			shared = shared || task.Reason.Stand.Code == why.StandShared
		}
	}
	if !shared {
		t.Error("no reason says that the vehicles share")
	}
	if !slices.IsSortedFunc(y.Visits, func(a, b plan.YardVisit) int { return a.Visit.Date.Compare(b.Visit.Date) }) {
		t.Error("the visits are not in order of days")
	}
}

// What is bought in a month stays within the yard's money, but where one job by
// itself needs more, which is said.
func TestYardPlanSharesMoney(t *testing.T) {
	y := yardPlan(t, plan.YardOptions{Options: plan.Options{Months: 12, Money: quantityOf("560 EUR")}, MonthHours: 16})
	if err := y.Verify(); err != nil {
		t.Error(err)
	}
	for _, m := range y.Months() {
		if m.Money > 560+0.01 {
			t.Errorf("%s: %g EUR", m.Name, m.Money)
		}
	}
}

// Demands that cannot be met are answered with what gives, vehicle by vehicle.
func TestYardPlanSaysWhatGives(t *testing.T) {
	y := yardPlan(t, plan.YardOptions{Options: plan.Options{Months: 12}, MonthHours: 1})
	for _, code := range []why.Code{why.GiveOverfull, why.GiveHours, why.GiveLate} {
		if given(y.Gives, code) == nil {
			t.Errorf("one hour a month: lacks %q in %q", code, y.GivesWords())
		}
	}
	if !strings.HasPrefix(y.Headline().String(), "Next is the ") {
		t.Errorf("headline %q", y.Headline())
	}
	for _, opt := range []plan.YardOptions{{MonthHours: -1}, {MonthHours: 1000},
		{Options: plan.Options{Money: quantityOf("0 EUR")}}} {
		if _, err := plan.MakeYard(t.Context(), demotest.All(t), opt); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%+v: %v", opt, err)
		}
	}
}

func quantityOf(s string) *units.Quantity {
	q := units.MustParse(s)
	return &q
}
