package visit_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/visit"
)

// Whatever is chosen to be open: an opening is made once and before what needs it, a wheel's bolts are slackened
// before anything is raised, each stop at rest is laid open, and before anything runs all is closed again, no
// vehicle let down while a wheel is off (sequences of the trade, as TestSheetsKeepToPublishedSequences names them).
func TestARoundOpensAndClosesInOrder(t *testing.T) {
	random, opened := rand.New(rand.NewPCG(3, 9)), 0
	for _, r := range machines(t) {
		v := r.Vehicle
		for try := range 12 {
			opt := visit.RoundOptions{Open: []string{visit.OpenAll}, BySystem: try%3 == 2}
			if try > 1 {
				opt.Open = nil
				for i := range v.Openings {
					if random.IntN(3) == 0 {
						opt.Open = append(opt.Open, v.Openings[i].ID)
					}
				}
			}
			round, err := visit.NewRound(r, opt)
			if err != nil {
				t.Fatal(err)
			}
			opened += opensInOrder(t, round)
		}
	}
	if opened < 500 {
		t.Errorf("%d openings: too few", opened)
	}
}

// opensInOrder holds a round to that, and counts its openings.
func opensInOrder(t *testing.T, round *visit.Round) (opened int) {
	t.Helper()
	v := round.Vehicle
	open, raised := map[string]bool{}, false
	for i, st := range round.Stages {
		if i >= round.ClosesBefore() && len(st.Open) > 0 {
			t.Errorf("%s: %s is opened once all is closed", v.About, st.Open[0].ID)
		}
		for _, o := range st.Open {
			for _, need := range o.Needs {
				if !open[need] {
					t.Errorf("%s: %s comes before %s", v.About, o.ID, need)
				}
			}
			if open[o.ID] || o.OnGround && raised {
				t.Errorf("%s: %s again, or in the air", v.About, o.ID)
			}
			open[o.ID], raised = true, raised || o.Raises
			opened++
		}
		for _, stop := range st.Stops {
			for _, id := range v.Closure(stop.Position.Seen) {
				if i < round.ClosesBefore() && !open[id] {
					t.Errorf("%s: %s is looked at behind %s", v.About, stop.Position.ID, id)
				}
			}
		}
	}
	closesInOrder(t, round, open)
	return opened
}

func closesInOrder(t *testing.T, round *visit.Round, open map[string]bool) {
	t.Helper()
	v := round.Vehicle
	for _, o := range round.Closing() {
		for id := range open {
			other := v.Opening(id)
			if id != o.ID && slices.Contains(v.Closure([]string{id}), o.ID) && other.Undo != "" {
				t.Errorf("%s: %s is closed while %s is open", v.About, o.ID, id)
			}
			if o.Raises && slices.Contains(other.Leaves, machine.WheelsOff) {
				t.Errorf("%s: let down by %s with %s", v.About, o.ID, id)
			}
			if o.OnGround && other.Raises {
				t.Errorf("%s: %s while %s", v.About, o.ID, id)
			}
		}
		delete(open, o.ID)
	}
	for id := range open {
		if v.Opening(id).Undo != "" {
			t.Errorf("%s: %s stays open", v.About, id)
		}
	}
}
