package visit_test

import (
	"math/rand/v2"
	"os"
	"runtime"
	"strconv"
	"sync/atomic"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/sheet/ask/asktest"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// The laws of order hold on sheets of every pair of answers: for the round with everything open, by its cautions and
// helper too, and for a job at every part alone; a seeded tenth of the sheets is tried unless UNDERTRAY_SOAK asks for
// all.
func TestLawsOfOrderForEveryPairOfAnswers(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	sets, _ := asktest.Pairwise(1)
	pick, tried, jobs := rand.New(rand.NewPCG(16, 1)), 0, 0
	for _, a := range sets {
		if os.Getenv("UNDERTRAY_SOAK") != "1" && pick.IntN(10) > 0 {
			continue
		}
		tried++
		r := askedFor(t, cat, a)
		roundsHold(t, a, r)
		jobs += jobsHold(t, a, r)
	}
	if tried < 5 {
		t.Errorf("only %d sheets tried", tried)
	}
	t.Logf("%d jobs on %d of %d sheets", jobs, tried, len(sets))
}

// They hold on sheets of every engine and its belts too: for the round and for a job at each part alone, on each sheet
// on which an opening, a position or a run meets something new (package ask says what that is); of a seeded engine
// unless UNDERTRAY_SOAK asks for all. Which parts stand together on a sheet is tried as it comes, not in full.
func TestLawsOfOrderForEveryEngine(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	m, fresh := ask.NewMeetings(), make(chan ask.Answers, 64)
	go func() {
		defer close(fresh)
		try := func(r *ask.Resolved) {
			if m.New(r) {
				fresh <- r.Said()
			}
		}
		if os.Getenv("UNDERTRAY_SOAK") == "1" {
			asktest.Engines(try)
		} else {
			asktest.SomeEngines(rand.New(rand.NewPCG(16, 5)), 1, try)
		}
	}()
	var sheets, jobs atomic.Int64
	for n := range runtime.GOMAXPROCS(0) {
		t.Run(strconv.Itoa(n), func(t *testing.T) {
			t.Parallel()
			for a := range fresh {
				sheets.Add(1)
				r := askedFor(t, cat, a)
				roundsHold(t, a, r)
				jobs.Add(int64(jobsHold(t, a, r)))
			}
		})
	}
	t.Cleanup(func() {
		for range fresh { // where all have failed
			sheets.Store(0)
		}
		if sheets.Load() < 3 || jobs.Load() < 100 {
			t.Errorf("only %d sheets and %d jobs", sheets.Load(), jobs.Load())
		}
		t.Logf("%d jobs on %d sheets", jobs.Load(), sheets.Load())
	})
}

// jobsHold holds a job at each part alone to the laws, and returns how many there are.
func jobsHold(t *testing.T, a ask.Answers, r *advise.Report) int {
	t.Helper()
	for i := range r.Judgements {
		id := r.Judgements[i].Position.ID
		if f := simulate(r, sheetOf(t, r, visit.JobOptions{Positions: []string{id}, Alone: true})); len(f) > 0 {
			t.Errorf("%v, %v, %s: %v", a.Say, a.Belts, id, f)
		}
	}
	return len(r.Judgements)
}

// roundsHold holds the round with everything open to the laws, by the way of work and by system.
func roundsHold(t *testing.T, a ask.Answers, r *advise.Report) {
	t.Helper()
	for _, bySystem := range []bool{false, true} {
		round, err := visit.NewRound(r, visit.RoundOptions{Open: []string{visit.OpenAll}, BySystem: bySystem})
		if err != nil {
			t.Errorf("%v: no round: %v", a, err)
			continue
		}
		opensInOrder(t, round)
		cautionsOnce(t, r, round)
		calledOnce(t, r, round)
	}
}

// askedFor works out a vehicle of these answers, ten years old, of which nothing but
// a reading is known.
func askedFor(t *testing.T, cat *catalogue.Catalogue, a ask.Answers) *advise.Report {
	t.Helper()
	today := civil.MustParse("2026-11-25")
	src, err := ask.Build(a, ask.Filling{Vehicle: "teal", Name: "Teal", Built: today.AddMonths(-120)})
	if err != nil {
		t.Fatal(err)
	}
	v, err := sheet.Parse("teal", src, cat)
	if err != nil {
		t.Fatal(err)
	}
	reading := units.MustParse("152300 km")
	return advise.Vehicle(cat, v, []*fleet.Entry{{ID: "1", Vehicle: "teal", Type: fleet.TypeOdometer, Date: today,
		Odometer: &reading}}, today)
}
