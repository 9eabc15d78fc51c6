package visit_test

import (
	"slices"
	"testing"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/visit"
)

// restful reports whether a part has a look at rest, and one that needs no cold
// engine.
func restful(j *judge.Judgement) (some, warm bool) {
	for _, c := range j.Kind.Checks {
		asks := c.OnDemand || c.BeltOff || c.Needs != "" || c.Engine == fleet.Running || c.Engine == fleet.Hot ||
			c.Sense == catalogue.Record
		some = some || !asks
		warm = warm || !asks && c.Engine != fleet.Cold
	}
	return some, warm
}

// Every sheet that opens something offers all that shows then, each between
// steps where it lies open with the engine at rest, cold where it has to be, and
// nothing that it deals with anyway.
func TestWhatIsOpenIsOffered(t *testing.T) {
	offers := 0
	for _, r := range machines(t) {
		sheets := [][]string{demotest.Due(r)}
		for i := range r.Judgements {
			if !r.Judgements[i].Position.LookOnly {
				sheets = append(sheets, []string{r.Judgements[i].Position.ID})
			}
		}
		for _, positions := range sheets {
			job := sheetOf(t, r, visit.JobOptions{Positions: positions})
			offered := map[string]bool{}
			last := 1e18
			for _, e := range job.Exposed() {
				p := e.Judgement.Position
				offered[p.ID] = true
				offers++
				if per := e.Worth / e.Minutes; per > last {
					t.Errorf("%s, %v: the %s tells more than what stands before it", r.Vehicle.About, positions, p.Name)
				} else {
					last = per
				}
				if bad := lies(r.Vehicle, job, &e); bad != "" {
					t.Errorf("%s, %v: the %s cannot be looked at from step %d to %d: %s", r.Vehicle.About, positions,
						p.Name, e.After, e.Before, bad)
				}
			}
			for _, j := range r.Walk() {
				open := bare(r.Vehicle, job, j)
				task := slices.ContainsFunc(job.Tasks, func(t visit.Task) bool {
					return t.Judgement.Position == j.Position
				})
				if open && !task && !offered[j.Position.ID] {
					t.Errorf("%s, %v: the %s is open and not offered", r.Vehicle.About, positions, j.Position.Name)
				}
				if offered[j.Position.ID] && task {
					t.Errorf("%s, %v: the %s is offered and dealt with", r.Vehicle.About, positions, j.Position.Name)
				}
			}
		}
	}
	if offers < 1000 {
		t.Errorf("%d offers in all", offers)
	}
}

// lies says why a part cannot be looked at between two steps, or "".
func lies(v *fleet.Vehicle, job *visit.Job, e *visit.Exposed) string {
	open, cold := map[string]bool{}, false
	need := v.Closure(e.Judgement.Position.Seen)
	for _, s := range job.Steps {
		if s.N >= e.Before {
			break
		}
		if s.Opening != nil {
			open[s.Opening.ID] = s.Kind == visit.StepOpen
			cold = cold || s.Kind == visit.StepOpen && s.Opening.Engine == fleet.Cold
		}
		if s.N < e.After {
			continue
		}
		for _, id := range need {
			if !open[id] {
				return id + " is shut"
			}
		}
		if s.N > e.After && (s.Use.Turns() || s.Kind == visit.StepWarm) {
			return "the engine turns"
		}
		if _, warm := restful(e.Judgement); !warm && !cold {
			return "the engine may be hot"
		}
	}
	return ""
}

// bare reports whether a part can be looked at somewhere on a sheet: all that
// hides it open, and the engine cold where no look does without.
func bare(v *fleet.Vehicle, job *visit.Job, j *judge.Judgement) bool {
	some, warm := restful(j)
	need, open, cold := v.Closure(j.Position.Seen), map[string]bool{}, false
	for _, s := range job.Steps {
		if s.Opening != nil {
			open[s.Opening.ID] = s.Kind == visit.StepOpen
			cold = cold || s.Kind == visit.StepOpen && s.Opening.Engine == fleet.Cold
		}
		if len(need) > 0 && some && (warm || cold) && !slices.ContainsFunc(need, func(id string) bool {
			return !open[id]
		}) {
			return true
		}
	}
	return false
}
