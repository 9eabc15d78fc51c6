package web

import (
	"bytes"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/listen"
)

// codeSound makes a file of another coding from a WAV file; a machine without
// ffmpeg leaves the test out by name, but not where everything is to be checked.
func codeSound(t *testing.T, from string, args ...string) {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		if os.Getenv("UNDERTRAY_CHECK") != "" {
			t.Fatal("ffmpeg is missing: scripts/setup installs it")
		}
		t.Skip("ffmpeg is missing")
	}
	c := exec.Command("ffmpeg", append([]string{"-nostdin", "-v", "error", "-y", "-i", from}, args...)...)
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("ffmpeg %v: %v\n%s", args, err, out)
	}
}

// longSound is noise of two unlike channels, louder for a stretch.
func longSound(rate float64, seconds, from, to int) []byte {
	rng := rand.New(rand.NewPCG(8, 8))
	x := [][]float64{nil, nil}
	for s := range seconds {
		a := 0.02 * (1 + 0.1*math.Sin(float64(s)))
		if s >= from && s < to {
			a = 0.1
		}
		for range int(rate) {
			for c := range x {
				x[c] = append(x[c], math.Round(a*rng.NormFloat64()*(1<<15))/(1<<15))
			}
		}
	}
	return listen.Recording{Rate: rate, Channels: x}.WAV()
}

// takenFile chooses a file in the page and says what the page says of it, and
// how large what it will send is.
func (b *browser) takenFile(name string) (said string, size int) {
	b.t.Helper()
	b.do(chromedp.SetUploadFiles("#sound-file", []string{name}))
	b.until(`!document.querySelector("#take button.main").disabled`)
	b.until(`document.getElementById("level").textContent !== "Reading the file"`)
	return js[string](b, `document.getElementById("level").textContent`),
		js[int](b, `document.getElementById("sound-file").files[0]?.size ?? 0`)
}

// Long and coded files are brought to the best half minute in the page, the
// same that the server would take; what the browser cannot read is sent as it is.
func TestAnyFileIsShortenedInThePage(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	long := longSound(8000, 75, 33, 68)
	for name, src := range map[string][]byte{"long.wav": long, "letter.wav": []byte("Dear Sir, it squeals."),
		"two.wav": longSound(8000, 125, 70, 101)} {
		if err := os.WriteFile(at(name), src, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	codeSound(t, at("two.wav"), "-c:a", "aac", at("two.m4a"), "-c:a", "flac", at("two.flac"),
		"-t", "5", "-ac", "1", "-c:a", "wmav2", at("short.wma"), "-t", "5", "-c:a", "libmp3lame", at("short.mp3"))
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(s.url+"/v/heron/listen"))
	b.until(`!document.getElementById("recorder").hidden`)
	for name, want := range map[string]struct {
		says        string
		least, most int // bytes
	}{
		"two.m4a": {"lost some of what is asked for. The loudest and steadiest part is taken: 1:1", 1 << 20,
			9 << 20},
		"two.flac":   {"Decoded. The loudest and steadiest part is taken: 1:1", 1 << 20, 9 << 20},
		"short.mp3":  {"lost some of what is asked for.", 1000, 2 << 20},
		"short.wma":  {"sent as it is", 1000, 1 << 20},
		"letter.wav": {"sent as it is", 21, 21},
		"long.wav":   {"steadiest part is taken", 30 * 8000 * 4, 30*8000*4 + 200},
	} {
		said, size := b.takenFile(at(name))
		if !strings.Contains(said, want.says) || size < want.least || size > want.most {
			t.Errorf("%s: %d bytes, %q", name, size, said)
		}
	}
	b.takenFile(at("long.wav"))
	js[any](b, `document.querySelector("#take button.main").click()`)
	b.until(`location.pathname.length > 60`)
	held := s.server.sounds.held[len(s.server.sounds.held)-1].src
	rec, err := belt.ReadRecording("held", bytes.NewReader(held))
	if err != nil {
		t.Fatal(err)
	}
	whole, err := belt.ReadRecording("whole", bytes.NewReader(long))
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(rec.Warnings, whole.Warnings) || !slices.Equal(rec.Channels[1], whole.Channels[1]) {
		t.Errorf("the page takes %v, the server %v", rec.Warnings, whole.Warnings)
	}
	b.quiet("files in the page")
}

// What a browser without script or a command sends is decoded by the server.
func TestACodedFileIsDecoded(t *testing.T) {
	s := demoSite(t)
	name := filepath.Join(t.TempDir(), "idle.wav")
	if err := os.WriteFile(name, soundOfHeron(t), 0o600); err != nil {
		t.Fatal(err)
	}
	coded := strings.TrimSuffix(name, ".wav") + ".m4a"
	codeSound(t, name, "-c:a", "aac", "-b:a", "64k", coded)
	src, err := os.ReadFile(coded)
	if err != nil {
		t.Fatal(err)
	}
	to := s.send(src, map[string][]string{"rpm": {"1000"}, "run": {"main-run"}}).Header.Get("Location")
	a := s.get(to)
	if !strings.Contains(a.body, "The sound came as AAC") || !strings.Contains(a.body, "<h1>Perhaps") {
		t.Errorf("%s %s", a.Status, between(a.body, "<h1>", "<h2>"))
	}
	path, _, _ := strings.Cut(to, "?")
	if sound := s.get(path + "/sound"); !strings.HasPrefix(sound.body, "RIFF") {
		t.Errorf("it is played as %.12q", sound.body)
	}
}
