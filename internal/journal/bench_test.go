package journal_test

import (
	"database/sql"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
	"undertray.example/undertray/internal/journal/pgtest"
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
			if got, err := s.Entries(b.Context(), journal.Filter{Batch: journaltest.ID(0)}); err != nil ||
				len(got) != 11 {
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

// BenchmarkAppend keeps a note and a visit of eleven entries on each store, by turns
// with as many rows put into a table like the journal's, with its indexes and guards,
// and into one that has neither, each in one transaction, which waits for the disk just
// as long; a single row goes into the latter by a statement alone. It tells the middle of each, and of the ratios
// of their pairs.
func BenchmarkAppend(b *testing.B) {
	stores := map[string]func() (*sql.DB, string){
		"file":     func() (*sql.DB, string) { return bareFile(b) },
		"database": func() (*sql.DB, string) { return bareSchema(b) },
	}
	for name, open := range stores {
		for _, entries := range []int{1, 11} {
			b.Run(fmt.Sprintf("%s/%d", name, entries), func(b *testing.B) {
				bare, address := open()
				bare.SetMaxOpenConns(1)
				mustExec(b, bare, "CREATE TABLE bare (body TEXT)")
				s, err := journal.Open(b.Context(), address, journal.Options{Create: true})
				if err != nil {
					b.Fatal(err)
				}
				defer s.Close()
				appendByTurns(b, s, bare, entries)
			})
		}
	}
}

// bareFile returns a journal's file to write into, and the path of another.
func bareFile(b *testing.B) (*sql.DB, string) {
	path := filepath.Join(b.TempDir(), "bare.db")
	mustOpen(b, path, journal.Options{Create: true}).Close()
	db := raw(b, path)
	mustExec(b, db, "PRAGMA synchronous = full")
	return db, filepath.Join(b.TempDir(), "own.db")
}

// bareSchema returns a journal's schema to write into, and the address of another.
func bareSchema(b *testing.B) (*sql.DB, string) {
	address := pgtest.Address(b)
	s, err := journal.OpenPostgres(b.Context(), address, journal.Options{Create: true})
	if err != nil {
		b.Fatal(err)
	}
	s.Close()
	db, err := sql.Open("pgx", address)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { db.Close() })
	return db, pgtest.Address(b)
}

func appendByTurns(b *testing.B, s journal.Store, db *sql.DB, entries int) {
	var own, like, bare, ofLike, ofBare []float64 // ms, ms, ms, ratio, ratio
	for n := 0; b.Loop(); n += 11 {
		visit := visitFrom(n)[:entries]
		begun := time.Now()
		if _, added, err := s.Keep(b.Context(), visit); err != nil || added != entries {
			b.Fatal(added, err)
		}
		took := func() float64 { ms := time.Since(begun).Seconds() * 1e3; begun = time.Now(); return ms }
		a := took()
		putRows(b, db, visit, func(i int, body string) []any {
			e := visit[i]
			return []any{likeJournal, n + i + 1, e.ID, n, e.Batch, e.Vehicle, string(e.Type), e.Date.String(), body,
				make([]byte, 32), make([]byte, 32)}
		})
		l := took()
		const bareRow = "INSERT INTO bare VALUES ($1)"
		if len(visit) == 1 {
			putRow(b, db, visit[0], bareRow)
		} else {
			putRows(b, db, visit, func(_ int, body string) []any { return []any{bareRow, body} })
		}
		c := took()
		own, like, bare, ofLike, ofBare = append(own, a), append(like, l), append(bare, c), append(ofLike,
			l/a), append(ofBare, c/a)
	}
	for unit, values := range map[string][]float64{"ms-own": own, "ms-alike": like, "ms-bare": bare,
		"of-alike": ofLike, "of-bare": ofBare} {
		slices.Sort(values)
		b.ReportMetric(values[len(values)/2], unit)
	}
}

const likeJournal = "INSERT INTO entries (seq, id, landing, batch, vehicle, type, date, body, sum, digest)" +
	" VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)"

// putRow inserts a row by a statement alone, which is a transaction.
func putRow(b *testing.B, db *sql.DB, e *fleet.Entry, statement string) {
	b.Helper()
	body, err := fleet.EncodeEntry(e)
	if err == nil {
		_, err = db.Exec(statement, string(body))
	}
	if err != nil {
		b.Fatal(err)
	}
}

// putRows inserts a row for each entry in one transaction.
func putRows(b *testing.B, db *sql.DB, entries []*fleet.Entry, call func(i int, body string) []any) {
	b.Helper()
	tx, err := db.BeginTx(b.Context(), nil)
	if err != nil {
		b.Fatal(err)
	}
	for i, e := range entries {
		body, err := fleet.EncodeEntry(e)
		if args := call(i, string(body)); err == nil {
			_, err = tx.Exec(args[0].(string), args[1:]...)
		}
		if err != nil {
			b.Fatal(err)
		}
	}
	if err := tx.Commit(); err != nil {
		b.Fatal(err)
	}
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
			if got, err := journal.Import(b.Context(), s, "yard.jsonl", strings.NewReader(text),
				journal.ImportOptions{}); err != nil || got.Added != 10000 {
				b.Fatal(got, err)
			}
			s.Close()
		}
	})
	b.Run("export", func(b *testing.B) {
		s, _ := plainFile(b)
		if _, err := journal.Import(b.Context(), s, "yard.jsonl", strings.NewReader(text),
			journal.ImportOptions{}); err != nil {
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
