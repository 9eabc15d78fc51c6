package ahead_test

import (
	"slices"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
)

// chances are those of all parts of a vehicle on a trip, worked out with a memory.
func chances(r *advise.Report, m advise.Memory) map[string]float64 {
	r.Experience.Remembering(m)
	out := map[string]float64{}
	for i := range r.Judgements {
		out[r.Judgements[i].Position.ID] = onTrip(r, &r.Judgements[i])
	}
	return out
}

// What is recalled gives the very chances that were worked out; an entry makes the kind
// that it touches learn anew, and no other; and what is spoilt is not taken.
func TestWhatWasLearntIsRecalled(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	again := func(more ...*fleet.Entry) *advise.Report {
		return r.WithRecord(r.Vehicle, append(slices.Clone(r.State.Record), more...), r.On)
	}
	equal := func(when string, got, want map[string]float64) {
		for id, p := range want {
			if got[id] != p {
				t.Errorf("%s: %s has a chance of %v, want %v", when, id, got[id], p)
			}
		}
	}
	m := &demotest.Memory{Kept: map[string][]byte{}}
	anew, first := chances(again(), nil), chances(again(), m)
	equal("with an empty memory", first, anew)
	if m.Told < 10 || m.Asked < m.Told {
		t.Fatalf("%d asked for, %d kept", m.Asked, m.Told)
	}
	m.Told = 0
	equal("recalled", chances(again(), m), anew)
	if m.Told != 0 {
		t.Errorf("%d were learnt anew though nothing is new", m.Told)
	}

	changed := &fleet.Entry{ID: "z", Type: fleet.TypeFitted, Vehicle: r.Vehicle.ID, Date: r.On,
		Fitted: &fleet.Fitted{Position: "main-belt", Removed: fleet.RemovedFailed}}
	equal("after a change", chances(again(changed), m), chances(again(changed), nil))
	if m.Told == 0 || m.Told > 2 {
		t.Errorf("%d were learnt anew after one belt was changed", m.Told)
	}

	for from := range m.Kept {
		m.Kept[from] = []byte(`{"At": [0.1], "Root": [1], "LogLik": 0}`)
	}
	equal("spoilt", chances(again(), m), anew)
}
