package plan_test

import (
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/schedule"
)

// Each code has words of its own, and they hold its arguments. The sentences
// are this house's English.
func TestReasonsInWords(t *testing.T) {
	may := civil.MustParse("2027-05-31")
	belt := why.Subject{Position: &fleet.Position{ID: "main-belt", Name: "Main drive belt"}}
	tyres := why.Subject{Position: &fleet.Position{ID: "tyres", Name: "Tyres"}}
	again := why.Cause{Code: why.DueAgain, By: may, Life: 24}
	for want, r := range map[string]why.Reason{
		"due again by May 2027, two years after the last": {Cause: again},
		"as you settled; due again by May 2027, two years after the last; three months early": {Cause: again,
			Stand: why.Stand{Code: why.StandSettled, Early: 3}},
		"as you settled": {Stand: why.Stand{Code: why.StandSettled}},
		"with the main drive belt, since it is within reach then; on its own it would be May " +
			"2027": {Stand: why.Stand{Code: why.StandWith, With: belt, Within: true, Month: may}},
		"brought forward two months, as there are no visits in the months before its " +
			"limit": {Cause: again, Stand: why.Stand{Code: why.StandClosed, Early: 2}},
		"brought forward two months, with all that goes with it: the visit of May 2027 has no room for " +
			"it": {Cause: again, Stand: why.Stand{Code: why.StandNoRoom, Scope: why.ScopeVisit, Early: 2, Month: may}},
		`to share "undertray" with the round, which the visit of May 2027 does not do`: {Cause: again,
			Stand: why.Stand{Code: why.StandOpening, Early: 2, Opening: &fleet.Opening{Name: "Undertray"},
				With: why.Subject{Round: true}, Month: may}},
		"waiting until May 2027 adds about 30 of risk on the road, against 4 of life thrown " +
			"away": {Cause: again, Stand: why.Stand{Code: why.StandRisk, Early: 2, Risk: 30, Lost: 4, Month: may}},
		"one month late: nothing earlier fits the limits you set": {Cause: again,
			Stand: why.Stand{Code: why.StandLate, Early: -1}},
	} {
		if got := r.Words().String(); !strings.HasSuffix(got, want) {
			t.Errorf("%q in place of %q", got, want)
		}
	}
	for want, g := range map[string]why.Give{
		"1 hour of work in one visit is not enough for the main drive belt": {Code: why.GiveHours, Limit: 1, Needs: 3,
			Tasks: []why.Subject{belt}},
		"Heron: past its limit by then: main drive belt.": {Code: why.GiveLate, Vehicle: &fleet.Vehicle{Name: "Heron"},
			Tasks: []why.Subject{belt}},
		"Due within this plan and left for a visit after it, since waiting costs less than any visit within it: " +
			"tyres and main drive belt. Plan more months": {Code: why.GiveWaits, Tasks: []why.Subject{tyres, belt}},
		"The tyres must be put right before the vehicle is driven: no waiting until May 2027.": {
			Code: why.GiveNoWaiting, Tasks: []why.Subject{tyres}, Month: fleet.MonthOf(may)},
		"With each vehicle by itself May 2027 would take 30 hours, more than the 20 hours a month you have. Two " +
			"tasks move.": {Code: why.GiveOverfull, Moved: 2,
			Shared: why.Limits{Hours: 20}, Overfull: []why.Overfull{{Month: may, Hours: 30}}},
	} {
		if got := g.Words().String(); !strings.HasPrefix(got, want) {
			t.Errorf("%q in place of %q", got, want)
		}
	}
}

// Where the engine finds no plan the owner reads of parts, months and amounts,
// not of codes and ids.
func TestNoPlanInWords(t *testing.T) {
	p := planned(t, "heron", plan.Options{})
	month := plan.MonthEnd(p.On, 3).MonthYear()
	if n := p.WhyNoPlan(&schedule.Infeasible{Cause: schedule.DueTogether, Tasks: []string{"change:main-belt"},
		Period: 3, Limit: schedule.MoneyLimit, Needs: 60, Have: 55}); n.Code != why.DueTogether ||
		n.Month == nil || n.Month.Last().MonthYear() != month || !n.Money || n.Currency != "EUR" || len(n.Tasks) != 1 ||
		n.Tasks[0].Position != "main-belt" || n.Needs != 60 || n.Have != 55 {
		t.Errorf("as data: %+v", n)
	}
	belt := []string{"change:main-belt"}
	for want, no := range map[string]*schedule.Infeasible{
		"a visit is wanted in " + month + ", which is closed": {Cause: schedule.HeldWhileClosed, Period: 3},
		"main drive belt, with all that is opened for it, takes 3 hours of the 2 hours that there are at " +
			"most": {Cause: schedule.TooLarge, Tasks: belt,
			Limit: schedule.HoursLimit, Needs: 3, Have: 2},
		"main drive belt is due by the end of " + month: {Cause: schedule.NeverInTime, Tasks: belt, Period: 3},
		"what is due in " + month + ", main drive belt and the round, takes 3 hours of 2 hours": {
			Cause: schedule.DueTogether, Tasks: append(belt, "round"), Period: 3,
			Limit: schedule.HoursLimit, Needs: 3, Have: 2},
		"by the end of " + month + ", a visit, takes at least €60 of €55": {Cause: schedule.DueByThen,
			Windows: []schedule.Window{{From: 1, To: 3}}, Period: 3,
			Limit: schedule.MoneyLimit, Needs: 60, Have: 55},
		"the furthest fails in " + month: {Cause: schedule.AllSearched, Period: 3},
	} {
		if got := p.NoPlan(no); !strings.Contains(got, want) || strings.Contains(got, string(no.Cause)) {
			t.Errorf("%q in place of %q", got, want)
		}
	}
}
