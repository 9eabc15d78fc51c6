package journal

import (
	"context"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"undertray.example/undertray/internal/fleet"
)

var update = flag.Bool("update", false, "rewrite the expected files")

// savedJournal copies the saved journal of a version into a folder of its own.
func savedJournal(t *testing.T, version int) string {
	t.Helper()
	b, err := os.ReadFile(fmt.Sprintf("testdata/version-%d.journal", version))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "yard.journal")
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestSavedVersions opens the journal that each released version left, and
// wants all that was in it.
func TestSavedVersions(t *testing.T) {
	for version := 1; version <= latestVersion(); version++ {
		t.Run(fmt.Sprint(version), func(t *testing.T) {
			s, err := OpenSQLite(t.Context(), savedJournal(t, version), Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			var got strings.Builder
			if _, err := Export(t.Context(), s, &got, ExportOptions{Attachments: true}); err != nil {
				t.Fatal(err)
			}
			want, err := os.ReadFile(fmt.Sprintf("testdata/version-%d.jsonl", version))
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), got.String()); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			problems, err := Verify(t.Context(), s, nil)
			if err != nil || len(problems) > 0 {
				t.Errorf("problems %v, %v", problems, err)
			}
			if got := schema(t, s); got != newSchema(t) {
				t.Errorf("the schema is not that of a new journal (-new +old):\n%s", cmp.Diff(newSchema(t), got))
			}
		})
	}
}

func TestSchema(t *testing.T) {
	const file = "testdata/schema.golden"
	got := newSchema(t)
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("a released schema changes by a migration only (-want +got):\n%s", diff)
	}
}

func newSchema(t *testing.T) string {
	t.Helper()
	s, err := OpenSQLite(t.Context(), filepath.Join(t.TempDir(), "new.journal"), Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	return schema(t, s)
}

func schema(t *testing.T, s *SQLite) string {
	t.Helper()
	rows, err := s.read.Query("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%' " +
		"ORDER BY name")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	var out strings.Builder
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			t.Fatal(err)
		}
		out.WriteString(text + ";\n\n")
	}
	return out.String()
}

func TestMigrationFilesAreNumbered(t *testing.T) {
	for _, folder := range []string{"sqlite", "postgres"} {
		files, err := migrationFiles.ReadDir("migrations/" + folder)
		if err != nil {
			t.Fatal(err)
		}
		for i, f := range files {
			if want := fmt.Sprintf("%04d_", i+1); !strings.HasPrefix(f.Name(), want) {
				t.Errorf("%s/%s should begin with %s", folder, f.Name(), want)
			}
		}
	}
}

func version(t *testing.T, db querier) int {
	t.Helper()
	var v int
	if err := db.QueryRowContext(t.Context(), "PRAGMA user_version").Scan(&v); err != nil {
		t.Fatal(err)
	}
	return v
}

func TestMigration(t *testing.T) {
	path := savedJournal(t, 1)
	db, err := connect(path, readWrite, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	next := afterFirst(t, "CREATE TABLE places (id TEXT) STRICT;\nCREATE INDEX places_id ON places (id);",
		"ALTER TABLE places ADD COLUMN name TEXT NOT NULL DEFAULT '';")
	if err := bringUpToDate(t.Context(), db, path, next); err != nil {
		t.Fatal(err)
	}
	if got := version(t, db); got != 3 {
		t.Errorf("version %d, want 3", got)
	}
	if _, err := db.Exec("INSERT INTO places (id, name) VALUES ('a', 'b')"); err != nil {
		t.Error(err)
	}
	backup, err := connect(path+".before-version-3", frozen, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer backup.Close()
	if got := version(t, backup); got != 1 {
		t.Errorf("the backup is of version %d, want 1", got)
	}
	// Again: nothing is left to do.
	if err := bringUpToDate(t.Context(), db, path, next); err != nil {
		t.Error(err)
	}
}

// afterFirst returns the first migration and others after it.
func afterFirst(t *testing.T, more ...string) fs.FS {
	t.Helper()
	first, err := fs.ReadFile(sqliteMigrations(), "0001_journal.sql")
	if err != nil {
		t.Fatal(err)
	}
	files := fstest.MapFS{"0001_journal.sql": {Data: first}}
	for i, text := range more {
		files[fmt.Sprintf("%04d_more.sql", i+2)] = &fstest.MapFile{Data: []byte("-- +goose Up\n" + text + "\n")}
	}
	return files
}

// A migration that fails leaves the journal as the one before it made it.
func TestFailedMigrationChangesNothing(t *testing.T) {
	path := savedJournal(t, 1)
	db, err := connect(path, readWrite, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	bad := afterFirst(t, "CREATE TABLE more (id TEXT);\nDELETE FROM entries;")
	for range 2 { // the second time the backup is there already
		if err := bringUpToDate(t.Context(), db, path, bad); err == nil ||
			!strings.Contains(err.Error(), "migration 2") {
			t.Fatalf("error %v, want one that names migration 2", err)
		}
	}
	if got := version(t, db); got != 1 {
		t.Errorf("version %d, want 1", got)
	}
	var tables int
	if err := db.QueryRow("SELECT count(*) FROM sqlite_schema WHERE name = 'more'").Scan(&tables); err != nil ||
		tables != 0 {
		t.Errorf("%d tables of the failed migrations are there, %v", tables, err)
	}
	s, err := OpenSQLite(t.Context(), path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if n, err := s.Count(t.Context()); err != nil || n != 12 {
		t.Errorf("%d entries, %v; want 12", n, err)
	}
}

// TestConnections reads the settings back that durability rests on.
func TestConnections(t *testing.T) {
	path := savedJournal(t, 1)
	for how, want := range map[access]map[string]string{
		readWrite: {"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "5000",
			"trusted_schema": "0"},
		readOnly: {"journal_mode": "wal", "foreign_keys": "1", "busy_timeout": "5000", "trusted_schema": "0"},
		frozen:   {"foreign_keys": "1", "trusted_schema": "0"},
	} {
		db, err := connect(path, how, Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		for pragma, value := range want {
			var got string
			if err := db.QueryRow("PRAGMA " + pragma).Scan(&got); err != nil || got != value {
				t.Errorf("access %d: %s is %q, %v; want %q", how, pragma, got, err, value)
			}
		}
		_, err = db.Exec("CREATE TABLE scratch (id TEXT)")
		if writes := err == nil; writes != (how == readWrite) {
			t.Errorf("access %d: writing gives %v", how, err)
		}
	}
}

func TestOlderJournalThatCannotBeWritten(t *testing.T) {
	path := savedJournal(t, 1)
	db, err := connect(path, readWrite, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("PRAGMA user_version = 0"); err != nil {
		t.Fatal(err)
	}
	db.Close()
	_, err = OpenSQLite(context.Background(), path, Options{ReadOnly: true})
	if fleet.KindOf(err) != fleet.Unavailable || !strings.Contains(err.Error(), "must be brought up to version 3") {
		t.Errorf("error %v", err)
	}
}
