package plan_test

import (
	"testing"

	"undertray/internal/demo/demotest"
	"undertray/internal/fleet"
	"undertray/internal/plan"
	"undertray/internal/plan/why"
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
