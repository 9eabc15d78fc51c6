package visit_test

import (
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/visit"
)

// What only wants topping up is topped up, and where it goes found out: nothing
// is opened for a change or bought (common practice: a level that falls is a
// leak, not an age).
func TestToppingUpIsNoChange(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	low := &fleet.Entry{ID: "z", Vehicle: "heron", Type: fleet.TypeFound, Date: r.On,
		Found: &fleet.Found{Position: "brake-fluid", Check: "level", Answer: "low"}}
	with := advise.Vehicle(r.Catalogue, r.Vehicle, append(slices.Clone(r.State.Record), low), r.On)
	if got := with.Judgement("brake-fluid").Remedy(); got != fleet.TopUp {
		t.Fatalf("a low level asks for %q", got)
	}
	made, err := plan.Make(t.Context(), with, plan.Options{Months: 6})
	if err != nil {
		t.Fatal(err)
	}
	job, err := made.Job(1)
	if err != nil {
		t.Fatal(err)
	}
	if f := simulate(with, job); len(f) > 0 {
		t.Error(f)
	}
	topped := slices.IndexFunc(job.Steps, func(s visit.Step) bool {
		return s.Kind == visit.StepPutRight && s.Position.ID == "brake-fluid"
	})
	if topped < 0 || !strings.HasPrefix(job.Steps[topped].Words().String(),
		"Top up the brake fluid and find where it goes") {
		t.Errorf("the next visit does not top up the brake fluid: %d", topped)
	}
	for _, s := range job.Steps {
		if s.Kind == visit.StepChange && s.Position.ID == "brake-fluid" {
			t.Error("it changes it as well")
		}
	}
	if slices.ContainsFunc(job.Parts, func(l visit.PartLine) bool { return l.Position.ID == "brake-fluid" }) {
		t.Error("it buys a filling")
	}
	chosen, err := visit.NewJob(with, visit.JobOptions{Positions: []string{"brake-fluid"}, Alone: true})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(chosen.Steps, func(s visit.Step) bool { return s.Kind == visit.StepChange }) {
		t.Error("a change that the owner chose is no longer laid out")
	}
}
