package plan_test

import (
	"strings"
	"testing"

	"undertray/internal/demo/demotest"
	"undertray/internal/fleet"
	"undertray/internal/plan"
	"undertray/internal/plan/buying"
	"undertray/internal/visit"
	"undertray/units"
)

// The list buys what the plan changes, each thing once, by a day before it is
// needed, and comes to what the lots come to.
func TestShoppingBuysWhatThePlanChanges(t *testing.T) {
	for id := range demotest.Reports(t) {
		p := planned(t, id, plan.Options{})
		list, err := buying.OfPlan(p)
		if err != nil {
			t.Fatal(err)
		}
		bought := map[string]int{}
		var known []units.Quantity
		for i, l := range list.Lots {
			if i > 0 && l.By.Before(list.Lots[i-1].By) {
				t.Errorf("%s: %s stands after %s", id, l.By, list.Lots[i-1].By)
			}
			names := map[string]bool{}
			for _, part := range l.Job.Parts {
				if len(part.Of) == 0 {
					bought[part.Position.ID]++
				}
				for _, of := range part.Of { // a set is one line
					bought[of.Position.ID]++
				}
				names[strings.ToLower(part.Spec.Name)] = true
				if part.Spec.Cost != nil {
					known = append(known, *part.Spec.Cost)
				}
			}
			for _, c := range l.Job.Consumables {
				if names[strings.ToLower(c.What)] && c.Cost != nil && strings.Contains(c.What, "fluid") {
					t.Errorf("%s, %s: %s is bought twice", id, l.By, c.What)
				}
				if c.Cost != nil {
					known = append(known, *c.Cost)
				}
			}
		}
		sum, err := units.Sum(known...)
		if err != nil || list.Cost() != sum.String() {
			t.Errorf("%s: the list comes to %s, its lines to %s (%v)", id, list.Cost(), sum, err)
		}
		changed := map[string]int{}
		for i := range p.Visits {
			v := &p.Visits[i]
			if v.Date.Before(v.BuyBy) {
				t.Errorf("%s: parts come by %s for %s", id, v.BuyBy, v.Date)
			}
			for _, task := range v.Tasks {
				if task.Do == fleet.DoReplace {
					changed[task.Positions[0].ID]++
				}
			}
		}
		for _, s := range p.Small {
			changed[s.Task.Positions[0].ID]++
		}
		for at, n := range changed {
			if bought[at] != n {
				t.Errorf("%s: %s is changed %d times and bought %d times", id, at, n, bought[at])
			}
		}
	}
}

// Coolant that is drained to reach a hose, and is due itself, is bought once.
func TestARefillIsBoughtOnce(t *testing.T) {
	job, err := visit.NewJob(demotest.Reports(t)["heron"], visit.JobOptions{Positions: []string{"top-hose", "coolant"}})
	if err != nil {
		t.Fatal(err)
	}
	lines, cost := 0, ""
	for _, p := range job.Parts {
		if strings.Contains(strings.ToLower(p.Spec.Name), "coolant mixed") {
			lines++
			if p.Spec.Cost != nil {
				cost = p.Spec.Cost.String()
			}
		}
	}
	for _, c := range job.Consumables {
		if strings.Contains(strings.ToLower(c.What), "coolant mixed") {
			lines++
		}
	}
	if lines != 1 || cost != "40 EUR" { // what the sheet says of draining it
		t.Errorf("%d lines of coolant, at %q", lines, cost)
	}
}
