// Package growth measures what recording and pages cost as the journal grows: the
// same on a yard with few entries and with many, over 500 vehicles and all about
// one, beside a bare insert with the same waiting for the disk.
package growth

import (
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	_ "modernc.org/sqlite"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
)

func soak() bool { return os.Getenv("UNDERTRAY_SOAK") != "" }

// many is the number of entries compared with a thousand.
func many() int {
	if soak() {
		return 1000000
	}
	return 100000
}

// TestCostDoesNotGrow: a note by command, a round kept by a server and a vehicle's
// page cost at most 1.5 times as much with many entries as with a thousand, and the
// first page after the start at most three times. Both are done by turns. The soak
// compares the processor time of this process; the check what is allocated, which
// grows with what is read and folded and does not depend on what else the machine
// does.
func TestCostDoesNotGrow(t *testing.T) {
	t.Setenv("UNDERTRAY_TODAY", today.String())
	for _, vehicles := range []int{500, 1} {
		t.Run(fmt.Sprintf("about %d vehicles", vehicles), func(t *testing.T) {
			few, lots := yardWith(t, 1000, vehicles, 3), yardWith(t, many(), vehicles, 3)
			note := func(dir string) func() { return func() { run(t, dir, "note", "wren", "rattles when cold") } }
			compared(t, "note", 1.5, 25, note(few), note(lots))
			a, b := serve(t, few), serve(t, lots)
			page := func(s *served) func() { return func() { s.page(t, "/v/wren") } }
			compared(t, "page", 1.5, 60, page(a), page(b))
			round := func(s *served) func() { return func() { s.round(t) } }
			compared(t, "round", 1.5, 40, round(a), round(b))
			after := func(s *served) func() { return func() { s.round(t); s.page(t, "/v/wren") } }
			compared(t, "round and page", 1.5, 40, after(a), after(b))
			first := func(dir string) func() { return func() { serve(t, dir).page(t, "/v/wren") } }
			compared(t, "first page after start", 3, 10, first(few), first(lots))
		})
	}
}

// TestPagesDoNotGrowWithVehicles: the page of a large yard and that of a vehicle
// cost at most 1.5 times as much with ten times as many vehicles, after a round too.
// Compared are vehicles last seen as long ago: what is due, and so what a page says,
// goes by that.
func TestPagesDoNotGrowWithVehicles(t *testing.T) {
	t.Setenv("UNDERTRAY_TODAY", today.String())
	few, lots := serve(t, yardWith(t, 60*11, 60, 60)), serve(t, yardWith(t, 600*11, 600, 600))
	for _, at := range [][2]string{{"/", "/"}, {"/v/wren", "/v/wren"}, {"/v/other-50", "/v/other-500"}} {
		page := func(s *served, path string) func() { return func() { s.page(t, path) } }
		compared(t, at[1], 1.5, 20, page(few, at[0]), page(lots, at[1]))
		after := func(s *served, path string) func() { return func() { s.round(t); s.page(t, path) } }
		compared(t, "a round and "+at[1], 1.5, 20, after(few, at[0]), after(lots, at[1]))
	}
}

// compared wants what is done on a large yard to cost at most so many times what it
// costs on a small one, in the middle of so many tries, after one that counts for
// neither.
func compared(t *testing.T, what string, most float64, tries int, small, large func()) {
	t.Helper()
	cost, unit := allocated, "MB"
	if soak() {
		cost, unit = spent, "ms"
	} else {
		tries = 5
	}
	small()
	large()
	var a, b []float64
	for range tries {
		a, b = append(a, cost(small)), append(b, cost(large))
	}
	slices.Sort(a)
	slices.Sort(b)
	ratio := b[tries/2] / a[tries/2]
	t.Logf("%s: %.2f %s with few entries, %.2f %s with many, %.2f times", what, a[tries/2], unit,
		b[tries/2], unit, ratio)
	if ratio > most {
		t.Errorf("%s costs %.2f times as much with many entries, want at most %g", what, ratio, most)
	}
}

// allocated is the memory in MB that doing something takes in all.
func allocated(do func()) float64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	do()
	runtime.ReadMemStats(&after)
	return float64(after.TotalAlloc-before.TotalAlloc) / 1e6
}

// spent is the processor time of this process that doing something takes, in ms.
func spent(do func()) float64 {
	begun := processor()
	do()
	return processor() - begun
}

func processor() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e6
}

// BenchmarkKeep lands one note, beside one bare row in a transaction of its own.
func BenchmarkKeep(b *testing.B) {
	for _, n := range []int{1000, many()} {
		b.Run(fmt.Sprintf("%d entries", n), func(b *testing.B) {
			dir := yardWith(b, n, 500, 1)
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
			b.ReportMetric(float64(sizeOf(dir))/float64(n), "bytes-an-entry")
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
