package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/visit"
)

const hoseSheet = "/v/dunnock/job?at=top-hose&alone=1"

// sheet reads the job sheet that a page shows, and its form as it stands.
func (s *site) sheet(path string) (visit.JobView, url.Values) {
	s.t.Helper()
	var v visit.JobView
	if err := json.Unmarshal([]byte(s.get(path, "Accept", "application/json").body), &v); err != nil {
		s.t.Fatal(err)
	}
	return v, blank(s.page(path), "#ticks")
}

func keyOf(t *testing.T, v visit.JobView, prefix string) string {
	t.Helper()
	for _, st := range v.Steps {
		if strings.HasPrefix(st.Keys[0], prefix) {
			return strings.Join(st.Keys, keyBreak)
		}
	}
	t.Fatalf("no step %s", prefix)
	return ""
}

// TestASheetIsBegunByOneTouch: begun before its first step, a sheet tells what that step took.
func TestASheetIsBegunByOneTouch(t *testing.T) {
	s := demoSite(t)
	page := s.page(hoseSheet)
	for range 2 { // once
		begin := blank(parsed{page.find("form[action=/v/dunnock/job/tick]")[0]}, "")
		begin.Set("begin", "1")
		if a := s.post("/v/dunnock/job/tick", begin); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s %s", a.Status, parse(t, a.body).text("[role=alert]"))
		}
	}
	v, form := s.sheet("/v/dunnock/job")
	if v.Work == nil || len(form["was"]) != 0 || len(s.page("/v/dunnock/job").find("button[name=begin]")) != 0 {
		t.Fatalf("in hand: %+v, ticked %v", v.Work, form["was"])
	}
	form["step"] = []string{v.Steps[0].Keys[0]}
	if a := s.post("/v/dunnock/job/tick", form); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, parse(t, a.body).text("[role=alert]"))
	}
	all, err := s.journal.Entries(t.Context(), journal.Filter{Vehicle: "dunnock", Type: fleet.TypeWork})
	if err != nil || len(all) != 2 || len(all[0].Work.Begins) == 0 || all[1].Work.Of != all[0].ID {
		t.Fatalf("%d entries, %v", len(all), err)
	}
	later := *all[1]
	later.Recorded = all[0].Recorded.Add(20 * time.Minute)
	state := fleet.Fold(demotest.Reports(t)["dunnock"].Vehicle, []*fleet.Entry{all[0], &later}, later.Date)
	if p := state.Spells[len(state.Spells)-1]; p.From.IsZero() || p.To.Sub(p.From) != 20*time.Minute {
		t.Errorf("its first step tells %+v", p)
	}
}

// Without script ticks are kept by a form, once, for every device; a page that
// another device has overtaken takes no tick of that one back.
func TestTicksAreKeptByFormForEveryDevice(t *testing.T) {
	s := demoSite(t)
	v, form := s.sheet(hoseSheet)
	drain := keyOf(t, v, "open:coolant-drained")
	form["step"] = []string{drain}
	a := s.post("/v/dunnock/job/tick", form)
	if p := parse(t, a.body); a.StatusCode != http.StatusConflict || len(p.find("button[name=before]")) != 2 ||
		!strings.Contains(p.text("[role=alert]"), "Not ticked before it") {
		t.Fatalf("draining before the cooling down: %s %s", a.Status, p.text("main"))
	}
	before := s.count()
	form.Set("before", "too")
	for range 2 {
		if a := s.post("/v/dunnock/job/tick", form); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s %s", a.Status, parse(t, a.body).text("main"))
		}
	}
	kept := s.count() - before
	for _, path := range []string{"/v/dunnock", "/v/dunnock/job", "/v/dunnock/plan", "/v/dunnock/trip?distance=300"} {
		if got := s.page(path).text("main"); !strings.Contains(got, "Not to be started: coolant out") {
			t.Errorf("%s does not say that it is not to be started", path)
		}
	}
	_, stale := s.sheet("/v/dunnock/job")
	v, fresh := s.sheet("/v/dunnock/job")
	change := keyOf(t, v, "change:top-hose")
	fresh["step"] = append(fresh["was"], change)
	fresh.Set("before", "alone")
	if a := s.post("/v/dunnock/job/tick", fresh); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, parse(t, a.body).text("main"))
	}
	stale["step"] = append(stale["was"], keyOf(t, v, "look:"))
	if slices.Contains(stale["was"], change) {
		t.Fatal("the stale page knows of the change: this test shows nothing")
	}
	if a := s.post("/v/dunnock/job/tick", stale); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, parse(t, a.body).text("main"))
	}
	v, form = s.sheet("/v/dunnock/job")
	if !slices.Contains(form["was"], change) || v.Work == nil || kept < 4 {
		t.Errorf("a stale page took a tick back, or nothing is in hand: %v, %d kept", form["was"], kept)
	}
	if len(s.page("/v/dunnock/job").find("a[href=/v/dunnock/job/done]")) != 1 {
		t.Error("it does not lead to where the job is finished")
	}
}

// A tick that waited on a device is about the day on which it was set there, also
// where that device's clock is wrong by hours.
func TestATickThatWaitedHasItsDay(t *testing.T) {
	for _, wrong := range []time.Duration{0, 26 * time.Hour} {
		s := demoSite(t)
		v, form := s.sheet(hoseSheet)
		form["step"] = []string{keyOf(t, v, "open:engine-cover")}
		sent := noon().Add(wrong)
		form.Set("typed", strconv.FormatInt(sent.Add(-30*time.Hour).UnixMilli(), 10))
		form.Set("sent", strconv.FormatInt(sent.UnixMilli(), 10))
		if a := s.post("/v/dunnock/job/tick", form); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s %s", a.Status, parse(t, a.body).text("main"))
		}
		entries, err := s.journal.OfForm(t.Context(), form.Get("batch"))
		if err != nil || len(entries) < 2 {
			t.Fatalf("%d entries, %v", len(entries), err)
		}
		for _, e := range entries {
			if want := demo.Today.AddDays(-1); e.Date != want {
				t.Errorf("clock wrong by %s: %s of %s, set on %s", wrong, e.Type, e.Date, want)
			}
		}
	}
}

// What would be unsafe is refused, with what comes first; a tick is taken back.
func TestATickThatWouldBeUnsafeIsRefused(t *testing.T) {
	s := demoSite(t)
	v, form := s.sheet(hoseSheet)
	drain, run := keyOf(t, v, "open:coolant-drained"), keyOf(t, v, "after:Run to temperature")
	form["step"] = []string{drain}
	form.Set("before", "too")
	s.post("/v/dunnock/job/tick", form)
	_, form = s.sheet("/v/dunnock/job")
	form["step"] = append(slices.Clone(form["was"]), run)
	form.Set("before", "alone")
	a := s.post("/v/dunnock/job/tick", form)
	if got := parse(t, a.body).text("[role=alert]"); a.StatusCode != http.StatusConflict ||
		!strings.Contains(got, "coolant out") || !strings.Contains(got, "First step") {
		t.Fatalf("run without coolant: %s %q", a.Status, got)
	}
	_, form = s.sheet("/v/dunnock/job")
	form["step"] = slices.DeleteFunc(slices.Clone(form["was"]), func(key string) bool { return key == drain })
	if a := s.post("/v/dunnock/job/tick", form); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("taken back: %s %s", a.Status, parse(t, a.body).text("main"))
	}
	if got := s.page("/v/dunnock").text("main"); strings.Contains(got, "coolant out") {
		t.Error("the tick taken back, the coolant is out still")
	}
	_, form = s.sheet("/v/dunnock/job")
	form.Set("end", "1")
	s.post("/v/dunnock/job/tick", form)
	if v, _ := s.sheet("/v/dunnock/job"); v.Work != nil {
		t.Error("the sheet is over and in hand still")
	}
}

// A touch keeps a tick, also one that waits for the connection.
func TestATouchTicksAStep(t *testing.T) {
	s := demoSite(t)
	b := openBrowser(t)
	box := `document.querySelector("input[value='open:engine-cover']")`
	b.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(s.url+hoseSheet))
	b.until(box + ` !== null && document.querySelector("[data-plain]") === null`)
	js[any](b, box+`.click()`)
	b.until(`document.querySelector("input[name=was][value='open:engine-cover']") !== null`)
	if v, _ := s.sheet("/v/dunnock/job"); v.Work == nil || v.Work.Done != 1 {
		t.Fatalf("kept: %+v", v.Work)
	}
	js[any](b, `window.realFetch = window.fetch, window.fetch = () => Promise.reject(new Error("no connection"))`)
	js[any](b, `document.querySelector("input[value='open:cooled-down']").click()`)
	b.until(`document.querySelector("li .fate") !== null`)
	if v, _ := s.sheet("/v/dunnock/job"); v.Work.Done != 1 {
		t.Fatal("a tick was kept without a connection")
	}
	js[any](b, `window.fetch = window.realFetch, dispatchEvent(new Event("online"))`)
	b.until(waits + `.startsWith("Sent ") && document.querySelectorAll("input[name=was]").length === 2`)
	if v, _ := s.sheet("/v/dunnock/job"); v.Work.Done != 2 {
		t.Errorf("kept: %+v", v.Work)
	}
	b.quiet("the job sheet")
}
