package plan_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/why"
)

// settled is a demo vehicle with wishes in its journal.
func settled(t *testing.T, vehicle string, wishes ...fleet.Wish) *advise.Report {
	t.Helper()
	r := demotest.Reports(t)[vehicle]
	record := slices.Clone(r.State.Record)
	for i := range wishes {
		record = append(record, &fleet.Entry{ID: "w" + string(rune('0'+i)), Vehicle: vehicle, Type: fleet.TypeWish,
			Date: r.On, Wish: &wishes[i]})
	}
	return advise.Vehicle(r.Catalogue, r.Vehicle, record, r.On)
}

func month(y int, m time.Month) fleet.Month { return fleet.Month{Year: y, Month: m} }

// changesIn returns the months in which a position is changed.
func changesIn(p *plan.Plan, position string) []string {
	var out []string
	for _, v := range p.Visits {
		for _, task := range v.Tasks {
			if task.Do == fleet.DoReplace && task.Positions[0].ID == position {
				out = append(out, fleet.MonthOf(v.Date).String())
			}
		}
	}
	return out
}

// What the owner has settled is kept to, by the checker's own reckoning, and
// its price is never below nothing.
func TestSettledMonthsAreKept(t *testing.T) {
	r := settled(t, "heron", fleet.Wish{Position: "main-belt", Month: month(2027, time.September)},
		fleet.Wish{Month: month(2027, time.April), Not: true},
		fleet.Wish{Month: month(2028, time.January)})
	p, err := plan.Make(t.Context(), r, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Verify(); err != nil {
		t.Error(err)
	}
	if got := changesIn(p, "main-belt"); len(got) == 0 || got[0] != "2027-09" {
		t.Errorf("the belt is changed in %v", got)
	}
	held := false
	for _, v := range p.Visits {
		if fleet.MonthOf(v.Date) == month(2027, time.April) {
			t.Errorf("a visit on %s, in a month that is left out", v.Date)
		}
		held = held || fleet.MonthOf(v.Date) == month(2028, time.January)
	}
	if !held {
		t.Error("no visit in January 2028")
	}
	if len(p.Wishes) != 3 || !(p.WishCosts > 0) {
		t.Fatalf("%d wishes, %g", len(p.Wishes), p.WishCosts)
	}
	for _, w := range p.Wishes {
		if w.Costs < 0 || w.Costs > p.WishCosts+0.02*p.Score {
			t.Errorf("%s costs %g, all together %g", w.Title(), w.Costs, p.WishCosts)
		}
	}
}

// A wish for the month in which the part stands anyway costs nothing.
func TestWishesPriceWhatTheyChange(t *testing.T) {
	plain := planned(t, "heron", plan.Options{})
	here := fleet.MonthOf(plain.Visits[0].Date)
	p := planned(t, "heron", plan.Options{Wishes: []fleet.Wish{{Position: "main-belt", Month: here}}})
	if w := p.Trying(); w == nil || w.Costs > 1 || !strings.Contains(w.Words().String(), "costs no more") {
		t.Errorf("where it stands anyway: %+v", w)
	}
	late := planned(t, "heron", plan.Options{Wishes: []fleet.Wish{{Position: "main-belt",
		Month: month(2028, time.April)}}})
	if w := late.Trying(); w == nil || w.Costs < 50 {
		t.Errorf("a year late: %+v", w)
	}
	if got := changesIn(late, "main-belt"); len(got) == 0 || got[0] != "2028-04" {
		t.Errorf("tried for April 2028, changed in %v", got)
	}
}

// Every part of the sheet can be settled for some month, asked for or not, and
// quick jobs too.
func TestAnyPartCanBeSettled(t *testing.T) {
	for id, position := range map[string]string{"heron": "earth-strap", "dunnock": "wiper-blades",
		"bittern": "coolant"} {
		r := demotest.Reports(t)[id]
		if r.Judgement(position) == nil {
			position = r.Urgent()[0].Position.ID
		}
		p := planned(t, id, plan.Options{Wishes: []fleet.Wish{{Position: position, Month: month(2027, time.October)}}})
		if err := p.Verify(); err != nil {
			t.Errorf("%s: %v", id, err)
		}
		if got := changesIn(p, position); len(got) == 0 || got[0] != "2027-10" {
			t.Errorf("%s %s is changed in %v", id, position, got)
		}
	}
}

// A wish is over once the part has been changed or its month is past, a later
// wish stands for an earlier one, and what must be put right does not wait.
func TestWishesEnd(t *testing.T) {
	r := settled(t, "heron", fleet.Wish{Position: "main-belt", Month: month(2027, time.September)},
		fleet.Wish{Position: "main-belt", Month: month(2027, time.June)})
	p, err := plan.Make(t.Context(), r, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := changesIn(p, "main-belt"); len(p.Wishes) != 1 || len(got) == 0 || got[0] != "2027-06" {
		t.Errorf("of two wishes: %v, changed in %v", p.Wishes, got)
	}
	done := append(slices.Clone(r.State.Record), &fleet.Entry{ID: "x", Vehicle: "heron", Type: fleet.TypeFitted,
		Date: r.On, Fitted: &fleet.Fitted{Position: "main-belt"}})
	p, err = plan.Make(t.Context(), advise.Vehicle(r.Catalogue, r.Vehicle, done, r.On), plan.Options{})
	if err != nil || len(p.Wishes) != 0 {
		t.Errorf("after the change: %v, %v", p.Wishes, err)
	}
	pr := demotest.Parked(t)
	p, err = plan.Make(t.Context(), pr,
		plan.Options{Wishes: []fleet.Wish{{Position: "main-belt", Month: month(2027, time.June)}}})
	if err != nil {
		t.Fatal(err)
	}
	if got := changesIn(p, "main-belt"); got[0] == "2027-06" || given(p.Gives, why.GiveNoWaiting) == nil {
		t.Errorf("a parked belt waits: %v, %q", got, p.GivesWords())
	}
}

func TestWishesRefuseNonsense(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	for _, w := range []fleet.Wish{{Position: "main-bolt", Month: month(2027, time.May)},
		{Position: "main-belt", Month: month(2020, time.May)}, {Month: month(2099, time.May)}, {}} {
		if _, err := plan.Make(t.Context(), r, plan.Options{Wishes: []fleet.Wish{w}}); err == nil ||
			len(fleet.Hints(err)) == 0 {
			t.Errorf("%+v: %v", w, err)
		}
	}
}
