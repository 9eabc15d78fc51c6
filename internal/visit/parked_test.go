package visit_test

import (
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/visit"
)

// afterFinding is a report with one more answer found on its day.
func afterFinding(before *advise.Report, position, check, answer string) *advise.Report {
	e := &fleet.Entry{ID: "z", Type: fleet.TypeFound, Vehicle: before.Vehicle.ID, Date: before.On,
		Found: &fleet.Found{Position: position, Check: check, Answer: answer}}
	return advise.Vehicle(before.Catalogue, before.Vehicle, append(slices.Clone(before.State.Record), e), before.On)
}

// An engine that a leak of fuel or a bad timing belt bars is not warmed for its oil,
// nor started for a test that leaves the part in; a bad brake hose bars no start
// (common practice).
func TestAParkedEngineIsNotStarted(t *testing.T) {
	const says = "Do not start the engine before what parks the vehicle is put right"
	for _, c := range []struct {
		position, check, answer string
		bars                    bool
	}{
		{"fuel-filter", "leak", "drops-fall", true},
		{"timing-belt", "teeth", "missing-teeth", true},
		{"brake-hoses-front", "leak", "drops-fall", false},
	} {
		for _, with := range []bool{true, false} {
			r := afterFinding(demotest.Reports(t)["dunnock"], c.position, c.check, c.answer)
			if r.Judgement(c.position).Verdict != fleet.Park {
				t.Fatalf("%s is not parked", c.position)
			}
			chosen := []string{"engine-oil"}
			if with {
				chosen = append(chosen, c.position)
			}
			job := sheetOf(t, r, visit.JobOptions{Positions: chosen, Alone: true})
			if warm := find(job.Steps, kind(visit.StepWarm)) >= 0; warm == c.bars {
				t.Errorf("%s, changed %v: warmed %v", c.position, with, warm)
			}
			told := 0
			for i := range job.Steps {
				if slices.ContainsFunc(job.Steps[i].Cautions, func(s string) bool {
					return strings.HasPrefix(s, says)
				}) {
					told++
				}
			}
			if want := map[bool]int{true: 1, false: 2}[with]; c.bars && told != want || !c.bars && told > 0 {
				t.Errorf("%s, changed %v: the sheet says so %d times", c.position, with, told)
			}
			if f := simulate(r, job); len(f) > 0 {
				t.Errorf("%s, changed %v: %v", c.position, with, f)
			}
		}
	}
}

// What other work has left open, and a sheet does not close, is said before the
// sheet's first start (common practice); what it closes itself is not.
func TestASheetSaysWhatOtherWorkLeftOpen(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	opened := func(id string) *advise.Report {
		e := &fleet.Entry{ID: "a", Type: fleet.TypeOpened, Vehicle: "heron", Date: r.On,
			Opened: &fleet.Opened{Opening: id}}
		return advise.Vehicle(r.Catalogue, r.Vehicle, append(slices.Clone(r.State.Record), e), r.On)
	}
	says := func(r *advise.Report) (warned, starts bool) {
		for _, s := range sheetOf(t, r, visit.JobOptions{Positions: []string{"main-belt"}}).Steps {
			if s.Use.Rank() >= machine.Cranking.Rank() {
				return strings.Contains(strings.Join(s.Cautions, " "), "Not to be started: "), true
			}
		}
		return false, false
	}
	if warned, starts := says(opened("coolant-drained")); !warned || !starts {
		t.Errorf("with the coolant out it is started %v, and warned of %v", starts, warned)
	}
	if warned, starts := says(opened("main-belt-off")); warned || !starts {
		t.Errorf("with what it closes open it is started %v, and warned of %v", starts, warned)
	}
}
