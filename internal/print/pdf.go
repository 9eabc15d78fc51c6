package print

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/draw/plate"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// Where things stand on a page, in mm from its edges. The left margin leaves
// room for punched holes.
const (
	marginLeft   = 20.0
	marginRight  = 15.0
	headerLine   = 17.0 // from the top
	contentTop   = 21.0
	footerLine   = 16.0 // from the bottom
	contentSpare = 19.0 // content ends this far from the bottom
)

// rule is the thickness of a ruled line in mm.
type rule float64

// The ruled lines of a sheet.
const (
	noRule    rule = 0
	hairRule  rule = 0.12
	lineRule  rule = 0.3
	heavyRule rule = 0.8
	barRule   rule = 1.6 // beside a caution
)

// frame is what every page carries.
type frame struct {
	vehicle, title message.Text
	on             civil.Date
}

// advice stands at the foot of every page.
const advice message.Text = "" +
	"Follow the vehicle maker's instructions and local law. This sheet advises; it does not certify."

// piece is something in a line: text, a tick box before it, or a line to
// write on.
type piece struct {
	dx    float64 // mm from the cell's left edge
	text  string
	box   bool
	write float64 // length of the line to write on, mm
	shot  *shot   // a picture, from the top of the line
	plate *plate.Plate
	wide  float64 // of the plate, mm
}

// shot is a picture that the sheet knows by name, in mm.
type shot struct {
	name string
	w, h float64
}

// line is one line of a cell.
type line struct {
	style
	pieces []piece
}

// cell is a block of lines in a row. X and w are in mm from the left margin.
type cell struct {
	x, w  float64
	right bool // set flush right
	bar   bool // with a heavy rule at its left
	lines []line
	tag   *tagged // once it was set; nil: it says nothing
}

// row is what stands side by side. A row is kept on one page if a page can
// hold it.
type row struct {
	before float64 // mm of white above the rule
	above  rule
	pad    float64 // mm of white below the rule
	cells  []cell
}

// sheet lays rows out on pages, top to bottom. An error is kept and returned
// by writeTo.
type sheet struct {
	*fonts
	paper  Paper
	frame  frame
	w, h   float64 // of the page, mm
	y      float64 // where the next row begins
	held   []row   // set on the same page as the next row
	repeat []row   // set again at the top of each new page
	deeper float64 // by how much content goes on below its usual end, mm
	tags   tags
	again  bool // what is set stands on a page before
	err    error
}

func newSheet(p Paper, f frame) *sheet {
	w, h := p.Size.millimetres()
	pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: w, Ht: h}})
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCatalogSort(true)
	dated := time.Date(f.on.Year, f.on.Month, f.on.Day, 12, 0, 0, 0, time.UTC)
	pdf.SetCreationDate(dated)
	pdf.SetModificationDate(dated)
	pdf.SetProducer("undertray", true)
	pdf.SetTitle(message.Of("%s, %s, %s", f.title, f.vehicle, told.Long(f.on)).In(p.Language), true)
	pdf.SetLang(p.Language.Code())
	s := &sheet{paper: p, frame: f, w: w, h: h}
	s.fonts, s.err = newFonts(pdf, p.Units, p.Language)
	if s.err == nil {
		s.turn()
	}
	return s
}

// width returns the width of the content, mm.
func (s *sheet) full() float64 { return s.w - marginLeft - marginRight }

func (s *sheet) bottom() float64 { return s.h - contentSpare + s.deeper }

// turn begins a new page.
func (s *sheet) turn() {
	s.pdf.AddPage()
	s.y = contentTop
	s.again = true
	for _, r := range s.repeat {
		s.draw(r)
	}
	s.again = false
}

// hold keeps rows back to stand on the same page as the next row put.
func (s *sheet) hold(rows ...row) { s.held = append(s.held, rows...) }

// put sets rows, and those held back, together on one page if a page can hold
// them.
func (s *sheet) put(rows ...row) {
	if s.err != nil {
		return
	}
	rows = append(slices.Clip(s.held), rows...)
	s.held = nil
	if !s.fits(rows) {
		s.turn()
	}
	for _, r := range rows {
		s.draw(r)
	}
}

// fits reports whether rows have room on this page, or cannot be helped by a
// new one.
func (s *sheet) fits(rows []row) bool {
	return s.y <= contentTop || s.y+height(rows) <= s.bottom()
}

func height(rows []row) float64 {
	sum := 0.0
	for _, r := range rows {
		tallest := 0.0
		for _, c := range r.cells {
			tallest = max(tallest, tall(c))
		}
		sum += r.before + r.pad + tallest
	}
	return sum
}

func tall(c cell) float64 {
	h := 0.0
	for _, l := range c.lines {
		h += l.lead
	}
	return h
}

// draw sets one row, and goes on over the page where a page cannot hold it.
func (s *sheet) draw(r row) {
	if s.y > contentTop { // the frame's own rule stands above the first row
		s.y += r.before
		if r.above > noRule {
			s.as(nil, func() { s.ruled(0, s.full(), s.y, r.above) })
		}
	}
	s.y += r.pad
	cells := slices.Clone(r.cells)
	for i := range cells {
		if !s.again {
			cells[i].tag = tagOf(&cells[i])
		}
	}
	for {
		begin, tallest, rest := s.y, 0.0, false
		for i := range cells {
			h := s.drawCell(&cells[i])
			tallest = max(tallest, h)
			rest = rest || len(cells[i].lines) > 0
		}
		s.y = begin + tallest
		if !rest {
			return
		}
		s.turn()
	}
}

// drawCell sets as many lines of a cell as the page holds, at least one on an
// empty page, takes them off the cell and returns their height.
func (s *sheet) drawCell(c *cell) float64 {
	y, n := s.y, 0
	for _, l := range c.lines {
		if y+l.lead > s.bottom()+0.01 && y > contentTop {
			break
		}
		y += l.lead
		n++
	}
	if n > 0 {
		s.as(c.tag, func() {
			at := s.y
			for _, l := range c.lines[:n] {
				s.drawLine(*c, l, at)
				at += l.lead
			}
		})
	}
	if c.bar && n > 0 {
		s.as(nil, func() {
			s.pdf.SetLineWidth(float64(barRule))
			x := marginLeft + c.x + float64(barRule)/2
			s.pdf.Line(x, s.y+0.6, x, y-0.2)
		})
	}
	c.lines = c.lines[n:]
	return y - s.y
}

// A tick box is at most boxSide mm square, and what it stands for begins boxGap mm
// from its right.
const (
	boxSide = 4.0
	boxGap  = 1.8
	boxText = boxSide + boxGap
	barText = 4.5 // text beside a bar begins here
)

func (s *sheet) drawLine(c cell, l line, y float64) {
	base := y + l.lead - 0.32*l.mm()
	for _, p := range l.pieces {
		x := marginLeft + c.x + p.dx
		if c.bar {
			x += barText
		}
		if p.shot != nil {
			s.pdf.ImageOptions(p.shot.name, x, y, p.shot.w, p.shot.h, false, shotOptions, 0, "")
		}
		if p.plate != nil {
			s.plate(p.plate, x, y, p.wide)
		}
		if p.box {
			s.pdf.SetLineWidth(float64(lineRule))
			side := l.box()
			s.pdf.Rect(x+0.2, base-0.36*l.mm()-side/2, side, side, "D")
			x += side + boxGap
		}
		s.use(l.style)
		if c.right {
			x = marginLeft + c.x + c.w - s.pdf.GetStringWidth(p.text)
		}
		if p.text != "" {
			s.pdf.Text(x, base, p.text+" ") // which parts words where they are read one after the other
		}
		if p.write > 0 {
			at, rule := base+0.4, lineRule
			if l.size < smallStyle.size {
				at, rule = y+l.lead, hairRule
			}
			s.ruled(x-marginLeft, x-marginLeft+p.write, at, rule)
		}
	}
}

// ruled draws a level line from x to x, in mm from the left margin.
func (s *sheet) ruled(from, to, y float64, r rule) {
	s.pdf.SetLineWidth(float64(r))
	s.pdf.Line(marginLeft+from, y, marginLeft+to, y)
}

// writeTo frames every page, now that their number is known, and writes the
// file.
func (s *sheet) writeTo(w io.Writer) error {
	if s.err != nil {
		return fmt.Errorf("setting the %s of %s: %w", s.frame.title, s.frame.vehicle, s.err)
	}
	s.repeat = nil
	s.put()
	n := s.pdf.PageCount()
	for i := 1; i <= n; i++ {
		s.pdf.SetPage(i)
		s.as(nil, func() { s.drawFrame(i, n) })
	}
	var plain bytes.Buffer
	err := s.pdf.Output(&plain)
	if err == nil {
		var file []byte
		if file, err = s.tags.addTo(plain.Bytes()); err == nil {
			_, err = w.Write(file)
		}
	}
	if err != nil {
		return fmt.Errorf("writing the %s of %s: %w", s.frame.title, s.frame.vehicle, err)
	}
	return nil
}

func (s *sheet) drawFrame(page, of int) {
	date := s.plain(told.Long(s.frame.on))
	title := s.plain(s.frame.title)
	room := s.full() - s.width(date, bodyStyle) - 4
	name := s.clip(s.frame.vehicle, strongStyle, room-s.width(title, bodyStyle)-4)
	at := func(x, y float64, st style, text string) {
		s.use(st)
		s.pdf.Text(marginLeft+x, y, text)
	}
	at(0, headerLine-2.2, strongStyle, name)
	at(s.width(name, strongStyle)+4, headerLine-2.2, bodyStyle, title)
	at(s.full()-s.width(date, bodyStyle), headerLine-2.2, bodyStyle, date)
	s.ruled(0, s.full(), headerLine, heavyRule)
	number := s.plain(message.Of("page %d of %d", page, of))
	s.ruled(0, s.full(), s.h-footerLine, hairRule)
	room = s.full() - s.width(number, bodyStyle) - 4
	if lines := s.wrap(advice, smallStyle, room); len(lines) == 1 {
		at(0, s.h-footerLine+4.6, smallStyle, lines[0])
	} else {
		for i, l := range s.wrap(advice, stopStyle, room) {
			at(0, s.h-footerLine+3.4+2.8*float64(i), stopStyle, l)
		}
	}
	at(s.full()-s.width(number, bodyStyle), s.h-footerLine+4.6, bodyStyle, number)
}
