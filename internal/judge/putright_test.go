package judge

import (
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// The nearest deadline comes first: before the next drive, within a distance
// or a time, at the next visit, with the oil change; a distance run out counts
// as before the next drive.
func TestTodosByDeadline(t *testing.T) {
	on := civil.MustParse("2026-11-25")
	km := func(s string) *units.Quantity { q := units.MustParse(s); return &q }
	limit := func(do fleet.Action, by fleet.Deadline) *fleet.Limit {
		return &fleet.Limit{Verdict: fleet.PutRight, Do: do, By: &by}
	}
	found := &fleet.Finding{Moment: fleet.Moment{Date: on, Total: 1000, HasTotal: true}}
	in := Input{State: &fleet.State{On: on}, Total: 1000, HasTotal: true}
	j := Judgement{Verdict: fleet.PutRight, Reasons: []Reason{
		{Governs: true, Verdict: fleet.PutRight, Finding: found,
			Limit: limit(fleet.Change, fleet.Deadline{Occasion: fleet.NextOilChange})},
		{Governs: true, Verdict: fleet.PutRight, Finding: found,
			Limit: limit(fleet.Clean, fleet.Deadline{Occasion: fleet.NextVisit})},
		{Governs: true, Verdict: fleet.PutRight, Finding: found,
			Limit: limit(fleet.Tighten, fleet.Deadline{Distance: km("500 km")})},
		{Governs: true, Verdict: fleet.PutRight, Finding: found,
			Limit: limit(fleet.TopUp, fleet.Deadline{Occasion: fleet.BeforeNextDrive})},
		{Governs: false, Verdict: fleet.PutRight, Finding: found,
			Limit: limit(fleet.Test, fleet.Deadline{Occasion: fleet.BeforeNextDrive})},
	}}
	got := in.todos(&j)
	want := []fleet.Action{fleet.TopUp, fleet.Tighten, fleet.Clean, fleet.Change}
	if len(got) != len(want) {
		t.Fatalf("%d to do, want %d", len(got), len(want))
	}
	for i := range want {
		if got[i].Action != want[i] {
			t.Errorf("%d: %s, want %s", i, got[i].Action, want[i])
		}
	}
	if got[1].Now || got[1].Until.Total != 1500 {
		t.Errorf("within 500 km of 1000: %+v", got[1])
	}
	in.Total = 1600
	for _, todo := range in.todos(&j) {
		if todo.Action == fleet.Tighten && !todo.Now {
			t.Error("600 km on, what was due within 500 km may still wait")
		}
	}
}

// A deadline by distance counts from where the vehicle stood when it was found: between two
// readings by the day, at today's expected distance where it is found today, and unplaced
// where nothing is known.
func TestADeadlineByDistanceWithoutAReading(t *testing.T) {
	day := civil.MustParse
	within := units.MustParse("500 km")
	limit := fleet.Limit{Verdict: fleet.PutRight, Do: fleet.Tighten, By: &fleet.Deadline{Distance: &within}}
	readings := []fleet.Reading{{Date: day("2026-10-01"), Total: 10000},
		{Date: day("2026-10-11"), Total: 11000}}
	for _, c := range []struct {
		found string
		known bool
		want  float64
	}{
		{"2026-10-06", true, 11000}, {"2026-10-11", true, 11500}, {"2026-10-21", true, 12500},
		{"2026-10-31", true, 13500}, {"2026-10-21", false, 0},
	} {
		in := Input{State: &fleet.State{On: day("2026-10-31"), Readings: readings}, Total: 13000, HasTotal: true}
		if !c.known {
			in = Input{State: &fleet.State{On: in.State.On}}
		}
		got := in.todo(&Reason{Verdict: fleet.PutRight, Limit: &limit,
			Finding: &fleet.Finding{Moment: fleet.Moment{Date: day(c.found)}}})
		if got.Until.Total != c.want || got.Until.HasTotal != c.known || got.Now != (c.want != 0 && c.want <= 13000) {
			t.Errorf("found on %s: until %+v, now %v; want %g", c.found, got.Until, got.Now, c.want)
		}
	}
}
