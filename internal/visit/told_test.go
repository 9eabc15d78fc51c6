package visit_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/visit"
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
			case timing && watching > 0 && !laidAgain(r, job):
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

// plug is what closes what a fluid ran out of.
var plug = regexp.MustCompile(`put the (drain )?plug back|close the drain`)

// drainedFrom is where one stands to let out what a kind of part leaves out.
func drainedFrom(job *visit.Job, leaves []machine.Undone) fleet.Side {
	for _, s := range job.Steps {
		if s.Kind == visit.StepOpen && slices.ContainsFunc(s.Opening.Leaves, func(u machine.Undone) bool {
			return slices.Contains(leaves, u)
		}) {
			return s.From
		}
	}
	return ""
}

// What stands between the draining and the filling of a fluid is not called its
// change: it says what is done there, and stands where it is done: a drain is closed from where it was
// opened, coolant and engine oil are filled in from above (common practice).
func TestAFluidIsChangedByDrainingAndFilling(t *testing.T) {
	seen, sides := map[string]bool{}, 0
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
			if at < 0 || strings.HasPrefix(job.Steps[at].Text().String(), "Change the ") == out {
				t.Errorf("%s, %s: drained %v, told as %q", r.Vehicle.About, j.Position.ID, out,
					job.Steps[max(0, at)].Text())
			}
			seen[j.Kind.ID] = seen[j.Kind.ID] || out
			for _, s := range job.Steps {
				filled := s.Kind == visit.StepClose && (slices.Contains(s.Opening.Leaves, machine.CoolantOut) ||
					slices.Contains(s.Opening.Leaves, machine.OilOut))
				plugged := s.Kind == visit.StepChange && plug.MatchString(s.Text().String())
				if filled && s.From != fleet.Above || plugged && s.From != drainedFrom(job, j.Kind.Leaves) {
					t.Errorf("%s, %s: %q stands under %q", r.Vehicle.About, j.Position.ID, s.Text(), s.From)
				}
				if filled || plugged {
					sides++
				}
			}
		}
	}
	if sides < 10 {
		t.Errorf("only %d drains are closed and refilled", sides)
	}
	for _, id := range []string{"engine-oil", "coolant", "gearbox-oil", "auto-gearbox-fluid", "steering-fluid",
		"brake-fluid"} {
		if !seen[id] {
			t.Errorf("no sheet drains and fills %s", id)
		}
	}
}

// A belt that is cut off is not laid on again: whatever else it is cut off for, the
// sheet has a new one ready (belt makers: a stretch-fit belt is used once).
func TestACutBeltHasANewOneReady(t *testing.T) {
	cut := 0
	for _, r := range machines(t) {
		for i := range r.Judgements {
			belt := r.Judgements[i].Position
			if r.Judgements[i].Kind.Belt != catalogue.StretchBelt {
				continue
			}
			for k := range r.Judgements {
				if r.Judgements[k].Position.LookOnly {
					continue
				}
				job := sheetOf(t, r, visit.JobOptions{Positions: []string{r.Judgements[k].Position.ID}, Alone: true})
				said, off := "", false
				for n := range job.Steps {
					said += job.Steps[n].Text().String() + " "
					off = off || job.Steps[n].Kind == visit.StepOpen &&
						slices.Contains(belt.Changed, job.Steps[n].Opening.ID)
				}
				for _, c := range job.Consumables {
					said += c.What + " "
				}
				for _, p := range job.Parts {
					said += p.Spec.Name + " "
				}
				if !off {
					continue
				}
				if cut++; !strings.Contains(said, "new stretch-fit belt ready") &&
					!strings.Contains(said, belt.Part.Name) {
					t.Errorf("%s: the %s is cut off for the %s, and no new one is ready", r.Vehicle.About, belt.Name,
						r.Judgements[k].Position.Name)
				}
			}
		}
	}
	if cut < 2 {
		t.Errorf("%d sheets cut a belt off", cut)
	}
}

// laidAgain reports whether a sheet takes a belt off and does not change it.
func laidAgain(r *advise.Report, job *visit.Job) bool {
	return len((&simulator{r: r, job: job}).relaid()) > 0
}

// A belt that is taken off for something else is looked at once it is on again, in
// its grooves and running, and a sheet that leaves that out is caught (common
// practice: it lies a groove over as easily as a new one).
func TestABeltLaidOnAgainIsLookedAt(t *testing.T) {
	seats, runs := 0, 0
	for _, r := range machines(t) {
		for i := range r.Judgements {
			if r.Judgements[i].Position.LookOnly {
				continue
			}
			job := sheetOf(t, r, visit.JobOptions{Positions: []string{r.Judgements[i].Position.ID}, Alone: true})
			if !laidAgain(r, job) {
				continue
			}
			for _, words := range []string{"every rib sits in its groove", "look and listen: the belt runs"} {
				at := find(job.Steps, says(words))
				if at < 0 {
					continue // a V-belt has neither
				}
				spoilt := *job
				spoilt.Steps = slices.Delete(slices.Clone(job.Steps), at, at+1)
				if len(simulate(r, &spoilt)) == 0 {
					t.Errorf("%s, %s: without %q it is not caught", r.Vehicle.About, r.Judgements[i].Position.ID, words)
				}
				if seats++; at == len(job.Steps)-1 || job.Steps[at].Use == machine.Running {
					runs++
				}
			}
		}
	}
	if seats < 10 || runs < 5 {
		t.Errorf("%d looks at belts laid on again, %d of them running", seats, runs)
	}
}
