package visit_test

import (
	"math/rand/v2"
	"os"
	"testing"

	"undertray/civil"
	"undertray/internal/advise"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/internal/sheet"
	"undertray/internal/sheet/ask"
	"undertray/internal/sheet/ask/asktest"
	"undertray/internal/visit"
	"undertray/units"
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
		for i := range r.Judgements {
			id := r.Judgements[i].Position.ID
			jobs++
			if f := simulate(r, sheetOf(t, r, visit.JobOptions{Positions: []string{id}, Alone: true})); len(f) > 0 {
				t.Errorf("%v, %v, %s: %v", a.Say, a.Belts, id, f)
			}
		}
	}
	if tried < 5 {
		t.Errorf("only %d sheets tried", tried)
	}
	t.Logf("%d jobs on %d of %d sheets", jobs, tried, len(sets))
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
