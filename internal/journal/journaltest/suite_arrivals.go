package journaltest

import (
	"errors"
	"maps"
	"math/rand/v2"
	"strings"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

func testArrivals(t *testing.T, s journal.Store) {
	arrived := func(vehicle string, since int64, want ...*fleet.Entry) int64 {
		t.Helper()
		got, last, err := s.Arrived(t.Context(), vehicle, since)
		if err != nil {
			t.Fatal(err)
		}
		wantSame(t, want, got)
		if len(want) == 0 && last != since {
			t.Fatalf("nothing arrived after %d, and the last is said to be %d", since, last)
		}
		return last
	}
	touched := func(since int64, wantLast int64, want map[string]int64) {
		t.Helper()
		got, last, err := s.Touched(t.Context(), since)
		if err != nil || last != wantLast || !maps.Equal(got, want) {
			t.Fatalf("after %d: %v up to %d, %v; want %v up to %d", since, got, last, err, want, wantLast)
		}
	}
	arrived("heron", 0)
	touched(0, 0, nil)
	mustAppend(t, s, Note(5, "heron"))
	first := arrived("heron", 0, Note(5, "heron"))
	arrived("heron", first)
	mustAppend(t, s, Note(2, "heron"), Note(3, "egret")) // older ids, from another device
	second := arrived("heron", first, Note(2, "heron"))
	arrived("heron", second)
	arrived("heron", 0, Note(5, "heron"), Note(2, "heron"))
	arrived("egret", 0, Note(3, "egret"))
	touched(0, 3, map[string]int64{"egret": 3, "heron": 2})
	touched(1, 3, map[string]int64{"egret": 3, "heron": 2})
	touched(2, 3, map[string]int64{"egret": 3})
	if _, err := s.Append(t.Context(), []*fleet.Entry{Note(5, "heron")}); err != nil {
		t.Fatal(err)
	}
	arrived("heron", second) // what was there already does not arrive again
	touched(3, 3, nil)
}

// Still wants a row on the roll to rest on what an empty journal held at its mark until
// something arrives about its vehicle, whoever asks and however long ago that was.
func Still(t *testing.T, s journal.Store) {
	vehicles := []string{"egret", "heron", "teal"}
	last, random := map[string]int{}, rand.New(rand.NewPCG(4, 21))
	folds := []*journal.Folds{journal.FoldsOf(s, ""), journal.FoldsOf(s, "")}
	var marks []string
	for n := range 80 {
		mark, arrived, err := folds[0].Mark(t.Context())
		if err != nil || arrived != int64(n) {
			t.Fatal(arrived, err)
		}
		marks = append(marks, mark)
		about := vehicles[random.IntN(3)]
		mustAppend(t, s, Note(n, about))
		last[about] = n
		folds[1] = folds[random.IntN(2)]
		if random.IntN(4) == 0 {
			folds[0] = journal.FoldsOf(s, "") // started anew
		}
		vehicle, at := vehicles[random.IntN(3)], random.IntN(len(marks))
		before, touched := last[vehicle]
		for _, f := range folds {
			is, err := f.Still(t.Context(), vehicle, marks[at], int64(n)+1)
			if err != nil || is == (touched && before >= at) {
				t.Fatalf("%s was touched by arrival %d, still so since %d: %v, %v", vehicle, before+1, at, is, err)
			}
		}
	}
	other := strings.Replace(marks[40], `"entries":40`, `"entries":41`, 1)
	if is, err := folds[0].Still(t.Context(), "nobody", other, 80); is || err != nil || other == marks[40] {
		t.Errorf("a mark of another journal is taken: %v, %v", is, err)
	}
}

// testByDate: entries come by the day they are about, up to an arrival.
func testByDate(t *testing.T, s journal.Store) {
	mustAppend(t, s, Note(5, "heron"), Note(4, "egret"))
	mustAppend(t, s, Note(2, "heron"), Note(9, "heron"))
	read := func(upTo int64) []*fleet.Entry {
		var got []*fleet.Entry
		if err := s.ByDate(t.Context(), "heron", upTo, func(e *fleet.Entry) error {
			got = append(got, e)
			return nil
		}); err != nil {
			t.Fatal(err)
		}
		return got
	}
	wantSame(t, []*fleet.Entry{Note(2, "heron"), Note(5, "heron"), Note(9, "heron")}, read(4))
	wantSame(t, []*fleet.Entry{Note(5, "heron")}, read(2))
	enough := errors.New("enough")
	if err := s.ByDate(t.Context(), "heron", 4, func(*fleet.Entry) error { return enough }); err != enough {
		t.Errorf("the error of the caller comes back as %v", err)
	}
	wantSame(t, []*fleet.Entry{Note(4, "egret"), Note(5, "heron")},
		mustEntries(t, s, journal.Filter{IDs: []string{ID(5), ID(4), ID(8)}}))
}

// testOfForm: what followed on a batch belongs to its form.
func testOfForm(t *testing.T, s journal.Store) {
	form := func(ns ...int) (out []*fleet.Entry) {
		for _, n := range ns {
			e := Note(n, "heron")
			e.Batch = ID(100)
			out = append(out, e)
		}
		return out
	}
	mustKeep(t, s, form(1), 1)
	mustKeep(t, s, form(1, 2), 1)
	mustKeep(t, s, form(2, 3), 1)
	got, err := s.OfForm(t.Context(), ID(100))
	if err != nil || len(got) != 3 || got[0].ID != ID(1) || got[1].ID != ID(2) || got[2].ID != ID(3) {
		t.Errorf("%d entries of the form, %v", len(got), err)
	}
	if got, err := s.OfForm(t.Context(), ID(7)); err != nil || len(got) != 0 {
		t.Errorf("%d entries of a form that was never sent, %v", len(got), err)
	}
}
