// Package growth measures what recording costs as the journal grows: the same
// command on a yard with few entries and with many, over 500 vehicles and all
// about one, beside a bare insert with the same waiting for the disk.
package growth

import (
	"bytes"
	"database/sql"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	_ "modernc.org/sqlite"

	"undertray/civil"
	"undertray/internal/cli"
	"undertray/internal/fleet"
	"undertray/internal/journal"
	"undertray/internal/journal/journaltest"
)

// sizes are the numbers of entries compared; a million with UNDERTRAY_SOAK.
func sizes() []int {
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		return []int{1000, 10000, 100000, 1000000}
	}
	return []int{1000, 10000, 100000}
}

// yardWith makes a yard of one vehicle, wren, in a journal of n entries about so
// many vehicles, wren among them.
func yardWith(b *testing.B, n, vehicles int) string {
	b.Helper()
	dir := b.TempDir()
	run(b, dir, "sheet", "new", "four-transverse-petrol", "wren", "--name", "Wren", "--built", "2014-05-01")
	names := []string{"wren"}
	for i := 1; i < vehicles; i++ {
		names = append(names, fmt.Sprintf("other-%d", i))
	}
	entries := journaltest.Round(n, names...)
	for _, e := range entries { // a day's rounds on many vehicles, in the past
		e.Date = civil.MustParse("2016-01-01").AddDays(3600 * int(e.Date.Sub(entries[0].Date)) / (n/11 + 1))
		if e.Found != nil {
			e.Found.Position, e.Found.Check = "main-belt", "cracks"
			e.Found.Answer, e.Found.Value = "", nil
			e.Type, e.Note = fleet.TypeNote, &fleet.Note{Text: "looked at"}
			e.Found = nil
		}
	}
	s, err := journal.Open(b.Context(), filepath.Join(dir, "journal.db"), journal.Options{Create: true})
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	for len(entries) > 0 {
		part := entries[:min(len(entries), 10000)]
		if _, err := s.Append(b.Context(), part); err != nil {
			b.Fatal(err)
		}
		entries = entries[len(part):]
	}
	return dir
}

func run(b *testing.B, dir string, args ...string) {
	b.Helper()
	var complaints bytes.Buffer
	if code := cli.Main(append([]string{"--yard", dir}, args...), strings.NewReader(""), io.Discard, &complaints); code != 0 {
		b.Fatalf("%v: %s", args, complaints.String())
	}
}

// BenchmarkNote records a note by command. The ratio is that to the smallest
// journal.
func BenchmarkNote(b *testing.B) {
	for _, vehicles := range []int{500, 1} {
		first := 0.0
		for _, n := range sizes() {
			b.Run(fmt.Sprintf("%d entries about %d vehicles", n, vehicles), func(b *testing.B) {
				dir := yardWith(b, n, vehicles)
				run(b, dir, "note", "wren", "warm")
				for b.Loop() {
					run(b, dir, "note", "wren", "rattles when cold")
				}
				each := b.Elapsed().Seconds() / float64(b.N)
				if first == 0 {
					first = each
				}
				b.ReportMetric(each/first, "times-the-first")
			})
		}
	}
}

// BenchmarkKeep lands one note, beside one bare row in a transaction of its own.
func BenchmarkKeep(b *testing.B) {
	for _, n := range sizes() {
		b.Run(fmt.Sprintf("%d entries", n), func(b *testing.B) {
			dir := yardWith(b, n, 500)
			s, err := journal.Open(b.Context(), filepath.Join(dir, "journal.db"), journal.Options{})
			if err != nil {
				b.Fatal(err)
			}
			defer s.Close()
			bare := bareRows(b, filepath.Join(dir, "bare.db"))
			var ours, theirs time.Duration
			body := strings.Repeat("x", 300)
			for i := 0; b.Loop(); i++ {
				e := journaltest.Note(1, "wren")
				e.ID, e.Batch = journal.NewID(), journal.NewID()
				begun := time.Now()
				if _, _, err := s.Keep(b.Context(), []*fleet.Entry{e}); err != nil {
					b.Fatal(err)
				}
				ours += time.Since(begun)
				begun = time.Now()
				if _, err := bare.Exec("INSERT INTO rows VALUES (?1)", body); err != nil {
					b.Fatal(err)
				}
				theirs += time.Since(begun)
			}
			b.ReportMetric(theirs.Seconds()/ours.Seconds(), "of-a-bare-insert's-rate")
		})
	}
}

func bareRows(b *testing.B, path string) *sql.DB {
	b.Helper()
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=journal_mode(wal)&_pragma=synchronous(full)")
	if err != nil {
		b.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	b.Cleanup(func() { db.Close() })
	if _, err := db.Exec("CREATE TABLE rows (body TEXT)"); err != nil {
		b.Fatal(err)
	}
	return db
}
