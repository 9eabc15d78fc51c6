package web

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"golang.org/x/net/html"

	"undertray.example/undertray/internal/message/languages"
	"undertray.example/undertray/internal/message/messagetest"
)

// leftFile holds how many different texts each page of the demo yard still shows in English when it is asked for in
// the pseudo-language, and how many are pieces. Each may only go down; with UNDERTRAY_LEFT set it is written anew.
const leftFile = "testdata/left-in-english.txt"

// TestPagesInAnotherLanguage: no page has more that is not a message than it had, none is cut off.
func TestPagesInAnotherLanguage(t *testing.T) {
	s := demoSite(t)
	known := typedByOthers(t, s)
	held := messagetest.Hold(t, leftFile)
	for _, pattern := range slices.Sorted(maps.Keys(samples)) {
		path := samples[pattern].path
		a := s.get(path, "Accept-Language", "qps")
		if path == "" || !strings.HasPrefix(a.Header.Get("Content-Type"), "text/html") {
			continue
		}
		p := parse(t, a.body)
		if got := value(p.find("html")[0], "lang"); got != "qps" {
			t.Errorf("%s is in %q", path, got)
		}
		left := leftIn(p, known)
		left.Open = strings.Count(a.body, languages.Opens) - strings.Count(a.body, languages.Closes)
		held.Check(t, path, left)
	}
	held.Done(t)
}

// typedByOthers leaves out what the yard's sheets and entries hold: names and notes are the same in any language.
func typedByOthers(t *testing.T, s *site, keys ...string) *strings.Replacer {
	t.Helper()
	y, err := s.server.yards.open()
	if err != nil {
		t.Fatal(err)
	}
	made, err := madeDemo()
	if err != nil {
		t.Fatal(err)
	}
	for _, source := range y.Catalogue.Sources() {
		keys = append(keys, source.ID) // the key that leads to it
	}
	for _, v := range y.Vehicles() {
		for i := range v.Positions {
			keys = append(keys, v.Positions[i].Where) // somebody's words, also where they are one in small letters
		}
	}
	return messagetest.Known(keys, y.Settings, y.Vehicles(), made.entries)
}

// unread are the elements whose text is not read, or kept as it was typed.
var unread = []string{"script", "style", "textarea", "code", "pre", "noscript"}

// leftIn gives what of a page is no whole message.
func leftIn(p parsed, known *strings.Replacer) (left messagetest.Left) {
	for n := range p.root.Descendants() {
		var given any // to a script
		switch {
		case n.Type == html.TextNode && n.Parent.Data == "template" && json.Unmarshal([]byte(n.Data), &given) == nil:
			readGiven(&left, given, known)
		case n.Type == html.TextNode && !slices.Contains(unread, n.Parent.Data):
			if !goesOn(n.Parent) {
				left.Read(inLines(n), known)
			}
		case n.Type == html.ElementNode:
			for _, name := range []string{"title", "aria-label", "placeholder", "alt"} {
				left.Read(value(n, name), known)
			}
		}
	}
	return left
}

// goesOn reports whether an element is a further line of a drawing's text: one below the other, alike. A name that is
// broken over two lines is known only when these are read as one. A line that opens a message begins anew.
func goesOn(n *html.Node) bool {
	b := n.PrevSibling
	return n.Data == "text" && n.FirstChild != nil &&
		b != nil && b.Data == "text" && value(b, "class") == value(n, "class") &&
		value(b, "x") == value(n, "x") && !strings.HasPrefix(n.FirstChild.Data, languages.Opens)
}

// inLines is a text of a page with the lines that go on from it.
func inLines(n *html.Node) string {
	s := n.Data
	for next := n.Parent.NextSibling; next != nil && goesOn(next); next = next.NextSibling {
		s += " " + next.FirstChild.Data
	}
	return s
}

// key matches what is no text of what a script is given: what only scripts read, and addresses.
var key = regexp.MustCompile(`^([a-z0-9-]*|/[^ ]*)$`)

func readGiven(left *messagetest.Left, given any, known *strings.Replacer) {
	switch given := given.(type) {
	case string:
		if !key.MatchString(given) {
			left.Read(given, known)
		}
	case []any:
		for _, v := range given {
			readGiven(left, v, known)
		}
	case map[string]any:
		for _, v := range given {
			readGiven(left, v, known)
		}
	}
}

// TestScriptsInAnotherLanguage: what scripts write while a round and a job sheet are worked through, with a connection
// and without, while a task is moved, a run measured, a recording asked for and cracks are counted, leaves no more in
// English than the pages that they came with.
func TestScriptsInAnotherLanguage(t *testing.T) {
	s := demoSite(t)
	b := openBrowser(t)
	known := typedByOthers(t, s)
	as := emulation.SetUserAgentOverrideParams{UserAgent: "a phone", AcceptLanguage: "qps"}
	if _, err := chromedp.Call(b.ctx, emulation.SetUserAgentOverride, as); err != nil {
		t.Fatal(err)
	}
	b.at(390, 844)
	var sent []string
	read := 0
	open := func(path string) {
		t.Helper()
		sent = leftIn(parse(t, s.get(path, "Accept-Language", "qps").body), known).English
		b.do(chromedp.Navigate(s.url + path))
	}
	look := func(where string) {
		t.Helper()
		read++
		shown := leftIn(parse(t, js[string](b, "document.documentElement.outerHTML")), known)
		for _, text := range shown.English {
			if !slices.Contains(sent, text) {
				t.Errorf("%s: a script leaves in English: %s", where, text)
			}
		}
	}
	touch := func(selector string) {
		t.Helper()
		js[any](b, fmt.Sprintf(`[...document.querySelectorAll(%q)].find(e => e.checkVisibility()).click()`, selector))
	}
	open("/v/heron/round?at=main-belt")
	b.until(`document.querySelector("[data-for=start]").checkVisibility()`)
	for range 12 { // until a stop is shown
		look("on the way")
		if js[bool](b, `document.querySelector("[data-do=something]").checkVisibility()`) {
			break
		}
		touch(".walk button.main")
	}
	touch("[data-do=sound]")
	look("a stop that is sound")
	touch("[data-do=unseen]")
	look("a stop that was not seen")
	touch("[data-do=something]")
	look("the checks of a stop")
	touch(".picks button")
	look("a check")
	touch("[data-do=end]")
	look("the end")
	s.away.Store(true)
	js[any](b, keepRound)
	b.until(someWait)
	look("a round that waits")
	touch("#waits button")
	look("what waits")
	s.away.Store(false)
	open("/v/heron/job")
	b.until(`document.querySelector("#ticks [data-plain]") === null`)
	s.away.Store(true)
	touch("#ticks [name=step]")
	b.until(`document.querySelector("#ticks .fate")?.textContent > ""`)
	look("a tick that waits")
	s.away.Store(false)
	open("/v/heron/plan")
	touch("#visit-1 > summary")
	touch("a.move")
	look("months to move to")
	touch("#mover .months button")
	b.until(`!document.querySelector("#mover .said").textContent.includes("…")`)
	look("what a month costs")
	open("/v/heron/measure?run=main-run")
	for _, hand := range []string{"rim", "along", "move"} {
		js[any](b, fmt.Sprintf(`document.querySelector("[name=hand][value=%s]").click()`, hand))
		look("measuring: " + hand)
	}
	open("/v/heron/listen")
	look("a recording")
	open(countAt)
	b.until(`document.getElementById("take")?.dataset.ready === ""`)
	b.hand("#photo", jpegOf(t, crackedBelt()))
	b.until(countRead)
	look("a count")
	if read < 16 {
		t.Errorf("only %d screens were read", read)
	}
}

// cutOff are the elements of a page whose text is wider than they are and cannot be moved to; names at the head and
// what is typed into a field give way in every language.
const cutOff = `[...document.querySelectorAll("main *, header *, footer *")].filter(e => e.clientWidth > 1 &&
  e.scrollWidth > e.clientWidth + 1 && ["hidden", "clip"].includes(getComputedStyle(e).overflowX) &&
  !e.closest("svg, .bar") && !e.matches("input") && e.checkVisibility()).map(e => e.outerHTML.slice(0, 120))`

// With texts 40 % longer nothing is cut off and no page scrolls sideways on a phone, or at 320 px.
func TestLongerWordsFit(t *testing.T) {
	s := demoSite(t)
	b := openBrowser(t)
	as := emulation.SetUserAgentOverrideParams{UserAgent: "a phone", AcceptLanguage: "qps"}
	if _, err := chromedp.Call(b.ctx, emulation.SetUserAgentOverride, as); err != nil {
		t.Fatal(err)
	}
	for _, path := range strings.Fields(`/ /plan /kinds/ribbed-belt /settings /v/heron /v/heron/p/main-belt
		/v/heron/round?at=main-belt /v/heron/job /v/heron/plan /v/heron/trip?distance=2400 /v/heron/run/main-run
		/v/heron/listen /v/heron/sheet/p/top-hose /v/heron/journal /v/heron/handover?for=mechanic`) {
		b.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(s.url+path))
		if lang := js[string](b, "document.documentElement.lang"); lang != "qps" {
			t.Fatalf("%s is in %q", path, lang)
		}
		for _, width := range []int64{390, 320} {
			b.do(chromedp.EmulateViewport(width, 844))
			if over := js[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
				t.Errorf("%s at %d px is %d px too wide: %s", path, width, over, js[string](b, widest))
			}
			if cut := js[[]string](b, cutOff); len(cut) > 0 {
				t.Errorf("%s at %d px: cut off: %s", path, width, strings.Join(cut, "\n"))
			}
		}
	}
}

// What a device keeps is in its language, and it is told when that is another.
func TestKeptPagesInAnotherLanguage(t *testing.T) {
	s := demoSite(t)
	in := func(language, stand string) answer {
		return s.get("/v/heron/kept", "Accept-Language", language, "If-None-Match", stand)
	}
	english := in("en", "")
	if a := in("en", english.Header.Get("ETag")); a.StatusCode != http.StatusNotModified {
		t.Errorf("the same pages: %s", a.Status)
	}
	if a := in("qps", english.Header.Get("ETag")); !strings.Contains(a.body, `lang=\"qps\"`) ||
		strings.Contains(a.body, `lang=\"en-GB\"`) {
		t.Errorf("pages of another language: %s, %.200s", a.Status, a.body)
	}
}

// In English nothing is rewritten, and no header or tag by accident chooses another language.
func TestEnglishIsTheTemplates(t *testing.T) {
	s := demoSite(t)
	want := s.get("/v/heron/trip?distance=2400")
	for _, asked := range []string{"en-US,en;q=0.5", "de,en;q=0.1", "en,qps;q=0.9", "x-qps", "qpsx"} {
		if got := s.get("/v/heron/trip?distance=2400", "Accept-Language", asked); got.body != want.body {
			t.Errorf("%s: another page", asked)
		}
	}
	for name, p := range s.server.pages {
		n := 0
		p.in.Range(func(any, any) bool { n++; return true })
		if n != 1 {
			t.Errorf("%s is set in %d languages", name, n)
		}
	}
}
