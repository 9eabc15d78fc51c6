package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"undertray.example/undertray/internal/journal"
)

// controls are the fields of a form as a browser would send them.
func controls(form *html.Node) url.Values {
	out := url.Values{}
	for n := range form.Descendants() {
		_, checked := attr(n, "checked")
		if name := value(n, "name"); n.Data == "input" && name != "" && (value(n, "type") != "checkbox" || checked) {
			out.Add(name, value(n, "value"))
		}
	}
	return out
}

// A notebook is read without keeping anything; what is clear is ticked, what is not is told; what
// is kept lands once, as one batch, and is taken back as one.
func TestAPastIsPastedAndKept(t *testing.T) {
	s := demoSite(t)
	const text = "2019-03-12 109 000 km top rad hose replaced 18.50 EUR\n" +
		"2019-05-01 110 900 km thermostat and bottom hose new\n" +
		"3/4/2019 aux belt renewed\n2019-08-08 113 000 km looked at the tensioner"
	a := s.post("/v/heron/past", url.Values{"text": {text}})
	if a.StatusCode != http.StatusOK {
		t.Fatalf("%s %s", a.Status, parse(t, a.body).text("main"))
	}
	page := parse(t, a.body)
	if got := page.text("h1"); got != "Four lines read, one in doubt; nothing is kept yet." {
		t.Errorf("headline %q", got)
	}
	form := controls(page.find("form[action=/v/heron/past/keep]")[0])
	if got := form["keep"]; !slices.Equal(got, []string{"0", "1", "3"}) {
		t.Errorf("ticked %q", got)
	}
	form.Add("keep", "2") // with a date that nobody settled
	if a := s.post("/v/heron/past/keep", form); a.StatusCode != http.StatusUnprocessableEntity ||
		!strings.Contains(a.body, "is not a date") || len(parse(t, a.body).find("fieldset.past")) != 4 {
		t.Errorf("a line without a date: %s", a.Status)
	}
	form.Set("day-2", "2019-04-03")
	form.Set("added-2", "Upper idler")
	for range 2 {
		if a := s.post("/v/heron/past/keep", form); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s %s", a.Status, parse(t, a.body).text("main"))
		}
	}
	got := s.page("/v/heron/record?what=fitted&since=2019-03-01&until=2019-09-01").text("main")
	n := strings.Count(got, "thermostat and bottom hose new")
	if n != 2 || !strings.Contains(got, "top rad hose replaced") {
		t.Errorf("two parts of one line, one of another: %d in %s", n, got)
	}
	journalPage := s.page("/v/heron/journal").text("main")
	if strings.Count(journalPage, "looked at the tensioner") != 1 {
		t.Errorf("the look is not there once: %.400s", journalPage)
	}
	entries, err := s.journal.OfForm(t.Context(), form.Get("batch"))
	if err != nil || len(entries) != 5 {
		t.Fatalf("%d entries of the batch, %v; four parts and a note were kept: which of two belts is not said",
			len(entries), err)
	}
	undo := url.Values{"batch": {journal.NewID()}}
	if a := s.post("/v/heron/batch/"+entries[0].Batch+"/undo", undo); a.StatusCode >= 400 {
		t.Errorf("taken back: %s %s", a.Status, a.body)
	}
	got = s.page("/v/heron/record?what=fitted&since=2019-03-01&until=2019-09-01").text("main")
	if strings.Contains(got, "bottom hose new") {
		t.Error("the batch was taken back and its parts are still in the record")
	}
}
