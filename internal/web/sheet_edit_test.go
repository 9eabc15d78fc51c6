package web

import (
	"cmp"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"undertray/internal/fleet"
	"undertray/internal/journal"
)

// sent is blank with what is chosen in lists.
func sent(p parsed, form string) url.Values {
	f := blank(p, form)
	for _, list := range p.find(form + " select[name]") {
		for i, o := range p.find(form + " select[name=" + value(list, "name") + "] option") {
			if _, chosen := attr(o, "selected"); chosen || i == 0 {
				at, given := attr(o, "value")
				if !given {
					at = text(o)
				}
				f.Set(value(list, "name"), at)
			}
		}
	}
	return f
}

// edited posts the form of a page with some fields changed, and wants it kept.
func (s *site) edited(page, form string, fields url.Values) {
	s.t.Helper()
	f := sent(s.page(page), form)
	for name, values := range fields {
		f[name] = values
	}
	if a := s.post(page, f); a.StatusCode != http.StatusSeeOther {
		s.t.Fatalf("%s: %s %s", page, a.Status, parse(s.t, a.body).text(".faults"))
	}
}

// Without script: positions and openings are added, changed, taken off and put back in
// forms, each line that is not theirs stays, and what is typed wrongly stands again.
func TestASheetIsEditedInForms(t *testing.T) {
	s := demoSite(t)
	old := s.read(heronSheet)
	s.edited("/v/heron/sheet/open", "form[action=/v/heron/sheet/open]", url.Values{"name": {"Take the left wheel off"},
		"minutes": {"6"}, "needs": {"raised-front"}, "leaves": {"wheels-off"}})
	s.edited("/v/heron/sheet/add", "form#item", url.Values{"name": {"Washer hose"}, "kind": {"Vacuum hose"},
		"from": {"below"}, "x": {"20"}, "y": {"30,5"}, "seen": {"take-the-left-wheel-off"}, "minutes": {"5"},
		"f.what": {"clip, small"}, "f.count": {"2"}, "f.torque": {"22 lbf·in"}, "number": {"0071"}})
	p := s.page("/v/heron/p/washer-hose").text("main")
	if !strings.Contains(p, "left wheel") {
		t.Error("the position does not know its opening")
	}
	now := s.read(heronSheet)
	for _, line := range strings.Split(old, "\n") {
		if !strings.Contains(now, line+"\n") && line != "" {
			t.Errorf("line %q is gone", line)
		}
	}
	for _, want := range []string{"- {what: \"clip, small\", count: 2, torque: 22 lbf·in}", "number: \"0071\"",
		"y: 30.5"} {
		if !strings.Contains(now, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
	page := s.page("/v/heron/sheet")
	if got := page.text(".lines"); !strings.Contains(got, "added") || !strings.Contains(got, "washer-hose") {
		t.Errorf("the change is shown as %q", got)
	}
	f := sent(s.page("/v/heron/sheet/p/washer-hose"), "form#item")
	if f.Get("f.torque") != "22 lbf·in" || f.Get("y") != "30.5" {
		t.Errorf("what was typed comes back as %v", f)
	}
	for says, fields := range map[string]url.Values{
		"not a number": {"x": {"left"}}, "kind of part": {"kind": {"hose thing"}}, "clip": {"f.torque": {"22 km"}},
		"write 0": {"x": {"120"}}, "no name": {"f.what": {""}}, "has no name": {"name": {" "}},
	} {
		g := url.Values{}
		for name, v := range f {
			g[name] = v
		}
		for name, v := range fields {
			g[name] = v
		}
		a := s.post("/v/heron/sheet/p/washer-hose", g)
		got := parse(t, a.body)
		if says == "clip" {
			says = "km"
		}
		if a.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(got.text(".faults"), says) ||
			strings.Contains(got.text(".faults"), "yaml") {
			t.Errorf("%s: %s %q", says, a.Status, got.text(".faults"))
		}
		for name, v := range fields {
			if again := blank(got, "form#item"); again.Get(name) != v[0] && name != "f.what" {
				t.Errorf("%s was typed, and %s stands there", v[0], again.Get(name))
			}
		}
	}
	if s.read(heronSheet) != now {
		t.Error("something refused was kept")
	}
}

// What is taken off keeps its past and its name, comes back with it, and a change is
// undone only as long as nobody changed the file since.
func TestWhatIsTakenOffKeepsItsPast(t *testing.T) {
	s := demoSite(t)
	old := s.read(heronSheet)
	remove := url.Values{"was": {value(s.page("/v/heron/sheet").find("input[name=was]")[0], "value")}, "remove": {"1"}}
	if a := s.post("/v/heron/sheet/p/top-hose", remove); a.StatusCode != http.StatusSeeOther {
		t.Fatal(a.Status, parse(t, a.body).text(".faults"))
	}
	if got := s.page("/v/heron/record?position=top-hose").text("main"); !strings.Contains(got, "Top hose") {
		t.Errorf("its record says %q", got)
	}
	if got := s.page("/v/heron/journal").text("main"); strings.Contains(got, "no position") {
		t.Error("the journal is said to contradict the sheet")
	}
	if a := s.post("/v/heron/sheet/p/bottom-hose", remove); a.StatusCode != http.StatusConflict {
		t.Errorf("a form of the sheet before: %s", a.Status)
	}
	s.edited("/v/heron/sheet/add", "form#item", url.Values{"name": {"Top hose"}, "kind": {"top-hose"}, "x": {"58"},
		"y": {"14"}})
	now := s.read(heronSheet)
	if !strings.Contains(now, "id: top-hose-2\n") || !strings.Contains(now, "- {id: top-hose, ") {
		t.Error("a new position was given the past of another")
	}
	undo := func() answer {
		was := value(s.page("/v/heron/sheet").find("input[name=was]")[0], "value")
		return s.post("/v/heron/sheet/undo", url.Values{"was": {was}})
	}
	for range 2 {
		if a := undo(); a.StatusCode != http.StatusSeeOther {
			t.Fatal(a.Status)
		}
	}
	if s.read(heronSheet) != old {
		t.Error("undone, the sheet is not what it was")
	}
	if len(s.page("/v/heron/sheet").find("form[action=/v/heron/sheet/undo]")) > 0 ||
		undo().StatusCode != http.StatusConflict {
		t.Error("there is more to undo than was changed")
	}
	s.edited("/v/heron/sheet/p/top-hose", "form#item", url.Values{"minutes": {"21"}})
	was := value(s.page("/v/heron/sheet").find("input[name=was]")[0], "value")
	other := s.read(heronSheet) + "# by another editor\n"
	s.write(heronSheet, other)
	if a := s.post("/v/heron/sheet/undo", url.Values{"was": {was}}); a.StatusCode != http.StatusConflict {
		t.Errorf("undone over another editor's change: %s", a.Status)
	}
	if s.read(heronSheet) != other {
		t.Error("another editor's change is lost")
	}
}

// A walk is one change of the sheet, whatever was said; what was left blank stays.
func TestAWalkRoundTheVehicle(t *testing.T) {
	s := demoSite(t)
	old := s.read(heronSheet)
	f := blank(s.page("/v/heron/walk"), "form[action=/v/heron/walk]")
	f.Set("is.top-hose", "not")
	f.Set("is.battery", "there")
	f.Set("is.bypass-hose", "unknown")
	f.Set("is.idler-lower", "other")
	if a := s.post("/v/heron/walk", f); a.StatusCode != http.StatusUnprocessableEntity || s.read(heronSheet) != old {
		t.Fatalf("something else that is not said: %s", a.Status)
	}
	f.Set("kind.idler-lower", "Vacuum hose")
	if a := s.post("/v/heron/walk", f); a.StatusCode != http.StatusSeeOther {
		t.Fatal(a.Status, parse(t, a.body).text(".faults"))
	}
	now := s.read(heronSheet)
	for _, want := range []string{"- {id: top-hose, ", "- {id: idler-lower, ", "unsure: true", "kind: vacuum-hose"} {
		if !strings.Contains(now, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
	if got := s.page("/v/heron/walk").text("h1"); !strings.Contains(got, "not known whether 1 ") {
		t.Errorf("the walk says %q", got)
	}
	if !strings.Contains(s.page("/v/heron/p/bypass-hose").text("main"), "not known whether the vehicle has it") {
		t.Error("the position does not say that it is not known")
	}
	if files, err := os.ReadDir(s.dir + "/vehicles/old"); err != nil || len(files) != 1 {
		t.Errorf("%d changes were made, %v", len(files), err)
	}
}

// What is known of parts is kept as one batch; blank rows say nothing.
func TestWhatIsKnownOfEachPart(t *testing.T) {
	s := demoSite(t)
	f := blank(s.page("/v/heron/known"), "form[action=/v/heron/known]")
	f.Set("when.radiator", "2019-05")
	f.Set("far.radiator", "70000 mi")
	f.Set("part.radiator", "Radiator 4471")
	f.Set("sure.radiator", "from memory")
	f.Set("when.crank-pulley", "last year")
	before := s.count()
	if a := s.post("/v/heron/known", f); a.StatusCode != http.StatusUnprocessableEntity || s.count() != before {
		t.Fatalf("not a date: %s", a.Status)
	}
	f.Set("when.crank-pulley", "")
	f.Set("sure.crank-pulley", "")
	if a := s.post("/v/heron/known", f); a.StatusCode != http.StatusSeeOther {
		t.Fatal(a.Status, parse(t, a.body).text(".faults"))
	}
	entries, err := s.journal.Entries(t.Context(), journal.Filter{Vehicle: "heron"})
	if err != nil {
		t.Fatal(err)
	}
	fit := entries[len(entries)-1].Fitted
	if s.count() != before+1 || fit == nil || fit.Position != "radiator" || fit.Known != fleet.Told ||
		fit.Since.Date.String() != "2019-05-15" || fit.Since.Total.String() != "70000 mi" ||
		!strings.Contains(fit.Note, "Some time in May 2019; from memory") {
		t.Errorf("it is kept as %+v", fit)
	}
	page := s.page("/v/heron/known")
	if len(page.find("input[name=when.radiator]")) > 0 || len(page.find("input[name=when.crank-pulley]")) == 0 {
		t.Error("what is known is asked again, or what is not known is not asked")
	}
}

// By keyboard alone on a desk and by touch alone on a phone: a part is taken off, a
// hose is added with its torque where the drawing is touched, a mark is moved, and all
// is undone; the file is never looked at.
func TestASheetIsEditedByDrawing(t *testing.T) {
	for _, way := range []string{"keyboard", "touch"} {
		for _, width := range []int64{390, 1280} {
			t.Run(fmt.Sprint(way, " ", width), func(t *testing.T) { editByDrawing(t, way == "touch", width) })
		}
	}
}

func editByDrawing(t *testing.T, touch bool, width int64) {
	s, b := demoSite(t), openBrowser(t)
	old := s.read(heronSheet)
	view := []chromedp.EmulateViewportOption{}
	if touch {
		view = append(view, chromedp.EmulateTouch)
	}
	b.do(chromedp.EmulateViewport(width, 844, view...), chromedp.Navigate(s.url+"/v/heron/sheet"))
	act := func(selector string) {
		t.Helper()
		if touch {
			b.tap(selector, 0, 0)
			return
		}
		b.tabTo(selector)
		b.do(chromedp.KeyEvent(kb.Enter))
	}
	write := func(selector, text string) {
		t.Helper()
		if touch {
			b.tap(selector, 0, 0)
		} else {
			b.tabTo(selector)
		}
		js[any](b, `document.activeElement.select?.(); 0`)
		b.do(chromedp.KeyEvent(text))
	}
	saved := func() { t.Helper(); b.until(`location.search === "?saved=1"`) }

	// a part is taken off
	act("main details:has(a[href='/v/heron/sheet/p/top-hose']) summary")
	act("main a[href='/v/heron/sheet/p/top-hose']:not(.mark)")
	b.until(`location.pathname.endsWith("/top-hose")`)
	act("form:has([name=remove]) button")
	saved()

	// a hose is added
	if touch {
		b.tap("figure[data-side=below] .over", 0.3, 0.25)
	} else {
		act("main a[href='/v/heron/sheet/add']")
	}
	b.until(`location.pathname === "/v/heron/sheet/add"`)
	write("[name=name]", "Oil cooler hose")
	write("[name=kind]", "Vacuum hose")
	if !touch {
		b.tabTo("#item a.mark")
		b.do(chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowDown))
	}
	write("#fw-0", "union nut")
	write("#fc-0", "2")
	write("#ft-0", "26 lbf·ft")
	act("#item button.main")
	saved()
	now := s.read(heronSheet)
	for _, want := range []string{"id: oil-cooler-hose", "{what: union nut, count: 2, torque: 26 lbf·ft}",
		"{id: top-hose, "} {
		if !strings.Contains(now, want) {
			t.Errorf("the sheet lacks %q: %s", want, js[string](b, "document.querySelector('.lines').innerText"))
		}
	}
	if at := "x: 51\n    y: 51\n"; !touch && !strings.Contains(now, at) {
		t.Errorf("the mark was not moved by the arrow keys")
	}
	if touch && !strings.Contains(now[strings.Index(now, "id: oil-cooler-hose"):], "from: below") {
		t.Error("it was touched on the drawing from below, and stands elsewhere")
	}
	audit(t, b)

	// a mark is moved
	if touch {
		b.drag("a.mark[data-id=battery]", 0, 24)
	} else {
		b.tabTo("a.mark[data-id=battery]")
		b.do(chromedp.KeyEvent(kb.ArrowDown), chromedp.KeyEvent(kb.ArrowDown))
	}
	b.until(`!document.getElementById("moved").hidden`)
	act("#moved button")
	b.until(`document.querySelector(".lines")?.innerText.split("\n").length <= 4`)
	if s.read(heronSheet) == now {
		t.Error("the moved mark was not kept")
	}
	for range 3 {
		js[any](b, `window.stays = 1; 0`)
		act("form[action='/v/heron/sheet/undo'] button")
		b.until(`window.stays === undefined && location.search === "?undone=1"`)
		if js[bool](b, `document.querySelector("details:has(.lines):not([open])") !== null`) {
			act("details:has(.lines) summary")
		}
	}
	if s.read(heronSheet) != old {
		t.Error("undone, the sheet is not what it was")
	}
	b.quiet("editing by drawing")
}

// audit runs axe-core over the page as it stands.
func audit(t *testing.T, b *browser) {
	t.Helper()
	axe, err := os.ReadFile(pageTools(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range b.auditHere(string(axe), wcag22) {
		t.Errorf("%s (%s): %s", v.Help, v.ID, v.Nodes[0].HTML)
	}
}

// tabTo goes on with the tab key until a selector's element is reached.
func (b *browser) tabTo(selector string) {
	b.t.Helper()
	if !js[bool](b, fmt.Sprintf("!!document.querySelector(%q)?.checkVisibility()", selector)) {
		b.t.Fatalf("%s is not to be seen", selector)
	}
	for range 400 {
		if js[bool](b, fmt.Sprintf("document.activeElement?.matches(%q)", selector)) {
			return
		}
		b.do(chromedp.KeyEvent(kb.Tab))
	}
	b.t.Fatalf("the tab key does not reach %s", selector)
}

// spot is where a part of an element lies in the window, once it was scrolled there.
func (b *browser) spot(selector string, x, y float64) (float64, float64) {
	b.t.Helper()
	if !js[bool](b, fmt.Sprintf("!!document.querySelector(%q)?.checkVisibility()", selector)) {
		b.t.Fatalf("%s is not to be seen", selector)
	}
	at := js[[]float64](b, fmt.Sprintf(`(e => { e.scrollIntoView({block: "center"}); const r = e.getBoundingClientRect();
		return [r.x + r.width * %g, r.y + r.height * %g] })(document.querySelector(%q))`, cmp.Or(x, 0.5), cmp.Or(y, 0.5), selector))
	return at[0], at[1]
}

func (b *browser) finger(kind input.DispatchTouchEventType, at ...float64) {
	b.t.Helper()
	p := input.DispatchTouchEventParams{Type: kind, TouchPoints: []*input.TouchPoint{}}
	if len(at) > 0 {
		p.TouchPoints = []*input.TouchPoint{{X: at[0], Y: at[1]}}
	}
	if _, err := chromedp.Call(b.ctx, input.DispatchTouchEvent, p); err != nil {
		b.t.Fatal(err)
	}
}

// tap touches an element, in its middle or at a part of its width and height.
func (b *browser) tap(selector string, x, y float64) {
	b.t.Helper()
	px, py := b.spot(selector, x, y)
	b.finger(input.DispatchTouchEventTypeTouchStart, px, py)
	b.finger(input.DispatchTouchEventTypeTouchEnd)
}

// drag moves an element by so many px with a finger.
func (b *browser) drag(selector string, dx, dy float64) {
	b.t.Helper()
	x, y := b.spot(selector, 0, 0)
	b.finger(input.DispatchTouchEventTypeTouchStart, x, y)
	for _, part := range []float64{0.4, 1} {
		b.finger(input.DispatchTouchEventTypeTouchMove, x+dx*part, y+dy*part)
	}
	b.finger(input.DispatchTouchEventTypeTouchEnd)
}

// The addresses of a sheet are among those of which every one is asked.
func init() {
	maps.Copy(samples, map[string]struct{ path, selector, says string }{
		"GET /v/{id}/sheet/add":         {"/v/heron/sheet/add?from=below&x=30&y=40", "h1", "Add a position"},
		"GET /v/{id}/sheet/p/{pos}":     {"/v/heron/sheet/p/top-hose", "h1", "hose"},
		"GET /v/{id}/sheet/open":        {"/v/heron/sheet/open", "h1", "Add an opening"},
		"GET /v/{id}/sheet/o/{opening}": {"/v/heron/sheet/o/undertray", "h1", "Undertray"},
		"GET /v/{id}/walk":              {"/v/heron/walk", "h1", "Walk round the vehicle"},
		"GET /v/{id}/known":             {"/v/heron/known", "h1", "parts"},
	})
}
