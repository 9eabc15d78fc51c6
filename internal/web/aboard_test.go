package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undertray.example/undertray/internal/journal"
)

// What is ticked as aboard is kept once, told on the page of a trip, and gone
// when it is unticked.
func TestWhatIsAboardIsKeptByForm(t *testing.T) {
	s := demoSite(t)
	form := url.Values{"batch": {journal.NewID()}, "aboard": {"water"}, "other": {"a blanket"}}
	for range 2 {
		if a := s.post("/v/heron/aboard", form); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s %s", a.Status, a.body)
		}
	}
	if n := len(s.page("/v/heron/aboard").find("input[name=aboard][checked]")); n != 2 {
		t.Errorf("%d things are ticked, two were", n)
	}
	if got := s.page("/v/heron/trip?distance=2400").text("main"); !strings.Contains(got, "aboard: water") &&
		!strings.Contains(got, "; aboard") {
		t.Error("the trip does not know that water is aboard")
	}
	if a := s.post("/v/heron/aboard",
		url.Values{"batch": {journal.NewID()}, "aboard": {"water", "a blanket"}}); a.StatusCode == http.StatusSeeOther {
		t.Error("nothing changes and it was taken")
	}
	if a := s.post("/v/heron/aboard",
		url.Values{"batch": {journal.NewID()}, "used": {"1"}}); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("taking out: %s %s", a.Status, a.body)
	}
	if got := s.page("/v/heron/aboard").text("h1"); !strings.Contains(got, "Nothing is recorded as aboard") {
		t.Errorf("taken out again: %q", got)
	}
}
