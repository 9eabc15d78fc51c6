package sheet

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/harm"
	"undertray.example/undertray/units"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// small is a valid sheet that uses every part of the format.
const small = `undertray: 1
vehicle: blue-van
name: Blue van
built: 2011-09-01
yearly: 12000 km
stance: strictest
oil_change: {distance: 10000 km, time: 12 months}
engine: {fuel: diesel, cylinders: 4, layout: longitudinal}
openings:
  - id: raised
    name: Raise the front
    from: below
    minutes: 12
    raises: true
    cautions: [Stands on firm level ground]
  - id: undertray
    name: Take the undertray off
    undo: Refit the undertray
    needs: [raised]
    minutes: 10
    undo_minutes: 12
    fasteners: [{what: screw, count: 9, torque: 4 N·m}]
    consumables: [{what: turn-clip, amount: 2, cost: 3 EUR}]
positions:
  - id: main-belt
    name: Main belt
    kind: ribbed-belt
    from: below
    x: 50 # across
    y: 20
    seen: [undertray]
    changed: [undertray]
    minutes: 12
    part: {name: Ribbed belt, number: 6PK1875, material: epdm, quantity: 1, cost: 34 EUR}
    limits:
      - check: cracks
        at_least: 3 per 75 mm
        verdict: put right
        authority: owner
        source: own notebook
        says: Three cracks and it goes.
    intervals:
      - {do: replace, distance: 90000 km, time: 6 years, authority: vehicle maker, source: handbook}
  - {id: crank, name: Crank pulley, kind: crank-pulley, from: below, x: 50, y: 19, seen: [undertray], minutes: 60}
runs:
  - id: main
    name: Main run
    belt: main-belt
    pulleys:
      - {name: Crank, position: crank, x: 0 mm, y: 0 mm, diameter: 160 mm, side: ribs, driver: true}
      - {name: Idler, x: 4 in, y: 150 mm, diameter: 80 mm, side: back}
      - {name: Pump, x: 150 mm, y: 290 mm, diameter: 120 mm, side: ribs}
`

func knowledge(t testing.TB) *catalogue.Catalogue {
	t.Helper()
	c, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestReadSmall(t *testing.T) {
	s, err := Read("small.yaml", []byte(small), knowledge(t))
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Warnings) != 0 {
		t.Errorf("warnings %v", s.Warnings)
	}
	v := s.Vehicle
	if v.ID != "blue-van" || v.Built != (civil.Date{Year: 2011, Month: time.September, Day: 1}) ||
		v.Stance != fleet.Strictest {
		t.Errorf("head read as %+v", v)
	}
	if got := *v.Openings[1].Fasteners[0].Torque; got != units.MustParse("4 N·m") {
		t.Errorf("torque %v", got)
	}
	if got := v.Positions[0].Part.Quantity; got != "1" {
		t.Errorf("quantity %q", got)
	}
	if got := *v.Positions[0].Limits[0].AtLeast; got != units.MustParse("3 per 75 mm") {
		t.Errorf("limit %v", got)
	}
	if got := v.Runs[0].Pulleys[1].X; got != units.MustParse("4 in") {
		t.Errorf("pulley x %v", got)
	}
	if diff := cmp.Diff([]string{"raised", "undertray"}, v.Closure(v.Positions[0].Changed)); diff != "" {
		t.Error(diff)
	}
}

// Each file in testdata/wrong has several mistakes; the golden file beside it
// lists all messages.
func TestWrongSheets(t *testing.T) {
	files, err := filepath.Glob("testdata/wrong/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no wrong sheets: %v", err)
	}
	known := knowledge(t)
	for _, f := range files {
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if s, err := Read(filepath.Base(f), src, known); err != nil {
			got = "errors\n" + err.Error() + "\n"
		} else {
			got = "warnings\n"
			for _, w := range s.Warnings {
				got += w.Error() + "\n"
			}
		}
		golden := strings.TrimSuffix(f, ".yaml") + ".golden"
		if *update {
			if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(golden)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", f, diff)
		}
	}
}

// One mistake at a time: the place and the gist of the message. The places
// were counted by hand in the text above.
func TestSingleMistakes(t *testing.T) {
	tests := []struct{ from, to, where, says string }{
		{"name: Blue van", "nmae: Blue van", "s.yaml:3:1", `did you mean "name"?`},
		{"undertray: 1", "undertray: 2", "s.yaml:1:12", "use a newer program"},
		{"undertray: 1", "undertray: 0", "s.yaml:1:12", "write undertray: 1"},
		{"vehicle: blue-van", "vehicle: Blue Van", "s.yaml:2:10", "write for example blue-van"},
		{"built: 2011-09-01", "built: 2011-9-1", "s.yaml:4:8", "is not a date"},
		{"yearly: 12000 km", "yearly: 12000", "s.yaml:5:9", "write 12000 km or 12000 mi"},
		{"yearly: 12000 km", "yearly: 12000 N·m", "s.yaml:5:9", "distance"},
		{"stance: strictest", "stance: strict", "s.yaml:6:9", "write one of strictest, vehicle maker"},
		{"layout: longitudinal", "layout: sideways", "s.yaml:8:46", "longitudinal or transverse"},
		{"    minutes: 12\n    raises", "    minutes: 12 min\n    raises", "s.yaml:13:14",
			"write a plain number of minutes, 12"},
		{"raises: true", "raises: yes", "s.yaml:14:13", "write true or false"},
		{"id: raised", "id: raised-x", "s.yaml:19:13", `did you mean "raised-x"?`},
		{"kind: ribbed-belt", "kind: serpentine-belt", "s.yaml:27:11", `did you mean "ribbed-belt"?`},
		{"  - id: main\n", "  - {id: main, name: M, belt: main-belt, pulleys: [{name: A, x: 0 mm, y: 0 mm, " +
			"diameter: 9 mm, side: ribs, driver: true}, {name: B, x: 40 mm, y: 0 mm, diameter: 9 mm, side: " +
			"ribs}]}\n  - id: main\n", "s.yaml:47:9", "used twice in runs, first in line 46"},
		{"torque: 4 N·m", "torque: -4 N·m", "s.yaml:22:49", "more than 0"},
		{"cost: 34 EUR}", "cost: 34 EUR, spec: {length: 4 N·m}}", "s.yaml:34:106", "write a length"},
		{"cost: 34 EUR}", "cost: 34 EUR, spec: {lenght: 4 mm}}", "s.yaml:34:106", `did you mean "length"?`},
		{"needs: [raised]", "needs: raised", "s.yaml:19:12", "write [raised]"},
		{"needs: [raised]", "needs: [rised]", "s.yaml:19:13", `did you mean "raised"?`},
		{"torque: 4 N·m", "torque: 4", "s.yaml:22:49", "has no unit: write 4 N·m or 4 lbf·ft"},
		{"torque: 4 N·m", "torque: 4 mm", "s.yaml:22:49", "torque"},
		{"kind: ribbed-belt", "kind: ribed-belt", "s.yaml:27:11", `did you mean "ribbed-belt"?`},
		{"kind: ribbed-belt", "kind: belt-ribbed", "s.yaml:27:11", `did you mean "ribbed-belt"?`},
		{"x: 50 # across", "x: 150", "s.yaml:29:8", "0 (the vehicle's left) to 100"},
		{"    kind: ribbed-belt\n", "", "s.yaml:25:5",
			`position "main-belt" has no kind: add a line such as "kind: ribbed-belt"`},
		{"seen: [undertray]\n    changed", "seen: [undertary]\n    changed", "s.yaml:31:12",
			`did you mean "undertray"?`},
		{"material: epdm", "material: edpm", "s.yaml:34:58", `did you mean "epdm"?`},
		{"cost: 34 EUR", "cost: 34", "s.yaml:34:83", "has no unit"},
		{"check: cracks", "check: crack", "s.yaml:36:16", `did you mean "cracks"?`},
		{"at_least: 3 per 75 mm", "at_least: 3 mm", "s.yaml:37:19", "wrong sort"},
		{"at_least: 3 per 75 mm", "is: three", "s.yaml:37:13", "answered by a figure"},
		{"verdict: put right", "verdict: renew", "s.yaml:38:18", "keep, watch, put right or park"},
		{"verdict: put right", "verdict: put right\n        do: repair", "s.yaml:39:13", "write one of change, top-up"},
		{"verdict: put right", "verdict: put right\n        by: soon", "s.yaml:39:13", "such as 500 km or 2 weeks"},
		{"verdict: put right", "verdict: park\n        by: next-visit", "s.yaml:39:13", "stands until it is put right"},
		{"distance: 90000 km, time: 6 years, ", "", "s.yaml:43:9", "no figure"},
		{"do: replace", "do: renew", "s.yaml:43:14", "write replace or inspect"},
		{"belt: main-belt", "belt: main-blet", "s.yaml:48:11", `did you mean "main-belt"?`},
		{"belt: main-belt", "belt: crank", "s.yaml:48:11", "is a crank-pulley"},
		{"position: crank", "position: krank", "s.yaml:50:33", `did you mean "crank"?`},
		{"side: back", "side: rear", "s.yaml:51:66", "ribs or back"},
		{", driver: true", "", "s.yaml:50:7", "add driver: true"},
		{"diameter: 80 mm", "diameter: 0 mm", "s.yaml:51:53", "more than 0"},
		{"needs: [raised]", "needs: *raised", "s.yaml:19:12", "write the value itself"},
		{"raises: true", "raises: true\n    on_ground: true", "s.yaml:15:16", "take on_ground or raises out"},
		{"needs: [raised]", "on_ground: true\n    needs: [raised]", "s.yaml:19:16",
			`needs "raised", which raises the vehicle`},
	}
	known := knowledge(t)
	for _, tt := range tests {
		if !strings.Contains(small, tt.from) {
			t.Fatalf("the small sheet has no %q", tt.from)
		}
		_, err := Read("s.yaml", []byte(strings.Replace(small, tt.from, tt.to, 1)), known)
		if err == nil {
			t.Errorf("%q for %q is accepted", tt.to, tt.from)
			continue
		}
		if !strings.Contains(err.Error(), tt.where+": ") || !strings.Contains(err.Error(), tt.says) {
			t.Errorf("%q for %q:\n got %v\nwant %s ... %s", tt.to, tt.from, err, tt.where, tt.says)
		}
		if n := len(strings.Split(err.Error(), "\n")); n != 1 {
			t.Errorf("%q for %q: %d messages for one mistake:\n%v", tt.to, tt.from, n, err)
		}
	}
}

func TestErrorKinds(t *testing.T) {
	_, err := Parse("s.yaml", []byte(strings.Replace(small, "undertray: 1", "undertray: 2", 1)), nil)
	if fleet.KindOf(err) != fleet.TooNew {
		t.Errorf("a later format is of kind %v", fleet.KindOf(err))
	}
	_, err = Parse("s.yaml", []byte("undertray: ["), nil)
	var e *fleet.Error
	if !errors.As(err, &e) || e.Kind != fleet.Invalid || !strings.HasPrefix(e.Where, "s.yaml:1:") {
		t.Errorf("a broken file gives %v", err)
	}
}

func TestRefusedFiles(t *testing.T) {
	for name, src := range map[string]string{
		"empty":         "",
		"comment only":  "# nothing\n",
		"two documents": small + "---\n" + small,
		"a list":        "- a\n- b\n",
		"a word":        "hello\n",
		"tab":           "undertray: 1\n\tvehicle: a\n",
		"zero byte":     "undertray: 1\x00\n",
		"deep brackets": strings.Repeat("[", 100),
		"long line":     "name: " + strings.Repeat("a", 10000),
		"large":         strings.Repeat("# a comment line "+strings.Repeat("x", 100)+"\n", MaxSize/100),
		"many lines":    strings.Repeat("# c\n", maxLines) + small,
		"many openings": "undertray: 1\nvehicle: a\nname: A\nopenings:\n" +
			strings.Repeat("- {id: a, name: A, minutes: 1}\n", maxItems+1),
		"anchor":         strings.Replace(small, "name: Blue van", "name: &a Blue van", 1),
		"not utf-8":      "undertray: 1\nvehicle: \xff\xfe\n",
		"merge":          "<<: {a: 1}\n" + small,
		"repeated key":   small + "name: Again\n",
		"windows breaks": strings.ReplaceAll(strings.Replace(small, "1", "9", 1), "\n", "\r\n"),
	} {
		v, err := Parse("s.yaml", []byte(src), nil)
		if err == nil || v != nil {
			t.Errorf("%s is accepted", name)
		}
	}
	if _, err := Parse("s.yaml", []byte(strings.ReplaceAll(small, "\n", "\r\n")), nil); err != nil {
		t.Errorf("a sheet with Windows line breaks: %v", err)
	}
}

func TestWarnings(t *testing.T) {
	head := "name: Blue van\n"
	tests := []struct{ from, to, says string }{
		{head, head + "vin: 1M8GDM9A5KP042788\n", "and X would fit"},
		{head, head + "vin: 1G4AH59H45G118341\n", "model year 2005 or 2035"},
		{head, head + "vin: AB 12 345\n", "before 1981"},
		{"needs: [raised]\n", "\n", "no opening it needs to be seen raises the vehicle"},
		{"    cautions: [Stands on firm level ground]\n", "", "raises the vehicle and has no caution"},
		{"    undo: Refit the undertray\n", "", "does not say how"},
		{", seen: [undertray], minutes: 60", ", seen: [undertray]", "neither changed nor minutes"},
		{"positions:\n", "  - {id: bonnet, name: Open it, minutes: 1}\npositions:\n", `nothing needs opening "bonnet"`},
	}
	for _, tt := range tests {
		s, err := Read("s.yaml", []byte(strings.Replace(small, tt.from, tt.to, 1)), nil)
		if err != nil {
			t.Errorf("%q: %v", tt.to, err)
			continue
		}
		var all []string
		for _, w := range s.Warnings {
			all = append(all, w.Error())
		}
		if !strings.Contains(strings.Join(all, "\n"), tt.says) {
			t.Errorf("%q: warnings %q, want %q", tt.to, all, tt.says)
		}
	}
}

// A VIN from outside the scheme with a check digit says nothing about a year,
// and a right one gives no warning at all.
func TestNoVINWarnings(t *testing.T) {
	for _, vin := range []string{"ZZ9TE5T19BX900001" /* 1981 or 2011 */, ""} {
		src := strings.Replace(small, "name: Blue van\n", "name: Blue van\nvin: \""+vin+"\"\n", 1)
		s, err := Read("s.yaml", []byte(src), nil)
		if err != nil || len(s.Warnings) != 0 {
			t.Errorf("VIN %q: %v, %v", vin, s, err)
		}
	}
}

func FuzzParse(f *testing.F) {
	seeds := [][]byte{[]byte(small)}
	for _, src := range old(f) {
		seeds = append(seeds, src[:min(len(src), 6000)])
	}
	for _, s := range []string{"a: [", "? a\n", "- - -", "undertray: !!int 1", "a: &a {b: *a}", "\"", "{a: b: c}",
		"a: |\n b\n", "%YAML 1.2\n---\na: 1", "\xef\xbb\xbfa: 1"} {
		seeds = append(seeds, []byte(s))
	}
	harm.Add(f, seeds...)
	known := knowledge(f)
	f.Fuzz(func(t *testing.T, src []byte) {
		s, err := Read("f.yaml", src, known)
		if (s == nil) == (err == nil) {
			t.Fatalf("sheet %v and error %v", s, err)
		}
		if err != nil && strings.TrimSpace(err.Error()) == "" {
			t.Fatal("an empty message")
		}
	})
}

// BenchmarkParse reads a full old sheet and reports how many times the
// YAML parser's own share it takes, measured turn by turn.
func BenchmarkParse(b *testing.B) {
	known := knowledge(b)
	src := old(b)["four-long-diesel"]
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	var alone, whole time.Duration
	for b.Loop() {
		start := time.Now()
		if _, err := tree("s.yaml", src); err != nil {
			b.Fatal(err)
		}
		middle := time.Now()
		if _, err := Parse("s.yaml", src, known); err != nil {
			b.Fatal(err)
		}
		alone, whole = alone+middle.Sub(start), whole+time.Since(middle)
	}
	b.ReportMetric(whole.Seconds()*1e3/float64(b.N), "ms/sheet")
	b.ReportMetric(whole.Seconds()/alone.Seconds(), "x-parser-alone")
}
