package print

import (
	"math"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// text returns lines of wrapped text in a cell's width.
func (s *sheet) text(st style, w float64, text any) []line {
	var out []line
	for _, l := range s.wrap(text, st, w) {
		out = append(out, line{style: st, pieces: []piece{{text: l}}})
	}
	return out
}

// para returns a cell of wrapped text.
func (s *sheet) para(x, w float64, st style, text any) cell {
	return cell{x: x, w: w, lines: s.text(st, w, text)}
}

// title sets the sheet's answer in words, with what identifies the vehicle, if
// the sheet is about one.
func (s *sheet) title(words message.Text, v *fleet.Vehicle) {
	s.put(row{cells: []cell{s.para(0, s.full(), titleStyle, words)}})
	if v == nil {
		return
	}
	if id := identity(v); id != "" {
		s.put(row{pad: 1.2, cells: []cell{s.para(0, s.full(), smallStyle, id)}})
	}
}

// told sets a headline, and below it what else there is to it.
func (s *sheet) told(all []message.Text, v *fleet.Vehicle) {
	s.title(told.Head(all), v)
	if rest := told.Rest(all); rest != "" {
		s.put(row{pad: 1.2, cells: []cell{s.para(0, s.full(), smallStyle, rest)}})
	}
}

// identity says which vehicle it is beyond its name.
func identity(v *fleet.Vehicle) string {
	out := ""
	add := func(words string) {
		if words == "" {
			return
		}
		if out != "" {
			out += " · "
		}
		out += words
	}
	add(v.Make)
	add(v.Model)
	add(v.Engine.About)
	if v.VIN != "" {
		add("VIN " + v.VIN)
	}
	return out
}

// head holds a heading back for the row that follows.
func (s *sheet) head(text message.Text) {
	s.hold(row{before: 5, above: lineRule, pad: 1.6, cells: []cell{s.para(0, s.full(), headStyle, text)}}, row{pad: 1})
}

// caution returns a row with a heavy rule at its left.
func (s *sheet) caution(x float64, text any) row {
	w := s.full() - x - barText
	return row{pad: 1, cells: []cell{{x: x, w: w, bar: true, lines: s.text(bodyStyle, w, text)}}}
}

func (s *sheet) cautions(x float64, texts []message.Text) []row {
	var out []row
	for _, c := range texts {
		out = append(out, s.caution(x, c))
	}
	if len(out) > 0 {
		out = append(out, row{pad: 1.4})
	}
	return out
}

// blank returns a row of labels, each with a line to write on after it. The
// lines share what room the labels leave.
func (s *sheet) blank(x float64, labels ...message.Text) row {
	const gap = 4
	used := 0.0
	after := func(label message.Text) float64 {
		if label == "" {
			return 0
		}
		return s.width(s.plain(label), bodyStyle) + 2
	}
	for _, l := range labels {
		used += after(l)
	}
	each := (s.full() - x - used - gap*float64(len(labels)-1)) / float64(len(labels))
	l := line{style: style{size: bodyStyle.size, lead: 10}}
	at := 0.0
	for _, label := range labels {
		l.pieces = append(l.pieces, piece{dx: at, text: s.plain(label)})
		at += after(label)
		l.pieces = append(l.pieces, piece{dx: at, write: each})
		at += each + gap
	}
	return row{cells: []cell{{x: x, w: s.full() - x, lines: []line{l}}}}
}

// ticks lays texts out in columns with a box each. A text too wide for one
// column takes two or more, and one too wide for all is wrapped.
func (s *sheet) ticks(st style, w float64, columns int, texts []message.Text) []line {
	var out []line
	each, text := w/float64(columns), st.box()+boxGap
	next := columns // first free column of the last line
	for _, t := range texts {
		room := s.width(s.plain(t), st) + text + 2
		span := int(math.Ceil(room / each))
		if next+span > columns {
			out = append(out, line{style: tickStyle(st, len(out) == 0)})
			next = 0
		}
		wrapped := s.wrap(t, st, w-text)
		for i, words := range wrapped {
			if i > 0 {
				out = append(out, line{style: st, pieces: []piece{{dx: text, text: words}}})
				continue
			}
			last := &out[len(out)-1]
			last.pieces = append(last.pieces, piece{dx: float64(next) * each, text: words, box: true})
		}
		next += span
	}
	return out
}

// tickBlock sets a heading and texts with a box each, in as many even columns
// as they fit, up to three.
func (s *sheet) tickBlock(head message.Text, texts []message.Text) {
	widest := 0.0
	for _, t := range texts {
		widest = max(widest, s.width(s.plain(t), bodyStyle)+boxText+2)
	}
	if widest == 0 {
		return
	}
	s.head(head)
	for _, l := range s.ticks(bodyStyle, s.full(), min(3, max(1, int(s.full()/widest))), texts) {
		s.put(row{cells: []cell{{w: s.full(), lines: []line{l}}}})
	}
}

// tickStyle leaves room above a box of large type, but above the first one.
func tickStyle(st style, first bool) style {
	if !first && st == bodyStyle {
		st.lead = 6.8
	}
	return st
}

// tableColumn is one column of a table on paper. One column may have no width:
// it takes the room that is left.
type tableColumn struct {
	head  message.Text
	w     float64 // mm
	right bool
	tick  bool // a box in every row
}

// tableGap is the white between columns, mm.
const tableGap = 3.0

// table sets rows under headings, which stand again on every further page.
func (s *sheet) table(cols []tableColumn, rows [][]any) {
	cols = s.fitColumns(cols)
	heads := make([]any, len(cols))
	for i, c := range cols {
		heads[i] = c.head
	}
	head := s.tableRow(cols, heads, strongStyle)
	s.hold(head)
	for i, r := range rows {
		out := s.tableRow(cols, r, bodyStyle)
		out.before, out.above, out.pad = 1.1, hairRule, 0.7
		if i == 0 {
			out.above = lineRule
		}
		s.put(out)
		s.repeat = []row{head}
	}
	s.repeat = nil
	s.put(row{before: 1.1})
}

func (s *sheet) fitColumns(cols []tableColumn) []tableColumn {
	out := append([]tableColumn(nil), cols...)
	left := s.full() - tableGap*float64(len(cols)-1)
	for _, c := range cols {
		left -= c.w
	}
	for i := range out {
		if out[i].w == 0 {
			out[i].w = left
		}
	}
	return out
}

func (s *sheet) tableRow(cols []tableColumn, texts []any, st style) row {
	var r row
	x := 0.0
	for i, c := range cols {
		one := s.para(x, c.w, st, texts[i])
		one.right = c.right
		if c.tick && st == bodyStyle {
			one.lines = []line{{style: style{size: st.size, lead: st.lead + 0.6}, pieces: []piece{{box: true}}}}
		}
		r.cells = append(r.cells, one)
		x += c.w + tableGap
	}
	return r
}
