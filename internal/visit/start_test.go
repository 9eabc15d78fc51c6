package visit_test

import (
	"cmp"
	"slices"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/visit"
)

// Once the oil was out, the oil lamp is what the first run of the engine waits for:
// no other step that runs it comes before, whatever else is changed (common
// practice: an engine without oil pressure is ruined within seconds). What runs on
// stands waits for it too. Warming the old oil is left aside.
func TestTheOilLampIsWatchedAtTheFirstStart(t *testing.T) {
	seen := 0
	for _, r := range machines(t) {
		for i := range r.Judgements {
			j := &r.Judgements[i]
			if first := startOf(j); first != "" {
				seen += lampFirst(t, r, j.Position.ID, first)
			}
		}
	}
	if seen == 0 {
		t.Error("no sheet runs the engine elsewhere too")
	}
}

// startOf is the step by which a kind's engine is first run, or none.
func startOf(j *judge.Judgement) string {
	for _, a := range j.Kind.After {
		if a.Starts == 1 {
			return a.Do
		}
	}
	return ""
}

// lampFirst checks the sheets of a part with each other one, and gives the number
// of those that run the engine for something else as well.
func lampFirst(t *testing.T, r *advise.Report, id, first string) (seen int) {
	t.Helper()
	for i := range r.Judgements {
		if r.Judgements[i].Position.ID == id {
			continue
		}
		job := sheetOf(t, r, visit.JobOptions{Positions: []string{id, r.Judgements[i].Position.ID}})
		runs := slices.DeleteFunc(slices.Clone(job.Steps), func(s visit.Step) bool {
			return s.Kind == visit.StepWarm || s.Use.Rank() < machine.Running.Rank()
		})
		if len(runs) == 0 {
			continue
		}
		if runs[0].Do != first {
			t.Errorf("%s, %s with %s: the engine runs for %s %q before %q", r.Vehicle.About, id,
				r.Judgements[i].Position.ID, runs[0].Kind, runs[0].Do, first)
		}
		if len(runs) > 1 {
			seen++
		}
	}
	return seen
}

// What the engine is first run for keeps its order, before every other run: the oil
// lamp, then joints of the fuel and a timing drive that was open (common practice: a
// leak of fuel is looked for at the first start, not once the engine is hot).
func TestWhatTheEngineIsFirstRunForComesFirst(t *testing.T) {
	place := map[string]int{}
	seen := 0
	for _, r := range machines(t) {
		var first []string
		for i := range r.Judgements {
			for _, a := range r.Judgements[i].Kind.After {
				if place[a.Do] = a.Starts; a.Starts > 1 && !r.Judgements[i].Position.LookOnly {
					first = append(first, r.Judgements[i].Position.ID)
				}
			}
		}
		for _, id := range slices.Compact(first) {
			for i := range r.Judgements {
				if r.Judgements[i].Position.ID == id {
					continue
				}
				job := sheetOf(t, r, visit.JobOptions{Positions: []string{id, r.Judgements[i].Position.ID}})
				last := 0
				for _, s := range job.Steps {
					if s.Kind == visit.StepWarm || s.Use.Rank() < machine.Running.Rank() {
						continue
					}
					at := cmp.Or(place[s.Do], 9)
					if at < last {
						t.Errorf("%s, %s with %s: %q comes late", r.Vehicle.About, id,
							r.Judgements[i].Position.ID, s.Do)
					}
					if last > 0 && place[s.Do] == 0 {
						seen++
					}
					last = at
				}
			}
		}
	}
	if seen == 0 {
		t.Error("nothing is run after a first start")
	}
}
