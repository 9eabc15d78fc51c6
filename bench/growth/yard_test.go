package growth

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/bench/program"
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/cli"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
	"undertray.example/undertray/internal/web"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// today is the day after the last entry.
var today = civil.MustParse("2026-11-25")

func noon() time.Time {
	return time.Date(today.Year, today.Month, today.Day, 12, 0, 0, 0, time.UTC)
}

// yardWith makes a yard with sheets of some vehicles, wren among them, whose
// journal holds n entries about so many vehicles: in ten years, visit after visit,
// a reading and findings on ten positions in turn. Such a journal is filled once
// and copied for each yard.
func yardWith(b testing.TB, n, vehicles, sheets int) string {
	b.Helper()
	dir := b.TempDir()
	names := sheetsOf(b, dir, vehicles, sheets)
	filled := filepath.Join(program.Scratch(), fmt.Sprintf("%d entries about %d", n, vehicles))
	if _, err := os.Stat(filled); err != nil {
		if err := os.Mkdir(filled, 0o755); err != nil {
			b.Fatal(err)
		}
		y, err := yard.Open(dir)
		if err != nil {
			b.Fatal(err)
		}
		s, err := journal.Open(b.Context(), yard.JournalPath(filled), journal.Options{Create: true})
		if err != nil {
			b.Fatal(err)
		}
		fill(b, s, y, n, names)
		if err := s.Close(); err != nil {
			b.Fatal(err)
		}
	}
	if err := os.CopyFS(dir, os.DirFS(filled)); err != nil {
		b.Fatal(err)
	}
	return dir
}

// sheetsOf makes a yard's folder and returns the names of its vehicles.
func sheetsOf(b testing.TB, dir string, vehicles, sheets int) []string {
	b.Helper()
	run(b, dir, "sheet", "new", "wren", "--like", "four-transverse-petrol", "--name", "Wren", "--built", "2014-05-01")
	src, err := os.ReadFile(yard.SheetPath(dir, "wren"))
	if err != nil {
		b.Fatal(err)
	}
	names := []string{"wren"}
	for i := 1; i < vehicles; i++ {
		id := fmt.Sprintf("other-%d", i)
		if names = append(names, id); i < sheets {
			text := strings.Replace(string(src), "vehicle: wren", "vehicle: "+id, 1)
			if err := os.WriteFile(yard.SheetPath(dir, id), []byte(text), 0o644); err != nil || text == string(src) {
				b.Fatal("no other sheet", err)
			}
		}
	}
	return names
}

// fill records the entries.
func fill(b testing.TB, s journal.Store, y *yard.Yard, n int, names []string) {
	b.Helper()
	wren, err := y.Vehicle("wren")
	if err != nil {
		b.Fatal(err)
	}
	var part []*fleet.Entry
	for i := range n {
		if part = append(part, entryAt(i, n, names, wren, y.Catalogue)); len(part) == 10000 || i == n-1 {
			if _, err := s.Append(b.Context(), part); err != nil {
				b.Fatal(err)
			}
			part = part[:0]
		}
	}
}

// entryAt is the i-th of n entries.
func entryAt(i, n int, names []string, v *fleet.Vehicle, cat *catalogue.Catalogue) *fleet.Entry {
	const perVisit, days = 11, 3600
	visit, visits := i/perVisit, n/perVisit+1
	e := journaltest.Note(i, names[visit%len(names)])
	e.Date = today.AddDays(visit*days/visits - days)
	e.Recorded = time.Date(e.Date.Year, e.Date.Month, e.Date.Day, 8, 0, 0, 1000*(i%1000000), time.UTC)
	e.Batch = journaltest.ID(visit * perVisit)
	if i%perVisit == 0 {
		total := units.Must(float64(80000+150000*visit/visits), "km")
		e.Type, e.Note, e.Odometer = fleet.TypeOdometer, nil, &total
		return e
	}
	turn := visit/len(names)*(perVisit-1) + i%perVisit - 1
	p := &v.Positions[turn%len(v.Positions)]
	checks := cat.Kind(p.Kind).Checks
	if len(checks) == 0 {
		return e
	}
	c := &checks[turn/len(v.Positions)%len(checks)]
	e.Type, e.Note, e.Found = fleet.TypeFound, nil, &fleet.Found{Position: p.ID, Check: c.ID}
	if c.Measured() {
		value, err := units.ParseAny("1 " + c.Unit)
		if err != nil {
			value = units.MustParse("1") // a number
		}
		e.Found.Value = &value
	} else {
		e.Found.Answer = c.Answers[0].ID
	}
	return e
}

func run(b testing.TB, dir string, args ...string) {
	b.Helper()
	var complaints bytes.Buffer
	if code := cli.Main(append([]string{"--yard", dir}, args...), strings.NewReader(""), io.Discard,
		&complaints); code != 0 {
		b.Fatalf("%v: %s", args, complaints.String())
	}
}

// served is a yard that is served in this process.
type served struct {
	dir   string
	store journal.Store
	pages http.Handler
}

func serve(b testing.TB, dir string) *served {
	b.Helper()
	store, err := journal.Open(b.Context(), yard.JournalPath(dir), journal.Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { store.Close() })
	srv, err := web.New(web.Options{Dir: dir, Journal: journal.FoldsOf(store, dir), Now: noon, NewID: journal.NewID})
	if err != nil {
		b.Fatal(err)
	}
	return &served{dir, store, srv.Handler()}
}

// page gets a page that must be there.
func (s *served) page(b testing.TB, path string) {
	b.Helper()
	w := httptest.NewRecorder()
	s.pages.ServeHTTP(w, httptest.NewRequest("GET", "http://localhost"+path, nil))
	if w.Code != http.StatusOK {
		b.Fatalf("%s: %d %.300s", path, w.Code, w.Body)
	}
}

// round keeps a round of one answer and one note.
func (s *served) round(b testing.TB) {
	b.Helper()
	form := url.Values{"date": {today.String()}, "batch": {journal.NewID()}, "a.battery.rest-voltage": {"12.4"},
		"n.battery": {"terminals warm"}}
	r := httptest.NewRequest("POST", "http://localhost/v/wren/round", strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	if s.pages.ServeHTTP(w, r); w.Code != http.StatusSeeOther {
		b.Fatalf("round: %d %.600s", w.Code, w.Body)
	}
}

// sizeOf is the size of a yard's journal in bytes.
func sizeOf(dir string) int64 {
	info, err := os.Stat(filepath.Join(dir, yard.JournalFile))
	if err != nil {
		return 0
	}
	return info.Size()
}
