package print

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
)

// tags say what the parts of a sheet are, in the order in which they are read: headings, paragraphs and drawings
// (ISO 32000-1, 14.7 and 14.8). What frames a page is none of them.
type tags struct {
	all   []*tagged
	pages [][]*tagged // by page, from 0, in the order of their marks
}

// tagged is one part of a sheet, which may go on over the page.
type tagged struct {
	kind  string // H1, H2, P or Figure
	says  string // instead of a drawing
	marks []tagMark
}

type tagMark struct{ page, id int } // from 0

// as has what do sets tagged as a part of the sheet, or as none where that is nil.
func (s *sheet) as(one *tagged, do func()) {
	begin := "/Artifact BMC"
	if one != nil {
		page := s.pdf.PageNo() - 1
		for len(s.tags.pages) <= page {
			s.tags.pages = append(s.tags.pages, nil)
		}
		if len(s.tags.all) == 0 {
			one.kind = "H1" // the headline, in whatever style
		}
		if one.marks == nil {
			s.tags.all = append(s.tags.all, one)
		}
		m := tagMark{page, len(s.tags.pages[page])}
		one.marks, s.tags.pages[page] = append(one.marks, m), append(s.tags.pages[page], one)
		begin = fmt.Sprintf("/%s <</MCID %d>> BDC", one.kind, m.id)
	}
	s.pdf.RawWriteStr(begin)
	do()
	s.pdf.RawWriteStr("EMC")
}

// tagOf is what a cell is, by the style of what stands in it first, nil where it says nothing.
func tagOf(c *cell) *tagged {
	for _, l := range c.lines {
		for _, p := range l.pieces {
			switch {
			case p.shot != nil || p.plate != nil:
				return &tagged{kind: "Figure", says: drawnBeside}
			case p.text == "":
			case l.style == titleStyle || l.style == tagStyle:
				return &tagged{kind: "H1"}
			case l.style == headStyle || l.style == partStyle:
				return &tagged{kind: "H2"}
			default:
				return &tagged{kind: "P"}
			}
		}
	}
	return nil
}

// drawnBeside is read for a drawing: what it shows is said beside it.
const drawnBeside = "Drawing or picture of what is said beside it"

// pdfTrailer is what the library ends a file with: its last object is the catalogue.
var pdfTrailer = regexp.MustCompile(`(\d+) 0 obj\n<<\n([^\x00]*)\n>>\nendobj\nxref\n[^\x00]*\n/Root (\d+) 0 R\n/Info (\d+) 0 R\n` +
	`>>\nstartxref\n(\d+)\n%%EOF\n*$`)

// pageObject is the number of a page's object, the page counted from 0.
func pageObject(page int) int { return 3 + 2*page }

// addTo adds the tags to a file of the library, which knows none, as an update of its catalogue and pages (ISO 32000-1,
// 7.5.6).
func (t *tags) addTo(file []byte) ([]byte, error) {
	end := file[max(0, bytes.LastIndex(file, []byte("/Type /Catalog"))-40):]
	last := pdfTrailer.FindSubmatch(end)
	if last == nil {
		return nil, errors.New("the file does not end as the library writes it")
	}
	pages, left := make([][]byte, len(t.pages)), file // what stands in the objects of the pages, whose numbers are odd
	for i := range pages {
		_, rest, is := bytes.Cut(left, fmt.Appendf(nil, "\n%d 0 obj\n<</Type /Page\n", pageObject(i)))
		if pages[i], left, _ = bytes.Cut(rest, []byte("\nendobj\n")); !is {
			return nil, fmt.Errorf("page %d is not as the library writes it", i+1)
		}
	}
	root, err := strconv.Atoi(string(last[1]))
	if err != nil {
		return nil, err
	}
	tree, first := root+1, root+4 // of the tags
	out, at := bytes.NewBuffer(file), map[int]int{}
	object := func(n int, body string) {
		at[n] = out.Len()
		fmt.Fprintf(out, "%d 0 obj\n%s\nendobj\n", n, body)
	}
	references := map[*tagged]string{}
	var whole strings.Builder
	for i, one := range t.all {
		references[one] = fmt.Sprintf("%d 0 R ", first+i)
		whole.WriteString(references[one])
		kids, alt := "", ""
		for _, m := range one.marks {
			kids += fmt.Sprintf("<</Type /MCR /Pg %d 0 R /MCID %d>> ", pageObject(m.page), m.id)
		}
		if one.says != "" {
			alt = "/Alt <FEFF"
			for _, unit := range utf16.Encode([]rune(one.says)) {
				alt += fmt.Sprintf("%04X", unit)
			}
			alt += "> "
		}
		object(first+i, fmt.Sprintf("<</Type /StructElem /S /%s /P %d 0 R %s/K [%s]>>", one.kind, tree+1, alt, kids))
	}
	object(tree, fmt.Sprintf("<</Type /StructTreeRoot /K %d 0 R /ParentTree %d 0 R /ParentTreeNextKey %d>>", tree+1,
		tree+2, len(t.pages)))
	object(tree+1, fmt.Sprintf("<</Type /StructElem /S /Document /P %d 0 R /K [%s]>>", tree, whole.String()))
	var parents strings.Builder
	for i, marks := range t.pages {
		fmt.Fprintf(&parents, "%d [", i)
		for _, one := range marks {
			parents.WriteString(references[one])
		}
		parents.WriteString("] ")
		object(pageObject(i), fmt.Sprintf("<</Type /Page /StructParents %d /Tabs /S\n%s", i, pages[i]))
	}
	object(tree+2, fmt.Sprintf("<</Nums [%s]>>", parents.String()))
	object(root, fmt.Sprintf("<<\n%s\n/Version /1.7 /MarkInfo <</Marked true>> /StructTreeRoot %d 0 R "+
		"/ViewerPreferences <</DisplayDocTitle true>>\n>>", last[2], tree))
	begin := out.Len()
	out.WriteString("xref\n")
	for _, n := range slices.Sorted(maps.Keys(at)) {
		fmt.Fprintf(out, "%d 1\n%010d 00000 n \n", n, at[n])
	}
	fmt.Fprintf(out, "trailer\n<<\n/Size %d\n/Root %s 0 R\n/Info %s 0 R\n/Prev %s\n>>\nstartxref\n%d\n%%%%EOF\n",
		first+len(t.all), last[3], last[4], last[5], begin)
	return out.Bytes(), nil
}
