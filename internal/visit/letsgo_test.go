package visit_test

import (
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/visit"
)

// What the kind of a part warns of is read before what it warns of is let out or
// let go, of every part of every archetype and of the demo yard by itself.
func TestACautionComesBeforeWhatItWarnsOf(t *testing.T) {
	checked := 0
	for _, r := range append(demotest.Unknown(t), demotest.All(t)...) {
		for i := range r.Judgements {
			checked += warnsInTime(t, r, r.Judgements[i].Position.ID)
		}
	}
	if checked < 100 {
		t.Errorf("only %d cautions come before an opening", checked)
	}
}

// warnsInTime counts the cautions of a change that are about an opening of it.
func warnsInTime(t *testing.T, r *advise.Report, id string) int {
	t.Helper()
	job, err := visit.NewJob(r, visit.JobOptions{Positions: []string{id}})
	if err != nil {
		return 0 // nothing is fitted there
	}
	j, checked := r.Judgement(id), 0
	lets := visit.LetsGo(r.Vehicle, j.Position, j.Kind.Belt != "")
	opens := slices.IndexFunc(job.Steps, func(s visit.Step) bool {
		return s.Kind == visit.StepOpen && slices.Contains(lets, s.Opening.ID)
	})
	if opens < 0 {
		return 0
	}
	for _, c := range j.Kind.Cautions {
		said := -1
		for _, sentence := range parted(c) {
			said = max(said, slices.IndexFunc(job.Steps, func(s visit.Step) bool {
				return slices.Contains(parted(strings.Join(s.Cautions, " ")), sentence)
			}))
		}
		if checked++; said < 0 || said > opens {
			t.Errorf("%s, %s: %q is read before step %d, what it warns of is step %d", r.Vehicle.ID, id,
				c, said+1, opens+1)
		}
	}
	return checked
}
