package visit_test

import (
	"errors"
	"testing"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/visit"
)

// The code of a sheet lays the same round out again, whatever was open, in whichever
// order and for so many minutes; another one is refused.
func TestTheCodeOfASheet(t *testing.T) {
	for id, r := range demotest.Reports(t) {
		all := []string{visit.OpenAll}
		for _, by := range []visit.RoundOptions{{}, {Open: all}, {Open: all, BySystem: true}, {Minutes: 20}} {
			round, err := visit.NewRound(r, by)
			if err != nil {
				t.Fatal(err)
			}
			again, err := visit.Again(r, round.Code())
			if err != nil || again.Code() != round.Code() {
				t.Errorf("%s, %+v: %q, %v", id, by, round.Code(), err)
			}
			wrong := round.Code()[:len(round.Code())-4] + "aaaa"
			if _, err := visit.Again(r, wrong); fleet.KindOf(err) != fleet.Conflict {
				t.Errorf("%s, %q: %v", id, wrong, err)
			}
		}
		if _, err := visit.Again(r, "no-such-opening/aaaa"); fleet.KindOf(err) != fleet.NotFound {
			t.Errorf("%s: %v", id, err)
		}
	}
}

// What is typed by numbers that the sheet does not have is refused, each by its line.
func TestNumbersThatAreNone(t *testing.T) {
	round, err := visit.NewRound(demotest.Reports(t)["heron"], visit.RoundOptions{Open: []string{visit.OpenAll}})
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []record.TypedFinding{{Position: "sound", Answer: "1-400"}, {Position: "sound", Answer: "0"},
		{Position: "sound", Answer: "9-3"}, {Position: "sound", Answer: "all"}, {Position: "400"}, {Position: "400a"},
		{Position: "1z"}} {
		row.Where = "f:3"
		found, notes, errs := round.ByNumber([]record.TypedFinding{row})
		var e *fleet.Error
		if len(found)+len(notes) > 0 || !errors.As(errors.Join(errs...), &e) || e.Where != "f:3" ||
			e.Kind != fleet.Invalid {
			t.Errorf("%+v: %v %v %v", row, found, notes, errs)
		}
	}
	found, _, errs := round.ByNumber([]record.TypedFinding{{Position: "main-belt", Check: "cracks", Answer: "3"},
		{Position: "1", Check: "terminals", Answer: "clean"}})
	if len(errs) > 0 || len(found) != 2 || found[0].Position != "main-belt" || found[1].Check != "terminals" ||
		found[1].Position != round.Stages[0].Stops[0].Position.ID {
		t.Errorf("by name: %+v, %v", found, errs)
	}
}
