package print

import (
	"regexp"
	"strings"
	"testing"
)

// Every sheet is tagged: a reader independent of what wrote it finds its headings and paragraphs in the order in which
// they are set, with every word that the pages show but for what frames them, each once.
func TestSheetsAreTagged(t *testing.T) {
	part := regexp.MustCompile(`(?m)^ *(H1|H2|P|Figure|Document)\b.*$`)
	eachSheet(t, func(t *testing.T, k kindOfSheet, size Size, file string) {
		if size != A4 { // the same tags
			return
		}
		info := poppler(t, "pdfinfo", file)
		if !regexp.MustCompile(`Tagged: +yes`).MatchString(info) || !regexp.MustCompile("Title: +"+k.title).MatchString(info) {
			t.Errorf("it is not tagged: %s", info)
		}
		tree := poppler(t, "pdfinfo", "-struct-text", file)
		if !strings.HasPrefix(strings.TrimSpace(tree), "Document") || strings.Count(tree, "\n  H1") < 1 {
			t.Errorf("the tree is %.400s", tree)
		}
		tight := func(text string) string { return strings.Join(strings.Fields(text), "") }
		shown, said, last := tight(poppler(t, "pdftotext", "-raw", file, "-")), 0, 0
		for _, line := range strings.Split(part.ReplaceAllString(tree, ""), "\n") {
			words := tight(strings.Trim(strings.TrimSpace(line), `"`))
			at := strings.Index(shown, words)
			if at < 0 {
				t.Errorf("%q is read and does not stand there", words)
			}
			if first := strings.LastIndex(shown, words); first >= last { // the same may stand there again
				last = max(last, strings.Index(shown[last:], words)+last)
			} else if at >= 0 {
				t.Errorf("%q is read after what stands below it", words)
			}
			said += len(words)
		}
		pages := poppler(t, "pdftotext", "-layout", file, "-")
		if frame, most := len(shown)-said, 300*strings.Count(pages, "\f"); frame < 0 || frame > most {
			t.Errorf("%d letters of %d are not read, want at most %d", frame, len(shown), most)
		}
	})
}
