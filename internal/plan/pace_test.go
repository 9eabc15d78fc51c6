package plan_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/undone"
)

// An owner who takes twice as long for an opening of the next visit, three evenings
// long, has a longer visit planned, and the sheet says whose minutes these are.
func TestAPlanTakesTheOwnersMinutes(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	before := planned(t, "heron", plan.Options{})
	o := before.Visits[0].Openings[slices.IndexFunc(before.Visits[0].Openings, func(o *fleet.Opening) bool {
		return o.Undo != "" && o.Minutes >= 5
	})]
	day := r.On.AddDays(-30)
	record, n := slices.Clone(r.State.Record), 0
	at := time.Date(day.Year, day.Month, day.Day, 16, 0, 0, 0, time.UTC)
	add := func(w fleet.Work) string {
		n++
		id := fmt.Sprintf("pace-%06d", n)
		record = append(record, &fleet.Entry{ID: id, Vehicle: "heron", Type: fleet.TypeWork, Date: day,
			Recorded: at, Work: &w})
		return id
	}
	for range 3 {
		of := add(fleet.Work{Begins: []fleet.WorkTask{{Position: "main-belt", Do: fleet.DoInspect}}})
		add(fleet.Work{Of: of, Step: "warm"})
		at = at.Add(time.Duration(2 * o.Minutes * float64(time.Minute)))
		add(fleet.Work{Of: of, Step: undone.OpenKey(o.ID)})
		add(fleet.Work{Of: of, Ended: true})
		at = at.Add(2 * time.Hour)
	}
	after, err := plan.Make(t.Context(), r.WithRecord(r.Vehicle, record, r.On), plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	own := after.Vehicle.Opening(o.ID)
	if own.Minutes <= o.Minutes || own.Minutes > 2*o.Minutes {
		t.Fatalf("%s takes %g min, the sheet says %g", o.ID, own.Minutes, o.Minutes)
	}
	sum := func(p *plan.Plan) (minutes float64) {
		for _, v := range p.Visits {
			if slices.ContainsFunc(v.Openings, func(x *fleet.Opening) bool { return x.ID == o.ID }) {
				return v.Minutes
			}
		}
		return 0
	}
	if sum(after) <= sum(before) {
		t.Errorf("a visit with %s takes %g min where it took %g", o.ID, sum(after), sum(before))
	}
	job, err := after.Job(1)
	if err != nil {
		t.Fatal(err)
	}
	st := job.Step(undone.OpenKey(o.ID))
	if st == nil || st.Own == nil || !strings.Contains(st.YoursInFull().String(), "the sheet says") {
		t.Errorf("the sheet does not say whose minutes %s takes: %+v", o.ID, st)
	}
	for _, s := range job.Steps {
		if s.Opening != nil && s.Opening.ID != o.ID && s.Own != nil {
			t.Errorf("%v is called the owner's own", s.Keys)
		}
	}
}
