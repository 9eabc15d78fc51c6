package print

import (
	"bytes"
	"io"
	"slices"

	"codeberg.org/go-pdf/fpdf"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/handover"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// Handover writes what is handed over with a vehicle: the summary, then the record by part.
func (t *Text) Handover(h *handover.Handover) {
	v := h.View(t.prefs)
	t.Line(v.Headline)
	for _, b := range v.Basis {
		t.Line(b)
	}
	for _, s := range v.Sections {
		t.Head(s.Title)
		if len(s.Rows) == 0 {
			t.Line(s.None)
		}
		for _, r := range s.Rows {
			t.Item("- ", joined(r.Name, r.When, r.Words))
		}
	}
	for _, p := range v.Parts {
		t.Head(p.Name)
		for _, l := range p.Lines {
			words := l.Words
			if l.Cost != nil {
				words = message.Of("%s %s.", words, exactMoney(l.Cost))
			}
			t.Item("- ", joined(l.When, message.Is(l.Far), words))
		}
		if n := len(p.Pictures); n > 0 {
			t.Item("- ", told.Count(n, "picture", "pictures").Sentence())
		}
	}
}

// joined says when, at what distance and what, as far as they are there.
func joined(name, more, words message.Text) message.Text {
	if more != "" {
		name = message.Of("%s, %s", name, more)
	}
	if words != "" {
		name = message.Of("%s: %s", name, words)
	}
	return name
}

// Handover writes the summary on one page, and behind it the record by part with
// pictures: none for who borrows the vehicle.
func (p Paper) Handover(w io.Writer, h *handover.Handover) error {
	s := p.sheet("Hand-over", h.Vehicle, h.On)
	s.handover(h, h.View(p.Units))
	return s.writeTo(w)
}

func (s *sheet) handover(h *handover.Handover, v handover.View) {
	s.summary(h, v)
	if len(v.Parts) > 0 {
		s.turn()
		s.title("The record by part, newest first", nil)
	}
	shown := 0
	for _, part := range v.Parts {
		shown += s.recorded(h, part, mostShots-shown)
	}
	if total := recordCost(h); total != "" {
		sum := s.para(0, s.full(), strongStyle, message.Of("Together %s, where a cost is recorded.", total))
		sum.right = true
		s.put(row{before: 3, above: lineRule, pad: 1, cells: []cell{sum}})
	}
}

// The columns of the summary and of the record, mm.
const (
	nameWide = 44.0
	dueWide  = 40.0
	farWide  = 22.0
	costWide = 25.0
)

// summary sets the first page, in smaller letters where there is more on it. What does not
// fit even so is counted, a row a section less until the rest does.
func (s *sheet) summary(h *handover.Handover, v handover.View) {
	s.title(v.Headline, h.Vehicle)
	s.put(row{pad: 1.2, cells: []cell{s.para(0, s.full(), smallStyle,
		message.Of("%s. %s", h.For.Title(), message.Joined(v.Basis, " ")))}})
	st, most := smallStyle, 1000
	for {
		var rows []row
		for _, sec := range v.Sections {
			rows = append(rows, s.group(sec, st, most)...)
		}
		switch {
		case s.y+height(rows) <= s.bottom() || most == 1:
			s.put(rows...)
			return
		case st.size > stopStyle.size:
			st.size, st.lead = st.size-0.5, st.lead-0.27
		default:
			most = min(most, len(rows)) - 1
		}
	}
}

// group is a heading and at most so many of its rows.
func (s *sheet) group(sec handover.Section, st style, most int) []row {
	out := []row{{before: 3.5, above: lineRule, pad: 1.2, cells: []cell{s.para(0, s.full(), strongStyle, sec.Title)}}}
	rows := sec.Rows
	if len(rows) == 0 {
		rows = []handover.Row{{Words: sec.None}}
	}
	left := len(rows) - most
	for _, r := range rows[:min(most, len(rows))] {
		x, cells := 0.0, []cell{}
		if r.Name != "" {
			cells, x = append(cells, s.para(0, nameWide, st, r.Name)), nameWide+tableGap
		}
		if r.When != "" {
			cells, x = append(cells, s.para(x, dueWide, st, r.When)), x+dueWide+tableGap
		}
		out = append(out, row{before: 0.7, above: hairRule, pad: 0.5,
			cells: append(cells, s.para(x, s.full()-x, st, r.Words))})
	}
	if left > 0 {
		out = append(out, row{pad: 0.5, cells: []cell{s.para(0, s.full(), st,
			message.Of("And %d more, on the vehicle's own page.", left))}})
	}
	return out
}

// recorded sets the record of one part, and returns how many pictures it showed.
func (s *sheet) recorded(h *handover.Handover, part handover.PartView, shots int) int {
	head := func(title message.Text) []row {
		return []row{{before: 3.5, above: lineRule, pad: 1.2,
			cells: []cell{s.para(0, s.full(), strongStyle, title)}}}
	}
	s.hold(head(part.Name)...)
	for _, l := range part.Lines {
		x := nameWide + tableGap
		far := s.para(x, farWide, smallStyle, l.Far)
		cost := s.para(s.full()-costWide, costWide, smallStyle, exactMoney(l.Cost))
		far.right, cost.right = true, true
		x += farWide + tableGap
		w := s.full() - x
		if l.Cost != nil {
			w -= costWide + tableGap
		}
		st := smallStyle
		st.bold = !l.Found
		s.put(row{before: 0.7, above: hairRule, pad: 0.5, cells: []cell{s.para(0, nameWide, smallStyle, l.When), far,
			s.para(x, w, st, l.Words), cost}})
		s.repeat = head(message.Of("%s, continued", part.Name))
	}
	n := min(len(part.Pictures), shotsOfPart, max(shots, 0))
	for two := range slices.Chunk(part.Pictures[:n], 2) {
		cells := make([]cell, len(two))
		for i, e := range two {
			cells[i] = s.shot(h.Report, e, float64(i)*(s.column()+columnGap))
		}
		s.put(row{before: 2, cells: cells})
		s.repeat = head(message.Of("%s, continued", part.Name))
	}
	if left := len(part.Pictures) - n; left > 0 {
		s.put(row{pad: 0.5, cells: []cell{s.para(0, s.full(), smallStyle,
			told.Count(left, "picture is not shown", "pictures are not shown").Sentence())}})
	}
	s.repeat = nil
	return n
}

// recordCost adds up the costs; "" where there are none or currencies differ.
func recordCost(h *handover.Handover) string {
	var known []units.Quantity
	for _, e := range h.State.Record {
		switch {
		case e.Fitted != nil && e.Fitted.Part.Cost != nil:
			known = append(known, *e.Fitted.Part.Cost)
		case e.Done != nil && e.Done.Cost != nil:
			known = append(known, *e.Done.Cost)
		}
	}
	total, err := units.Sum(known...)
	if err != nil || total.IsZero() || h.For == handover.Driver {
		return ""
	}
	return total.String()
}

// mostShots is how many pictures a record shows at most, shotsOfPart how many of one part,
// and shotHigh how high at most, in mm.
const (
	mostShots   = 48
	shotsOfPart = 4
	shotHigh    = 60.0
)

var shotOptions = fpdf.ImageOptions{ImageType: "JPG"}

// shot is a picture with its words below. One that the journal lacks is said to be missing.
func (s *sheet) shot(r *advise.Report, e *fleet.Entry, x float64) cell {
	name := r.Vehicle.Name
	if p := r.Vehicle.Position(e.Picture.Position); p != nil {
		name = p.Name
	}
	words := message.Of("%s, %s: %s", name, told.Long(e.Date), r.PictureWords(e.Picture))
	for _, m := range r.State.Marks {
		if m.Mark.Picture == e.Picture.Hash {
			words = message.Of("%s; marked on it, not shown: %s", words, advise.MarkWords(m.Mark))
		}
	}
	out := cell{x: x, w: s.column()}
	src, err := s.paper.Picture(e.Picture.Hash)
	if err == nil {
		info := s.pdf.RegisterImageOptionsReader(e.Picture.Hash, shotOptions, bytes.NewReader(src))
		if err = s.pdf.Error(); err == nil {
			scale := min(out.w/info.Width(), shotHigh/info.Height())
			shown := &shot{e.Picture.Hash, scale * info.Width(), scale * info.Height()}
			out.lines = []line{{style{lead: shown.h + 1}, []piece{{shot: shown}}}}
		}
	}
	if err != nil {
		s.pdf.ClearError()
		words = message.Of("%s; the picture cannot be read", words)
	}
	out.lines = append(out.lines, s.text(smallStyle, out.w, words.Sentence())...)
	return out
}
