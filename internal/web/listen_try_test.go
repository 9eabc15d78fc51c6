package web

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/belt/listentest"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/listen"
)

// heronAt is a recording of the demo's heron at a speed, with a flaw in the
// upper idler's bearing at a level against the rest.
func heronAt(t *testing.T, rpm, snr float64) []byte {
	t.Helper()
	made, err := madeDemo()
	if err != nil {
		t.Fatal(err)
	}
	ratio, err := ratiosOfHeron(made.dir)
	if err != nil {
		t.Fatal(err)
	}
	return listentest.Engine{Seed: 5, RPM: rpm, Cylinders: 6, Rate: 32000, Seconds: 10,
		Alternator: ratio["alternator"], Ratio: 1.003 * ratio["upper idler"], SNR: snr,
		Bearing: listen.Bearing{Balls: 8, Ball: 0.2656, Pitch: 1.122, OuterTurns: true}}.WAV()
}

// tryWords is how many words the little experiment takes before anything is unfolded.
const tryWords = 110

// A little experiment played through on a phone, and where all is tried at a
// desk: a first recording that does not tell, a second speed from a file, the
// lamps by ear; the odds follow, each caution stands before its steps, and all
// of it is kept together.
func TestAnExperimentIsPlayedThrough(t *testing.T) {
	dir := t.TempDir()
	for name, src := range map[string][]byte{"idle.wav": heronAt(t, 1010, -19), "fast.wav": heronAt(t, 2020, -12)} {
		if err := os.WriteFile(filepath.Join(dir, name), src, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	t.Run("phone", func(t *testing.T) { playThrough(t, dir, "phone", 390, 844) })
	if os.Getenv("UNDERTRAY_SOAK") != "" || os.Getenv("UNDERTRAY_SHOTS") != "" {
		t.Run("desk", func(t *testing.T) { playThrough(t, dir, "desk", 1280, 900) })
	}
}

func playThrough(t *testing.T, dir, name string, width, height int64) {
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.EmulateViewport(width, height), chromedp.Navigate(s.url+"/v/heron/listen"))
	b.until(`!document.getElementById("recorder").hidden`)
	b.shot("listen-" + name)
	js[any](b, `document.getElementById("rpm").value = "1000"; document.getElementById("run").value = "main-run"`)
	b.takenFile(filepath.Join(dir, "idle.wav"))
	js[any](b, `document.querySelector("#take button.main").click()`)
	b.until(`!!document.querySelector("#try .odds")`)
	b.shot("try-begun-" + name)
	words := strings.Replace(wordsInView, `querySelector("main")`, `querySelector("#try")`, 1)
	if n := js[int](b, words); n > tryWords {
		t.Errorf("%d words in view, at most %d are wanted", n, tryWords)
	}
	if !js[bool](b, `(f => f.querySelector(".caution").compareDocumentPosition(f.querySelector("ol")) === 4)`+
		`(document.getElementById("try-take"))`) {
		t.Error("the caution does not stand before the steps")
	}
	if first := js[string](b, `document.querySelector("#try h3").textContent`); first != "Record again at 2000 rpm" {
		t.Errorf("first proposed: %q", first)
	}
	if !js[bool](b, `[...document.querySelectorAll("#try button, #try summary, #try a")].filter(e => e.checkVisibility())`+
		`.every(e => e.getBoundingClientRect().height >= 24)`) {
		t.Error("a button of the experiment is too low to be hit")
	}
	before := b.oddsOf("Upper idler")

	js[any](b, `[...document.querySelectorAll("#try a")].find(e => e.textContent.includes("lamps"))?.click()`)
	b.until(`document.querySelector("#try h3")?.textContent.includes("lamps") ?? false`)
	if said := js[string](b, `document.querySelector("#try .caution").textContent`); !strings.Contains(said,
		"keep clear of belt and fan") {
		t.Errorf("before the lamps are switched on: %q", said)
	}
	js[any](b, `document.getElementById("try-ear").value = "louder"`)
	js[any](b, `document.querySelector("#try-take button.main").click()`)
	b.until(`document.querySelector("#try")?.textContent.includes("by ear.") ?? false`)
	lit := b.oddsOf("Upper idler")
	if lit >= before {
		t.Errorf("a noise that grows with the lamps moved the idler's bearing from %g to %g", before, lit)
	}
	b.shot("try-halfway-" + name)

	b.do(chromedp.SetUploadFiles("#try-sound-file", []string{filepath.Join(dir, "fast.wav")}))
	b.until(`!document.querySelector("#try-take button.main").disabled`)
	js[any](b, `document.querySelector("#try-take button.main").click()`)
	b.until(`location.search.includes("try=faster") && !!document.querySelector("#try .odds .was")`)
	if after := b.oddsOf("Upper idler"); after <= lit {
		t.Errorf("the second speed moved the upper idler from %g to %g", lit, after)
	}
	if h1 := js[string](b, `document.querySelector("h1").textContent`); !strings.HasPrefix(h1,
		"Probably the upper idler") {
		t.Errorf("it answers %q", h1)
	}
	b.shot("try-done-" + name)
	for _, wide := range []int64{1280, 390} {
		b.do(chromedp.EmulateViewport(wide, 900))
		if over := js[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
			t.Errorf("%d px too wide for %d", over, wide)
		}
	}
	js[any](b, `document.querySelector("form:not([enctype]) button.main").click()`)
	b.until(`location.pathname.includes("/batch/")`)
	notes, err := s.journal.Memory.Entries(t.Context(), journal.Filter{Vehicle: "heron"})
	if err != nil {
		t.Fatal(err)
	}
	last := notes[len(notes)-1]
	if last.Note == nil || len(last.Note.Attachments) != 2 ||
		!strings.Contains(last.Note.Text, "Then tried: Lamps on: the noise became louder, by ear. Faster: ") {
		t.Errorf("kept as %+v", last.Note)
	}
	b.quiet("experiment")
}

// oddsOf is the width of a suspect's bar, 0 where there is none.
func (b *browser) oddsOf(name string) float64 {
	b.t.Helper()
	return js[float64](b, `Number([...document.querySelectorAll("#try tbody tr")].find(e => e.cells[0].textContent === "`+
		name+`")?.querySelector(".filled").getAttribute("width") ?? 0)`)
}

// Without script an experiment goes by a form; what is no experiment is refused.
func TestAnExperimentByForm(t *testing.T) {
	s := demoSite(t)
	asked := map[string][]string{"rpm": {"1000"}, "run": {"main-run"}}
	first := s.send(heronAt(t, 1010, -14), asked).Header.Get("Location")
	path, query, _ := strings.Cut(first, "?")
	base := path[strings.LastIndex(path, "/")+1:]
	to := s.send(nil, map[string][]string{"what": {"lamps-on"}, "ear": {"alike"}, "base": {base}, "back": {query}})
	at := to.Header.Get("Location")
	if to.StatusCode != http.StatusSeeOther || !strings.Contains(at, "try=lamps-on..alike.") ||
		!strings.Contains(at, "rpm=1000") {
		t.Fatalf("%s to %q", to.Status, at)
	}
	var v belt.HeardView
	if err := json.Unmarshal([]byte(s.get(at, "Accept", "application/json").body), &v); err != nil ||
		v.Experiment == nil || len(v.Experiment.Tried) != 1 || len(v.Experiment.Odds) < 2 {
		t.Errorf("%v %+v", err, v.Experiment)
	}
	for what, fields := range map[string]map[string][]string{
		"no ear and no file": {"what": {"lamps-on"}, "base": {base}, "back": {query}},
		"faster by ear":      {"what": {"faster"}, "ear": {"louder"}, "base": {base}, "back": {query}},
		"no first recording": {"what": {"lamps-on"}, "ear": {"louder"}, "base": {"../x"}, "back": {query}},
	} {
		if a := s.send(nil, fields); a.StatusCode < 400 || a.StatusCode >= 500 {
			t.Errorf("%s: %s", what, a.Status)
		}
	}
	for _, try := range []string{"dance..louder.", "lamps-on." + strings.Repeat("0", 64) + ".."} {
		if a := s.get(first + "&try=" + try); a.StatusCode < 400 || a.StatusCode >= 500 {
			t.Errorf("try=%s: %s", try, a.Status)
		}
	}
}
