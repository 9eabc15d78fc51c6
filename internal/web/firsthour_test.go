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
			b.do(chromedp.EmulateViewport(width, 844, chromedp.EmulateTouch), chromedp.Navigate(s.url+"/new"))
			b.hourSheet()
			b.add(s, "odometer", map[string]string{"date": "2026-03-02", "odometer": "152300"})
			b.add(s, "fitted", map[string]string{"position": "main-belt", "date": "2026-03-02", "odometer": "152300",
				"name":     "ribbed belt 6PK1683",
				"material": "epdm", "cost": "38.50 EUR", "removed": "worn"})
			b.add(s, "fitted", map[string]string{"position": "top-hose", "date": "2026-03-02", "known": "told",
				"since-date": "2023-06-01"})
			b.add(s, "fitted", map[string]string{"position": "engine-oil", "date": "2026-03-02", "odometer": "152300",
				"removed": "due"})
			b.do(chromedp.Navigate(s.url + "/v/wren/sheet/p/top-hose"))
			b.fill("/v/wren/sheet/p/top-hose", map[string]string{"f.what": "hose clip", "f.count": "2",
				"f.torque": "4 N·m"})
			b.until(`location.search === "?saved=1"`)
			b.hourRound(s)
			b.do(chromedp.Navigate(s.url + "/v/wren"))
			if says := js[string](b, `document.querySelector("h1").textContent`); !strings.Contains(says,
				"change the top hose") {
				t.Errorf("the vehicle's page says %q", says)
			}
			b.do(chromedp.Navigate(s.url + "/v/wren/job?at=top-hose"))
			if says := js[string](b, `document.querySelector("main").innerText`); !strings.Contains(says,
				"Change the top hose") || !strings.Contains(says, "4 N·m") {
				t.Errorf("the job sheet lacks the hose or its torque: %.300s", says)
			}
			if over := js[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
				t.Errorf("the job sheet is %d px too wide", over)
			}
			b.quiet("the first hour")
		})
	}
}

// hourSheet makes a sheet by touching answers, a step at a time: what is touched stands when
// its step is gone back to, and what it rules out is not asked.
func (b *browser) hourSheet() {
	b.t.Helper()
	next := func(step string) {
		b.t.Helper()
		if over := js[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
			b.t.Errorf("the step before %s is %d px too wide", step, over)
		}
		b.tap("form[action='/new'] button.main", 0, 0)
		b.until(fmt.Sprintf("new URLSearchParams(location.search).get('step') === %q", step))
	}
	touch := func(question, choice string) {
		b.t.Helper()
		box := fmt.Sprintf("input[name='%s'][value='%s']", question, choice)
		b.tap("label:has("+box+")", 0, 0)
		if !js[bool](b, fmt.Sprintf("document.querySelector(%q).checked", box)) {
			b.t.Errorf("%s was touched for %s, and does not stand", choice, question)
		}
	}
	asked := func(question string) bool {
		return js[bool](b, fmt.Sprintf("!!document.querySelector(\"[type=radio][name='%s']\")", question))
	}
	touch("sort", "car")
	next("engine")
	touch("lies", "along")
	touch("fuel", "injection")
	next("inside")
	if !asked("cooling") {
		b.t.Error("the fan of an engine that lies along is not asked for")
	}
	b.tap("form[action='/new'] button.quiet", 0, 0)
	b.until(`document.querySelector("[name=lies][value=along]")?.checked`)
	touch("lies", "across")
	touch("cylinders", "4")
	next("inside")
	touch("timing", "unknown")
	next("turned")
	touch("pump", "belt")
	touch("steering", "belt")
	touch("air-con", "belt")
	next("belts")
	turned := `[...document.querySelectorAll("[name=turns1]")].map(e => e.value).filter(v => v).join(" ")`
	if got := js[string](b, turned); !strings.Contains(got, "water-pump") || !strings.Contains(got, "compressor") {
		b.t.Errorf("the first belt stands as turning %q", got)
	}
	b.answer(`document.querySelectorAll("[name=turns1]")[0]`, "idler-ribs")
	b.answer(`document.querySelector("[name=belt2]")`, "stretch")
	b.tap("fieldset:has([name=belt2]) summary", 0, 0)
	b.answer(`document.querySelector("[name=turns2]")`, "alternator")
	next("drive")
	touch("gearbox", "manual")
	next("rest")
	touch("towing", "no")
	next("name")
	b.fill("/new", map[string]string{"name": "Wren", "vehicle": "wren", "built": "2014-05-01", "yearly": "14000"})
	b.until(`location.pathname === "/v/wren/sheet"`)
	if got := js[string](b, `document.querySelector("textarea").value`); !strings.Contains(got, "kind: stretch-belt") ||
		!strings.Contains(got, "kind: timing-belt") {
		b.t.Error("the sheet lacks the second belt, or the timing belt taken where it was not known")
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
