package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undertray.example/undertray/internal/journal"
)

// What is ticked as open stands on the yard's page and on every page of the
// vehicle until it is unticked; a form sent again changes nothing.
func TestWhatIsOpenStandsOnEveryPage(t *testing.T) {
	s := demoSite(t)
	form := url.Values{"batch": {journal.NewID()}, "open": {"coolant-drained"}}
	for range 2 {
		if a := s.post("/v/dunnock/opened", form); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s %s", a.Status, a.body)
		}
	}
	for _, path := range []string{"/v/dunnock", "/v/dunnock/p/main-belt", "/v/dunnock/round", "/v/dunnock/job",
		"/v/dunnock/run", "/v/dunnock/plan",
		"/v/dunnock/trip?distance=300", "/v/dunnock/record", "/v/dunnock/journal", "/v/dunnock/add", "/v/dunnock/sheet",
		"/v/dunnock/opened"} {
		if got := s.page(path).text("main"); !strings.Contains(got, "Not to be started: coolant out") {
			t.Errorf("%s does not say that it is not to be started", path)
		}
	}
	for _, path := range []string{"/v/dunnock", "/v/dunnock/round", "/v/dunnock/job", "/v/dunnock/plan",
		"/v/dunnock/trip?distance=300"} {
		if n := strings.Count(strings.ToLower(s.page(path).text("main")), "not to be started: coolant out"); n > 2 {
			t.Errorf("%s says %d times that it is not to be started", path, n)
		}
		if len(s.page(path).find("p[role=status] b")) > 0 {
			t.Errorf("%s says over its headline what that says", path)
		}
	}
	if got := s.page("/").text("h1"); !strings.Contains(got, "not to be started: coolant out") {
		t.Errorf("the yard's page: %q", got)
	}
	if got := s.page("/v/heron").text("main"); strings.Contains(got, "Not to be started") {
		t.Error("another vehicle is not to be started either")
	}
	if a := s.post("/v/dunnock/opened",
		url.Values{"batch": {journal.NewID()}, "open": {"nonsense"}}); a.StatusCode != http.StatusNotFound {
		t.Errorf("an unknown opening: %s", a.Status)
	}
	if a := s.post("/v/dunnock/opened", url.Values{"batch": {journal.NewID()}}); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("closing: %s %s", a.Status, a.body)
	}
	if got := s.page("/v/dunnock/opened").text("h1"); !strings.Contains(got, "Nothing is open") {
		t.Errorf("closed again: %q", got)
	}
}

// A deadline is left with a reason by a form, told, and taken back.
func TestADeadlineIsLeftByForm(t *testing.T) {
	s := demoSite(t)
	if got := s.page("/v/dunnock").text("h1"); !strings.Contains(got, "Within") &&
		!strings.Contains(got, "Before the next drive") && !strings.Contains(got, "to change") {
		t.Skipf("nothing on Dunnock has a deadline: %q", got)
	}
	at := s.page("/v/dunnock").find(".pos h3 a")
	if len(at) == 0 {
		t.Fatal("nothing needs the owner")
	}
	here := value(at[0], "href")
	if n := len(s.page(here).find("input[name=why]")); n != 1 {
		t.Fatalf("%s offers %d times to leave it", here, n)
	}
	if a := s.post(here+"/aside",
		url.Values{"batch": {journal.NewID()}, "why": {" "}}); a.StatusCode == http.StatusSeeOther {
		t.Error("it is left without a reason")
	}
	if a := s.post(here+"/aside",
		url.Values{"batch": {journal.NewID()},
			"why": {"the part comes on Friday"}}); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, a.body)
	}
	for _, path := range []string{here, "/v/dunnock", "/"} {
		if got := s.page(path).text("main"); !strings.Contains(got, "the part comes on Friday") {
			t.Errorf("%s does not say why it is left", path)
		}
	}
	if a := s.post(here+"/aside/back", url.Values{"batch": {journal.NewID()}}); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, a.body)
	}
	if got := s.page("/").text("main"); strings.Contains(got, "the part comes on Friday") {
		t.Error("taken back, it is still told")
	}
}

// Whoever may write finds the forms of a page: what it has to look at does not make
// it one for looking only.
func TestAJobSheetCanBeTicked(t *testing.T) {
	s := demoSite(t)
	for _, path := range []string{"/v/heron/job", "/v/dunnock/trip?distance=3000", "/v/heron/round"} {
		if p := s.page(path); len(p.find("body.looks")) > 0 {
			t.Errorf("%s is for looking only", path)
		}
	}
}
