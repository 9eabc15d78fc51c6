package web

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/harm"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/units"
)

// posting is a yard of one vehicle whose pages are asked without a network, for
// forms and batches harmed at random.
type posting struct {
	dir   string
	stamp string // of the yard's files
	store *journal.Memory
	mux   *http.ServeMux // the addresses
	pages http.Handler   // with what is around them
	taken int            // posts that recorded or wrote something since it was made anew
	seeds []seed
}

// seed is a form of a page, filled in.
type seed struct{ path, body string }

// firstNote is the id of an entry that is there to begin with.
const firstNote = "01a22509-8090-70f7-983a-345cf9f3330e"

// beltFitted is that of an entry by which a belt came off.
const beltFitted = "01a22509-8090-70f7-983a-345cf9f3330d"

// typical is what is typed into the fields of the pages' forms.
var typical = map[string]string{
	"date": "2026-11-25", "odometer": "152300 km", "old": "3 km", "new": "4 km", "position": "main-belt",
	"name": "ribbed belt", "number": "6PK1683", "cost": "38.50 EUR", "removed": "worn", "known": "told",
	"since-date": "2019-05-01", "text": "rattles when cold", "why": "mistyped", "minutes": "20",
	"vehicle": "robin", "built": "2014-05-01", "yearly": "14000 km",
	"id": "bell", "kind": "ribbed-belt", "from": "above", "x": "12.5", "y": "3", "where": "behind the fan",
	"month": "2026-12", "a.battery.rest-voltage": "12.4", "n.battery": "terminals warm",
	"p.battery.cost": "95 EUR", "p.battery.removed": "worn", "h.battery.rest-voltage": "11.9", "who": "Anna",
	"a.tyres.tread": "6 mm", "a.main-belt.touch": "hard", "kind.battery": "battery", "is.battery": "unknown",
	"is.main-belt": "not", "is.tyres": "there", "when.battery": "2024-05", "far.battery": "120000 km",
}

// answered are the answers that a new vehicle's last step keeps.
var answered = url.Values{"step": {"name"}, "sort": {"car"}, "lies": {"across"}, "fuel": {"injection"},
	"cylinders": {"flat-4"}, "timing": {"unknown"}, "pump": {"belt"}, "steering": {"electric"}, "air-con": {"no"},
	"brakes": {"drums"}, "belt1": {"v"}, "turns1": {"alternator", "water-pump"}}

// smallSheet is that of a vehicle with little on it, so that pages cost little.
const smallSheet = `undertray: 1
vehicle: wren
name: Wren
built: '2014-05-01'
openings:
  - {id: gearbox-drained, name: Drain the gearbox, undo: Fill it, from: below, minutes: 10, undo_minutes: 15}
positions:
  - {id: main-belt, name: Drive belt, kind: ribbed-belt, from: below, x: 79, y: 46, where: right, seen: [gearbox-drained]}
  - {id: battery, name: Battery, kind: battery, from: above, x: 18, y: 52, where: left}
  - {id: tyres, name: Tyres, kind: tyres, from: above, x: 50, y: 150, where: all four}
`

// newPosting makes the yard and collects the forms of its pages.
func newPosting(tb testing.TB) *posting {
	tb.Helper()
	p := &posting{dir: tb.TempDir()}
	p.renew(tb)
	for _, path := range []string{"/v/wren/round", "/v/wren/add", "/v/wren/job/done", "/v/wren/opened",
		"/v/wren/aboard", "/v/wren/sheet", "/v/wren/p/main-belt",
		"/v/wren/plan", "/v/wren/journal/" + firstNote, "/v/wren/journal/" + beltFitted,
		"/v/wren/batch/" + firstNote, "/v/wren/walk", "/v/wren/known",
		"/v/wren/sheet/add?from=above&x=30&y=40", "/v/wren/sheet/p/main-belt", "/v/wren/sheet/open",
		"/v/wren/sheet/o/gearbox-drained", "/v/wren/sheet/head", "/v/wren/settings",
		"/settings", "/new?" + answered.Encode()} {
		p.collect(tb, path)
	}
	p.seeds = append(p.seeds, seed{"/v/wren/past/keep", url.Values{"batch": {journal.NewID()}, "keep": {"0"},
		"no-0": {"1"}, "day-0": {"2020-01-02"}, "far-0": {"9000 km"}, "paid-0": {"20 EUR"}, "added-0": {"Battery"},
		"words-0": {"belt renewed"},
		"of-0":    {"main-belt"}, "fit-0": {"main-belt"}}.Encode()}) // its form comes of one that is sent
	return p
}

// open opens the yard with an empty journal.
func (p *posting) open(tb testing.TB) {
	tb.Helper()
	p.store, p.mux = journal.NewMemory(), http.NewServeMux()
	srv, err := New(Options{Dir: p.dir, Journal: journal.FoldsOf(p.store, ""), Now: noon, NewID: journal.NewID})
	if err != nil {
		tb.Fatal(err)
	}
	for _, r := range srv.routes() {
		p.mux.Handle(r.pattern, srv.adapt(r.handle))
	}
	p.pages = srv.wrap(p.mux)
}

// renew puts the yard back as it was, with a note and a cracked belt in its journal.
func (p *posting) renew(tb testing.TB) {
	tb.Helper()
	folder := filepath.Join(p.dir, "vehicles")
	if err := os.Remove(filepath.Join(p.dir, "yard.yaml")); err != nil && !errors.Is(err, fs.ErrNotExist) {
		tb.Fatal(err)
	}
	if err := os.RemoveAll(folder); err != nil {
		tb.Fatal(err)
	}
	if err := os.Mkdir(folder, 0o755); err != nil {
		tb.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, "wren.yaml"), []byte(smallSheet), 0o644); err != nil {
		tb.Fatal(err)
	}
	p.open(tb)
	note := &fleet.Entry{Format: fleet.EntryFormat, ID: firstNote, Batch: firstNote, Recorded: noon(),
		Type:    fleet.TypeNote,
		Vehicle: "wren", Date: demo.Today.AddDays(-1), Note: &fleet.Note{Text: "key sticks"}}
	cracked := *note
	much := units.MustParse("30 per 75 mm")
	cracked.ID, cracked.Type, cracked.Note = "01a22509-8090-70f7-983a-345cf9f3330f", fleet.TypeFound, nil
	cracked.Found = &fleet.Found{Position: "main-belt", Check: "cracks", Value: &much}
	fitted := *note
	fitted.ID, fitted.Type, fitted.Note, fitted.Date = beltFitted, fleet.TypeFitted, nil, note.Date.AddDays(-1)
	fitted.Fitted = &fleet.Fitted{Position: "main-belt"}
	begun, ticked := *note, *note
	begun.ID, begun.Type, begun.Note = "01a22509-8090-70f7-983a-345cf9f33310", fleet.TypeWork, nil
	begun.Work = &fleet.Work{Begins: []fleet.WorkTask{{Position: "battery", Do: fleet.DoReplace}}}
	ticked.ID, ticked.Type, ticked.Note = "01a22509-8090-70f7-983a-345cf9f33311", fleet.TypeWork, nil
	ticked.Work = &fleet.Work{Of: begun.ID, Step: "change:battery"}
	all := []*fleet.Entry{note, &cracked, &fitted, &begun, &ticked}
	if _, err := p.store.Append(tb.Context(), all); err != nil {
		tb.Fatal(err)
	}
	p.taken, p.stamp = 0, (&yardCache{dir: p.dir}).look()
}

func (p *posting) request(method, path, body string, json bool) *http.Request {
	r := httptest.NewRequest(method, "http://localhost"+path, strings.NewReader(body))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	if json {
		r.Header.Set("Accept", "application/json")
	}
	return r
}

// do asks for a page or posts a form.
func (p *posting) do(method, path, body string, json bool) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	p.pages.ServeHTTP(w, p.request(method, path, body, json))
	return w
}

// collect takes the forms of a page as seeds, filled in with what is typical.
func (p *posting) collect(tb testing.TB, path string) {
	tb.Helper()
	w := p.do("GET", path, "", false)
	if w.Code != http.StatusOK {
		tb.Fatalf("%s: %d", path, w.Code)
	}
	for _, f := range parse(tb, w.Body.String()).find("form[method=post]") {
		body := url.Values{"typed": {"1795608000000"}, "sent": {"1795608600000"}}
		last := ""
		for n := range f.Descendants() {
			name := value(n, "name")
			if n.Type != html.ElementNode || name == "" {
				continue
			}
			v := cmp.Or(typical[name], value(n, "value"))
			if n.Data == "select" && v == "" {
				v = firstOption(n)
			}
			if value(n, "type") == "hidden" && typical[name] == "" && v != "" && name == last {
				body.Add(name, v) // a list of them
				continue
			}
			last = name
			if v != "" && (typical[name] != "" || !strings.HasPrefix(name, answerPrefix)) {
				body.Set(name, v)
			}
		}
		if body.Has("was") {
			body.Set("text", smallSheet)
		}
		s := seed{cmp.Or(value(f, "action"), path), body.Encode()}
		if _, pattern := p.mux.Handler(p.request("POST", s.path, "", false)); !slices.Contains(notFuzzed, pattern) {
			p.seeds = append(p.seeds, s)
		}
	}
}

func firstOption(n *html.Node) string {
	for d := range n.Descendants() {
		if v := value(d, "value"); d.Data == "option" && v != "" {
			return v
		}
	}
	return ""
}

func (p *posting) count(t *testing.T) int {
	t.Helper()
	n, err := p.store.Count(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// post posts a form and returns its answer's code. No form makes the server fail or
// tells of its folders, one that is refused leaves everything as it was, and after
// one that is taken the vehicle's pages open; sent again it adds nothing.
func (p *posting) post(t *testing.T, path, body string, json bool) int {
	t.Helper()
	before := p.count(t)
	w := p.do("POST", path, body, json)
	after, stamp := p.count(t), (&yardCache{dir: p.dir}).look()
	switch {
	case w.Code >= 500:
		t.Fatalf("%s: %d\n%s\n%.600s", path, w.Code, body, w.Body)
	case strings.Contains(w.Body.String(), p.dir):
		t.Fatalf("%s tells of the folder %s\n%s", path, p.dir, body)
	case w.Code >= 400 && (after != before || stamp != p.stamp):
		t.Fatalf("%s: %d, and yet something was kept\n%s", path, w.Code, body)
	case after == before && stamp == p.stamp:
		return w.Code
	}
	p.taken++
	pages := []string{"/v/wren/round", "/v/wren/record"}
	for _, page := range pages {
		if w := p.do("GET", page, "", true); w.Code != http.StatusOK {
			t.Fatalf("%s after %s: %d\n%s\n%.600s", page, path, w.Code, body, w.Body)
		}
	}
	form, _ := url.ParseQuery(body) // without a batch it is none of the pages' forms
	if w := p.do("POST", path, body, true); w.Code >= 500 || p.count(t) != after && fleet.IsID(form.Get("batch")) {
		t.Fatalf("%s sent again: %d, %d entries more\n%s", path, w.Code, p.count(t)-after, body)
	}
	return w.Code
}

// tidy makes the yard anew where a sheet was written, or its journal grows.
func (p *posting) tidy(t *testing.T) {
	if p.taken >= 50 || (&yardCache{dir: p.dir}).look() != p.stamp {
		p.renew(t)
	}
}

// pick returns one of the forms. That which settles a plan, which takes a hundred
// times as long as the others, comes once in 256 times.
func (p *posting) pick(which uint8) seed {
	s := p.seeds[int(which)%len(p.seeds)]
	if strings.Contains(s.path, "/plan/") && which < 255 {
		return p.seeds[0]
	}
	if which == 255 {
		return p.seeds[slices.IndexFunc(p.seeds, func(s seed) bool { return strings.Contains(s.path, "/plan/") })]
	}
	return s
}

// FuzzForms posts every form of the pages about a vehicle, filled in with anything.
func FuzzForms(f *testing.F) {
	p := newPosting(f)
	for i, s := range p.seeds {
		f.Add(uint8(i), i%2 == 0, s.body)
	}
	f.Fuzz(func(t *testing.T, which uint8, json bool, body string) {
		p.post(t, p.pick(which).path, body, json)
		p.tidy(t)
	})
}

// notFuzzed are the addresses that FuzzForms leaves out: a recording and a picture are
// files, which tests of their readers harm; of the others nothing is recorded or they need
// what was, as the ticks of a job sheet need those before them.
var notFuzzed = []string{"POST /login", "POST /logout", "POST /pair", "POST /devices",
	"POST /devices/{device}/away", "POST /devices/calendar", "POST /devices/token",
	"POST " + httpAt + "vehicles/{id}/entries", // see TestHarmedTellings
	"POST /devices/{device}/anew",
	"POST /v/{id}/listen", "POST /v/{id}/listen/{hash}",
	"POST /take", "POST /v/{id}/handover/file", "POST /v/{id}/pictures",
	"POST /v/{id}/picture/{hash}/marks", "POST /v/{id}/count", "POST /v/{id}/past", "POST /v/{id}/job/tick",
	"POST /v/{id}/measure", "POST /v/{id}/runs", "POST /v/{id}/sheet/undo",
	"POST /v/{id}/plan/settled/{entry}/back", "POST /v/{id}/p/{pos}/aside/back"}

// harmed returns what a campaign draws from and how many it harms: the same in every
// check, and in every soak others, as many as fuzzing tries. Fuzzing follows which code
// each of them reaches, and is a hundred times as slow here.
func harmed(t *testing.T, seed uint64) (*rand.Rand, int) {
	runs := 5000
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		seed, runs = rand.Uint64(), 500000
	}
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, seed+1)), runs
}

// TestHarmedForms is the fuzzing's share of every run of the tests; as they are, all
// forms are taken.
func TestHarmedForms(t *testing.T) {
	p := newPosting(t)
	reached := slices.Clone(notFuzzed)
	for _, s := range p.seeds {
		_, pattern := p.mux.Handler(p.request("POST", s.path, "", false))
		reached = append(reached, pattern)
		if code := p.post(t, s.path, s.body, false); code != http.StatusSeeOther {
			again := parse(t, p.do("POST", s.path, s.body, false).Body.String())
			t.Errorf("%s as it is: %d for %s\n%s", s.path, code, s.body, again.text(".faults"))
		}
		p.renew(t)
	}
	for _, r := range (&Server{}).routes() {
		if strings.HasPrefix(r.pattern, "POST ") && !slices.Contains(reached, r.pattern) {
			t.Errorf("%s: no form of it was found", r.pattern)
		}
	}
	random, runs := harmed(t, 31)
	codes := map[int]int{}
	for n := range runs {
		s, other := p.pick(uint8(random.IntN(256))), p.pick(uint8(random.IntN(255)))
		body := harm.Text(random, []byte(s.body), []byte(s.body), []byte(other.body))
		codes[p.post(t, s.path, string(body), n%8 > 0)]++
		p.tidy(t)
	}
	t.Logf("answers %v", codes)
	if codes[http.StatusSeeOther]+codes[http.StatusCreated] < 200 || codes[http.StatusUnprocessableEntity] < 200 {
		t.Errorf("answers %v: they are harmed too much or too little to tell anything", codes)
	}
}

// taken reports whether what was sent is kept: a page leads on, a script is told where.
func taken(code int) bool { return code == http.StatusSeeOther || code == http.StatusCreated }

// phone sends a round twice, then another of the same batch, then the first again, as
// a phone does whose replies get lost while its owner goes on writing. What was
// acknowledged is there once.
func (p *posting) phone(t *testing.T, first, second string) (acknowledged int) {
	t.Helper()
	defer p.tidy(t)
	batch := journal.NewID()
	for _, body := range []string{first, first, second, first} {
		form, err := url.ParseQuery(body)
		if err != nil {
			return acknowledged
		}
		form.Set("batch", batch)
		if !taken(p.post(t, "/v/wren/round", form.Encode(), true)) {
			continue
		}
		acknowledged++
		kept, err := p.store.OfForm(t.Context(), batch)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range factsOf(form) {
			if !slices.ContainsFunc(kept, f.in) {
				t.Fatalf("%+v was acknowledged and is not there\n%s", f, form.Encode())
			}
		}
	}
	return acknowledged
}

// fact is what a field of a round says of a position; check is "" for a note.
type fact struct{ position, check string }

func (f fact) in(e *fleet.Entry) bool {
	if f.check == "" {
		return e.Note != nil && e.Note.Position == f.position
	}
	return e.Found != nil && e.Found.Position == f.position && e.Found.Check == f.check
}

// factsOf reads a round by the names of its fields.
func factsOf(form url.Values) (out []fact) {
	for name, values := range form {
		if strings.TrimSpace(strings.Join(values, "")) == "" {
			continue
		}
		if rest, ok := strings.CutPrefix(name, answerPrefix); ok {
			position, check, _ := strings.Cut(rest, ".")
			out = append(out, fact{position, check})
		}
		if position, ok := strings.CutPrefix(name, notePrefix); ok {
			out = append(out, fact{position, ""})
		}
	}
	return out
}

var rounds = []string{
	"date=2026-11-25&a.battery.rest-voltage=12.4&n.battery=terminals+warm&typed=1795608000000&sent=1795608600000",
	"date=2026-11-25&odometer=152300&a.battery.rest-voltage=12,5+V&a.tyres.tread=6+mm&n.tyres=even&n.tyres=dry&sure=1",
}

// FuzzPhone sends batches as a phone does.
func FuzzPhone(f *testing.F) {
	p := newPosting(f)
	f.Add(rounds[0], rounds[1])
	f.Add(rounds[1], rounds[0])
	f.Fuzz(func(t *testing.T, first, second string) { p.phone(t, first, second) })
}

// TestHarmedBatches is the fuzzing's share of every run of the tests.
func TestHarmedBatches(t *testing.T) {
	p := newPosting(t)
	random, runs := harmed(t, 51)
	seeds := [][]byte{[]byte(rounds[0]), []byte(rounds[1])}
	acknowledged := 0
	for range runs {
		acknowledged += p.phone(t, string(harm.Text(random, seeds...)), string(harm.Text(random, seeds...)))
	}
	if t.Log(fmt.Sprint(acknowledged, " were acknowledged")); acknowledged < 500 {
		t.Error("they are harmed too much to tell anything")
	}
}

// Work that settles what was found is told twice, as where a reply was lost: by then
// nothing is open any more, and it is the same work all the same.
func TestWorkThatSettlesIsKeptOnce(t *testing.T) {
	s := demoSite(t)
	done := blank(s.page("/v/heron/add"), "form[action=/v/heron/add/done]")
	done.Set("text", "Cleaned the joint")
	done.Set("position", "heater-hose-feed")
	done.Set("settles", "1")
	before := s.count()
	for range 2 {
		if a := s.post("/v/heron/add/done", done); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s: %s", a.Status, parse(t, a.body).text(".faults"))
		}
	}
	kept, err := s.journal.OfForm(t.Context(), done.Get("batch"))
	if err != nil || len(kept) != 1 || len(kept[0].Done.Settles) == 0 || s.count() != before+1 {
		t.Errorf("%d entries are there, %v, want one that settles something", s.count()-before, err)
	}
}
