package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"log/slog"
	"maps"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/legacy"

	"undertray.example/undertray/internal/door"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/harm"
	"undertray.example/undertray/internal/journal"
)

// token makes a program's token by the page.
func (g *guarded) token(t *testing.T, name string, may door.May) string {
	t.Helper()
	a := g.post("/devices/token", url.Values{"program": {name}, "does": {string(may)}}, g.as(door.All)...)
	page := parse(t, a.body)
	checkPage(t, "/devices", page)
	key := page.text(".said code")
	if a.StatusCode != http.StatusOK || len(key) != 64 ||
		strings.Contains(g.get("/devices", g.as(door.All)...).body, key) {
		t.Fatalf("%s, token %q", a.Status, key)
	}
	return key
}

// program is what asks and tells with a token, all of it put to the description by a validator that is not ours
// (getkin/kin-openapi), which holds the description and its examples to OpenAPI 3.1 as well.
type program struct {
	*guarded
	key    string
	router routers.Router
}

func newProgram(t *testing.T, may door.May) *program {
	t.Helper()
	g := newGuarded(t)
	p := programOf(t, g)
	p.key = g.token(t, "shed logger", may)
	return p
}

// programOf is a program without a token.
func programOf(t *testing.T, g *guarded) *program {
	t.Helper()
	doc, err := openapi3.NewLoader().LoadFromData(OpenAPI())
	if err == nil {
		err = doc.Validate(t.Context())
	}
	if err != nil {
		t.Fatal(err)
	}
	router, err := legacy.NewRouter(doc)
	if err != nil {
		t.Fatal(err)
	}
	return &program{g, "", router}
}

// send asks or tells: what is taken must be as it is described, and the answer whatever it is.
func (p *program) send(method, path, body string, header ...string) answer {
	p.t.Helper()
	if p.key != "" {
		header = append([]string{"Authorization", "Bearer " + p.key}, header...)
	}
	request := func() *http.Request {
		if body == "" {
			return p.request(method, httpAt+path, http.NoBody, header...)
		}
		return p.request(method, httpAt+path, strings.NewReader(body), append([]string{"Content-Type", jsonType},
			header...)...)
	}
	a := p.do(request())
	asked := request()
	route, params, err := p.router.FindRoute(asked)
	if err != nil {
		if a.StatusCode != http.StatusNotFound && a.StatusCode != http.StatusMethodNotAllowed {
			p.t.Errorf("%s %s is not described and answered with %s", method, path, a.Status)
		}
		return a
	}
	options := &openapi3filter.Options{IncludeResponseStatus: true, RejectWhenRequestBodyNotSpecified: true,
		AuthenticationFunc: openapi3filter.NoopAuthenticationFunc}
	in := &openapi3filter.RequestValidationInput{Request: asked, PathParams: params, Route: route, Options: options}
	if err := openapi3filter.ValidateRequest(p.t.Context(), in); a.StatusCode < 300 && err != nil {
		p.t.Errorf("%s %s is answered with %s, and is not as described: %v", method, path, a.Status, err)
	}
	out := &openapi3filter.ResponseValidationInput{RequestValidationInput: in, Status: a.StatusCode, Header: a.Header,
		Options: options}
	if err := openapi3filter.ValidateResponse(p.t.Context(), out.SetBodyBytes([]byte(a.body))); err != nil {
		p.t.Errorf("%s %s: answer %s: %.900v", method, path, a.Status, err)
	}
	return a
}

// described is what the tests read of the description.
type described struct {
	Paths map[string]map[string]struct {
		Parameters []struct {
			Name, In string
			Required bool
			Example  any
		}
		RequestBody struct {
			Content map[string]struct {
				Examples map[string]struct{ Value json.RawMessage }
			}
		}
	}
}

// Every address of the description answers its own examples as it says, with all that may be asked and with what must
// be, and there is no other address.
func TestEveryAddressOfTheDescription(t *testing.T) {
	p := newProgram(t, door.Tell)
	if a := p.send("GET", "openapi.json", ""); a.body != string(OpenAPI()) {
		t.Errorf("%s: it is not what the command prints", a.Status)
	}
	var all described
	if err := json.Unmarshal(OpenAPI(), &all); err != nil {
		t.Fatal(err)
	}
	var known []string
	tell := httpAt + "vehicles/{id}/entries"
	for name, e := range all.Paths[tell]["post"].RequestBody.Content[jsonType].Examples {
		if a := p.send("POST", "vehicles/heron/entries", string(e.Value)); a.StatusCode != http.StatusCreated {
			t.Errorf("example %s: %s %s", name, a.Status, a.body)
		}
	}
	for path, methods := range all.Paths {
		for method, op := range methods {
			known = append(known, strings.ToUpper(method)+" "+path)
			if method != "get" {
				continue
			}
			at, every, must := strings.TrimPrefix(path, httpAt), url.Values{}, url.Values{}
			for _, of := range op.Parameters {
				example, list := of.Example, false
				if many, ok := example.([]any); ok {
					example, list = many[0], true
				}
				switch value := fmt.Sprint(example); {
				case of.In == "path":
					at = strings.ReplaceAll(at, "{"+of.Name+"}", value)
				case example != nil:
					every.Set(of.Name, value)
					if list {
						every.Add(of.Name, "engine-cover")
					}
					if of.Required {
						must.Set(of.Name, value)
					}
				}
			}
			for _, q := range []url.Values{must, every} {
				if a := p.send("GET", at+"?"+q.Encode(), ""); a.StatusCode != http.StatusOK {
					t.Errorf("%s?%s: %s %s", at, q.Encode(), a.Status, a.body)
				}
			}
		}
	}
	for _, r := range p.server.httpRoutes() {
		if !slices.Contains(known, r.pattern) {
			t.Errorf("%s is not described", r.pattern)
		}
		known = slices.DeleteFunc(known, func(k string) bool { return k == r.pattern })
	}
	if len(known) > 0 {
		t.Errorf("described, and not there: %v", known)
	}
}

// says are the faults of a refusal.
func says(t *testing.T, a answer) []said {
	t.Helper()
	var out notTaken
	if err := json.Unmarshal([]byte(a.body), &out); err != nil || len(out.Errors) == 0 || out.Request == "" {
		t.Fatalf("%s: %v, %s", a.Status, err, a.body)
	}
	return out.Errors
}

const reading = `{"type":"odometer","date":"2026-11-25","odometer":"216600 km"}`

// What is wrong is told by one object for each fault, which names the field, what is wrong and what would be right.
func TestFaultsToldToPrograms(t *testing.T) {
	p := newProgram(t, door.Tell)
	const entries = "vehicles/heron/entries"
	kept := p.send("POST", entries, `{"id":"019abf2e-7c00-7a31-8f00-3d5b2c7e9a11",`+reading[1:])
	if kept.StatusCode != http.StatusCreated {
		t.Fatal(kept.Status, kept.body)
	}
	before := p.count()
	list := "[" + reading + `,{"type":"found","date":"2026-11-25","found":{"position":"main-belt","check":"cracks",` +
		`"value":"3 bar"}},{"type":"note","date":"2026-11-25","note":{"text":"x","position":"main-bell"}}]`
	for _, c := range []struct {
		method, path, body string
		code               int
		where, wrong, hint string
	}{
		{"GET", "vehicles/herron", "", 404, "", "herron", `did you mean "heron"`},
		{"GET", "vehicles/heron/positions/main-bell", "", 404, "", "main-bell", `did you mean "main-belt"`},
		{"GET", "vehicles/heron/entries/none", "", 404, "entry", "no entry", "record"},
		{"GET", "nowhere", "", 404, "", "nothing is kept at", ""},
		{"GET", "vehicles/heron?onn=2026-11-25", "", 400, "onn", "nothing is asked", `did you mean "on"`},
		{"GET", "vehicles/heron?format=csv", "", 400, "format", "nothing is asked", "write one of on"},
		{"GET", "vehicles/heron?on=%zz", "", 400, "query", "cannot be read", "NAME=VALUE"},
		{"GET", "vehicles/heron?on=yesterday", "", 422, "on", "not a date", "2026-11-25"},
		{"GET", "vehicles/heron?on=2026-11-25&on=2026-11-24", "", 400, "on", "2 times", "once"},
		{"GET", "vehicles/heron/trip", "", 400, "distance", "missing", "2400 km"},
		{"GET", "vehicles/heron/trip?distance=2400+km&load=perhaps", "", 400, "load", "perhaps", "true or false"},
		{"GET", "vehicles/heron/round?by=feel", "", 400, "by", "feel", "walk or system"},
		{"POST", "vehicles/heron", reading, 405, "", "POST", "send GET"},
		{"GET", entries, "", 405, "", "GET", "send POST"},
		{"POST", "nowhere", reading, 404, "", "nothing is kept at", ""},
		{"POST", "vehicles/herron/entries", reading, 404, "", "herron", "heron"},
		{"POST", entries, `{"type":`, 400, "body", "not JSON", "one entry"},
		{"POST", entries, `[1]`, 422, "[0]", "one object", `{"type":"odometer"`},
		{"POST", entries, `[]`, 422, "", "nothing to record", "at least one"},
		{"POST", entries, `{}`, 422, "type", "not a type", "odometer"},
		{"POST", entries, strings.Replace(reading, "2026-11-25", "2026-13-25", 1), 422, "date", "", "2026-11-25"},
		{"POST", entries, strings.Replace(reading, "216600 km", "many", 1), 422, "odometer", "figure", "unit"},
		{"POST", entries, strings.Replace(reading, "216600 km", "7000 h", 1), 422, "odometer", "not an odometer", "km"},
		{"POST", entries, strings.Replace(reading, "216600", "216", 1), 409, "odometer", "", ""},
		{"POST", entries, strings.Replace(reading, `"date"`, `"day"`, 1), 422, "day", "no such field", "date"},
		{"POST", entries, `{"vehicle":"bittern",` + reading[1:], 422, "vehicle", "bittern", "leave it out"},
		{"POST", entries, `{"by":"Ana",` + reading[1:], 422, "by", "shed logger", "leave it out"},
		{"POST", entries, `{"batch":"today",` + reading[1:], 422, "batch", "not a batch", "version 7"},
		{"POST", entries, `{"v":99,` + reading[1:], 422, "v", "format 99", ""},
		{"POST", entries, `{"recorded":"2027-01-01T00:00:00Z",` + reading[1:], 422, "recorded", "ahead", "clock"},
		{"POST", entries, `{"id":"7",` + reading[1:], 422, "id", "not an entry id", "version 7"},
		{"POST", entries, `{"id":"019abf2e-7c00-7a31-8f00-3d5b2c7e9a11","type":"note","date":"2026-11-25",` +
			`"note":{"text":"x"}}`, 409, "id", "another entry", "its own"},
		{"POST", entries, `{"type":"wish","date":"2026-11-25","wish":{"position":"main-belt","month":"2027-03"}}`, 422,
			"type", "not told by programs", "pages"},
		{"POST", entries, `{"type":"note","date":"2026-11-25","note":{"text":"x","attachments":["` +
			strings.Repeat("0", 64) + `"]}}`, 422, "attachments", "no picture", "pages"},
		{"POST", entries, list, 422, "[1].found.value", "3 bar", "mm"},
		{"POST", entries, `"` + strings.Repeat("x", maxBody) + `"`, 413, "", "1 MiB", "less"},
	} {
		a := p.send(c.method, c.path, c.body)
		of := says(t, a)[0]
		if a.StatusCode != c.code || of.Where.String() != c.where && c.where != "" ||
			!strings.Contains(of.Error.String(), c.wrong) ||
			!strings.Contains(of.Hint.String(), c.hint) || of.Error == "" {
			t.Errorf("%s %s %.90s: %s %+v, want %d %q %q %q", c.method, c.path, c.body, a.Status, of, c.code, c.where,
				c.wrong, c.hint)
		}
	}
	if all := says(t, p.send("POST", entries, list)); len(all) != 2 || all[1].Where != "[2].note.position" {
		t.Errorf("a list with two faults: %+v", all)
	}
	if a := p.send("POST", entries, reading, "Content-Type", "text/plain"); a.StatusCode != 415 {
		t.Errorf("text/plain: %s", a.Status)
	}
	if n := p.count(); n != before {
		t.Errorf("%d entries were kept of what was refused", n-before)
	}
}

// An entry sent twice is kept once, by its id, by its batch and at once by many; without an id the server makes one
// and says it; a list lands whole or not at all; and all of it bears the program's name.
func TestProgramsTellOnce(t *testing.T) {
	p := newProgram(t, door.Tell)
	const entries = "vehicles/heron/entries"
	tell := func(body string, code, added, already int) keptEntries {
		t.Helper()
		a := p.send("POST", entries, body)
		var kept keptEntries
		if err := json.Unmarshal([]byte(a.body), &kept); err != nil {
			t.Fatal(err, a.body)
		}
		if a.StatusCode != code || kept.Added != added || kept.Already != already ||
			len(kept.Entries) != added+already {
			t.Errorf("%s: %s, %d added, %d already", body, a.Status, kept.Added, kept.Already)
		}
		for _, e := range kept.Entries {
			if !fleet.IsID(e.ID) || e.By != "shed logger" || e.Vehicle != "heron" || !fleet.IsID(e.Batch) {
				t.Errorf("kept as %+v", e)
			}
		}
		return kept
	}
	before := p.count()
	note := `{"type":"note","date":"2026-11-25","note":{"text":"%s"}}`
	named := func(n int, text string) string {
		return fmt.Sprintf(`{"id":"019abf2e-7c00-7a31-8f00-3d5b2c7e9a%02d",`+note[1:], n, text)
	}
	first := tell(fmt.Sprintf(note, "hums"), 201, 1, 0)
	if again := tell(fmt.Sprintf(note, "hums"), 201, 1, 0); again.Entries[0].ID == first.Entries[0].ID {
		t.Error("two facts without ids have one id")
	}
	one := tell(named(1, "rattles"), 201, 1, 0)
	again := tell(named(1, "rattles"), 200, 0, 1)
	if again.Entries[0].ID != one.Entries[0].ID || again.Batch != one.Batch {
		t.Errorf("%+v, then %+v", one, again)
	}
	tell("["+named(1, "rattles")+","+named(2, "smells")+"]", 201, 1, 1)
	tell("["+named(2, "smells")+"]", 200, 0, 1)
	batch := fmt.Sprintf(`{"batch":%q,`, journal.NewID()) + fmt.Sprintf(note, "drips")[1:]
	drip := tell(batch, 201, 1, 0)
	if again := tell(batch, 200, 0, 1); again.Entries[0].ID != drip.Entries[0].ID {
		t.Error("sent again with its batch it has another id")
	}
	if n := p.count() - before; n != 5 {
		t.Errorf("%d entries were kept, want 5", n)
	}
	got := p.send("GET", entries+"/"+drip.Entries[0].ID, "")
	var e fleet.Entry
	if err := json.Unmarshal([]byte(got.body), &e); err != nil || e.Note == nil || e.Note.Text != "drips" {
		t.Errorf("%v, %s", err, got.body)
	}
	fix := fmt.Sprintf(`{"type":"correction","date":"2026-11-25","correction":{"of":%q,"why":"oil","instead":%s}}`,
		drip.Entries[0].ID, fmt.Sprintf(note, "drips oil"))
	tell(fix, 201, 1, 0)
	before++
	done := make(chan answer, 8)
	for range cap(done) {
		go func() {
			both := "[" + named(3, "a") + "," + named(4, "b") + "]"
			r, _ := http.NewRequest("POST", p.url+httpAt+entries, strings.NewReader(both))
			r.Header = http.Header{"Content-Type": {jsonType}, "Authorization": {"Bearer " + p.key}}
			done <- p.do(r)
		}()
	}
	for range cap(done) {
		if a := <-done; a.StatusCode >= 300 {
			t.Errorf("at once: %s %s", a.Status, a.body)
		}
	}
	wrong := "[" + named(5, "kept?") + "," + strings.Replace(named(6, "x"), "2026-11-25", "2027-11-25", 1) + "]"
	if a := p.send("POST", entries, wrong); a.StatusCode != 422 || says(t, a)[0].Where != "[1].date" {
		t.Errorf("half wrong: %s %s", a.Status, a.body)
	}
	if n := p.count() - before; n != 7 {
		t.Errorf("%d entries are there, want 7", n)
	}
}

// A token opens the addresses for programs as far as it may and nothing else, and nothing else opens them without the
// guard that forms have; what is none is refused as a wrong pass-phrase is, and stands in no log.
func TestTokensOpenWhatTheyMay(t *testing.T) {
	p := newProgram(t, door.Tell)
	asks := p.token(t, "display", door.Ask)
	var log bytes.Buffer
	p.server.opt.Log = slog.New(slog.NewTextHandler(&log, nil))
	before := p.count()
	post := func(header ...string) answer {
		return p.do(p.request("POST", httpAt+"vehicles/heron/entries", strings.NewReader(reading),
			append(header, "Content-Type", jsonType)...))
	}
	address := p.address(t, url.Values{"name": {"kitchen"}, "vehicle": {"heron"}})
	calendar := strings.TrimSuffix(strings.TrimPrefix(address, calendarsAt), ".ics")
	for name, c := range map[string]struct {
		got  answer
		code int
		auth string
	}{
		"none":              {p.get(httpAt + "vehicles"), 401, "Bearer"},
		"none, told":        {post(), 401, "Bearer"},
		"who asks tells":    {post("Authorization", "Bearer "+asks), 403, `Bearer error="insufficient_scope"`},
		"a guess":           {post("Authorization", "Bearer "+asks[1:]+"0"), 401, `Bearer error="invalid_token"`},
		"another scheme":    {post("Authorization", "Basic "+p.key), 401, `Bearer error="invalid_token"`},
		"a device's key":    {post("Authorization", "Bearer "+p.keys[door.All]), 401, `Bearer error="invalid_token"`},
		"a calendar's key":  {post("Authorization", "Bearer "+calendar), 401, `Bearer error="invalid_token"`},
		"in the address":    {p.get(httpAt + "vehicles?access_token=" + p.key), 401, "Bearer"},
		"as a cookie":       {p.get("/v/heron", "Cookie", deviceCookie+"="+p.key), 303, ""},
		"on a page":         {p.get("/v/heron", "Authorization", "Bearer "+p.key), 303, ""},
		"to a form":         {p.post("/v/heron/add/note", url.Values{}, "Authorization", "Bearer "+p.key), 303, ""},
		"a cookie, foreign": {post("Cookie", p.as(door.Write)[1], "Sec-Fetch-Site", "cross-site"), 403, ""},
		"a cookie, origin":  {post("Cookie", p.as(door.Write)[1], "Origin", "http://elsewhere.example"), 403, ""},
		"a cookie, looks":   {post("Cookie", p.as(door.Look)[1]), 403, ""},
		"who asks asks":     {p.get(httpAt+"vehicles/heron", "Authorization", "bearer "+asks), 200, ""},
	} {
		if c.got.StatusCode != c.code || c.got.Header.Get("WWW-Authenticate") != c.auth ||
			c.code != 200 && strings.Contains(c.got.body, "Alder Fen") {
			t.Errorf("%s: %s, %q", name, c.got.Status, c.got.Header.Get("WWW-Authenticate"))
		}
		if strings.HasPrefix(c.got.Header.Get("Content-Type"), "application/json") && c.code >= 400 {
			says(t, c.got)
		}
	}
	if n := p.count(); n != before {
		t.Errorf("%d entries were kept", n-before)
	}
	all, err := p.door.Devices()
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(all, func(d door.Device) bool { return d.Name == "shed logger" })
	if a := p.post("/devices/"+all[i].ID+"/away", nil, p.as(door.All)...); a.StatusCode != http.StatusSeeOther {
		t.Fatal(a.Status)
	}
	if a := post("Authorization", "Bearer "+p.key); a.StatusCode != http.StatusUnauthorized {
		t.Errorf("taken back: %s", a.Status)
	}
	for _, secret := range []string{p.key, asks, p.keys[door.All], calendar} {
		if strings.Contains(log.String(), secret) {
			t.Error("a secret stands in the log")
		}
	}
	if !strings.Contains(log.String(), "wrong token") {
		t.Error("no wrong token is logged")
	}
}

// Without a pass-phrase the machine's own programs need no token, and one that is brought holds all the same.
func TestTokensWithoutPassphrase(t *testing.T) {
	s := demoSite(t)
	key, err := door.Of(s.dir).Token("display", door.Ask, noon())
	if err != nil {
		t.Fatal(err)
	}
	for want, header := range map[int][]string{201: nil, 403: {"Authorization", "Bearer " + key},
		401: {"Authorization", "Bearer x"}} {
		a := s.do(s.request("POST", httpAt+"vehicles/heron/entries", strings.NewReader(reading),
			append(slices.Clone(header), "Content-Type", jsonType)...))
		if a.StatusCode != want {
			t.Errorf("%v: %s, want %d", header, a.Status, want)
		}
	}
	r := s.request("GET", httpAt+"vehicles", nil)
	r.Host = "yard.example"
	if a := s.do(r); a.StatusCode != http.StatusMisdirectedRequest || says(t, a)[0].Hint == "" {
		t.Errorf("by another name: %s", a.Status)
	}
}

// Of wrong tokens that come faster than they are answered one is told to wait.
func TestTooManyWrongTokens(t *testing.T) {
	s := demoSite(t)
	synctest.Test(t, func(t *testing.T) {
		s.server.gate.told = time.Now().Add(time.Hour)
		r, w := httptest.NewRequest("GET", "http://localhost"+httpAt+"vehicles", nil), httptest.NewRecorder()
		r.Header.Set("Authorization", "Bearer x")
		begun := time.Now()
		s.server.Handler().ServeHTTP(w, r)
		if w.Code != http.StatusTooManyRequests || w.Header().Get("Retry-After") != "50" ||
			time.Since(begun) != longestTo {
			t.Errorf("%d after %s, %v", w.Code, time.Since(begun), w.Header())
		}
	})
}

// The document says of every key what it is of, and of answers no more than the types have.
func TestTheDescriptionKnowsItsTypes(t *testing.T) {
	var doc struct {
		Components struct{ Schemas map[string]map[string]any }
	}
	if err := json.Unmarshal(OpenAPI(), &doc); err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	for _, m := range regexp.MustCompile(`#/components/schemas/([\w-]+)`).FindAllSubmatch(OpenAPI(), -1) {
		used[string(m[1])] = true
	}
	for name := range doc.Components.Schemas {
		if !used[name] && name != "fact" {
			t.Errorf("schema %s is of nothing", name)
		}
		delete(used, name)
	}
	if len(used) > 0 {
		t.Errorf("there is no schema %v", slices.Collect(maps.Keys(used)))
	}
}

// tellings are seeds of what programs tell the yard that forms are posted to.
var tellings = [][]byte{[]byte(reading), []byte(`{"id":"019abf2e-7c00-7a31-8f00-3d5b2c7e9a10","type":"found",` +
	`"date":"2026-11-25","found":{"position":"battery","check":"rest-voltage","value":"12.4 V"}}`),
	[]byte(`[{"type":"done","date":"2026-11-25","odometer":"152300 km","done":{"what":"cleaned",` +
		`"positions":["battery"],"minutes":10}},{"type":"note","date":"2026-11-25","sure":true,"note":{"text":"starts slowly"}}]`),
	[]byte(`[{"batch":"019abf2e-7c00-7a31-8f00-3d5b2c7e9a12","type":"fitted","date":"2026-11-24",` +
		`"fitted":{"position":"main-belt","part":{"name":"ribbed belt","cost":"38.50 EUR"},"removed":"worn"}},{"type":"correction","date":` +
		`"2026-11-25","correction":{"of":"` + firstNote + `","withdraw":true,"why":"mistyped"}}]`)}

// told tells one body: it makes no server fail, is kept whole or not at all, and sent again with ids or a batch adds
// nothing; what is refused says which field it is in JSON.
func (p *posting) told(t *testing.T, body string) int {
	t.Helper()
	defer p.tidy(t)
	before := p.count(t)
	do := func() *httptest.ResponseRecorder {
		r := p.request("POST", httpAt+"vehicles/wren/entries", body, false)
		r.Header.Set("Content-Type", jsonType)
		w := httptest.NewRecorder()
		p.pages.ServeHTTP(w, r)
		return w
	}
	w := do()
	after := p.count(t)
	if w.Code >= 500 || !json.Valid(w.Body.Bytes()) || strings.Contains(w.Body.String(), p.dir) {
		t.Fatalf("%d %s\n%s", w.Code, w.Body, body)
	}
	if w.Code >= 400 {
		if after != before || !strings.Contains(w.Body.String(), `"error"`) {
			t.Fatalf("%d, %d kept\n%s\n%s", w.Code, after-before, w.Body, body)
		}
		return w.Code
	}
	var kept keptEntries
	if err := json.Unmarshal(w.Body.Bytes(), &kept); err != nil || after != before+kept.Added ||
		len(kept.Entries) != kept.Added+kept.Already {
		t.Fatalf("%d, %d kept: %v %s\n%s", w.Code, after-before, err, w.Body, body)
	}
	p.taken += kept.Added
	again := do()
	named := strings.Contains(body, kept.Batch) || !slices.ContainsFunc(kept.Entries, func(e *fleet.Entry) bool {
		return !strings.Contains(body, e.ID)
	})
	if again.Code >= 500 || named && p.count(t) != after {
		t.Fatalf("sent again: %d, %d more\n%s", again.Code, p.count(t)-after, body)
	}
	return w.Code
}

// Bodies harmed at random: a tenth of the soak's share, with a seed, in every check.
func TestHarmedTellings(t *testing.T) {
	p := newPosting(t)
	for _, body := range tellings[1:] {
		if code := p.told(t, string(body)); code != http.StatusCreated {
			t.Errorf("as it is: %d %s", code, body)
		}
	}
	p.renew(t)
	random, runs := harmed(t, 71)
	codes := map[int]int{}
	for range runs {
		body := tellings[random.IntN(len(tellings))]
		var v any
		if random.IntN(3) == 0 || json.Unmarshal(body, &v) != nil {
			body = harm.Text(random, body)
		} else if v, err := json.Marshal(harmValue(random, v)); err == nil {
			body = v
		}
		codes[p.told(t, string(body))]++
	}
	t.Logf("answers %v", codes)
	if min(codes[http.StatusCreated], codes[http.StatusUnprocessableEntity], codes[http.StatusBadRequest]) < 100 {
		t.Errorf("answers %v: they are harmed too much or too little to tell anything", codes)
	}
}

// harmValue returns a value of JSON with one of its parts changed, left out or told twice.
func harmValue(random *rand.Rand, v any) any {
	odd := []any{nil, true, -1, 1e300, "", "x", []any{}, object{}, "9999-12-31", "1e309 km", strings.Repeat("ä", 3000)}
	switch v := v.(type) {
	case []any:
		i := random.IntN(len(v) + 1)
		if i == len(v) {
			return append(v, v[random.IntN(len(v))])
		}
		v[i] = harmValue(random, v[i])
		return v
	case object:
		keys := slices.Sorted(maps.Keys(v))
		if len(keys) == 0 {
			return odd[random.IntN(len(odd))]
		}
		key := keys[random.IntN(len(keys))]
		switch random.IntN(8) {
		case 0:
			delete(v, key)
		case 1:
			v[string(harm.Text(random, []byte(key)))] = v[key]
		default:
			v[key] = harmValue(random, v[key])
		}
		return v
	case string:
		if random.IntN(2) == 0 {
			return string(harm.Text(random, []byte(v)))
		}
	}
	return odd[random.IntN(len(odd))]
}

// FuzzTellings tells anything.
func FuzzTellings(f *testing.F) {
	p := newPosting(f)
	for _, body := range tellings {
		f.Add(string(body))
	}
	f.Fuzz(func(t *testing.T, body string) { p.told(t, body) })
}
