package web

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"golang.org/x/net/html"
)

// What is folded on the screen and belongs to the answer stands on paper too, when
// a page is printed from the browser; forms do not.
func TestWhatIsFoldedIsPrinted(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext (poppler-utils) is not here")
	}
	s, b, held := demoSite(t), openBrowser(t), 0
	for _, path := range []string{"/v/heron", "/v/heron/round", "/v/heron/job", "/v/dunnock"} {
		shown := s.page(path)
		b.do(chromedp.Navigate(s.url + path))
		got := printed(t, b)
		folded := slices.Concat(shown.find("main details p"), shown.find("main details li"))
		for _, n := range slices.DeleteFunc(folded, offPaper) {
			held++
			if want := strings.Join(strings.Fields(text(n)), " "); !strings.Contains(got,
				strings.ReplaceAll(want, " ", "")) {
				t.Errorf("%s: %q is folded and not printed", path, want)
			}
		}
		if strings.Contains(got, "Choosewhatthevisitisfor") || strings.Contains(got, "Keeptheticks") {
			t.Errorf("%s: a form is printed", path)
		}
		if more := shown.find("details.more p"); len(more) == 0 {
			t.Errorf("%s has no folded headline: this test shows nothing of it", path)
		}
	}
	if held < 5 {
		t.Errorf("%d things are folded: this test shows too little", held)
	}
}

// Verdicts hold in black on white where a browser prints no backgrounds: each word has at least 4.5:1
// against the paper (WCAG 2.2, 1.4.3), the mark stands beside it, and park is the heaviest of them.
func TestVerdictsHoldWithoutBackgrounds(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	seen := map[string]bool{}
	if _, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia,
		emulation.SetEmulatedMediaParams{Media: "print"}); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/v/heron", "/v/dunnock", "/kinds/ribbed-belt"} {
		b.do(chromedp.Navigate(s.url + path))
		type word struct {
			Class, Colour, Weight, Outline string
			Marked                         bool
		}
		for _, w := range js[[]word](b, `[...document.querySelectorAll(".v")].map((v) => { const c = getComputedStyle(v);
			return { Class: v.classList[1], Colour: c.color, Weight: c.fontWeight, Outline: c.outlineStyle,
				Marked: v.querySelector("svg") !== null } })`) {
			var r, g, bl float64
			if _, err := fmt.Sscanf(w.Colour, "rgb(%g, %g, %g)", &r, &g, &bl); err != nil {
				t.Fatal(w.Colour, err)
			}
			if seen[w.Class] = true; (1.05)/(luminance(r, g, bl)+.05) < 4.5 || !w.Marked {
				t.Errorf("%s: %s is %s on white, marked %v", path, w.Class, w.Colour, w.Marked)
			}
			if w.Class == "park" && (w.Weight < "700" || w.Outline != "solid") {
				t.Errorf("%s: park is printed as faintly as the others: %+v", path, w)
			}
		}
	}
	if !seen["park"] || !seen["put-right"] || !seen["keep"] {
		t.Errorf("only %v were seen", seen)
	}
}

// luminance is that of WCAG 2.2, relative luminance, of sRGB from 0 to 255.
func luminance(r, g, b float64) float64 {
	lin := func(v float64) float64 {
		if v /= 255; v <= .04045 {
			return v / 12.92
		}
		return math.Pow((v+.055)/1.055, 2.4)
	}
	return .2126*lin(r) + .7152*lin(g) + .0722*lin(b)
}

// offPaper reports whether an element stands in one that is not printed.
func offPaper(n *html.Node) bool {
	for ; n != nil; n = n.Parent {
		if class, _ := attr(n, "class"); slices.Contains(strings.Fields(class), "noprint") {
			return true
		}
	}
	return false
}

// printed is the text of the page as the browser prints it, without spaces.
func printed(t *testing.T, b *browser) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "page.pdf")
	out, err := chromedp.Call(b.ctx, page.PrintToPDF, page.PrintToPDFParams{})
	if err == nil {
		err = os.WriteFile(file, out.Data, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command("pdftotext", "-raw", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(string(text)), "")
}
