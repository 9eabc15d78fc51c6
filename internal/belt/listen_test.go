package belt_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/belt/listentest"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/listen"
)

// wagon is a run of five pulleys with two idlers of different size, the upper
// one's bearing named by its number alone.
const wagon = `undertray: 1
vehicle: wagon
name: Wagon
built: 2014-05-01
engine: {fuel: petrol, cylinders: 4, layout: transverse}
positions:
  - {id: main-belt, name: Main drive belt, kind: ribbed-belt, from: above, x: 50, y: 50}
  - {id: idler-upper, name: Upper idler, kind: idler, from: above, x: 50, y: 40}
  - {id: idler-lower, name: Lower idler, kind: idler, from: above, x: 50, y: 60}
runs:
  - id: main-run
    name: Main drive belt
    belt: main-belt
    mass: 233 g
    turns: clockwise
    pulleys:
      - {name: Crank pulley, x: 0 mm, y: 0 mm, diameter: 160 mm, side: ribs, driver: true}
      - {name: Steering pump, x: -215 mm, y: 85 mm, diameter: 132 mm, side: ribs, torque: 5 N·m}
      - {name: Lower idler, position: idler-lower, x: -112 mm, y: 168 mm, diameter: 72 mm, side: back,
	bearing: {number: "6203", outer_turns: true}}
      - {name: Alternator, x: -212 mm, y: 318 mm, diameter: 56 mm, side: ribs, power: 1.5 kW, alternator: true}
      - {name: Upper idler, position: idler-upper, x: -72 mm, y: 262 mm, diameter: 80 mm, side: back,
	bearing: {number: "6203-2RS"}}
      - {name: Water pump, x: 48 mm, y: 300 mm, diameter: 138 mm, side: ribs, torque: 6 N·m}
`

func wagonReport(t *testing.T) *advise.Report {
	t.Helper()
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	v, err := sheet.Parse("wagon.yaml", []byte(wagon), cat)
	if err != nil {
		t.Fatal(err)
	}
	return advise.Vehicle(cat, v, nil, civil.Date{Year: 2026, Month: 11, Day: 25})
}

// ratioOf is the ratio the program works out for a pulley of the run, whose
// formula package drive's own tests hold against handbooks.
func ratioOf(t *testing.T, r *advise.Report, pulley string) float64 {
	t.Helper()
	b, err := belt.Of(r, "main-run", belt.Question{})
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

// engine is a recording of the wagon with a flaw in one idler, whose real
// bearing is the data centre's 6203 in inches.
func engine(t *testing.T, r *advise.Report, flawed string) listentest.Engine {
	t.Helper()
	e := listentest.Engine{Seed: 5, RPM: 1008, Cylinders: 4, Rate: 32000, Seconds: 10,
		Alternator: ratioOf(t, r, "alternator"), SNR: -9}
	if flawed != "" {
		e.Ratio = 1.004 * ratioOf(t, r, flawed)
		e.Bearing = listen.Bearing{Balls: 8, Ball: 0.2656, Pitch: 1.122, OuterTurns: true}
	}
	return e
}

func heard(t *testing.T, r *advise.Report, wav []byte, q belt.ListenQuestion) *belt.Heard {
	t.Helper()
	rec, err := belt.ReadRecording("engine.wav", bytes.NewReader(wav))
	if err != nil {
		t.Fatal(err)
	}
	h, err := belt.Listen(r, rec, q)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func TestListenNamesTheIdlerThatSounds(t *testing.T) {
	r := wagonReport(t)
	for _, flawed := range []string{"upper idler", "lower idler"} {
		h := heard(t, r, engine(t, r, flawed).WAV(), belt.ListenQuestion{RPM: 1000, On: []string{"lights"}})
		want := "idler-" + strings.Fields(flawed)[0]
		if got := h.Suspected(); got != want {
			t.Errorf("%s: %q suspected. %s", flawed, got, h.Headline())
		}
		if a := h.Answer(); a.Code != belt.OneNamed || a.First.Element != listen.OuterRing || a.Doubtful {
			t.Errorf("%s: %+v", flawed, a)
		}
		sure := h.Ranking.Sure() // the word follows the probability
		want = say.Capital(sure.String()) + " the " + flawed + " (its bearing's outer ring)"
		if s := h.Headline(); sure == listen.Unsaid || !strings.HasPrefix(s.String(), want) {
			t.Errorf("%s: %s", flawed, s)
		}
		turns := 1.004 * ratioOf(t, r, flawed) * 1008
		if got := h.RPMOf(h.Ranking.Suspects[0]); math.Abs(got/turns-1) > 0.01 {
			t.Errorf("%s turns %.0f rpm, heard as %.0f", flawed, turns, got)
		}
		if len(belt.LineWords(h.Ranking.Suspects[0].Lines)) < 2 {
			t.Errorf("%s: lines %v", flawed, h.Ranking.Suspects[0].Lines)
		}
		checkFigures(t, h)
	}
}

// checkFigures asks that both drawings come out and number the first suspect.
func checkFigures(t *testing.T, h *belt.Heard) {
	t.Helper()
	fig, err := h.EnvelopeFigure(draw.Head{ID: "beats"})
	if err != nil || !strings.Contains(string(fig.SVG), ">1</text>") ||
		!strings.Contains(fig.Caption.String(), "1 "+h.Name(h.Ranking.Suspects[0]).String()) {
		t.Errorf("%v; %s", err, fig.Caption)
	}
	if fig, err := h.PlainFigure(draw.Head{ID: "levels"}); err != nil ||
		!strings.Contains(fig.Caption.String(), "engine firing") {
		t.Errorf("%v; %s", err, fig.Caption)
	}
	if from, to := h.Band(); !(from >= 0 && to > from && to <= h.Recording.Rate/2) {
		t.Errorf("band to listen to: %g to %g Hz", from, to)
	}
}

// A healthy run gives no bearing away, and with the speed a third off nothing
// at all is named.
func TestListenAccusesNobodyWithoutCause(t *testing.T) {
	r := wagonReport(t)
	healthy := heard(t, r, engine(t, r, "").WAV(), belt.ListenQuestion{RPM: 1000})
	if q := healthy.Ranking.Suspects[0]; healthy.Ranking.Outcome == listen.Named && !healthy.Tonal() {
		t.Errorf("healthy: %s of %v named", q.Shows, q.Pulleys)
	}
	if healthy.Ranking.Outcome == listen.Named && healthy.Answer().Code != belt.WhineOut {
		t.Error(healthy.Headline())
	}
	wrong := heard(t, r, engine(t, r, "upper idler").WAV(), belt.ListenQuestion{RPM: 1380})
	if s, a := wrong.Headline(), wrong.Answer(); a.Code != belt.SpeedUnsure && a.Code != belt.NothingOut ||
		!strings.HasPrefix(s.String(), "Not enough to tell:") || wrong.Suspected() != "" {
		t.Errorf("with a wrong speed: %s", s)
	}
}

func TestListenAlwaysSaysWhatDecides(t *testing.T) {
	r := wagonReport(t)
	h := heard(t, r, engine(t, r, "upper idler").WAV(), belt.ListenQuestion{RPM: 1000})
	v := h.View()
	if v.Decides != belt.ListenDecides || !strings.Contains(v.Decides.String(),
		"a hand on the pulley with the belt off") ||
		!strings.Contains(v.Caution.String(), "sleeves, hair, straps") {
		t.Errorf("%q, %q", v.Decides, v.Caution)
	}
	tests := strings.Join(told.InEnglish(v.Tests), " ")
	for _, want := range []string{"Water on the ribs", "Load off, then on", "Belt off: engine off, key out"} {
		if !strings.Contains(tests, want) {
			t.Errorf("the tests lack %q", want)
		}
	}
	if !slices.ContainsFunc(v.Basis, func(s message.Text) bool {
		return strings.Contains(s.String(), "usual inside of a 6203 (published), its outer ring turning")
	}) {
		t.Errorf("what was assumed of the upper idler's bearing is not said: %q", v.Basis)
	}
	if _, err := belt.Listen(r, h.Recording, belt.ListenQuestion{RPM: 20}); fleet.KindOf(err) != fleet.Invalid {
		t.Errorf("20 rpm: %v", err)
	}
	if _, err := belt.Listen(r, h.Recording,
		belt.ListenQuestion{Run: "main-rum"}); fleet.KindOf(err) != fleet.NotFound {
		t.Errorf("unknown run: %v", err)
	}
}

// Each thing wrong with a file has its own answer.
func TestReadRecordingRefuses(t *testing.T) {
	good := listentest.Taps(80, 16000, 2)
	nan := slices.Clone(good)
	copy(nan[20:], []byte{3, 0}) // says float, holds 16 bits
	for name, c := range map[string]struct {
		wav  []byte
		want string
	}{
		"empty": {nil, "not a WAV recording"},
		"picture": {[]byte("\xff\xd8\xff\xe0 not sound at all, but long enough to be read as a head"),
			"not a WAV recording"},
		"broken": {good[:30], "broken WAV recording"},
		"coding": {nan, "WAV"},
		"silent": {listentest.WAV(16000, make([]float64, 48000)), "recording is silent"},
	} {
		_, err := belt.ReadRecording("x.wav", bytes.NewReader(c.wav))
		if fleet.KindOf(err) != fleet.Invalid || !strings.Contains(err.Error(), "x.wav: "+c.want) &&
			!strings.Contains(err.Error(), c.want) || len(fleet.Hints(err)) != 1 {
			t.Errorf("%s: %v %v", name, err, fleet.Hints(err))
		}
	}
}

func TestListenToShortAndClipped(t *testing.T) {
	r := wagonReport(t)
	e := engine(t, r, "upper idler")
	x := e.Samples()
	rec, err := belt.ReadRecording("x.wav", bytes.NewReader(listentest.WAV(e.Rate, x[:int(e.Rate)])))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := belt.Listen(r, rec, belt.ListenQuestion{RPM: 1000}); fleet.KindOf(err) != fleet.Invalid ||
		!strings.Contains(err.Error(), "too short") {
		t.Errorf("one second: %v", err)
	}
	for i := range x {
		x[i] *= 12
	}
	h := heard(t, r, listentest.WAV(e.Rate, x), belt.ListenQuestion{RPM: 1000})
	if len(h.Warnings()) == 0 || !strings.Contains(h.Warnings()[0].String(), "overdriven") || !h.Answer().Doubtful {
		t.Errorf("clipped: %q, %s", h.Warnings(), h.Headline())
	}
}

// The records are from the Case Western Reserve University Bearing Data
// Center: contact sensors on an electric motor with seeded flaws.
func TestShaftOnTheCollection(t *testing.T) {
	dir := given.Data(t, "data", "listening")
	src, err := os.ReadFile(filepath.Join(dir, "index.csv"))
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(src)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	elements := map[string]string{"inner": "inner ring", "outer": "outer ring", "ball": "rolling element or cage"}
	for _, row := range rows[1:] {
		f, err := os.Open(filepath.Join(dir, row[1]))
		if err != nil {
			t.Fatal(err)
		}
		rec, err := belt.ReadRecording(row[1], f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		rpm, _ := strconv.ParseFloat(row[7], 64)
		h, err := belt.Shaft(rec, belt.ShaftQuestion{Bearings: []string{row[2]}, RPM: rpm, Ignore: []float64{60}})
		if err != nil {
			t.Fatal(err)
		}
		fault, _, _ := strings.Cut(row[4], "@")
		want := "the " + elements[fault] + " of the " + row[2]
		if fault == "normal" {
			want = "Not enough to tell"
		}
		if !strings.Contains(h.Headline().String(), want) {
			t.Errorf("%s: %s", row[1], h.Headline())
		}
		if fig, err := h.Figure(draw.Head{ID: "shaft"}); err != nil || !strings.Contains(fig.Caption.String(),
			"outer ring") {
			t.Errorf("%s: %v %s", row[1], err, fig.Caption)
		}
		js, err := json.Marshal(h.View())
		if err != nil || !bytes.Contains(js, []byte("a hand on the shaft")) {
			t.Errorf("%s: %v %s", row[1], err, js)
		}
		for _, no := range []string{"pulley", "engine", "belt"} {
			if bytes.Contains(js, []byte(no)) {
				t.Errorf("%s: a shaft on its own has no %s: %s", row[1], no, js)
			}
		}
	}
}

func TestShaftRefuses(t *testing.T) {
	rec := listen.Recording{Rate: 16000, Channels: [][]float64{make([]float64, 16000)}}
	for name, q := range map[string]belt.ShaftQuestion{"bearing": {Bearings: []string{"9999"}, RPM: 1800},
		"no bearing": {RPM: 1800}, "speed": {Bearings: []string{"6203"}}} {
		if _, err := belt.Shaft(rec, q); err == nil || len(fleet.Hints(err)) == 0 {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// T = 4 m L^2 f^2, the string of the textbooks, by hand from the span's length.
func TestTappedReadsTheTension(t *testing.T) {
	r := wagonReport(t)
	rec, err := belt.ReadRecording("taps.wav", bytes.NewReader(listentest.Taps(92, 16000, 4)))
	if err != nil {
		t.Fatal(err)
	}
	h, err := belt.Tapped(r, rec, "", "crank pulley", "steering pump")
	if err != nil {
		t.Fatal(err)
	}
	kg, _ := h.Run.Source.Belt.MassKgPerM()
	l := h.Answer.SpanMM / 1000
	if want := 4 * kg * l * l * 92 * 92; math.Abs(h.Answer.Tension.TensionN/want-1) > 0.02 {
		t.Errorf("%.1f N at %.2f Hz, by hand %.1f N. %s", h.Answer.Tension.TensionN, h.Tap.Hz, want, h.Headline())
	}
	if _, err := belt.Tapped(r, rec, "", "crank pulley", "alternator"); fleet.KindOf(err) != fleet.Invalid {
		t.Errorf("no such span: %v", err)
	}
	quiet := listentest.Engine{Seed: 1, RPM: 900, Cylinders: 4, Rate: 16000, Seconds: 0.3}
	rec, err = belt.ReadRecording("x.wav", bytes.NewReader(quiet.WAV()))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := belt.Tapped(r, rec, "", "crank pulley", "steering pump"); fleet.KindOf(err) != fleet.Invalid {
		t.Errorf("a third of a second: %v", err)
	}
}

// A tone 12 dB up in one band is found there, whatever the recorder's gain.
func TestCompareRecordings(t *testing.T) {
	e := listentest.Engine{Seed: 3, RPM: 900, Cylinders: 4, Rate: 32000, Seconds: 4}
	a := e.Samples()
	b := slices.Clone(a)
	for i := range b {
		b[i] = 0.5 * (b[i] + 0.06*math.Sin(2*math.Pi*3150*float64(i)/e.Rate))
	}
	mono := func(x []float64) listen.Recording { return listen.Recording{Rate: e.Rate, Channels: [][]float64{x}} }
	c, err := belt.CompareRecordings(mono(a), mono(b), "before", "after")
	if err != nil {
		t.Fatal(err)
	}
	if m := c.Bands[c.Most]; m.From > 3150 || m.To < 3150 || math.Abs(c.Gain+6) > 0.5 || c.Answer() != belt.BandRose {
		t.Errorf("%s, gain %.1f dB", c.Headline(), c.Gain)
	}
	if same, _ := belt.CompareRecordings(mono(a), mono(a), "a", "b"); same.Answer() != belt.NothingRose {
		t.Error(same.Headline())
	}
	if _, err := belt.CompareRecordings(mono(a), mono(make([]float64, 9000)), "a", "b"); err == nil ||
		!strings.Contains(err.Error(), "b: recording is silent") {
		t.Errorf("silent: %v", err)
	}
}
