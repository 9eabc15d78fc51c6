package plan_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/buying"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
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

// What was bought is no longer asked for, for the first time it is fitted and not for the
// next; it keeps its price, and the rest of the list stays as it was.
func TestWhatWasBoughtIsNotAskedFor(t *testing.T) {
	before, err := buying.OfPlan(planned(t, "dunnock", plan.Options{}))
	if err != nil {
		t.Fatal(err)
	}
	asked := func(list *buying.Shopping) (out []visit.PartLine) {
		for _, l := range list.Lots {
			out = append(out, l.Job.Parts...)
		}
		return out
	}
	all := asked(before)
	first := all[0]
	for _, l := range all {
		if len(l.Of) > 0 { // a set, if there is one
			first = l
			break
		}
	}
	cost := units.Must(12.5, "EUR")
	r := demotest.Reports(t)["dunnock"]
	r = r.WithRecord(r.Vehicle, append(slices.Clone(r.State.Record), &fleet.Entry{ID: "bought", Vehicle: r.Vehicle.ID,
		Type: fleet.TypeBought, Date: r.On,
		Bought: &fleet.Bought{Positions: first.Positions(), Number: "N-1", Supplier: "shop in town",
			Cost: &cost}}), r.On)
	p, err := plan.Make(t.Context(), r, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	after, err := buying.OfPlan(p)
	if err != nil {
		t.Fatal(err)
	}
	times := func(lines []visit.PartLine) (n int) {
		for _, l := range lines {
			if slices.Equal(l.Positions(), first.Positions()) {
				n++
			}
		}
		return n
	}
	var had []visit.PartLine
	words := ""
	for i := range after.Lots {
		had, words = append(had, after.Lots[i].Had...), words+after.Lots[i].HadWords().String()
	}
	if now := asked(after); times(now) != times(all)-1 || len(had) != 1 || times(had) != 1 {
		t.Errorf("asked for %d times in place of %d, bought %v", times(now), times(all), visit.PartViews(had))
	}
	if got := had[0].Spec; got.Number != "N-1" || got.Cost == nil || got.Cost.String() != "12.50 EUR" {
		t.Errorf("it is told as %+v", got)
	}
	if !strings.Contains(words, "for 12.50 EUR, N-1, shop in town.") {
		t.Errorf("told: %q", words)
	}
	r = r.WithRecord(r.Vehicle, append(slices.Clone(r.State.Record), &fleet.Entry{ID: "fitted", Vehicle: r.Vehicle.ID,
		Type: fleet.TypeFitted, Date: r.On, Recorded: time.Now(),
		Fitted: &fleet.Fitted{Position: first.Positions()[0]}}), r.On)
	if r.State.Place(first.Positions()[0]).Bought != nil {
		t.Error("it is fitted, and still waits")
	}
}
