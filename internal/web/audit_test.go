package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// audited lists an address of every kind of page.
var audited = []string{"/", "/v/heron", "/v/heron?by=system", "/v/heron?open=undertray", "/v/heron/p/main-belt",
	"/v/dunnock/p/tyres", "/v/heron/p/top-hose", "/v/dunnock", "/v/bittern",
	"/kinds/ribbed-belt/means?check=cracks&answer=9",
	"/v/heron/sheet/add?from=below&x=20&y=40", "/v/heron/sheet/p/top-hose", "/v/heron/sheet/o/undertray",
	"/v/heron/sheet/head", "/v/heron/walk", "/v/heron/known",
	"/v/heron/round", "/v/heron/round?open=all", "/v/heron/listen", "/v/heron/run", "/v/bittern/run/tipper-run",
	"/v/heron/measure?run=main-run", countAt,
	"/v/heron/job", "/v/heron/record", "/v/heron/handover", "/v/heron/handover?for=driver", "/take",
	"/v/heron/journal", "/v/heron/pictures?position=main-belt",
	"/v/heron/add", "/v/heron/sheet", "/v/heron/plan?also=water-pump&day=2026-12-05", "/v/heron/plan", "/plan",
	"/plan/parts", "/v/heron/plan/parts", "/v/heron/plan?move=main-belt&to=2027-09", "/v/heron/trip?distance=3000",
	"/v/bittern/trip?distance=2400", "/v/dunnock/plan",
	"/reckoning", "/kinds", "/kinds/ribbed-belt", "/search?q=belt", "/new", "/settings", "/v/heron/settings",
	"/nowhere"}

// withInHand lists the pages, with those of a job sheet that is worked through; of a site where that
// of the Dunnock is.
func withInHand(s *site) []string {
	s.workThrough(hoseSheet, 6)
	return append(slices.Clone(audited), "/v/dunnock/job", "/v/dunnock/job/done")
}

// pageTools returns a file of the page checkers, which scripts/setup installs.
func pageTools(t *testing.T, name string) string {
	t.Helper()
	path, err := filepath.Abs(filepath.Join("..", "..", "tools", "web", "node_modules", filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); err == nil {
		return path
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("%s is not here: run scripts/setup", name)
	}
	t.Skipf("%s is not here: run scripts/setup", name)
	return ""
}

// violation is one finding of axe-core.
type violation struct {
	ID    string `json:"id"`
	Help  string `json:"help"`
	Nodes []struct {
		HTML    string `json:"html"`
		Summary string `json:"failureSummary"`
	} `json:"nodes"`
}

// What axe-core is asked: everything by day; by night the markup is the same
// and only the tones differ.
const (
	wcag22       = `["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]`
	contrastOnly = `{type: "rule", values: ["color-contrast"]}`
)

// TestEveryPageInABrowser opens every kind of page once. No width scrolls sideways, 320 px, that of a phone held
// upright at 400 % zoom of a desk (WCAG 2.2, 1.4.10), included; nothing is said on the console; on a phone the head
// is one line, the page keeps to its budget and nothing moved after it was drawn. axe-core goes over it by day and
// by night, against WCAG 2.2 A and AA. Source: W3C, Web Content Accessibility Guidelines 2.2, by the rules of axe-core.
func TestEveryPageInABrowser(t *testing.T) {
	axe, err := os.ReadFile(pageTools(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	s := demoSite(t)
	b := openBrowser(t)
	for _, path := range withInHand(s) {
		b.do(chromedp.EmulateViewport(320, 844), chromedp.Navigate(s.url+path))
		b.stoodStill(path)
		for _, width := range []int64{320, 1280, 390} {
			b.do(chromedp.EmulateViewport(width, 844))
			if over := js[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
				t.Errorf("%s at %d px is %d px too wide: %s", path, width, over, js[string](b, widest))
			}
		}
		if path == "/nowhere" {
			b.said = nil // the browser itself says that it is not there
		}
		b.quiet(path)
		for _, as := range [...]struct{ scheme, rules string }{{"dark", contrastOnly}, {"light", wcag22}} {
			b.prefer(as.scheme)
			for _, v := range b.auditHere(string(axe), as.rules) {
				for _, n := range v.Nodes {
					t.Errorf("%s, %s: %s (%s): %s %s", path, as.scheme, v.Help, v.ID, n.HTML, n.Summary)
				}
			}
		}
		b.oneLineHead(path)
		b.within(path)
	}
}

// prefer makes the browser ask for light or dark pages.
func (b *browser) prefer(scheme string) {
	b.t.Helper()
	wish := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme",
		Value: scheme}}}
	if _, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, wish); err != nil {
		b.t.Fatal(err)
	}
}

// audit returns what axe-core finds on one page. The page's own policy forbids
// foreign script, so axe is run by the debugger, which the policy does not
// bind.
func (b *browser) audit(url, axe, rules string) []violation {
	b.t.Helper()
	b.do(chromedp.Navigate(url))
	return b.auditHere(axe, rules)
}

// auditHere returns what axe-core finds on the page as it stands.
func (b *browser) auditHere(axe, rules string) []violation {
	b.t.Helper()
	run := `axe.run(document, {runOnly: ` + rules +
		`, resultTypes: ["violations"]}).then(r => JSON.stringify(r.violations))`
	if !js[bool](b, `"axe" in window`) { // it stays until another page is opened
		b.do(chromedp.Evaluate[chromedp.Void](axe + ";0"))
	}
	out, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](run, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatal(err)
	}
	var found []violation
	if err := json.Unmarshal([]byte(out), &found); err != nil {
		b.t.Fatalf("%v in %q", err, out)
	}
	return found
}

// TestPagesAreValid holds every page's markup against the HTML standard by
// html-validate.
func TestPagesAreValid(t *testing.T) {
	s := demoSite(t)
	dir := t.TempDir()
	for i, path := range withInHand(s) {
		resp, err := http.Get(s.url + path)
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(resp.Body)
		resp.Body.Close()
		if err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprintf("%02d%s.html", i, strings.NewReplacer("/", "_", "?", "_", "=", "_").Replace(path))
		if err := os.WriteFile(filepath.Join(dir, name), body, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	validMarkup(t, dir)
}

// TestLighthouse: on the phone that Lighthouse makes believe (412 px, slow 4G, a processor four times as
// slow, worked out from a load that is not slowed down) the pages of the car are accessible, keep to the
// practices, and do not move under a finger. That they are there at once is asked with UNDERTRAY_SOAK alone:
// it is a time, which other work makes longer, so that a page has three tries then.
func TestLighthouse(t *testing.T) {
	pageTools(t, "lighthouse")
	chromium, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not here")
	}
	t.Setenv("CHROME_PATH", chromium)
	s := demoSite(t)
	s.workThrough(hoseSheet, 6)
	left := []string{s.url + "/v/heron", s.url + longRound, s.url + "/v/dunnock/job"}
	for try := 1; len(left) > 0; try++ {
		var again []string
		for i, seen := range lighthouse(t, left) {
			if seen.RuntimeError.Code == "" {
				seen.holds(t, left[i])
			}
			score, enough := seen.Categories["performance"].Score, 0.95
			if os.Getenv("UNDERTRAY_SOAK") == "" {
				enough = 0
			}
			if seen.RuntimeError.Code != "" || score < enough {
				again = append(again, left[i])
				if try == 3 {
					t.Fatalf("%s: Lighthouse gives its performance %.2f, at least %.2f is wanted: %s", left[i], score,
						enough, seen.RuntimeError.Message)
				}
			}
		}
		left = again
	}
}

// lightSeen is what Lighthouse found on a page.
type lightSeen struct {
	RuntimeError struct{ Code, Message string } // where it came to nothing
	Categories   map[string]struct{ Score float64 }
	Audits       map[string]struct {
		Title, DisplayValue string
		Score               *float64 // nil: it does not apply, or tells only
		NumericValue        float64
	}
}

// lighthouse looks at pages one after the other.
func lighthouse(t *testing.T, urls []string) []lightSeen {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), "node", append([]string{"lighthouse.mjs"}, urls...)...)
	cmd.Dir, cmd.Stderr = filepath.Join("..", "..", "tools", "web"), os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	seen := make([]lightSeen, len(urls))
	in := json.NewDecoder(bytes.NewReader(out))
	for i := range seen {
		if err := in.Decode(&seen[i]); err != nil {
			t.Fatal(urls[i], err)
		}
	}
	return seen
}

// holds fails where something is amiss that no load of the machine excuses.
func (l *lightSeen) holds(t *testing.T, path string) {
	t.Helper()
	audit := func(id string) float64 {
		a, ok := l.Audits[id]
		if !ok {
			t.Errorf("%s: Lighthouse says nothing of %s", path, id)
		}
		return a.NumericValue
	}
	for _, id := range []string{"accessibility", "best-practices"} {
		if l.Categories[id].Score != 1 {
			for _, a := range l.Audits {
				if a.Score != nil && *a.Score < 1 {
					t.Errorf("%s: %s %.2f: %s %s", path, id, l.Categories[id].Score, a.Title, a.DisplayValue)
				}
			}
		}
	}
	// Below half a thousandth nothing is seen to move: less than half a pixel of what fills the window.
	if shift := audit("cumulative-layout-shift"); shift >= 0.0005 {
		t.Errorf("%s: what is drawn first moves by %.4f", path, shift)
	}
	t.Logf("%s: %.2f; %.0f bytes in all, %.0f elements, first drawn after %.1f s, %.0f ms blocked",
		path, l.Categories["performance"].Score, audit("total-byte-weight"), audit("dom-size"),
		audit("first-contentful-paint")/1000, audit("total-blocking-time"))
}

// TestScriptsAreTyped checks the static modules' JSDoc types with tsc.
func TestScriptsAreTyped(t *testing.T) {
	tool := pageTools(t, ".bin/tsc")
	cmd := exec.Command(tool, "-p", ".")
	cmd.Dir = filepath.Join("..", "..", "tools", "web")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("tsc: %v\n%s", err, out)
	}
}
