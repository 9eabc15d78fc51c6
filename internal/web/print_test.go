package web

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

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
