// Package kills holds the campaign that kills what writes into a journal: commands,
// servers that rounds are posted to, and servers that a phone sends rounds to, on a
// file and on a database. What was acknowledged is there once and whole.
package kills

import (
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"undertray.example/undertray/bench/program"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/pgtest"
)

// today is the day of everything that is recorded.
const today = "2026-11-25"

func TestMain(m *testing.M) { program.TestMain(m) }

// shed is a yard with one vehicle, and where its journal lies.
type shed struct {
	dir, journal string
}

// sheds returns a yard whose journal is a file and one whose journal is a schema.
func sheds(t *testing.T) map[string]shed {
	t.Helper()
	out := map[string]shed{"file": {dir: t.TempDir()}, "database": {dir: t.TempDir(), journal: pgtest.Address(t)}}
	for name, s := range out {
		if s.journal == "" {
			s.journal = filepath.Join(s.dir, "journal.db")
			out[name] = s
		}
		cmd := s.command(t, "sheet", "new", "wren", "--like", "four-transverse-petrol", "--name", "Wren",
			"--built", "2014-05-01")
		if said, err := cmd.CombinedOutput(); err != nil {
			t.Fatal(err, string(said))
		}
		store, err := journal.Open(t.Context(), s.journal, journal.Options{Create: true, Mark: s.mark()})
		if err != nil {
			t.Fatal(err)
		}
		store.Close()
	}
	return out
}

func (s shed) mark() string { return filepath.Join(s.dir, journal.MarkFile) }

// command returns the program with some arguments, not started.
func (s shed) command(t *testing.T, args ...string) *exec.Cmd {
	t.Helper()
	return program.Command(t, today, append([]string{"--yard", s.dir, "--journal", s.journal}, args...)...)
}

// serve starts a server and returns once it listens.
func (s shed) serve(t *testing.T) *program.Server {
	t.Helper()
	return program.Serve(t, s.command(t, "serve", "--listen", "localhost:0"))
}

// perBatch is how many entries each batch of the campaign has.
const perBatch = 3

// tally is what was sent, by the mark that stands in it, and whether it was
// acknowledged.
type tally map[string]bool

// read opens the journal for the rest of the test and reads all of it.
func (s shed) read(t *testing.T) (journal.Store, []*fleet.Entry) {
	t.Helper()
	store, err := journal.Open(t.Context(), s.journal, journal.Options{Mark: s.mark()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	entries, err := store.Entries(t.Context(), journal.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	return store, entries
}

// wantKept opens the journal and wants what was acknowledged to be there once, what
// was not at most once, and both whole; nothing else; and nothing for verify to find.
func (s shed) wantKept(t *testing.T, sent tally) {
	t.Helper()
	store, entries := s.read(t)
	sizes, marks := map[string]int{}, map[string]map[string]bool{}
	for _, e := range entries {
		sizes[e.Batch]++
		if m := markOf(e); m != "" {
			if marks[m] == nil {
				marks[m] = map[string]bool{}
			}
			marks[m][e.Batch] = true
		}
	}
	for mark, acknowledged := range sent {
		batches := marks[mark]
		if len(batches) > 1 || acknowledged && len(batches) == 0 {
			t.Errorf("%s, acknowledged: %v, is there %d times", mark, acknowledged, len(batches))
		}
		for b := range batches {
			if sizes[b] != perBatch {
				t.Errorf("%s has %d entries, want %d", mark, sizes[b], perBatch)
			}
		}
	}
	for m := range marks {
		if _, ok := sent[m]; !ok {
			t.Errorf("nobody sent %q", m)
		}
	}
	if len(marks) != len(sizes) {
		t.Errorf("%d batches are there, %d of them with a mark", len(sizes), len(marks))
	}
	if problems, err := journal.Verify(t.Context(), store, nil); err != nil || len(problems) > 0 {
		t.Errorf("verify: %v, %v", problems, err)
	}
	if err := store.Alarm(); err != nil {
		t.Error(err)
	}
}

// markOf returns the mark that stands in an entry.
func markOf(e *fleet.Entry) string {
	switch {
	case e.Note != nil:
		return e.Note.Text
	case e.Found != nil:
		return e.Found.Note
	}
	return ""
}

// until calls do until it says that enough was done, for so long at the most, and
// returns how often it was called.
func until(most time.Duration, do func() (again bool)) (n int) {
	for begun := time.Now(); time.Since(begun) < most; {
		if n++; !do() {
			break
		}
	}
	return n
}
