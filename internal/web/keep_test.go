package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

// blank returns the values a form on a page would send untouched.
func blank(p parsed, form string) url.Values {
	v := url.Values{}
	for _, n := range p.find(form + " input[name]") {
		kind := value(n, "type")
		if _, on := attr(n, "checked"); on || kind != "radio" && kind != "checkbox" {
			v.Add(value(n, "name"), value(n, "value"))
		}
	}
	for _, n := range p.find(form + " textarea[name]") {
		v.Add(value(n, "name"), text(n))
	}
	return v
}

func (s *site) verdict(position string) string {
	s.t.Helper()
	var v struct{ Verdict string }
	a := s.get("/v/heron/p/"+position, "Accept", "application/json")
	if err := json.Unmarshal([]byte(a.body), &v); err != nil {
		s.t.Fatal(err)
	}
	return v.Verdict
}

func TestRoundIsKeptAsOneBatchOnce(t *testing.T) {
	s := demoSite(t)
	if v := s.verdict("battery"); v != "keep" {
		t.Fatalf("battery is %s to begin with", v)
	}
	form := blank(s.page("/v/heron/round"), "#round")
	form.Set("a.battery.rest-voltage", "11.4")
	form["n.battery"] = []string{"", "terminals warm"}
	form.Set("odometer", "216900")
	before := s.journal.landings.Load()
	a := s.post("/v/heron/round", form)
	if a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s: %s", a.Status, parse(t, a.body).text(".faults"))
	}
	if n := s.journal.landings.Load() - before; n != 1 {
		t.Errorf("%d landings", n)
	}
	kept, err := s.journal.Entries(t.Context(), journal.Filter{Batch: form.Get("batch")})
	if err != nil || len(kept) != 3 || kept[0].Odometer.String() != "216900 km" {
		t.Fatalf("%d entries, error %v", len(kept), err)
	}
	if v := s.verdict("battery"); v == "keep" {
		t.Error("11.4 V at rest leaves the battery at keep")
	}
	p := s.page(a.Header.Get("Location"))
	if !strings.Contains(p.text("main"), "terminals warm") || len(p.find("[data-kept]")) != 1 {
		t.Errorf("the page after: %s", p.text("main"))
	}
	if a := s.post("/v/heron/round", form); a.StatusCode != http.StatusSeeOther {
		t.Errorf("sent again: %s", a.Status)
	}
	if n := s.journal.landings.Load() - before; n != 1 {
		t.Errorf("%d landings after the form was sent again", n)
	}
}

func TestFaultsBringTheRoundBackAsItWas(t *testing.T) {
	s := demoSite(t)
	form := blank(s.page("/v/heron/round?open=engine-cover"), "#round")
	form.Set("a.battery.rest-voltage", "much")
	form.Set("a.battery.terminals", "clean")
	form.Set("n.battery", "odd smell")
	form.Set("odometer", "90000")
	form.Set("date", "2027-02-30")
	before := s.journal.landings.Load()
	a := s.post("/v/heron/round", form)
	p := parse(t, a.body)
	if a.StatusCode != http.StatusUnprocessableEntity || len(p.find(".faults li")) != 2 {
		t.Fatalf("%s: %s", a.Status, p.text(".faults"))
	}
	if v := value(p.find("input[name=a.battery.rest-voltage]")[0], "value"); v != "much" {
		t.Errorf("the figure typed is gone: %q", v)
	}
	if n := p.find("input[name=a.battery.terminals][value=clean][checked]"); len(n) != 1 {
		t.Errorf("the answer chosen is gone")
	}
	if p.text("textarea[name=n.battery]") != "odd smell" {
		t.Errorf("the note is gone")
	}
	form.Del("a.battery.rest-voltage")
	form.Set("date", "2026-11-25")
	a = s.post("/v/heron/round", form)
	if a.StatusCode != http.StatusConflict || !strings.Contains(a.body, "less than") {
		t.Errorf("a reading that falls: %s", a.Status)
	}
	form.Set("a.nothing.at-all", "x")
	if a = s.post("/v/heron/round", form); !strings.Contains(parse(t, a.body).text(".faults"), "nothing") {
		t.Errorf("an unknown position: %s", a.Status)
	}
	if s.journal.landings.Load() != before {
		t.Error("something was recorded all the same")
	}
	if a = s.post("/v/heron/round",
		url.Values{"date": {"2026-11-25"}, "batch": {"x"}}); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a form without its batch: %s", a.Status)
	}
}

// Answers that cannot all be true come back with the reason, and one tick keeps
// them.
func TestContradictionsComeBack(t *testing.T) {
	s := demoSite(t)
	form := blank(s.page("/v/heron/round?open=all"), "#round")
	form.Set("a.brake-fluid.water", "0.2")
	form.Set("a.brake-fluid.boiling-point", "150")
	before := s.journal.landings.Load()
	a := s.post("/v/heron/round", form)
	p := parse(t, a.body)
	if a.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(p.text(".faults"), "both cannot be") ||
		s.journal.landings.Load() != before {
		t.Fatalf("%s: %s", a.Status, p.text(".faults"))
	}
	if len(p.find("#round input[name=sure]")) != 1 {
		t.Error("there is no tick to say that it is so")
	}
	form.Set("sure", "1")
	if a = s.post("/v/heron/round", form); a.StatusCode != http.StatusSeeOther && a.StatusCode != http.StatusOK ||
		s.journal.landings.Load() != before+1 {
		t.Errorf("sure, yet %s", a.Status)
	}
}

// A journal that cannot be written is told, and nothing typed is lost.
func TestALostJournalLosesNothingTyped(t *testing.T) {
	s := demoSite(t)
	form := blank(s.page("/v/heron/round?open=engine-cover"), "#round")
	form.Set("a.battery.rest-voltage", "12.1 V")
	form.Set("n.battery", "odd smell")
	s.journal.lost.Store(true)
	a := s.post("/v/heron/round", form)
	p := parse(t, a.body)
	if a.StatusCode != http.StatusServiceUnavailable || !strings.Contains(a.body, "Check the disk") {
		t.Errorf("%s: %s", a.Status, p.text(".faults"))
	}
	if v := p.find("input[name=a.battery.rest-voltage]"); len(v) != 1 || value(v[0], "value") != "12.1 V" {
		t.Errorf("the figure typed is gone")
	}
	if p.text("textarea[name=n.battery]") != "odd smell" {
		t.Errorf("the note is gone")
	}
	s.journal.lost.Store(false)
	if a = s.post("/v/heron/round", form); a.StatusCode != http.StatusSeeOther {
		t.Errorf("sent again: %s", a.Status)
	}
}

func TestAddForms(t *testing.T) {
	s := demoSite(t)
	send := func(what string, set ...string) answer {
		form := blank(s.page("/v/heron/add"), "form[action=/v/heron/add/"+what+"]")
		for i := 0; i+1 < len(set); i += 2 {
			form.Set(set[i], set[i+1])
		}
		return s.post("/v/heron/add/"+what, form)
	}
	for _, good := range [][]string{
		{"odometer", "odometer", "135000 mi"},
		{"fitted", "position", "main-belt", "name", "ribbed belt", "cost", "38.50", "removed", "worn"},
		{"fitted", "position", "top-hose", "known", "told", "since-date", "2019-05-01"},
		{"done", "text", "Cleaned the joint", "position", "heater-hose-feed", "settles", "1", "minutes", "20"},
		{"note", "text", "Key sticks in the cold"},
	} {
		if a := send(good[0], good[1:]...); a.StatusCode != http.StatusSeeOther {
			t.Errorf("%v: %s %s", good, a.Status, parse(t, a.body).text(".faults"))
		}
	}
	if v := s.verdict("main-belt"); v == "put right" {
		t.Error("a new belt is still to be put right")
	}
	if v := s.verdict("heater-hose-feed"); v != "keep" {
		t.Errorf("after the crust was put right the hose is %s", v)
	}
	for _, bad := range []struct{ says, form string }{
		{"not a date", "note text=x date=soon"}, {"odometer", "odometer odometer=12V"},
		{"no position", "fitted position=bell"},
		{"cost", "fitted position=main-belt cost=cheap"}, {"both readings", "odometer odometer=217000 old=3"},
		{"minutes", "done text=x minutes=long"},
		{"told history", "fitted position=main-belt known=told"}, {"", "note text="},
	} {
		what, rest, _ := strings.Cut(bad.form, " ")
		var set []string
		for _, kv := range strings.Fields(rest) {
			k, v, _ := strings.Cut(kv, "=")
			set = append(set, k, v)
		}
		a := send(what, set...)
		p := parse(t, a.body)
		if a.StatusCode < 400 || a.StatusCode >= 500 ||
			!strings.Contains(strings.ToLower(p.text(".faults")), bad.says) || p.text(".faults") == "" {
			t.Errorf("%s: %s %q", bad.form, a.Status, p.text(".faults"))
		}
		if n := len(p.find("details[name=fact][open]")); n != 1 || len(p.find("details[open] form[id="+what+"]")) != 1 {
			t.Errorf("%s: %d forms stand open", bad.form, n)
		}
	}
	if n := len(s.page("/v/heron/add").find("details[name=fact]")); n != 5 {
		t.Errorf("%d forms fold", n)
	}
	if a := s.post("/v/heron/add/anything", url.Values{}); a.StatusCode != http.StatusNotFound {
		t.Errorf("an unknown sort: %s", a.Status)
	}
}

// flatBattery keeps a round that found 11.4 V and returns its one entry.
func (s *site) flatBattery() *fleet.Entry {
	s.t.Helper()
	form := blank(s.page("/v/heron/round"), "#round")
	form.Set("a.battery.rest-voltage", "11.4")
	s.post("/v/heron/round", form)
	kept, err := s.journal.Entries(s.t.Context(), journal.Filter{Batch: form.Get("batch")})
	if err != nil || len(kept) != 1 {
		s.t.Fatal(len(kept), err)
	}
	return kept[0]
}

func TestCorrectWithdrawUndo(t *testing.T) {
	s := demoSite(t)
	kept := s.flatBattery()
	at := "/v/heron/journal/" + kept.ID
	if a := s.post(at, url.Values{"do": {"replace"}, "date": {"2026-11-25"},
		"answer": {"purple"}}); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a wrong correction: %s", a.Status)
	}
	if a := s.post(at, url.Values{"do": {"replace"}, "date": {"2026-11-24"}, "answer": {"12.7"},
		"why": {"mistyped"}}); a.StatusCode != http.StatusSeeOther {
		t.Errorf("a correction: %s", a.Status)
	}
	if v := s.verdict("battery"); v != "keep" {
		t.Errorf("corrected to 12.7 V, the battery is %s", v)
	}
	if p := s.page("/v/heron/journal"); !strings.Contains(p.text("main"), "mistyped") ||
		!strings.Contains(p.text("td"), "corrected") {
		t.Error("the journal does not tell of the correction")
	}
	if a := s.post("/v/heron/batch/"+kept.Batch+"/undo",
		url.Values{"why": {"wrong vehicle"}}); a.StatusCode != http.StatusSeeOther {
		t.Errorf("undo: %s", a.Status)
	}
	if a := s.post("/v/heron/batch/"+kept.Batch+"/undo", nil); a.StatusCode != http.StatusNotFound {
		t.Errorf("undo again: %s", a.Status)
	}
	if a := s.post(at, url.Values{"do": {"withdraw"}}); a.StatusCode != http.StatusConflict {
		t.Errorf("withdrawing what is withdrawn: %s", a.Status)
	}
	if p := s.page(at); !strings.Contains(p.text("main"), "withdrawn") {
		t.Errorf("the entry: %s", p.text("main"))
	}
}

// TestACorrectionCanBeTakenBack: a withdrawn finding counts again, and a
// correction that no longer holds cannot be taken back twice.
func TestACorrectionCanBeTakenBack(t *testing.T) {
	s := demoSite(t)
	kept := s.flatBattery()
	found := s.verdict("battery")
	s.post("/v/heron/journal/"+kept.ID, url.Values{"do": {"withdraw"}, "why": {"wrong battery"}})
	if v := s.verdict("battery"); v == found {
		t.Fatalf("with the finding withdrawn the battery still is %s", v)
	}
	fixes, err := s.journal.Entries(t.Context(), journal.Filter{Type: fleet.TypeCorrection})
	if err != nil || len(fixes) == 0 {
		t.Fatal(len(fixes), err)
	}
	at := "/v/heron/journal/" + fixes[len(fixes)-1].ID
	if p := s.page(at); !strings.Contains(p.text("main"), "The correction was wrong") {
		t.Fatalf("the correction's page offers no way back: %s", p.text("main"))
	}
	if a := s.post(at, url.Values{"do": {"replace"}, "date": {"2026-11-24"}}); a.StatusCode != http.StatusConflict {
		t.Errorf("a correction is changed into something else: %s", a.Status)
	}
	if a := s.post(at, url.Values{"do": {"withdraw"},
		"why": {"it was the right one"}}); a.StatusCode != http.StatusSeeOther {
		t.Errorf("taking a correction back: %s %s", a.Status, a.body)
	}
	if v := s.verdict("battery"); v != found {
		t.Errorf("with the correction taken back the battery is %s, not %s", v, found)
	}
	if a := s.post(at, url.Values{"do": {"withdraw"}}); a.StatusCode != http.StatusConflict {
		t.Errorf("taking it back again: %s", a.Status)
	}
}

func TestRecordFiltersAndCSV(t *testing.T) {
	s := demoSite(t)
	lines := func(p parsed) int { return len(p.find("tbody td.block")) + len(p.find("tbody details li")) }
	all := lines(s.page("/v/heron/record?all=1"))
	if first := lines(s.page("/v/heron/record")); first != mostLines || all <= first {
		t.Errorf("%d lines at first, %d in all", first, all)
	}
	p := s.page("/v/heron/record?what=fitted&since=2022-01-01&text=belt")
	for _, n := range p.find("tbody tr") {
		if len(parsed{n}.find("td")) == 0 {
			continue // the day
		}
		if !strings.Contains(text(n), "fitted") || !strings.Contains(strings.ToLower(text(n)), "belt") {
			t.Errorf("line %q", text(n))
		}
	}
	a := s.get("/v/heron/record?format=csv&what=fitted")
	if !strings.HasPrefix(a.body, "entry,batch,date,odometer,odometer unit,what,position,words,") ||
		!strings.HasPrefix(a.Header.Get("Content-Type"), "text/csv") {
		t.Errorf("CSV: %.80q", a.body)
	}
}

// What was changed stands before what was found, what found nothing is folded, and
// nothing of either is lost, in the record and in the journal.
func TestLooksThatFoundNothingAreFolded(t *testing.T) {
	s := demoSite(t)
	told, folded := map[string]bool{}, 0
	var record []advise.HistoryLine
	if err := json.Unmarshal([]byte(s.get("/v/heron/record", "Accept", "application/json").body), &record); err != nil {
		t.Fatal(err)
	}
	for _, l := range record {
		told[l.Entry] = l.Sound
		if l.Sound {
			folded++
		}
	}
	p := s.page("/v/heron/record?all=1")
	inFold := map[string]bool{}
	for _, n := range p.find("tbody details li a") {
		inFold[shortRef(value(n, "href"))] = true
	}
	for id, sound := range told {
		if sound != inFold[id] {
			t.Errorf("entry %s, sound %v, is folded: %v", id, sound, inFold[id])
		}
	}
	if open := len(p.find("tbody td.block")); open+len(inFold) != len(told) || folded == 0 || open == 0 {
		t.Errorf("%d open and %d folded of %d lines, of which %d found nothing", open, len(inFold), len(told), folded)
	}
	for i, day := range p.find("tbody") {
		last := 0
		for _, n := range (parsed{day}).find("td.nowrap a") {
			at, known := map[string]int{"fitted": 0, "done": 0, "found": 1}[text(n)]
			if !known {
				at = 2
			}
			if at < last {
				t.Errorf("day %d: %q comes late", i+1, text(n))
			}
			last = at
		}
	}
	seen := map[string]bool{}
	pages := 0
	for at := "/v/heron/journal"; at != ""; pages++ {
		p := s.page(at)
		for _, n := range slices.Concat(p.find("tbody td.nowrap a"), p.find("details li a")) {
			seen[shortRef(value(n, "href"))] = true
		}
		if rows := len(p.find("tbody td.block")) + len(p.find("main h2")); rows > 2*pageOfRows {
			t.Errorf("%s shows %d rows", at, rows)
		}
		at = ""
		if next := p.find("a[rel=next]"); len(next) > 0 {
			at = "/v/heron/journal" + value(next[0], "href")
		}
	}
	for id := range told {
		if !seen[id] {
			t.Errorf("entry %s is on no page of the journal", id)
		}
	}
	t.Logf("%d entries on %d pages", len(seen), pages)
}

// shortRef is the last part of an address.
func shortRef(href string) string { return href[strings.LastIndex(href, "/")+1:] }

func TestNewVehicleFromAnswers(t *testing.T) {
	s := demoSite(t)
	form := blank(s.page("/new?"+answered.Encode()), "form[action=/new]")
	inColumns(form)
	for name, said := range answered {
		if name != "step" && !slices.Equal(form[name], said) {
			t.Errorf("%s was answered %v, and the last step keeps %v", name, said, form[name])
		}
	}
	form.Set("vehicle", "Wren")
	form.Set("name", "Wren")
	if a := s.post("/new", form); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a capital in the id: %s", a.Status)
	}
	form.Set("vehicle", "../wren")
	if a := s.post("/new", form); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a path in the id: %s", a.Status)
	}
	form.Set("vehicle", "wren")
	form.Set("built", "2014-05-01")
	form.Set("yearly", "14000")
	if a := s.post("/new", form); a.StatusCode != http.StatusSeeOther || a.Header.Get("Location") != "/v/wren/sheet" {
		t.Fatalf("%s %s", a.Status, parse(t, a.body).text(".faults"))
	}
	now := s.read(filepath.Join("vehicles", "wren.yaml"))
	for _, want := range []string{"yearly: 14000 km", "kind: timing-belt", "taken as a belt", "kind: v-belt"} {
		if !strings.Contains(now, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
	if strings.Contains(now, "id: compressor") {
		t.Error("the sheet has what was answered not to be there")
	}
	s.page("/v/wren")
	if a := s.post("/new", form); a.StatusCode != http.StatusConflict {
		t.Errorf("the same again: %s", a.Status)
	}
}
