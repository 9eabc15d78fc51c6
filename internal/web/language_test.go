package web

import (
	"bufio"
	"fmt"
	"maps"
	"net/http"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"golang.org/x/net/html"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// leftFile holds how many different texts each page of the demo yard still shows in English when it is asked for in
// the pseudo-language, and how many are pieces. Each may only go down; with UNDERTRAY_LEFT set it is written anew.
const leftFile = "testdata/left-in-english.txt"

// TestPagesInAnotherLanguage: no page has more that is not a message than it had, none is cut off.
func TestPagesInAnotherLanguage(t *testing.T) {
	s := demoSite(t)
	known := typedByOthers(t, s)
	held, had := heldLeft(t), map[string]bool{}
	var now strings.Builder
	all := map[string]bool{}
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
		left, pieces := leftIn(p, known)
		if n := strings.Count(a.body, message.Opens) - strings.Count(a.body, message.Closes); n != 0 {
			t.Errorf("%s: %d messages are cut off", path, n)
		}
		if h, ok := held[path]; ok && (len(left) > h[0] || len(pieces) > h[1]) || !ok && len(left)+len(pieces) > 0 {
			t.Errorf("%s: %d texts are left in English and %d in pieces, at most %v:\n%s", path, len(left), len(pieces),
				h, strings.Join(append(left, pieces...), "\n"))
		}
		if show := os.Getenv("UNDERTRAY_SHOW"); show == path || show == "all" {
			t.Log(strings.Join(append(left, pieces...), "\n"))
		}
		had[path] = true
		for _, l := range left {
			all[l] = true
		}
		fmt.Fprintf(&now, "%d %d %s\n", len(left), len(pieces), path)
	}
	for path := range held {
		if !had[path] {
			t.Errorf("%s holds %s, which is no page", leftFile, path)
		}
	}
	t.Logf("%d texts are left in English on %d pages", len(all), len(had))
	if os.Getenv("UNDERTRAY_LEFT") != "" {
		if err := os.WriteFile(leftFile, []byte(now.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// heldLeft reads what each page may have.
func heldLeft(t *testing.T) map[string][2]int {
	t.Helper()
	f, err := os.Open(leftFile)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out := map[string][2]int{}
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var h [2]int
		var path string
		if _, err := fmt.Sscanf(lines.Text(), "%d %d %s", &h[0], &h[1], &path); err != nil {
			t.Fatalf("%s: %q: %v", leftFile, lines.Text(), err)
		}
		out[path] = h
	}
	return out
}

// typedByOthers leaves out what the yard's sheets and entries hold: names and notes are the same in any language.
func typedByOthers(t *testing.T, s *site) *strings.Replacer {
	t.Helper()
	y, err := s.server.yards.open()
	if err != nil {
		t.Fatal(err)
	}
	made, err := madeDemo()
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]bool{}
	gather(all, reflect.ValueOf(y.Settings))
	gather(all, reflect.ValueOf(y.Vehicles()))
	gather(all, reflect.ValueOf(made.entries))
	for _, source := range y.Catalogue.Sources() {
		all[source.ID] = true // the key that leads to it
	}
	var pairs []string
	for _, n := range slices.SortedFunc(maps.Keys(all), func(a, b string) int { return len(b) - len(a) }) {
		pairs = append(pairs, n, "")
	}
	return strings.NewReplacer(pairs...)
}

// word matches what is no name but a key within files: "cracks", "ribbed-belt".
var word = regexp.MustCompile(`^[a-z0-9-]*$`)

func gather(into map[string]bool, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			gather(into, v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			gather(into, v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			gather(into, v.Index(i))
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			gather(into, v.MapIndex(k))
		}
	case reflect.String:
		if s := v.String(); v.Type() == reflect.TypeFor[string]() && !word.MatchString(s) && len(s) > 2 {
			into[s], into[message.Capital(s)], into[message.LowerFirst(s)] = true, true, true
		}
	}
}

const months = "(Jan(uary)?|Feb(ruary)?|Mar(ch)?|Apr(il)?|May|June?|July?|Aug(ust)?|Sep(tember)?|Oct(ober)?|" +
	"Nov(ember)?|Dec(ember)?)"

var (
	dates      = regexp.MustCompile(`(\d{1,2} )?` + months + `( \d{4})?`)
	quantities = regexp.MustCompile(`[\d.,\x{202f}\x{a0}]+[ \x{a0}\x{202f}]?[A-Za-z°%·/²³]+`)
	unmarked   = regexp.MustCompile(`[A-Za-z’]*[acdeghijklnorstuwyzACDEGHIJKLNORSTUWYZ][A-Za-z’]*`)
	digits     = regexp.MustCompile(`\d[\d\x{202f}]*([.,]\d+)?`)
	inPieces   = regexp.MustCompile(`» *«\p{Ll}`)
)

// unread are the elements whose text is not read, or kept as it was typed.
var unread = []string{"script", "style", "textarea", "code", "pre", "noscript"}

// leftIn gives the different texts of a page that hold a word without marks, which is English, and those that are put
// together from messages. Figures are left out of them, so that a day's passing makes none.
func leftIn(p parsed, known *strings.Replacer) (left, pieces []string) {
	see := func(s string) {
		if inPieces.MatchString(s) {
			pieces = append(pieces, digits.ReplaceAllString(s, "0"))
		}
		rest := quantities.ReplaceAllStringFunc(dates.ReplaceAllString(known.Replace(s), ""), func(q string) string {
			if _, err := units.ParseAny(q); err == nil {
				return ""
			}
			return q
		})
		if words := unmarked.FindAllString(rest, -1); len(words) > 0 {
			left = append(left, digits.ReplaceAllString(strings.Join(strings.Fields(s), " "), "0"))
		}
	}
	for n := range p.root.Descendants() {
		switch {
		case n.Type == html.TextNode && !slices.Contains(unread, n.Parent.Data):
			see(n.Data)
		case n.Type == html.ElementNode:
			for _, name := range []string{"title", "aria-label", "placeholder", "alt"} {
				see(value(n, name))
			}
		}
	}
	slices.Sort(left)
	slices.Sort(pieces)
	return slices.Compact(left), slices.Compact(pieces)
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
