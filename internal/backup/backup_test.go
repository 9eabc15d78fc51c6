package backup

import (
	"bytes"
	"context"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
)

var now = time.Date(2026, 11, 28, 20, 0, 0, 0, time.UTC)

// newYard makes a yard's folder with entries and a picture.
func newYard(t *testing.T) (dir string, s *journal.Guarded) {
	t.Helper()
	dir = t.TempDir()
	for name, text := range map[string]string{"yard.yaml": "yard: Reserve\n", "vehicles/heron.yaml": "vehicle: heron\n",
		"catalogue/own.yaml": "kinds: []\n"} {
		name = filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	s = openYard(t, dir)
	hash, err := s.PutAttachment(t.Context(), strings.NewReader("picture"), "belt.jpg", "image/jpeg")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Append(t.Context(), journaltest.EveryType(0, "heron", hash)); err != nil {
		t.Fatal(err)
	}
	return dir, s
}

func openYard(t *testing.T, dir string) *journal.Guarded {
	t.Helper()
	s, err := journal.Open(t.Context(), filepath.Join(dir, "journal.db"), journal.Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func TestRestoreBesideALeftoverLog(t *testing.T) {
	dir, s := newYard(t)
	name := filepath.Join(t.TempDir(), "yard.tar.gz")
	about, err := Write(t.Context(), dir, s, name, now)
	if err != nil || about.Entries != int64(len(fleet.EntryTypes())) || about.Attachments != 1 {
		t.Fatal(about, err)
	}
	want := journaltest.Exported(t, s)
	if _, err := s.Append(t.Context(), journaltest.Notes(90, "egret")[50:]); err != nil {
		t.Fatal(err)
	}
	after := journaltest.Exported(t, s)
	// The journal is open: its log and mark lie beside it.
	os.WriteFile(filepath.Join(dir, "vehicles", "egret.yaml"), []byte("vehicle: egret\n"), 0o644)
	aside := filepath.Join(dir, "replaced")
	done, err := Restore(t.Context(), name, dir, filepath.Join(dir, "journal.db"), aside)
	if err != nil || done.Kept != aside {
		t.Fatal(done, err)
	}
	if got := journaltest.Exported(t, openYard(t, dir)); got != want {
		t.Errorf("restored:\n%.400s\nwant\n%.400s", got, want)
	}
	if _, err := os.Stat(filepath.Join(dir, "vehicles", "egret.yaml")); err == nil {
		t.Error("a sheet that is not in the backup is still there")
	}
	// The program that had it open has noticed, and what it held is kept whole.
	time.Sleep(1100 * time.Millisecond)
	if s.Alarm() == nil {
		t.Error("the running program has not noticed")
	}
	s.Close()
	kept, err := journal.Open(t.Context(), filepath.Join(aside, "journal.db"), journal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	if got := journaltest.Exported(t, kept); got != after {
		t.Error("what was replaced is not kept whole")
	}
	if src, err := os.ReadFile(filepath.Join(aside, "vehicles", "egret.yaml")); err != nil ||
		string(src) != "vehicle: egret\n" {
		t.Error("the sheet that was replaced is not kept", err)
	}
}

// A backup is taken again and again while others write; each holds whole
// batches only.
func TestBackupWhileServing(t *testing.T) {
	dir, s := newYard(t)
	ctx, stop := context.WithCancel(t.Context())
	var group sync.WaitGroup
	group.Go(func() {
		for n := 0; ctx.Err() == nil; n++ {
			visit := journaltest.Round(11, "heron")
			for i, e := range visit {
				// ids go down: each lands before those that are there
				e.ID, e.Batch = journaltest.ID(1000000-n*11+i), journaltest.ID(1000000-n*11)
			}
			s.Append(ctx, visit)
		}
	})
	for n := range 5 {
		name := filepath.Join(t.TempDir(), "yard.tar.gz")
		about, err := Write(t.Context(), dir, s, name, now)
		if err != nil {
			t.Fatal(err)
		}
		elsewhere := t.TempDir()
		if _, err := Restore(t.Context(), name, elsewhere, filepath.Join(elsewhere, "journal.db"),
			filepath.Join(elsewhere, "aside")); err != nil {
			t.Fatal(err)
		}
		restored := openYard(t, elsewhere)
		if in, err := restored.Inspect(t.Context()); err != nil || int64(len(in.Entries)) != about.Entries ||
			(about.Entries-int64(len(fleet.EntryTypes())))%11 != 0 {
			t.Errorf("backup %d: %d entries, %v", n, about.Entries, err)
		}
	}
	stop()
	group.Wait()
}

func TestDamagedBackupsAreRefusedBeforeAnythingIsTouched(t *testing.T) {
	dir, s := newYard(t)
	folder := t.TempDir()
	name := filepath.Join(folder, "yard.tar.gz")
	if _, err := Write(t.Context(), dir, s, name, now); err != nil {
		t.Fatal(err)
	}
	sound, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	want := journaltest.Exported(t, s)
	wholeFiles := map[string][]byte{}
	whole, err := check(t.Context(), name, wholeFiles)
	if err != nil || len(wholeFiles) != 3 {
		t.Fatal(len(wholeFiles), err)
	}
	random := rand.New(rand.NewPCG(3, 4))
	for n := range 300 {
		harmed := bytes.Clone(sound)
		switch {
		case n%10 == 0:
			harmed = harmed[:random.IntN(len(harmed))]
		default:
			harmed[random.IntN(len(harmed))] ^= 1 << random.IntN(8)
		}
		bad := filepath.Join(folder, "bad.tar.gz")
		if err := os.WriteFile(bad, harmed, 0o600); err != nil {
			t.Fatal(err)
		}
		files := map[string][]byte{}
		about, err := check(t.Context(), bad, files)
		if err != nil {
			if fleet.KindOf(err) != fleet.Invalid && fleet.KindOf(err) != fleet.TooNew {
				t.Errorf("error %v of kind %d", err, fleet.KindOf(err))
			}
			continue
		}
		// What differs carries nothing, such as the time in the header of gzip.
		if about != whole || !maps.EqualFunc(files, wholeFiles, bytes.Equal) {
			t.Errorf("a harmed backup passes: %+v", about)
		}
	}
	bad := filepath.Join(folder, "bad.tar.gz")
	os.WriteFile(bad, sound[:len(sound)/2], 0o600)
	if _, err := Restore(t.Context(), bad, dir, filepath.Join(dir, "journal.db"),
		filepath.Join(dir, "aside")); err == nil {
		t.Error("half a backup was restored")
	}
	if _, err := os.Stat(filepath.Join(dir, "aside")); err == nil || journaltest.Exported(t, s) != want {
		t.Error("something was touched")
	}
}

func TestReminder(t *testing.T) {
	dir, s := newYard(t)
	day := 24 * time.Hour
	first := time.Date(2026, 3, 14, 8, 30, 0, 0, time.UTC)
	say := func(at time.Time) string { return Reminder(t.Context(), dir, s, at).String() }
	if got := say(first.Add(20 * day)); got != "" {
		t.Error(got)
	}
	if got := say(now); !strings.Contains(got, "never backed up") {
		t.Error(got)
	}
	if _, err := Write(t.Context(), dir, s, filepath.Join(t.TempDir(), "yard.tar.gz"), now); err != nil {
		t.Fatal(err)
	}
	if got := say(now.Add(40 * day)); got != "" {
		t.Errorf("nothing is new, and yet: %s", got)
	}
	if _, err := s.Append(t.Context(), journaltest.Notes(90, "egret")[50:]); err != nil {
		t.Fatal(err)
	}
	if got := say(now.Add(20 * day)); got != "" {
		t.Error(got)
	}
	if got := say(now.Add(40 * day)); !strings.Contains(got, "28 November 2026; 40 entries are newer") {
		t.Error(got)
	}
}
