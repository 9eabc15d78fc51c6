package web

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestFirstHour does in pages what docs/first-hour.md does in the terminal,
// from an empty yard to a job sheet, on a phone and on a desk.
func TestFirstHour(t *testing.T) {
	for _, width := range []int64{390, 1280} {
		t.Run(fmt.Sprint(width), func(t *testing.T) {
			s, b := newSite(t, t.TempDir(), nil, Options{}), openBrowser(t)
			b.do(chromedp.EmulateViewport(width, 844), chromedp.Navigate(s.url+"/new"))
			b.fill("/new", map[string]string{"archetype": "four-transverse-petrol", "name": "Wren", "vehicle": "wren",
				"built": "2014-05-01", "yearly": "14000"})
			b.until(`location.pathname !== "/new"`)
			b.add(s, "odometer", map[string]string{"date": "2026-03-02", "odometer": "152300"})
			b.add(s, "fitted", map[string]string{"position": "main-belt", "date": "2026-03-02", "odometer": "152300",
				"name":     "ribbed belt 6PK1683",
				"material": "epdm", "cost": "38.50 EUR", "removed": "worn"})
			b.add(s, "fitted", map[string]string{"position": "top-hose", "date": "2026-03-02", "known": "told",
				"since-date": "2023-06-01"})
			b.add(s, "fitted", map[string]string{"position": "engine-oil", "date": "2026-03-02", "odometer": "152300",
				"removed": "due"})
			b.hourRound(s)
			b.do(chromedp.Navigate(s.url + "/v/wren"))
			if says := js[string](b, `document.querySelector("h1").textContent`); !strings.Contains(says,
				"change the top hose") {
				t.Errorf("the vehicle's page says %q", says)
			}
			b.do(chromedp.Navigate(s.url + "/v/wren/job?at=top-hose"))
			if says := js[string](b, `document.querySelector("main").innerText`); !strings.Contains(says,
				"Change the top hose") || !strings.Contains(says, "N·m") {
				t.Errorf("the job sheet lacks the hose or its torques: %.300s", says)
			}
			if over := js[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
				t.Errorf("the job sheet is %d px too wide", over)
			}
			b.quiet("the first hour")
		})
	}
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
