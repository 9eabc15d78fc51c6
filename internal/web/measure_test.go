package web

import (
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"undertray.example/undertray/internal/belt/measured"
)

// triangle is a form of three pulleys 300, 400 and 500 mm apart, measured by tape.
func triangle() url.Values {
	return url.Values{"p1": {"Crank pulley"}, "p2": {"Pump"}, "p3": {"Alternator"}, "driver": {"1"}, "d1": {"160"},
		"d2": {"130 mm"}, "d3": {"60"}, "m1": {"outside"}, "m2": {"outside"}, "m3": {"outside"}, "section": {"PK"},
		"ribs": {"6"}, "k1": {"centres"}, "a1": {"1"}, "b1": {"2"}, "r1": {"400"}, "k2": {"over"}, "a2": {"1"},
		"b2": {"3"}, "r2": {"41 cm"}, "k3": {"gap"}, "a3": {"2"}, "b3": {"3"}, "r3": {"405"}}
}

// TestMeasuredByForm: without script, the length, what each measure is off, and the same in JSON; what is missing is
// named and the form comes back as typed.
func TestMeasuredByForm(t *testing.T) {
	s := demoSite(t)
	ask := triangle()
	p := parse(t, s.post("/v/heron/measure", ask).body)
	if got := p.text(".lead"); !strings.Contains(got, "Effective length 156") {
		t.Errorf("it says %q", got)
	}
	if got := p.text("output[data-of=r3]"); got != "nothing else checks it" {
		t.Errorf("beside the third measure stands %q", got)
	}
	checkPage(t, "measured", p)
	var v measured.View
	a := s.post("/v/heron/measure", ask, "Accept", "application/json")
	if err := json.Unmarshal([]byte(a.body), &v); err != nil || math.Abs(v.LengthMM-1563) > 2 || len(v.Measures) != 6 {
		t.Errorf("JSON: %v, %.0f mm, %d measures", err, v.LengthMM, len(v.Measures))
	}
	for drop, want := range map[string]string{"r2": "its figure is missing", "b1": "names no pulley", "d2": "pump"} {
		less := triangle()
		less.Del(drop)
		a := s.post("/v/heron/measure", less)
		p := parse(t, a.body)
		said := strings.ToLower(p.text("#answer"))
		if a.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(said, want) ||
			value(p.find("input[name=r1]")[0], "value") != "400" {
			t.Errorf("without %s: %s, %q", drop, a.Status, p.text("#answer"))
		}
		checkPage(t, "measured in part", p)
	}
}

// TestAMeasuredRunIsKept: what changes is shown first; written, the run is a page of the vehicle's and comments of the
// sheet stand; a run that stands there already can be put in its place.
func TestAMeasuredRunIsKept(t *testing.T) {
	s := demoSite(t)
	was := s.read("vehicles/heron.yaml")
	p := parse(t, s.post("/v/heron/measure", triangle()).body)
	ask := formOf(p, "#keep")
	ask.Set("as", "run")
	ask.Set("run-name", "Second belt")
	ask.Set("belt", "new:ribbed-belt")
	shown := s.post("/v/heron/runs", ask)
	p = parse(t, shown.body)
	if shown.StatusCode != http.StatusOK {
		t.Fatalf("%s: %s", shown.Status, p.text("main"))
	}
	checkPage(t, "what changes", p)
	if s.read("vehicles/heron.yaml") != was || len(p.find("table.lines tr.gone")) > 0 {
		t.Error("it is written before it is agreed to, or takes lines away")
	}
	sure := formOf(p, "main form")
	sure.Set("sure", "1")
	a := s.post("/v/heron/runs", sure)
	if got := a.Header.Get("Location"); a.StatusCode != http.StatusSeeOther || got != "/v/heron/run/second-belt-run" {
		t.Fatalf("%s %s: %s", a.Status, got, parse(t, a.body).text("main"))
	}
	if got := s.page("/v/heron/run/second-belt-run").text("h1"); got != "Second belt" {
		t.Errorf("the run is called %q", got)
	}
	now := s.read("vehicles/heron.yaml")
	for line := range strings.Lines(was) {
		if strings.Contains(line, "#") && !strings.Contains(now, line) {
			t.Errorf("the comment is lost: %s", line)
		}
	}
	again := s.page("/v/heron/measure?run=second-belt-run")
	if got := value(again.find("input[name=r2]")[0], "value"); got != "41 cm" {
		t.Errorf("the second measure comes back as %q", got)
	}
	if a := s.post("/v/heron/runs", sure); a.StatusCode != http.StatusConflict {
		t.Errorf("sent twice: %s", a.Status)
	}
}

// formOf reads the fields of a form as a browser would send them.
func formOf(p parsed, selector string) url.Values {
	v := url.Values{}
	for _, n := range p.find(selector + " input") {
		v.Set(value(n, "name"), value(n, "value"))
	}
	return v
}

// TestAWhatIfIsKept: in the place of its run, as the belt to buy, or set aside.
func TestAWhatIfIsKept(t *testing.T) {
	s := demoSite(t)
	p := s.page("/v/heron/run/main-run?d4=60")
	ask := formOf(p, "#keep")
	ask.Set("as", "same")
	p = parse(t, s.post("/v/heron/runs", ask).body)
	if got := len(p.find("table.lines tbody tr")); got != 2 || !strings.Contains(p.text("table.lines"), "60 mm") {
		t.Errorf("%d lines change: %s", got, p.text("table.lines"))
	}
	ask.Set("as", "part")
	ask.Set("belt", "main-belt")
	ask.Set("printed", "6PK1880")
	if p = parse(t, s.post("/v/heron/runs", ask).body); !strings.Contains(p.text("table.lines"), "6PK1880") {
		t.Errorf("the part to buy changes %s", p.text("table.lines"))
	}
	ask.Set("as", "aside")
	if a := s.post("/v/heron/runs", ask); a.StatusCode != http.StatusSeeOther {
		t.Errorf("set aside: %s %s", a.Status, parse(t, a.body).text("main"))
	}
	if got := s.page("/v/heron/p/main-belt").text("main"); !strings.Contains(got, "Tried and set aside") {
		t.Error("the belt's page does not know what was tried")
	}
	left := s.page("/v/heron/run/main-run?leave=Steering+pump")
	ask = formOf(left, "#keep")
	ask.Set("as", "same")
	if got := parse(t, s.post("/v/heron/runs", ask).body).text("table.lines"); !strings.Contains(got, "Steering pump") {
		t.Errorf("with the pump left out: %s", got)
	}
}

// onStage is where a place of the drawing is in the window.
func (b *browser) onStage(at [2]float64) []float64 {
	b.t.Helper()
	return js[[]float64](b, fmt.Sprintf(`(() => { const m = document.querySelector("#stage svg").getScreenCTM();
		const p = new DOMPoint(%f, %f).matrixTransform(m); return [p.x, p.y]; })()`, at[0], at[1]))
}

// shot leaves a picture of the page where UNDERTRAY_SHOTS says, by day and by night.
func (b *browser) shot(name string) {
	dir := os.Getenv("UNDERTRAY_SHOTS")
	if dir == "" {
		return
	}
	for _, scheme := range []string{"light", "dark"} {
		b.prefer(scheme)
		src, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(90))
		if err == nil {
			err = os.WriteFile(dir+"/"+name+"-"+scheme+".jpg", src, 0o644)
		}
		if err != nil {
			b.t.Error(err)
		}
	}
	b.prefer("light")
}

// TestATapedRunByKeys: a run is measured, a pulley moved on the sketch, and what it comes to read, with the keyboard
// alone.
func TestATapedRunByKeys(t *testing.T) {
	for _, width := range []int64{390, 1280} {
		s, b := demoSite(t), openBrowser(t)
		b.do(chromedp.EmulateViewport(width, 844), chromedp.Navigate(s.url+"/v/heron/measure"))
		b.until(`!document.getElementById("bench").hidden`)
		to := func(id string) {
			t.Helper()
			for range 150 {
				if js[string](b, `document.activeElement.id || document.activeElement.dataset?.n || ""`) == id {
					return
				}
				b.do(chromedp.KeyEvent("\t"))
			}
			t.Fatalf("the tab key does not reach %s", id)
		}
		ask := triangle()
		keys := []string{"p1", "d1", "p2", "d2", "p3", "d3", "a1", "b1", "r1", "k2", "a2", "b2", "r2",
			"k3", "a3", "b3", "r3", "ribs"}
		for _, id := range keys {
			to(id)
			v := ask.Get(id)
			if strings.ContainsAny(id[:1], "abk") {
				v = map[string]string{"1": "1", "2": "2", "3": "3", "over": "o", "gap": "f"}[v]
			} else if id == "p1" {
				continue // it stands there
			}
			for _, c := range v {
				b.do(chromedp.KeyEvent(string(c)))
			}
		}
		b.until(`document.querySelector("#answer .lead").textContent.includes("Effective length")`)
		b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#bench").scrollIntoView(); document.querySelector("[name=hand]").focus(); 0`))
		to("3")
		before := js[string](b, `document.getElementById("x3").value`)
		b.do(chromedp.KeyEvent(kb.ArrowRight))
		if after := js[string](b, `document.getElementById("x3").value`); after == before {
			t.Errorf("the arrow key leaves the pulley at %s", after)
		}
		b.until(`!document.getElementById("answer").classList.contains("late")`)
		b.shot(fmt.Sprintf("taped-%d", width))
		b.quiet("a run by keys")
	}
}

// TestMeasuredWithoutScript: the form does the same where no script runs.
func TestMeasuredWithoutScript(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	if _, err := chromedp.Call(b.ctx, emulation.SetScriptExecutionDisabled,
		emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	b.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(s.url+"/v/heron/measure?run=main-run"),
		chromedp.Click(chromedp.CSS(`#measure button.main`)))
	b.until(`document.querySelector("#answer li, #answer figure") !== null`)
}
