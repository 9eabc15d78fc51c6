package web

import (
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/door"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

// guarded is the demo's yard behind a pass-phrase, with a device let in for each thing
// that may be done.
type guarded struct {
	*site
	door *door.Door
	keys map[door.May]string
	asks string // the token of a program that asks, once one was made
}

func newGuarded(t *testing.T) *guarded {
	t.Helper()
	s := demoSite(t)
	entries, err := s.journal.Entries(t.Context(), journal.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	hash, err := HashPassphrase("reed bunting sluice ladder")
	if err != nil {
		t.Fatal(err)
	}
	g := &guarded{newSite(t, s.dir, entries, Options{Passphrase: hash}), door.Of(s.dir), map[door.May]string{}, ""}
	for _, m := range door.Mays {
		code, err := g.door.Invite("Ana", m, noon())
		if err != nil {
			t.Fatal(err)
		}
		if g.keys[m], err = g.door.Pair(code, "tablet that may "+string(m), noon()); err != nil {
			t.Fatal(err)
		}
	}
	return g
}

// as returns the header by which a device comes; one that may nothing is nobody's.
func (g *guarded) as(m door.May) []string {
	return []string{"Cookie", deviceCookie + "=" + g.keys[m]}
}

// Where browsers keep no pages a round says so before it is begun, and nowhere else.
func TestARoundOverPlainHTTPSaysSo(t *testing.T) {
	g := newGuarded(t)
	for host, want := range map[string]bool{"localhost:8337": false, "yard.example": true} {
		r := g.request("GET", "/v/heron/round", nil)
		r.Host = host
		r.Header.Set("Cookie", g.as(door.All)[1])
		if a := g.do(r); a.StatusCode != http.StatusOK || strings.Contains(a.body, "Over plain HTTP") != want {
			t.Errorf("%s: %s, said %v", host, a.Status, !want)
		}
	}
}

// open are the addresses that answer whoever asks.
var open = []string{"GET /login", "POST /login", "GET /pair", "POST /pair", "GET /" + door.CAFile,
	"GET /assets/{build}/{name}", "GET /calendar/{key}"}

// ofOwners are those that only who may do everything reaches.
var ofOwners = []string{"GET /devices", "POST /devices", "POST /devices/{device}/away",
	"POST /devices/calendar", "POST /devices/token", "POST /devices/{device}/anew",
	"GET /v/{id}/sheet", "GET /v/{id}/handover/paper",
	"POST /v/{id}/handover/file", "GET /take", "POST /take",
	"POST /v/{id}/sheet", "GET /new", "POST /new",
	"POST /v/{id}/sheet/marks", "POST /v/{id}/sheet/undo", "GET /v/{id}/sheet/add", "POST /v/{id}/sheet/add",
	"GET /v/{id}/sheet/p/{pos}", "POST /v/{id}/sheet/p/{pos}", "GET /v/{id}/sheet/open", "POST /v/{id}/sheet/open",
	"GET /v/{id}/sheet/o/{opening}", "POST /v/{id}/sheet/o/{opening}",
	"GET /v/{id}/sheet/head", "POST /v/{id}/sheet/head", "GET /v/{id}/walk", "POST /v/{id}/walk",
	"GET /settings", "POST /settings", "GET /v/{id}/settings", "POST /v/{id}/settings",
	"POST /v/{id}/p/{pos}/aside", "POST /v/{id}/p/{pos}/aside/back", "POST /v/{id}/batch/{batch}/undo",
	"POST /v/{id}/runs"}

// TestEveryAddressAsksWho: nobody reaches anything but the door, who may only look
// reaches no form, and who may write reaches nothing that is the owner's.
func TestEveryAddressAsksWho(t *testing.T) {
	g := newGuarded(t)
	asked := 0
	for _, r := range g.server.routes() {
		method, path, _ := strings.Cut(r.pattern, " ")
		path = regexp.MustCompile(`\{[^}]*\}`).ReplaceAllString(strings.ReplaceAll(path, "{id}", "heron"), "x")
		if slices.Contains(open, r.pattern) {
			continue
		}
		owners := slices.Contains(ofOwners, r.pattern)
		for _, m := range []door.May{"", door.Look, door.Write} {
			want := 0 // anything but a refusal; that page is asked elsewhere
			switch {
			case m == "":
				want = http.StatusSeeOther
			case owners, m == door.Look && method == "POST":
				want = http.StatusForbidden
			case method == "GET":
				continue
			}
			a := g.do(g.request(method, path, http.NoBody, g.as(m)...))
			to := a.Header.Get("Location")
			if forPrograms := strings.HasPrefix(path, httpAt); forPrograms {
				g.asksToken(t, method, path)
				if m == "" && a.StatusCode == http.StatusUnauthorized {
					a.StatusCode, to = want, "/login"
				}
			}
			if want == 0 && (a.StatusCode == http.StatusForbidden || strings.HasPrefix(to, "/login")) ||
				want != 0 && a.StatusCode != want || m == "" && !strings.HasPrefix(to, "/login") {
				t.Errorf("%s as who may %q: %s %s", r.pattern, m, a.Status, to)
			}
			if want != 0 && strings.Contains(a.body, "Heron") {
				t.Errorf("%s tells who may %q of the yard", r.pattern, m)
			}
			asked++
		}
	}
	if asked < 100 || g.journal.landings.Load() != 0 {
		t.Errorf("%d were asked, %d landed", asked, g.journal.landings.Load())
	}
	if a := g.get("/v/heron", g.as(door.Look)...); a.StatusCode != http.StatusOK {
		t.Errorf("who may look sees nothing: %s", a.Status)
	}
}

// asksToken wants an address for programs to be shut to a token that is none, and to be written to by none that asks.
func (g *guarded) asksToken(t *testing.T, method, path string) {
	t.Helper()
	if g.asks == "" {
		g.asks = g.token(t, "display", door.Ask)
	}
	for key, want := range map[string]int{g.keys[door.Write]: http.StatusUnauthorized, g.asks: http.StatusForbidden} {
		if key == g.asks && method == "GET" {
			continue
		}
		a := g.do(g.request(method, path, http.NoBody, "Authorization", "Bearer "+key))
		if a.StatusCode != want || strings.Contains(a.body, "Heron") {
			t.Errorf("%s %s with a token: %s, want %d", method, path, a.Status, want)
		}
	}
}

// TestADeviceComesInAndGoes: let in by a code on a page, what it writes down bears its
// person's name whatever a form says, and turned away it is nobody's.
func TestADeviceComesInAndGoes(t *testing.T) {
	g := newGuarded(t)
	made := g.post("/devices", url.Values{"person": {"Bo"}, "may": {"write"}}, g.as(door.All)...)
	page := parse(t, made.body)
	checkPage(t, "/devices", page)
	code := page.text("b.code")
	if made.StatusCode != http.StatusOK || len(code) != 11 {
		t.Fatalf("%s, code %q", made.Status, code)
	}
	for _, form := range []url.Values{{"person": {""}, "may": {"look"}}, {"person": {"Bo"}, "may": {"rule"}}} {
		if a := g.post("/devices", form, g.as(door.All)...); a.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("%v: %s", form, a.Status)
		}
	}
	checkPage(t, "/pair", parse(t, g.get("/pair?code="+code).body))
	wrong := g.post("/pair", url.Values{"code": {"AAA-AAA-AAA"}, "device": {"phone"}})
	if wrong.StatusCode != http.StatusUnprocessableEntity || wrong.Header.Get("Set-Cookie") != "" {
		t.Errorf("a guess: %s", wrong.Status)
	}
	in := g.post("/pair", url.Values{"code": {code}, "device": {"phone"}})
	cookies := in.Cookies()
	if in.StatusCode != http.StatusSeeOther || len(cookies) != 1 || !cookies[0].HttpOnly ||
		cookies[0].SameSite != http.SameSiteLaxMode {
		t.Fatalf("%s, %v", in.Status, cookies)
	}
	phone := []string{"Cookie", cookies[0].Name + "=" + cookies[0].Value}
	note := url.Values{"text": {"hums at idle"}, "date": {"2026-11-25"}, "batch": {journal.NewID()}, "who": {"Ana"}}
	if a := g.post("/v/heron/add/note", note, phone...); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, a.body)
	}
	entries, err := g.journal.Entries(t.Context(), journal.Filter{Vehicle: "heron", Type: fleet.TypeNote})
	if err != nil || entries[len(entries)-1].By != "Bo" {
		t.Errorf("by %q, %v", entries[len(entries)-1].By, err)
	}
	if record := g.get("/v/heron/record?what=note", phone...); !strings.Contains(record.body, "hums at idle (Bo)") {
		t.Error("the record does not say who")
	}
	all, err := g.door.Devices()
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(all, func(d door.Device) bool { return d.Person == "Bo" })
	if a := g.post("/devices/"+all[i].ID+"/away", nil, g.as(door.All)...); a.StatusCode != http.StatusSeeOther {
		t.Error(a.Status)
	}
	if a := g.get("/v/heron", phone...); a.StatusCode != http.StatusSeeOther {
		t.Errorf("turned away: %s", a.Status)
	}
	if a := g.get("/" + door.CAFile); a.StatusCode != http.StatusNotFound {
		t.Errorf("a certificate that nobody made: %s", a.Status)
	}
}

// TestTwoAtOnceDisagree: two who look at one part on one day and see different things are
// both kept; the worse holds, whichever came first, until one touch says which of them does.
func TestTwoAtOnceDisagree(t *testing.T) {
	for _, first := range []string{"clean", "grease"} {
		g := newGuarded(t)
		key := g.letIn("Bo")
		bo := []string{"Cookie", deviceCookie + "=" + key}
		send := func(answer string) {
			t.Helper()
			who := g.as(door.Write)
			if answer != "clean" {
				who = bo
			}
			form := url.Values{"date": {"2026-11-25"}, "batch": {journal.NewID()}, "a.idler-upper.look": {answer}}
			if a := g.post("/v/heron/round", form, who...); a.StatusCode != http.StatusSeeOther {
				t.Fatalf("%s: %s %s", answer, a.Status, a.body)
			}
		}
		send(first)
		send(map[string]string{"clean": "grease", "grease": "clean"}[first])
		page := parse(t, g.get("/v/heron", bo...).body)
		checkPage(t, "/v/heron", page)
		if needs := page.find(".pos h3 a"); text(needs[0]) != "Upper idler" {
			t.Errorf("the nearest deadline is the idler's, and %q stands first", text(needs[0]))
		}
		forms := page.find("form.inline")
		if len(forms) != 2 {
			t.Fatalf("%d ways to settle it", len(forms))
		}
		buttons, inputs := page.find("form.inline button"), page.find("form.inline input")
		worse, better := text(buttons[0]), text(buttons[1])
		if !strings.HasSuffix(worse, ", says Bo") || !strings.HasSuffix(better, ", says Ana") {
			t.Errorf("%q holds, %q does not", worse, better)
		}
		form := url.Values{}
		for _, n := range inputs[len(inputs)/2:] {
			form.Set(value(n, "name"), value(n, "value"))
		}
		a := g.post(value(forms[1], "action"), form, bo...)
		if a.StatusCode != http.StatusSeeOther || a.Header.Get("Location") != "/v/heron/p/idler-upper" {
			t.Errorf("settling it: %s %s %s", a.Status, a.Header.Get("Location"), a.body)
		}
		after := g.get("/v/heron", bo...).body
		if n := len(parse(t, after).find("form.inline")); n != 0 {
			t.Errorf("%d ways are left to settle it", n)
		}
		record := g.get("/v/heron/p/idler-upper", bo...).body
		if strings.Contains(record, "Grease flung out (Bo)") {
			t.Error("what was taken back still counts")
		}
	}
}

// letIn lets in somebody's phone, to write, and returns its key.
func (g *guarded) letIn(person string) string {
	g.t.Helper()
	code, err := g.door.Invite(person, door.Write, noon())
	if err != nil {
		g.t.Fatal(err)
	}
	key, err := g.door.Pair(code, "phone", noon())
	if err != nil {
		g.t.Fatal(err)
	}
	return key
}
