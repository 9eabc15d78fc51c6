package journaltest

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"sync"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

// form returns the n-th entries of a form as a server makes them anew each time
// it is sent: of one batch, their ids and instants of their own.
func form(n, batch int, texts ...string) []*fleet.Entry {
	out := make([]*fleet.Entry, len(texts))
	for i, text := range texts {
		out[i] = Note(n+i, "heron")
		out[i].Date = Note(0, "").Date
		out[i].Batch, out[i].Note.Text = ID(batch), text
	}
	return out
}

func mustKeep(t *testing.T, s journal.Store, entries []*fleet.Entry, added int) string {
	t.Helper()
	batch, got, err := s.Keep(t.Context(), entries)
	if err != nil || got != added {
		t.Fatalf("kept %d, %v; want %d", got, err, added)
	}
	return batch
}

// testKeepsOnce: a form that is sent again is kept once, and what is new in it
// is not lost.
func testKeepsOnce(t *testing.T, s journal.Store) {
	first := mustKeep(t, s, form(0, 500, "dry", "worn", "dry"), 3)
	if first != ID(500) {
		t.Fatalf("batch %s, want %s", first, ID(500))
	}
	if again := mustKeep(t, s, form(10, 500, "dry", "worn", "dry"), 0); again != first {
		t.Errorf("sent again it is batch %s", again)
	}
	second := mustKeep(t, s, form(20, 500, "dry", "worn", "dry", "one more"), 1)
	if second == first || !fleet.IsID(second) {
		t.Errorf("what is new landed in batch %q", second)
	}
	if again := mustKeep(t, s, form(30, 500, "dry", "worn", "dry", "one more"), 0); again != second {
		t.Errorf("sent a third time it is batch %s, want %s", again, second)
	}
	third := mustKeep(t, s, form(40, 500, "worn", "other"), 1)
	if third == first || third == second {
		t.Errorf("what is new landed in batch %s once more", third)
	}
	wantCount(t, s, 5)
	mustKeep(t, s, form(50, 501, "dry", "worn", "dry"), 3) // another form says the same

	mixed := form(60, 502, "dry", "worn")
	mixed[1].Batch = ID(503)
	_, _, err := s.Keep(t.Context(), mixed)
	wantKind(t, err, fleet.Invalid, "not the batch of all")
	bare := form(60, 502, "dry")
	bare[0].Batch = ""
	_, _, err = s.Keep(t.Context(), bare)
	wantKind(t, err, fleet.Invalid, "not the batch of all")
	taken := form(0, 504, "something else")
	_, _, err = s.Keep(t.Context(), taken)
	wantKind(t, err, fleet.Conflict, ID(0))
	wantCount(t, s, 8)
	testUnfitForms(t, s)
}

// testUnfitForms: nothing of a form lands where one of its entries cannot, and what has
// one id lands once.
func testUnfitForms(t *testing.T, s journal.Store) {
	twice := form(60, 505, "dry", "dry")
	twice[1].ID = twice[0].ID
	mustKeep(t, s, twice, 1)
	wantCount(t, s, 9)
	for text, spoil := range map[string]func(e *fleet.Entry){
		ID(70):    func(e *fleet.Entry) { e.ID = ID(70) }, // that of another, which says something else
		"vehicle": func(e *fleet.Entry) { e.Vehicle = "" },
	} {
		unfit := form(70, 506, "dry", "worn")
		spoil(unfit[1])
		if batch, added, err := s.Keep(t.Context(), unfit); err == nil || batch != "" || added != 0 {
			t.Errorf("%s: %d are kept in batch %q", text, added, batch)
		} else if !strings.Contains(err.Error(), text) {
			t.Errorf("%v does not name %s", err, text)
		}
		wantCount(t, s, 9)
	}
}

// testEveryTypeOnce: what holds for notes holds for every type of entry.
func testEveryTypeOnce(t *testing.T, s journal.Store) {
	mustKeep(t, s, EveryType(0, "heron", ""), len(fleet.EntryTypes()))
	again := EveryType(100, "heron", "")
	for i, e := range again {
		e.Batch = ID(0)
		if e.Correction != nil {
			e.Correction.Of = ID(4)
		}
		again[i] = e
	}
	mustKeep(t, s, again, 0)
}

// testSendersAtOnce: one form sent by many at once is kept once, whoever is
// quicker.
func testSendersAtOnce(t *testing.T, s journal.Store) {
	tries := 250 // a thousand of the four stores that are tried
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		tries = 1000
	}
	for try := range tries {
		senders := 2 + rand.N(15)
		if try == 0 {
			senders = 64
		}
		atOnce(t, s, try, senders)
	}
	wantCount(t, s, tries*3)
}

func atOnce(t *testing.T, s journal.Store, try, senders int) {
	t.Helper()
	var group sync.WaitGroup
	start := make(chan struct{})
	var mu sync.Mutex
	total := 0
	for i := range senders {
		group.Go(func() {
			<-start
			_, added, err := s.Keep(t.Context(), form((try*64+i)*3, 1000000+try, "dry", "worn", fmt.Sprint(try)))
			mu.Lock()
			defer mu.Unlock()
			if total += added; err != nil {
				t.Errorf("try %d: %v", try, err)
			}
		})
	}
	close(start)
	group.Wait()
	if total != 3 {
		t.Errorf("try %d with %d senders: %d entries were kept, want 3", try, senders, total)
	}
}
