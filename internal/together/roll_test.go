package together_test

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	gocmp "github.com/google/go-cmp/cmp"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/yard"
)

const sheetText = `undertray: 1
vehicle: %s
name: The %[1]s
positions:
  - {id: belt, name: Main belt, kind: ribbed-belt, from: below, x: 50, y: 20, part: {material: epdm}}
  - {id: filter, name: Oil filter, kind: oil-filter, from: below, x: 30, y: 30}
`

var rollDay = civil.MustParse("2026-11-25")

// rolled is a large yard with a roll.
type rolled struct {
	t     *testing.T
	dir   string
	y     *yard.Yard
	store journal.Store
	roll  together.Roll
	n     int // entries made
}

func newRolled(t *testing.T, vehicles int) *rolled {
	t.Helper()
	w := &rolled{t: t, dir: t.TempDir(), store: journal.NewMemory()}
	if err := os.Mkdir(filepath.Join(w.dir, "vehicles"), 0o755); err != nil {
		t.Fatal(err)
	}
	for i := range vehicles {
		w.sheet(fmt.Sprintf("v-%d", i), sheetText)
	}
	var err error
	if w.y, err = yard.Open(w.dir); err != nil {
		t.Fatal(err)
	}
	w.begin()
	return w
}

func (w *rolled) sheet(id, text string) {
	w.t.Helper()
	if err := os.WriteFile(yard.SheetPath(w.dir, id),
		[]byte(strings.NewReplacer("%[1]s", id, "%s", id).Replace(text)+"\n"), 0o644); err != nil {
		w.t.Fatal(err)
	}
}

// begin begins a roll as a new process does.
func (w *rolled) begin() { w.roll = together.Roll{Journal: journal.FoldsOf(w.store, w.dir)} }

func (w *rolled) from(day civil.Date) together.RollFrom {
	return together.RollFrom{Day: day, Files: yard.Files(w.dir), Catalogue: w.y.Catalogue, Sheets: w.y,
		Row: together.RowOf}
}

func (w *rolled) call(day civil.Date, from int) *together.Stretch {
	w.t.Helper()
	err := w.roll.Call(w.t.Context(), w.from(day))
	if err != nil {
		w.t.Fatal(err)
	}
	part, err := w.roll.Stretch(w.t.Context(), w.t.Context(), from, 50)
	if err != nil {
		w.t.Fatal(err)
	}
	return part
}

func (w *rolled) finish() (looked int) {
	w.t.Helper()
	for {
		more, err := w.roll.Step(w.t.Context())
		if err != nil {
			w.t.Fatal(err)
		}
		if !more {
			return looked
		}
		looked++
	}
}

// add records entries about vehicles; set says what each says.
func (w *rolled) add(vehicle string, day civil.Date, set func(e *fleet.Entry)) {
	w.t.Helper()
	e := journaltest.Note(w.n, vehicle)
	e.Date, e.Recorded = day, time.Date(day.Year, day.Month, day.Day, 8, 0, w.n, 0, time.UTC)
	w.n++
	if set != nil {
		e.Note, e.Type = nil, fleet.TypeFound
		set(e)
	}
	if _, err := w.store.Append(w.t.Context(), []*fleet.Entry{e}); err != nil {
		w.t.Fatal(err)
	}
}

func chunk(e *fleet.Entry) {
	e.Found = &fleet.Found{Position: "belt", Check: "rib-damage", Answer: "chunk-missing"}
}

// plain is the roll of all vehicles worked out at once and sorted, in a few lines.
func (w *rolled) plain(day civil.Date) []together.Row {
	w.t.Helper()
	entries, err := w.store.Entries(w.t.Context(), journal.Filter{})
	if err != nil {
		w.t.Fatal(err)
	}
	var rows []together.Row
	for _, r := range advise.Yard(w.y.Catalogue, w.y.Vehicles(), entries, day) {
		rows = append(rows, *together.RowOf(r))
	}
	for _, b := range w.y.Broken() {
		rows = append(rows, together.Row{Vehicle: b.ID, Name: b.ID, Rank: together.Shut})
	}
	due := func(r together.Row) string {
		if r.By.IsZero() {
			return "never"
		}
		return r.By.String()
	}
	slices.SortFunc(rows, func(a, b together.Row) int {
		return cmp.Or(cmp.Compare(min(a.Rank, together.Past), min(b.Rank, together.Past)), cmp.Compare(due(a), due(b)),
			cmp.Compare(a.Vehicle, b.Vehicle))
	})
	return rows
}

// want wants the whole roll, part by part, to be the plain one.
func (w *rolled) want(day civil.Date) {
	w.t.Helper()
	want := w.plain(day)
	for from := 0; from < len(want); from += 50 {
		part := w.call(day, from)
		if diff := gocmp.Diff(want[from:min(from+50, len(want))], part.Rows); diff != "" {
			w.t.Fatalf("from %d: %s", from, diff)
		}
		if part.Waiting != 0 || part.Of != len(want) {
			w.t.Fatalf("%d of %d wait", part.Waiting, part.Of)
		}
	}
}

// TestTheRoll: the roll is what working everything out at once gives, after every
// sort of change, and never says of a vehicle that was not looked at that nothing
// is wrong with it.
func TestTheRoll(t *testing.T) {
	w := newRolled(t, 120)
	for i := range 120 {
		w.add(fmt.Sprintf("v-%d", i), rollDay.AddDays(-10*i), func(e *fleet.Entry) {
			e.Type, e.Done = fleet.TypeFitted, nil
			e.Fitted = &fleet.Fitted{Position: "filter"}
		})
	}
	w.add("v-7", rollDay, chunk)
	part := w.call(rollDay, 0)
	if part.Waiting != 70 || len(part.Rows) != 50 ||
		!strings.Contains(part.WaitingWords().String(), "70 vehicles are not looked at yet today") {
		t.Fatalf("%d rows, %d wait: %s", len(part.Rows), part.Waiting, part.WaitingWords())
	}
	if looked := w.finish(); looked != 70 {
		t.Errorf("%d looked at, want the 70 left", looked)
	}
	w.want(rollDay)
	if first := w.call(rollDay, 0); first.Rows[0].Vehicle != "v-7" || first.Rows[0].Rank != together.Parked ||
		!strings.HasPrefix(first.Told()[0].String(), "Do not drive one vehicle") {
		t.Errorf("first %+v: %s", first.Rows[0], first.Told())
	}
	w.add("v-119", rollDay, chunk) // the last becomes the first at once
	if first := w.call(rollDay, 0); first.By[together.Parked] != 2 || first.Rows[0].Vehicle != "v-119" &&
		first.Rows[1].Vehicle != "v-119" {
		t.Errorf("first %s, second %s", first.Rows[0].Vehicle, first.Rows[1].Vehicle)
	}
	w.want(rollDay)
	done, cancel := context.WithCancel(t.Context())
	cancel()
	w.add("v-60", rollDay, nil)
	err := w.roll.Call(t.Context(), w.from(rollDay.AddDays(5)))
	if err != nil {
		t.Fatal(err)
	}
	if part, err := w.roll.Stretch(t.Context(), done, 0, 50); err != nil || len(part.Rows) != 0 || part.Waiting != 120 {
		t.Errorf("with no time %d rows are shown, %d wait, %v", len(part.Rows), part.Waiting, err)
	}
	w.call(rollDay, 0)
	w.finish()
	w.want(rollDay)
	w.begin() // another process finds all rows as they were left
	w.call(rollDay, 0)
	w.finish()
	w.want(rollDay)
	next := rollDay.AddDays(1)
	if part := w.call(next, 0); part.Waiting == 0 || part.Waiting > 70 || part.By[together.Parked] != 2 {
		t.Errorf("a day later %d wait, %d are parked", part.Waiting, part.By[together.Parked])
	}
	w.sheet("v-3", "undertray: 1\n")
	w.sheet("v-new", sheetText)
	w.finish()
	if w.y, err = w.y.Listed(); err != nil {
		t.Fatal(err)
	}
	w.call(next, 0)
	w.roll.Recheck()
	w.finish()
	w.want(next)
	if part := w.call(next, 0); part.By[together.Shut] != 1 || part.Of != 121 {
		t.Errorf("%d shut of %d", part.By[together.Shut], part.Of)
	}
}

// TestARowIsKeptForWhatItRestsOn: a new process takes a kept row only where sheet
// and journal are what it was made from.
func TestARowIsKeptForWhatItRestsOn(t *testing.T) {
	w := newRolled(t, 60)
	w.call(rollDay, 0)
	w.finish()
	w.add("v-1", rollDay, chunk)
	w.begin()
	w.call(rollDay, 0)
	w.finish()
	w.want(rollDay)
	w.store = journal.NewMemory() // another journal, with as many entries
	w.add("v-2", rollDay, chunk)
	w.begin()
	w.call(rollDay, 0)
	w.finish()
	w.want(rollDay)
}
