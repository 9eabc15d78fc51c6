package draw

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/message"
)

// SVG is one complete svg element. All text in it is escaped and it carries
// neither scripts nor style, so it may be set into a page as it is.
type SVG string

// Figure is a drawing with its words.
type Figure struct {
	SVG     SVG
	Title   message.Text // what it shows, in a few words
	Caption message.Text // what the marks and lines mean, plain text
	Numbers []int        // of the candidates that show in a spectrum, in their order
}

// Head names a drawing. Every figure needs one.
type Head struct {
	ID    string            // prefix of the ids inside, unique on the page: lower-case letters, digits, hyphens
	Title message.Text      // read first by a screen reader
	Desc  message.Text      // read next; empty: one is made from the data
	Width float64           // width in px at which letters have their natural size; 0: 360
	In    *message.Language // that all words are set in; nil: English
}

// words sets a text in the drawing's language.
func (h *Head) words(t message.Text) string { return t.In(h.In) }

// DefaultWidth suits a phone held upright and a print 80 mm wide.
const DefaultWidth = 360

var idPattern = regexp.MustCompile(`^[a-z][a-z0-9-]*$`)

func (h *Head) check() error {
	if !idPattern.MatchString(h.ID) {
		return fmt.Errorf("draw: id %q: use lower-case letters, digits and hyphens, a letter first", h.ID)
	}
	if strings.TrimSpace(h.words(h.Title)) == "" {
		return fmt.Errorf("draw: figure %s has no title", h.ID)
	}
	if h.Width == 0 {
		h.Width = DefaultWidth
	}
	if !finite(h.Width) || h.Width < 240 || h.Width > 4000 {
		return fmt.Errorf("draw: figure %s: width %g px: choose 240 to 4000", h.ID, h.Width)
	}
	return nil
}

// checkHref accepts addresses within the site and http(s) ones. Anything that
// a browser could run is refused, and so are spaces and control characters,
// which browsers drop before they look for a scheme (WHATWG URL, 4.4).
func checkHref(href string) error {
	refused := fmt.Errorf("draw: address %q: use a path, a fragment, http or https", href)
	for _, r := range href {
		if r <= ' ' || r == 0x7f {
			return refused
		}
	}
	if end := strings.IndexAny(href, ":/?#"); end >= 0 && href[end] == ':' {
		if scheme := strings.ToLower(href[:end]); scheme != "http" && scheme != "https" {
			return refused
		}
	}
	return nil
}

func finite(vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > 1e12 {
			return false
		}
	}
	return true
}

// canvas writes elements. Coordinates are px, y downwards, rounded to a tenth.
type canvas struct {
	b    strings.Builder
	open []string
}

// begin opens the svg element. A figure with links is a group, so that a
// screen reader still reaches them; one without is a single picture.
func (c *canvas) begin(h Head, kind, desc string, w, ht float64, links bool) {
	role := "img"
	if links {
		role = "group"
	}
	c.b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" class="d-fig d-` + kind + `" viewBox="0 0 ` +
		num(w) + " " + num(ht) + `" width="` + num(w) + `" height="` + num(ht) +
		`" role="` + role + `" aria-labelledby="` + h.ID + `-t ` + h.ID + `-d"` +
		` font-family="ui-sans-serif,system-ui,sans-serif" fill="none"` +
		` stroke-linecap="round" stroke-linejoin="round">`)
	c.b.WriteString(`<title id="` + h.ID + `-t">` + esc(h.words(h.Title)) + `</title><desc id="` + h.ID + `-d">` +
		esc(desc) + `</desc>`)
	c.open = append(c.open, "svg")
}

func (c *canvas) start(tag, attrs string) {
	c.b.WriteString("<" + tag + attrs + ">")
	c.open = append(c.open, tag)
}

// quiet opens a group that screen readers pass over.
func (c *canvas) quiet(class string) { c.start("g", paintAttrs(class)+` aria-hidden="true"`) }

// link opens an a element; empty href opens a named group instead.
func (c *canvas) link(class, href, label string) {
	if href == "" {
		c.start("g", ` class="`+class+`"`)
	} else {
		c.start("a", ` class="`+class+`" href="`+esc(href)+`" aria-label="`+esc(label)+`"`)
	}
	c.b.WriteString("<title>" + esc(label) + "</title>")
}

func (c *canvas) end() {
	last := len(c.open) - 1
	c.b.WriteString("</" + c.open[last] + ">")
	c.open = c.open[:last]
}

// finish closes everything that is open.
func (c *canvas) finish() SVG {
	for len(c.open) > 0 {
		c.end()
	}
	return SVG(c.b.String())
}

func (c *canvas) el(tag, class, attrs string) {
	c.b.WriteString("<" + tag + paintAttrs(class) + attrs + "/>")
}

func (c *canvas) path(class, d string) { c.el("path", class, ` d="`+d+`"`) }

// stroke is a path whose width is worked out; its class must not set one.
func (c *canvas) stroke(class, d string, width float64) {
	c.el("path", class, ` stroke-width="`+num(width)+`" d="`+d+`"`)
}

func (c *canvas) line(class string, x1, y1, x2, y2 float64) {
	c.path(class, "M"+pt(x1, y1)+"L"+pt(x2, y2))
}

func (c *canvas) circle(class string, x, y, r float64) {
	c.el("circle", class, ` cx="`+num(x)+`" cy="`+num(y)+`" r="`+num(r)+`"`)
}

func (c *canvas) rect(class string, x, y, w, h float64) {
	c.el("rect", class, ` x="`+num(x)+`" y="`+num(y)+`" width="`+num(w)+`" height="`+num(h)+`"`)
}

// Where a text stands relative to its x.
const (
	fromLeft = "start"
	centred  = "middle"
	toRight  = "end"
)

func (c *canvas) text(class, anchor string, x, y float64, s string) {
	a := ""
	if anchor != fromLeft {
		a = ` text-anchor="` + anchor + `"`
	}
	c.b.WriteString("<text" + paintAttrs(class) + ` x="` + num(x) + `" y="` + num(y) + `"` + a + ">" +
		esc(s) + "</text>")
}

// num writes a coordinate: one decimal at most, no minus before zero.
func num(v float64) string {
	r := math.Round(v*10) / 10
	if r == 0 {
		return "0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

func pt(x, y float64) string { return num(x) + " " + num(y) }

// esc makes text safe in elements and in quoted attributes. Characters that
// XML does not allow at all are left out.
func esc(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '"':
			b.WriteString("&#34;")
		case r == '\'':
			b.WriteString("&#39;")
		case r == '\t', r == '\n', r == '\r':
			b.WriteByte(' ')
		case r < 0x20, r == 0xFFFE, r == 0xFFFF:
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// trace builds the d attribute of a path.
type trace struct{ b strings.Builder }

func (t *trace) move(x, y float64) *trace { t.b.WriteString("M" + pt(x, y)); return t }
func (t *trace) to(x, y float64) *trace   { t.b.WriteString("L" + pt(x, y)); return t }
func (t *trace) quad(cx, cy, x, y float64) *trace {
	t.b.WriteString("Q" + pt(cx, cy) + " " + pt(x, y))
	return t
}
func (t *trace) cubic(ax, ay, bx, by, x, y float64) *trace {
	t.b.WriteString("C" + pt(ax, ay) + " " + pt(bx, by) + " " + pt(x, y))
	return t
}

// arc goes on to x, y along a circle of radius r; sweep is clockwise on screen.
func (t *trace) arc(r float64, large, sweep bool, x, y float64) *trace {
	t.b.WriteString("A" + num(r) + " " + num(r) + " 0 " + bit(large) + " " + bit(sweep) + " " + pt(x, y))
	return t
}
func (t *trace) close() *trace { t.b.WriteString("Z"); return t }
func (t *trace) d() string     { return t.b.String() }

func bit(v bool) string {
	if v {
		return "1"
	}
	return "0"
}
