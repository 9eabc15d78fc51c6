package web

import (
	"encoding/json"
	"fmt"
	"html"
	"net/http"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"undertray.example/undertray/draw/plate"
	"undertray.example/undertray/units"
)

// plateAddress is where a page says that its plates are.
var plateAddress = regexp.MustCompile(`"f":"(/assets/[0-9a-f]{12}/plates-[0-9a-f]{12}\.svg)"`)

// drawnCheck is a check of the demo's first belt whose answers are all drawn.
const drawnCheck = "a.main-belt.rib-damage"

// TestPlatesOfAVehicle: a round and a position say where their plates are, by an address
// that is kept for ever; the file holds every number that is named, and a device keeps it.
func TestPlatesOfAVehicle(t *testing.T) {
	s := demoSite(t)
	at := ""
	for _, path := range []string{"/v/heron/round", "/v/heron/p/main-belt"} {
		m := plateAddress.FindStringSubmatch(s.get(path).body)
		if m == nil {
			t.Fatalf("%s does not say where its plates are", path)
		}
		if at != "" && at != m[1] {
			t.Errorf("%s has them at %s, another page at %s", path, m[1], at)
		}
		at = m[1]
	}
	got := s.get(at)
	if c := got.Header.Get("Cache-Control"); !strings.Contains(c, "immutable") {
		t.Errorf("%s may be kept %q", at, c)
	}
	ids := map[string]int{}
	root := parse(t, got.body)
	for _, n := range root.find("symbol") {
		id, _ := attr(n, "id")
		ids[id]++
	}
	var table answerTable
	_, text, _ := strings.Cut(s.get("/v/heron/p/main-belt").body, "<template data-table>")
	text, _, _ = strings.Cut(text, "</template>")
	if err := json.Unmarshal([]byte(html.UnescapeString(text)), &table); err != nil {
		t.Fatal(err)
	}
	check := table.Checks[table.Of[drawnCheck]]
	if len(check.Plates) != len(check.Answers) || len(check.Plates) < 8 {
		t.Fatalf("%s has plates %v for %d answers", drawnCheck, check.Plates, len(check.Answers))
	}
	for _, c := range table.Checks {
		for _, n := range c.Plates {
			if n != 0 && ids["p"+strconv.Itoa(n)] != 1 {
				t.Errorf("plate %d is %d times in the file", n, ids["p"+strconv.Itoa(n)])
			}
		}
	}
	if kept := s.get("/v/heron/kept").body; !strings.Contains(kept, at) {
		t.Errorf("a device does not keep %s", at)
	}
	// A server that has just been started gives the file to a page of the one before.
	s.server.plates.made = nil
	if again := s.get(at); again.body != got.body {
		t.Error("after a new start the file is another")
	}
	if gone := s.get(strings.Replace(at, "plates-", "plates-0", 1)); gone.StatusCode != http.StatusNotFound {
		t.Errorf("a file that is not there: %d", gone.StatusCode)
	}
}

// TestKindsShowTheirPlates: a kind's page, "what does it mean" and a whole round have them without script.
func TestKindsShowTheirPlates(t *testing.T) {
	s := demoSite(t)
	kind := parse(t, s.get("/kinds/ribbed-belt").body)
	if n := len(kind.find("svg.plate")); n < 30 {
		t.Errorf("the kind's page has %d plates", n)
	}
	whole := parse(t, s.get("/v/heron/round?whole=1").body)
	if n, all := len(whole.find(".drawn svg.plate use")), len(whole.find("svg.plate")); n < 50 || n != all {
		t.Errorf("a round for no script has %d plates, %d of them in checks that say so", all, n)
	}
	means := parse(t, s.get("/kinds/ribbed-belt/means?check=edge&answer=frayed").body)
	if n := len(means.find("svg.plate")); n != 1 {
		t.Errorf("what it means has %d plates", n)
	}
	none := parse(t, s.get("/kinds/overrun-pulley/means?check=charging&answer=no").body)
	if n := len(none.find("svg.plate")); n != 0 {
		t.Errorf("an answer without a plate shows %d", n)
	}
}

// TestAPlateStandsBesideEachAnswer walks to a belt's check on a phone: its plates are drawn,
// in the page's own tones, by night too, wide enough to be read, and the screen does not scroll.
func TestAPlateStandsBesideEachAnswer(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.EmulateViewport(390, 664, chromedp.EmulateMobile, chromedp.EmulateTouch),
		chromedp.Navigate(s.url+"/v/heron/p/main-belt"))
	b.until(`document.querySelector(".check") !== null`)
	js[any](b, `document.querySelectorAll("details").forEach(d => d.open = true);
		document.querySelector('[name="`+drawnCheck+`"]').closest(".check").scrollIntoView()`)
	drawn := `[...document.querySelector('[name="` + drawnCheck + `"]').closest(".check").querySelectorAll("svg.plate use")]`
	b.until(drawn + `.length >= 8 && ` + drawn + `.every(u => u.getBBox().width > 40)`)
	if w := js[float64](b, drawn+`[0].closest("svg").getBoundingClientRect().width`); w < 118 {
		t.Errorf("a plate is %.0f px wide", w)
	}
	for _, scheme := range []string{"light", "dark"} {
		b.prefer(scheme)
		want := js[string](b, `getComputedStyle(document.body).color`)
		got := js[string](b, `(() => { const u = `+drawn+`[0]; return getComputedStyle(u).color; })()`)
		if got != want {
			t.Errorf("%s: plates are drawn in %s, the page in %s", scheme, got, want)
		}
	}
	b.quiet("a position with plates")
	// In the round it is a screen by itself.
	p := &phone{browser: b, site: s}
	for _, size := range [][2]int64{{390, 664}, {360, 560}} {
		b.do(chromedp.EmulateViewport(size[0], size[1], chromedp.EmulateMobile, chromedp.EmulateTouch),
			chromedp.Navigate(s.url+"/v/heron/round?open=all"))
		b.until(`document.querySelector(".by-step") !== null`)
		js[any](b, `(() => { const form = document.getElementById("round"), press = (all) =>
				[...form.querySelectorAll(".walk button")].find(b => !b.hidden && all.includes(b.dataset.do))?.click();
			press(["next"]);
			for (let i = 0; i < 300 && form.querySelector("[data-screen]:not([hidden])").dataset.stop !== "main-belt"; i++)
				press(["unseen", "next", "later"]);
			press(["something"]); })()`)
		n := js[int](b, `[...document.querySelectorAll(".picks button")].findIndex(e => /rib/i.test(e.textContent) && /damage/i.test(e.textContent))`)
		js[any](b, fmt.Sprintf(`document.querySelectorAll(".picks button")[%d].click()`, max(0, n)))
		b.until(`document.querySelectorAll(".check.on svg.plate").length >= 4`)
		p.still(fmt.Sprint(size))
		b.until(`[...document.querySelectorAll(".check.on .answer:not([hidden]) svg.plate use")].every(u => u.getBBox().width > 40)`)
	}
}

// TestAKindGoesOnTheWall: a kind's page leads to its wall sheet on both sizes of paper, and one
// of which nothing is drawn has none.
func TestAKindGoesOnTheWall(t *testing.T) {
	s := demoSite(t)
	page := parse(t, s.get("/kinds/idler").body)
	var sheets []string
	for _, a := range page.find("a") {
		if to, _ := attr(a, "href"); strings.HasPrefix(to, "/kinds/idler/wall") {
			got := s.get(to)
			if got.Header.Get("Content-Type") != "application/pdf" || !strings.HasPrefix(got.body, "%PDF-") {
				t.Errorf("%s is %s", to, got.Header.Get("Content-Type"))
			}
			sheets = append(sheets, got.body)
		}
	}
	if len(sheets) != 2 || sheets[0] == sheets[1] {
		t.Errorf("%d wall sheets", len(sheets))
	}
	if bad := s.get("/kinds/idler/wall?paper=a9"); bad.StatusCode != http.StatusUnprocessableEntity ||
		!strings.Contains(bad.body, "a4, letter") {
		t.Errorf("a size that is none: %s", bad.Status)
	}
	if none := s.get("/kinds/timing-chain/wall"); none.StatusCode != http.StatusNotFound {
		t.Errorf("a kind of which nothing is drawn: %s", none.Status)
	}
}

// TestPlatesWithoutAConnection: a vehicle that was opened once has its plates on the device, though none was
// looked at while the server was reached.
func TestPlatesWithoutAConnection(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.at(390, 844)
	b.do(chromedp.Navigate(s.url + "/v/heron"))
	b.eventually(whole)
	s.away.Store(true)
	b.do(chromedp.Navigate(s.url + "/v/heron/p/main-belt"))
	b.until(`document.querySelector(".check") !== null`)
	js[any](b, `document.querySelectorAll("details").forEach(d => d.open = true);
		document.querySelector('[name="`+drawnCheck+`"]').closest(".check").scrollIntoView()`)
	b.until(`(all => all.length >= 8 && all.every(u => u.getBBox().width > 40))(
		[...document.querySelector('[name="` + drawnCheck + `"]').closest(".check").querySelectorAll("svg.plate use")])`)
	b.said = nil // that the server is away
}

// TestFiguresOfPlatesAreTheReaders: a figure in a plate is in its reader's unit, where that finds room.
func TestFiguresOfPlatesAreTheReaders(t *testing.T) {
	const spec = plate.Spec("wedge cracks=1 deep=deep depth=3.2mm")
	if got := string(drawnPlate(spec, units.Preferences{}, nil)); !strings.Contains(got, "3.2\u00a0mm") {
		t.Error("metric: no 3.2 mm")
	}
	us := string(drawnPlate(spec, units.Preferences{System: units.USCustomary}, nil))
	if strings.Contains(us, "mm<") || !strings.Contains(us, "in</text>") {
		t.Errorf("US: %s", us[strings.Index(us, "<text"):])
	}
}
