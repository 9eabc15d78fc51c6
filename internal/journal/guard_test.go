package journal_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
)

func TestGuarded(t *testing.T) {
	journaltest.Run(t, func(t *testing.T) journal.Store {
		s, err := journal.Guard(t.Context(), journal.NewMemory(), filepath.Join(t.TempDir(), "mark"))
		if err != nil {
			t.Fatal(err)
		}
		return s
	})
}

func mustGuard(t *testing.T, path string) *journal.Guarded {
	t.Helper()
	s, err := journal.Open(t.Context(), path, journal.Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func copyFile(t *testing.T, from, to string) {
	t.Helper()
	b, err := os.ReadFile(from)
	if err == nil {
		err = os.WriteFile(to, b, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func takesNone(t *testing.T, s journal.Store, text string) {
	t.Helper()
	wantKind(t, s.Alarm(), fleet.Unavailable, text)
	_, err := s.Append(t.Context(), []*fleet.Entry{journaltest.Note(900, "heron")})
	wantKind(t, err, fleet.Unavailable, text)
	note := journaltest.Note(901, "heron")
	note.Batch = note.ID
	_, _, err = s.Keep(t.Context(), []*fleet.Entry{note})
	wantKind(t, err, fleet.Unavailable, text)
	_, err = journal.Verify(t.Context(), s, nil)
	if err != nil {
		t.Log("verify:", err)
	}
}

// A journal is copied with its mark and without the log that its last entries
// lie in.
func TestGuardNoticesACopyWithoutItsLog(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.db")
	s := mustGuard(t, path)
	mustAppend(t, s, journaltest.Notes(3, "heron")...)
	s.Close()
	s = mustGuard(t, path)
	mustAppend(t, s, journaltest.Note(7, "heron"))
	waitForMark(t, path, 4)
	elsewhere := filepath.Join(t.TempDir(), "journal.db")
	copyFile(t, path, elsewhere)
	copyFile(t, path+".mark", elsewhere+".mark")
	other := mustGuard(t, elsewhere)
	takesNone(t, other, "there were 4")
	wantCount(t, other, 3) // what is there can be read
	if head, err := other.Accept(t.Context()); err != nil || head.Entries != 3 {
		t.Fatal(head, err)
	}
	mustAppend(t, other, journaltest.Note(8, "heron"))
	if err := s.Alarm(); err != nil {
		t.Error(err)
	}
}

func waitForMark(t *testing.T, path string, entries int64) {
	t.Helper()
	for end := time.Now().Add(10 * time.Second); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if head, err := journal.ReadMark(path + ".mark"); err == nil && head.Entries == entries {
			return
		}
	}
	t.Fatalf("no mark of %d entries was written", entries)
}

func TestGuardNoticesAnOldFileOnOpening(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.db")
	s := mustGuard(t, path)
	mustAppend(t, s, journaltest.Notes(3, "heron")...)
	s.Close()
	copyFile(t, path, path+".old")
	s = mustGuard(t, path)
	mustAppend(t, s, journaltest.Note(7, "heron"))
	s.Close()
	copyFile(t, path+".old", path)
	takesNone(t, mustGuard(t, path), "there were 4")

	// As many entries, but others.
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	takesNone(t, mustGuard(t, path), "there were 4")
}

// A file is swapped, deleted or overwritten under a program that runs.
func TestGuardNoticesWhatHappensToTheFileBeneathIt(t *testing.T) {
	for name, harm := range map[string]func(t *testing.T, path string){
		"deleted":         func(t *testing.T, path string) { os.Remove(path) },
		"the log deleted": func(t *testing.T, path string) { os.Remove(path + "-wal") },
		"swapped":         func(t *testing.T, path string) { os.Rename(path+".old", path) },
		"overwritten": func(t *testing.T, path string) {
			copyFile(t, path+".old", path)
			os.Truncate(path+"-wal", 0)
		},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "journal.db")
			s := mustGuard(t, path)
			mustAppend(t, s, journaltest.Notes(3, "heron")...)
			s.Close()
			copyFile(t, path, path+".old")
			s = mustGuard(t, path)
			mustAppend(t, s, journaltest.Round(2000, "heron")[500:]...)
			harm(t, path)
			for end := time.Now().Add(5 * time.Second); s.Alarm() == nil &&
				time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
			}
			takesNone(t, s, "")
		})
	}
}

// Two programs write by turns; neither is taken for damage.
func TestGuardsOfTwoPrograms(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.db")
	a, b := mustGuard(t, path), mustGuard(t, path)
	for n := range 20 {
		mustAppend(t, a, journaltest.Note(2*n, "heron"))
		mustAppend(t, b, journaltest.Note(2*n+1, "egret"))
	}
	a.Close()
	b.Close()
	waitForMark(t, path, 40)
	if err := mustGuard(t, path).Alarm(); err != nil {
		t.Error(err)
	}
}

// TestFlippedBits flips one bit after another of a journal's file: whatever
// changes an entry is noticed.
func TestFlippedBits(t *testing.T) {
	flips := tenth(2000)
	path := filepath.Join(t.TempDir(), "journal.db")
	s := mustGuard(t, path)
	mustAppend(t, s, journaltest.EveryType(0, "heron", pictureIn(t, s))...)
	mustAppend(t, s, journaltest.Round(300, "heron", "egret")[20:]...)
	want := text(t, s)
	s.Close()
	sound, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(1, 2))
	noticed, harmless := 0, 0
	for range flips {
		bit := random.IntN(len(sound) * 8)
		damaged := append([]byte(nil), sound...)
		damaged[bit/8] ^= 1 << (bit % 8)
		os.Remove(path + "-wal")
		os.Remove(path + "-shm")
		if err := os.WriteFile(path, damaged, 0o600); err != nil {
			t.Fatal(err)
		}
		if passes(t, path, want) {
			harmless++
		} else {
			noticed++
		}
	}
	t.Logf("%d flips were noticed, %d changed nothing", noticed, harmless)
	if noticed < flips/4 {
		t.Errorf("only %d of %d flips were noticed", noticed, flips)
	}
}

func text(t *testing.T, s journal.Store) string {
	t.Helper()
	entries, err := s.Entries(t.Context(), journal.Filter{})
	if err != nil {
		return err.Error()
	}
	return journaltest.Text(entries)
}

// passes opens a file and reports whether nothing was noticed; it fails the
// test where the entries then are not those that were recorded.
func passes(t *testing.T, path, want string) bool {
	t.Helper()
	s, err := journal.Open(t.Context(), path, journal.Options{})
	if err != nil {
		return false
	}
	defer s.Close()
	problems, err := journal.Verify(t.Context(), s, nil)
	if err != nil || len(problems) > 0 {
		return false
	}
	if got := text(t, s); got != want {
		t.Errorf("an entry changed and verify passes: %.200s", got)
	}
	return true
}

// pictureIn keeps a picture in a journal and returns its hash.
func pictureIn(t *testing.T, s journal.Store) string {
	t.Helper()
	hash, err := s.PutAttachment(t.Context(), strings.NewReader("picture"), "belt.jpg", "image/jpeg")
	if err != nil {
		t.Fatal(err)
	}
	return hash
}
