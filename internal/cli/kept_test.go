package cli

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"undertray.example/undertray/internal/yard"
)

// keptYard is a yard of two vehicles that share the owner's hours, of which something falls due within the plan.
func keptYard(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for _, id := range []string{"wren", "robin"} {
		mustRun(t, dir, "sheet", "new", id, "--like", "four-transverse-petrol", "--name", id, "--built", "2014-05-01")
		mustRun(t, dir, "odometer", id, "152300 km", "--date", "2026-01-10")
		mustRun(t, dir, "odometer", id, "161300 km", "--date", "2026-11-10")
		mustRun(t, dir, "fitted", id, "main-belt", "--material", "epdm", "--cost", "38.50 EUR", "--date", "2019-02-03",
			"--odometer", "60100 km")
	}
	src := "yard: Two\ncurrency: EUR\nvisits: {hours_per_month: 9}\n"
	if err := os.WriteFile(filepath.Join(dir, "yard.yaml"), []byte(src), 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}

func mustRun(t *testing.T, dir string, args ...string) string {
	t.Helper()
	out, errw, code := ran(t, dir, args...)
	if code != exitOK {
		t.Fatalf("%v: exit %d: %s", args, code, errw)
	}
	return out
}

// changes are all inputs of an answer, each with something that changes it.
var changes = []struct {
	name string
	do   func(t *testing.T, dir string, n int)
}{
	{"an entry about the vehicle", func(t *testing.T, dir string, n int) {
		mustRun(t, dir, "odometer", "wren", fmt.Sprintf("%d km", 161400+10*n), "--date", "2026-11-20")
	}},
	{"an entry about another", func(t *testing.T, dir string, n int) {
		mustRun(t, dir, "fitted", "robin", "main-belt", "--removed", "failed", "--material", "epdm",
			"--date", fmt.Sprintf("2025-%02d-03", 1+n%12), "--odometer", "150000 km")
	}},
	{"a correction", func(t *testing.T, dir string, n int) {
		id := regexp.MustCompile(`[0-9a-f]{8}-[0-9a-f-]{27}`).FindString(
			mustRun(t, dir, "odometer", "wren", "161390 km", "--date", "2026-11-19", "--json"))
		mustRun(t, dir, "correct", "wren", id, "--odometer", fmt.Sprintf("%d km", 161330+n))
	}},
	{"the sheet", func(t *testing.T, dir string, n int) {
		edit(t, yard.SheetPath(dir, "wren"), `(?m)^built: .*$`, fmt.Sprintf("built: 20%d-05-01", 10+n%5))
	}},
	{"the sheet of another", func(t *testing.T, dir string, n int) {
		edit(t, yard.SheetPath(dir, "robin"), `(?m)^built: .*$`, fmt.Sprintf("built: 20%d-05-01", 10+n%5))
	}},
	{"yard.yaml", func(t *testing.T, dir string, n int) {
		edit(t, filepath.Join(dir, "yard.yaml"), `hours_per_month: \d+`, fmt.Sprint("hours_per_month: ", 6+n%9))
	}},
	{"the catalogue", func(t *testing.T, dir string, n int) {
		src := fmt.Sprintf("kinds:\n- kind: brake-hose\n  life: {lets_down: it bursts, strands: true, shape: 3.5, "+
			"any_age: 0.%d, source: common-practice}\n", 1+n%8)
		if err := os.MkdirAll(filepath.Join(dir, "catalogue"), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "catalogue", "own.yaml"), []byte(src), 0o644); err != nil {
			t.Fatal(err)
		}
	}},
}

func edit(t *testing.T, name, what, to string) {
	t.Helper()
	src, err := os.ReadFile(name)
	out := regexp.MustCompile(what).ReplaceAllString(string(src), to)
	if err != nil || !regexp.MustCompile(what).MatchString(string(src)) {
		t.Fatal(name, "has no", what, err)
	}
	if err := os.WriteFile(name, []byte(out), 0o644); err != nil {
		t.Fatal(err)
	}
}

// asks are the commands that answer out of a plan, each with what may be asked of it.
var asks = [][]string{{"plan", "--months", "8"}, {"plan", "wren"}, {"plan", "robin"}, {"job", "wren", "--visit", "1"},
	{"calendar", "wren"}, {"plan", "--on", "2026-12-24"}, {"plan", "wren", "--hours", "5"},
	{"plan", "wren", "--money", "90 EUR"}, {"plan", "wren", "--months", "18"},
	{"plan", "wren", "--stance", "part maker"}, {"plan", "wren", "--skip", "May"}, {"state", "robin"}}

// Whatever is changed, and whatever was kept before of whatever was asked: the answer is the one that is worked out
// where nothing is kept.
func TestAnAnswerIsNeverStale(t *testing.T) {
	dir, rng := keptYard(t), rand.New(rand.NewPCG(1, 2))
	kept, aside := filepath.Join(dir, ".kept"), filepath.Join(dir, ".aside")
	rounds := 1
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		rounds = 3 * len(asks)
	}
	answer := func(args []string) string { return mustRun(t, dir, append(slices.Clone(args), "--json")...) }
	moved := map[string]bool{}
	for round := range rounds {
		ask := asks[round%len(asks)]
		last := answer(ask)
		for i, n := range rng.Perm(len(changes)) {
			change := changes[n]
			change.do(t, dir, 7*round+i)
			args := ask
			if rounds > 1 {
				args = asks[rng.IntN(len(asks))]
			}
			got := answer(args)
			if err := os.Rename(kept, aside); err != nil {
				t.Fatal(err)
			}
			want := answer(args)
			if err := errors.Join(os.RemoveAll(kept), os.Rename(aside, kept)); err != nil {
				t.Fatal(err)
			}
			if got != want {
				t.Fatalf("%v after %s, round %d: with what is kept\n%s\nwithout\n%s", args, change.name, round, got,
					want)
			}
			moved[change.name] = moved[change.name] || rounds == 1 && want != last
			last = want
		}
	}
	if rounds > 1 {
		return
	}
	for _, change := range changes {
		if !moved[change.name] {
			t.Errorf("%s changes nothing: this test shows nothing of it", change.name)
		}
	}
}

// Where nothing can be kept a command answers as it does elsewhere.
func TestNothingNeedsToBeKept(t *testing.T) {
	dir := keptYard(t)
	want := mustRun(t, dir, "plan")
	kept := filepath.Join(dir, ".kept")
	if err := errors.Join(os.RemoveAll(kept), os.WriteFile(kept, nil, 0o600)); err != nil {
		t.Fatal(err)
	}
	if got := mustRun(t, dir, "plan"); got != want {
		t.Errorf("without a folder to keep it in: %s\nwant %s", got, want)
	}
}
