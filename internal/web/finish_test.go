package web

import (
	"encoding/json"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/visit/finish"
)

const beltSheet = "/v/heron/job?at=main-belt&at=top-hose&alone=1"

// workThrough ticks every step of a sheet but for the last so many.
func (s *site) workThrough(path string, but int) {
	s.t.Helper()
	id := strings.Split(path, "/")[2]
	for at := path; ; at = "/v/" + id + "/job" {
		v, form := s.sheet(at)
		left := slices.DeleteFunc(v.Steps, func(st visit.StepView) bool { return st.Done })
		if len(left) <= but {
			return
		}
		form["step"] = append(slices.Clone(form["was"]), strings.Join(left[0].Keys, keyBreak))
		form.Set("who", "Anna")
		if a := s.post("/v/"+id+"/job/tick", form); a.StatusCode != http.StatusSeeOther {
			s.t.Fatalf("%s: %s %s", left[0].Text, a.Status, parse(s.t, a.body).text("[role=alert]"))
		}
	}
}

// filled is the form of a page as it stands.
func (s *site) filled(path string) url.Values {
	s.t.Helper()
	return filled(s.page(path))
}

func filled(p parsed) url.Values {
	v := blank(p, "#finish")
	for _, n := range p.find("#finish select") {
		for _, o := range (parsed{n}).find("option[selected]") {
			v.Set(value(n, "name"), value(o, "value"))
		}
	}
	return v
}

// Six long forms are one: a sheet worked through is accepted as it is filled in, kept
// once however often it is sent, and the page after it says what that changed. Its
// entries are exactly what was accepted.
func TestAJobIsFinishedByForm(t *testing.T) {
	s := demoSite(t)
	s.workThrough(beltSheet, 1)
	v, form := s.sheet("/v/heron/job")
	last := v.Steps[slices.IndexFunc(v.Steps, func(st visit.StepView) bool { return !st.Done })]
	form["step"] = append(slices.Clone(form["was"]), strings.Join(last.Keys, keyBreak))
	a := s.post("/v/heron/job/tick", form)
	if got := a.Header.Get("Location"); got != "/v/heron/job/done" {
		t.Fatalf("after the last tick: %s %s %s", a.Status, got, parse(t, a.body).text("[role=alert]"))
	}
	var twin finish.View
	if err := json.Unmarshal([]byte(s.get("/v/heron/job/done", "Accept", "application/json").body), &twin); err != nil {
		t.Fatal(err)
	}
	page := s.page("/v/heron/job/done")
	checkPage(t, "/v/heron/job/done", page)
	if h := page.text("h1"); len(strings.Fields(h)) > 14 || !strings.Contains(h, "two parts changed") {
		t.Errorf("headline: %q", h)
	}
	form = s.filled("/v/heron/job/done")
	if got := form["changed"]; len(got) != 2 || len(twin.Changed) != 2 || len(twin.Missing) != 0 {
		t.Fatalf("accepted %v, twin %+v", got, twin)
	}
	if form.Get("who") != "Anna" {
		t.Errorf("the device has forgotten who works with it: %q", form.Get("who"))
	}
	form.Set("odometer", "10 km") // far below what it showed
	form.Set("p.main-belt.number", "6PK2415-X")
	form.Set("h.main-belt.cracks", "4 per 75 mm")
	before := s.count()
	a = s.post("/v/heron/job/done", form)
	again := parse(t, a.body)
	if a.StatusCode != http.StatusConflict || s.count() != before {
		t.Fatalf("a reading that falls: %s, %d entries more", a.Status, s.count()-before)
	}
	back := filled(again)
	for _, field := range []string{"odometer", "p.main-belt.number", "h.main-belt.cracks", "batch", "p.top-hose.name"} {
		if back.Get(field) != form.Get(field) {
			t.Errorf("%s comes back as %q, typed was %q", field, back.Get(field), form.Get(field))
		}
	}
	back.Set("odometer", "")
	var group sync.WaitGroup // a double tap, and a reply that was lost
	for range 4 {
		group.Go(func() {
			if a := s.post("/v/heron/job/done", back); a.StatusCode != http.StatusSeeOther ||
				a.Header.Get("Location") != "/v/heron/batch/"+back.Get("batch") {
				t.Errorf("%s %s", a.Status, parse(t, a.body).text("[role=alert]"))
			}
		})
	}
	group.Wait()
	kept, err := s.journal.OfForm(t.Context(), back.Get("batch"))
	if err != nil || len(kept) != 4 {
		t.Fatalf("%d entries: two parts, one answer in the hand, the end; %v", len(kept), err)
	}
	for _, e := range kept {
		if e.By != "Anna" {
			t.Errorf("%s is by %q", e.Type, e.By)
		}
		if e.Fitted != nil && e.Fitted.Position == "main-belt" && e.Fitted.Part.Number != "6PK2415-X" {
			t.Errorf("fitted: %+v", e.Fitted.Part)
		}
	}
	after := s.page("/v/heron/batch/" + back.Get("batch"))
	if got := after.text("#changed"); !strings.Contains(got, "Chance of being stranded") {
		t.Errorf("what it changed: %q", got)
	}
	if a := s.get("/v/heron/job/done"); a.StatusCode != http.StatusNotFound {
		t.Errorf("the sheet is over: %s", a.Status)
	}
	if v, _ := s.sheet("/v/heron/job"); v.Work != nil {
		t.Error("a finished sheet is in hand")
	}
}

// Two forms filled in apart for one sheet: what is new in the second is kept, what
// contradicts the first is not, and is shown.
func TestTwoFormsFinishOneSheet(t *testing.T) {
	s := demoSite(t)
	s.workThrough(beltSheet, 0)
	one, two := s.filled("/v/heron/job/done"), s.filled("/v/heron/job/done")
	one["changed"], two["changed"] = []string{"main-belt"}, []string{"main-belt", "top-hose"}
	two.Set("p.main-belt.number", "B-2")
	before := s.count()
	if a := s.post("/v/heron/job/done", one); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, parse(t, a.body).text("[role=alert]"))
	}
	landed := s.count()
	a := s.post("/v/heron/job/done", two)
	if said := parse(t, a.body).text(".faults"); a.StatusCode != http.StatusConflict || s.count() != landed ||
		!strings.Contains(said, "Another device has finished this sheet and wrote down: ") ||
		filled(parse(t, a.body)).Get("p.main-belt.number") != "B-2" {
		t.Fatalf("what contradicts: %s %q", a.Status, said)
	}
	two.Set("p.main-belt.number", one.Get("p.main-belt.number"))
	for range 2 {
		if a = s.post("/v/heron/job/done", two); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("what is new: %s %s", a.Status, parse(t, a.body).text("[role=alert]"))
		}
	}
	if landed-before != 2 || s.count()-landed != 1 {
		t.Errorf("%d entries: a part and the end; then %d, the other part", landed-before, s.count()-landed)
	}
	// Taken back, the sheet is in hand again, and is finished anew.
	for _, batch := range []string{one.Get("batch"), strings.TrimPrefix(strings.Split(a.Header.Get("Location"), "?")[0],
		"/v/heron/batch/")} {
		s.post("/v/heron/batch/"+batch+"/undo", url.Values{"batch": {journal.NewID()}, "why": {"not yet"}})
	}
	again := s.filled("/v/heron/job/done")
	if again.Get("batch") == one.Get("batch") || len(again["changed"]) != 2 {
		t.Errorf("after it was taken back: %v", again["changed"])
	}
	if a := s.post("/v/heron/job/done", again); a.StatusCode != http.StatusSeeOther {
		t.Errorf("finished anew: %s", a.Status)
	}
}

// A part that was not changed after all is left out, and a sheet that is not ticked
// to its end says what is missing.
func TestAJobIsFinishedEarly(t *testing.T) {
	s := demoSite(t)
	s.workThrough(beltSheet, 3)
	page := s.page("/v/heron/job/done")
	if !strings.Contains(page.text(".caution"), "Not ticked: step") {
		t.Errorf("missing: %q", page.text(".caution"))
	}
	form := s.filled("/v/heron/job/done")
	form["changed"] = []string{"main-belt"}
	form.Set("p.main-belt.cost", "dear")
	a := s.post("/v/heron/job/done", form)
	if a.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(a.body, "is no sum of money") {
		t.Fatalf("a price that is none: %s", a.Status)
	}
	form.Set("p.main-belt.cost", "41")
	if a := s.post("/v/heron/job/done", form); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, parse(t, a.body).text("[role=alert]"))
	}
	kept, _ := s.journal.OfForm(t.Context(), form.Get("batch"))
	if len(kept) != 2 || kept[0].Fitted == nil || kept[0].Fitted.Part.Cost.String() != "41 EUR" {
		t.Errorf("kept: %+v", kept)
	}
}

// A torque far from the sheet's is asked again with what was typed, and kept once it
// is said to be so; the one who typed it is told on the sheet.
func TestATorqueIsAskedAgain(t *testing.T) {
	s := demoSite(t)
	v, form := s.sheet("/v/heron/job")
	names := slices.DeleteFunc(slices.Sorted(maps.Keys(form)), func(name string) bool {
		return !strings.HasPrefix(name, setPrefix)
	})
	if len(names) == 0 {
		t.Fatal("no step asks for a torque")
	}
	field := names[0]
	key, _, _ := strings.Cut(strings.TrimPrefix(field, setPrefix), "|")
	form["step"] = []string{keyOf(t, v, key)}
	form.Set(field, "1")
	form.Set("before", "alone")
	form.Set("who", "  Bert   of the  yard ")
	a := s.post("/v/heron/job/tick", form)
	p := parse(t, a.body)
	if a.StatusCode != http.StatusUnprocessableEntity || len(p.find("button[name=sure]")) != 1 ||
		!strings.Contains(p.text("[role=alert]"), "The sheet says") || blank(p, "#ticks").Get(field) != "1" {
		t.Fatalf("%s %s", a.Status, p.text("[role=alert]"))
	}
	form.Set("sure", "1")
	if a := s.post("/v/heron/job/tick", form); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, parse(t, a.body).text("[role=alert]"))
	}
	page := s.page("/v/heron/job")
	if got := blank(page, "#ticks").Get(field); got != "1 N·m" ||
		!strings.Contains(page.text("#ticks"), "Bert of the yard, ") {
		t.Errorf("kept %q; %s", got, page.text("#ticks .sub"))
	}
	if len(blank(page, "#ticks")["who"]) != 1 || blank(page, "#ticks").Get("who") != "Bert of the yard" {
		t.Error("the name is not remembered")
	}
	if !strings.Contains(s.page("/v/heron/journal").text("main"), "to 1 N·m") {
		t.Error("the journal does not say what it was set to")
	}
}

// Something else is found in two touches at whatever the steps so far laid open; kept,
// its page leads back to the sheet.
func TestSomethingElseIsFound(t *testing.T) {
	s := demoSite(t)
	s.post("/v/heron/opened", url.Values{"batch": {journal.NewID()}, "open": {"undertray"}})
	s.workThrough(beltSheet, 14)
	page := s.page("/v/heron/job")
	links := page.find("#else a")
	if len(links) == 0 {
		t.Fatal("nothing else can be told")
	}
	to := value(links[0], "href")
	if len(s.page(strings.TrimSuffix(to, "#found")).find("#found[open]")) != 1 {
		t.Errorf("%s does not open the form", to)
	}
	form := blank(s.page(to), "#found form")
	position := strings.Split(strings.Split(to, "/p/")[1], "?")[0]
	form.Set(notePrefix+position, "oil on it")
	a := s.post("/v/heron/round", form)
	if a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, parse(t, a.body).text("[role=alert]"))
	}
	if len(s.page(a.Header.Get("Location")).find("a[href=/v/heron/job]")) == 0 {
		t.Error("no way back to the sheet")
	}
}

// Two devices work through one sheet, and it is finished on one of them by touches
// alone, with the server away: what one ticks the other shows by itself, the journal is
// what was touched, and where the two contradict each other at the end, the second is
// shown what the first kept.
func TestAJobOnTwoPhones(t *testing.T) {
	s, begun := demoSite(t), time.Now()
	s.server.opt.Now = func() time.Time { return noon().Add(time.Since(begun)) } // ticks have their order by it
	a, b := openBrowser(t), openBrowser(t)
	for _, phone := range []*browser{a, b} {
		phone.do(chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch))
	}
	a.do(chromedp.Navigate(s.url + hoseSheet))
	a.until(`document.querySelector("[data-plain]") === null && document.getElementById("who") !== null`)
	a.answer(`document.getElementById("who")`, "Anna")
	touch := func(on *browser, n int) {
		on.t.Helper()
		js[any](on, nextBox+`.click()`)
		if said := js[string](on, `document.querySelector("#ticks [role=alert], .fate:not(:empty)")?.textContent ?? ""`); said != "" {
			on.t.Fatalf("tick %d: %s", n, said)
		}
		on.until(`document.querySelector("#ticks [role=alert], .fate:not(:empty)") !== null || document.querySelectorAll("input[name=was]").length === ` + strconv.Itoa(n))
	}
	touch(a, 1)
	b.do(chromedp.Navigate(s.url + "/v/dunnock/job"))
	b.until(`document.querySelector("[data-plain]") === null && document.querySelector("#ticks[data-stand]") !== null`)
	steps := js[int](b, `document.querySelectorAll("input[name=step]").length`)
	for n := 2; n < steps; n++ {
		on, other := a, b
		if n%2 == 0 {
			on, other = b, a
		}
		touch(on, n)
		other.until(`document.querySelectorAll("input[name=was]").length === ` + strconv.Itoa(n))
	}
	a.until(`navigator.serviceWorker.controller !== null`) // so that the page opens again
	js[any](a, nextBox+`.click()`)
	a.until(`location.pathname === "/v/dunnock/job/done" && document.getElementById("finish") !== null`)
	if over := js[int](a, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
		t.Errorf("the page is %d px too wide: %s", over, js[string](a, widest))
	}
	if low := js[float64](a, `Math.min(...[...document.querySelectorAll("#finish button, #finish select, #finish .tick, #finish summary")].filter(e => e.checkVisibility()).map(e => e.offsetHeight))`); low < 24 {
		t.Errorf("the lowest target is %.0f px high", low)
	}
	// Both phones write the job down where the server is not reached, and leave the page.
	b.do(chromedp.Navigate(s.url + "/v/dunnock/job/done"))
	number := `document.getElementById("p.top-hose.number")`
	before := s.count()
	batch := js[string](a, `document.querySelector("#finish [name=batch]").value`)
	s.away.Store(true)
	for phone, typed := range map[*browser]string{a: "TH-5", b: "TH-6"} {
		phone.until(number + ` !== null && navigator.serviceWorker.controller !== null`)
		phone.answer(number, typed)
		js[any](phone, `document.querySelector("#finish button.main").click()`)
		phone.until(waitsHere)
		phone.do(chromedp.Navigate(s.url + "/v/dunnock/job/done"))
		phone.until(number + `?.value === "` + typed + `"`)
	}
	if s.count() != before {
		t.Fatal("kept without a server")
	}
	s.landsOnce(a, "/v/dunnock")
	landed := s.count()
	// The other one is not taken, stays there, and is shown beside what was kept.
	js[any](b, `dispatchEvent(new Event("online"))`)
	b.until(`document.querySelector("#waits")?.textContent === "1 refused"`)
	js[any](b, `document.querySelector("#waits button").click(), document.querySelector("#outbox li button").click()`)
	b.until(`document.querySelector(".faults")?.textContent.includes("wrote down: ") === true`)
	if said := js[string](b, `document.querySelector(".faults").textContent`); !strings.Contains(said, "TH-5") ||
		js[string](b, number+`.value`) != "TH-6" || !js[bool](b, someWait) {
		t.Errorf("the second phone is shown %q, and its form says %s", said, js[string](b, number+`.value`))
	}
	b.answer(number, "TH-5")
	js[any](b, `document.querySelector("#finish button.main").click()`)
	b.until(`location.pathname.includes("/batch/") && !` + someWait)
	if s.count() != landed {
		t.Errorf("%d entries more from a form that says the same", s.count()-landed)
	}
	all, err := s.journal.OfVehicle(t.Context(), "dunnock")
	if err != nil {
		t.Fatal(err)
	}
	var kept []*fleet.Entry
	ticks := map[string]string{}
	for _, e := range all {
		if e.Batch == batch {
			kept = append(kept, e)
		}
		if e.Work != nil && e.Work.Step != "" {
			if ticks[e.Work.Step] != "" || e.Work.Back {
				t.Errorf("%s is ticked twice", e.Work.Step)
			}
			ticks[e.Work.Step] = e.By + "."
		}
	}
	fitted := slices.DeleteFunc(slices.Clone(kept), func(e *fleet.Entry) bool { return e.Fitted == nil })
	if len(kept) != s.count()-before || len(kept) != 2 || len(fitted) != 1 || fitted[0].Fitted.Position != "top-hose" {
		t.Errorf("kept: %d entries, %d fitted", len(kept), len(fitted))
	}
	by := map[string]int{}
	for _, who := range ticks {
		by[who]++
	}
	if by["Anna."] == 0 || by["."] == 0 {
		t.Errorf("who ticked: %v", by)
	}
	a.said, b.said = nil, nil // what could not be fetched
}

const nextBox = `[...document.querySelectorAll("input[name=step]")].find(e => !e.checked)`

// TestConsumablesAreBoughtAndUsed: a washer and coolant, by its litres, are bought; the list of what to buy no
// longer asks for the washer of the first order. The form that finishes the job fills the coolant in, keeps
// what was used of it at its price, and what was not bought only where it is ticked. Then none waits.
func TestConsumablesAreBoughtAndUsed(t *testing.T) {
	const coolant = "coolant mixed to 50 % by volume"
	s := demoSite(t)
	form := url.Values{"batch": {"019abf2e-7c00-7a31-8f00-3d5b2c7e9a11"}, "date": {"2026-11-20"},
		"of": {coolant}, "amount": {"9 kg"}, "cost": {"41.50"}, "supplier": {"shop in town"}}
	asks := func() (n int) {
		for _, of := range s.page("/v/heron/plan/parts").find("input[name=of]") {
			n += strings.Count(value(of, "value"), "drain plug washer")
		}
		return n
	}
	before := asks()
	washer := url.Values{"batch": {"019abf2e-7c00-7a31-8f00-3d5b2c7e9a12"}, "date": {"2026-11-20"},
		"of": {"drain plug washer"}, "amount": {"1"}}
	if a := s.post("/v/heron/add/bought", washer); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, parse(t, a.body).text("[role=alert]"))
	}
	had := s.page("/v/heron/plan/parts").text(".had")
	if !strings.Contains(had, "Bought on 20 November 2026, drain plug washer, 1.") || asks() != before-1 {
		t.Errorf("bought: %q; asked for %d times, %d before", had, asks(), before)
	}
	a := s.post("/v/heron/add/bought", form)
	if back := parse(t, a.body); a.StatusCode != http.StatusUnprocessableEntity ||
		!strings.Contains(back.text(".faults"), "9 kg") ||
		value(back.find("input[name=amount]")[0], "value") != "9 kg" {
		t.Fatalf("coolant by weight: %s %s", a.Status, back.text(".faults"))
	}
	form.Set("amount", "9") // litres, as the sheet has it
	if a := s.post("/v/heron/add/bought", form); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, parse(t, a.body).text("[role=alert]"))
	}
	s.workThrough(beltSheet, 0)
	page := s.page("/v/heron/job/done")
	checkPage(t, "/v/heron/job/done", page)
	form = filled(page)
	if got := form["used"]; !slices.Equal(got, []string{coolant}) || form.Get("u."+coolant+".amount") != "9 l" ||
		form.Get("u."+coolant+".cost") != "41.50 EUR" || len(page.find("input[name=used]")) < 2 {
		t.Fatalf("filled in: %v of %d", got, len(page.find("input[name=used]")))
	}
	form.Set("u."+coolant+".amount", "8.5 l")
	for range 2 { // once
		if a := s.post("/v/heron/job/done", form); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s %s", a.Status, parse(t, a.body).text("[role=alert]"))
		}
	}
	all, err := s.journal.Entries(t.Context(), journal.Filter{Vehicle: "heron", Type: fleet.TypeDone})
	all = slices.DeleteFunc(all, func(e *fleet.Entry) bool { return e.Done.Used == nil })
	if err != nil || len(all) != 1 || all[0].Done.Used.Amount.String() != "8.5 l" ||
		all[0].Done.Cost.String() != "41.50 EUR" || all[0].Done.What != "Used: "+coolant+", 8.5 l, shop in town" {
		t.Errorf("kept: %+v %v", all, err)
	}
	s.workThrough(beltSheet, 0)
	if got := s.filled("/v/heron/job/done")["used"]; len(got) != 0 {
		t.Errorf("%q still waits", got)
	}
}
