package intake

import (
	"errors"
	"math/rand/v2"
	"strings"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/harm"
)

const filledYAML = `# a round
vehicle: wren
date: 2026-09-12
odometer: 160150 km
found:
  main-belt:
    cracks: 3 per 75 mm
    surface:
    note: looked from below
  top-hose:
    squeeze-ends: softer-end
`

const filledCSV = "position,check,answer,note\n" +
	"vehicle,,wren,\ndate,,2026-09-12,\nodometer,,160150 km,\n" +
	"main-belt,cracks,3 per 75 mm,looked from below\nmain-belt,surface,,\n" +
	"top-hose,squeeze-ends,softer-end,\n"

func TestFindingsOfBothForms(t *testing.T) {
	for name, src := range map[string]string{"round.yaml": filledYAML, "round.csv": filledCSV,
		"bom.csv": "\ufeff" + filledCSV} {
		r, err := Findings(name, []byte(src))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if r.Vehicle != "wren" || r.Date.String() != "2026-09-12" || r.Odometer.String() != "160150 km" {
			t.Errorf("%s: %+v", name, r)
		}
		if len(r.Rows) != 2 || r.Rows[0].Answer != "3 per 75 mm" || r.Rows[0].Note != "looked from below" ||
			r.Rows[1].Check != "squeeze-ends" {
			t.Errorf("%s: rows %+v", name, r.Rows)
		}
	}
}

const (
	numberedYAML = "vehicle: wren\nsheet: all/k7qd\nsound: 1-20, 22\nfound:\n  21a: 3\n  23: damp, at the seal\n" +
		"  21:\n    edge: clean\n"
	numberedCSV = "position,check,answer,note\nvehicle,,wren,\nsheet,,all/k7qd,\nsound,,\"1-20, 22\",\n21a,,3,\n" +
		"23,,\"damp, at the seal\",\n21,edge,clean,\n"
)

func TestFindingsByNumber(t *testing.T) {
	for name, src := range map[string]string{"round.yaml": numberedYAML, "round.csv": numberedCSV} {
		r, err := Findings(name, []byte(src))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var got []string
		for _, row := range r.Rows {
			got = append(got, row.Position+"|"+row.Check+"|"+row.Answer)
		}
		if want := "sound||1-20, 22 21a||3 23||damp, at the seal 21|edge|clean"; r.Sheet != "all/k7qd" ||
			strings.Join(got, " ") != want {
			t.Errorf("%s: sheet %q, %q", name, r.Sheet, got)
		}
	}
}

func TestFaultsNameTheirLine(t *testing.T) {
	cases := []struct{ name, src, where, says string }{
		{"a.yaml", "date: 12.9.2026\n", "a.yaml:1", "2026"},
		{"a.yaml", "vehicle: wren\nodometer: 160150\n", "a.yaml:2", "km"},
		{"a.yaml", "colour: blue\n", "a.yaml:1", "colour"},
		{"a.yaml", "found:\n  main-belt: worn\n", "a.yaml:2", "keys with values"},
		{"a.yaml", "found: [\n", "a.yaml", "YAML"},
		{"a.csv", "", "a.csv:1", "heading"},
		{"a.csv", "place,answer\n", "a.csv:1", "position"},
		{"a.csv", "position,check,answer\n,edge,clean\n", "a.csv:2", "position"},
		{"a.csv", "position,check,answer\nbelt,,clean\n", "a.csv:2", "check"},
		{"a.csv", "position,check,answer\nbelt,\"edge,clean\n", "a.csv", "CSV"},
		{"a.txt", "x", "a.txt", "neither"},
		{"a.yaml", strings.Repeat("[", 100), "a.yaml:1", "nested"},
	}
	for _, c := range cases {
		_, err := Findings(c.name, []byte(c.src))
		var e *fleet.Error
		if !errors.As(err, &e) || e.Kind != fleet.Invalid {
			t.Errorf("%q: error %v", c.src, err)
			continue
		}
		if !strings.HasPrefix(e.Where, c.where) || !strings.Contains((e.Msg+e.Hint).String(), c.says) {
			t.Errorf("%q: %s: %s (%s)", c.src, e.Where, e.Msg, e.Hint)
		}
	}
}

func TestEveryFaultIsReported(t *testing.T) {
	_, err := Findings("a.csv", []byte("position,check,answer\n,edge,clean\nbelt,,clean\ndate,,yesterday\n"))
	if err == nil || strings.Count(err.Error(), "a.csv:") != 3 {
		t.Errorf("error %v", err)
	}
}

func FuzzFindings(f *testing.F) {
	f.Add("a.yaml", filledYAML)
	f.Add("a.csv", filledCSV)
	f.Add("a.yaml", "found: {a: {b: [c, {d: e}]}}")
	f.Add("a.yaml", "? a\n: b\n--- x\n...\n&a *a !!x")
	f.Fuzz(func(t *testing.T, name, src string) { findingsOf(t, name, []byte(src)) })
}

// TestFindingsOfAnyText is the fuzzing's share of every run of the tests.
func TestFindingsOfAnyText(t *testing.T) {
	random := rand.New(rand.NewPCG(61, 62))
	taken := 0
	for n := range 10000 {
		name, src := "a.yaml", filledYAML
		if n%2 == 1 {
			name, src = "a.csv", filledCSV
		}
		if findingsOf(t, name, harm.Text(random, []byte(src), []byte(src), []byte("found: {a: {b: [c, {d: e}]}}\n"))) {
			taken++
		}
	}
	if t.Logf("%d are taken", taken); taken < 500 || taken > 9500 {
		t.Errorf("%d are taken: they are harmed too much or too little to tell anything", taken)
	}
}

// findingsOf reads a round and reports whether it is taken: what is not is the owner's
// mistake.
func findingsOf(t *testing.T, name string, src []byte) bool {
	t.Helper()
	r, err := Findings(name, src)
	if (r == nil) == (err == nil) {
		t.Fatalf("round %v, error %v", r, err)
	}
	if err != nil && fleet.KindOf(err) != fleet.Invalid {
		t.Fatalf("an error that is not the owner's: %v", err)
	}
	return err == nil
}

// One sheet, with any mark between cells and in figures, in any coding, by any name, comes in the same.
func TestFindingsOfAnySpreadsheet(t *testing.T) {
	sheet := func(sep, decimal string) string {
		rows := []string{"position,check,answer,unit,note", "vehicle,,wren,,", "date,,2026-09-12,,",
			"odometer,,160150,km,", "main-belt,stretch,3.25,mm,", "sump,level,1234.5,ml,", "main-belt,surface,,mm,"}
		return strings.NewReplacer(",", sep, ".", decimal).Replace(strings.Join(rows, "\r\n")) + "\r\n"
	}
	utf16 := func(s string) string {
		out := "\xff\xfe"
		for _, c := range []byte(s) {
			out += string([]byte{c, 0})
		}
		return out
	}
	for what, src := range map[string]string{"sheet.csv": sheet(",", "."), "a.csv": sheet(";", ","),
		"b.csv": sheet("\t", ","), "-": sheet(";", "."), "c.txt": utf16(sheet("\t", ".")),
		"d.csv": "\ufeff" + sheet(";", ","),
		"e.csv": "sep=;\r\n" + sheet(";", ","), "f.tsv": utf16(sheet("\t", ","))} {
		r, err := Findings(what, []byte(src))
		if err != nil || r.Vehicle != "wren" || r.Odometer == nil || r.Odometer.String() != "160150 km" ||
			len(r.Rows) != 2 || r.Rows[0].Answer != "3.25 mm" || r.Rows[1].Answer != "1234.5 ml" {
			t.Errorf("%s: %+v, %v", what, r, err)
		}
	}
	for src, says := range map[string]string{
		"position;check;answer\nodometer;;160.150 km\n": "sheet.csv:2: \"160.150 km\" can be read in two ways",
		"position\x00":     "neither UTF-8 nor UTF-16",
		"position;check\n": "no column \"answer\"",
	} {
		if _, err := Findings("sheet.csv", []byte(src)); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v", src, err)
		}
	}
}
