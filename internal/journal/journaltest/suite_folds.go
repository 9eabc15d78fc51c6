package journaltest

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/units"
)

// testFolds lets two servers fold a vehicle while entries arrive, some late, some
// corrected, and one of them start anew now and then. Each state at once is that
// of a fold of all entries from the start.
func testFolds(t *testing.T, s journal.Store) {
	random := rand.New(rand.NewPCG(3, 12))
	v := &fleet.Vehicle{ID: "heron", Positions: []fleet.Position{{ID: "belt"}, {ID: "hose"}}}
	dir, day := t.TempDir(), civil.MustParse("2026-03-01")
	folds := []*journal.Folds{journal.FoldsOf(s, dir), journal.FoldsOf(s, "")}
	var ids []string
	for n := 0; n < 1200; {
		var batch []*fleet.Entry
		for range 1 + random.IntN(60) {
			e := fact(random, n, day.AddDays(n/4))
			if len(ids) > 0 && random.IntN(150) == 0 {
				e = &fleet.Entry{Format: 1, ID: e.ID, Vehicle: e.Vehicle, Recorded: e.Recorded, Date: e.Date,
					Type:       fleet.TypeCorrection,
					Correction: &fleet.Correction{Of: ids[random.IntN(len(ids))], Withdraw: true}}
			}
			batch, ids = append(batch, e), append(ids, e.ID)
			n++
		}
		mustAppend(t, s, batch...)
		mustAppend(t, s, Note(100000+n, "egret"))
		all := mustEntries(t, s, journal.Filter{Vehicle: "heron"})
		on := day.AddDays(n/4 - random.IntN(2))
		if random.IntN(5) == 0 {
			folds[0] = journal.FoldsOf(s, dir) // started anew
		}
		want := stateText(fleet.Fold(v, all, on))
		for i, f := range folds {
			got, err := f.State(t.Context(), v, on)
			if err != nil {
				t.Fatal(err)
			}
			if text := stateText(got); text != want {
				t.Fatalf("server %d after %d entries (-from the start +kept):\n%s", i, n, cmp.Diff(want, text))
			}
		}
	}
	spoilWritten(t, s, v, filepath.Join(dir, ".kept", "heron"))
}

// spoilWritten wants a written fold that is damaged, or of another journal, to be
// passed over.
func spoilWritten(t *testing.T, s journal.Store, v *fleet.Vehicle, name string) {
	src, err := os.ReadFile(name)
	if err != nil {
		t.Fatalf("no fold was written: %v", err)
	}
	on := civil.MustParse("2030-01-01")
	want := stateText(fleet.Fold(v, mustEntries(t, s, journal.Filter{Vehicle: "heron"}), on))
	for _, spoilt := range []string{"", "{}\n{}", string(src[:len(src)/2]),
		strings.Replace(string(src), "many", "none", 1), strings.Replace(string(src), `"entries":`, `"entries":1`, 1)} {
		if err := os.WriteFile(name, []byte(spoilt), 0o600); err != nil || spoilt == string(src) {
			t.Fatal("the written fold is as it was", err)
		}
		got, err := journal.FoldsOf(s, filepath.Dir(filepath.Dir(name))).State(t.Context(), v, on)
		if err != nil || stateText(got) != want {
			t.Errorf("a spoilt fold is taken, %v: %.60s", err, spoilt)
		}
	}
}

// fact draws a finding, a reading, a fitting, work or a note, now and then about
// some days before.
func fact(random *rand.Rand, n int, date civil.Date) *fleet.Entry {
	if random.IntN(120) == 0 {
		date = date.AddDays(-random.IntN(9))
	}
	e := &fleet.Entry{Format: 1, ID: ID(n), Vehicle: "heron", Date: date,
		Recorded: day.Add(time.Duration(n) * time.Minute), Type: fleet.TypeFound}
	position := []string{"belt", "hose"}[random.IntN(2)]
	switch random.IntN(8) {
	case 0:
		km := units.Must(float64(1000+20*n+random.IntN(10)), "km")
		e.Type, e.Odometer = fleet.TypeOdometer, &km
	case 1:
		e.Type, e.Fitted = fleet.TypeFitted, &fleet.Fitted{Position: position}
	case 2:
		e.Type, e.Done = fleet.TypeDone,
			&fleet.Done{What: "cleaned", Positions: []string{position}, Settles: []string{"cracks"}}
	case 3:
		e.Type, e.Note = fleet.TypeNote, &fleet.Note{Text: fmt.Sprint("note ", n), Position: position}
	default:
		e.Found = &fleet.Found{Position: position, Check: "cracks",
			Answer: []string{"none", "few", "many"}[random.IntN(3)]}
	}
	return e
}

// stateText is all that a state says but for its record.
func stateText(s *fleet.State) string {
	bare := *s
	bare.Record = nil
	text, err := json.MarshalIndent(bare, "", " ")
	if err != nil {
		return err.Error()
	}
	return strings.ReplaceAll(strings.ReplaceAll(string(text), "null", "[]"), "{}", "[]")
}
