package web

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/belt/listentest"
	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/listen"
)

// heronSound is a recording of the demo's heron with a flaw in the upper
// idler's bearing, whose ratios the program works out.
var heronSound = sync.OnceValues(func() ([]byte, error) {
	made, err := madeDemo()
	if err != nil {
		return nil, err
	}
	ratio, err := ratiosOfHeron(made.dir)
	if err != nil {
		return nil, err
	}
	return listentest.Engine{Seed: 3, RPM: 1010, Cylinders: 6, Rate: 48000, Seconds: 14,
		Alternator: ratio["alternator"], Ratio: 1.003 * ratio["upper idler"], SNR: -14,
		Bearing: listen.Bearing{Balls: 8, Ball: 0.2656, Pitch: 1.122, OuterTurns: true}}.WAV(), nil
})

// ratiosOfHeron are those of the main run's pulleys, as the program works them out.
func ratiosOfHeron(dir string) (map[string]float64, error) {
	y, err := yard.Open(dir)
	if err != nil {
		return nil, err
	}
	v, err := y.Vehicle("heron")
	if err != nil {
		return nil, err
	}
	b, err := belt.Of(advise.Vehicle(y.Catalogue, v, nil, demo.Today), "main-run", belt.Question{})
	if err != nil {
		return nil, err
	}
	ratio := map[string]float64{}
	for _, p := range b.States[0].Speeds.Pulleys {
		ratio[p.Name] = p.Ratio
	}
	return ratio, nil
}

func soundOfHeron(t *testing.T) []byte {
	t.Helper()
	src, err := heronSound()
	if err != nil {
		t.Fatal(err)
	}
	return src
}

// send posts a recording with the fields of the form.
func (s *site) send(src []byte, fields url.Values) answer {
	s.t.Helper()
	return s.postFile("/v/heron/listen", fields, "sound", "idle.wav", src)
}

// A recording sent without script is answered, heard again, and kept as a
// finding with the recording attached.
func TestASoundIsRankedAndKept(t *testing.T) {
	s := demoSite(t)
	src := soundOfHeron(t)
	a := s.send(src, url.Values{"rpm": {"1000"}, "run": {"main-run"}, "with": {"lights", "steering turned"}})
	at := a.Header.Get("Location")
	if a.StatusCode != http.StatusSeeOther || !strings.HasPrefix(at, "/v/heron/listen/") {
		t.Fatalf("%s to %q\n%s", a.Status, at, a.body)
	}
	a = s.get(at)
	for _, want := range []string{"<h1>Most likely the upper idler (its bearing&#39;s outer ring)",
		belt.ListenDecides.String(),
		"sleeves, hair, straps", "Switched on: lights and steering turned."} {
		if !strings.Contains(a.body, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	checkPage(t, at, parse(t, a.body))
	if n := strings.Count(a.body, "<svg"); n < 2 {
		t.Errorf("%d drawings", n)
	}
	path, query, _ := strings.Cut(at, "?")
	if sound := s.get(path + "/sound"); sound.Header.Get("Content-Type") != "audio/wav" || sound.body != string(src) {
		t.Errorf("the recording comes back as %s, %d bytes", sound.Header.Get("Content-Type"), len(sound.body))
	}
	var v belt.HeardView
	if err := json.Unmarshal([]byte(s.get(at, "Accept", "application/json").body), &v); err != nil ||
		v.Outcome != "named" {
		t.Errorf("%v %+v", err, v)
	}
	batch := journal.NewID()
	kept := s.post(path+"?"+query, url.Values{"batch": {batch}, "date": {"2026-11-25"}, "as": {"idler-upper/whine"},
		"text": {"Grinds when cold."}})
	if kept.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s\n%s", kept.Status, kept.body)
	}
	entries, err := s.journal.Memory.Entries(t.Context(), journal.Filter{Vehicle: "heron", Batch: batch})
	if err != nil || len(entries) != 1 || entries[0].Found == nil || entries[0].Found.Answer != "whine" ||
		len(entries[0].Found.Attachments) != 1 {
		t.Fatalf("%v %+v", err, entries)
	}
	att, err := s.journal.Memory.Attachment(t.Context(), entries[0].Found.Attachments[0])
	if err != nil || !bytes.Equal(att.Data, src) {
		t.Errorf("the attachment: %v", err)
	}
	s.server.sounds.held = nil
	if again := s.get(at); again.StatusCode != http.StatusOK {
		t.Errorf("the kept recording is not found again: %s", again.Status)
	}
	if !strings.Contains(s.get("/v/heron/listen").body, "Grinds when cold.") {
		t.Error("the kept recording is not listed")
	}
}

func TestTwoSoundsAreCompared(t *testing.T) {
	s := demoSite(t)
	src := soundOfHeron(t)
	first := s.send(src, url.Values{"rpm": {"1000"}}).Header.Get("Location")
	hash := strings.TrimPrefix(strings.Split(first, "?")[0], "/v/heron/listen/")
	half := bytes.Clone(src[:len(src)-48000])
	second := s.send(half, url.Values{"rpm": {"1000"}, "other": {hash}}).Header.Get("Location")
	if a := s.get(second); !strings.Contains(a.body, "Beside the recording before") ||
		!strings.Contains(a.body, "Nothing stands out") {
		t.Errorf("%s %.300s", a.Status, a.body)
	}
}

// Every wrong file has its own answer on the page; nothing is recorded.
func TestWrongSoundsAreRefused(t *testing.T) {
	s := demoSite(t)
	short := listentest.Engine{Seed: 1, RPM: 900, Cylinders: 6, Rate: 16000, Seconds: 1}.WAV()
	for name, c := range map[string]struct {
		src  []byte
		want string
	}{
		"nothing": {nil, "no recording came with the form"},
		"letter":  {[]byte("this is a letter and no sound, however long it may be"), "it is text"},
		"cut":     {short[:20], "broken WAV recording"},
		"silent":  {listentest.WAV(16000, make([]float64, 64000)), "recording is silent"},
		"huge":    {make([]byte, maxSound+1), "more than 20 MiB"},
	} {
		a := s.send(c.src, url.Values{"rpm": {"1000"}})
		if a.StatusCode < 400 || a.StatusCode >= 500 ||
			!strings.Contains(strings.ToLower(a.body), strings.ToLower(c.want)) {
			t.Errorf("%s: %s %s", name, a.Status, between(a.body, "faults", "<form"))
		}
	}
	if a := s.get(s.send(short, url.Values{"rpm": {"1000"}}).Header.Get(
		"Location")); a.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(a.body, "too short") {
		t.Errorf("short: %s", a.Status)
	}
	if a := s.get("/v/heron/listen/" + strings.Repeat("0", 64)); a.StatusCode != http.StatusNotFound ||
		!strings.Contains(a.body, "no longer held") {
		t.Errorf("unknown: %s", a.Status)
	}
	if s.journal.landings.Load() != 0 {
		t.Error("something was recorded")
	}
}

// between is the part of a page from one text to another.
func between(body, from, to string) string {
	_, rest, _ := strings.Cut(body, from)
	part, _, _ := strings.Cut(rest, to)
	return part
}

func TestTheShelfForgetsTheOldest(t *testing.T) {
	s := shelf{most: mostSounds, bytes: soundsBytes}
	s.put("one", []byte("one"))
	for i := range mostSounds {
		s.put(strconv.Itoa(i), []byte{byte(i)})
	}
	if s.get("one") != nil || len(s.held) != mostSounds {
		t.Errorf("%d held", len(s.held))
	}
	if s.put("last", make([]byte, soundsBytes+1)); len(s.held) != 1 || s.get("last") == nil {
		t.Errorf("%d held after a large one", len(s.held))
	}
}

// The whole way in a browser: the page records what the microphone gives, the
// recording reaches the ranking, lines go off and on, one band plays by
// itself, and it is kept. The microphone plays a file.
func TestASoundIsRecordedInThePage(t *testing.T) {
	file := filepath.Join(t.TempDir(), "engine.wav")
	if err := os.WriteFile(file, soundOfHeron(t), 0o644); err != nil {
		t.Fatal(err)
	}
	s := demoSite(t)
	b := openBrowser(t, chromedp.Flag("use-fake-device-for-media-stream", true),
		chromedp.Flag("use-fake-ui-for-media-stream", true),
		chromedp.Flag("use-file-for-fake-audio-capture", file),
		chromedp.Flag("autoplay-policy", "no-user-gesture-required"))
	b.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(s.url+"/v/heron/listen"))
	b.until(`!document.getElementById("recorder").hidden`)
	js[any](b, `document.getElementById("rpm").value = "1000"; document.getElementById("run").value = "main-run"; document.getElementById("record").click()`)
	b.until(`document.getElementById("record").getAttribute("aria-pressed") === "true"`)
	time.Sleep(11 * time.Second) // the recording itself
	js[any](b, `document.getElementById("record").click()`)
	b.until(`document.getElementById("sound-file").files.length === 1`)
	if said := js[string](b, `document.getElementById("level").textContent`); !strings.Contains(said, "s recorded") {
		t.Errorf("the page says %q", said)
	}
	js[any](b, `document.querySelector("#take button.main").click()`)
	b.until(`location.pathname.length > 60 && document.querySelectorAll("#heard svg").length === 2`)
	head := js[string](b, `document.querySelector("h1").textContent`)
	t.Log(head)
	if first := js[string](b, `document.querySelector("tbody td.block").textContent`); first != "Upper idler" {
		t.Errorf("first suspect %q: %s", first, head)
	}
	b.toggleLines()
	js[any](b, `document.querySelector("#solo input").click()`)
	js[any](b, `document.querySelector("#take, form[method=post]") && document.querySelector("form:not([enctype]) "+
		"button.main").click()`)
	b.until(`location.pathname.includes("/batch/")`)
	kept, err := s.journal.Memory.Attachments(t.Context())
	if err != nil || len(kept) != 1 || kept[0].Size < 9*48000*3 {
		t.Errorf("%v %+v", err, kept)
	}
	notes, err := s.journal.Memory.Entries(t.Context(), journal.Filter{Vehicle: "heron"})
	if err != nil {
		t.Fatal(err)
	}
	if last := notes[len(notes)-1]; last.Type != fleet.TypeNote || len(last.Note.Attachments) != 1 ||
		!strings.HasPrefix(last.Note.Text, "Sound recorded for ") {
		t.Errorf("kept as %+v", last)
	}
	b.quiet("recording in the page")
}

// toggleLines switches the first candidate's lines off and on again.
func (b *browser) toggleLines() {
	b.t.Helper()
	shown := `[...document.querySelectorAll("#heard svg "+
		".d-num")].filter(e => e.textContent === "1" && e.style.display !== "none").length`
	before := js[int](b, shown)
	js[any](b, `document.querySelector("[data-line-of='1']").click()`)
	off := js[int](b, shown)
	js[any](b, `document.querySelector("[data-line-of='1']").click()`)
	if before < 1 || off != 0 || js[int](b, shown) != before {
		b.t.Errorf("lines of the first suspect: %d shown, %d after switching off", before, off)
	}
}

// The two pages against WCAG 2.2 A and AA by the rules of axe-core, by day and
// by night, and no wider than a phone.
func TestListenPagesAreAccessible(t *testing.T) {
	axe, err := os.ReadFile(pageTools(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	s, b := demoSite(t), openBrowser(t)
	heard := s.send(soundOfHeron(t), url.Values{"rpm": {"1000"}}).Header.Get("Location")
	b.do(chromedp.EmulateViewport(390, 844))
	for scheme, rules := range map[string]string{"light": wcag22, "dark": contrastOnly} {
		b.prefer(scheme)
		for _, path := range []string{"/v/heron/listen", heard + "&try=lamps-on..alike."} {
			for _, v := range b.audit(s.url+path, string(axe), rules) {
				for _, n := range v.Nodes {
					t.Errorf("%s, %s: %s (%s): %s %s", path, scheme, v.Help, v.ID, n.HTML, n.Summary)
				}
			}
			if over := js[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
				t.Errorf("%s is %d px too wide: %s", path, over, js[string](b, widest))
			}
		}
	}
}
