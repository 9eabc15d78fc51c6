package web

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// budget is how much of a page is in view before anything is unfolded, on a phone of 390 px: its words, and its
// height in px; 0: not bounded.
type budget struct{ words, height int }

// budgets are those of the pages that answer, by what their addresses look like. Measured on 30 November 2026, by the
// same test, before there were any: the yard 255 words, vehicles 1252 to 1417 and 9227 to 10465 px, positions 535 to
// 897 and 3681 to 6249 px, trips 850 to 950 and 4414 to 4871 px, plans 601 to 756 and 5024 to 6057 px, a step of a
// job 33 words.
var budgets = []struct {
	path *regexp.Regexp
	budget
}{
	{regexp.MustCompile(`^/$`), budget{words: 120}},
	{regexp.MustCompile(`^/v/[a-z]+$`), budget{250, 3200}},
	{regexp.MustCompile(`^/v/[a-z]+/p/[a-z-]+$`), budget{250, 3200}},
	{regexp.MustCompile(`^/v/[a-z]+/trip`), budget{200, 2400}},
	{regexp.MustCompile(`^/v/[a-z]+/count/then$`), budget{220, 2000}},
	{regexp.MustCompile(`^/v/[a-z]+/plan$`), budget{250, 3600}},
	{regexp.MustCompile(`^/plan$`), budget{250, 3600}},
}

// stepWords is how many words a step of a job takes, beside its cautions and its figures.
const stepWords = 20

// wordsInView counts what stands on a page before anything is unfolded: the words outside of closed details, of
// drawings, which are seen and not read, of controls and of what only print shows.
const wordsInView = `(() => {
  let n = 0
  const walk = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT)
  while (walk.nextNode()) {
    const t = walk.currentNode, e = t.parentElement
    if (e.closest("svg, script, select, textarea, template") || e.matches("details:not([open])")) continue
    if (!e.checkVisibility({contentVisibilityAuto: true, visibilityProperty: true})) continue
    n += (t.data.match(/[\p{L}\p{N}][^\s]*/gu) || []).length
  }
  return n
})()`

// within fails where a page has more to read, or is longer, than it may.
func (b *browser) within(path string) {
	b.t.Helper()
	for _, of := range budgets {
		if !of.path.MatchString(path) {
			continue
		}
		words, height := js[int](b, wordsInView), js[int](b, "document.documentElement.scrollHeight")
		b.t.Logf("%s: %d words in view, %d px", path, words, height)
		if words > of.words {
			b.t.Errorf("%s: %d words in view, at most %d are wanted", path, words, of.words)
		}
		if of.height > 0 && height > of.height {
			b.t.Errorf("%s: %d px high at 390 px, at most %d are wanted", path, height, of.height)
		}
	}
	for _, step := range js[[]string](b, `[...document.querySelectorAll("ol.steps .what")].map(e => e.textContent)`) {
		if n := len(strings.Fields(step)); n > stepWords {
			b.t.Errorf("%s: a step of %d words, at most %d are wanted: %s", path, n, stepWords, step)
		}
	}
}

// stoodStill fails where something moves after it was first drawn, now and when the page is opened again: on a
// machine with more to do than it can, a browser lets one page in some hundreds move, and never says why.
func (b *browser) stoodStill(path string) {
	b.t.Helper()
	seen := b.moved()
	if len(seen) > 0 {
		b.t.Logf("%s: opened again, for something moved: %s", path, seen)
		b.do(chromedp.Reload())
		seen = b.moved()
	}
	for _, s := range seen {
		b.t.Errorf("%s: something moved after it was drawn: %s", path, s)
	}
}

// moved is what moved on the page since it was first drawn.
func (b *browser) moved() []string {
	b.t.Helper()
	const shifts = `new Promise(done => {
  const seen = []
  new PerformanceObserver(list => {
    for (const e of list.getEntries()) seen.push(e.value.toFixed(5) + " " + e.sources.map(s =>
      (s.node && (s.node.outerHTML || s.node.textContent) || "gone").slice(0, 90)).join("; "))
  }).observe({type: "layout-shift", buffered: true})
  const last = () => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(() => done(seen), 30)))
  const begun = performance.now() // where the plan is still worked out, its day comes in later: that moves nothing either
  const wait = () => document.querySelector("[data-plan]") && performance.now() - begun < 15000 ? setTimeout(wait, 50) : last()
  wait()
})`
	seen, err := chromedp.Run(b.ctx, chromedp.Evaluate[[]string](shifts, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatal(err)
	}
	return seen
}

// The counting sees what it is to see: a fold's words are not in view, those of a drawing are not read.
func TestWordsInView(t *testing.T) {
	b := openBrowser(t)
	b.do(chromedp.Navigate(`data:text/html,<main>one two, <b>three</b> 4.<svg><text>no</text></svg><details>` +
		`<summary>five</summary>no no</details><details open><summary>six</summary>seven</details><p hidden>no</p></main>`))
	if n := js[int](b, wordsInView); n != 7 {
		t.Errorf("%d words are in view, not 7", n)
	}
}

// Nothing that a step orders is folded away: its line and what stands below it hold each of its words, be it
// "stop it at once"; only what to look for, and what else may be found, is unfolded by a touch.
func TestNothingOfAStepIsFolded(t *testing.T) {
	s, parted := demoSite(t), 0
	for _, id := range []string{"heron", "dunnock", "bittern"} {
		for _, n := range s.page("/v/" + id + "/job").find("ol.steps details summary") {
			if says := text(n); says != "What to look for" && says != "Found something else" {
				t.Errorf("%s: a step folds %q", id, says)
			}
		}
	}
	y, err := s.server.yards.open()
	if err != nil {
		t.Fatal(err)
	}
	plain := func(s string) string {
		words := strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(" .,;:", r) })
		return strings.ToLower(strings.Join(words, " "))
	}
	for _, k := range y.Catalogue.Kinds() {
		for _, a := range k.After {
			head, rest := stepShort(a.Do), stepRest(a.Do)
			if plain(head+" "+rest) != plain(a.Do) {
				t.Errorf("%q becomes %q and %q", a.Do, head, rest)
			}
			if rest != "" {
				parted++
			}
		}
	}
	if parted < 3 {
		t.Errorf("only %d steps are parted", parted)
	}
}

// A rule for every page is written once: one that stands again changes pages that nobody looked at.
func TestARuleOfStyleIsWrittenOnce(t *testing.T) {
	src, err := os.ReadFile("static/style.css")
	if err != nil {
		t.Fatal(err)
	}
	rule, depth, seen := regexp.MustCompile(`^([^@{}]+)\{`), 0, map[string]int{}
	for i, line := range strings.Split(string(src), "\n") {
		if at := rule.FindStringSubmatch(line); depth == 0 && at != nil {
			if before := seen[at[1]]; before > 0 {
				t.Errorf("static/style.css:%d: %s has a rule in line %d already", i+1, at[1], before)
			}
			seen[at[1]] = i + 1
		}
		depth += strings.Count(line, "{") - strings.Count(line, "}")
	}
	if len(seen) < 100 {
		t.Errorf("%d rules were read", len(seen))
	}
}
