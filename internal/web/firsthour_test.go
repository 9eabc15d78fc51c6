package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image/jpeg"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"undertray.example/undertray/survey/surveytest"
)

// notebook is a past of forty lines as somebody wrote it, some of them in doubt.
const notebook = `14/06/2014 1200 km oil and filter changed
20/12/2014 8100 km oil and filter changed
13/06/2015 15300 km oil and filter changed
13/06/2015 15300 km cabin filter renewed
3/9/2015 18900 km wiper blades new
19/12/2015 22400 km oil and filter changed
18/06/2016 29800 km oil and filter changed
18/06/2016 29800 km air filter changed
5/7/2016 30200 km brake fluid changed
17/12/2016 36500 km oil and filter changed
17/06/2017 43900 km oil and filter changed
17/06/2017 43900 km cabin filter renewed
2/8/2017 45000 km tyres new 320 EUR
16/12/2017 51000 km oil and filter changed
9/2/2018 52800 km battery replaced 89 EUR
16/06/2018 58200 km oil and filter changed
16/06/2018 58200 km air filter changed
16/06/2018 58200 km brake fluid changed
15/12/2018 65100 km oil and filter changed
Mar 2019 timing belt and water pump done at the garage 480 EUR
15/06/2019 72600 km oil and filter changed
8/11/2019 77300 km spark plugs changed
14/12/2019 79000 km oil and filter changed
13/06/2020 84100 km oil and filter changed
13/06/2020 84100 km brake fluid changed
7/10/2020 88k top rad hose weeping
12/12/2020 90800 km oil and filter changed
2/1/2021 91200 km top rad hose replaced 31 EUR
2/1/2021 91200 km coolant changed
12/06/2021 98000 km oil and filter changed
11/12/2021 104500 km oil and filter changed
4/3/2022 107600 km aux belt replaced 38.50 EUR
11/06/2022 111300 km oil and filter changed
10/12/2022 118200 km oil and filter changed
10/06/2023 125000 km oil and filter changed
10/06/2023 125000 km brake fluid changed
9/12/2023 132100 km oil and filter changed
8/06/2024 139000 km oil and filter changed
2025 new battery
14/06/2025 149900 km oil and filter changed`

// TestFirstHour is a newcomer's half hour in pages, from an empty yard to a sheet that is
// theirs: from plain questions, walked round, a part taken off, a hose added with its
// torque, a second belt run traced on a photograph, a notebook pasted; by touch alone on
// a phone and by the keyboard alone on a desk. No screen shows a line of a file, none
// scrolls sideways, each is valid markup. On the phone the hour goes on to a round and
// a job sheet, as docs/first-hour.md does in the terminal.
func TestFirstHour(t *testing.T) {
	sent := t.TempDir()
	for _, w := range []struct {
		name  string
		width int64
		touch bool
	}{{"touch at 390 px", 390, true}, {"keyboard at 1280 px", 1280, false}} {
		t.Run(w.name, func(t *testing.T) {
			s := newSite(t, t.TempDir(), nil, Options{})
			s.keepMarkup(sent)
			n := &newcomer{browser: openBrowser(t, chromedp.Flag("accept-lang", "en-IE")), touch: w.touch,
				begun: time.Now()}
			view := []chromedp.EmulateViewportOption{}
			if w.touch {
				view = append(view, chromedp.EmulateTouch)
			}
			n.do(chromedp.EmulateViewport(w.width, 844, view...), chromedp.Navigate(s.url))
			n.starts()
			n.walks(s)
			n.draws(s)
			n.traces()
			n.pastes(s)
			t.Logf("the half hour: %d %s on %d screens, %.0f s of this machine", n.acts,
				map[bool]string{true: "touches", false: "keys"}[w.touch], n.screens, time.Since(n.begun).Seconds())
			if w.touch {
				n.rest(s)
			}
			n.quiet("the half hour")
		})
	}
	validMarkup(t, sent)
}

// keepMarkup leaves what is answered to people in a folder, each sort of answer once.
func (s *site) keepMarkup(dir string) {
	inner := *s.pages.Load()
	var pages http.Handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Header.Del("Accept-Encoding")
		out := httptest.NewRecorder()
		inner.ServeHTTP(out, r)
		if strings.HasPrefix(out.Header().Get("Content-Type"), "text/html") {
			name := strings.Trim(strings.NewReplacer("/", "_", "?", "_", "&", "_").Replace(r.URL.RequestURI()), "_")
			name = fmt.Sprintf("%s_%.60s_%d.html", r.Method, name, out.Code)
			if err := os.WriteFile(filepath.Join(dir, name), out.Body.Bytes(), 0o644); err != nil {
				s.t.Error(err)
			}
		}
		for k, v := range out.Header() {
			w.Header()[k] = v
		}
		w.WriteHeader(out.Code)
		w.Write(out.Body.Bytes())
	})
	s.pages.Store(&pages)
}

// ticked is the one name that stands several times in a form: of a job's steps that were ticked, whose keys are words.
const ticked = `"was"`

// validMarkup holds the files of a folder against the HTML standard and the recommendations of
// html-validate, but for those of taste: that inputs and buttons say what they are without it, that
// doctype is in capitals, that ids have no dots, and that lists have no names with brackets.
func validMarkup(t *testing.T, dir string) {
	t.Helper()
	config := `{"extends": ["html-validate:recommended"], "root": true, "rules": {
		"no-implicit-input-type": "off", "no-implicit-button-type": "off",
		"doctype-style": ["error", {"style": "lowercase"}], "valid-id": ["error", {"relaxed": true}],
		"form-dup-name": ["error", {"shared": ["radio", "checkbox", "submit", "button"]}]}}`
	if err := os.WriteFile(filepath.Join(dir, ".htmlvalidate.json"), []byte(config), 0o644); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(pageTools(t, ".bin/html-validate"), "--formatter=json", ".")
	cmd.Dir = dir
	said, err := os.Create(filepath.Join(t.TempDir(), "said.json")) // of a pipe it would write the beginning
	if err != nil {
		t.Fatal(err)
	}
	defer said.Close()
	cmd.Stdout = said
	failed := cmd.Run()
	out, err := os.ReadFile(said.Name())
	if err != nil {
		t.Fatal(err)
	}
	var files []struct {
		FilePath string
		Messages []struct {
			RuleID, Message string
			Line, Column    int
		}
	}
	if err := json.Unmarshal(out, &files); err != nil {
		t.Fatalf("html-validate: %v, %v\n%s", failed, err, out)
	}
	several := 0
	for _, f := range files {
		for _, m := range f.Messages {
			if m.RuleID != "form-dup-name" || !strings.HasSuffix(m.Message, ticked) {
				t.Errorf("%s:%d:%d: %s: %s", filepath.Base(f.FilePath), m.Line, m.Column, m.RuleID, m.Message)
			} else {
				several++
			}
		}
	}
	t.Logf("%d names stand several times in a form", several)
}

// newcomer is somebody at the pages, by touch alone or by the keyboard alone.
type newcomer struct {
	*browser
	touch   bool
	acts    int // touches, or keys
	screens int
	begun   time.Time
}

// key presses a key, with the shift key or without.
func (n *newcomer) key(key string, with ...chromedp.KeyOption) {
	n.t.Helper()
	n.acts++
	n.do(chromedp.KeyEvent(key, with...))
}

// reach brings the keyboard to what a selector finds, the shorter way round.
func (n *newcomer) reach(selector string) {
	n.t.Helper()
	if !js[bool](n.browser, fmt.Sprintf("!!document.querySelector(%q)?.checkVisibility()", selector)) {
		n.t.Fatalf("%s is not to be seen on %s", selector, js[string](n.browser, "location.href"))
	}
	const is = `(e => { const at = document.activeElement; if (at?.matches(%[1]q)) return "there";
		if (!at || at === document.body) return e.closest("main") && location.hash !== "#main" ? "skip" : "on";
		return at.compareDocumentPosition(e) & Node.DOCUMENT_POSITION_PRECEDING ? "back" : "on" })(
			document.querySelector(%[1]q))`
	for range 400 {
		switch js[string](n.browser, fmt.Sprintf(is, selector)) {
		case "there":
			return
		case "skip":
			n.key(kb.Tab)
			n.key(kb.Enter)
			n.key(kb.Tab)
		case "back":
			n.key(kb.Tab, chromedp.KeyModifiers(chromedp.ModifierShift))
		default:
			n.key(kb.Tab)
		}
	}
	n.t.Fatalf("the tab key does not reach %s", selector)
}

// tap touches an element in its middle or at a part of its width and height, and counts.
func (n *newcomer) tap(selector string, x, y float64) {
	n.t.Helper()
	n.acts++
	n.browser.tap(selector, x, y)
}

// act follows a link, presses a button or unfolds something.
func (n *newcomer) act(selector string) {
	n.t.Helper()
	if n.touch {
		n.tap(selector, 0, 0)
		return
	}
	n.reach(selector)
	n.key(kb.Enter)
}

// write types into a field. A phone's own keys are not counted.
func (n *newcomer) write(selector, text string) {
	n.t.Helper()
	if n.touch {
		n.tap(selector, 0, 0)
	} else {
		n.reach(selector)
		n.acts += len([]rune(text))
	}
	js[any](n.browser, `document.activeElement.select?.(); 0`)
	if _, err := chromedp.Call(n.ctx, input.InsertText, input.InsertTextParams{Text: text}); err != nil {
		n.t.Fatal(err)
	}
}

// choose chooses one of several answers.
func (n *newcomer) choose(name, value string) {
	n.t.Helper()
	box := fmt.Sprintf("input[name='%s'][value='%s']", name, value)
	checked := fmt.Sprintf("document.querySelector(%q).checked", box)
	if n.touch {
		n.tap("label:has("+box+")", 0, 0)
	} else {
		n.reach(fmt.Sprintf("input[name='%s']", name))
		if !js[bool](n.browser, `document.activeElement.checked`) {
			n.key(" ")
		}
		for i := 0; i < 12 && !js[bool](n.browser, checked); i++ {
			n.key(kb.ArrowDown)
		}
	}
	if !js[bool](n.browser, checked) {
		n.t.Errorf("%s was chosen for %s, and does not stand", value, name)
	}
}

// tick ticks a box.
func (n *newcomer) tick(box string) {
	n.t.Helper()
	if n.touch {
		n.tap("label:has("+box+")", 0, 0)
	} else {
		n.reach(box)
		n.key(" ")
	}
}

// pick picks an entry of a list; on a phone that is done in the system's own window.
func (n *newcomer) pick(list, value string) {
	n.t.Helper()
	at := fmt.Sprintf("document.querySelector(%q)", list)
	if n.touch {
		n.acts += 2
		js[any](n.browser, fmt.Sprintf(`(e => { e.value = %q; for (const what of ["input", "change"])
			e.dispatchEvent(new Event(what, {bubbles: true})) })(%s)`, value, at))
	} else {
		n.reach(list)
		for i := 0; i < 60 && js[string](n.browser, at+".value") != value; i++ {
			n.key(kb.ArrowDown)
		}
	}
	if got := js[string](n.browser, at+".value"); got != value {
		n.t.Errorf("%s: %s was picked, %s stands there", list, value, got)
	}
}

// look looks a screen over: nothing of a file is on it, it is no wider than the window,
// and axe finds nothing. Screens that other tests audit as they stand are not audited.
func (n *newcomer) look(where string, audited bool) {
	n.t.Helper()
	n.screens++
	if file := js[string](n.browser, `(() => { const line = /^\s*(- )?\{?["\w]+: *\S*$|^\s*- \{?\w+: |\.ya?ml\b/m;
		const boxes = [...document.querySelectorAll("main :is(code, pre, textarea)")].filter(e => e.checkVisibility());
		const text = boxes.map(e => e.value ?? e.textContent).find(v => line.test(v));
		const said = document.querySelector("main").innerText;
		return text ?? said.match(/^\s*- \{?\w+: .*|.*\.ya?ml\b.*/m)?.[0] ?? "" })()`); file != "" {
		n.t.Errorf("%s shows of a file: %.200s", where, file)
	}
	if over := js[int](n.browser, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
		n.t.Errorf("%s is %d px too wide: %s", where, over, js[string](n.browser, widest))
	}
	if words := len(strings.Fields(js[string](n.browser, `document.querySelector("h1").textContent`))); words > 14 {
		n.t.Errorf("%s: %d words above all else", where, words)
	}
	if audited && n.touch {
		audit(n.t, n.browser)
	}
	n.shot(fmt.Sprintf("half-%02d-%s-%d", n.screens, strings.ReplaceAll(where, " ", "-"),
		js[int](n.browser, "innerWidth")))
}

// starts makes a sheet from plain questions, a step at a time: what is answered stands
// when its step is gone back to, and what it rules out is not asked.
func (n *newcomer) starts() {
	n.t.Helper()
	n.look("the empty yard", true)
	n.act("form[action='/settings'] button")
	n.until(`location.pathname === "/" && !document.querySelector("form[action='/settings']")`)
	n.act("main a[href='/new']")
	n.until(`document.querySelector("form[action='/new']") !== null`)
	next := func(step string) {
		n.t.Helper()
		n.look("before "+step, step == "drive")
		n.act("form[action='/new'] button.main")
		n.until(fmt.Sprintf("new URLSearchParams(location.search).get('step') === %q", step))
	}
	n.choose("sort", "car")
	next("engine")
	n.choose("lies", "along")
	n.choose("fuel", "injection")
	next("inside")
	if !js[bool](n.browser, `!!document.querySelector("[type=radio][name=cooling]")`) {
		n.t.Error("the fan of an engine that lies along is not asked for")
	}
	n.act("form[action='/new'] button.quiet")
	n.until(`document.querySelector("[name=lies][value=along]")?.checked`)
	n.choose("lies", "across")
	n.choose("cylinders", "4")
	next("inside")
	n.choose("timing", "unknown")
	next("turned")
	n.choose("pump", "belt")
	n.choose("steering", "belt")
	n.choose("air-con", "belt")
	next("belts")
	turned := `[...document.querySelectorAll("[name^=turns1-]")].map(e => e.value).filter(v => v).join(" ")`
	got := js[string](n.browser, turned)
	if !strings.Contains(got, "water-pump") || !strings.Contains(got, "compressor") {
		n.t.Errorf("the first belt stands as turning %q", got)
	}
	n.pick("#t1-0", "idler-ribs")
	next("drive")
	n.choose("gearbox", "manual")
	next("rest")
	n.choose("towing", "no")
	next("name")
	n.look("its name", false)
	n.write("#name", "Wren")
	n.write("#vehicle", "wren")
	n.answer(`document.querySelector("#built")`, "2014-05-01") // a field of the system's own
	n.write("#yearly", "14000")
	n.act("form[action='/new'] button.main")
	n.until(`location.pathname === "/v/wren/sheet"`)
	got = js[string](n.browser, `document.querySelector("textarea").value`)
	if !strings.Contains(got, "kind: timing-belt") || !strings.Contains(got, "14000 km") {
		n.t.Error("the sheet lacks the timing belt that was taken where it was not known, or the distance in a year")
	}
	n.look("the new sheet", true)
}

const wrenSheet = "vehicles/wren.yaml"

// walks says on a walk that a hose is not there, and in the table what is known of others.
func (n *newcomer) walks(s *site) {
	n.t.Helper()
	n.act("main a[href='/v/wren/walk']")
	n.until(`location.pathname === "/v/wren/walk"`)
	n.choose("is.bypass-hose", "not")
	n.choose("is.heater-connector", "unknown")
	n.look("the walk", true)
	n.act("form[action='/v/wren/walk'] button.main")
	n.until(`location.search === "?saved=1"`)
	n.look("the walk kept", false)
	if now := s.read(wrenSheet); !strings.Contains(now, "{id: bypass-hose, ") ||
		!strings.Contains(now, "unsure: true") {
		n.t.Error("what was said on the walk is not on the sheet")
	}
	n.act("main a[href='/v/wren/known']")
	n.until(`location.pathname === "/v/wren/known"`)
	n.write("[name='when.bottom-hose']", "2016")
	n.pick("[name='sure.bottom-hose']", "from memory")
	n.write("[name='when.brake-hoses-front']", "2019-05")
	n.look("what is known", true)
	n.act("form[action='/v/wren/known'] button.main")
	n.until(`location.search === "?saved=1"`)
	n.look("what is known kept", false)
	if s.count() != 2 {
		n.t.Errorf("%d entries are kept of what is known", s.count())
	}
	n.opens("/sheet")
}

// opens goes to another page of the vehicle, by the pages' own links.
func (n *newcomer) opens(path string) {
	n.t.Helper()
	link := "nav.tabs a[href='/v/wren" + path + "']"
	if !js[bool](n.browser, fmt.Sprintf("!!document.querySelector(%q)?.checkVisibility()", link)) {
		n.act("[popovertarget=menu]")
		n.until(`document.getElementById("menu").matches(":popover-open")`)
	}
	n.act(link)
	n.until(fmt.Sprintf("location.pathname === %q", "/v/wren"+path))
}

// draws adds a hose with its torque where the drawing is touched, moves a mark and undoes
// that.
func (n *newcomer) draws(s *site) {
	n.t.Helper()
	if n.touch {
		n.tap("figure[data-side=below] .over", 0.3, 0.25)
	} else {
		n.act("main a[href='/v/wren/sheet/add']")
	}
	n.until(`location.pathname === "/v/wren/sheet/add"`)
	n.write("[name=name]", "Oil cooler hose")
	n.write("[name=kind]", "Vacuum hose")
	if !n.touch {
		n.pick("#from", "below")
		n.reach("#item a.mark")
		n.key(kb.ArrowRight)
		n.key(kb.ArrowDown)
	}
	n.write("#fw-0", "union nut")
	n.write("#fc-0", "2")
	n.write("#ft-0", "26 lbf·ft")
	n.look("a hose", true)
	n.act("#item button.main")
	n.until(`location.search === "?saved=1"`)
	n.look("a hose kept", true)
	kept := s.read(wrenSheet)
	_, hose, _ := strings.Cut(kept, "id: oil-cooler-hose")
	if !strings.Contains(hose, "{what: union nut, count: 2, torque: 26 lbf·ft}") ||
		!strings.Contains(hose, "from: below") {
		n.t.Errorf("the hose is on the sheet as %.300s", hose)
	}
	if at := "x: 49\n    y: 51\n"; !n.touch && !strings.Contains(hose, at) {
		n.t.Error("the mark was not moved by the arrow keys")
	}
	if n.touch {
		n.acts++
		n.drag("a.mark[data-id=battery]", 0, 24)
	} else {
		n.reach("a.mark[data-id=battery]")
		n.key(kb.ArrowDown)
	}
	n.until(`!document.getElementById("moved").hidden`)
	n.act("#moved button")
	n.until(`document.readyState === "complete" && document.getElementById("moved").hidden`)
	if s.read(wrenSheet) == kept {
		n.t.Error("the moved mark was not kept")
	}
	n.act("form[action='/v/wren/sheet/undo'] button")
	n.until(`location.search === "?undone=1"`)
	if s.read(wrenSheet) != kept {
		n.t.Error("undone, the sheet is not what it was")
	}
}

// traces lays a rendered photograph under the sketch, touches its rims, follows the belt,
// and keeps the run as the vehicle's second.
func (n *newcomer) traces() {
	n.t.Helper()
	scene := surveytest.NewScene(3)
	var pic bytes.Buffer
	if err := jpeg.Encode(&pic, scene.Draw(), &jpeg.Options{Quality: 92}); err != nil {
		n.t.Fatal(err)
	}
	n.act("main a[href='/v/wren/measure']")
	n.until(`document.getElementById("bench")?.hidden === false`)
	js[any](n.browser, `HTMLInputElement.prototype.click = function () {}`) // the system's window stays shut
	n.act("#take")
	n.until(`document.getElementById("chosen") !== null`)
	n.hand("#chosen", pic.Bytes())
	n.until(`document.querySelector("#stage image") !== null`)
	sizes := []float64{}
	for _, p := range scene.Run.Pulleys {
		sizes = append(sizes, p.DiameterMM)
	}
	slices.Sort(sizes)
	for i, p := range scene.Run.Pulleys {
		if !js[bool](n.browser, fmt.Sprintf(`document.getElementById("p%d").checkVisibility()`, i+1)) {
			n.act("#more")
		}
		n.write(fmt.Sprintf("#p%d", i+1), p.Name)
		if p.DiameterMM == sizes[len(sizes)-1] {
			n.write(fmt.Sprintf("#d%d", i+1), fmt.Sprintf("%.1f mm", p.DiameterMM))
		}
	}
	n.write("#ribs", "6")
	js[any](n.browser, `document.getElementById("stage").scrollIntoView({block: "center"})`)
	for i, p := range scene.Run.Pulleys {
		n.rim(i + 1)
		touches, off := 3, 0.0 // as the page asks for
		if n.touch {
			touches, off = 6, 3
		} else if p.DiameterMM >= sizes[len(sizes)-2] {
			touches = 5
		}
		for _, at := range scene.Touches(i, touches, off) {
			n.point(at)
		}
	}
	n.choose("hand", "along")
	for i := range scene.Run.Pulleys {
		n.point(scene.OnBelt(i))
	}
	n.until(`document.querySelector("#answer .lead").textContent.includes("Effective length") &&
		!document.getElementById("answer").classList.contains("late")`)
	for i, p := range scene.Run.Pulleys {
		got := js[string](n.browser, fmt.Sprintf(`["o", "s"].map(f => document.getElementById(f + %d).value).join("")`, i+1))
		if got != fmt.Sprintf("%d%s", i+1, p.Side) {
			n.t.Errorf("%s: order and side %q", p.Name, got)
		}
	}
	var got float64
	fmt.Sscanf(js[string](n.browser, `document.querySelector("#answer .lead").textContent`), "Effective length %f mm",
		&got)
	if off := math.Abs(got/scene.Lay.EffectiveMM - 1); off > 0.01 {
		n.t.Errorf("%.0f mm, in truth %.0f", got, scene.Lay.EffectiveMM)
	}
	n.t.Logf("traced: %.0f mm of %.0f", got, scene.Lay.EffectiveMM)
	if edges := js[int](n.browser, `document.querySelectorAll("#stage polygon").length`); edges != len(sizes) {
		n.t.Errorf("%d rims are drawn on the picture", edges)
	}
	n.look("traced", true)
	n.write("#run-name", "Second belt")
	n.pick("#keep-belt", "new:ribbed-belt")
	n.act("#keep [value=run]")
	n.until(`document.querySelector("table.lines") !== null`)
	n.look("a run to keep", true)
	n.act("[name=sure]")
	n.until(`location.pathname === "/v/wren/run/second-belt-run"`)
	n.look("a run kept", false)
}

// rim goes on to the rim of a pulley.
func (n *newcomer) rim(of int) {
	n.t.Helper()
	for i := 0; js[string](n.browser, `document.getElementById("of").value`) != fmt.Sprint(of); i++ {
		if i > 12 {
			n.t.Fatalf("pulley %d is not come to", of)
		}
		n.act("#next")
	}
}

// point touches a place of the picture, or goes there with the arrow keys.
func (n *newcomer) point(at [2]float64) {
	n.t.Helper()
	if n.touch {
		n.acts++
		n.finger(input.DispatchTouchEventTypeTouchStart, n.onStage(at)...)
		n.finger(input.DispatchTouchEventTypeTouchEnd)
		return
	}
	n.reach("#stage")
	where := js[[]float64](n.browser, `(() => { const v = document.querySelector("#stage svg").viewBox.baseVal;
		const cross = document.querySelector("#stage .at").getAttribute("d").match(/M([-\d.]+) ([-\d.]+)h([\d.]+)/);
		return [...cross.slice(1).map(Number), v.width / document.getElementById("stage").clientWidth] })()`)
	x, y := where[0]+where[2]/2, where[1]
	for axis, d := range [2]float64{at[0] - x, at[1] - y} {
		arrow := [2][2]string{{kb.ArrowLeft, kb.ArrowRight}, {kb.ArrowUp, kb.ArrowDown}}[axis][0]
		if d > 0 {
			arrow = [2][2]string{{kb.ArrowLeft, kb.ArrowRight}, {kb.ArrowUp, kb.ArrowDown}}[axis][1]
		}
		steps := int(math.Round(math.Abs(d) / where[3]))
		n.acts += steps/10 + steps%10
		n.do(chromedp.KeyEvent(strings.Repeat(arrow, steps/10)),
			chromedp.KeyEvent(strings.Repeat(arrow, steps%10), chromedp.KeyModifiers(chromedp.ModifierShift)))
	}
	n.key(kb.Enter)
}

// pastes pastes the notebook, settles what is in doubt and keeps all of it as one batch.
func (n *newcomer) pastes(s *site) {
	n.t.Helper()
	n.opens("/sheet")
	n.act("main a[href='/v/wren/past']")
	n.until(`location.pathname === "/v/wren/past"`)
	if n.touch {
		n.write("#text", notebook)
	} else {
		n.reach("#text")
		n.acts++ // pasted
		if _, err := chromedp.Call(n.ctx, input.InsertText, input.InsertTextParams{Text: notebook}); err != nil {
			n.t.Fatal(err)
		}
	}
	n.act("form[action='/v/wren/past'] button")
	n.until(`document.querySelectorAll("fieldset.past").length === 40`)
	n.look("the notebook read", true)
	doubts := js[[]string](n.browser, `[...document.querySelectorAll("fieldset.past")].filter(f =>
		!f.querySelector("[name=keep]").checked).map(f => f.querySelector("[name=keep]").value)`)
	if len(doubts) < 3 || len(doubts) > 8 {
		n.t.Errorf("%d lines are in doubt: %s", len(doubts),
			js[string](n.browser, `document.querySelector("main").innerText`))
	}
	for _, line := range doubts {
		n.tick(fmt.Sprintf("[name=keep][value='%s']", line))
		open := fmt.Sprintf(`[...document.querySelectorAll("[name=fit-%s]:not(:checked)")].map(e => e.value)`, line)
		for _, part := range js[[]string](n.browser, open) {
			n.tick(fmt.Sprintf("[name=fit-%s][value='%s']", line, part))
		}
	}
	before, landed := s.count(), s.journal.landings.Load()
	n.act("form[action='/v/wren/past/keep'] button.main")
	n.until(`location.pathname !== "/v/wren/past/keep" && location.pathname !== "/v/wren/past"`)
	n.look("the notebook kept", true)
	if got := s.count() - before; got < 40 || s.journal.landings.Load() != landed+1 {
		n.t.Errorf("%d entries in %d batches", got, s.journal.landings.Load()-landed)
	}
}

// rest is the rest of the first hour, not by touch alone: a reading, a round of ten
// findings, what it means, and the job sheet.
func (n *newcomer) rest(s *site) {
	n.t.Helper()
	n.add(s, "odometer", map[string]string{"date": "2026-03-02", "odometer": "152300"})
	n.do(chromedp.Navigate(s.url + "/v/wren/sheet/p/top-hose"))
	n.fill("/v/wren/sheet/p/top-hose", map[string]string{"f.what-0": "hose clip", "f.count-0": "2",
		"f.torque-0": "4 N·m"})
	n.until(`location.search === "?saved=1"`)
	n.hourRound(s)
	n.do(chromedp.Navigate(s.url + "/v/wren"))
	says := js[string](n.browser, `document.querySelector("h1").textContent`)
	if !strings.Contains(says, "change the top hose") {
		n.t.Errorf("the vehicle's page says %q", says)
	}
	n.do(chromedp.Navigate(s.url + "/v/wren/job?at=top-hose"))
	if says := js[string](n.browser, `document.querySelector("main").innerText`); !strings.Contains(says,
		"Change the top hose") || !strings.Contains(says, "4 N·m") {
		n.t.Errorf("the job sheet lacks the hose or its torque: %.300s", says)
	}
	n.look("the job sheet", false)
}

// fill fills in the form that posts to an address, by the names of its fields,
// and sends it.
func (b *browser) fill(action string, fields map[string]string) {
	b.t.Helper()
	form := fmt.Sprintf(`document.querySelector('form[action="%s"]')`, action)
	for name, value := range fields {
		set := fmt.Sprintf(`(() => { const all = [...%s.querySelectorAll('[name="%s"]')], want = %q;
			const radio = all.find(e => e.type === "radio" && e.value === want);
			if (radio) { radio.click(); return true }
			const e = all.find(e => e.type !== "radio"); if (!e) return false; e.value = want; return e.value === want })()`, form, name, value)
		if !js[bool](b, set) {
			b.t.Fatalf("%s: %s cannot be set to %q", action, name, value)
		}
	}
	js[any](b, form+`.querySelector("button.main, button").click()`)
}

// add records one fact through its form.
func (b *browser) add(s *site, what string, fields map[string]string) {
	b.t.Helper()
	before := s.journal.landings.Load()
	b.do(chromedp.Navigate(s.url + "/v/wren/add#" + what))
	if open := js[string](b, `[...document.querySelectorAll("details[name=fact]")].filter(d => d.open).map(d =>
		d.querySelector("form").id).join()`); open != what {
		b.t.Errorf("asked for %s, %q is unfolded", what, open)
	}
	b.fill("/v/wren/add/"+what, fields)
	b.until(`location.pathname !== "/v/wren/add"`)
	if s.journal.landings.Load() != before+1 {
		b.t.Fatalf("%s %v was not kept: %s", what, fields,
			js[string](b, "document.querySelector('main').innerText.slice(0, 400)"))
	}
}

// hourRound answers ten checks of a round; what was tapped stays where it is
// while its meaning appears.
func (b *browser) hourRound(s *site) {
	b.t.Helper()
	b.do(chromedp.Navigate(s.url + "/v/wren/round?open=all"))
	b.until(restVoltage + ` !== null`) // with its questions unfolded
	answers := [][2]string{{"a.main-belt.surface", "clean"}, {"a.main-belt.edge", "clean"},
		{"a.top-hose.squeeze-ends", "softer-end"}, {"a.top-hose.leak", "none"},
		{"a.bottom-hose.squeeze-ends", "same"}, {"a.water-pump.weep-hole", "dry-stain"},
		{"a.brake-fluid.level", "between"}, {"a.radiator.leak", "none"},
		{"a.radiator.fins", "clear"}, {"a.battery.rest-voltage", "12.5"}}
	for _, a := range answers {
		moved := jsAwait[float64](b, fmt.Sprintf(`(() => {
			const all = [...document.querySelectorAll('[name="%s"]')], want = %q, e = all.find(e => e.value === want) ?? all[0];
			const top = () => e.getBoundingClientRect().top, before = top();
			if (e.type === "radio") e.click(); else { e.value = want; e.dispatchEvent(new Event("change", {bubbles: true})) }
			return new Promise(done => setTimeout(() => done(Math.abs(top() - before)), 300)) })()`, a[0], a[1]))
		if moved > 1 {
			b.t.Errorf("%s moved by %.0f px when it was answered", a[0], moved)
		}
	}
	js[any](b, `(() => { const r = document.querySelector("#round"); r.querySelector('[name="date"]').value = "2026-09-12"; r.querySelector('[name="odometer"]').value = "160150" })()`)
	js[any](b, keepRound)
	b.until(`location.pathname.includes("/batch/")`)
	if says := js[string](b, "document.querySelector('main').innerText"); !strings.Contains(says, "11") {
		b.t.Errorf("the round's batch says %.200s", says)
	}
}

// jsAwait evaluates an expression that gives a promise, and returns what it
// brings.
func jsAwait[T any](b *browser, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}
