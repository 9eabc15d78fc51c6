package web

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
)

// A journal's file is deleted or another is put in its place under a running server:
// every page says so and what to do, and no fact is taken; what was typed comes back.
func TestAJournalThatGoesIsToldOnEveryPage(t *testing.T) {
	for name, harm := range map[string]func(path string) error{
		"deleted": os.Remove,
		"swapped": func(path string) error { return os.Rename(path+".old", path) },
	} {
		t.Run(name, func(t *testing.T) {
			p := newPosting(t)
			path := filepath.Join(p.dir, "journal.db")
			store, err := journal.Open(t.Context(), path, journal.Options{Create: true})
			if err != nil {
				t.Fatal(err)
			}
			defer store.Close()
			if _, err := store.Append(t.Context(), journaltest.Notes(3, "wren")); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path+".old", []byte("another"), 0o600); err != nil {
				t.Fatal(err)
			}
			srv, err := New(Options{Dir: p.dir, Journal: journal.FoldsOf(store, ""), Now: noon, NewID: journal.NewID})
			if err != nil {
				t.Fatal(err)
			}
			p.pages = srv.Handler()
			if err := harm(path); err != nil {
				t.Fatal(err)
			}
			for end := time.Now().Add(5 * time.Second); store.Alarm() == nil && time.Now().Before(end); {
				time.Sleep(50 * time.Millisecond) // it looks at most once a second
			}
			for _, page := range []string{"/", "/v/wren", "/v/wren/round", "/kinds"} {
				said := parse(t, p.do("GET", page, "", false).Body.String()).text("[role=alert]")
				if !strings.Contains(said, "put in its place") || !strings.Contains(said, "undertray restore") {
					t.Errorf("%s says %q", page, said)
				}
			}
			form := url.Values{"date": {"2026-11-25"}, "batch": {journal.NewID()}, "n.battery": {"terminals warm"}}
			refused := p.do("POST", "/v/wren/round", form.Encode(), false)
			if refused.Code != http.StatusServiceUnavailable || lines(t, store) != 3 ||
				!strings.Contains(parse(t, refused.Body.String()).text("textarea"), "terminals warm") {
				t.Errorf("a round is answered with %d; %d entries are there", refused.Code, lines(t, store))
			}
		})
	}
}

func lines(t *testing.T, s journal.Store) int {
	t.Helper()
	n, err := s.Count(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return n
}
