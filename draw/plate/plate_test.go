package plate

import (
	"crypto/sha256"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undertray.example/undertray/draw"
)

var (
	update = flag.Bool("update", false, "rewrite the expected hashes and the sheet")
	sheet  = flag.String("sheet", "", "write every plate of TestPlates into this HTML file, to be looked at")
)

// variants lists every shape alone and with every value of every parameter.
func variants() []Spec {
	var out []Spec
	for _, name := range names() {
		sh := find(name)
		out = append(out, Spec(name))
		for _, p := range sh.params {
			for _, v := range p.tries() {
				out = append(out, Spec(name+" "+p.name+"="+v))
			}
		}
	}
	return out
}

// tries lists values of a parameter, but the one that stands where it is left out.
func (p param) tries() []string {
	switch {
	case p.figure:
		return []string{"3.2mm"}
	case p.words == nil:
		return []string{fmt.Sprint(p.to)}
	}
	return p.words[1:]
}

// TestPlates draws every shape with every value of each parameter: it stays in
// its frame, its words are apart, it differs from the sound one without colour
// too, and it is as it was when it was last looked at.
func TestPlates(t *testing.T) {
	hashes, page := "", ""
	for _, v := range variants() {
		p := drawn(t, v)
		if err := p.Clear(); err != nil {
			t.Errorf("%s: %v", v, err)
		}
		name, _, with := strings.Cut(string(v), " ")
		if alone := drawn(t, Spec(name)); with && p.Grey().Inline() == alone.Grey().Inline() &&
			!needsAnother(string(v)) {
			t.Errorf("%s looks like %s", v, name)
		}
		hashes += fmt.Sprintf("%x %s\n", sha256.Sum256([]byte(p.SVG("x"))), v)[58:]
		page += fmt.Sprintf("<div>%s%s</div>\n", p.Inline(), v)
	}
	golden(t, "plates.txt", hashes)
	if *sheet != "" {
		head := "<style>body{margin:4px;font:10px sans-serif;" + tones() + "}div{display:inline-block;width:124px;" +
			"vertical-align:top;margin:2px}svg{width:120px;border:1px solid #ddd;display:block}</style>\n"
		if err := os.WriteFile(*sheet, []byte(head+page), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// needsAnother reports whether a parameter says how, and shows only beside the
// one that says what: how deep, beside how many.
func needsAnother(v string) bool {
	for _, how := range []string{"reach=", "deep=", "fluid="} {
		if strings.Contains(v, how) {
			return true
		}
	}
	return false
}

func tones() string {
	s := ""
	for _, t := range draw.Tones() {
		s += "--" + t.Name + ":" + t.Day + ";"
	}
	return s
}

func drawn(t *testing.T, s Spec) *Plate {
	t.Helper()
	p, err := s.Draw(Plain)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) == got {
		return
	}
	is := strings.Split(got, "\n")
	for i, line := range strings.Split(string(want), "\n") {
		if i >= len(is) || is[i] != line {
			t.Errorf("%s differs from line %d, %q: look at the plates (-sheet FILE.html), then run with -update",
				file, i+1,
				line)
			return
		}
	}
	t.Errorf("%s has lines more: look at them (-sheet FILE.html), then run with -update", file)
}

// TestContactSheet keeps the sound plate of every shape on one sheet.
func TestContactSheet(t *testing.T) {
	const across = 6
	all := names()
	var b strings.Builder
	rows := (len(all) + across - 1) / across
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" fill="none" stroke-linecap="round" `+
		`stroke-linejoin="round" font-family="sans-serif">`+"\n", across*170, rows*120)
	for i, name := range all {
		fmt.Fprintf(&b, `<g transform="translate(%d %d)"><text fill="currentColor" font-size="10" y="108">%s</text>`,
			i%across*170+5, i/across*120+5, name)
		drawn(t, Spec(name)).write(&b, alone)
		b.WriteString("</g>\n")
	}
	golden(t, "sheet.svg", b.String()+"</svg>\n")
}

// TestTonesAreTheThemes: plates name no tone that the theme lacks.
func TestTonesAreTheThemes(t *testing.T) {
	known := map[Tone]bool{None: true}
	for _, tone := range draw.Tones() {
		known[Tone(tone.Name)] = true
	}
	for _, v := range variants() {
		for _, m := range drawn(t, v).Marks {
			if !known[m.Style.Fill] || !known[m.Style.Stroke] {
				t.Errorf("%s paints in %v", v, m.Style)
			}
		}
	}
}

// TestPlatesAreCleanSVG reads plates with a strict XML parser: nothing is in
// them that could act, refer or be styled from within.
func TestPlatesAreCleanSVG(t *testing.T) {
	ok := map[string]bool{"svg": true, "title": true, "path": true, "text": true, "symbol": true}
	for _, v := range variants() {
		p := drawn(t, v+" note=<b>&\"")
		for _, svg := range []string{p.SVG("a <title>"), p.Inline(), p.Symbol("p1")} {
			d := xml.NewDecoder(strings.NewReader(svg))
			for {
				tok, err := d.Token()
				if errors.Is(err, io.EOF) {
					break
				}
				if err != nil {
					t.Fatalf("%s: %v", v, err)
				}
				if e, is := tok.(xml.StartElement); is && !ok[e.Name.Local] {
					t.Errorf("%s has an element %s", v, e.Name.Local)
				}
			}
			if strings.Contains(svg, "NaN") || strings.Contains(svg, "style=") {
				t.Errorf("%s: %s", v, svg)
			}
		}
	}
}

// TestSpecsAreReadStrictly: each mistake is one error that says what is known.
func TestSpecsAreReadStrictly(t *testing.T) {
	for spec, want := range map[string]string{
		"":                          "names no shape: write one of ",
		"ribz":                      `"ribz" is no shape: write one of `,
		"ribs crack=3":              `the shape ribs has no "crack": write cracks, reach, along`,
		"ribs cracks=many":          `cracks of the shape ribs is "many": write a number from 0 to 9`,
		"ribs cracks=12":            `cracks of the shape ribs is "12": write a number from 0 to 9`,
		"ribs cracks=3 cracks=4":    "cracks stands twice: keep one",
		"ribs reach=back":           `reach of the shape ribs is "back": write rib, cord`,
		"ribs along=maybe":          `along of the shape ribs is "maybe": write no, yes`,
		"ribs note=":                `note of the shape ribs is "": write a few words`,
		"ribs note=a_note_too_long": `a few words`,
	} {
		var s Spec
		if err := s.UnmarshalText([]byte(spec)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", spec, err, want)
		}
		if _, err := Spec(spec).Draw(Plain); err == nil {
			t.Errorf("%q was drawn", spec)
		}
	}
	for _, spec := range []string{"ribs", "ribs along", "ribs along=yes cracks=2  reach=cord note=two_words"} {
		var s Spec
		if err := s.UnmarshalText([]byte(spec)); err != nil {
			t.Errorf("%q: %v", spec, err)
		}
	}
}

// TestShapesSayWhatTheyTake: the list for writers names every shape and parameter.
func TestShapesSayWhatTheyTake(t *testing.T) {
	all := Shapes()
	if len(all) < 3 {
		t.Fatalf("%d shapes", len(all))
	}
	for _, sh := range all {
		if sh.Says == "" {
			t.Errorf("%s does not say what it is", sh.Name)
		}
		for _, p := range sh.Params {
			if p.Takes == "" || p.Name == "" {
				t.Errorf("%s: parameter %v", sh.Name, p)
			}
		}
	}
}

// TestClearSees: what leaves the frame and words over words are seen.
func TestClearSees(t *testing.T) {
	s := newSketch(Plain)
	s.line(line, .5, 10, 20, 10)
	if (&Plate{s.marks}).Clear() == nil {
		t.Error("half a stroke outside the frame was not seen")
	}
	s = newSketch(Plain)
	s.words(Ink, 80, 40, "one")
	s.words(Ink, 84, 44, "two")
	if (&Plate{s.marks}).Clear() == nil {
		t.Error("words over words were not seen")
	}
	s = newSketch(Plain)
	s.route().move(20, 50).cubic(20, -60, 60, -60, 60, 50).ink(line)
	if (&Plate{s.marks}).Clear() == nil {
		t.Error("a curve that swings out of the frame was not seen")
	}
}
