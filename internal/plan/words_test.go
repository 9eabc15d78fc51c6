package plan_test

import (
	"strings"
	"testing"

	"undertray/civil"
	"undertray/internal/fleet"
	"undertray/internal/plan"
)

// Each code has words of its own, and they hold its arguments. The sentences
// are this house's English.
func TestReasonsInWords(t *testing.T) {
	may := civil.MustParse("2027-05-31")
	belt := plan.Subject{Position: &fleet.Position{ID: "main-belt", Name: "Main drive belt"}}
	again := plan.Cause{Code: plan.DueAgain, By: may, Life: 24}
	for want, r := range map[string]plan.Reason{
		"due again by May 2027, two years after the last":                                     {Cause: again},
		"as you settled; due again by May 2027, two years after the last; three months early": {again, plan.Stand{Code: plan.StandSettled, Early: 3}},
		"as you settled": {Stand: plan.Stand{Code: plan.StandSettled}},
		"with the main drive belt, since it is within reach then; on its own it would be May 2027":         {Stand: plan.Stand{Code: plan.StandWith, With: belt, Within: true, Month: may}},
		"brought forward two months, as there are no visits in the months before its limit":                {again, plan.Stand{Code: plan.StandClosed, Early: 2}},
		"brought forward two months, with all that goes with it: the visit of May 2027 has no room for it": {again, plan.Stand{Code: plan.StandNoRoom, Scope: plan.ScopeVisit, Early: 2, Month: may}},
		`to share "undertray" with the round, which the visit of May 2027 does not do`:                     {again, plan.Stand{Code: plan.StandOpening, Early: 2, Opening: &fleet.Opening{Name: "Undertray"}, With: plan.Subject{Round: true}, Month: may}},
		"waiting until May 2027 adds about 30 of risk on the road, against 4 of life thrown away":          {again, plan.Stand{Code: plan.StandRisk, Early: 2, Risk: 30, Lost: 4, Month: may}},
		"one month late: nothing earlier fits the limits you set":                                          {again, plan.Stand{Code: plan.StandLate, Early: -1}},
	} {
		if got := r.Words(); !strings.HasSuffix(got, want) {
			t.Errorf("%q in place of %q", got, want)
		}
	}
	for want, g := range map[string]plan.Give{
		"1 hour of work in one visit is not enough for the main drive belt": {Code: plan.GiveHours, Limit: 1, Needs: 3, Tasks: []plan.Subject{belt}},
		"Heron: past its limit by then: main drive belt.":                   {Code: plan.GiveLate, Vehicle: &fleet.Vehicle{Name: "Heron"}, Tasks: []plan.Subject{belt}},
		"With each vehicle by itself May 2027 would take 30 hours, more than the 20 hours a month you have. Two tasks move.": {Code: plan.GiveOverfull, Moved: 2,
			Shared: plan.Limits{Hours: 20}, Overfull: []plan.Overfull{{Month: may, Hours: 30}}},
	} {
		if got := g.Words(); !strings.HasPrefix(got, want) {
			t.Errorf("%q in place of %q", got, want)
		}
	}
}
