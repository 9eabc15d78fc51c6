package journal_test

import (
	"database/sql"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"testing"

	"undertray/internal/fleet"
	"undertray/internal/journal"
	"undertray/internal/journal/journaltest"
)

// BenchmarkEntries reads what a page about one of four vehicles needs from a
// journal of 100 000 entries, and compares it with a bare scan of the same rows
// in the same run.
func BenchmarkEntries(b *testing.B) {
	const total, vehicles = 100000, 4
	path := filepath.Join(b.TempDir(), "yard.journal")
	s := mustOpen(b, path, journal.Options{Create: true})
	mustAppend(b, s, journaltest.Round(total, "egret", "heron", "smew", "teal")...)
	db := raw(b, path)
	b.Run("bare scan", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if n := bareScan(b, db); n < total/vehicles-20 {
				b.Fatalf("%d rows", n)
			}
		}
	})
	b.Run("one vehicle", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			entries, err := s.OfVehicle(b.Context(), "heron")
			if err != nil || len(entries) < total/vehicles-20 {
				b.Fatal(len(entries), err)
			}
		}
	})
	b.Run("vehicles", func(b *testing.B) {
		for b.Loop() {
			if got, err := s.Vehicles(b.Context()); err != nil || len(got) != vehicles {
				b.Fatal(got, err)
			}
		}
	})
	b.Run("one batch", func(b *testing.B) {
		for b.Loop() {
			if got, err := s.Entries(b.Context(), journal.Filter{Batch: journaltest.ID(0)}); err != nil || len(got) != 11 {
				b.Fatal(len(got), err)
			}
		}
	})
}

func bareScan(b *testing.B, db *sql.DB) (n int) {
	b.Helper()
	rows, err := db.Query("SELECT id, body FROM entries WHERE vehicle = 'heron' ORDER BY id")
	if err != nil {
		b.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var id string
		var body sql.RawBytes
		if err := rows.Scan(&id, &body); err != nil {
			b.Fatal(err)
		}
		n++
	}
	return n
}

// BenchmarkAppend lands a visit of eleven entries, and compares it with one bare
// row in a transaction of its own, which waits for the disk just as long.
func BenchmarkAppend(b *testing.B) {
	b.Run("bare row", func(b *testing.B) {
		db := raw(b, filepath.Join(b.TempDir(), "bare.db"))
		db.SetMaxOpenConns(1)
		for _, q := range []string{"PRAGMA journal_mode = wal", "PRAGMA synchronous = full", "CREATE TABLE rows (body TEXT)"} {
			mustExec(b, db, q)
		}
		body := strings.Repeat("x", 300)
		for b.Loop() {
			mustExec(b, db, "INSERT INTO rows VALUES (?1)", body)
		}
	})
	b.Run("visit", func(b *testing.B) {
		s, _ := plainFile(b)
		n := 0
		for b.Loop() {
			visit := journaltest.Round(11, "heron")
			for i, e := range visit {
				e.ID, e.Batch = journaltest.ID(n+i), journaltest.ID(n)
			}
			n += 11
			mustAppend(b, s, visit...)
		}
	})
}

// BenchmarkImport brings 10 000 entries into an empty journal, and compares it
// with reading them only.
func BenchmarkImport(b *testing.B) {
	text := journaltest.Text(journaltest.Round(10000, "heron", "egret"))
	b.Run("decode only", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			for line := range strings.Lines(text) {
				if _, err := fleet.DecodeEntry([]byte(strings.TrimSuffix(line, "\n"))); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
	b.Run("import", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for i := 0; b.Loop(); i++ {
			s := mustOpen(b, filepath.Join(b.TempDir(), fmt.Sprint(i)), journal.Options{Create: true})
			if got, err := journal.Import(b.Context(), s, "yard.jsonl", strings.NewReader(text), journal.ImportOptions{}); err != nil || got.Added != 10000 {
				b.Fatal(got, err)
			}
			s.Close()
		}
	})
	b.Run("export", func(b *testing.B) {
		s, _ := plainFile(b)
		if _, err := journal.Import(b.Context(), s, "yard.jsonl", strings.NewReader(text), journal.ImportOptions{}); err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			if _, err := journal.Export(b.Context(), s, io.Discard, journal.ExportOptions{}); err != nil {
				b.Fatal(err)
			}
		}
	})
}
