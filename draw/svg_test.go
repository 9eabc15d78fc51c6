package draw

import (
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite the expected figures")

// canonical puts each element on its own line, so that a difference is small.
func canonical(s SVG) string { return strings.ReplaceAll(string(s), "><", ">\n<") + "\n" }

func TestGolden(t *testing.T) {
	figs, err := all("")
	if err != nil {
		t.Fatal(err)
	}
	captions := ""
	for _, name := range slices.Sorted(maps.Keys(figs)) {
		captions += name + ": " + figs[name].Caption.String() + "\n"
		golden(t, name+".svg", canonical(figs[name].SVG))
	}
	golden(t, "captions.txt", captions)
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Errorf("%s differs; look at the figure, then run with -update:\n%s", file, d)
	}
}

// walk reads a figure with a strict XML parser.
func walk(t *testing.T, name string, s SVG, visit func(xml.StartElement)) (text string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(string(s)))
	var b strings.Builder
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return b.String()
		}
		if err != nil {
			t.Fatalf("%s is not well-formed: %v", name, err)
		}
		switch v := tok.(type) {
		case xml.StartElement:
			visit(v)
		case xml.CharData:
			b.Write(v)
			b.WriteByte('\n')
		}
	}
}

var elements = map[string]bool{"svg": true, "title": true, "desc": true, "g": true, "a": true, "path": true,
	"circle": true, "rect": true, "text": true, "image": true}

// Every figure: well-formed, no style, no script, ids unique and named by
// aria-labelledby, no number that is not one.
func TestFiguresAreCleanSVG(t *testing.T) {
	figs, err := all("")
	if err != nil {
		t.Fatal(err)
	}
	for name, f := range figs {
		ids, labelled, links := map[string]bool{}, "", 0
		role := ""
		walk(t, name, f.SVG, func(e xml.StartElement) {
			if !elements[e.Name.Local] {
				t.Errorf("%s has an element %s", name, e.Name.Local)
			}
			if e.Name.Local == "a" {
				links++
			}
			for _, a := range e.Attr {
				switch k := a.Name.Local; {
				case k == "style" || strings.HasPrefix(k, "on"):
					t.Errorf("%s: attribute %s", name, k)
				case k == "id" && ids[a.Value]:
					t.Errorf("%s: id %s twice", name, a.Value)
				case k == "id":
					ids[a.Value] = true
				case k == "aria-labelledby":
					labelled = a.Value
				case k == "role":
					role = a.Value
				}
				if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
					t.Errorf("%s: %s=%q", name, a.Name.Local, a.Value)
				}
			}
		})
		for _, id := range strings.Fields(labelled) {
			if !ids[id] {
				t.Errorf("%s: labelled by %s, which is not there", name, id)
			}
		}
		if labelled == "" || f.Caption == "" || f.Title == "" {
			t.Errorf("%s lacks its words", name)
		}
		if want := map[bool]string{true: "group", false: "img"}[links > 0]; role != want {
			t.Errorf("%s with %d links has role %s, want %s", name, links, role, want)
		}
	}
}

// Markup and bytes that XML forbids, in every text field: they come out as
// text or not at all, never as elements or attributes.
func TestMarkupInEveryFieldIsText(t *testing.T) {
	const dirt = "<script>x</script>\" onload='y' &amp; \x00\x0b]]><!-- \u202e"
	figs, err := all(dirt)
	if err != nil {
		t.Fatal(err)
	}
	dirty := 0
	for name, f := range figs {
		text := walk(t, name, f.SVG, func(e xml.StartElement) {
			if !elements[e.Name.Local] {
				t.Errorf("%s has an element %s", name, e.Name.Local)
			}
			for _, a := range e.Attr {
				if a.Name.Local == "onload" {
					t.Errorf("%s has an attribute onload", name)
				}
			}
		})
		if strings.Contains(text, "<script>x</script>") {
			dirty++
		}
	}
	if dirty < 6 {
		t.Errorf("the text came through in %d figures only: the test tests nothing", dirty)
	}
}

func TestSameDataSameFigure(t *testing.T) {
	a, err := all("")
	if err != nil {
		t.Fatal(err)
	}
	b, _ := all("")
	for name := range a {
		if a[name].SVG != b[name].SVG {
			t.Errorf("%s came out different the second time", name)
		}
	}
}

// Every class in a figure has a rule, and the rules name only properties that
// the theme sets.
func TestClassesHaveRules(t *testing.T) {
	css := ClassCSS()
	figs, err := all("")
	if err != nil {
		t.Fatal(err)
	}
	for name, f := range figs {
		for _, m := range regexp.MustCompile(`class="([^" ]+)`).FindAllStringSubmatch(string(f.SVG), -1) {
			c := m[1]
			if strings.HasPrefix(c, "d-call") || (strings.HasPrefix(c, "d-") && strings.Contains(css, "."+c+"{")) {
				continue
			}
			t.Errorf("%s uses class %s, which has no rule", name, c)
		}
	}
	theme := ThemeCSS()
	for _, m := range regexp.MustCompile(`var\(--([a-z]+),`).FindAllStringSubmatch(css, -1) {
		if !strings.Contains(theme, "--"+m[1]+":") {
			t.Errorf("rules use --%s, which the theme does not set", m[1])
		}
	}
	if strings.Count(css, "{") != strings.Count(css, "}") || strings.Count(theme, "{") != strings.Count(theme, "}") {
		t.Error("braces of the style sheet do not match")
	}
}

func TestNumbersAreShort(t *testing.T) {
	for in, want := range map[float64]string{0: "0", -.04: "0", 1.25: "1.3", 100: "100", -3.1415: "-3.1",
		1e6: "1000000"} {
		if got := num(in); got != want {
			t.Errorf("num(%g) = %s, want %s", in, got, want)
		}
	}
	for in, want := range map[float64]string{1234: "1234", 12345: "12\u202f345", 1234567: "1\u202f234\u202f567",
		-5: "\u22125", -.2: "0"} {
		if got := figure(in, 0); got != want {
			t.Errorf("figure(%g) = %s, want %s", in, got, want)
		}
	}
}

func TestMarksDifferInShape(t *testing.T) {
	seen := map[string]Verdict{}
	strip := regexp.MustCompile(` (class|fill|stroke|stroke-width|fill-opacity)="[^"]*"`)
	for _, v := range Verdicts() {
		s, err := MarkSVG(v)
		if err != nil {
			t.Fatal(err)
		}
		walk(t, string(v), s, func(xml.StartElement) {})
		bare := strip.ReplaceAllString(string(s), "")
		if o, ok := seen[bare]; ok {
			t.Errorf("%s and %s have the same outline without colour", v, o)
		}
		seen[bare] = v
	}
	if _, err := MarkSVG("fine"); err == nil {
		t.Error("an unknown verdict was drawn")
	}
}

func TestAddresses(t *testing.T) {
	for href, ok := range map[string]bool{
		"": true, "/v/heron?at=12:30": true, "#p3": true, "part/3": true, "https://example.org/a": true,
		"HTTP://example.org":  true,
		"javascript:alert(1)": false, "JavaScript:alert(1)": false, "java\tscript:alert(1)": false,
		" javascript:x":    false,
		"data:text/html,x": false, "vbscript:x": false, "\x01javascript:x": false,
	} {
		if err := checkHref(href); (err == nil) != ok {
			t.Errorf("address %q: %v", href, err)
		}
	}
}
