package web

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
)

// keepRound sends the round that is shown.
const keepRound = `document.querySelector("#round [data-for=end]").click()`

// phone is a tab that is used by one thumb, on a processor four times as slow, and
// what was touched in it.
type phone struct {
	*browser
	site    *site
	touches int
	asked   int // touches for what a glance does not answer
}

// handset makes the tab a phone.
func (b *browser) handset(s *site, touched, asked int) *phone {
	b.t.Helper()
	b.do(chromedp.EmulateViewport(360, 560, chromedp.EmulateMobile, chromedp.EmulateTouch))
	if _, err := chromedp.Call(b.ctx, emulation.SetCPUThrottlingRate,
		emulation.SetCPUThrottlingRateParams{Rate: 4}); err != nil {
		b.t.Fatal(err)
	}
	return &phone{browser: b, site: s, touches: touched, asked: asked}
}

// shown is the element that a touch on the first visible match would hit, or "".
const shown = `(sel => { const e = [...document.querySelectorAll(sel)].find(e => e.checkVisibility()); if (!e) return [];
	const r = e.getBoundingClientRect(), x = r.left + r.width / 2, y = r.top + r.height / 2;
	const hit = document.elementFromPoint(x, y); return hit && (e.contains(hit) || hit.contains(e)) ? [x, y] : []; })(%q)`

// tap touches what is in view, with a finger.
func (p *phone) tap(selector string) {
	p.t.Helper()
	at := js[[]float64](p.browser, fmt.Sprintf(shown, selector))
	if len(at) != 2 {
		p.t.Fatalf("%s is not in view: %s", selector, js[string](p.browser, "document.body.innerText.slice(0, 300)"))
	}
	for _, e := range []input.DispatchTouchEventParams{
		{Type: "touchStart", TouchPoints: []*input.TouchPoint{{X: at[0], Y: at[1]}}},
		{Type: "touchEnd", TouchPoints: []*input.TouchPoint{}}} {
		if _, err := chromedp.Call(p.ctx, input.DispatchTouchEvent, e); err != nil {
			p.t.Fatal(err)
		}
	}
	p.touches++
}

func (p *phone) mode() string {
	return js[string](p.browser, `document.querySelector("[data-screen]:not([hidden])")?.dataset.mode ?? "names"`)
}

// still fails where the screen is higher or wider than the window.
func (p *phone) still(where string) {
	p.t.Helper()
	over := jsAwait[[]float64](p.browser, `new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done([
		document.documentElement.scrollHeight - innerHeight, document.documentElement.scrollWidth - innerWidth, scrollY]))))`)
	if slices.Max(over) > 0 {
		p.t.Errorf("%s, %s: %v px to scroll: %s", where, p.mode(), over, js[string](p.browser,
			`document.querySelector("[data-screen]:not([hidden])").innerText.slice(0, 120)`))
	}
}

// pass touches its way on, everything sound, until a number of stops is passed.
func (p *phone) pass(until int) {
	p.t.Helper()
	for {
		if js[int](p.browser, `document.querySelector(".strip progress").value`) >= until {
			return
		}
		switch mode := p.mode(); mode {
		case "start", "opened", "stage":
			p.tap(fmt.Sprintf("[data-for=%s].main", mode))
		case "stop":
			p.still("a stop")
			if js[bool](p.browser, `document.querySelector("[data-do=sound]").hidden`) { // it wants a second person
				p.tap("[data-do=unseen]")
				continue
			}
			p.tap("[data-do=sound]")
		case "asked":
			p.still("asked")
			p.tap("[data-do=later]")
			p.asked++
		default:
			p.t.Fatalf("on the way it stands at %q", mode)
		}
	}
}

// find tells of something at the stop that is shown: the answer to its likeliest
// check that stands last in the list.
func (p *phone) find() {
	p.t.Helper()
	p.tap("[data-do=something]")
	p.still("the list")
	p.tap(".picks button")
	p.still("a check")
	if js[bool](p.browser, `document.querySelector(".check.on .figure") !== null`) {
		p.tap(".pad button")
	} else {
		const last = `[...document.querySelectorAll(".check.on .answer:not(.none)")].at(-1)`
		for js[bool](p.browser, last+`.hidden`) {
			p.tap(".check.on .others")
			p.still("other answers")
		}
		js[any](p.browser, last+`.id = "wanted"`)
		p.tap("#wanted")
		js[any](p.browser, last+`.removeAttribute("id")`)
	}
	if said := js[string](p.browser, `document.querySelector(".check.on .meaning").textContent`); said == "" {
		p.t.Error("an answer says nothing")
	}
	p.still("an answer")
	p.tap("[data-for=check].main")
}

// killed goes on in a tab of its own, the first one closed without a word.
func (p *phone) killed() *phone {
	p.t.Helper()
	ctx, closeTab := chromedp.NewContext(p.ctx)
	p.t.Cleanup(closeTab)
	next := &browser{t: p.t, ctx: ctx}
	next.do(chromedp.Navigate("about:blank"))
	p.do(chromedp.Navigate("about:blank")) // its page is gone
	out := next.handset(p.site, p.touches, p.asked)
	out.do(chromedp.Navigate(p.site.url + longRound))
	out.until(`document.querySelector(".by-step") !== null`)
	return out
}

// longRound shows every position of the vehicle.
const longRound = "/v/heron/round?open=all"

// TestARoundByException: with the server away from the first touch to the last, and
// the page killed twice on the way, a round of 60 and more stops, all sound but three, takes a
// touch a stop and few besides; nothing scrolls at a stop, and later it is sent once and
// whole.
func TestARoundByException(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.Navigate(s.url + "/v/heron"))
	b.until(`navigator.serviceWorker.controller !== null`)
	b.do(chromedp.Navigate(s.url + longRound))
	b.until(`document.querySelector(".by-step") !== null`)
	s.away.Store(true)
	p := b.handset(s, 0, 0)
	stops := js[int](p.browser, `document.querySelectorAll("[data-screen=stop]").length`)
	if stops < 60 {
		t.Fatalf("%d stops: too few", stops)
	}
	p.tap("[data-for=start]")
	p.pass(20)
	p.find()
	before := draftOf(p)
	p = p.killed()
	if now := draftOf(p); now != before {
		t.Errorf("after the page was killed: %s, before: %s", now, before)
	}
	p.pass(40)
	p.find()
	p = p.killed()
	p.pass(50)
	p.find()
	p.pass(stops)
	for p.mode() != "end" {
		p.pass(stops)
	}
	p.tap("[data-for=end]")
	p.until(waitsHere)
	if n := s.journal.landings.Load(); n != 0 {
		t.Fatalf("%d landings without a connection", n)
	}
	t.Logf("%d stops: %d touches, %d of them put off what is asked by itself", stops, p.touches, p.asked)
	if most := stops + 10 + 3*20/3; p.touches-p.asked > most {
		t.Errorf("%d touches, at most %d are wanted", p.touches-p.asked, most)
	}
	want := js[int](p.browser, `[...new FormData(document.getElementById("round"))].filter(([n, v]) => n.startsWith("a.") && v).length`)
	s.away.Store(false)
	js[any](p.browser, `dispatchEvent(new Event("online")); dispatchEvent(new Event("online"))`)
	p.until(sentHere)
	kept := s.newFound()
	if len(kept) != want || want < stops-p.asked-10 || s.journal.landings.Load() != 1 {
		t.Errorf("%d findings of %d are there, after %d landings", len(kept), want, s.journal.landings.Load())
	}
	seen := map[string]bool{}
	for _, e := range kept {
		key := e.Found.Position + "." + e.Found.Check
		if seen[key] {
			t.Errorf("%s is there twice", key)
		}
		seen[key] = true
	}
}

// draftOf is what the device keeps of the round, but for the minutes.
func draftOf(p *phone) string {
	return js[string](p.browser, `(d => JSON.stringify([d.at, d.passed, d.fields]))(JSON.parse(localStorage.getItem("round heron")))`)
}

// newFound lists the findings of the newest batch.
func (s *site) newFound() []*fleet.Entry {
	s.t.Helper()
	all, err := s.journal.Entries(s.t.Context(), journal.Filter{Vehicle: "heron", Type: fleet.TypeFound})
	if err != nil || len(all) == 0 {
		s.t.Fatal(len(all), err)
	}
	last := all[len(all)-1].Batch
	return slices.DeleteFunc(all, func(e *fleet.Entry) bool { return e.Batch != last })
}

// TestEveryScreenOfARoundFits: at no stop, list or check is there anything to scroll
// on the phones of the day; by axe-core each sort of screen is accessible by day
// and by night, targets included.
func TestEveryScreenOfARoundFits(t *testing.T) {
	axe, err := os.ReadFile(pageTools(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	s, b := demoSite(t), openBrowser(t)
	p := &phone{browser: b, site: s}
	p.do(chromedp.EmulateViewport(360, 560, chromedp.EmulateMobile, chromedp.EmulateTouch),
		chromedp.Navigate(s.url+longRound))
	p.until(`document.querySelector(".by-step") !== null`)
	audit := func(scheme, rules string) {
		t.Helper()
		p.prefer(scheme)
		for _, v := range p.auditHere(string(axe), rules) {
			for _, n := range v.Nodes {
				t.Errorf("%s, %s: %s (%s): %s %s", p.mode(), scheme, v.Help, v.ID, n.HTML, n.Summary)
			}
		}
	}
	audited := map[string]bool{}
	look := func() {
		t.Helper()
		mode := p.mode()
		sizes := [][2]int64{{360, 560}} // what fits here, fits the others
		if mode == "stop" {             // but for a drawing, which grows
			sizes = [][2]int64{{412, 732}, {390, 664}, {360, 560}}
		}
		for _, size := range sizes {
			p.do(chromedp.EmulateViewport(size[0], size[1], chromedp.EmulateMobile, chromedp.EmulateTouch))
			p.still(fmt.Sprint(size[0], " px"))
		}
		if !audited[mode] {
			audited[mode] = true
			audit("light", wcag22)
			audit("dark", contrastOnly)
		}
	}
	click := func(selector string) bool {
		return js[bool](p.browser, fmt.Sprintf(`(e => { e?.click(); return e !== undefined })([...document.querySelectorAll(%q)].find(e => e.checkVisibility()))`, selector))
	}
	click("[data-for=start]")
	checks := 0
	for range 400 {
		switch mode := p.mode(); mode {
		case "opened": // a list, which may be long
			if !audited[mode] {
				audited[mode] = true
				audit("light", wcag22)
				audit("dark", contrastOnly)
			}
			click("[data-for=opened].main")
		case "stage":
			look()
			click("[data-for=stage].main")
		case "stop":
			look()
			click("[data-do=something]")
			look()
			n := js[int](p.browser, `document.querySelectorAll(".picks button").length`)
			for i := range n {
				click(fmt.Sprintf(".picks button:nth-child(%d)", i+1))
				click(".check.on .answer:nth-last-child(2) input")
				click(".check.on + .pad button, .check.on .pad button")
				look()
				checks++
				click("[data-do=something]")
			}
			click("[data-for=list].main")
		case "check": // the only one of its stop
			click(".check.on .answer:nth-last-child(2) input")
			look()
			checks++
			click("[data-for=check].main")
		case "asked":
			look()
			click("[data-do=later]")
		case "end":
			audit("light", wcag22)
			audit("dark", contrastOnly)
			if checks < 200 {
				t.Errorf("%d checks were looked at: too few", checks)
			}
			return
		}
	}
	t.Errorf("the round does not end: %s", p.mode())
}

// TestANoteIsATouchAway: at a stop one touch opens its note with the keys, whose microphone takes dictation; each
// word is kept on the device as it comes, and the stop is decided afterwards. It lands with the round.
func TestANoteIsATouchAway(t *testing.T) {
	const words = "weeps at the clamp"
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.Navigate(s.url + "/v/heron/round"))
	s.away.Store(true)
	p := b.handset(s, 0, 0)
	p.tap("[data-for=start]")
	p.tap("[data-for=stage].main")
	p.still("a stop")
	p.tap("[data-do=note]")
	p.still("a note")
	if !js[bool](b, `document.activeElement.matches(".note.on textarea")`) {
		t.Fatal("the keys do not come")
	}
	if _, err := chromedp.Call(b.ctx, input.InsertText, input.InsertTextParams{Text: words}); err != nil {
		t.Fatal(err)
	}
	if d := draftOf(p); !strings.Contains(d, words) {
		t.Errorf("the device keeps %s", d)
	}
	p.tap("[data-for=check].main")
	if p.mode() != "stop" {
		t.Errorf("after the note it stands at %q", p.mode())
	}
	p.tap("[data-do=sound]")
	js[any](b, keepRound)
	p.until(waitsHere)
	s.away.Store(false)
	js[any](b, `dispatchEvent(new Event("online"))`)
	p.until(sentHere)
	all, err := s.journal.Entries(t.Context(), journal.Filter{Vehicle: "heron", Type: fleet.TypeNote})
	if err != nil || len(all) == 0 || all[len(all)-1].Note.Text != words || len(s.newFound()) != 1 {
		t.Errorf("%d notes and %d answers are there: %v", len(all), len(s.newFound()), err)
	}
}

// TestTheDeviceSaysWhatTheJudgeSays: what the script finds in its table for each
// answer of a page is what the judge says, and it says it before the touch is over.
func TestTheDeviceSaysWhatTheJudgeSays(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	report := demotest.Reports(t)["heron"]
	b.do(chromedp.EmulateViewport(390, 664), chromedp.Navigate(s.url+longRound))
	b.until(`document.querySelector(".by-step") !== null`)
	js[any](b, `dispatchEvent(new Event("beforeprint"))`) // with every question
	var asked []deviceAsked
	for i := range report.Judgements {
		j := &report.Judgements[i]
		for k := range j.Kind.Checks {
			asked = append(asked, askedOf(report, j.Position.ID, &j.Kind.Checks[k])...)
		}
	}
	in, err := json.Marshal(asked)
	if err != nil {
		t.Fatal(err)
	}
	said := js[[]string](b, fmt.Sprintf(saysOf, in))
	shownHere := 0
	for i, a := range asked {
		if said[i] == "none" {
			continue // not asked in this round
		}
		shownHere++
		if said[i] != a.want {
			t.Errorf("%s %q: the device says %q, the judge %q", a.Field, a.Value, said[i], a.want)
		}
	}
	if shownHere < 800 {
		t.Errorf("%d answers: too few", shownHere)
	}
	b.quiet("what answers mean")
}

// saysOf answers fields as a finger or a key does, and reads what stands there before
// anything else happens.
const saysOf = `(list => list.map(({ field, value }) => {
	const named = [...document.getElementsByName(field)], input = named.find(i => i.type !== "radio" || i.value === value);
	if (!input) return "none";
	if (input.type === "radio") input.click();
	else { input.value = value; input.dispatchEvent(new Event("input", { bubbles: true })); }
	return input.closest(".check").querySelector(".meaning").textContent;
}))(%s)`

// deviceAsked is one answer, and what is to be said of it.
type deviceAsked struct {
	Field string `json:"field"`
	Value string `json:"value"`
	want  string
}

func askedOf(r *advise.Report, position string, c *catalogue.Check) []deviceAsked {
	list, alone := r.Meanings(r.Judgement(position), c)
	var out []deviceAsked
	add := func(value string, n int) {
		verdict := fleet.Keep
		if list[n].Reason != nil {
			verdict = list[n].Reason.Verdict
		}
		out = append(out, deviceAsked{answerPrefix + position + "." + c.ID, value,
			message.Of("%s: %s", verdict, advise.MeansWords(list[n].Reason)).String()})
	}
	for n, m := range list {
		switch {
		case !alone:
		case m.Answer != "":
			add(m.Answer, n)
		case m.To != nil && m.Within:
			add(fmt.Sprint(*m.To), n)
		case m.To == nil:
			beyond := 1.0
			if n > 0 {
				beyond += *list[n-1].To
			}
			add(fmt.Sprint(beyond), n)
		}
	}
	if c.Measured() {
		out = append(out, deviceAsked{answerPrefix + position + "." + c.ID, "3 " + strings.ToUpper(c.Unit) + "?",
			"Worked out when sent."})
	}
	return out
}
