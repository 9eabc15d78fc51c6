// Package journaltest holds the tests that every journal.Store must pass, and
// made-up entries to test with. A store's own test calls Run:
//
//	func TestMemory(t *testing.T) {
//		journaltest.Run(t, func(t *testing.T) journal.Store { return journal.NewMemory() })
//	}
package journaltest

import (
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

// Run tests a kind of store. Open returns a new, empty one each time; Run
// closes it.
func Run(t *testing.T, open func(t *testing.T) journal.Store) {
	tests := []struct {
		name string
		test func(*testing.T, journal.Store)
	}{
		{"keeps every type", testKeeps},
		{"landing twice is harmless", testTwice},
		{"a taken id is a conflict", testConflict},
		{"all or nothing", testAllOrNothing},
		{"land rolls back", testRollback},
		{"entries come by id", testOrder},
		{"filters", testFilters},
		{"arrivals", testArrivals},
		{"still", Still},
		{"by date", testByDate},
		{"of form", testOfForm},
		{"folds", testFolds},
		{"vehicles and count", testVehicles},
		{"entries belong to the caller", testOwnership},
		{"attachments", testAttachments},
		{"bad attachments", testBadAttachments},
		{"cancelled", testCancelled},
		{"closed", testClosed},
		{"concurrent use", testConcurrent},
		{"a form is kept once", testKeepsOnce},
		{"a form of every type is kept once", testEveryTypeOnce},
		{"a form sent by many at once is kept once", testSendersAtOnce},
		{"agrees with a model", testModel},
		{"export and import", testExportImport},
		{"import reports every bad line", testImportFaults},
		{"import lands whole or not at all", testImportWhole},
		{"verify", testVerify},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := open(t)
			t.Cleanup(func() {
				if err := s.Close(); err != nil {
					t.Errorf("close: %v", err)
				}
			})
			tt.test(t, s)
		})
	}
}

func mustAppend(t *testing.T, s journal.Store, entries ...*fleet.Entry) {
	t.Helper()
	added, err := s.Append(t.Context(), entries)
	if err != nil {
		t.Fatal(err)
	}
	if added != len(entries) {
		t.Fatalf("added %d of %d entries", added, len(entries))
	}
}

func mustEntries(t *testing.T, s journal.Store, f journal.Filter) []*fleet.Entry {
	t.Helper()
	entries, err := s.Entries(t.Context(), f)
	if err != nil {
		t.Fatal(err)
	}
	return entries
}

func wantCount(t *testing.T, s journal.Store, want int) {
	t.Helper()
	got, err := s.Count(t.Context())
	if err != nil || got != want {
		t.Fatalf("the journal holds %d entries (%v), want %d", got, err, want)
	}
}

func wantKind(t *testing.T, err error, want fleet.ErrorKind, text string) {
	t.Helper()
	if err == nil || fleet.KindOf(err) != want || !strings.Contains(err.Error(), text) {
		t.Fatalf("error %v of kind %d, want kind %d and %q", err, fleet.KindOf(err), want, text)
	}
}

func wantSame(t *testing.T, want, got []*fleet.Entry) {
	t.Helper()
	if diff := cmp.Diff(Text(want), Text(got)); diff != "" {
		t.Fatalf("(-want +got):\n%s", diff)
	}
}

func testKeeps(t *testing.T, s journal.Store) {
	wantCount(t, s, 0)
	if added, err := s.Append(t.Context(), nil); added != 0 || err != nil {
		t.Fatalf("appending nothing: %d, %v", added, err)
	}
	all := EveryType(0, "heron", "")
	mustAppend(t, s, all...)
	wantSame(t, all, mustEntries(t, s, journal.Filter{}))
	wantCount(t, s, len(all))
}

func testTwice(t *testing.T, s journal.Store) {
	all := EveryType(0, "heron", "")
	mustAppend(t, s, all[:3]...)
	added, err := s.Append(t.Context(), append(all, all[4]))
	if err != nil || added != len(all)-3 {
		t.Fatalf("added %d, %v; want the %d that were not there", added, err, len(all)-3)
	}
	// The receiver filled in another batch and instant.
	again := *all[0]
	again.Batch, again.Recorded = ID(99), again.Recorded.AddDate(0, 0, 1)
	if added, err := s.Append(t.Context(), []*fleet.Entry{&again}); err != nil || added != 0 {
		t.Fatalf("added %d, %v; want it passed over", added, err)
	}
	wantSame(t, all, mustEntries(t, s, journal.Filter{}))
}

func testConflict(t *testing.T, s journal.Store) {
	mustAppend(t, s, Notes(3, "heron")...)
	other := Note(1, "heron")
	other.Note.Text = "something else"
	_, err := s.Append(t.Context(), []*fleet.Entry{Note(7, "heron"), other})
	wantKind(t, err, fleet.Conflict, ID(1))
	wantCount(t, s, 3)

	// Two of one call contradict each other.
	other.ID = ID(8)
	_, err = s.Append(t.Context(), []*fleet.Entry{Note(8, "heron"), other})
	wantKind(t, err, fleet.Conflict, ID(8))
	wantCount(t, s, 3)
}

func testAllOrNothing(t *testing.T, s journal.Store) {
	bad := Note(5, "heron")
	bad.Note.Text = ""
	nameless := Note(6, "")
	_, err := s.Append(t.Context(), []*fleet.Entry{Note(4, "heron"), bad, nameless})
	wantKind(t, err, fleet.Invalid, "note.text")
	wantKind(t, err, fleet.Invalid, "vehicle")
	wantCount(t, s, 0)

	later := Note(5, "heron")
	later.Format = fleet.EntryFormat + 1
	_, err = s.Append(t.Context(), []*fleet.Entry{Note(4, "heron"), later})
	wantKind(t, err, fleet.TooNew, "format")
	wantCount(t, s, 0)
}

func testRollback(t *testing.T, s journal.Store) {
	enough := errors.New("enough")
	err := s.Land(t.Context(), func(l journal.Landing) error {
		if added, err := l.Attach(&journal.Attachment{Data: []byte("picture")}); err != nil || !added {
			t.Errorf("attach: %v, %v", added, err)
		}
		if err := Add(Notes(3, "heron")...)(l); err != nil {
			t.Error(err)
		}
		return enough
	})
	if !errors.Is(err, enough) {
		t.Fatalf("error %v, want the one that was returned", err)
	}
	wantCount(t, s, 0)
	if infos, err := s.Attachments(t.Context()); err != nil || len(infos) != 0 {
		t.Fatalf("attachments %v, %v; want none", infos, err)
	}
	if err := s.Land(t.Context(), Add(Notes(3, "heron")...)); err != nil {
		t.Fatal(err)
	}
	wantCount(t, s, 3)
}

func testOrder(t *testing.T, s journal.Store) {
	mustAppend(t, s, Note(2, "heron"), Note(0, "egret"))
	mustAppend(t, s, Note(1, "heron"))
	wantSame(t, []*fleet.Entry{Note(0, "egret"), Note(1, "heron"), Note(2, "heron")},
		mustEntries(t, s, journal.Filter{}))
}

func testFilters(t *testing.T, s journal.Store) {
	heron, egret := EveryType(0, "heron", ""), EveryType(100, "egret", "")
	all := append(append([]*fleet.Entry{}, heron...), egret...)
	mustAppend(t, s, heron...)
	mustAppend(t, s, egret...)
	first := heron[0].Date
	tests := []struct {
		name string
		f    journal.Filter
		want func(*fleet.Entry) bool
	}{
		{"vehicle", journal.Filter{Vehicle: "egret"}, func(e *fleet.Entry) bool { return e.Vehicle == "egret" }},
		{"no such vehicle", journal.Filter{Vehicle: "egre"}, func(*fleet.Entry) bool { return false }},
		{"type", journal.Filter{Type: fleet.TypeFound}, func(e *fleet.Entry) bool { return e.Type == fleet.TypeFound }},
		{"batch", journal.Filter{Batch: ID(100)}, func(e *fleet.Entry) bool { return e.Batch == ID(100) }},
		{"since", journal.Filter{Since: first.AddDays(2)}, func(e *fleet.Entry) bool {
			return !e.Date.Before(first.AddDays(2))
		}},
		{"until", journal.Filter{Until: first.AddDays(2)}, func(e *fleet.Entry) bool {
			return !e.Date.After(first.AddDays(2))
		}},
		{"after", journal.Filter{After: heron[3].ID}, func(e *fleet.Entry) bool { return e.ID > heron[3].ID }},
		{"several", journal.Filter{Vehicle: "heron", Type: fleet.TypeNote, Since: first,
			Until: first.AddDays(9), Batch: ID(0)},
			func(e *fleet.Entry) bool { return e.Vehicle == "heron" && e.Type == fleet.TypeNote }},
		{"not SQL", journal.Filter{Vehicle: "' OR 1=1 --"}, func(*fleet.Entry) bool { return false }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var want []*fleet.Entry
			for _, e := range all {
				if tt.want(e) {
					want = append(want, e)
				}
			}
			wantSame(t, want, mustEntries(t, s, tt.f))
		})
	}
	limited := mustEntries(t, s, journal.Filter{Limit: 5})
	rest := mustEntries(t, s, journal.Filter{After: limited[4].ID, Limit: 500})
	wantSame(t, all, append(limited, rest...))
}

func testVehicles(t *testing.T, s journal.Store) {
	if vehicles, err := s.Vehicles(t.Context()); err != nil || len(vehicles) != 0 {
		t.Fatalf("vehicles %q, %v; want none", vehicles, err)
	}
	mustAppend(t, s, Note(0, "heron"), Note(1, "egret"), Note(2, "heron"), Note(3, "teal"))
	vehicles, err := s.Vehicles(t.Context())
	if diff := cmp.Diff([]string{"egret", "heron", "teal"}, vehicles); err != nil || diff != "" {
		t.Fatalf("%v (-want +got):\n%s", err, diff)
	}
	heron, err := s.OfVehicle(t.Context(), "heron")
	if err != nil {
		t.Fatal(err)
	}
	wantSame(t, []*fleet.Entry{Note(0, "heron"), Note(2, "heron")}, heron)
	if none, err := s.OfVehicle(t.Context(), ""); err != nil || len(none) != 0 {
		t.Fatalf("the vehicle without a name has %d entries, %v", len(none), err)
	}
}

func testOwnership(t *testing.T, s journal.Store) {
	e := Note(0, "heron")
	mustAppend(t, s, e)
	e.Note.Text, e.Date = "changed after it was recorded", civil.MustParse("2001-01-01")
	read := mustEntries(t, s, journal.Filter{})
	read[0].Note.Text = "changed after it was read"
	wantSame(t, Notes(1, "heron"), mustEntries(t, s, journal.Filter{}))
}

func testCancelled(t *testing.T, s journal.Store) {
	mustAppend(t, s, Note(0, "heron"))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, appendErr := s.Append(ctx, Notes(2, "heron"))
	_, entriesErr := s.Entries(ctx, journal.Filter{})
	_, countErr := s.Count(ctx)
	for _, err := range []error{appendErr, entriesErr, countErr} {
		if !errors.Is(err, context.Canceled) {
			t.Errorf("error %v, want context.Canceled", err)
		}
	}
	wantCount(t, s, 1)
}

func testClosed(t *testing.T, s journal.Store) {
	mustAppend(t, s, Note(0, "heron"))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	_, appendErr := s.Append(t.Context(), Notes(2, "heron"))
	_, entriesErr := s.Entries(t.Context(), journal.Filter{})
	_, countErr := s.Count(t.Context())
	_, vehiclesErr := s.Vehicles(t.Context())
	_, attachmentErr := s.Attachment(t.Context(), strings.Repeat("0", 64))
	_, putErr := s.PutAttachment(t.Context(), strings.NewReader("x"), "x.txt", "text/plain")
	_, inspectErr := s.Inspect(t.Context())
	for _, err := range []error{appendErr, entriesErr, countErr, vehiclesErr, attachmentErr, putErr, inspectErr} {
		wantKind(t, err, fleet.Unavailable, "closed")
	}
}
