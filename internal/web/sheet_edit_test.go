package web

import (
	"cmp"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

// sent is blank with what is chosen in lists, and texts with their lines.
func sent(p parsed, form string) url.Values {
	f := blank(p, form)
	for _, n := range p.find(form + " textarea[name]") {
		f.Set(value(n, "name"), "")
		if n.FirstChild != nil {
			f.Set(value(n, "name"), n.FirstChild.Data)
		}
	}
	for _, list := range p.find(form + " select[name]") {
		at, first := "", true
		for o := range list.Descendants() {
			if _, chosen := attr(o, "selected"); o.Data == "option" && (chosen || first) {
				given := false
				if at, given = attr(o, "value"); !given {
					at = text(o)
				}
				first = false
			}
		}
		f.Add(value(list, "name"), at)
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
		"f.what-0": {"clip, small"}, "f.count-0": {"2"}, "f.torque-0": {"22 lbf·in"}, "number": {"0071"}})
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
	if f.Get("f.torque-0") != "22 lbf·in" || f.Get("y") != "30.5" {
		t.Errorf("what was typed comes back as %v", f)
	}
	for says, fields := range map[string]url.Values{
		"not a number": {"x": {"left"}}, "kind of part": {"kind": {"hose thing"}}, "clip": {"f.torque-0": {"22 km"}},
		"write 0": {"x": {"120"}}, "no name": {"f.what-0": {""}}, "has no name": {"name": {" "}},
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
			if again := blank(got, "form#item"); again.Get(name) != v[0] && name != "f.what-0" {
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

// A handbook's limits and intervals are copied into the form of a position, the head of the
// sheet into its own; what no field holds stays, and what is wrong is named with its field.
func TestLimitsAndHeadOfASheet(t *testing.T) {
	s := demoSite(t)
	old := s.read(heronSheet)
	const belt = "/v/heron/sheet/p/battery" // which has neither
	s.edited(belt, "form#item", nil)
	s.edited("/v/heron/sheet/head", "form#head", nil)
	if s.read(heronSheet) != old {
		t.Error("forms that were sent as they came changed the sheet")
	}
	page := s.page(belt)
	for says, fields := range map[string]url.Values{
		"does not say where that is written": {"i.distance-0": {"90000"}},
		"neither how far nor how long":       {"i.source-0": {"handbook, page 212"}},
		"has no figure":                      {"l.when-0": {"rest-voltage at_least"}, "l.source-0": {"handbook"}},
		"does not say what is found":         {"l.figure-0": {"12.4 V"}, "l.source-0": {"handbook"}},
		"band has two figures": {"l.when-0": {"rest-voltage band"}, "l.figure-0": {"12 V"},
			"l.source-0": {"handbook"}},
	} {
		f := sent(page, "form#item")
		for name, v := range fields {
			f[name] = v
		}
		a := s.post(belt, f)
		again := parse(t, a.body)
		if a.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(again.text(".faults"), says) {
			t.Errorf("%s: %s %q", says, a.Status, again.text(".faults"))
		}
		for name, v := range fields {
			if got := sent(again, "form#item").Get(name); got != v[0] {
				t.Errorf("%s: %q stands where %q was typed", name, got, v[0])
			}
		}
	}
	s.edited(belt, "form#item", url.Values{"i.distance-0": {"56000 mi"}, "i.time-0": {"6"},
		"i.source-0": {"handbook, page 212"},
		"l.when-0":   {"rest-voltage band"}, "l.figure-0": {"12 V to 12.4 V"}, "l.verdict-0": {"watch"},
		"l.source-0": {"handbook, page 213"}})
	now := s.read(heronSheet)
	for line := range strings.Lines(old) {
		if !strings.Contains(now, line) {
			t.Errorf("the line %q is gone", line)
		}
	}
	for _, want := range []string{"distance: 56000 mi", "time: 6 years", "at_least: 12 V", "less_than: 12.4 V"} {
		if !strings.Contains(now, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
	if got := s.page("/v/heron/p/battery").text("main"); !strings.Contains(got, "handbook, page 212") {
		t.Error("the position does not name the handbook's interval")
	}
	f := sent(s.page(belt), "form#item")
	if f.Get("l.when-0") != "rest-voltage band" || f.Get("l.figure-0") != "12 V to 12.4 V" {
		t.Errorf("the limit comes back as %q, %q", f.Get("l.when-0"), f.Get("l.figure-0"))
	}
	s.edited("/v/bittern/sheet/p/top-hose", "form#item", url.Values{"i.distance-0": {"100000 km", ""}})
	if got := s.read("vehicles/bittern.yaml"); !strings.Contains(got, "distance: 100000 km\n        time: 7 years\n") {
		t.Error("the distance of an interval cannot be changed by itself")
	}
	s.edited("/v/heron/sheet/head", "form#head", url.Values{"about": {"Long van"}, "built": {"2009-06-01"},
		"oil": {"7000"}})
	now = s.read(heronSheet)
	for _, want := range []string{"about: Long van\n", "built: 2009-06-01\n",
		"oil_change: {distance: 7000 km, time: 6 months}",
		"stance: strictest # whom to follow"} {
		if !strings.Contains(now, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
	head := sent(s.page("/v/heron/sheet/head"), "form#head")
	head.Set("yearly", "a lot")
	if a := s.post("/v/heron/sheet/head", head); a.StatusCode != http.StatusUnprocessableEntity ||
		!strings.Contains(parse(t, a.body).text(".faults"), "in a year") {
		t.Errorf("a lot in a year: %s %s", a.Status, parse(t, a.body).text(".faults"))
	}
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

// spot is where a part of an element lies in the window, once it was scrolled there.
func (b *browser) spot(selector string, x, y float64) (float64, float64) {
	b.t.Helper()
	if !js[bool](b, fmt.Sprintf("!!document.querySelector(%q)?.checkVisibility()", selector)) {
		b.t.Fatalf("%s is not to be seen", selector)
	}
	at := jsAwait[[]float64](b, fmt.Sprintf(`(async e => { e.scrollIntoView({block: "center"});
		for (let i = 0; i < 2; i++) await new Promise(drawn => requestAnimationFrame(drawn));
		const r = e.getBoundingClientRect();
		return [r.x + r.width * %g, r.y + r.height * %g] })(document.querySelector(%q))`, cmp.Or(x, 0.5), cmp.Or(y, 0.5),
		selector))
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
	time.Sleep(500 * time.Millisecond) // a touch at once after a drag only ends what the drag set going
}
