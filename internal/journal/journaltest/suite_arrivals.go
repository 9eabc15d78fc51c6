package journaltest

import (
	"testing"

	"undertray/internal/fleet"
	"undertray/internal/journal"
)

func testArrivals(t *testing.T, s journal.Store) {
	arrived := func(since int64, want ...*fleet.Entry) int64 {
		t.Helper()
		got, last, err := s.Arrived(t.Context(), since)
		if err != nil {
			t.Fatal(err)
		}
		wantSame(t, want, got)
		if len(want) == 0 && last != since {
			t.Fatalf("nothing arrived after %d, and the last is said to be %d", since, last)
		}
		return last
	}
	arrived(0)
	mustAppend(t, s, Note(5, "heron"))
	first := arrived(0, Note(5, "heron"))
	arrived(first)
	mustAppend(t, s, Note(2, "egret")) // an older id, from another device
	second := arrived(first, Note(2, "egret"))
	arrived(second)
	arrived(0, Note(5, "heron"), Note(2, "egret"))
	if _, err := s.Append(t.Context(), []*fleet.Entry{Note(5, "heron")}); err != nil {
		t.Fatal(err)
	}
	arrived(second) // what was there already does not arrive again
}

// testRemembered: a store that remembers answers as the one it reads from,
// whoever adds to it.
func testRemembered(t *testing.T, s journal.Store) {
	r := journal.Remember(s)
	same := func() {
		t.Helper()
		for _, f := range []journal.Filter{{}, {Vehicle: "heron"}, {Type: fleet.TypeNote}, {Type: fleet.TypeFound}, {After: ID(3)}, {Limit: 2},
			{Batch: ID(0)}, {Vehicle: "egret", Limit: 1}, {Since: Note(4, "heron").Date}, {Until: Note(4, "heron").Date}} {
			wantSame(t, mustEntries(t, s, f), mustEntries(t, r, f))
		}
	}
	same()
	mustAppend(t, s, Note(5, "heron"), Note(1, "egret"))
	same()
	mustAppend(t, r, Note(3, "heron"))
	same()
	got := mustEntries(t, r, journal.Filter{})
	clear(got) // the slice belongs to the caller
	mustAppend(t, s, EveryType(10, "heron", "")...)
	mustAppend(t, s, Note(0, "egret"))
	same()
	of, err := r.OfVehicle(t.Context(), "egret")
	if err != nil {
		t.Fatal(err)
	}
	wantSame(t, []*fleet.Entry{Note(0, "egret"), Note(1, "egret")}, of)
}
