package visit_test

import (
	"slices"
	"strings"
	"testing"

	"undertray/internal/fleet"
	"undertray/internal/machine"
	"undertray/internal/visit"
)

// A belt changed with its tensioner and idlers is watched and listened to once, with
// all that is to be seen in one step, and nothing behind a timing cover is watched
// (common practice).
func TestARunIsWatchedOnce(t *testing.T) {
	watched, covered := 0, 0
	for _, r := range machines(t) {
		for i := range r.Vehicle.Runs {
			run := &r.Vehicle.Runs[i]
			job := sheetOf(t, r, visit.JobOptions{Positions: []string{run.Belt}})
			timing := r.Catalogue.Kind(r.Vehicle.Position(run.Belt).Kind).Belt == "toothed"
			watching := 0
			for k := range job.Steps {
				st := &job.Steps[k]
				if st.Use == machine.Running && (strings.Contains(st.Do, "of every pulley") ||
					strings.Contains(st.Do, "tensioner")) {
					watching++
				}
			}
			changes := slices.ContainsFunc(job.Tasks, func(task visit.Task) bool {
				return task.Do == fleet.DoReplace && task.Judgement.Position.ID != run.Belt
			})
			switch {
			case timing && watching > 0:
				t.Errorf("%s, %s: watched behind its cover", r.Vehicle.About, run.Belt)
			case watching > 1:
				t.Errorf("%s, %s: watched in %d steps", r.Vehicle.About, run.Belt, watching)
			case timing && changes:
				covered++
			case watching == 1 && changes:
				watched++
			}
		}
	}
	if watched == 0 || covered == 0 {
		t.Errorf("%d belts are changed with others and watched, %d behind a cover", watched, covered)
	}
}

// What stands between the draining and the filling of a fluid is not called its
// change: it says what is done there.
func TestAFluidIsChangedByDrainingAndFilling(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range machines(t) {
		for i := range r.Judgements {
			j := &r.Judgements[i]
			if j.Kind.Between == nil || j.Position.LookOnly {
				continue
			}
			job := sheetOf(t, r, visit.JobOptions{Positions: []string{j.Position.ID}, Alone: true})
			out := slices.ContainsFunc(job.Steps, func(s visit.Step) bool {
				return s.Kind == visit.StepOpen && slices.ContainsFunc(s.Opening.Leaves, func(u machine.Undone) bool {
					return slices.Contains(j.Kind.Leaves, u)
				})
			})
			at := find(job.Steps, kind(visit.StepChange))
			if at < 0 || strings.HasPrefix(job.Steps[at].Text(), "Change the ") == out {
				t.Errorf("%s, %s: drained %v, told as %q", r.Vehicle.About, j.Position.ID, out,
					job.Steps[max(0, at)].Text())
			}
			seen[j.Kind.ID] = seen[j.Kind.ID] || out
		}
	}
	for _, id := range []string{"engine-oil", "coolant", "gearbox-oil", "auto-gearbox-fluid", "steering-fluid",
		"brake-fluid"} {
		if !seen[id] {
			t.Errorf("no sheet drains and fills %s", id)
		}
	}
}
