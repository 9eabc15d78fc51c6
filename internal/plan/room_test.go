package plan_test

import (
	"slices"
	"testing"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/moves"
)

var sharedHours = fleet.YardRules{HoursPerMonth: 20}

func daysOf(p *plan.Plan) []civil.Date {
	var out []civil.Date
	for _, v := range p.Visits {
		out = append(out, v.Date)
	}
	return out
}

// Asked about one vehicle, the plan says what the plan of all says of it.
func TestAVehicleFollowsThePlanOfAll(t *testing.T) {
	y := yardPlan(t, plan.YardOptions{Rules: sharedHours})
	reports := demotest.Reports(t)
	for _, p := range y.Plans {
		share := y.Share(p.Vehicle.ID)
		got, err := plan.Make(t.Context(), reports[p.Vehicle.ID], plan.Options{Share: share})
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(daysOf(got), daysOf(p)) || got.Score != p.Score {
			t.Errorf("%s by itself %s costing %g, among all %s costing %g", p.Vehicle.ID, daysOf(got), got.Score,
				daysOf(p), p.Score)
		}
		if share.Words() == "" {
			t.Error("nothing says what is shared")
		}
	}
	if s := y.Share("heron-two"); s != nil {
		t.Error("a vehicle that is none of them has a share")
	}
	if s := yardPlan(t, plan.YardOptions{}).Share("heron"); s != nil || s.Words() != "" {
		t.Error("without rules something is shared")
	}
}

// Whatever is tried for one vehicle takes no more of a month than the others
// leave of it, and no day of theirs.
func TestWhatIsTriedLeavesTheOthersTheirShare(t *testing.T) {
	y := yardPlan(t, plan.YardOptions{Rules: sharedHours})
	heron := demotest.Reports(t)["heron"]
	others := map[message.Text]float64{}
	days := map[civil.Date]bool{}
	for _, v := range y.Visits {
		if v.Plan.Vehicle.ID != "heron" {
			quick, _ := v.Visit.Quick(v.Plan)
			others[v.Visit.Month] += (v.Visit.Minutes - quick) / 60
			days[v.Visit.Date] = true
		}
	}
	tried := 0
	for _, opt := range []plan.Options{{Skip: []time.Month{time.February}},
		{Skip: []time.Month{time.February, time.April}, Months: 12}, {Hours: 8}} {
		opt.Share = y.Share("heron")
		p, err := plan.Make(t.Context(), heron, opt)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range p.Visits {
			quick, _ := v.Quick(p)
			if all := others[v.Month] + (v.Minutes-quick)/60; all > sharedHours.HoursPerMonth+0.01 {
				t.Errorf("%+v: %s takes %g hours, %g with the others", opt.Skip, v.Month, v.Minutes/60, all)
			}
			if days[v.Date] {
				t.Errorf("%+v: another vehicle has the %s", opt.Skip, v.Date)
			}
			if others[v.Month] > 0 {
				tried++
			}
		}
	}
	if tried == 0 {
		t.Error("no visit falls in a month that others use: nothing was tried")
	}
}

// A day on which nothing is recorded moves nothing in a shared plan either.
func TestNothingMovesInAShareWithoutEntries(t *testing.T) {
	y := yardPlan(t, plan.YardOptions{Rules: sharedHours})
	for id, r := range demotest.Reports(t) {
		changes, err := moves.Since(t.Context(), r, r.On.AddDays(-1), plan.Options{Share: y.Share(id)})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range changes {
			t.Errorf("%s: %s moved from %s to %s", id, c.Position.ID, c.Was, c.Is)
		}
	}
}
