package plan_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/units"
)

// reportsWith are those of the demo yard, worked out anew, with a memory, nil for none.
func reportsWith(t *testing.T, m advise.Memory) []*advise.Report {
	t.Helper()
	var out []*advise.Report
	for _, r := range demotest.All(t) {
		again := r.WithRecord(r.Vehicle, r.State.Record, r.On)
		again.From = "the demo yard: " + r.Vehicle.ID
		out = append(out, again)
	}
	advise.Gather(out).Remembering(m)
	return out
}

// yardWords is a plan of the demo yard as JSON.
func yardWords(t *testing.T, m advise.Memory, opt plan.YardOptions) string {
	t.Helper()
	made, err := plan.MakeYard(t.Context(), reportsWith(t, m), opt)
	if err != nil {
		return err.Error()
	}
	return words(t, made.View(units.Preferences{}))
}

func words(t *testing.T, view any) string {
	t.Helper()
	out, err := json.Marshal(view)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// The plan of a yard that is recalled is the one that is worked out, to the last figure; nothing of it is worked out
// again; and of what is spoilt nothing is taken.
func TestAYardsPlanIsRecalled(t *testing.T) {
	opt := plan.YardOptions{Rules: sharedHours}
	m := &demotest.Memory{Kept: map[string][]byte{}}
	anew := yardWords(t, nil, opt)
	if got := yardWords(t, m, opt); got != anew || m.Told < 7 { // three searches, one of all, three tables of chances
		t.Fatalf("with an empty memory, which is told %d things: %s\nwant %s", m.Told, got, anew)
	}
	m.Told = 0
	if got := yardWords(t, m, opt); got != anew || m.Told != 0 {
		t.Fatalf("recalled, with %d things worked out again: %s\nwant %s", m.Told, got, anew)
	}
	for from := range m.Kept {
		m.Kept[from] = []byte(`{"Steps":1,"Plan":{"Visits":[],"Cost":12,"Bound":12}}`)
	}
	if got := yardWords(t, m, opt); got != anew {
		t.Errorf("spoilt: %s\nwant %s", got, anew)
	}
}

// Whatever is asked in whatever order, the answer is the same with what is kept of all questions before as without.
func TestWhatIsKeptAnswersNoOtherQuestion(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 8))
	m := &demotest.Memory{Kept: map[string][]byte{}}
	kept, fresh := reportsWith(t, m), reportsWith(t, nil)
	for range 14 {
		opt := plan.Options{Months: 12 + 6*rng.IntN(2), Steps: 1 + rng.IntN(3)}
		if rng.IntN(2) == 0 {
			opt.Hours = float64(5 + rng.IntN(8))
		}
		if rng.IntN(3) == 0 {
			money := units.Must(float64(150+100*rng.IntN(3)), "EUR")
			opt.Money = &money
		}
		if rng.IntN(3) == 0 {
			opt.Skip = []time.Month{time.Month(1 + rng.IntN(12))}
		}
		if rng.IntN(3) == 0 {
			opt.Stance = fleet.Stances()[rng.IntN(len(fleet.Stances()))]
		}
		i := rng.IntN(len(kept))
		answer := func(r *advise.Report) string {
			made, err := plan.Make(t.Context(), r, opt)
			if err != nil {
				return err.Error()
			}
			return words(t, made.View(units.Preferences{}))
		}
		if got, want := answer(kept[i]), answer(fresh[i]); got != want {
			t.Fatalf("%s under %+v: %s\nwant %s", kept[i].Vehicle.ID, opt, got, want)
		}
	}
	if m.Told < 14 {
		t.Errorf("only %d things were kept: this test shows nothing", m.Told)
	}
}

// A plan that was recalled is gone on with as one that was worked out is.
func TestARecalledPlanIsGoneOnWith(t *testing.T) {
	m := &demotest.Memory{Kept: map[string][]byte{}}
	opt := plan.YardOptions{Options: plan.Options{Months: 12}, MonthHours: 14}
	var ends []string
	for range 2 {
		y, err := plan.MakeYard(t.Context(), reportsWith(t, m), opt)
		if err != nil {
			t.Fatal(err)
		}
		better, err := y.GoOn(t.Context())
		if err != nil || better == nil {
			t.Fatal("nothing better is found: this test shows nothing", err)
		}
		ends = append(ends, fmt.Sprint(better.Score, better.Bound))
	}
	if ends[0] != ends[1] {
		t.Errorf("cost and bound come to %s, recalled to %s", ends[0], ends[1])
	}
}
