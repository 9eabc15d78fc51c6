package visit_test

import (
	"regexp"
	"slices"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/visit"
)

// A second person is called once for a round, and for all that wants one: whatever
// names a helper stands in two sections, one after the other, no check is lost to
// them and none is asked twice (common practice).
func TestASecondPersonIsCalledOnce(t *testing.T) {
	found := 0
	for _, r := range slices.Concat(demotest.Unknown(t), demotest.All(t)) {
		for _, bySystem := range []bool{false, true} {
			round, err := visit.NewRound(r, visit.RoundOptions{Open: []string{visit.OpenAll}, BySystem: bySystem})
			if err != nil {
				t.Fatal(err)
			}
			found += calledOnce(t, r, round)
		}
	}
	if found == 0 {
		t.Error("nothing wants a second person")
	}
}

// wants is what a check says that wants a second person.
var wants = regexp.MustCompile(`(?i)\bhelper\b`)

// calledOnce holds a round to that, and counts what wants one.
func calledOnce(t *testing.T, r *advise.Report, round *visit.Round) (found int) {
	t.Helper()
	asked, at := map[string]int{}, []int{}
	for i, st := range round.Stages {
		helped := st.Kind == visit.StageHelped || st.Kind == visit.StageBoth
		if helped {
			at = append(at, i)
		}
		for _, stop := range st.Stops {
			for _, c := range stop.Checks {
				asked[stop.Position.ID+" "+c.ID]++
				if wants.MatchString(c.Question+c.How) != helped {
					t.Errorf("%s: %s of %s stands %s", r.Vehicle.ID, c.ID, stop.Position.ID, st.Title())
				}
				if helped {
					found++
				}
			}
			if helped && stop.Glance != nil {
				t.Errorf("%s: the %s is sound at a glance with two", r.Vehicle.ID, stop.Position.ID)
			}
		}
	}
	if len(at) > 0 && at[len(at)-1]-at[0] != len(at)-1 {
		t.Errorf("%s: a second person is called again: sections %v", r.Vehicle.ID, at)
	}
	for i := range r.Judgements {
		j := &r.Judgements[i]
		for _, c := range j.Kind.Checks {
			if c.OnDemand || c.BeltOff || !wants.MatchString(c.Question+c.How) {
				continue
			}
			want := 1
			if c.Engine == fleet.Running && c.Sense == catalogue.Look && underneath(r.Vehicle, j.Position) {
				want = 0
			}
			if n := asked[j.Position.ID+" "+c.ID]; n != want {
				t.Errorf("%s: %s of %s is asked %d times", r.Vehicle.ID, c.ID, j.Position.ID, n)
			}
		}
	}
	return found
}

// underneath reports whether a part shows only with the vehicle raised.
func underneath(v *fleet.Vehicle, p *fleet.Position) bool {
	for _, id := range v.Closure(p.Seen) {
		if v.Opening(id).Raises {
			return true
		}
	}
	return false
}

// A round's openings are listed as they are safely made: wheel nuts on the ground
// before anything is raised, what needs no raising before it, and each after what it
// needs; and with the engine running nothing is watched that shows from below alone
// (Health and Safety Executive, Working under vehicles, read; common practice).
func TestARoundIsOpenedInASafeOrder(t *testing.T) {
	raised, hidden := 0, 0
	for _, r := range slices.Concat(demotest.Unknown(t), demotest.All(t)) {
		round, err := visit.NewRound(r, visit.RoundOptions{Open: []string{visit.OpenAll}})
		if err != nil {
			t.Fatal(err)
		}
		up, open := false, map[string]bool{}
		for _, o := range round.Open {
			for _, n := range o.Needs {
				if !open[n] {
					t.Errorf("%s: %s before %s", r.Vehicle.ID, o.ID, n)
				}
			}
			under := o.Raises || slices.ContainsFunc(r.Vehicle.Closure([]string{o.ID}), func(n string) bool {
				return r.Vehicle.Opening(n).Raises
			})
			if up && !under {
				t.Errorf("%s: %s with the vehicle raised", r.Vehicle.ID, o.ID)
			}
			if open[o.ID] = true; o.Raises {
				up = true
				raised++
			}
		}
		for _, st := range round.Stages {
			for _, stop := range st.Stops {
				for _, c := range stop.Checks {
					if !underneath(r.Vehicle, stop.Position) {
						continue
					}
					if hidden++; c.Engine == fleet.Running && c.Sense == catalogue.Look {
						t.Errorf("%s: %s of %s is watched from under it", r.Vehicle.ID, c.ID, stop.Position.ID)
					}
				}
			}
		}
	}
	if raised < 5 || hidden < 20 {
		t.Errorf("%d raised, %d checks from below", raised, hidden)
	}
}
