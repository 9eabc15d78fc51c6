package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

func (s *site) count() int {
	s.t.Helper()
	n, err := s.journal.Count(s.t.Context())
	if err != nil {
		s.t.Fatal(err)
	}
	return n
}

// A reply is lost after its round landed; the person writes one more note and
// sends it again.
func TestWhatIsNewInARoundSentAgainIsKept(t *testing.T) {
	s := demoSite(t)
	form := blank(s.page("/v/heron/round"), "#round")
	form.Set("a.battery.rest-voltage", "12.4")
	before := s.count()
	s.post("/v/heron/round", form)
	form["n.battery"] = []string{"terminals warm"}
	a := s.post("/v/heron/round", form)
	if a.StatusCode != http.StatusSeeOther || s.count() != before+2 {
		t.Fatalf("%s, %d entries were added, want 2", a.Status, s.count()-before)
	}
	p := s.page(a.Header.Get("Location"))
	if !strings.Contains(p.text("main"), "terminals warm") || strings.Contains(p.text("table"), "12.4") {
		t.Errorf("the page shows %q, want what is new", p.text("main"))
	}
	if !strings.Contains(p.text("[role=status]"), "sent before") ||
		len(p.find("a[href=/v/heron/batch/"+form.Get("batch")+"]")) != 1 {
		t.Errorf("the page does not lead to what was kept before")
	}
	if again := s.post("/v/heron/round", form); again.Header.Get("Location") != a.Header.Get("Location") ||
		s.count() != before+2 {
		t.Errorf("sent a third time: to %s, %d entries", again.Header.Get("Location"), s.count()-before)
	}
}

// The forms for writing down are four, and each is kept.
func TestEveryFormForWritingDownHasItsOwnBatch(t *testing.T) {
	s := demoSite(t)
	p := s.page("/v/heron/add")
	var batches []string
	for _, n := range p.find("input[name=batch]") {
		batches = append(batches, value(n, "value"))
	}
	slices.Sort(batches)
	if len(slices.Compact(slices.Clone(batches))) != 5 || len(batches) != 5 { // the fifth is that of a picture
		t.Fatalf("batches %q, want five of their own", batches)
	}
	before := s.count()
	for what, fields := range map[string]map[string]string{"odometer": {"odometer": "216900"},
		"note": {"text": "rattles when cold"}} {
		form := blank(p, "form[action=/v/heron/add/"+what+"]")
		for name, v := range fields {
			form.Set(name, v)
		}
		form.Set("batch", batches[0]) // even where both bring the same one
		if a := s.post("/v/heron/add/"+what, form); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s: %s", what, a.Status)
		}
	}
	if n := s.count() - before; n != 2 {
		t.Errorf("%d entries were kept, want 2", n)
	}
}

// A double tap, and eight tabs that send what waited.
func TestOneFormPostedByManyIsKeptOnce(t *testing.T) {
	s := demoSite(t)
	odo := blank(s.page("/v/heron/add"), "form[action=/v/heron/add/note]")
	odo.Set("text", "rattles when cold")
	round := blank(s.page("/v/heron/round"), "#round")
	round.Set("a.battery.rest-voltage", "12.4")
	round.Set("n.battery", "terminals warm")
	before := s.count()
	s.postAtOnce("/v/heron/add/note", odo, 8)
	s.postAtOnce("/v/heron/round", round, 8)
	if n := s.count() - before; n != 3 {
		t.Errorf("%d entries were kept, want 3", n)
	}
	entries, err := s.journal.Entries(t.Context(), journal.Filter{Batch: odo.Get("batch")})
	if err != nil || len(entries) != 1 {
		t.Fatal(len(entries), err)
	}
	at := "/v/heron/journal/" + entries[0].ID
	fix := url.Values{"do": {"withdraw"}, "why": {"it was the neighbour's"},
		"batch": {value(s.page(at).find("input[name=batch]")[0], "value")}}
	s.postAtOnce(at, fix, 8)
	undo := blank(s.page("/v/heron/batch/"+round.Get("batch")), "#undo")
	s.postAtOnce("/v/heron/batch/"+round.Get("batch")+"/undo", undo, 8)
	if n := s.count() - before; n != 3+1+2 {
		t.Errorf("%d entries with the corrections, want 6", n)
	}
	all, err := s.journal.OfVehicle(t.Context(), "heron")
	if err != nil {
		t.Fatal(err)
	}
	if slices.ContainsFunc(fleet.Standing(all), func(e *fleet.Entry) bool {
		return e.Batch == odo.Get("batch") || e.Batch == round.Get("batch")
	}) {
		t.Error("something that was taken back stands")
	}
}

func (s *site) postAtOnce(path string, form url.Values, senders int) {
	s.t.Helper()
	var group sync.WaitGroup
	for range senders {
		group.Go(func() {
			if a := s.post(path, form); a.StatusCode != http.StatusSeeOther {
				s.t.Errorf("%s: %s %s", path, a.Status, parse(s.t, a.body).text(".faults"))
			}
		})
	}
	group.Wait()
}

// A round waited on a phone whose clock is an hour ahead.
func TestAWaitingRoundKeepsWhenItWasTypedAndHowWrongTheClockIs(t *testing.T) {
	s := demoSite(t)
	form := blank(s.page("/v/heron/round"), "#round")
	form.Set("n.battery", "terminals warm")
	now := noon().Add(time.Hour).UnixMilli()
	form.Set("typed", strconv.FormatInt(now-600_000, 10))
	form.Set("sent", strconv.FormatInt(now, 10))
	if a := s.post("/v/heron/round", form); a.StatusCode != http.StatusSeeOther {
		t.Fatal(a.Status)
	}
	kept, err := s.journal.Entries(t.Context(), journal.Filter{Batch: form.Get("batch")})
	if err != nil || len(kept) != 1 {
		t.Fatal(len(kept), err)
	}
	if e := kept[0]; e.Clock != -3600 || !e.Instant().Equal(noon().Add(-10*time.Minute)) || e.Format != 2 {
		t.Errorf("clock %g, instant %s, format %d", e.Clock, e.Instant(), e.Format)
	}
	for _, bad := range []url.Values{{}, {"typed": {"5"}}, {"typed": {"9"}, "sent": {"5"}},
		{"typed": {"x"}, "sent": {"5"}}, {"typed": {"1"}, "sent": {"9223372036854775807"}}} {
		if at, behind := typedAt(bad, noon()); !at.IsZero() || behind != 0 {
			t.Errorf("%v: %s, %g", bad, at, behind)
		}
	}
}

// A round had openings open; it comes back refused, and what was typed behind
// them is there.
func TestWhatWasTypedBehindOpeningsComesBack(t *testing.T) {
	s := demoSite(t)
	shut, open := s.page("/v/heron/round"), s.page("/v/heron/round?open=undertray")
	var behind string
	for _, n := range open.find("textarea[name]") {
		name := value(n, "name")
		if len(shut.find("textarea[name="+name+"]")) == 0 {
			behind = name
		}
	}
	if behind == "" {
		t.Fatal("nothing stands behind the undertray")
	}
	form := blank(shut, "#round")
	form[behind] = []string{"oily", "wet"} // a position met twice has two notes
	fields := len(open.find("textarea[name=" + behind + "]"))
	form.Set("date", "no day")
	a := s.post("/v/heron/round", form)
	if p := parse(t, a.body); a.StatusCode != http.StatusUnprocessableEntity ||
		p.text("textarea[name="+behind+"]") != strings.Join(form[behind][:fields], " | ") {
		t.Errorf("%s: %q is gone", a.Status, behind)
	}
}
