package plan_test

import (
	"strings"
	"testing"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/why"
)

// A part stands months before its limit only for a reason that is said, and no
// group explains itself in a circle.
func TestEarlyTasksSayWhy(t *testing.T) {
	for id, p := range plansOf(t, someRules...) {
		for _, v := range p.Visits {
			for _, task := range v.Tasks {
				if task.Do != fleet.DoReplace || task.Due.IsZero() || task.Due.Sub(v.Date) < 100 ||
					task.Reason.Cause.Code == why.DueAgain {
					continue
				}
				if task.Reason.Stand.Code == "" {
					t.Errorf("%s visit %d: %s is due on %s and stands on %s: %q", id, v.N, task.Title(), task.Due,
						v.Date, task.Why())
				}
				for _, other := range v.Tasks {
					if explains(&other, &task) && explains(&task, &other) {
						t.Errorf("%s visit %d: %s and %s explain each other", id, v.N, task.Title(), other.Title())
					}
				}
			}
		}
	}
}

// explains reports whether one task says that it stands where another does.
func explains(one, other *plan.Task) bool {
	s := &one.Reason.Stand
	return (s.Code == why.StandPace || s.Code == why.StandWith) && other.Judgement != nil &&
		s.With.Position == other.Judgement.Position
}

// What is said of several parts of a visit is said once, and none of them is lost.
func TestTheSameReasonIsSaidOnce(t *testing.T) {
	together := 0
	for id, p := range plansOf(t, someRules...) {
		for i := range p.Visits {
			v, said, tasks := &p.Visits[i], map[string]bool{}, 0
			for _, alike := range v.Alike() {
				tasks += len(alike)
				if len(alike[0].Positions) > 1 || strings.Contains(alike.Title().String(), " set: ") {
					continue
				}
				together += len(alike) - 1
				words := strings.Join(append([]string{alike[0].Do, alike[0].Why().String()}, alike[0].First...), " ")
				if said[words] {
					t.Errorf("%s visit %d: %q is said again of the %s", id, v.N, words, alike.Title())
				}
				said[words] = true
				for k := range alike {
					if name := alike[k].Title().String()[1:]; !strings.Contains(alike.Title().String(), name) {
						t.Errorf("%s visit %d: %q does not name %q", id, v.N, alike.Title(), name)
					}
				}
			}
			if lines := v.Lines(); tasks != len(lines) {
				t.Errorf("%s visit %d: %d of %d tasks are told", id, v.N, tasks, len(lines))
			}
		}
	}
	if together == 0 {
		t.Error("no reason is shared")
	}
}

// There is time to order parts before the first visit, unless the vehicle must
// not be driven before it.
func TestPartsCanBeOrdered(t *testing.T) {
	for id, r := range demotest.Reports(t) {
		p := planned(t, id, plan.Options{})
		if v := p.Visits[0]; len(v.Buy) > 0 && v.Date.Sub(r.On) < 14 {
			t.Errorf("%s: parts for %s are to be bought from %s on", id, v.Date, r.On)
		}
	}
	if p, err := plan.Make(t.Context(), demotest.Parked(t), plan.Options{}); err != nil ||
		p.Visits[0].Date.Sub(p.On) > 7 {
		t.Errorf("a parked vehicle waits: %v", err)
	}
}
