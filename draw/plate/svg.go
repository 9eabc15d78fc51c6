package plate

import (
	"encoding/xml"
	"math"
	"strconv"
	"strings"
)

// SVG returns the plate as a complete svg element, with a title for screen
// readers: black on white, in the colour of its surroundings' text.
func (p *Plate) SVG(title string) string {
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 160 96" width="160" height="96" role="img" ` +
		hand + ` font-family="ui-sans-serif,system-ui,sans-serif"><title>`)
	escape(&b, title)
	b.WriteString("</title>")
	p.write(&b, alone)
	b.WriteString("</svg>")
	return b.String()
}

// Inline returns the plate as an svg element of a page, in the tones of its
// theme. The words beside it say it: it is hidden from screen readers.
func (p *Plate) Inline() string {
	var b strings.Builder
	b.WriteString(`<svg class="plate" viewBox="0 0 160 96" aria-hidden="true" focusable="false" ` + hand + `>`)
	p.write(&b, themed)
	b.WriteString("</svg>")
	return b.String()
}

// Symbol returns the plate as a symbol to be used under an id, in the tones of
// the page that uses it.
func (p *Plate) Symbol(id string) string {
	var b strings.Builder
	b.WriteString(`<symbol id="` + id + `" viewBox="0 0 160 96" ` + hand + `>`)
	p.write(&b, themed)
	b.WriteString("</symbol>")
	return b.String()
}

// hand is how all strokes end and meet. In a page words are set as the page is.
const hand = `fill="none" stroke-linecap="round" stroke-linejoin="round"`

// alone paints without a theme, themed by its custom properties. Presentation
// attributes are parsed as CSS is, var() included (SVG 2, 6.6).
func alone(t Tone) string {
	switch t {
	case None:
		return "none"
	case Paper:
		return "#fff"
	case Wash:
		return "#e6e6e6"
	}
	return "currentColor"
}

func themed(t Tone) string {
	switch t {
	case None:
		return "none"
	case Paper:
		return "var(--paper,#fff)"
	case Wash:
		return "var(--wash,#e6e6e6)"
	}
	return "var(--" + string(t) + ",currentColor)"
}

func (p *Plate) write(b *strings.Builder, colour func(Tone) string) {
	for i := 0; i < len(p.Marks); {
		m := &p.Marks[i]
		if m.Text != "" {
			writeText(b, m, colour)
			i++
			continue
		}
		b.WriteString("<path")
		writeStyle(b, m.Style, colour)
		b.WriteString(` d="`)
		for ; i < len(p.Marks) && p.Marks[i].Text == "" && p.Marks[i].Style == m.Style; i++ {
			writePath(b, p.Marks[i].Path)
			if m.Style.Fill != None { // one over the other, not one with a hole
				i++
				break
			}
		}
		b.WriteString(`"/>`)
	}
}

func writeStyle(b *strings.Builder, st Style, colour func(Tone) string) {
	if st.Fill != None {
		b.WriteString(` fill="` + colour(st.Fill) + `"`)
	}
	if st.Stroke == None {
		return
	}
	b.WriteString(` stroke="` + colour(st.Stroke) + `" stroke-width="` + num(st.Width) + `"`)
	if st.Dash[0] > 0 {
		b.WriteString(` stroke-dasharray="` + num(st.Dash[0]) + " " + num(st.Dash[1]) + `"`)
	}
}

func writePath(b *strings.Builder, path []Seg) {
	for _, s := range path {
		b.WriteByte(byte(s.Op))
		switch s.Op {
		case Cubic:
			b.WriteString(pt(s.P[0]) + " " + pt(s.P[1]) + " " + pt(s.P[2]))
		case Close:
		default:
			b.WriteString(pt(s.P[2]))
		}
	}
}

func writeText(b *strings.Builder, m *Mark, colour func(Tone) string) {
	b.WriteString(`<text fill="` + colour(m.Style.Fill) + `" font-size="` + num(m.Size) + `"`)
	if m.Style.Fill == Act {
		b.WriteString(` font-weight="600"`)
	}
	switch {
	case m.End:
		b.WriteString(` text-anchor="end"`)
	case m.Mid:
		b.WriteString(` text-anchor="middle"`)
	}
	b.WriteString(` x="` + num(m.At.X) + `" y="` + num(m.At.Y) + `">`)
	escape(b, m.Text)
	b.WriteString("</text>")
}

func escape(b *strings.Builder, s string) { _ = xml.EscapeText(b, []byte(s)) } // a Builder takes everything

func pt(p Point) string { return num(p.X) + " " + num(p.Y) }

// num writes a figure to a tenth, without a minus before zero.
func num(v float64) string {
	r := math.Round(v*10) / 10
	if r == 0 {
		return "0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}
