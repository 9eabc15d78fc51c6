package print

import (
	"bytes"
	"image/png"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
)

// TestWallSheet reads the wall sheet of every kind with Poppler: each drawn answer stands on it
// with its verdict, a caution once; of some pages the margins are white and the plates are not.
func TestWallSheet(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	on := civil.Date{Year: 2026, Month: 11, Day: 30}
	words := regexp.MustCompile(`\s+`)
	for _, id := range []string{"ribbed-belt", "v-belt", "auto-tensioner", "harness"} {
		k := cat.Kind(id)
		for _, size := range []Size{A4, Letter} {
			var pdf bytes.Buffer
			if err := (Paper{Size: size}).Wall(&pdf, cat, k, on); err != nil {
				t.Fatal(err)
			}
			file := written(t, pdf.Bytes())
			text := words.ReplaceAllString(poppler(t, "pdftotext", "-raw", file, "-"), " ")
			n := 0
			for i := range k.Checks {
				for _, a := range k.Checks[i].Answers {
					if a.Plate == "" {
						continue
					}
					n++
					if !strings.Contains(strings.ToLower(text), strings.ToLower(a.Say)) {
						t.Errorf("%s on %s: no %q", id, size, a.Say)
					}
				}
			}
			verdicts := len(regexp.MustCompile(`(Keep|Watch, and look again|Put right; |Park it and )`).FindAllString(text, -1))
			if verdicts != n || n == 0 {
				t.Errorf("%s on %s: %d verdicts for %d plates", id, size, verdicts, n)
			}
			told := 0
			for _, m := range advise.Seen(cat, k, on) {
				if m.Authority() != "" {
					told++
				}
			}
			by := regexp.MustCompile(`(Vehicle maker|Part maker|Published standard|Common practice)`).FindAllString(text, -1)
			if len(by) != told || told == 0 {
				t.Errorf("%s on %s: %d times who says so, want %d", id, size, len(by), told)
			}
			for _, c := range k.Cautions {
				if strings.Count(text, c) != 1 {
					t.Errorf("%s on %s: the caution %q stands %d times", id, size, c, strings.Count(text, c))
				}
			}
			plateInk(t, file)
		}
	}
	var none bytes.Buffer
	bare := &catalogue.Kind{ID: "bare", Name: "Bare"}
	if err := (Paper{}).Wall(&none, cat, bare, on); fleet.KindOf(err) != fleet.NotFound || none.Len() > 0 {
		t.Errorf("a kind without plates: %v", err)
	}
}

// plateInk looks at the first page at 2 px a mm: white margins, ink where plates stand.
func plateInk(t *testing.T, file string) {
	t.Helper()
	out := filepath.Join(t.TempDir(), "page")
	poppler(t, "pdftoppm", "-r", "50.8", "-gray", "-png", "-singlefile", file, out)
	f, err := os.Open(out + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	b := img.Bounds()
	dark := func(from, to int) int {
		n := 0
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for x := from; x < to; x++ {
				if r, _, _, _ := img.At(x, y).RGBA(); r < 0x9000 {
					n++
				}
			}
		}
		return n
	}
	if n := dark(b.Min.X, 2*marginLeft-2) + dark(b.Max.X-2*marginRight+2, b.Max.X); n > 0 {
		t.Errorf("%d dark pixels in the margins", n)
	}
	// A plate is 76 px by 46 px, a twentieth of it dark at the least; a page has four rows of them or more.
	if n, least := dark(2*marginLeft, 2*(marginLeft+wallPlate)), 700; n < least {
		t.Errorf("%d dark pixels where plates stand, %d are few", n, least)
	}
}
