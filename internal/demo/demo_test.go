package demo

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/yard"
)

// world is the demo yard as a test looks at it.
type world struct {
	yard    *yard.Yard
	entries []*fleet.Entry
}

// built makes the demo yard once for all tests, which only read it.
var built = sync.OnceValues(func() (*world, error) {
	dir, err := os.MkdirTemp("", "demo")
	if err != nil {
		return nil, err
	}
	builtIn = dir
	return build(dir)
})

var builtIn string

func TestMain(m *testing.M) {
	code := m.Run()
	os.RemoveAll(builtIn)
	os.Exit(code)
}

func build(dir string) (*world, error) {
	n, err := Create(context.Background(), dir)
	if err != nil {
		return nil, err
	}
	y, err := yard.Open(dir)
	if err != nil {
		return nil, err
	}
	entries, err := Entries(y)
	if err == nil && n != len(entries) {
		err = fmt.Errorf("Create says %d entries, the stories have %d", n, len(entries))
	}
	return &world{y, entries}, err
}

func open(t *testing.T) *world {
	t.Helper()
	w, err := built()
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func (w *world) state(t *testing.T, vehicle string) *fleet.State {
	t.Helper()
	v, err := w.yard.Vehicle(vehicle)
	if err != nil {
		t.Fatal(err)
	}
	return fleet.Fold(v, w.entries, Today)
}

func (w *world) place(t *testing.T, vehicle, position string) *fleet.Place {
	t.Helper()
	p := w.state(t, vehicle).Place(position)
	if p == nil {
		t.Fatalf("%s has no position %q", vehicle, position)
	}
	return p
}

// judgements returns the verdicts of a vehicle by position. The distance run
// since the last reading is left out: it is a few days.
func (w *world) judgements(t *testing.T, vehicle string) map[string]judge.Judgement {
	t.Helper()
	s := w.state(t, vehicle)
	last, ok := s.Last()
	out := map[string]judge.Judgement{}
	for _, j := range judge.Vehicle(judge.Input{Catalogue: w.yard.Catalogue, State: s,
		Total: last.Total, HasTotal: ok}) {
		out[j.Position.ID] = j
	}
	return out
}

// answers returns what a check was answered at a place, oldest first.
func answers(p *fleet.Place, check string) []string {
	var out []string
	for _, f := range p.Findings {
		switch {
		case f.Check != check:
		case f.Value != nil:
			out = append(out, f.Value.String())
		default:
			out = append(out, f.Answer)
		}
	}
	return out
}

// inOrder reports whether the words occur in the list in this order, with
// anything between them.
func inOrder(list []string, words ...string) bool {
	for _, s := range list {
		if len(words) > 0 && s == words[0] {
			words = words[1:]
		}
	}
	return len(words) == 0
}

func TestCreateIsTheSameEveryTime(t *testing.T) {
	a := open(t)
	b, err := build(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	if len(a.entries) != len(b.entries) {
		t.Fatalf("%d entries, then %d", len(a.entries), len(b.entries))
	}
	for i := range a.entries {
		x, errX := fleet.EncodeEntry(a.entries[i])
		y, errY := fleet.EncodeEntry(b.entries[i])
		if errX != nil || errY != nil {
			t.Fatal(errX, errY)
		}
		if diff := cmp.Diff(string(x), string(y)); diff != "" {
			t.Error(diff)
		}
	}
}

func TestCreateTwiceAddsNothing(t *testing.T) {
	dir := t.TempDir()
	if _, err := Create(t.Context(), dir); err != nil {
		t.Fatal(err)
	}
	added, err := Create(t.Context(), dir)
	if err == nil && added != 0 {
		t.Errorf("a second Create added %d entries", added)
	}
}

func TestThreeVehiclesWithoutOddities(t *testing.T) {
	w := open(t)
	var ids []string
	for _, v := range w.yard.Vehicles() {
		ids = append(ids, v.ID)
	}
	if want := []string{"bittern", "dunnock", "heron"}; !slices.Equal(ids, want) {
		t.Errorf("vehicles %v, want %v", ids, want)
	}
	for _, v := range w.yard.Vehicles() {
		for _, warning := range w.yard.Warnings(v.ID) {
			t.Errorf("a sheet draws a warning: %v", warning)
		}
		for _, p := range v.Positions {
			if w.yard.Catalogue.Kind(p.Kind) == nil {
				t.Errorf("%s %s is of unknown kind %q", v.ID, p.ID, p.Kind)
			}
		}
	}
}

func TestJournalSpansSevenToNineYears(t *testing.T) {
	w := open(t)
	for _, v := range w.yard.Vehicles() {
		s := w.state(t, v.ID)
		for _, p := range s.Problems {
			t.Errorf("%s: entry of %s: %s", v.ID, p.Date, p.Msg)
		}
		last := s.Record[len(s.Record)-1].Date
		years := float64(last.Sub(s.Began)) / 365.25
		if years < 7 || years > 9 {
			t.Errorf("%s: journal spans %.1f years", v.ID, years)
		}
		if last.After(Today) || Today.Sub(last) > 30 {
			t.Errorf("%s: last entry on %s, want the month before %s", v.ID, last, Today)
		}
	}
}

// TestYearlyDistance holds the distances to what such vehicles run: 5 000 to
// 20 000 km a year between any two readings half a year apart or more.
func TestYearlyDistance(t *testing.T) {
	w := open(t)
	for _, v := range w.yard.Vehicles() {
		r := w.state(t, v.ID).Readings
		for i, j := 0, 1; j < len(r); j++ {
			days := r[j].Date.Sub(r[i].Date)
			if days < 182 {
				continue
			}
			if yearly := (r[j].Total - r[i].Total) / float64(days) * 365.25; yearly < 5000 || yearly > 20000 {
				t.Errorf("%s: %.0f km a year between %s and %s", v.ID, yearly, r[i].Date, r[j].Date)
			}
			i = j
		}
	}
}

// TestOilChanges asks for one to four a year in every full year.
func TestOilChanges(t *testing.T) {
	w := open(t)
	for _, v := range w.yard.Vehicles() {
		s := w.state(t, v.ID)
		perYear := map[int]int{}
		for _, e := range s.Record {
			if e.Fitted != nil && e.Fitted.Position == "engine-oil" {
				perYear[e.Date.Year]++
			}
		}
		for year := s.Began.Year + 1; year < Today.Year; year++ {
			if n := perYear[year]; n < 1 || n > 4 {
				t.Errorf("%s: %d oil changes in %d", v.ID, n, year)
			}
		}
	}
}

// TestEntriesPassTheRecorder records every batch on its own day, as a person
// would have: nothing in the stories slips past the checks.
func TestEntriesPassTheRecorder(t *testing.T) {
	w := open(t)
	store := journal.NewMemory()
	for _, v := range w.yard.Vehicles() {
		for _, batch := range batches(w.entries, v.ID) {
			batch = clones(batch)
			r := record.Recorder{Journal: journal.FoldsOf(store, ""), Catalogue: w.yard.Catalogue, NewID: journal.NewID,
				Now: func() time.Time { return batch[0].Recorded }}
			if _, err := r.Batch(context.Background(), v, batch); err != nil {
				t.Errorf("%s, %s: %v", v.ID, batch[0].Date, err)
			}
		}
	}
}

// clones copies entries, since the recorder completes those it is given.
func clones(entries []*fleet.Entry) []*fleet.Entry {
	out := make([]*fleet.Entry, len(entries))
	for i, e := range entries {
		c := *e
		out[i] = &c
	}
	return out
}

func batches(entries []*fleet.Entry, vehicle string) [][]*fleet.Entry {
	var out [][]*fleet.Entry
	for _, e := range entries {
		if e.Vehicle != vehicle {
			continue
		}
		if n := len(out); n > 0 && out[n-1][0].Batch == e.Batch {
			out[n-1] = append(out[n-1], e)
			continue
		}
		out = append(out, []*fleet.Entry{e})
	}
	return out
}

// TestVerdicts holds the yard to what a real one looks like: nothing parked,
// no more than three parts to change and four to watch on a vehicle.
func TestVerdicts(t *testing.T) {
	w := open(t)
	replace := map[string]string{"heron": "main-belt", "dunnock": "top-hose", "bittern": "main-belt"}
	for _, v := range w.yard.Vehicles() {
		count, never := map[fleet.Verdict]int{}, 0
		js := w.judgements(t, v.ID)
		for _, j := range js {
			count[j.Verdict]++
			if j.Looked.Never {
				never++
			}
		}
		if count[fleet.Park] > 0 || count[fleet.PutRight] > 3 || count[fleet.Watch] == 0 || count[fleet.Watch] > 4 {
			t.Errorf("%s: %v", v.ID, count)
		}
		if never == 0 || count[fleet.Keep] < len(v.Positions)*3/4 {
			t.Errorf("%s: %d never inspected, %v", v.ID, never, count)
		}
		if got := js[replace[v.ID]].Verdict; got != fleet.PutRight {
			t.Errorf("%s %s: %s, want put right", v.ID, replace[v.ID], got)
		}
	}
}

func TestStaleFindings(t *testing.T) {
	w := open(t)
	for _, v := range w.yard.Vehicles() {
		stale := 0
		for _, j := range w.judgements(t, v.ID) {
			if j.Looked.Stale && !j.Looked.Never {
				stale++
			}
		}
		if stale == 0 {
			t.Errorf("%s: every look is recent", v.ID)
		}
	}
}

// TestIDsFollowDays keeps ids in the order of the days.
func TestIDsFollowDays(t *testing.T) {
	w := open(t)
	for _, v := range w.yard.Vehicles() {
		var day civil.Date
		id := ""
		for _, e := range w.entries {
			if e.Vehicle != v.ID {
				continue
			}
			if e.Date.Before(day) || strings.Compare(e.ID, id) <= 0 {
				t.Fatalf("%s: entry %s of %s comes after %s of %s", v.ID, e.ID, e.Date, id, day)
			}
			day, id = e.Date, e.ID
		}
	}
}
