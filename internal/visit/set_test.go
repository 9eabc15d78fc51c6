package visit_test

import (
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// What is sold as one stands as one line, of what is changed and of what is
// bought, at what its parts cost together (common practice: a timing belt is
// bought with tensioner, idlers and pump).
func TestASetIsOneLine(t *testing.T) {
	r := demotest.Reports(t)["dunnock"]
	for _, id := range []string{"timing-belt", "timing-tensioner", "timing-idler", "water-pump"} {
		job := sheetOf(t, r, visit.JobOptions{Positions: []string{id}})
		var changed []string
		for _, task := range job.Lines() {
			if task.Do == fleet.DoReplace {
				changed = append(changed, task.Title().String())
			}
		}
		if !strings.HasPrefix(changed[0], "Timing set: timing belt, ") ||
			strings.Contains(strings.Join(changed[1:], " "), "iming") {
			t.Errorf("%s: told as %q", id, changed)
		}
		set := job.Parts[0]
		if len(set.Of) != 4 || slices.ContainsFunc(job.Parts[1:], func(l visit.PartLine) bool {
			return len(l.Of) > 0 || strings.Contains(l.What().String(), "iming")
		}) {
			t.Errorf("%s: bought as %v", id, job.View().Parts)
		}
		sum := 0.0
		for _, of := range set.Of {
			sum += of.Spec.Cost.Value()
			if !strings.Contains(set.What().String(), strings.ToLower(of.Spec.Name[:1])+of.Spec.Name[1:]) {
				t.Errorf("%s: %q does not name the %s", id, set.What(), of.Spec.Name)
			}
		}
		if set.Spec.Cost == nil || set.Spec.Cost.Value() != sum {
			t.Errorf("%s: the set costs %v, its parts %v", id, set.Spec.Cost, sum)
		}
		alone := sheetOf(t, r, visit.JobOptions{Positions: []string{id}, Alone: true})
		if len(alone.Parts) != 1 || len(alone.Parts[0].Of) != 0 {
			t.Errorf("%s alone is bought as %+v", id, alone.Parts)
		}
	}
}

// The price of a set may stand at its first part with nothing at the others; of
// a part without a price the line says so.
func TestThePriceOfASet(t *testing.T) {
	r := demotest.Reports(t)["dunnock"]
	price := func(id string) **units.Quantity {
		i := slices.IndexFunc(r.Vehicle.Positions, func(p fleet.Position) bool { return p.ID == id })
		return &r.Vehicle.Positions[i].Part.Cost
	}
	at := func(id, amount string) {
		was := *price(id)
		t.Cleanup(func() { *price(id) = was })
		*price(id) = nil
		if amount != "" {
			q := units.MustParse(amount)
			*price(id) = &q
		}
	}
	for _, c := range []struct{ tensioner, want, says string }{{"0 EUR", "140.00 EUR", ""},
		{"", "140.00 EUR", "priced without the timing belt tensioner"}} {
		at("timing-belt", "140 EUR")
		at("timing-tensioner", c.tensioner)
		at("timing-idler", "0 EUR")
		at("water-pump", "0 EUR")
		job := sheetOf(t, r, visit.JobOptions{Positions: []string{"timing-belt"}})
		set := job.Parts[0]
		if set.Spec.Cost == nil || set.Spec.Cost.String() != c.want || !strings.HasSuffix(set.What().String(), c.says) {
			t.Errorf("tensioner at %q: %v, %s", c.tensioner, set.Spec.Cost, set.What())
		}
	}
}
