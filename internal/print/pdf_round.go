package print

import (
	"fmt"
	"slices"
	"strings"

	"undertray/civil"
	"undertray/internal/say"
	"undertray/internal/visit"
)

// The styles of a round sheet, which is dense: sixty positions go on two sides.
var (
	stopStyle   = style{size: 7, lead: 3.7}
	partStyle   = style{bold: true, size: 8.5, lead: 3.9} // heads a section
	detailStyle = style{size: 7, lead: 2.9}
	firstStyle  = style{bold: true, size: 7, lead: 2.9}
)

// Stops stand in two columns, this far apart, mm. Within one, a stop's number is
// followed by its name, by the last answer and by the boxes.
const (
	columnGap = 5.0
	nameX     = 4.6
	boxX      = 7.4  // from box to box
	lastWide  = 26.0 // of the last answer
)

// round sets a line for each stop with a box for sound, something and not seen. Only
// what is due, or was found, is asked at length, since the rest is answered by a glance.
func (s *sheet) round(r *visit.Round) {
	s.deeper = contentSpare - footerLine - 0.8
	s.put(row{cells: []cell{s.para(0, s.full(), firstStyle, strings.Join(append(r.Told(), identity(r.Vehicle)), " "))}},
		s.room("Date", "Odometer", "By", "Topped up"))
	s.opened(r)
	for i := range r.Stages {
		st := &r.Stages[i]
		s.section(st.Title(), st.Cautions, ofStops(st))
		var stops [][]line
		for k := range st.Stops {
			stops = append(stops, s.stop(&st.Stops[k], r.On))
		}
		if i == 0 {
			s.hold(s.both(s.boxHeads(), s.boxHeads()))
		}
		s.columns(stops)
	}
	s.closing(r)
	s.typing(r)
}

// section sets a heading with its cautions, once and run together, first those that hold
// for all of it: they stand before whatever they guard.
func (s *sheet) section(title string, all, some []string) {
	s.hold(row{before: 1, above: lineRule, pad: 0.3, cells: []cell{s.para(0, s.full(), partStyle, title)}})
	w := s.column() - barText
	lines := append(s.text(firstStyle, w, strings.Join(all, " ")), s.text(detailStyle, w, strings.Join(some, " "))...)
	if len(lines) > 0 {
		half := (len(lines) + 1) / 2
		s.hold(row{pad: 0.4, cells: []cell{{w: w, bar: true, lines: lines[:half]},
			{x: s.column() + columnGap, w: w, bar: true, lines: lines[half:]}}}, row{pad: 0.6})
	}
}

// ofStops lists what is said at the stops of a stage, each once.
func ofStops(st *visit.Stage) []string {
	var out []string
	for _, stop := range st.Stops {
		out = append(out, stop.Cautions...)
		for _, c := range stop.Checks {
			if c.Caution != "" {
				out = append(out, c.Caution)
			}
		}
	}
	return out
}

// column is the width of one of two columns, mm.
func (s *sheet) column() float64 { return (s.full() - columnGap) / 2 }

// both is a row with lines at the left and at the right.
func (s *sheet) both(left, right []line) row {
	return row{cells: []cell{{w: s.column(), lines: left}, {x: s.column() + columnGap, w: s.column(), lines: right}}}
}

// columns sets blocks of lines in two columns of about the same height, down the left
// one and then the right one, page after page.
func (s *sheet) columns(blocks [][]line) {
	for len(blocks) > 0 {
		room := s.bottom() - s.y - height(s.held)
		n, left := len(blocks), 0
		for ; n > 0; n-- {
			best := 0.0
			for k := range n + 1 {
				h := max(tallOf(blocks[:k]), tallOf(blocks[k:n]))
				if k == 0 || h < best {
					left, best = k, h
				}
			}
			if best <= room {
				break
			}
		}
		if n == 0 || s.y > contentTop && n < min(4, len(blocks)) {
			s.turn()
			continue
		}
		s.put(s.both(slices.Concat(blocks[:left]...), slices.Concat(blocks[left:n]...)))
		blocks = blocks[n:]
	}
}

func tallOf(blocks [][]line) float64 {
	return tall(cell{lines: slices.Concat(blocks...)})
}

// opened lists what is opened for the round, in order, behind its cautions.
func (s *sheet) opened(r *visit.Round) {
	var cautions, names []string
	for _, o := range r.Open {
		for _, c := range o.Cautions {
			if !slices.Contains(cautions, c) {
				cautions = append(cautions, c)
			}
		}
		names = append(names, strings.Join(append([]string{o.Name}, minutes(o.Minutes)...), ", "))
	}
	if len(names) > 0 {
		s.section(openedHead, nil, cautions)
		s.put(row{cells: []cell{{w: s.full(), lines: s.ticks(detailStyle, s.full(), 35, names)}}})
	}
}

// boxHeads says what the boxes of a column stand for.
func (s *sheet) boxHeads() []line {
	var out []line
	for _, words := range [][3]string{{"", "some", "not"}, {"sound", "thing", "seen"}} {
		l := line{style: style{size: 7, lead: 2.6}}
		for i, word := range words {
			l.pieces = append(l.pieces, piece{dx: s.column() - float64(3-i)*boxX - 1, text: word})
		}
		out = append(out, l)
	}
	return out
}

// stop is the block of one stop: its line, ruled, and what is asked at length. A month without
// a year is of the last twelve.
func (s *sheet) stop(st *visit.Stop, today civil.Date) []line {
	boxes := s.column() - 3*boxX
	name := s.clip(st.Position.Name, stopStyle, boxes-lastWide-nameX-1)
	pieces := []piece{{write: s.column()}, {text: fmt.Sprint(st.N)}, {dx: nameX, text: name}}
	if f := st.Last(); f != nil {
		_, month, _ := strings.Cut(f.Date.Short(), " ")
		if f.Date.AddMonths(11).After(today) {
			month, _, _ = strings.Cut(month, " ")
		}
		on := ", " + month
		answer := s.clip(lastAnswer(st.Kind.Check(f.Check), f), stopStyle, lastWide-1-s.width(on, stopStyle))
		pieces = append(pieces, piece{dx: boxes - lastWide, text: answer + on})
	}
	for i := range 3 {
		if i > 0 || st.Glance != nil {
			pieces = append(pieces, piece{dx: boxes + boxX*float64(i), box: true})
		}
	}
	out := []line{{style: stopStyle, pieces: pieces}}
	for _, c := range st.Checks {
		if c.Detail {
			out = append(out, s.asked(st, c)...)
		}
	}
	return out
}

// asked is a check that is asked at length, with room for a figure or for the number of
// an answer.
func (s *sheet) asked(st *visit.Stop, c visit.CheckItem) []line {
	const room = 12.0
	words, wide := c.Question, s.column()-nameX
	if c.Last != nil {
		words += fmt.Sprintf(" Last: %s, %s.", lastAnswer(c.Check, c.Last), c.Last.Date.Short())
	}
	if c.Measured() {
		words = "(" + c.Unit + ") " + words
	}
	for i, a := range c.Answers {
		words += fmt.Sprintf(" %d\u00a0%s.", i+1, say.LowerFirst(strings.TrimRight(a.Say, ".")))
	}
	out := s.text(detailStyle, wide-room, words)
	for i := range out {
		out[i].pieces[0].dx = nameX + room
	}
	out[0].lead += 0.6 // clear of the rule above it
	out[0].pieces = append(out[0].pieces, piece{dx: nameX, text: fmt.Sprint(st.N, c.Letter)},
		piece{dx: nameX + 5, write: room - 6})
	return out
}

// closing says how what was opened is tightened, and what further openings would show.
func (s *sheet) closing(r *visit.Round) {
	var tight []string
	for _, q := range r.Torques {
		cols := slices.DeleteFunc(torqueRow(q, s.paper.Units), func(c string) bool { return c == "" })
		tight = append(tight, strings.Join(cols, ", ")+".")
	}
	s.plainly("Torques for refitting:", tight)
	var shut []string
	for _, h := range r.Hidden[:min(maxHidden, len(r.Hidden))] {
		names := make([]string, len(h.Positions))
		for i, p := range h.Positions {
			names[i] = say.LowerFirst(p.Name)
		}
		shut = append(shut, fmt.Sprintf("%s (%.0f min): %s.", h.Opening.Name, h.Minutes, say.Listing(names)))
	}
	s.plainly("What further openings would show:", shut)
}

// plainly sets sentences behind words that say what they are.
func (s *sheet) plainly(head string, sentences []string) {
	if len(sentences) > 0 {
		s.put(row{before: 1.2, above: hairRule, pad: 0.6,
			cells: []cell{s.para(0, s.full(), detailStyle, head+" "+strings.Join(sentences, " "))}})
	}
}

// typing says how the sheet is typed back, and leaves the rest of the page to write on.
func (s *sheet) typing(r *visit.Round) {
	var lines []line
	for _, words := range [][3]string{
		{"To type it back: these lines in a file round.yaml, then undertray findings", "vehicle: " + r.Vehicle.ID,
			"sound: 1-20 22"},
		{"round.yaml; with the numbers of stops that were sound, answers behind codes", "date: " + r.On.String(),
			"found:"},
		{"of checks, words behind numbers of stops, nothing for what was not seen.", "odometer:", "\u00a0\u00a021a: 3"},
		{"", "sheet: " + r.Code(), "\u00a0\u00a023: words about it"}} {
		l := line{style: detailStyle}
		for i, x := range []float64{0, 95, 140} {
			l.pieces = append(l.pieces, piece{dx: x, text: s.plain(words[i])})
		}
		lines = append(lines, l)
	}
	s.put(row{before: 1, above: hairRule, pad: 0.4, cells: []cell{{w: s.full(), lines: lines}}})
	for s.put(s.room("Something, by its number; anything else")); s.fits([]row{s.room("")}); {
		s.put(s.room(""))
	}
}

// room is blank in less height.
func (s *sheet) room(labels ...string) row {
	r := s.blank(0, labels...)
	r.cells[0].lines[0].lead = 8
	return r
}

func minutes(m float64) []string {
	if m <= 0 {
		return nil
	}
	return []string{fmt.Sprintf("%.0f min", m)}
}

// Where the columns of a numbered step begin and how wide they are, mm.
const (
	stepX     = 16.0
	asideWide = 24.0
)

// step returns the rows of a step: its cautions, then a tick box, its number,
// what to do, and words at the right-hand edge.
func (s *sheet) step(cautions []string, n, text string, aside []string) []row {
	rows := []row{{before: 1.6, above: hairRule, pad: 1.2}}
	rows = append(rows, s.cautions(stepX, cautions)...)
	right := cell{x: s.full() - asideWide, w: asideWide, right: true}
	for _, a := range aside {
		right.lines = append(right.lines, s.text(smallStyle, asideWide, a)...)
	}
	number := s.para(6, 8, strongStyle, n)
	number.right = true
	return append(rows, row{pad: 0.4, cells: []cell{
		{lines: []line{{style: bodyStyle, pieces: []piece{{box: true}}}}},
		number, s.para(stepX, s.full()-stepX-asideWide-tableGap, bodyStyle, text), right}})
}

// notes sets a heading and n lines to write on.
func (s *sheet) notes(head string, n int) {
	s.head(head)
	var rows []row
	for range n {
		rows = append(rows, s.blank(0, ""))
	}
	s.put(rows...)
}
