package print

import (
	"io"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/draw"
	"undertray.example/undertray/draw/plate"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// Wall writes the wall sheet of a kind: each answer that is drawn with its plate and
// what it means, two side by side. A kind of which nothing is drawn is a *fleet.Error
// of kind NotFound.
func (p Paper) Wall(w io.Writer, cat *catalogue.Catalogue, k *catalogue.Kind, on civil.Date) error {
	seen := advise.Seen(cat, k, on)
	if len(seen) == 0 {
		return &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("no answer about the kind %q is drawn", k.ID),
			Hint: message.Of("print its page, or: undertray kind %s", k.ID)}
	}
	s := newSheet(p, frame{vehicle: message.Is(k.Name), title: "Wall sheet", on: on})
	s.title("What it looks like, and what that means", nil)
	s.put(row{pad: 1.2, cells: []cell{s.para(0, s.full(), smallStyle,
		message.Text("On a part of which nothing else is known; the strictest authority governs."))}})
	s.put(s.cautions(0, told.Names(k.Cautions))...)
	said := slices.Clone(k.Cautions)
	for len(seen) > 0 {
		n := 1
		for n < len(seen) && seen[n].Check == seen[0].Check {
			n++
		}
		whole := seen[0].Check.Caution
		caution := whole
		for _, before := range said {
			caution = strings.TrimSpace(strings.ReplaceAll(caution, before, ""))
		}
		if caution != "" && s.lang != nil {
			caution = whole // of which no part is in its catalogue
		}
		if caution != "" {
			said = append(said, caution)
		}
		s.seen(seen[:n], caution)
		seen = seen[n:]
	}
	return s.writeTo(w)
}

// How wide a plate is on a wall sheet, and the white right of it, mm.
const (
	wallPlate = 38.0
	wallGap   = 3.0
)

// seen sets the answers to one check, behind what of its caution was not said before.
func (s *sheet) seen(all []*advise.Meaning, caution string) {
	s.head(message.Is(all[0].Check.Question))
	if caution != "" {
		s.hold(s.caution(0, caution))
	}
	for i := 0; i < len(all); i += 2 {
		cells := s.look(all[i], 0)
		if i+1 < len(all) {
			cells = append(cells, s.look(all[i+1], s.column()+columnGap)...)
		}
		s.put(row{before: 2, cells: cells})
	}
}

// look is one answer: its plate, and beside it its words, its verdict and who says so.
func (s *sheet) look(m *advise.Meaning, x float64) []cell {
	a := m.Check.Answer(m.Finding.Answer)
	drawn, err := a.Plate.Draw(advise.PlateFigures(s.reads, s.paper.Language))
	if err != nil {
		s.err = err
		return nil
	}
	high := wallPlate*plate.Height/plate.Width + 1
	words := cell{x: x + wallPlate + wallGap, w: s.column() - wallPlate - wallGap}
	words.lines = append(s.text(bodyStyle, words.w, message.Is(a.Say).Capital()),
		s.text(strongStyle, words.w, m.Verdict(s.reads).Capital())...)
	if by := m.Authority(); by != "" {
		words.lines = append(words.lines, s.text(smallStyle, words.w, by.Message().Capital())...)
	}
	shown := line{style{lead: high}, []piece{{plate: drawn, wide: wallPlate}}}
	return []cell{{x: x, w: wallPlate, lines: []line{shown}}, words}
}

// inks are the tones of plates on paper, as red, green and blue.
var inks = func() map[plate.Tone][3]int {
	out := map[plate.Tone][3]int{}
	for _, t := range draw.Tones() {
		v, _ := strconv.ParseUint(strings.TrimPrefix(t.Print, "#"), 16, 32) // each is #rrggbb
		out[plate.Tone(t.Name)] = [3]int{int(v >> 16), int(v >> 8 & 0xff), int(v & 0xff)}
	}
	return out
}()

// plate draws a plate, its upper left corner at x, y in mm.
func (s *sheet) plate(p *plate.Plate, x, y, wide float64) {
	k := wide / plate.Width
	s.pdf.SetLineCapStyle("round")
	s.pdf.SetLineJoinStyle("round")
	for i := range p.Marks {
		if m := &p.Marks[i]; m.Text != "" {
			s.plateWords(m, x, y, k)
		} else {
			s.plateMark(m, x, y, k)
		}
	}
	s.pdf.SetLineCapStyle("butt")
	s.pdf.SetLineJoinStyle("miter")
	s.pdf.SetDashPattern(nil, 0)
	s.pdf.SetDrawColor(0, 0, 0)
	s.pdf.SetTextColor(0, 0, 0)
}

func (s *sheet) plateMark(m *plate.Mark, x, y, k float64) {
	st, how := m.Style, ""
	if st.Fill != plate.None {
		c := inks[st.Fill]
		s.pdf.SetFillColor(c[0], c[1], c[2])
		how = "F"
	}
	if st.Stroke != plate.None {
		c := inks[st.Stroke]
		s.pdf.SetDrawColor(c[0], c[1], c[2])
		s.pdf.SetLineWidth(st.Width * k)
		s.pdf.SetDashPattern(nil, 0)
		if st.Dash[0] > 0 {
			s.pdf.SetDashPattern([]float64{st.Dash[0] * k, st.Dash[1] * k}, 0)
		}
		how += "D"
	}
	at := func(p plate.Point) (float64, float64) { return x + p.X*k, y + p.Y*k }
	for _, seg := range m.Path {
		px, py := at(seg.P[2])
		switch seg.Op {
		case plate.Move:
			s.pdf.MoveTo(px, py)
		case plate.Line:
			s.pdf.LineTo(px, py)
		case plate.Cubic:
			ax, ay := at(seg.P[0])
			bx, by := at(seg.P[1])
			s.pdf.CurveBezierCubicTo(ax, ay, bx, by, px, py)
		case plate.Close:
			s.pdf.ClosePath()
		}
	}
	s.pdf.DrawPath(how)
}

func (s *sheet) plateWords(m *plate.Mark, x, y, k float64) {
	c := inks[m.Style.Fill]
	s.pdf.SetTextColor(c[0], c[1], c[2])
	text := s.plain(m.Text)
	s.use(style{bold: m.Style.Fill == plate.Act, size: m.Size * k * 72 / 25.4})
	px := x + m.At.X*k
	switch w := s.pdf.GetStringWidth(text); {
	case m.End:
		px -= w
	case m.Mid:
		px -= w / 2
	}
	s.pdf.Text(px, y+m.At.Y*k, text)
}
