package print

import (
	"fmt"
	"strings"
	"unicode"

	"codeberg.org/go-pdf/fpdf"

	"undertray.example/undertray/draw/typeface"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// family is the one typeface of the sheets, in two weights, by its name in a PDF. Its figures
// are all of one width, and it covers Latin, Greek and Cyrillic.
const family = "sans"

// style is a size and weight of type with the height of a line.
type style struct {
	bold bool
	size float64 // points
	lead float64 // mm
}

// The styles of a sheet: large enough to read at arm's length.
var (
	tagStyle    = style{bold: true, size: 26, lead: 11}
	titleStyle  = style{bold: true, size: 15, lead: 6.6}
	headStyle   = style{bold: true, size: 12, lead: 5.6}
	bodyStyle   = style{size: 10, lead: 4.8}
	strongStyle = style{bold: true, size: 10, lead: 4.8}
	smallStyle  = style{size: 8.5, lead: 4}
)

// mm returns the size of the type in mm; a point is 1/72 in.
func (st style) mm() float64 { return st.size * 25.4 / 72 }

// box returns the side of a tick box in a line, mm.
func (st style) box() float64 { return min(boxSide, st.lead-0.8) }

// fonts holds the fonts of one sheet.
type fonts struct {
	pdf   *fpdf.Fpdf
	reads units.Preferences
	lang  *message.Language
}

func newFonts(pdf *fpdf.Fpdf, reads units.Preferences, lang *message.Language) (*fonts, error) {
	pdf.AddUTF8FontFromBytes(family, "", typeface.Text)
	pdf.AddUTF8FontFromBytes(family, "B", typeface.Strong)
	return &fonts{pdf: pdf, reads: reads, lang: lang}, pdf.Error()
}

func (f *fonts) use(st style) {
	weight := ""
	if st.bold {
		weight = "B"
	}
	f.pdf.SetFont(family, weight, st.size)
}

// in is what stands in the reader's language for a text, a name in words, or a text of the catalogue of parts.
func (f *fonts) in(v any) string { return fmt.Sprint(f.lang.Told(v)) }

// plain turns text into what the typeface can show, in the reader's language: narrow spaces that do not
// break become ordinary ones that do not break, and for signs it lacks stands in words
// how many they are. Quantities are named in the reader's units.
func (f *fonts) plain(text any) string {
	var b strings.Builder
	lacks := 0
	tell := func() {
		if lacks > 0 {
			b.WriteString(f.in(message.Of("[%s not printed]", told.Several(lacks, "sign", "signs"))))
		}
		lacks = 0
	}
	for _, r := range f.reads.Text(f.in(text)) {
		switch {
		case r == '\u202f' || r == '\u2009' || r == '\u2007':
			r = '\u00a0'
		case r == '\u2010' || r == '\u2011':
			r = '-'
		case unicode.IsSpace(r) && r != '\u00a0':
			r = ' '
		case unicode.IsControl(r):
			continue
		case !typeface.Has(r):
			if !unicode.In(r, unicode.Cf, unicode.Variation_Selector) { // those only join or vary others
				lacks++
			}
			continue
		}
		tell()
		b.WriteRune(r)
	}
	tell()
	return b.String()
}

// width returns the width of plain text in mm.
func (f *fonts) width(text string, st style) float64 {
	f.use(st)
	return f.pdf.GetStringWidth(text)
}

// wrap breaks text into lines no wider than w mm, at spaces, and inside a word
// only where the word alone is wider. Empty text gives no line.
func (f *fonts) wrap(text any, st style, w float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.FieldsFunc(f.plain(text), func(r rune) bool { return r == ' ' }) {
		if line != "" && f.width(line+" "+word, st) <= w {
			line += " " + word
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for f.width(word, st) > w {
			head := f.head(word, st, w)
			lines = append(lines, head)
			word = word[len(head):]
		}
		line = word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// head returns as much of a word as fits, at least one letter.
func (f *fonts) head(word string, st style, w float64) string {
	fits := 0
	for i, r := range word {
		end := i + len(string(r))
		if i > 0 && f.width(word[:end], st) > w {
			break
		}
		fits = end
	}
	return word[:fits]
}

// clip returns text on one line, its last words left out where it is too wide.
func (f *fonts) clip(said any, st style, w float64) string {
	text := f.plain(said)
	if f.width(text, st) <= w {
		return text
	}
	head := f.head(text, st, w-f.width(" …", st))
	if i := strings.LastIndex(head, " "); i > 0 && text[len(head)] != ' ' {
		head = head[:i]
	}
	return strings.TrimRight(head, " ,;:.") + " …"
}
