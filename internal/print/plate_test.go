package print

import (
	"bytes"
	"fmt"
	"image"
	_ "image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/draw/plate"
	"undertray.example/undertray/internal/catalogue"
)

// Each plate of the catalogue is drawn on paper as in a page: the PDF, drawn by Poppler, has its ink where
// librsvg has that of the SVG. Both at 192 px a plate; no spot of 16 px may hold a quarter more of it in one.
func TestPlatesOnPaperAreThoseOfPages(t *testing.T) {
	if _, err := exec.LookPath("rsvg-convert"); err != nil {
		if os.Getenv("UNDERTRAY_CHECK") != "" {
			t.Fatal("rsvg-convert is not here: run scripts/setup")
		}
		t.Skip("rsvg-convert is not here: run scripts/setup")
	}
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	var all []plate.Spec
	seen := map[plate.Spec]bool{"": true}
	for _, k := range cat.Kinds() {
		for _, c := range k.Checks {
			for _, a := range c.Answers {
				if !seen[a.Plate] {
					seen[a.Plate] = true
					all = append(all, a.Plate)
				}
			}
		}
	}
	const across, down, cell = 12, 17, 100 // cells of that many px
	const mm = 25.4 / 152.4                // a px at 152.4 to the inch
	s := newSheet(Paper{}, frame{title: "Plates", on: civil.MustParse("2026-11-30")})
	before := s.pdf.PageCount()
	var svgs []*strings.Builder
	for i, spec := range all {
		p, err := spec.Draw(plate.Plain)
		if err != nil {
			t.Fatal(err)
		}
		at := i % (across * down)
		if at == 0 {
			s.pdf.AddPage()
			s.pdf.SetFillColor(255, 255, 255)
			s.pdf.Rect(0, 0, 300, 300, "F") // over the page's frame
			svgs = append(svgs, &strings.Builder{})
			fmt.Fprintf(svgs[len(svgs)-1], `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d">`,
				across*cell, down*cell)
		}
		x, y := at%across*cell, at/across*cell
		s.plate(p, float64(x)*mm, float64(y)*mm, 96*mm)
		svgs[len(svgs)-1].WriteString(strings.Replace(p.SVG(string(spec)), `width="160" height="96"`,
			fmt.Sprintf(`x="%d" y="%d" width="96" height="57.6"`, x, y), 1))
	}
	dir := t.TempDir()
	var pdf bytes.Buffer
	if err := s.pdf.Output(&pdf); err != nil {
		t.Fatal(err)
	}
	file := written(t, pdf.Bytes())
	worst := 0.0
	for n, svg := range svgs {
		src, set := filepath.Join(dir, "set.svg"), filepath.Join(dir, "set.png")
		if err := os.WriteFile(src, []byte(svg.String()+"</svg>"), 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command("rsvg-convert", "--zoom=2", "--background-color=white", "-o", set, src).
			CombinedOutput(); err != nil {
			t.Fatalf("rsvg-convert: %v: %s", err, out)
		}
		page := fmt.Sprint(before + n + 1)
		poppler(t, "pdftoppm", "-r", "304.8", "-png", "-singlefile", "-f", page, "-l", page, file,
			filepath.Join(dir, "paper"))
		paper, web := opened(t, filepath.Join(dir, "paper.png")), opened(t, set)
		for i, spec := range all[n*across*down : min(len(all), (n+1)*across*down)] {
			apart, ink := 0.0, 0.0
			for y := 0; y < 60; y += 8 {
				for x := 0; x < 96; x += 8 {
					at := image.Rect(2*x, 2*y, 2*x+16, 2*y+16).Add(image.Pt(i%across*2*cell, i/across*2*cell))
					a, b := inked(paper, at), inked(web, at)
					apart, ink = max(apart, math.Abs(a-b)), ink+a
				}
			}
			if apart > .25 || ink < 1 {
				t.Errorf("%q: in one place one has %.2f more ink, of %.1f", spec, apart, ink)
			}
			worst = max(worst, apart)
		}
	}
	t.Logf("%d plates, nowhere more than %.2f apart", len(all), worst)
	if len(all) < 500 {
		t.Errorf("only %d plates", len(all))
	}
}

func opened(t *testing.T, name string) image.Image {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// inked is the mean of what a part of an image holds of its darkest tones, full from half black on.
func inked(img image.Image, at image.Rectangle) float64 {
	sum := 0.0
	for y := at.Min.Y; y < at.Max.Y; y++ {
		for x := at.Min.X; x < at.Max.X; x++ {
			r, g, b, _ := img.At(x, y).RGBA()
			dark := 1 - float64(r+g+b)/(3*0xffff)
			sum += min(1, max(0, (dark-.2)/.3))
		}
	}
	return sum / float64(at.Dx()*at.Dy())
}
