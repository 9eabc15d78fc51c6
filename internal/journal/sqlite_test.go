package journal_test

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/binary"
	"fmt"
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

// newFile returns a new journal and its path.
func newFile(t testing.TB) (*journal.SQLite, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "yard 100%#1?.journal") // what URIs stumble over
	return mustOpen(t, path, journal.Options{Create: true}), path
}

func mustOpen(t testing.TB, path string, o journal.Options) *journal.SQLite {
	t.Helper()
	s, err := journal.OpenSQLite(context.Background(), path, o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func mustAppend(t testing.TB, s journal.Store, entries ...*fleet.Entry) {
	t.Helper()
	if added, err := s.Append(context.Background(), entries); err != nil || added != len(entries) {
		t.Fatalf("added %d of %d: %v", added, len(entries), err)
	}
}

func wantKind(t *testing.T, err error, want fleet.ErrorKind, text string) {
	t.Helper()
	if err == nil || fleet.KindOf(err) != want || !strings.Contains(err.Error(), text) {
		t.Fatalf("error %v of kind %d, want kind %d and %q", err, fleet.KindOf(err), want, text)
	}
	if len(fleet.Hints(err)) == 0 {
		t.Errorf("%v: no hint", err)
	}
}

func wantCount(t *testing.T, s journal.Store, want int) {
	t.Helper()
	if got, err := s.Count(t.Context()); err != nil || got != want {
		t.Fatalf("the journal holds %d entries (%v), want %d", got, err, want)
	}
}

func wantSound(t *testing.T, s journal.Store) {
	t.Helper()
	problems, err := journal.Verify(t.Context(), s, nil)
	if err != nil || len(problems) > 0 {
		t.Fatalf("problems %v, %v", problems, err)
	}
}

// raw opens the file as another program would.
func raw(t testing.TB, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

func mustExec(t testing.TB, db *sql.DB, query string, args ...any) {
	t.Helper()
	if _, err := db.Exec(query, args...); err != nil {
		t.Fatalf("%s: %v", query, err)
	}
}

// plainFile returns a path without the characters that the plain file names of
// raw cannot hold.
func plainFile(t testing.TB) (*journal.SQLite, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "yard.journal")
	return mustOpen(t, path, journal.Options{Create: true}), path
}

func TestSQLite(t *testing.T) {
	journaltest.Run(t, func(t *testing.T) journal.Store {
		s, _ := newFile(t)
		return s
	})
}

func TestOneFileAfterClose(t *testing.T) {
	s, path := newFile(t)
	mustAppend(t, s, journaltest.Notes(10, "heron")...)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	files, err := os.ReadDir(filepath.Dir(path))
	if err != nil || len(files) != 1 {
		t.Fatalf("files %v, %v; want one", files, err)
	}
	again := mustOpen(t, path, journal.Options{})
	wantCount(t, again, 10)
	if again.ReadOnly() || again.Path() != path {
		t.Errorf("read only: %v, path %q", again.ReadOnly(), again.Path())
	}
}

// The offsets are those of https://sqlite.org/fileformat2.html, section 1.3.
func TestFileHeader(t *testing.T) {
	s, path := newFile(t)
	s.Close()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got := string(b[68:72]); got != "Undr" {
		t.Errorf("application id %q", got)
	}
	if got := binary.BigEndian.Uint32(b[60:64]); got != 3 {
		t.Errorf("user version %d, want 3", got)
	}
	if b[18] != 2 || b[19] != 2 {
		t.Errorf("read and write version %d, %d; want 2, 2 for write-ahead mode", b[18], b[19])
	}
}

func TestOnlyGrows(t *testing.T) {
	s, path := plainFile(t)
	mustAppend(t, s, journaltest.Notes(2, "heron")...)
	if _, err := s.PutAttachment(t.Context(), strings.NewReader("abc"), "a.jpg", "image/jpeg"); err != nil {
		t.Fatal(err)
	}
	db := raw(t, path)
	for _, query := range []string{
		"UPDATE entries SET vehicle = 'egret'",
		"UPDATE entries SET body = body",
		"DELETE FROM entries WHERE seq = 1",
		"DELETE FROM entries",
		"REPLACE INTO entries SELECT * FROM entries WHERE seq = 1",
		"INSERT OR REPLACE INTO entries (id, landing, batch, vehicle, type, date, body) SELECT id, 9, '', 'x', " +
			"'note', date, '{}' FROM entries WHERE seq = 1",
		"UPDATE OR REPLACE entries SET id = (SELECT max(id) FROM entries)",
		"UPDATE attachments SET name = 'x'",
		"DELETE FROM attachments",
		"REPLACE INTO attachments SELECT * FROM attachments",
	} {
		if _, err := db.Exec(query); err == nil || !strings.Contains(err.Error(), "the journal") {
			t.Errorf("%s: error %v, want the journal's own", query, err)
		}
	}
	wantCount(t, s, 2)
	wantSound(t, s)
}

func TestRefusesWhatIsNoJournal(t *testing.T) {
	s, path := plainFile(t)
	mustAppend(t, s, journaltest.Notes(200, "heron")...)
	s.Close()
	sound, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(t.TempDir(), "other.db")
	mustExec(t, raw(t, other), "CREATE TABLE entries (id TEXT); PRAGMA user_version = 1")
	foreign, err := os.ReadFile(other)
	if err != nil {
		t.Fatal(err)
	}
	newer := bytes.Clone(sound)
	binary.BigEndian.PutUint32(newer[60:], 4)

	tests := []struct {
		name string
		file []byte
		kind fleet.ErrorKind
		text string
	}{
		{"empty", nil, fleet.Invalid, "the file is empty"},
		{"text", []byte(strings.Repeat("vehicle: heron\n", 100)), fleet.Invalid, "not an SQLite file"},
		{"short text", []byte("x"), fleet.Invalid, "too short"},
		{"another program's database", foreign, fleet.Invalid, "another program"},
		{"newer", newer, fleet.TooNew, "the journal is of version 4, and this program reads versions up to 3"},
		{"cut off in the header", sound[:60], fleet.Unavailable, "damaged"},
		{"cut off after a page", sound[:4096], fleet.Unavailable, "damaged"},
		{"cut off in a page", sound[:len(sound)/2+7], fleet.Unavailable, "damaged"},
		{"cut off at the end", sound[:len(sound)-4096], fleet.Unavailable, "damaged"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "yard.journal")
			if err := os.WriteFile(path, tt.file, 0o600); err != nil {
				t.Fatal(err)
			}
			for _, o := range []journal.Options{{}, {Create: true}, {ReadOnly: true}} {
				_, err := journal.OpenSQLite(t.Context(), path, o)
				wantKind(t, err, tt.kind, tt.text)
				if !strings.Contains(err.Error(), path) {
					t.Errorf("%v does not name the file", err)
				}
			}
			after, err := os.ReadFile(path)
			if err != nil || !bytes.Equal(after, tt.file) {
				t.Errorf("the file was changed (%v)", err)
			}
			if files, _ := os.ReadDir(filepath.Dir(path)); len(files) != 1 {
				t.Errorf("files were left behind: %v", files)
			}
		})
	}
}

func TestOpenWithoutFile(t *testing.T) {
	folder := t.TempDir()
	missing := filepath.Join(folder, "yard.journal")
	_, err := journal.OpenSQLite(t.Context(), missing, journal.Options{})
	wantKind(t, err, fleet.NotFound, "there is no journal")
	_, err = journal.OpenSQLite(t.Context(), missing, journal.Options{Create: true, ReadOnly: true})
	wantKind(t, err, fleet.NotFound, "there is no journal")
	_, err = journal.OpenSQLite(t.Context(), folder, journal.Options{Create: true})
	wantKind(t, err, fleet.Invalid, "not a file")
	_, err = journal.OpenSQLite(t.Context(), filepath.Join(folder, "none", "yard.journal"),
		journal.Options{Create: true})
	wantKind(t, err, fleet.Unavailable, "cannot be made")
	if files, _ := os.ReadDir(folder); len(files) != 0 {
		t.Errorf("files were left behind: %v", files)
	}
}

func TestCreatedByTwoAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "yard.journal")
	var group sync.WaitGroup
	for i := range 4 {
		group.Go(func() {
			s, err := journal.OpenSQLite(t.Context(), path, journal.Options{Create: true})
			if err != nil {
				t.Errorf("open: %v", err)
				return
			}
			defer s.Close()
			if _, err := s.Append(t.Context(), []*fleet.Entry{journaltest.Note(i, "heron")}); err != nil {
				t.Errorf("append: %v", err)
			}
		})
	}
	group.Wait()
	s := mustOpen(t, path, journal.Options{})
	wantCount(t, s, 4)
	wantSound(t, s)
}

func TestAnotherProgramWrites(t *testing.T) {
	s, path := plainFile(t)
	mustAppend(t, s, journaltest.Note(0, "heron"))
	s.Close()
	db := raw(t, path)
	db.SetMaxOpenConns(1)
	mustExec(t, db, "BEGIN IMMEDIATE")
	s = mustOpen(t, path, journal.Options{Wait: 30 * time.Millisecond})
	wantCount(t, s, 1)
	_, err := s.Append(t.Context(), []*fleet.Entry{journaltest.Note(1, "heron")})
	wantKind(t, err, fleet.Unavailable, "another program is writing")
	mustExec(t, db, "COMMIT")
	mustAppend(t, s, journaltest.Note(1, "heron"))
}

func TestFullDisk(t *testing.T) {
	s, path := plainFile(t)
	s.Close()
	s = mustOpen(t, path, journal.WithMaxPages(journal.Options{}, 60))
	landed := 0
	var full error
	for full == nil && landed < 10000 {
		_, full = s.Append(t.Context(), journaltest.Notes(landed+20, "heron")[landed:])
		if full == nil {
			landed += 20
		}
	}
	wantKind(t, full, fleet.Unavailable, "the disk is full, and nothing was recorded")
	_, err := s.PutAttachment(t.Context(), bytes.NewReader(make([]byte, 1<<20)), "a.jpg", "image/jpeg")
	wantKind(t, err, fleet.Unavailable, "the disk is full")
	wantCount(t, s, landed)
	wantSound(t, s)
	s.Close()

	s = mustOpen(t, path, journal.Options{}) // room was made
	wantCount(t, s, landed)
	mustAppend(t, s, journaltest.Note(landed, "heron"))
	wantSound(t, s)
}

func TestLookUpsUseTheirIndex(t *testing.T) {
	s, path := plainFile(t)
	mustAppend(t, s, journaltest.Round(500, "heron", "egret")...)
	db := raw(t, path)
	one, ofVehicle := journal.Filter{Vehicle: "heron"}.Query()
	form, ofForm := journal.Filter{Batch: journaltest.ID(0)}.Query()
	for _, look := range []struct {
		query, index string
		args         []any
		mayOrder     bool
	}{
		{one, "INDEX entries_vehicle", ofVehicle, true}, // the pages about the past: all that a vehicle has
		{form, "INDEX entries_batch", ofForm, true},     // few
		{journal.OfArrived, "INDEX entries_vehicle", []any{"heron", 3}, false},
		{journal.OfDates, "INDEX entries_date", []any{"heron", 400}, false},
		{journal.TouchedAt, "INTEGER PRIMARY KEY", []any{400}, false}, // whatever the vehicles
	} {
		rows, err := db.Query("EXPLAIN QUERY PLAN "+look.query, look.args...)
		if err != nil {
			t.Fatal(err)
		}
		var plan strings.Builder
		for rows.Next() {
			var a, b, c int
			var step string
			if err := rows.Scan(&a, &b, &c, &step); err != nil {
				t.Fatal(err)
			}
			fmt.Fprintln(&plan, step)
		}
		rows.Close()
		if !strings.Contains(plan.String(), "USING "+look.index) {
			t.Errorf("%s does not use %s:\n%s", look.query, look.index, plan.String())
		}
		if !look.mayOrder && strings.Contains(plan.String(), "TEMP") {
			t.Errorf("%s sorts:\n%s", look.query, plan.String())
		}
	}
}

// What another program is just bringing into the file looks damaged to who reads it
// without a lock; a moment later it does not, and the journal opens. What stays
// damaged is told.
func TestHalfBroughtIn(t *testing.T) {
	s, path := newFile(t)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	sound, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	half := bytes.Clone(sound)
	copy(half[100:], bytes.Repeat([]byte{0xa5}, 400)) // the first page's cells
	if err := os.WriteFile(path, half, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := journal.Open(t.Context(), path, journal.Options{}); fleet.KindOf(err) != fleet.Unavailable {
		t.Fatalf("what stays so opens, or fails with %v", err)
	}
	file, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	brought := time.AfterFunc(10*time.Millisecond, func() {
		if _, err := file.WriteAt(sound[100:500], 100); err != nil { // in its place, as the other program does
			t.Error(err)
		}
	})
	defer brought.Stop()
	again, err := journal.Open(t.Context(), path, journal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	again.Close()
}
