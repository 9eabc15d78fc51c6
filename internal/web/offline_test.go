package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/door"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

// look saves what is shown into the folder that UNDERTRAY_LOOK names, where one is named.
func (b *browser) look(name string) {
	dir := os.Getenv("UNDERTRAY_LOOK")
	if dir == "" {
		return
	}
	shot, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, name+".png"), shot, 0o644)
	}
	if err != nil {
		b.t.Error(err)
	}
}

// waits is what the head says of all that waits.
const waits = `document.querySelector("#waits")?.textContent`

// inView is whether the line beside a form's button stands within the window, under nothing.
const inView = `(e => { const r = e.getBoundingClientRect(), at = document.elementFromPoint(r.left + 9, r.top + r.height / 2);
	return r.height > 0 && r.top >= 0 && r.bottom <= innerHeight && (at === e || e.contains(at)); })([...document.querySelectorAll(".fate:not(:empty)")].find(e => e.checkVisibility()))`

// at lays out a phone, in the tab that is shown.
func (b *browser) at(width, height int64) {
	b.do(chromedp.EmulateViewport(width, height, chromedp.EmulateMobile, chromedp.EmulateTouch))
}

// note writes a note down and touches its button.
func (b *browser) note(words string) {
	b.until(`document.querySelector("#note") !== null && navigator.serviceWorker.controller !== null`)
	js[any](b, `document.querySelector("#note").closest("details").open = true`)
	b.answer(`document.getElementById("ntext")`, words)
	js[any](b, `document.querySelector("#note button").scrollIntoView(), document.querySelector("#note button").click()`)
}

// TestWhatWaitsIsInView: two forms and a round wait; each says so beside the button that was touched, the head
// of one line counts them on every page and lists them, and what was sent stands there afterwards.
func TestWhatWaitsIsInView(t *testing.T) {
	axe, err := os.ReadFile(pageTools(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	s, b := demoSite(t), openBrowser(t)
	b.at(360, 664)
	b.do(chromedp.Navigate(s.url + "/v/heron"))
	b.until(`navigator.serviceWorker.controller !== null`)
	for _, path := range []string{"/v/heron/round", "/v/dunnock/add", "/v/heron/add"} {
		b.do(chromedp.Navigate(s.url + path))
	}
	s.away.Store(true)
	b.note("squeaks when cold")
	b.until(waitsHere + ` && ` + waits + ` === "1 waits"`)
	if !js[bool](b, inView) {
		t.Error("what became of the note is out of view")
	}
	b.do(chromedp.Navigate(s.url + "/v/dunnock/add"))
	b.note("pulls to the left")
	b.until(waits + ` === "2 wait"`)
	b.look("waits-note-day")
	b.do(chromedp.Navigate(s.url + "/v/heron/round"))
	field := restVoltage
	b.until(field + ` !== null`)
	b.answer(field, "11.4")
	js[any](b, `document.querySelector("[data-do=end]").click()`)
	js[any](b, keepRound)
	b.until(waits + ` === "3 wait"`)
	if !js[bool](b, inView) {
		t.Error("what became of the round is out of view")
	}
	b.look("waits-round-day")
	for _, width := range []int64{360, 390, 412, 1280} {
		b.at(width, 664)
		if high := js[float64](b, `document.querySelector("header").getBoundingClientRect().bottom + scrollY`); width < 500 && high > mostHeader {
			t.Errorf("the head ends at %.0f px", high)
		}
		if over := js[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
			t.Errorf("the head is %d px too wide at %d", over, width)
		}
		if low := js[float64](b, lowestOf(".bar a, .bar button")); width < 500 && low < 44 {
			t.Errorf("a target in the head is %.0f px high", low)
		}
		for scheme, rules := range map[string]string{"light": wcag22, "dark": contrastOnly} {
			b.prefer(scheme)
			js[any](b, `document.querySelector("#outbox").hidePopover(), document.querySelector("#waits button").click()`)
			b.until(`document.querySelectorAll("#outbox li").length === 4`)
			b.look(fmt.Sprintf("waits-list-%d-%s", width, scheme))
			for _, v := range b.auditHere(string(axe), rules) {
				t.Errorf("what waits, %d px, %s: %s (%s): %v", width, scheme, v.Help, v.ID, v.Nodes)
			}
		}
	}
	s.away.Store(false)
	js[any](b, `[...document.querySelectorAll("#outbox button")].at(-1).click()`)
	b.until(waits + `?.startsWith("Sent ") && ` + sentHere)
	js[any](b, `document.querySelector("#outbox").hidePopover(), document.querySelector("#waits button").click()`)
	b.look("waits-sent")
	if sent := js[[]string](b, `[...document.querySelectorAll("#outbox a")].map(a => a.textContent)`); len(sent) != 3 ||
		!slices.Contains(sent, "Record, Dunnock") {
		t.Errorf("sent lately: %q", sent)
	}
	if n := s.journal.landings.Load(); n != 3 {
		t.Errorf("%d landings", n)
	}
	b.said = nil
}

// TestARefusalLeadsToItsField: what is wrong stands beside the button, in view, with the field's name; a touch
// leads there, and what is so all the same is said beside the button.
func TestARefusalLeadsToItsField(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.at(360, 560)
	b.do(chromedp.Navigate(s.url + "/v/heron/round?open=all"))
	field := restVoltage
	b.until(field + ` !== null`)
	b.answer(field, "much")
	js[any](b, `document.querySelector("[data-do=end]").click()`)
	js[any](b, keepRound)
	b.until(fates + `.includes("Refused: Battery, Rest voltage: ")`)
	if !js[bool](b, inView) {
		t.Error("the refusal is out of view")
	}
	b.look("refused-round")
	b.until(waits + ` === "1 refused"`)
	js[any](b, `document.querySelector(".fate button").click()`)
	b.until(field + `.checkVisibility() && document.activeElement === ` + field)
	b.answer(field, "14.4") // as charged
	js[any](b, `document.querySelector("[data-do=end]").click()`)
	js[any](b, keepRound)
	b.until(fates + `.includes("Refused: Battery, Rest voltage: 14.4 V is unlikely") && document.querySelector(".walk [name=sure]")?.checkVisibility() === true`)
	b.look("refused-sure")
	if n := s.journal.landings.Load(); n != 0 {
		t.Errorf("%d landings of what was refused", n)
	}
	js[any](b, `document.querySelector("[name=sure]").click()`)
	js[any](b, keepRound)
	b.until(`location.pathname.includes("/batch/") && !` + someWait)
	if n := s.journal.landings.Load(); n != 1 {
		t.Errorf("%d landings", n)
	}
	b.do(chromedp.Navigate(s.url + "/v/heron/p/battery?found=1"))
	b.until(`document.querySelector("#found [name='a.battery.rest-voltage']") !== null`)
	b.answer(`document.querySelector("#found [name='a.battery.rest-voltage']")`, "14.4")
	js[any](b, `document.querySelector("#found button").click()`)
	b.look("refused-position")
	b.until(fates + `.includes("Refused: Rest voltage: ") && document.querySelector("#found [name=sure]").checkVisibility()`)
	if !js[bool](b, inView) {
		t.Error("the refusal is out of view")
	}
	b.look("refused-position")
	// Left like that, it is found again and can be dropped.
	b.do(chromedp.Navigate(s.url + "/v/dunnock"))
	b.until(waits + ` === "1 refused"`)
	js[any](b, `document.querySelector("#waits button").click(), document.querySelector("#outbox li button").click()`)
	b.until(`document.querySelector(".faults") !== null && ` + field + `.value === "14.4"`)
	js[any](b, `document.querySelector("#waits button").click(), document.querySelectorAll("#outbox li button")[1].click()`)
	b.until(`!` + someWait)
	b.said = nil
}

// all of a vehicle is kept on the device.
const whole = `caches.match("/v/heron/kept", {cacheName: "of heron"}).then(r => r !== undefined)`

// TestADeviceKeepsAVehicle: of a vehicle that was opened once every page is there without a connection, with
// its pictures; what is not kept says so; it is fetched again only once the vehicle has changed, and not where
// what is sent costs money.
func TestADeviceKeepsAVehicle(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	a := s.shoot(url.Values{"batch": {journal.NewID()}, "position": {"main-belt"}, "date": {"2026-10-01"}},
		photo(t, 600, 400, 1))
	if a.StatusCode != http.StatusSeeOther {
		t.Fatal(a.Status)
	}
	b.at(390, 844)
	b.do(chromedp.Navigate(s.url + "/v/heron"))
	b.eventually(whole)
	s.away.Store(true)
	y, err := s.server.yards.open()
	if err != nil {
		t.Fatal(err)
	}
	v, err := y.Vehicle("heron")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range v.Positions {
		html := js0(b, `caches.match("/v/heron/p/`+p.ID+`", {cacheName: "of heron"}).then(r => r.text())`)
		if got := parse(t, html).text("h1"); !strings.Contains(got, p.Name) {
			t.Errorf("%s is kept as %q", p.ID, got)
		}
	}
	for _, path := range []string{"/v/heron", "/v/heron/round", "/v/heron/card", "/v/heron/add", "/v/heron/trip",
		"/v/heron/run", "/v/heron/p/main-belt"} {
		b.do(chromedp.Navigate(s.url + path))
		b.until(`document.querySelector("main > [role=status]")?.textContent.includes("The server is not reached: this page is as it was on") === true`)
		if !js[bool](b, `document.querySelector("header .bar") !== null && getComputedStyle(document.querySelector(".bar")).display !== "block"`) {
			t.Errorf("%s has no style", path)
		}
	}
	js[any](b, `document.querySelector(".shots img").scrollIntoView()`)
	b.until(`document.querySelector(".shots img").naturalWidth > 0`)
	b.look("kept-position")
	b.do(chromedp.Navigate(s.url + "/v/heron/journal"))
	b.until(`document.querySelector("h1").textContent === "The server is not reached, and this page is not kept here."`)
	b.look("kept-not")
	links := js[[]string](b, `[...document.querySelectorAll("li a")].map(a => a.getAttribute("href"))`)
	if !slices.Contains(links, "/v/heron/card") || slices.Contains(links, "/v/heron/kept") {
		t.Errorf("it leads to %q", links)
	}
	s.away.Store(false)
	b.said = nil
	keep := func(path string) {
		t.Helper()
		b.do(chromedp.Navigate("about:blank"), chromedp.Navigate(s.url+path))
		// The device looks once a minute at the most: that minute has passed.
		js0(b, `caches.open("of heron").then(async c => { const r = await c.match("/v/heron/kept"); const h = new Headers(r?.headers); h.set("Date", new Date(0).toUTCString()); if (r) await c.put("/v/heron/kept", new Response("", {headers: h})); return ""; })`)
		b.eventually(`caches.match("/v/heron/kept", {cacheName: "of heron"}).then(r => Date.parse(r?.headers.get("Date") ?? "") > 1e12)`)
	}
	const stamp = `caches.match("/v/heron/p/battery", {cacheName: "of heron"}).then(async r => String((await r.text()).includes("smells of eggs")))`
	before := js0(b, `caches.match("/v/heron/p/battery", {cacheName: "of heron"}).then(r => r.text())`)
	keep("/v/heron/card")
	if after := js0(b, `caches.match("/v/heron/p/battery", {cacheName: "of heron"}).then(r => r.text())`); after != before {
		t.Error("what has not changed was fetched again")
	}
	s.record("heron", &fleet.Entry{Type: fleet.TypeNote, Date: civil.Of(noon()),
		Note: &fleet.Note{Position: "battery", Text: "smells of eggs"}})
	keep("/v/heron/card")
	if js0(b, stamp) != "true" {
		t.Error("what has changed was not fetched again")
	}
	js0(b, `caches.delete("of heron").then(String)`)
	if _, err := chromedp.Call(b.ctx, page.AddScriptToEvaluateOnNewDocument,
		page.AddScriptToEvaluateOnNewDocumentParams{Source: `Object.defineProperty(navigator.connection, "saveData", {value: true})`}); err != nil {
		t.Fatal(err)
	}
	b.do(chromedp.Navigate(s.url + "/v/heron"))
	time.Sleep(4 * time.Second)
	if js0(b, whole+`.then(String)`) != "false" {
		t.Error("it is kept where the device is to be spared")
	}
}

// js0 evaluates a promise of a text.
func js0(b *browser, expression string) string { return jsAwait[string](b, expression) }

// eventually waits for a promise to hold true.
func (b *browser) eventually(expression string) {
	b.t.Helper()
	for end := time.Now().Add(60 * time.Second); !jsAwait[bool](b, expression); time.Sleep(200 * time.Millisecond) {
		if time.Now().After(end) {
			b.t.Fatalf("never came true: %s", expression)
		}
	}
}

// TestTheListOfWhatIsKeptCostsLittle: of a vehicle that has not changed nothing is worked out, of one that has
// the journal is looked at once for all its pages.
func TestTheListOfWhatIsKeptCostsLittle(t *testing.T) {
	s := demoSite(t)
	s.page("/v/heron")
	s.journal.reads.Store(0)
	a := s.get("/v/heron/kept", "Accept", "application/json")
	if n := s.journal.reads.Load(); n > 2 {
		t.Errorf("the journal was looked at %d times", n)
	}
	var kept keptVehicle
	if err := json.Unmarshal([]byte(a.body), &kept); err != nil || len(kept.Pages) < 60 || len(kept.Assets) < 15 {
		t.Fatalf("%v, %d pages", err, len(kept.Pages))
	}
	for path, html := range kept.Pages {
		if path != "/v/heron/trip" { // asks first
			checkPage(t, path, parse(t, html))
		}
	}
	stand := a.Header.Get("ETag")
	s.journal.reads.Store(0)
	if a := s.get("/v/heron/kept", "If-None-Match", stand); a.StatusCode != http.StatusNotModified ||
		s.journal.reads.Load() != 1 {
		t.Errorf("%s after %d looks", a.Status, s.journal.reads.Load())
	}
	s.record("heron", &fleet.Entry{Type: fleet.TypeNote, Date: civil.Of(noon()), Note: &fleet.Note{Text: "hums"}})
	if a := s.get("/v/heron/kept", "If-None-Match", stand); a.StatusCode != http.StatusOK ||
		a.Header.Get("ETag") == stand {
		t.Errorf("after a note: %s", a.Status)
	}
}

// TestADeviceThatIsTurnedAwayForgets: at its next contact, whatever that is, nothing of the yard stays on it;
// nor does it once it is locked, even where the server is not reached.
func TestADeviceThatIsTurnedAwayForgets(t *testing.T) {
	g, b := newGuarded(t), openBrowser(t)
	const none = `caches.keys().then(all => all.every(name => name === "built"))`
	for n, contact := range []string{`location.assign("/v/heron/journal")`, `fetch("/v/heron/job/ticks", {headers: {Accept: "application/json"}})`,
		`fetch("/v/heron/add/note", {method: "POST", body: new URLSearchParams({text: "x"})})`, `(new Image()).src = "/v/heron/picture/x/full"`,
		`navigator.serviceWorker.controller.postMessage("dunnock")`, `logout`} {
		key := g.letIn("Bo")
		g.away.Store(false)
		if _, err := chromedp.Call(b.ctx, network.SetCookie,
			network.SetCookieParams{Name: deviceCookie, Value: key, URL: g.url}); err != nil {
			t.Fatal(err)
		}
		b.do(chromedp.Navigate(g.url + "/v/heron"))
		b.eventually(whole)
		if n == 5 {
			g.away.Store(true)
			js[any](b, `(f => { f.method = "post"; f.action = "/logout"; document.body.append(f); f.submit() })(document.createElement("form"))`)
			time.Sleep(time.Second)
			g.away.Store(false)
			b.do(chromedp.Navigate(g.url + "/assets/x/style.css"))
			b.eventually(none)
			continue
		}
		all, err := g.door.Devices()
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(all, func(d door.Device) bool { return d.Person == "Bo" })
		if _, err := g.door.TurnAway(all[i].ID); err != nil {
			t.Fatal(err)
		}
		js[any](b, contact+`, 0`)
		time.Sleep(300 * time.Millisecond)
		b.eventually(none)
		g.away.Store(true)
		b.do(chromedp.Navigate(g.url + "/v/heron/card"))
		b.until(`document.querySelector("h1")?.textContent.startsWith("The server is not reached") === true && !document.body.textContent.includes("Heron")`)
	}
	b.said = nil
}

// replaced puts a later revision of the program in the place of the one that runs: its files have other names
// and contents, its judge another limit, so that every table of answers differs.
func (s *site) replaced(build string) {
	s.t.Helper()
	s.write("catalogue/own.yaml", "kinds:\n- kind: battery\n  checks:\n  - id: rest-voltage\n    limits:\n"+
		"    - {less_than: 12.8 V, verdict: put right, authority: owner, source: owner, "+
		"says: \"Charged below "+build+".\"}\n")
	opt := s.server.opt
	srv, err := New(opt)
	if err != nil {
		s.t.Fatal(err)
	}
	srv.assets.build = build
	for name, f := range srv.assets.files {
		if path.Ext(name) == ".woff2" {
			continue // a letter's file has no lines
		}
		srv.assets.files[name] = newFile(name, append(slices.Clone(f.plain), "\n"...))
	}
	s.serve(srv)
}

// TestAnUpdateInBetweenLosesNothing: a round, a note and a picture wait on the device while the program is
// replaced, twice; the page that was opened before opens again in between, and all of it lands once.
func TestAnUpdateInBetweenLosesNothing(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.at(390, 844)
	b.do(chromedp.Navigate(s.url + "/v/heron"))
	b.eventually(whole)
	old := s.page("/v/heron/round").text("template")
	s.away.Store(true)
	b.do(chromedp.Navigate(s.url + "/v/heron/p/main-belt"))
	b.until(`document.querySelector("a[data-shot]") !== null && performance.getEntriesByType("resource").some((e) => e.name.endsWith("/picture.js"))`)
	b.choose(`document.querySelector("a[data-shot]")`, photo(t, 300, 200, 1))
	b.until(waits + ` === "1 waits"`)
	b.do(chromedp.Navigate(s.url + "/v/heron/add"))
	b.note("squeaks when cold")
	b.until(waits + ` === "2 wait"`)
	b.do(chromedp.Navigate(s.url + "/v/heron/round"))
	field := restVoltage
	b.until(field + ` !== null`)
	b.answer(field, "12.5")
	js[any](b, keepRound)
	b.until(waits + ` === "3 wait"`)
	b.do(chromedp.Navigate("about:blank"))
	s.replaced("0123456789ab")
	before := s.journal.landings.Load()
	s.away.Store(false)
	if s.page("/v/heron/round").text("template") == old {
		t.Fatal("the table of answers is the same: this test shows nothing")
	}
	s.mute.Store(true) // what is sent lands, and nobody hears of it
	b.do(chromedp.Navigate(s.url + "/v/heron/round"))
	b.until(`document.querySelector(".by-step") !== null`) // from the device, with its own script
	for end := time.Now().Add(20 * time.Second); s.journal.landings.Load() == before &&
		time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
	}
	if !js[bool](b, someWait) {
		t.Error("without a reply it no longer waits")
	}
	s.mute.Store(false)
	s.replaced("ba9876543210")
	b.do(chromedp.Navigate(s.url + "/v/dunnock"))
	b.until(`!` + someWait + ` && !(` + picturesWait + `)`)
	if js[string](b, `document.querySelector("script").src`) != s.url+"/assets/ba9876543210/page.js" {
		t.Error("the page is not that of the program that runs")
	}
	b.said = nil
	b.do(chromedp.Navigate(s.url + "/v/heron"))
	time.Sleep(300 * time.Millisecond) // for one that would be sent again
	if n := s.journal.landings.Load() - before; n != 3 || len(s.shots()) != 1 {
		t.Errorf("%d landings, %d pictures", n, len(s.shots()))
	}
	b.quiet("after the update")
	// What is kept of the programs before does not pile up.
	if builds := js0(b, `caches.open("built").then(async c => String(new Set((await c.keys()).map(r => r.url.split("/")[4])).size))`); builds > "2" {
		t.Errorf("files of %s programs are kept", builds)
	}
}

// TestAFullDeviceSaysSo: where the store of the device has no room left, by its own quota, nothing is said to
// be kept that is not: of a round, of a form, of a picture, of a vehicle.
func TestAFullDeviceSaysSo(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.at(360, 560)
	b.do(chromedp.Navigate(s.url + "/v/heron/round"))
	b.until(`navigator.serviceWorker.controller !== null && document.querySelector(".by-step") !== null`)
	b.do(chromedp.Navigate(s.url + "/v/heron/round"))
	b.until(`performance.getEntriesByType("resource").some((e) => e.name.endsWith("/picture.js"))`)
	if _, err := chromedp.Call(b.ctx, storage.OverrideQuotaForOrigin,
		storage.OverrideQuotaForOriginParams{Origin: s.url, QuotaSize: new(1.0)}); err != nil {
		t.Fatal(err)
	}
	js[any](b, `(() => { for (let n = 1 << 20; n >= 1; n >>= 1) try { for (let i = 0; ; i++) localStorage.setItem("x" + n + " " + i, "x".repeat(n)); } catch {} })()`)
	s.away.Store(true)
	for range 3 { // to the first stop
		js[any](b, `[...document.querySelectorAll(".walk [data-do=next]")].find((e) => e.checkVisibility())?.click()`)
	}
	b.until(waits + ` === "Not kept"`)
	b.look("full-stop")
	stop := js[string](b, `document.querySelector("[data-screen=stop]:not([hidden])").dataset.stop`)
	js[any](b, `document.querySelector("[data-do=sound]").click()`)
	b.until(`document.querySelector("[data-screen]:not([hidden])").dataset.stop !== ` + fmt.Sprintf("%q", stop))
	b.until(`document.querySelector(".told").textContent.includes("This device is full")`)
	js[any](b, `document.querySelector("[data-do=something]").click()`)
	shot := `document.querySelector("[data-do=shot][data-for=list]")`
	b.choose(shot, photo(t, 600, 400, 2))
	b.until(shot + `.textContent === "Not kept" && document.querySelector("[role=alert]").textContent.includes("This device is full")`)
	js[any](b, `document.querySelector("[data-do=end]").click()`)
	js[any](b, keepRound)
	b.until(fates + `.includes("Not kept: the server is not reached, and this device is full.")`)
	if js[bool](b, someWait) || js[bool](b, `localStorage.getItem("round heron") !== null`) || !js[bool](b, inView) {
		t.Error("it is kept, or what is said of it is out of view")
	}
	b.look("full-round")
	s.away.Store(false) // the page is still open, and sends it
	js[any](b, keepRound)
	b.until(`location.pathname.includes("/batch/")`)
	if n := s.journal.landings.Load(); n != 1 {
		t.Errorf("%d landings", n)
	}
	b.do(chromedp.Navigate(s.url + "/v/heron/add")) // pages come all the same
	s.away.Store(true)
	b.note("squeaks when cold")
	b.until(fates + `.includes("Not kept: the server is not reached, and this device is full.") && ` + waits + ` === "Not kept"`)
	b.look("full-note")
	js[any](b, `Object.keys(localStorage).filter(k => k.startsWith("x")).forEach(k => localStorage.removeItem(k))`)
	js[any](b, `document.querySelector("#note button").click()`)
	b.until(waitsHere + ` && ` + waits + ` === "1 waits"`)
	s.away.Store(false)
	b.do(chromedp.Navigate(s.url + "/v/heron"))
	b.until(`!` + someWait)
	time.Sleep(4 * time.Second)
	if js0(b, whole+`.then(String)`) != "false" {
		t.Error("a vehicle is kept that finds no room")
	}
	b.said = nil
}

// TestARoundShowsWhatAnotherAnswered: what another device sends while a round is open stands at its stop, by whom
// and when; where nothing is new nothing is read.
func TestARoundShowsWhatAnotherAnswered(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.at(360, 560)
	b.do(chromedp.Navigate(s.url + "/v/heron/round"))
	last := `document.querySelector("[data-stop=battery] .last").textContent`
	b.until(`document.querySelector(".by-step") !== null && ` + last + `.startsWith("Last: ")`)
	form := blank(s.page("/v/heron/round"), "#round")
	form.Set("a.battery.rest-voltage", "12.6")
	if a := s.post("/v/heron/round", form, "Cookie", "who=Wren"); a.StatusCode != http.StatusSeeOther {
		t.Fatal(a.Status)
	}
	js[any](b, `document.dispatchEvent(new Event("visibilitychange")), 0`)
	b.until(last + ` === "Answered at 12:00 by Wren."`)
	for range 2 { // to the first stop
		js[any](b, `[...document.querySelectorAll(".walk [data-do=next]")].find((e) => e.checkVisibility())?.click()`)
	}
	(&phone{browser: b, site: s}).still("a stop that another answered")
	b.look("answered-by-another")
	a := s.get("/v/heron/round/today")
	s.journal.reads.Store(0)
	stand := a.Header.Get("ETag")
	if a := s.get("/v/heron/round/today", "If-None-Match", stand); a.StatusCode != http.StatusNotModified ||
		s.journal.reads.Load() != 1 {
		t.Errorf("%s after %d looks", a.Status, s.journal.reads.Load())
	}
	b.quiet("two in one round")
}
