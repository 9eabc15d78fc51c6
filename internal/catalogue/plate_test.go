package catalogue_test

import (
	"flag"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/draw/plate"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/yamltree"
)

var plateSheet = flag.String("sheet", "", "write every plate beside its answer into this HTML file, to be looked at")

// TestLooksAreDrawn: every answer of a check by eye or finger has a plate, or
// says why it has none; so has every other answer that is given one.
func TestLooksAreDrawn(t *testing.T) {
	files, err := filepath.Glob("data/*.yaml")
	if err != nil || len(files) < 10 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, name := range files {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var missing []string
		for _, k := range kindsIn(t, src) {
			for _, c := range k.Checks {
				for _, a := range c.Answers {
					if a.Plate == "" && a.NoPlate == "" && c.NoPlates == "" && (c.Sense == "look" ||
						c.Sense == "feel") {
						missing = append(missing, k.ID+" "+c.ID+" "+a.ID)
					}
				}
			}
		}
		if len(missing) > 0 {
			t.Errorf("%s: without plate and without no_plate: %s", filepath.Base(name), strings.Join(missing, "; "))
		}
	}
}

// kindsIn reads the kinds of a file as they stand, without what they inherit.
func kindsIn(t *testing.T, src []byte) []catalogue.Kind {
	t.Helper()
	doc, err := yamltree.Document(src)
	if err != nil {
		t.Fatal(err)
	}
	var body struct {
		Kinds []catalogue.Kind `yaml:"kinds"`
	}
	pairs, _ := yamltree.Pairs(doc)
	for _, p := range pairs {
		if p.Key.Value == "kinds" {
			r := yamltree.NewReader(yamltree.Options{})
			r.Read(p.Value, &body.Kinds)
		}
	}
	return body.Kinds
}

// TestPlatesOfOneCheckDiffer: each plate of the catalogue is drawn within its
// frame, words apart from words, and no two answers to one check look the same,
// on paper without colour too.
func TestPlatesOfOneCheckDiffer(t *testing.T) {
	n := 0
	for _, k := range builtIn(t).Kinds() {
		for _, c := range k.Checks {
			seen := map[string]string{}
			for _, a := range c.Answers {
				if a.Plate == "" {
					continue
				}
				n++
				p, err := a.Plate.Draw(plate.Plain)
				if err == nil {
					err = p.Clear()
				}
				if err != nil {
					t.Errorf("%s, %s, %s: %v", k.ID, c.ID, a.ID, err)
					continue
				}
				grey := p.Grey().SVG("x")
				if other, twice := seen[grey]; twice {
					t.Errorf("%s, %s: %s and %s look the same", k.ID, c.ID, other, a.ID)
				}
				seen[grey] = a.ID
			}
		}
	}
	if n < 40 {
		t.Fatalf("only %d plates", n)
	}
}

// TestPlateSheets writes the sheet that plates are looked at on, with -sheet.
func TestPlateSheets(t *testing.T) {
	if *plateSheet == "" {
		t.Skip("no -sheet")
	}
	var b strings.Builder
	b.WriteString("<style>body{margin:4px;font:10px sans-serif;")
	for _, tone := range draw.Tones() {
		b.WriteString("--" + tone.Name + ":" + tone.Day + ";")
	}
	b.WriteString("}div{display:inline-block;width:124px;vertical-align:top;margin:2px}h4{margin:4px 0 0}" +
		"svg{width:120px;border:1px solid #ddd;display:block}</style>\n")
	for _, k := range builtIn(t).Kinds() {
		for _, c := range k.Checks {
			head := fmt.Sprintf("<h4>%s, %s</h4>", k.ID, c.ID)
			for _, a := range c.Answers {
				if a.Plate == "" {
					continue
				}
				p, err := a.Plate.Draw(plate.Plain)
				if err != nil {
					t.Fatal(err)
				}
				fmt.Fprintf(&b, "%s<div>%s%s</div>\n", head, p.Inline(), html.EscapeString(a.Say))
				head = ""
			}
		}
	}
	if err := os.WriteFile(*plateSheet, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}
