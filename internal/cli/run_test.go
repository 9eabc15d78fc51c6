package cli

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undertray.example/undertray/internal/belt"
)

func TestYourOwnRun(t *testing.T) { followPage(t, "your-own-run.md") }

// page returns a file that a page of the documentation has the reader write.
func page(t *testing.T, name, file string) string {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("..", "..", "docs", name))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(src), "file="+file+"\n")
	if !ok {
		t.Fatalf("%s has no file %s", name, file)
	}
	body, _, _ := strings.Cut(rest, "\n```")
	return body + "\n"
}

// ask runs the command on a run file and returns what it writes.
func put(t *testing.T, src string, args ...string) (out, errs string, code int) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "run.yaml")
	if err := os.WriteFile(file, []byte(src), 0o644); err != nil {
		t.Fatal(err)
	}
	var o, e bytes.Buffer
	code = Main(append([]string{"run", "--file", file}, args...), strings.NewReader(""), &o, &e)
	return o.String(), e.String(), code
}

// What a newcomer gets wrong is named in words that can be acted on, and the
// file is never refused for it.
func TestRunWrongInput(t *testing.T) {
	good := page(t, "your-own-run.md", "armed.yaml")
	for name, c := range map[string]struct {
		old, new string
		args     []string
		want     []string
	}{
		"belt 30 mm too short": {args: []string{"--belt", "6PK1820"},
			want: []string{"6PK1820 does not fit", "mm too short", "Belts from"}},
		"pulleys swapped": {old: "{name: Water pump, x: 48 mm, y: 300 mm, diameter: 137 mm, measured: outside, " +
			"side: ribs, torque: 6 N·m}\n  - {name: Lower idler, x: 62 mm, y: 140 mm, diameter: 72 mm, side: back}",
			new: "{name: Lower idler, x: 62 mm, y: 140 mm, diameter: 72 mm, side: back}\n  - {name: Water pump, x: " +
				"48 mm, y: 300 mm, diameter: 137 mm, measured: outside, side: ribs, torque: 6 N·m}",
			want: []string{"cannot be worked out", "With the lower idler and the water pump swapped the run works"}},
		"one pulley inside another": {old: "x: -72 mm, y: 262 mm", new: "x: 46 mm, y: 302 mm",
			want: []string{"upper idler lies wholly inside the water pump", "radius was entered as a diameter"}},
		"ribs and back mistaken": {old: "diameter: 76 mm, side: back", new: "diameter: 76 mm, side: ribs",
			want: []string{"cannot be worked out", "With the upper idler on the back of the belt the run works"}},
		"side mistaken, and the belt could lie so": {old: "diameter: 72 mm, side: back",
			new: "diameter: 72 mm, side: ribs",
			want: []string{"hardly touches the lower idler (0°): check whether it runs there on the ribs or on " +
				"the back"}},
		"pivot not measured": {old: "  pivot_x: -122 mm\n", new: "", want: []string{"pivot", "as drawn"}},
	} {
		t.Run(name, func(t *testing.T) {
			src := strings.Replace(good, c.old, c.new, 1)
			if c.old != "" && src == good {
				t.Fatal("nothing was changed")
			}
			out, errs, code := put(t, src, c.args...)
			if code != 0 {
				t.Fatalf("exit code %d: %s", code, errs)
			}
			for _, want := range c.want {
				if !strings.Contains(flat(out), want) {
					t.Errorf("the answer lacks %q:\n%s", want, out)
				}
			}
			wide(t, out)
		})
	}
}

// What cannot be read is refused with file, line and what would be right.
func TestRunRefusals(t *testing.T) {
	good := page(t, "your-own-run.md", "armed.yaml")
	for _, c := range []struct {
		old, new string
		args     []string
		code     int
		want     string
	}{
		{"kind: spring arm", "kind: sprung arm", nil, exitInvalid,
			`run.yaml:9:9: kind is "sprung arm": did you mean "spring arm"?`},
		{"pulley: Tensioner", "pulley: Tensoner", nil, exitInvalid, `did you mean "Tensioner"?`},
		{"low: -11°", "low: -11 mm", nil, exitInvalid, "is measured by angle"},
		{"spring: 62 N·m", "spring: 62 N", nil, exitInvalid, "is measured by torque"},
		{"mass: 233 g", "mass: 233", nil, exitInvalid, "has no unit"},
		{"belt: 6PK1874", "belt: K060737", nil, exitInvalid, "inch part number"},
		{"driver: true", "driver: false", nil, exitInvalid, "has no driver"},
		{"side: ribs, driver", "measurd: outside, side: ribs, driver", nil, exitInvalid, `did you mean "measured"?`},
		{"", "", []string{"--leave-out", "compressor"}, exitNotFound, "has no pulley"},
		{"", "", []string{"--leave-out", "crank pulley"}, exitInvalid, "driver"},
		{"", "", []string{"--belt", "6PX1874"}, exitInvalid, "is not a belt designation"},
		{"", "", []string{"--diameter", "alternator=58"}, exitInvalid, "alternator=58mm"},
		{"", "", []string{"--tap", "crank pulley - water pump = 90 Hz"}, exitInvalid,
			"no span leads from the crank pulley to the water pump"},
		{"", "", []string{"--arm", "40°"}, exitInvalid, "can't stand"},
		{"", "", []string{"--rpm", "NaN"}, exitInvalid, "an engine speed of NaN rpm"},
		{"", "", []string{"--rpm", "Inf"}, exitInvalid, "an engine speed of +Inf rpm"},
		{"", "", []string{"--rpm", "0"}, exitInvalid, "an engine speed of 0 rpm"},
		{"", "", []string{"--rpm=-700"}, exitInvalid, "an engine speed of -700 rpm"},
	} {
		src := strings.Replace(good, c.old, c.new, 1)
		_, errs, code := put(t, src, c.args...)
		if code != c.code || !strings.Contains(flat(errs), c.want) {
			t.Errorf("%q %v: exit code %d, %s", c.new, c.args, code, errs)
		}
	}
}

// Every vehicle of the demo answers for each of its runs, within 80 columns,
// and as JSON.
func TestRunOfDemo(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "yard")
	run := func(args ...string) string {
		t.Helper()
		var o, e bytes.Buffer
		if code := Main(append(args, "--yard", dir), strings.NewReader(""), &o, &e); code != 0 {
			t.Fatalf("%v: exit code %d: %s", args, code, e.String())
		}
		return o.String()
	}
	t.Setenv("UNDERTRAY_TODAY", "2026-11-25")
	run("demo", "--into", dir)
	for vehicle, headlines := range map[string][]string{
		"heron":   {"The arm stands 11° from its take-up stop", "The 4PK939 fits, with about"},
		"dunnock": {"The 6PK1683 fits", "A toothed belt is ordered by its number of teeth"},
		"bittern": {"The 7PK1734 fits", "is a stretch-fit belt", "The AVX13X850 fits"},
	} {
		out := run("run", vehicle)
		wide(t, out)
		for _, want := range headlines {
			if !strings.Contains(flat(out), want) {
				t.Errorf("%s lacks %q:\n%s", vehicle, want, out)
			}
		}
		var views []belt.RunView
		if err := json.Unmarshal([]byte(run("run", vehicle, "--json")), &views); err != nil ||
			len(views) != len(headlines) {
			t.Errorf("%s: %d runs as JSON, %v", vehicle, len(views), err)
		}
	}
	svg := filepath.Join(t.TempDir(), "run.svg")
	run("run", "heron", "main-run", "--svg", svg)
	src, err := os.ReadFile(svg)
	if err != nil {
		t.Fatal(err)
	}
	wellFormed(t, src)
	out := run("run", "heron", "main-run", "--leave-out", "steering-pump")
	if !strings.Contains(flat(out), "What if") || !strings.Contains(flat(out), "The steering pump left out") {
		t.Errorf("a position is not taken for its pulley:\n%s", out)
	}
}

func wellFormed(t *testing.T, src []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(src))
	for {
		if _, err := d.Token(); err == io.EOF {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

func wide(t *testing.T, out string) {
	t.Helper()
	for line := range strings.Lines(out) {
		if n := len([]rune(strings.TrimRight(line, "\n"))); n > 80 {
			t.Errorf("%d columns: %s", n, line)
		}
	}
}
