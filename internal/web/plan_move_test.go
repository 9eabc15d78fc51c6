package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

// Without script: the form prices a move, the next one settles it, the plan
// lists it with its price, and takes it back. All of it are entries.
func TestMovesAreSettledByForm(t *testing.T) {
	s := demoSite(t)
	p := s.page("/v/heron/plan?move=main-belt&to=2027-09")
	if got := p.text(".lead"); !strings.HasPrefix(got, "Main drive belt in September 2027: costs €") ||
		!strings.Contains(got, "more, time and risk counted in") {
		t.Errorf("the price of a later belt: %q", got)
	}
	if n := len(s.page("/v/heron/plan").find("#settled")); n != 0 {
		t.Error("asking for a price has settled something")
	}
	a := s.post("/v/heron/plan/settled",
		url.Values{"batch": {journal.NewID()}, "position": {"main-belt"}, "month": {"2027-09"}})
	if a.StatusCode != http.StatusSeeOther {
		t.Fatalf("settling: %s %s", a.Status, a.body)
	}
	p = s.page("/v/heron/plan")
	if got := p.text("#settled li"); !strings.Contains(got, "Main drive belt in September 2027: costs €") {
		t.Errorf("settled: %q", got)
	}
	if got := s.page("/v/heron/record").text("main"); !strings.Contains(got, "to be changed in September 2027") {
		t.Error("the record does not tell what was settled")
	}
	entries, err := s.journal.Entries(t.Context(), journal.Filter{Vehicle: "heron", Type: fleet.TypeWish})
	if err != nil || len(entries) != 1 {
		t.Fatalf("%d entries: %v", len(entries), err)
	}
	if a := s.post("/v/heron/plan/settled/"+entries[0].ID+"/back", url.Values{}); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("taking back: %s", a.Status)
	}
	if n := len(s.page("/v/heron/plan").find("#settled")); n != 0 {
		t.Error("what was taken back still stands")
	}
}

func TestMovesRefuseNonsense(t *testing.T) {
	s := demoSite(t)
	for _, c := range []struct {
		form url.Values
		code int
		says string
	}{
		{url.Values{"position": {"main-bolt"}, "month": {"2027-09"}}, 404, "main-belt"},
		{url.Values{"position": {"main-belt"}, "month": {"2019-09"}}, 422, "has no month 2019-09"},
		{url.Values{"position": {"main-belt"}, "month": {"soon"}}, 422, "not a month"},
		{url.Values{"position": {"main-belt"}}, 422, "nothing to settle"},
	} {
		c.form.Set("batch", journal.NewID())
		if a := s.post("/v/heron/plan/settled", c.form); a.StatusCode != c.code || !strings.Contains(a.body, c.says) {
			t.Errorf("%v: %s, lacks %q", c.form, a.Status, c.says)
		}
	}
	if a := s.post("/v/heron/plan/settled/none/back", url.Values{}); a.StatusCode != 404 {
		t.Errorf("taking back nothing: %s", a.Status)
	}
}

// With script, at the width of a phone and of a desk: a task is moved by keys
// and by dragging it from the list and from the drawing, the price stands there
// before anything is kept, and the strip of months passes axe-core.
func TestMovesInABrowser(t *testing.T) {
	axe, err := os.ReadFile(pageTools(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	for _, width := range []int64{390, 1280} {
		t.Run(fmt.Sprint(width), func(t *testing.T) {
			s, b := demoSite(t), openBrowser(t)
			b.do(chromedp.EmulateViewport(width, 844), chromedp.Navigate(s.url+"/v/heron/plan"))
			b.until(`document.querySelector("li[data-move=main-belt] a.move") !== null`)

			// By keys, with the visit unfolded.
			b.do(chromedp.Click("#visit-1 > summary"))
			b.do(chromedp.Evaluate[chromedp.Void](
				`document.querySelector("li[data-move=main-belt] a.move").focus(); 0`), chromedp.KeyEvent("\r"))
			b.until(`document.activeElement.dataset.month === "2026-11"`)
			for range 3 {
				b.do(chromedp.KeyEvent("\u0303")) // arrow right
			}
			b.until(`document.activeElement.dataset.month === "2027-02"`)
			b.do(chromedp.KeyEvent("\r"))
			b.until(`/^Main drive belt in February 2027: costs/.test(document.querySelector("#mover .said").textContent)`)
			if over := js[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
				t.Errorf("%d px too wide: %s", over, js[string](b, widest))
			}
			run := `axe.run(document, {runOnly: ` + wcag22 +
				`, resultTypes: ["violations"]}).then(r => JSON.stringify(r.violations))`
			b.do(chromedp.Evaluate[chromedp.Void](string(axe) + ";0"))
			out, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](run, chromedp.EvalAwaitPromise))
			var found []violation
			if err != nil || json.Unmarshal([]byte(out), &found) != nil {
				t.Fatal(err, out)
			}
			for _, v := range found {
				t.Errorf("%s (%s): %v", v.Help, v.ID, v.Nodes)
			}
			b.do(chromedp.KeyEvent("\x1b"))
			if !js[bool](b, `document.getElementById("mover") === null && document.activeElement.matches("li[data-move=main-belt] a.move")`) {
				t.Error("Escape does not go back to where one came from")
			}
			if n := landed(t, s); n != 0 {
				t.Fatalf("%d wishes kept before anything was settled", n)
			}

			// From the list, and on the desk from the drawing, by dragging.
			from := `document.querySelector("li[data-move=main-belt] a.move")`
			if width > 1000 {
				from = `[...document.querySelectorAll("svg.d-months a.d-call")].find(a => a.getAttribute("href").endsWith("/main-belt")).querySelector("text")`
			}
			b.dragTo(from, `#mover button[data-month="2027-09"]`)
			b.until(`/^Main drive belt in September 2027: costs/.test(document.querySelector("#mover .said")?.textContent ?? "")`)
			if n := landed(t, s); n != 0 {
				t.Fatalf("%d wishes kept by dragging alone", n)
			}
			b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#mover button.main").click(); 0`))
			b.until(`/Main drive belt in September 2027/.test(document.querySelector("#settled")?.textContent ?? "")`)
			if n := landed(t, s); n != 1 {
				t.Errorf("%d wishes kept", n)
			}
			b.quiet("moving")
		})
	}
}

func landed(t *testing.T, s *site) int {
	t.Helper()
	entries, err := s.journal.Entries(t.Context(), journal.Filter{Type: fleet.TypeWish})
	if err != nil {
		t.Fatal(err)
	}
	return len(entries)
}

// dragTo drags the element that an expression gives to one that appears while
// it is dragged.
func (b *browser) dragTo(from, to string) {
	b.t.Helper()
	type point struct{ X, Y float64 }
	at := func(e string) point {
		return js[point](b, `(() => { const e = `+e+
			`; e.scrollIntoView({block: "center"}); const r = e.getBoundingClientRect(); return {X: r.x + r.width / 2, Y: r.y + r.height / 2}; })()`)
	}
	mouse := func(kind input.DispatchMouseEventType, p point) {
		if _, err := chromedp.Call(b.ctx, input.DispatchMouseEvent,
			input.DispatchMouseEventParams{Type: kind, X: p.X, Y: p.Y, Button: input.MouseButtonLeft, Buttons: 1,
				ClickCount: 1}); err != nil {
			b.t.Fatal(err)
		}
	}
	p := at(from)
	mouse(input.DispatchMouseEventTypeMousePressed, p)
	mouse(input.DispatchMouseEventTypeMouseMoved, point{p.X + 20, p.Y + 4})
	b.until(`document.querySelector('` + to + `') !== null`)
	q := js[point](b, `(() => { const r = document.querySelector('`+to+
		`').getBoundingClientRect(); return {X: r.x + r.width / 2, Y: r.y + r.height / 2}; })()`)
	mouse(input.DispatchMouseEventTypeMouseMoved, q)
	mouse(input.DispatchMouseEventTypeMouseReleased, q)
}
