// Package typeface holds the one typeface of pages, drawings and paper in two weights,
// measures text set in it and turns it into outlines.
//
// It is a cut of IBM Plex Sans under the SIL Open Font License 1.1 (OFL.txt), made by
// scripts/typeface; its figures are all of one width.
package typeface

import (
	_ "embed"
	"strconv"
	"strings"
	"sync"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The files, TrueType: Text is the regular weight, Strong the semi-bold one.
var (
	//go:embed text.ttf
	Text []byte
	//go:embed strong.ttf
	Strong []byte
)

// Weight is one of the two.
type Weight int

// The weights.
const (
	Regular Weight = iota
	SemiBold
)

// cut is a weight once read, with what was worked out of it.
type cut struct {
	mu   sync.Mutex // sfnt's buffer serves one at a time
	font *sfnt.Font
	buf  sfnt.Buffer
	em   fixed.Int26_6
}

var cuts = [2]func() *cut{
	sync.OnceValue(func() *cut { return read(Text) }),
	sync.OnceValue(func() *cut { return read(Strong) }),
}

// read panics where a file that is built in is none.
func read(src []byte) *cut {
	f, err := sfnt.Parse(src)
	if err != nil {
		panic("typeface: " + err.Error())
	}
	return &cut{font: f, em: fixed.I(int(f.UnitsPerEm()))}
}

// glyphs hands each glyph of a text to what is done with it, with the distance in ems from
// the text's beginning, kerning included, and returns the text's width in ems.
func (c *cut) glyphs(text string, do func(g sfnt.GlyphIndex, at float64)) float64 {
	c.mu.Lock()
	defer c.mu.Unlock()
	var at fixed.Int26_6
	var before sfnt.GlyphIndex
	for _, r := range text {
		g, err := c.font.GlyphIndex(&c.buf, r)
		if err != nil {
			continue
		}
		if before != 0 {
			if k, err := c.font.Kern(&c.buf, before, g, c.em, 0); err == nil {
				at += k
			}
		}
		if do != nil {
			do(g, float64(at)/float64(c.em))
		}
		if w, err := c.font.GlyphAdvance(&c.buf, g, c.em, 0); err == nil {
			at += w
		}
		before = g
	}
	return float64(at) / float64(c.em)
}

// Width returns how wide a line of text is, in the unit of its size. A letter the typeface
// lacks is as wide as its empty box.
func Width(text string, size float64, w Weight) float64 { return size * cuts[w]().glyphs(text, nil) }

// Has reports whether the typeface holds a letter.
func Has(r rune) bool {
	c := cuts[Regular]()
	c.mu.Lock()
	defer c.mu.Unlock()
	g, err := c.font.GlyphIndex(&c.buf, r)
	return err == nil && g != 0
}

// Outline returns a line of text as the data of an SVG path (SVG 2, section 9), its
// baseline beginning at (x, y), to two decimals.
func Outline(text string, x, y, size float64, w Weight) string {
	c := cuts[w]()
	var b strings.Builder
	c.glyphs(text, func(g sfnt.GlyphIndex, at float64) {
		segments, err := c.font.LoadGlyph(&c.buf, g, c.em, nil)
		if err != nil {
			return // a space has none
		}
		for i, s := range segments {
			n := 1
			switch s.Op {
			case sfnt.SegmentOpMoveTo:
				if i > 0 {
					b.WriteByte('Z')
				}
				b.WriteByte('M')
			case sfnt.SegmentOpLineTo:
				b.WriteByte('L')
			case sfnt.SegmentOpQuadTo:
				b.WriteByte('Q')
				n = 2
			case sfnt.SegmentOpCubeTo:
				b.WriteByte('C')
				n = 3
			}
			for j, p := range s.Args[:n] {
				if j > 0 {
					b.WriteByte(' ')
				}
				em := float64(c.em)
				b.WriteString(number(x + size*(at+float64(p.X)/em)))
				b.WriteByte(' ')
				b.WriteString(number(y + size*float64(p.Y)/em))
			}
		}
		if len(segments) > 0 {
			b.WriteByte('Z')
		}
	})
	return b.String()
}

// number is a figure to two decimals at the most.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}
