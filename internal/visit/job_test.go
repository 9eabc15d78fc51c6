package visit

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
)

// Whatever is chosen on whichever vehicle, a job sheet can be worked through
// safely from top to bottom.
func TestJobsAreSafeToFollow(t *testing.T) {
	all := demotest.Unknown(t)
	rapid.Check(t, func(t *rapid.T) {
		r := all[rapid.IntRange(0, len(all)-1).Draw(t, "vehicle")]
		var chosen []string
		for _, i := range rapid.SliceOfNDistinct(rapid.IntRange(0, len(r.Judgements)-1), 1, 8,
			rapid.ID).Draw(t, "positions") {
			chosen = append(chosen, r.Judgements[i].Position.ID)
		}
		job, err := NewJob(r, JobOptions{Positions: chosen, Alone: rapid.Bool().Draw(t, "alone")})
		if err != nil {
			t.Fatal(err)
		}
		if fault := unsafe(r, job); fault != "" {
			t.Fatalf("%s, %v: %s", r.Vehicle.Name, chosen, fault)
		}
	})
}

func TestTheWholeVehicleAtOnce(t *testing.T) {
	for _, r := range demotest.Unknown(t) {
		job, err := NewJob(r, JobOptions{Positions: demotest.Due(r)})
		if err != nil {
			t.Fatal(err)
		}
		if fault := unsafe(r, job); fault != "" {
			t.Errorf("%s: %s", r.Vehicle.About, fault)
		}
		// No torque is made up: a sheet from plain questions has none until its owner gives them.
		if len(job.Parts) == 0 || len(job.Torques) != 0 || len(job.Tools) == 0 {
			t.Errorf("%s: %d parts, %d torques, %d tools", r.Vehicle.About, len(job.Parts),
				len(job.Torques), len(job.Tools))
		}
		t.Logf("%s: %s", r.Vehicle.About, job.Headline())
	}
}

// unsafe says what is wrong with a job's order, or returns "".
func unsafe(r *advise.Report, job *Job) string {
	opened, closed := map[string]int{}, map[string]int{}
	changed := map[string]int{}
	for i, s := range job.Steps {
		switch {
		case s.Kind == StepOpen:
			opened[s.Opening.ID] = i + 1
		case s.Kind == StepClose:
			closed[s.Opening.ID] = i + 1
		case s.Kind == StepChange:
			changed[s.Position.ID] = i + 1
		}
	}
	for i, s := range job.Steps {
		if fault := unsafeStep(r, job, s, i+1, opened, closed); fault != "" {
			return fault
		}
	}
	for _, t := range job.Tasks {
		if t.Do == fleet.DoReplace && changed[t.Judgement.Position.ID] == 0 {
			return t.Judgement.Position.ID + " is not changed"
		}
	}
	return unsafeClosing(r, opened, closed)
}

func unsafeStep(r *advise.Report, job *Job, s Step, at int, opened, closed map[string]int) string {
	var needs []string
	switch {
	case s.Kind == StepOpen:
		needs = s.Opening.Needs
	case s.Kind == StepChange:
		needs = r.Vehicle.Closure(slices.Concat(s.Position.Seen, s.Position.Changed))
		needs = slices.DeleteFunc(needs, func(n string) bool {
			return s.Between != nil && s.Between.Before && leaves(r.Vehicle.Opening(n), machine.BrakesOpen)
		})
	}
	for _, n := range needs {
		if opened[n] == 0 || opened[n] > at || closed[n] != 0 && closed[n] < at {
			return fmt.Sprintf("step %d (%s) is done while %s is shut", at, s.Text(), n)
		}
	}
	if s.Engine != fleet.Running && !s.Use.Turns() {
		return ""
	}
	for id := range opened {
		if s.Raised && lifts(r.Vehicle.Opening(id)) {
			continue // it is run on its stands for this
		}
		if opened[id] < at && (closed[id] == 0 && r.Vehicle.Opening(id).Undo != "" || closed[id] > at) {
			return fmt.Sprintf("step %d runs the engine while %s is open", at, id)
		}
	}
	return ""
}

func unsafeClosing(r *advise.Report, opened, closed map[string]int) string {
	for id, at := range closed {
		o := r.Vehicle.Opening(id)
		for other, was := range opened {
			l := r.Vehicle.Opening(other)
			nested := was > opened[id] && (sameSide(o, l) && !l.OnGround || slices.Contains(l.Needs, id))
			if nested && closed[other] > at && !waitsForIgnition(r, l, opened) {
				return fmt.Sprintf("%s is closed before %s, which was opened after it", id, other)
			}
			if o.OnGround && l.Raises && (opened[id] > was || closed[other] > at) {
				return fmt.Sprintf("%s is not done and undone on the ground", id)
			}
		}
	}
	return ""
}

// waitsForIgnition reports whether an opening is put back only after a look
// with the ignition on: that look is of what it opens, or of something opened
// later.
func waitsForIgnition(r *advise.Report, o *fleet.Opening, opened map[string]int) bool {
	for id, at := range opened {
		if slices.Contains(r.Vehicle.Opening(id).UndoNeeds, machine.Ignition) && opened[o.ID] <= at {
			return true
		}
	}
	return false
}

func TestLookOnlyIsNeverOpened(t *testing.T) {
	for _, r := range demotest.Unknown(t) {
		for _, j := range r.Judgements {
			if !j.Position.LookOnly {
				continue
			}
			job, err := NewJob(r, JobOptions{Positions: []string{j.Position.ID}, Alone: true})
			if err != nil {
				t.Fatal(err)
			}
			if len(job.Steps) != 0 || len(job.Elsewhere) != 1 {
				t.Errorf("%s: %d steps, %d for a workshop", j.Position.ID, len(job.Steps), len(job.Elsewhere))
			}
		}
	}
}

func TestUnknownPositionNamesTheNearest(t *testing.T) {
	r := demotest.Unknown(t)[0]
	_, err := NewJob(r, JobOptions{Positions: []string{r.Judgements[0].Position.ID + "x"}})
	if fleet.KindOf(err) != fleet.NotFound || len(fleet.Hints(err)) == 0 {
		t.Errorf("error %v", err)
	}
}

func TestRoundShowsOnlyWhatIsOpen(t *testing.T) {
	for _, r := range demotest.Unknown(t) {
		shut, err := NewRound(r, RoundOptions{})
		if err != nil {
			t.Fatal(err)
		}
		all, err := NewRound(r, RoundOptions{Open: []string{OpenAll}})
		if err != nil {
			t.Fatal(err)
		}
		if len(all.Hidden) != 0 || len(shut.Hidden) == 0 {
			t.Errorf("%s: %d openings would show more with all open, %d with none", r.Vehicle.About, len(all.Hidden),
				len(shut.Hidden))
		}
		for _, s := range shut.Stages {
			for _, stop := range s.Stops {
				if len(stop.Position.Seen) > 0 {
					t.Errorf("%s is on a round with nothing opened", stop.Position.ID)
				}
			}
		}
		if n := positionsOn(all); n != len(r.Judgements) {
			t.Errorf("%s: %d of %d positions on the whole round", r.Vehicle.About, n, len(r.Judgements))
		}
	}
}

func positionsOn(r *Round) int {
	seen := map[string]bool{}
	for _, s := range r.Stages {
		for _, stop := range s.Stops {
			seen[stop.Position.ID] = true
		}
	}
	return len(seen)
}

// Undertray and covers that come off for a round go back to their torques, which
// stand on its sheet as on a job's (common practice).
func TestRoundsNameTheTorquesOfWhatTheyOpen(t *testing.T) {
	for _, r := range demotest.Reports(t) {
		round, err := NewRound(r, RoundOptions{Open: []string{OpenAll}})
		if err != nil {
			t.Fatal(err)
		}
		want := 0
		for _, o := range round.Open {
			for _, f := range o.Fasteners {
				if f.Torque == nil {
					continue
				}
				want++
				if !slices.ContainsFunc(round.Torques, func(q Torque) bool {
					return q.Where == cmp.Or(o.Undo, o.Name) && q.What == f.What
				}) {
					t.Errorf("%s: no torque of the %s of %q", r.Vehicle.ID, f.What, o.Name)
				}
			}
		}
		if want == 0 || len(round.Torques) != want || len(round.View().Torques) != want {
			t.Errorf("%s: %d torques on the round, %d in JSON, %d in the sheet", r.Vehicle.ID, len(round.Torques),
				len(round.View().Torques), want)
		}
	}
}
