package reckon_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/reckon"
	"undertray.example/undertray/internal/say"
)

// demo is the made-up yard with all that was ever recorded of it.
func demo(t *testing.T) (*catalogue.Catalogue, []reckon.Subject) {
	t.Helper()
	var all []reckon.Subject
	reports := demotest.All(t)
	for _, r := range reports {
		all = append(all, reckon.Subject{Vehicle: r.Vehicle, Entries: r.State.Record})
	}
	return reports[0].Catalogue, all
}

func reckoned(t *testing.T, cat *catalogue.Catalogue, all []reckon.Subject, from, to string) *reckon.Reckoning {
	t.Helper()
	r, err := reckon.Of(t.Context(), cat, all,
		reckon.Period{From: civil.MustParse(from), To: civil.MustParse(to), On: civil.MustParse("2026-11-25")}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// What is learnt is remembered, and a reckoning made of it is the same.
func TestAReckoningIsRemembered(t *testing.T) {
	cat, all := demo(t)
	period := reckon.Period{From: civil.MustParse("2025-04-01"), To: civil.MustParse("2025-06-30"),
		On: civil.MustParse("2026-11-25")}
	want, memory := reckoned(t, cat, all, "2025-04-01", "2025-06-30"), journal.FoldsOf(nil, t.TempDir())
	for range 2 {
		got, err := reckon.Of(t.Context(), cat, all, period, memory)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want.View(), got.View()); diff != "" {
			t.Errorf("remembered it is another:\n%s", diff)
		}
	}
}

// said is what was forecast up to a day, by vehicle, position and day.
func said(r *reckon.Reckoning, until civil.Date) map[string]float64 {
	out := map[string]float64{}
	for _, trial := range r.Trials {
		if !trial.On.After(until) {
			out[fmt.Sprint(trial.Vehicle, " ", trial.Position, " ", trial.On)] = trial.Said
		}
	}
	return out
}

// Nothing that is recorded after a day changes what was forecast by it: findings,
// fittings of old days, odometers and corrections of what was known then.
func TestNothingIsSaidWithHindsight(t *testing.T) {
	cat, all := demo(t)
	cut := civil.MustParse("2025-05-17")
	before := said(reckoned(t, cat, all, "2025-04-01", "2025-06-30"), cut)
	if len(before) < 50 {
		t.Fatalf("only %d forecasts by then", len(before))
	}
	for seed := range uint64(4) {
		random := rand.New(rand.NewPCG(seed, 1))
		other := make([]reckon.Subject, len(all))
		for i, s := range all {
			other[i] = reckon.Subject{Vehicle: s.Vehicle, Entries: meddled(cat, s, cut, random)}
		}
		after := said(reckoned(t, cat, other, "2025-04-01", "2025-06-30"), cut)
		both := 0
		for key, p := range before {
			if q, ok := after[key]; ok {
				if both++; p != q {
					t.Errorf("seed %d, %s: %.6f was said, %.6f with hindsight", seed, key, p, q)
				}
			}
		}
		if both < len(before)/2 {
			t.Errorf("seed %d: only %d of %d are left to compare", seed, both, len(before))
		}
	}
}

// meddled leaves what was recorded by a day and puts other things after it.
func meddled(cat *catalogue.Catalogue, s reckon.Subject, cut civil.Date, random *rand.Rand) []*fleet.Entry {
	var out []*fleet.Entry
	later := time.Date(cut.Year, time.Month(cut.Month), cut.Day+1, 8, 0, 0, 0, time.UTC)
	known := []*fleet.Entry{}
	for _, e := range s.Entries {
		if civil.Of(e.Instant().UTC()).After(cut) {
			if random.IntN(2) == 0 {
				out = append(out, e)
			}
			continue
		}
		known = append(known, e)
	}
	out = append(out, known...)
	for n := range 60 {
		p := s.Vehicle.Positions[random.IntN(len(s.Vehicle.Positions))]
		e := &fleet.Entry{ID: fmt.Sprintf("later %s %d", s.Vehicle.ID, n), Vehicle: s.Vehicle.ID,
			Recorded: later.Add(time.Duration(n) * time.Hour),
			Date:     cut.AddDays(random.IntN(300) - 200)}
		switch check := cat.Kind(p.Kind).Checks; random.IntN(4) {
		case 0:
			e.Type, e.Fitted = fleet.TypeFitted, &fleet.Fitted{Position: p.ID, Removed: fleet.RemovedFailed}
		case 1:
			old := known[random.IntN(len(known))]
			e.Type, e.Correction = fleet.TypeCorrection, &fleet.Correction{Of: old.ID, Withdraw: true}
		default:
			c := check[random.IntN(len(check))]
			if len(c.Answers) == 0 {
				continue
			}
			e.Type, e.Found = fleet.TypeFound,
				&fleet.Found{Position: p.ID, Check: c.ID, Answer: c.Answers[random.IntN(len(c.Answers))].ID}
		}
		out = append(out, e)
	}
	return out
}

// In whatever order entries lie in the journal, the reckoning is the same.
func TestTheOrderOfEntriesDoesNotMatter(t *testing.T) {
	cat, all := demo(t)
	first, err := json.Marshal(reckoned(t, cat, all, "2025-04-01", "2025-06-30").View())
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(2, 9))
	for i := range all {
		all[i].Entries = slices.Clone(all[i].Entries)
		random.Shuffle(len(all[i].Entries), func(a, b int) {
			all[i].Entries[a], all[i].Entries[b] = all[i].Entries[b], all[i].Entries[a]
		})
	}
	if again, err := json.Marshal(reckoned(t, cat, all, "2025-04-01", "2025-06-30").View()); err != nil ||
		string(again) != string(first) {
		t.Errorf("another order gives another reckoning: %v", err)
	}
}

// The demo yard's full year: two batteries failed, one without a warning; a radiator was
// as bad as was seen, a battery was changed for nothing; what was not told is asked.
func TestTheDemoYardsYear(t *testing.T) {
	cat, all := demo(t)
	r := reckoned(t, cat, all, "2025-01-01", "2025-12-31")
	if words := len(strings.Fields(r.Headline().String())); words > say.HeadWords {
		t.Errorf("%d words: %s", words, r.Headline())
	}
	names := func(offs []reckon.Off) string {
		var out []string
		for _, o := range offs {
			out = append(out, o.Vehicle+" "+o.Position)
		}
		return strings.Join(out, ", ")
	}
	for _, c := range []struct{ what, got, want string }{
		{"surprises", names(r.Surprises()), "bittern battery"},
		{"foretold", names(r.Foretold()), "heron battery"},
		{"sound", names(r.Sound()), "dunnock battery"},
		{"confirmed", names(r.Confirmed()), "bittern radiator"},
		{"questions", names(r.Questions()), "heron fuel-filter, bittern fuel-filter"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %s, want %s", c.what, c.got, c.want)
		}
	}
	if r.All.Came != 2 || r.All.Said != len(r.Trials) {
		t.Errorf("%d of %d came true", r.All.Came, r.All.Said)
	}
	for _, trial := range r.Trials {
		if trial.Until.Before(trial.On) || trial.Until.Sub(trial.On) > 92 || trial.Chance < 0 || trial.Chance > 1 ||
			trial.Chance > trial.Said+1e-9 {
			t.Errorf("%+v", trial)
		}
	}
	paid, idle := r.Paid(cat)
	if len(paid) == 0 || len(idle) == 0 {
		t.Errorf("%d kinds paid, %d did not", len(paid), len(idle))
	}
}

// A yard of which nothing was recorded by then says so; one of too many vehicles is
// reckoned in part.
func TestNothingAndTooMuch(t *testing.T) {
	cat, all := demo(t)
	r := reckoned(t, cat, all, "2010-01-01", "2010-12-31")
	if r.All.Said != 0 || !strings.Contains(r.Headline().String(), "no chance") {
		t.Errorf("%d said: %s", r.All.Said, r.Headline())
	}
	ids := make([]string, 40)
	got, err := reckon.Gather(ids, func(string) (*fleet.Vehicle, error) {
		return all[0].Vehicle, nil
	}, func(string) (reckon.Entries, error) { return nil, nil })
	if err != nil || len(got) != reckon.Most {
		t.Errorf("%d vehicles, %v", len(got), err)
	}
	for _, c := range []struct{ from, to string }{{"2026-01-01", "2025-01-01"}, {"2026-01-01", "2027-01-01"}} {
		if _, err := reckon.FromTo(civil.MustParse(c.from), civil.MustParse(c.to),
			civil.MustParse("2026-11-25")); err == nil {
			t.Errorf("%s to %s is taken", c.from, c.to)
		}
	}
}

// The line on a vehicle's page stands for three months after a year that it was kept in.
func TestAFullYearIsSaidOnce(t *testing.T) {
	began := civil.MustParse("2024-06-01")
	for on, want := range map[string]bool{"2025-01-01": true, "2025-03-31": true, "2025-04-01": false,
		"2024-12-31": false, "2024-02-01": false} {
		got := reckon.FullWords(began, civil.MustParse(on))
		if (got != "") != want || len(strings.Fields(got.String())) > say.HeadWords {
			t.Errorf("%s: %q", on, got)
		}
	}
}
