package web

import (
	"math/rand/v2"
	"net/http"
	"net/url"
	"testing"

	"undertray/internal/harm"
)

// Forms and batches as a phone sends them, harmed at random: nothing makes the
// server fail, and what is kept is kept whole.
func TestHarmedForms(t *testing.T) {
	s := demoSite(t)
	round := blank(s.page("/v/heron/round"), "#round")
	round.Set("a.battery.rest-voltage", "12.4")
	round.Set("n.battery", "terminals warm")
	round.Set("typed", "1795608000000")
	round.Set("sent", "1795608600000")
	y, err := s.server.yards.open()
	if err != nil {
		t.Fatal(err)
	}
	v, err := y.Vehicle("heron")
	if err != nil {
		t.Fatal(err)
	}
	d := &desk{yard: y, vehicle: v}
	random := rand.New(rand.NewPCG(31, 32))
	taken := 0
	for n := range 5000 {
		form, err := url.ParseQuery(string(harm.Text(random, []byte(round.Encode()), []byte("batch=x&a.battery.rest-voltage=12,5+V&date=2026-11-25"))))
		if err != nil {
			continue
		}
		typedAt(form, noon())
		d.openFor(form)
		entries, err := d.roundEntries(&http.Request{PostForm: form})
		if err == nil && len(entries) > 0 {
			taken++
		}
		if n%100 == 0 { // through the whole server as well
			if a := s.post("/v/heron/round", form); a.StatusCode >= 500 {
				t.Fatalf("%s for %q", a.Status, form.Encode())
			}
		}
	}
	if taken == 0 {
		t.Error("no form was taken: they are harmed too much to tell anything")
	}
}
