package web

import (
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// notPlain are phrases of the program's own making that its owner has to think twice about, with what is said
// instead.
var notPlain = []struct {
	is      *regexp.Regexp
	instead string
}{
	{regexp.MustCompile(`(km|mi|h|hours|minutes|min) in all\b|\bin all\b[.,;)]`), "leave it out, or say together"},
	{regexp.MustCompile(`(?i)oddit`), "what looks odd"},
	{regexp.MustCompile(`(?i)\bresolved\b`), "settled"},
	{regexp.MustCompile(`(?i)withdrawn entry|\bentry [0-9a-f]{6,}`), "say what was written down, and when"},
	{regexp.MustCompile(`(?i)\b(turn|crank) (it|the engine) over\b(?: by hand)?`), "turn the engine over by hand"},
}

// Every page of the demo yard speaks plainly, folds included, and says no sentence of what a verdict rests on twice
// in one place.
func TestPagesSpeakPlainly(t *testing.T) {
	s := demoSite(t)
	pages := withInHand(s)
	for _, v := range []string{"heron", "dunnock", "bittern"} {
		for _, at := range s.page("/v/" + v).find("table.list a") {
			pages = append(pages, value(at, "href"))
		}
		for _, of := range []string{"record", "journal", "sheet", "card", "opened"} {
			pages = append(pages, "/v/"+v+"/"+of)
		}
	}
	if len(pages) < 150 {
		t.Fatalf("%d pages are read: those of the positions are missing", len(pages))
	}
	for _, path := range pages {
		a := s.get(path)
		p := parse(t, a.body)
		main := p.find("main")
		if len(main) != 1 {
			t.Errorf("%s has %d main parts", path, len(main))
			continue
		}
		words := text(main[0])
		for _, bad := range notPlain {
			if at := bad.is.FindStringIndex(words); at != nil && !strings.HasSuffix(words[at[0]:at[1]], "by hand") {
				t.Errorf("%s says %q: %s", path, words[max(0, at[0]-40):min(len(words), at[1]+20)], bad.instead)
			}
		}
	}
}

// What stands on the page of any position before it is unfolded is bounded, and it begins with an answer of at most
// 14 words; a figure comes before any list. What else there is to do before the next drive is in view.
func TestEveryPositionAnswersFirst(t *testing.T) {
	s := demoSite(t)
	figures, most := 0, 0
	for _, v := range []string{"heron", "dunnock", "bittern"} {
		for _, at := range s.page("/v/" + v).find("table.list a") {
			path := value(at, "href")
			p := s.page(path)
			if n := len(strings.Fields(p.text("main .lead"))); n == 0 || n > 14 {
				t.Errorf("%s begins with %d words: %s", path, n, p.text("main .lead"))
			}
			n := len(strings.Fields(unfolded(p.find("main")[0])))
			most = max(most, n)
			if n > 250 {
				t.Errorf("%s: %d words in view, at most 250 are wanted", path, n)
			}
			if len(p.find(".first figure svg")) > 0 {
				figures++
			}
		}
	}
	t.Logf("%d positions open with a figure; the longest page has %d words in view", figures, most)
	if figures < 100 {
		t.Errorf("%d positions open with a figure: most are to", figures)
	}
}

// unfolded is the text of a page outside of drawings, of controls and of what is folded.
func unfolded(n *html.Node) string {
	if n.Type == html.TextNode {
		return n.Data + " "
	}
	switch n.Data {
	case "svg", "select", "textarea", "script", "template":
		return ""
	}
	if _, hidden := attr(n, "hidden"); hidden {
		return ""
	}
	_, open := attr(n, "open")
	var out strings.Builder
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		if n.Data == "details" && !open && c.Data != "summary" {
			continue
		}
		out.WriteString(unfolded(c))
	}
	return out.String()
}
