package web

import (
	"fmt"
	"os"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// mostHeader is how high the head of a page may be on a phone, in px.
const mostHeader = 56

// TestHeaderIsOneLine: on a phone the head of every page is one line without script. With it,
// TestEveryPageInABrowser looks.
func TestHeaderIsOneLine(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	if _, err := chromedp.Call(b.ctx, emulation.SetScriptExecutionDisabled,
		emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	for _, path := range append([]string{"/v/heron/round?whole=1"}, audited...) {
		if p := parse(t, s.get(path).body); len(p.find("noscript meta")) > 0 {
			continue // it goes on to another at once
		}
		b.do(chromedp.Navigate(s.url + path))
		b.oneLineHead(path + " without script")
	}
}

// oneLineHead looks at the head of the page that is open, at the widths of phones.
func (b *browser) oneLineHead(page string) {
	b.t.Helper()
	for _, width := range []int64{360, 390, 412} {
		where := fmt.Sprintf("%s at %d px", page, width)
		b.do(chromedp.EmulateViewport(width, 664, chromedp.EmulateMobile, chromedp.EmulateTouch))
		high := js[float64](b, `document.querySelector("header").getBoundingClientRect().bottom + scrollY`)
		if high > mostHeader || high < 44 {
			b.t.Errorf("%s: the head ends at %.0f px", where, high)
		}
		if low := js[float64](b, lowestOf(".bar a, .bar button")); low < 44 {
			b.t.Errorf("%s: a target in the head is %.0f px high", where, low)
		}
	}
}

// lowestOf is the height of the lowest of the elements shown.
func lowestOf(selector string) string {
	return fmt.Sprintf(`Math.min(...[...document.querySelectorAll(%q)].filter(e => e.checkVisibility()).map(e => e.getBoundingClientRect().height))`,
		selector)
}

// TestMenuByKeyboard: without script the key opens the menu over the page, the tab
// key goes through it, search is in it, and escape leads back. By axe-core it is as
// accessible as the page.
func TestMenuByKeyboard(t *testing.T) {
	axe, err := os.ReadFile(pageTools(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.EmulateViewport(360, 560))
	for _, off := range []bool{true, false} {
		if _, err := chromedp.Call(b.ctx, emulation.SetScriptExecutionDisabled,
			emulation.SetScriptExecutionDisabledParams{Value: off}); err != nil {
			t.Fatal(err)
		}
		b.do(chromedp.Navigate(s.url + "/v/heron/round?whole=1")) // to which it goes on without script
		top := js[float64](b, `document.querySelector("h1").getBoundingClientRect().top`)
		if js[bool](b, `document.querySelector("#menu").checkVisibility()`) {
			t.Error("the menu is open to begin with")
		}
		for range 4 { // to the content, the yard, the vehicle, the menu
			b.do(chromedp.KeyEvent("\t"))
		}
		b.do(chromedp.KeyEvent(kb.Enter))
		b.until(`document.querySelector("#menu").checkVisibility()`)
		if now := js[float64](b, `document.querySelector("h1").getBoundingClientRect().top`); now != top {
			t.Errorf("the open menu moves the page from %.0f to %.0f px", top, now)
		}
		if low := js[float64](b, lowestOf("#menu a, #menu button, #menu input")); low < 44 {
			t.Errorf("the lowest target of the menu is %.0f px high", low)
		}
		reached := 0
		for range js[int](b, `document.querySelectorAll("#menu a, #menu button, #menu input").length`) {
			b.do(chromedp.KeyEvent("\t"))
			if js[bool](b, `document.activeElement.closest("#menu") !== null`) {
				reached++
			}
		}
		if want := js[int](b, `document.querySelectorAll("#menu a, #menu button, #menu input").length`); reached != want {
			t.Errorf("the tab key reaches %d of %d targets of the menu", reached, want)
		}
		b.do(chromedp.KeyEvent(kb.Escape))
		b.until(`!document.querySelector("#menu").checkVisibility()`)
		if at := js[string](b, `document.activeElement.textContent`); at != "Menu" {
			t.Errorf("escape leads to %q", at)
		}
		b.quiet("the menu")
	}
	for scheme, rules := range map[string]string{"light": wcag22, "dark": contrastOnly} {
		b.prefer(scheme)
		b.do(chromedp.Navigate(s.url + "/v/heron"))
		js[any](b, `document.querySelector("#menu").showPopover()`)
		for _, v := range b.auditHere(string(axe), rules) {
			t.Errorf("the menu, %s: %s (%s): %v", scheme, v.Help, v.ID, v.Nodes)
		}
	}
}
