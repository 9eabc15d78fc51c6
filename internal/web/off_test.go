package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/journal"
)

// After a part was fitted its page asks, folded, what the old one was in the hand; what
// is told is kept once, stands beside the part that came off, and is asked no more.
func TestAPartOnceOffIsAskedWhatItWas(t *testing.T) {
	s := demoSite(t)
	a := s.post("/v/heron/add/fitted",
		url.Values{"batch": {journal.NewID()}, "position": {"main-belt"}, "date": {civil.Of(noon()).String()}})
	if a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, a.body)
	}
	asked := s.page(a.Header.Get("Location"))
	forms := asked.find("#off-main-belt form")
	if len(forms) != 1 || len(asked.find("#off-main-belt[open]")) != 0 {
		t.Fatalf("%d forms ask what the belt was, or it is not folded", len(forms))
	}
	to := value(forms[0], "action")
	form := url.Values{"batch": {journal.NewID()}, "position": {"main-belt"}}
	if a := s.post(to, form); a.StatusCode != http.StatusUnprocessableEntity && a.StatusCode != http.StatusBadRequest ||
		!strings.Contains(a.body, "othing is told") {
		t.Errorf("nothing told: %s", a.Status)
	}
	form.Set("a.main-belt.touch", "hard")
	form.Set("removed", "worn")
	n := s.count()
	for range 2 {
		if a := s.post(to, form); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s %s", a.Status, a.body)
		}
	}
	if got := s.count() - n; got != 2 {
		t.Errorf("%d entries were added, want the finding and the reason", got)
	}
	if got := s.page("/v/heron/p/main-belt").text("main"); !strings.Contains(got, "worn; in the hand: Touch: hard") {
		t.Error("the position does not say what the old belt was")
	}
	if left := s.page(a.Header.Get("Location")).find("#off-main-belt"); len(left) != 0 {
		t.Error("it is asked again")
	}
}
