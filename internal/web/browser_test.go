package web

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// browser is one tab and what it complained of.
type browser struct {
	t   *testing.T
	ctx context.Context

	mu   sync.Mutex
	said []string
}

// openBrowser starts the machine's Chromium; without one the test is skipped,
// and fails where CI is set.
func openBrowser(t *testing.T, more ...chromedp.ExecAllocatorOption) *browser {
	t.Helper()
	name := "chromium-headless-shell" // Debian's Chromium without its windows, which takes a quarter to start
	if len(more) > 0 {
		name = "chromium" // with a microphone, or as one installs it
	}
	path, err := exec.LookPath(name)
	if err != nil {
		path, err = exec.LookPath("chromium")
	}
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("chromium is not here")
		}
		t.Skip("chromium is not here")
	}
	// The sandbox needs rights that a build machine does not give; the pages
	// come from this test alone.
	options := append([]chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.Headless, chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true)}, more...)
	alloc, stop := chromedp.NewExecAllocator(t.Context(), options...)
	ctx, closeTab := chromedp.NewContext(alloc)
	b := &browser{t: t, ctx: ctx}
	b.do(chromedp.Navigate("about:blank"))
	t.Cleanup(func() { closeTab(); stop() })
	err = chromedp.Listen(ctx, func(ev any) {
		switch ev := ev.(type) {
		case *runtime.EventConsoleAPICalled:
			b.complain(fmt.Sprintf("console %s", ev.Type))
		case *runtime.EventExceptionThrown:
			b.complain("exception " + ev.ExceptionDetails.Text)
		case *cdplog.EventEntryAdded:
			b.complain(ev.Entry.Text + " " + ev.Entry.URL)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// tabAt opens an address in another tab of the same browser.
func (b *browser) tabAt(url string) *browser {
	b.t.Helper()
	ctx, closeTab := chromedp.NewContext(b.ctx)
	b.t.Cleanup(closeTab)
	tab := &browser{t: b.t, ctx: ctx}
	tab.do(chromedp.Navigate(url))
	return tab
}

func (b *browser) complain(what string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.said = append(b.said, what)
}

// quiet fails if the browser has complained since it was last asked.
func (b *browser) quiet(where string) {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, s := range b.said {
		b.t.Errorf("%s: the browser says %s", where, s)
	}
	b.said = nil
}

func (b *browser) do(actions ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	for _, a := range actions {
		if _, err := chromedp.Run(b.ctx, a); err != nil {
			b.t.Fatal(err)
		}
	}
}

// js evaluates an expression in the page.
func js[T any](b *browser, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// answer puts a value into the field that an expression finds, as if it had
// been typed.
func (b *browser) answer(field, value string) {
	b.t.Helper()
	js[any](b, fmt.Sprintf(`(e => { e.value = %q; e.dispatchEvent(new Event("change", {bubbles: true})) })(%s)`, value,
		field))
}

// until waits for an expression to become true of a page that has been read
// whole.
func (b *browser) until(expression string) {
	b.t.Helper()
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		v, err := chromedp.Run(b.ctx,
			chromedp.Evaluate[bool](`document.readyState === "complete" && `+"("+expression+")"))
		// the page left while it was asked: ask the next one
		if err != nil && !strings.Contains(err.Error(), "navigated") {
			b.t.Fatalf("%s: %v", expression, err)
		}
		if err == nil && v {
			return
		}
	}
	b.t.Fatalf("never came true: %s\n%s", expression,
		js[string](b, "document.querySelector('main')?.innerText.slice(0, 400) ?? ''"))
}

const widest = `[...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest("textarea, code"))
	.slice(0, 3).map(e => e.tagName + "." + e.className + " " + (e.textContent ?? "").trim().slice(0, 40)).join("; ")`

// restVoltage is a field of a round, out of the order of its stops: what is about to be printed has its questions
// unfolded.
const restVoltage = `(dispatchEvent(new Event("beforeprint")), document.querySelector("[name='a.battery.rest-voltage']"))`

// TestARoundWaitsForAConnection: what is kept without a connection waits on
// the device, is sent once there is one, and lands once.
func TestARoundWaitsForAConnection(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(s.url+"/v/heron/round"))
	field := restVoltage
	b.until(field + ` !== null && navigator.serviceWorker.controller !== null`) // so that the other tab opens
	b.answer(field, "11.4")
	s.away.Store(true)
	js[any](b, keepRound)
	b.until(waitsHere)
	if n := s.journal.landings.Load(); n != 0 {
		t.Fatalf("%d landings without a connection", n)
	}
	s.landsOnce(b, "/v/heron")
	if js[bool](b, `localStorage.getItem("round heron") !== null`) {
		t.Error("what was sent is still a draft, and would come back in the next round")
	}
	b.do(chromedp.Navigate(s.url + "/v/heron"))
	if js[bool](b, someWait) {
		t.Error("what was sent still waits")
	}
	b.quiet("the round that waited")
}

// What the lines beside buttons say.
const (
	fates     = `[...document.querySelectorAll(".fate")].map(e => e.textContent).join(" ")`
	waitsHere = fates + `.includes("Waits on this device since")`
	sentHere  = fates + `.includes("Sent ")`
)

const someWait = `Object.keys(localStorage).some(key => key.startsWith("waiting "))`

// landsOnce lets what waits on a device land with its reply lost; then two tabs send it
// at once, three times each.
func (s *site) landsOnce(b *browser, page string) {
	s.t.Helper()
	before := s.journal.landings.Load()
	s.away.Store(false)
	s.mute.Store(true)
	js[any](b, `dispatchEvent(new Event("online"))`)
	for end := time.Now().Add(20 * time.Second); s.journal.landings.Load() == before &&
		time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
	}
	if !js[bool](b, someWait) {
		s.t.Error("without a reply it no longer waits")
	}
	other := b.tabAt(s.url + page) // another tab, which sends what waits too
	s.mute.Store(false)
	var tabs sync.WaitGroup
	for _, tab := range []*browser{b, other} {
		tabs.Go(func() { js[any](tab, `for (let n = 0; n < 3; n++) dispatchEvent(new Event("online"))`) })
	}
	tabs.Wait()
	for _, tab := range []*browser{b, other} {
		tab.until(sentHere + ` || !` + someWait)
	}
	b.said = nil // the browser notes what could not be fetched, as it should
	if n := s.journal.landings.Load() - before; n != 1 {
		s.t.Errorf("%d landings", n)
	}
}

// TestARoundOpensWithoutAConnection: a round that was opened once opens again
// where the server is not reached, and two kept that way are two batches.
func TestARoundOpensWithoutAConnection(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(s.url+"/v/heron"))
	b.until(`navigator.serviceWorker.controller !== null`)
	b.do(chromedp.Navigate(s.url+"/v/heron/round"), chromedp.Navigate(s.url+"/v/heron"))
	s.away.Store(true)
	field := restVoltage
	for _, volts := range []string{"11.4", "12.7"} {
		b.do(chromedp.Navigate(s.url + "/v/heron/round"))
		b.until(field + ` !== null`)
		b.answer(field, volts)
		js[any](b, keepRound)
		b.until(waitsHere)
		js[any](b, `localStorage.removeItem("round heron")`)
	}
	b.do(chromedp.Navigate(s.url + "/v/heron/plan"))
	b.until(`document.querySelector("h1")?.textContent.startsWith("The server is not reached") === true`)
	s.away.Store(false)
	b.do(chromedp.Navigate(s.url + "/v/dunnock"))
	b.until(`Object.keys(localStorage).every(key => !key.startsWith("waiting "))`)
	if n := s.journal.landings.Load(); n != 2 {
		t.Errorf("%d landings of two rounds", n)
	}
}

// TestItCanBeInstalled: Chromium has nothing against keeping the pages as an app of
// their own, and takes the manifest without a fault.
func TestItCanBeInstalled(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.Navigate(s.url + "/v/heron"))
	b.until(`navigator.serviceWorker.controller !== null`)
	got, err := chromedp.Call(b.ctx, page.GetInstallabilityErrors, cdp.Empty{})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range got.InstallabilityErrors {
		t.Errorf("%s %v", f.ErrorID, f.ErrorArguments)
	}
	manifest, err := chromedp.Call(b.ctx, page.GetAppManifest, page.GetAppManifestParams{})
	if err != nil || manifest.URL == "" || len(manifest.Errors) > 0 {
		t.Errorf("manifest %q: %v, %v", manifest.URL, manifest.Errors, err)
	}
}

func TestRoundWithoutScript(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	if _, err := chromedp.Call(b.ctx, emulation.SetScriptExecutionDisabled,
		emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	b.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(s.url+"/v/heron/round"))
	b.until(`location.search !== ""`) // the page goes on to one that needs no script
	b.do(chromedp.SendKeys(chromedp.CSS(`[name="a.battery.rest-voltage"]`), "11.4"),
		chromedp.Click(chromedp.CSS(`#round .walk [data-for=end]`)))
	end := time.Now().Add(10 * time.Second)
	for s.journal.landings.Load() == 0 && time.Now().Before(end) {
		time.Sleep(50 * time.Millisecond)
	}
	if n := s.journal.landings.Load(); n != 1 {
		t.Errorf("%d landings", n)
	}
}

func TestAnOpeningLightsUp(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.EmulateViewport(1280, 844), chromedp.Navigate(s.url+"/v/heron"))
	before := js[int](b, `document.querySelectorAll("tr.lit, svg .lit").length`)
	js[any](b, `document.querySelector(".openings a[href*=undertray]").click()`)
	b.until(`document.querySelectorAll("tr.lit").length > 0 && document.querySelectorAll("svg .lit").length > 0`)
	if before != 0 || js[string](b, "location.search") != "?open=undertray" {
		t.Errorf("%d lit before; the address is %s", before, js[string](b, "location.href"))
	}
	b.quiet("an opening")
}

// Every link, button and field is reached with the tab key, in the order of
// the page, and shows that it is reached.
func TestKeyboard(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	for _, path := range []string{"/", "/v/heron/add", "/v/heron/round"} {
		b.do(chromedp.EmulateViewport(1280, 844), chromedp.Navigate(s.url+path))
		js[any](b, `window.reached = []; document.addEventListener("focusin", e => reached.push(e.target)); 0`)
		want := js[int](b, `(window.targets = [...document.querySelectorAll("a[href],button,input:not([type=hidden]),select,textarea,summary")]
			.filter(e => e.checkVisibility() && !(e.type === "radio" && !e.checked))).length`)
		for range want + 30 { // a date field holds several stops
			b.do(chromedp.KeyEvent("\t"))
		}
		missed := js[[]string](b, `targets.filter(e => !reached.includes(e)).map(e => e.tagName + " " + (e.name || e.textContent.trim()).slice(0, 30))`)
		if len(missed) > 0 {
			t.Errorf("%s: the tab key misses %s", path, strings.Join(missed, "; "))
		}
		order := js[[]int](b, `[...new Set(reached)].map(e => targets.indexOf(e)).filter(i => i >= 0)`)
		if !slices.IsSorted(order[:min(len(order), want)]) {
			t.Errorf("%s: the tab key jumps about: %v", path, order)
		}
	}
	b.do(chromedp.Navigate(s.url+"/v/heron"), chromedp.KeyEvent("\t"))
	if width := js[string](b, `getComputedStyle(document.activeElement).outlineWidth`); width == "0px" ||
		js[string](b, "document.activeElement.className") != "skip" {
		t.Errorf("the first stop is %q with an outline of %s", js[string](b, "document.activeElement.className"), width)
	}
}

// TestTheDaysOfAPlanComeIn: a vehicle's page that is shown before there is a plan has
// its days once it is made, and nothing is loaded again for it.
func TestTheDaysOfAPlanComeIn(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	if got := s.page("/v/heron").text("main"); !strings.Contains(got, "at the next visit.") {
		t.Fatalf("it has a plan already: %q", got)
	}
	b.do(chromedp.Navigate(s.url + "/v/heron"))
	js[any](b, `window.same = true`)
	b.until(`/at the next visit, on \d/.test(document.querySelector("main").innerText)`)
	if !js[bool](b, `window.same === true && !document.querySelector("[data-plan]")`) {
		t.Error("the page was loaded anew, or does not name its visit")
	}
}
