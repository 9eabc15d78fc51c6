package visit_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/visit"
)

// A figure is kept with the tick of its step, or added to one that stands; one that
// is far from the sheet's is asked again, and what tightens nothing is refused.
func TestWhatAFastenerWasTightenedTo(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	b, opt := newBench(t, r), visit.JobOptions{Positions: some(r, 12)}
	job := b.sheet(opt)
	i := slices.IndexFunc(job.Steps, func(s visit.Step) bool { return len(s.Torques) > 0 })
	key, q := job.Steps[i].Keys[0], job.Steps[i].Torques[0]
	typed := func(figure string) []visit.Typed {
		return []visit.Typed{{Step: key, What: q.Fasteners(), Figure: figure}}
	}
	entries, err := job.Tick(b.r, []string{key}, visit.PassBefore, b.id)
	if err != nil {
		t.Fatal(err)
	}
	var unlikely *visit.Unlikely
	if _, err := job.Tighten(entries, typed("7 kN·m"), "N·m", false); fleet.KindOf(err) != fleet.Invalid {
		t.Errorf("no torque at all: %v", err)
	}
	foreign, _, _ := strings.Cut(q.Torque.To("lbf·ft").String(), " ")
	if _, err := job.Tighten(entries, typed(foreign), "N·m", false); !errors.As(err, &unlikely) {
		t.Errorf("the figure of another unit: %v", err)
	}
	for _, figure := range []string{"tight", "-5", "0 N·m"} {
		if _, err := job.Tighten(entries, typed(figure), "N·m", true); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%q: %v", figure, err)
		}
	}
	other := []visit.Typed{{Step: key, What: "string", Figure: "5"}}
	if _, err := job.Tighten(entries, other, "N·m", true); fleet.KindOf(err) != fleet.NotFound {
		t.Errorf("a fastener that is none: %v", err)
	}
	if _, err := job.Tighten(nil, typed(q.Torque.String()), "N·m", false); fleet.KindOf(err) != fleet.Conflict {
		t.Errorf("a step that is not ticked: %v", err)
	}
	entries, err = job.Tighten(entries, typed(q.Torque.String()), "N·m", false)
	if err != nil {
		t.Fatal(err)
	}
	b.keep(entries)
	job = b.sheet(opt)
	if set := job.Work.Set[key]; len(set) != 1 || set[0].Torque.String() != q.Torque.String() {
		t.Fatalf("kept: %+v", set)
	}
	if left := job.News(typed(q.Torque.String())); len(left) != 0 {
		t.Errorf("told again it is news: %v", left)
	}
	tick := job.Work.Ticks[key]
	more, err := job.Tighten(nil, typed(q.Torque.To("lbf·ft").String()), "N·m", true)
	if err != nil || len(more) != 1 {
		t.Fatalf("%d entries, %v", len(more), err)
	}
	b.keep(more)
	job = b.sheet(opt)
	if set := job.Work.Set[key]; len(set) != 1 || set[0].Torque.Unit() != "lbf·ft" || job.Work.Ticks[key] != tick {
		t.Errorf("told anew: %+v", set)
	}
}
