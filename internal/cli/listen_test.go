package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/belt/listentest"
	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/listen"
)

// demoYard makes the demo yard the one that commands work on.
func demoYard(t *testing.T) string {
	t.Helper()
	dir := demoFolder(t)
	t.Setenv("UNDERTRAY_YARD", dir)
	t.Setenv("UNDERTRAY_TODAY", demo.Today.String())
	t.Chdir(t.TempDir())
	return dir
}

// listenTo runs the command and checks that what is printed fits 80 columns.
func listenTo(t *testing.T, args ...string) (out, errs string, code int) {
	t.Helper()
	var o, e bytes.Buffer
	code = Main(append([]string{"listen"}, args...), strings.NewReader(""), &o, &e)
	for line := range strings.Lines(o.String()) {
		if utf8.RuneCountInString(strings.TrimSuffix(line, "\n")) > 80 && !strings.Contains(line, `": "`) &&
			!strings.HasPrefix(strings.TrimSpace(line), `"`) {
			t.Errorf("longer than 80 columns: %q", line)
		}
	}
	return o.String(), e.String(), code
}

func write(t *testing.T, name string, src []byte) {
	t.Helper()
	if err := os.WriteFile(name, src, 0o644); err != nil {
		t.Fatal(err)
	}
}

// heronRatio is the ratio the program works out for a pulley of the demo's
// heron.
func heronRatio(t *testing.T, dir, pulley string) float64 {
	t.Helper()
	y, err := yard.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	v, err := y.Vehicle("heron")
	if err != nil {
		t.Fatal(err)
	}
	b, err := belt.Of(advise.Vehicle(y.Catalogue, v, nil, demo.Today), "main-run", belt.Question{})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range b.States[0].Speeds.Pulleys {
		if p.Name == pulley {
			return p.Ratio
		}
	}
	t.Fatalf("no pulley %q", pulley)
	return 0
}

func TestListenFindsRanksDrawsAndKeeps(t *testing.T) {
	dir := demoYard(t)
	e := listentest.Engine{Seed: 3, RPM: 1010, Cylinders: 6, Rate: 32000, Seconds: 10,
		Alternator: heronRatio(t, dir, "alternator"),
		Ratio:      1.003 * heronRatio(t, dir, "upper idler"), SNR: -14,
		Bearing: listen.Bearing{Balls: 8, Ball: 0.2656, Pitch: 1.122, OuterTurns: true}}
	write(t, "idle.wav", e.WAV())
	out, errs, code := listenTo(t, "heron", "idle.wav", "--rpm", "1000", "--run", "main-run", "--with", "lights",
		"--svg", "lines.svg", "--keep", "--found", "whine")
	if code != 0 {
		t.Fatal(code, errs)
	}
	for _, want := range []string{"Most likely the upper idler (its bearing's outer ring)",
		"a hand on the pulley with the belt off", "sleeves, hair, straps", "Switched on: lights"} {
		if !strings.Contains(flat(out), want) {
			t.Errorf("the answer lacks %q:\n%s", want, out)
		}
	}
	if svg, err := os.ReadFile("lines.svg"); err != nil || !bytes.HasPrefix(svg, []byte("<svg")) {
		t.Errorf("%v %.40s", err, svg)
	}
	if !strings.Contains(errs, "Kept as entry") || !strings.Contains(errs, "Upper idler") {
		t.Error(errs)
	}
	if pos := runLine(t, "undertray position heron idler-upper"); !strings.Contains(flat(pos), "Whine that rises") &&
		!strings.Contains(flat(pos), "whine that rises") {
		t.Errorf("the finding does not show:\n%s", pos)
	}
	out, errs, code = listenTo(t, "heron", "idle.wav", "--rpm", "1000", "--run", "main-run", "--json")
	var v belt.HeardView
	if err := json.Unmarshal([]byte(out), &v); code != 0 || err != nil || v.Outcome != "named" ||
		v.Suspects[0].Positions[0] != "idler-upper" {
		t.Errorf("%d %v %s %+v", code, err, errs, v)
	}
}

// Every sort of wrong file gets its own answer and the exit code of what was
// typed or written wrong; none of them is kept.
func TestListenRefusesFiles(t *testing.T) {
	demoYard(t)
	e := listentest.Engine{Seed: 8, RPM: 1010, Cylinders: 4, Rate: 16000, Seconds: 1}
	good := e.WAV()
	write(t, "short.wav", good)
	write(t, "cut.wav", good[:20])
	write(t, "text.wav", []byte("this is a letter and no sound whatsoever, however long it is"))
	write(t, "silent.wav", listentest.WAV(16000, make([]float64, 160000)))
	for name, want := range map[string]string{"short.wav": "too short", "cut.wav": "broken WAV",
		"text.wav": "it is text", "silent.wav": "silent"} {
		out, errs, code := listenTo(t, "heron", name, "--rpm", "1000", "--keep")
		if code != exitInvalid || out != "" || !strings.Contains(errs, name+": ") || !strings.Contains(errs, want) ||
			strings.Count(errs, "\n") < 2 {
			t.Errorf("%s: code %d\n%s%s", name, code, out, errs)
		}
	}
	if _, errs, code := listenTo(t, "heron", "nowhere.wav"); code != exitUnavailable {
		t.Errorf("%d %s", code, errs)
	}
	for _, args := range [][]string{{"short.wav"}, {"heron", "short.wav", "--bearing", "6203"},
		{"heron", "short.wav", "--found", "whine"}, {"heron", "short.wav", "--rpm", "0"},
		{"heron", "short.wav", "--rpm", "NaN"}, {"heron", "short.wav", "--rpm", "Inf"},
		{"heron", "short.wav", "--tap", "alternator"}} {
		if _, errs, code := listenTo(t, args...); code != exitInvalid || strings.Count(errs, "\n") < 2 {
			t.Errorf("%v: %d %s", args, code, errs)
		}
	}
}

func TestListenTapsAndCompares(t *testing.T) {
	demoYard(t)
	write(t, "taps.wav", listentest.Taps(90, 16000, 4))
	out, errs, code := listenTo(t, "heron", "taps.wav", "--tap", "crank pulley - steering pump")
	if code != 0 || !strings.Contains(flat(out), "Crank pulley to steering pump") ||
		!strings.Contains(out, "4 taps heard") {
		t.Errorf("%d %s%s", code, errs, out)
	}
	out, errs, code = listenTo(t, "heron", "taps.wav", "--compare", "taps.wav")
	if code != 0 || !strings.Contains(out, "Nothing stands out") {
		t.Errorf("%d %s%s", code, errs, out)
	}
	out, errs, code = listenTo(t, "taps.wav", "--bearing", "6203", "--rpm", "1796")
	if code != 0 || !strings.Contains(out, "Not enough to tell") {
		t.Errorf("%d %s%s", code, errs, out)
	}
	out, errs, code = listenTo(t, "taps.wav", "--bearing", "6203", "--rpm", "1796", "--json")
	if code != 0 || !strings.Contains(out, "a hand on the shaft") || strings.Contains(out, "pulley") {
		t.Errorf("%d %s%s", code, errs, out)
	}
}

// TestListenMany makes the figures of docs/listening.md: four parts of the
// heron in turn, two levels of noise, four recordings each. No part may be
// named that has no flaw; the whine of the alternator is in all of them.
func TestListenMany(t *testing.T) {
	if os.Getenv("UNDERTRAY_LONG") == "" {
		t.Skip("a minute long: set UNDERTRAY_LONG to run it")
	}
	dir := demoYard(t)
	right, between, refused := 0, 0, 0
	for _, part := range []string{"upper idler", "lower idler", "tensioner", "alternator"} {
		b := listen.Bearing{Balls: 8, Ball: 0.2656, Pitch: 1.122, OuterTurns: true}
		if part == "alternator" {
			b = listen.Bearing{Balls: 7, Ball: 8.73, Pitch: 33.5}
		}
		for i := range 8 {
			e := listentest.Engine{Seed: uint64(i % 4), RPM: 1010, Cylinders: 6, Rate: 32000, Seconds: 10,
				Alternator: heronRatio(t, dir, "alternator"),
				Ratio:      1.003 * heronRatio(t, dir, part), SNR: []float64{-6, -14}[i/4], Bearing: b}
			write(t, "idle.wav", e.WAV())
			out, _, _ := listenTo(t, "heron", "idle.wav", "--rpm", "1000", "--json")
			var v belt.HeardView
			if err := json.Unmarshal([]byte(out), &v); err != nil {
				t.Fatal(err)
			}
			first := strings.ToLower(v.Suspects[0].Name.String())
			switch {
			case v.Outcome == "named" && strings.Contains(first, part):
				right++
			case v.Outcome == "named" && !strings.Contains(v.Suspects[0].What.String(), "whine"):
				t.Errorf("%s, %g dB, %d: %s", part, e.SNR, i, v.Headline)
			case strings.HasPrefix(v.Headline.String(), "Not enough"):
				refused++
			default:
				between++
			}
		}
	}
	t.Logf("%d right, %d between two, %d refused", right, between, refused)
}
