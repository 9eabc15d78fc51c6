package print

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
)

// The styles of a round sheet, which is dense: sixty positions go on two sides.
var (
	stopStyle   = style{size: 7, lead: 3.4}
	partStyle   = style{bold: true, size: 8.5, lead: 3.9} // heads a section
	detailStyle = style{size: 7, lead: 2.7}
	firstStyle  = style{bold: true, size: 7, lead: 2.7}
)

// Stops stand in two columns, this far apart, mm. Within one, a stop's number is
// followed by its name, by the last answer and by the boxes.
const (
	columnGap = 4.0
	nameX     = 4.4
	boxX      = 7.0  // from box to box
	leastSize = 5.0  // of letters, points
	lastWide  = 25.5 // of the last answer
)

// round sets a line for each stop with a box for sound, something and not seen. Only
// what is due, or was found, is asked at length, since the rest is answered by a glance.
func (s *sheet) round(r *visit.Round) {
	s.deeper = contentSpare - footerLine - 0.8
	s.put(row{cells: []cell{s.para(0, s.full(), firstStyle,
		message.Joined(append(told.Names(r.Told()), message.Name(identity(r.Vehicle))), " "))}},
		s.room("Date", "Odometer", "By", "Topped up"))
	sections := s.sections(r)
	w := warn(sections)
	for i, sec := range sections {
		if sec.list != nil {
			list := row{cells: []cell{{w: s.full(), lines: sec.list}}}
			s.begin(w, i, height([]row{list}))
			s.put(list)
			continue
		}
		first := s.both(nil, nil)
		if sec.first {
			first = s.both(s.boxHeads(), s.boxHeads())
		}
		n := min(fewestStops, len(sec.stops))
		_, high := halves(sec.stops[:n])
		s.begin(w, i, high+height([]row{first}))
		s.hold(first)
		s.columns(sec.stops)
	}
	s.closing(r)
	s.typing(r)
}

// section is a part of a round on paper: what is opened or closed, or a stage.
type section struct {
	title     message.Text
	all, some []string // cautions: of all of it, and of what is in it
	list      []line   // to be ticked
	stops     [][]line
	first     bool // stage, which says what boxes stand for
}

// sections lays the parts of a round out: each stage behind what is opened for it, and what
// is run behind all that is closed again.
func (s *sheet) sections(r *visit.Round) []section {
	var out []section
	list := func(title message.Text, opened []visit.Opened, words func(visit.Opened) message.Text) {
		sec := section{title: title}
		var names []message.Text
		for _, o := range opened {
			sec.some = append(sec.some, s.each(o.Cautions)...)
			names = append(names, words(o))
		}
		if len(names) > 0 {
			sec.list = s.ticks(detailStyle, s.full(), 35, names)
			out = append(out, sec)
		}
	}
	closed := func() {
		list(closedHead, r.Closing(), func(o visit.Opened) message.Text { return closedWords(o, s.paper.Units) })
	}
	for i := range r.Stages {
		st := &r.Stages[i]
		if i == r.ClosesBefore() {
			closed()
		}
		list(openedHead, st.Open, openedWords)
		sec := section{title: st.Title(), all: s.each(st.Cautions), some: s.each(ofStops(st)),
			first: i == 0}
		for k := range st.Stops {
			sec.stops = append(sec.stops, s.stop(&st.Stops[k], r.On))
		}
		out = append(out, sec)
	}
	if r.ClosesBefore() == len(r.Stages) {
		closed()
	}
	return out
}

// begin holds back the head of a section with its cautions, on a new side where it and
// as much as this of what follows have no room.
func (s *sheet) begin(w *warnings, n int, follows float64) {
	rows := s.warned(w, n)
	if s.y > contentTop && s.y+height(rows)+follows > s.bottom() {
		s.turn()
		rows = s.warned(w, n)
	}
	w.say(n, s.pdf.PageNo())
	s.hold(rows...)
}

// warned is the head of a section with its cautions run together, first those that hold
// for all of it: they stand before whatever they guard. One that stands further up on
// this side is only called by its letter.
func (s *sheet) warned(w *warnings, n int) []row {
	rows := []row{{before: 0.7, above: lineRule, pad: 0.2,
		cells: []cell{s.para(0, s.full(), partStyle, w.of[n].title)}}}
	all, some, above := w.before(n, s.pdf.PageNo())
	if above != "" {
		above = s.in(message.Of("As above: %s.", above)) + " "
	}
	if all != "" {
		all = above + all
	} else {
		some = above + some
	}
	wide := s.column() - barText
	lines := append(s.text(firstStyle, wide, all), s.text(detailStyle, wide, some)...)
	if len(lines) > 0 {
		half := (len(lines) + 1) / 2
		rows = append(rows, row{pad: 0.3, cells: []cell{{w: wide, bar: true, lines: lines[:half]},
			{x: s.column() + columnGap, w: wide, bar: true, lines: lines[half:]}}}, row{pad: 0.4})
	}
	return rows
}

// each is each of some cautions in the reader's language: in English each sentence, elsewhere whole, for how a sentence
// ends is a language's own.
func (s *sheet) each(cautions []string) (out []string) {
	for _, c := range told.Names(cautions) {
		if s.lang != nil {
			out = append(out, s.in(c))
			continue
		}
		for sentence := range strings.SplitAfterSeq(s.in(c), ". ") {
			if sentence = strings.TrimSpace(sentence); sentence != "" {
				out = append(out, sentence)
			}
		}
	}
	return out
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

// fewestStops is how many stops stand at least below the head of their section.
const fewestStops = 4

// columns sets blocks of lines in two columns of about the same height, down the left
// one and then the right one, page after page.
func (s *sheet) columns(blocks [][]line) {
	for begun := false; len(blocks) > 0; begun = true {
		room := s.bottom() - s.y - height(s.held)
		n, left := len(blocks), 0
		for ; n > 0; n-- {
			var high float64
			if left, high = halves(blocks[:n]); high <= room {
				break
			}
		}
		if n == 0 || s.y > contentTop && n < min(fewestStops, len(blocks)) {
			if s.turn(); begun {
				s.hold(row{cells: []cell{s.para(0, s.full(), detailStyle,
					message.Text("It goes on from the other side, where its cautions stand."))}})
			}
			continue
		}
		s.put(s.both(slices.Concat(blocks[:left]...), slices.Concat(blocks[left:n]...)))
		blocks = blocks[n:]
	}
}

// halves says how many blocks stand at the left, and how high both columns are then.
func halves(blocks [][]line) (left int, high float64) {
	for k := range len(blocks) + 1 {
		h := max(tallOf(blocks[:k]), tallOf(blocks[k:]))
		if k == 0 || h < high {
			left, high = k, h
		}
	}
	return left, high
}

func tallOf(blocks [][]line) float64 {
	return tall(cell{lines: slices.Concat(blocks...)})
}

// boxHeads says what the boxes of a column stand for.
// Where a language's words are longer, they stand in smaller letters, and in parts at the last.
func (s *sheet) boxHeads() []line {
	var out []line
	st := style{size: 7, lead: 2.6}
	for {
		out = nil
		whole := true
		for i, words := range [3]message.Text{"sound", "some thing", "not seen"} {
			x := s.column() - float64(3-i)*boxX - 1
			if i == 0 {
				x -= 0.7 // the widest word
			}
			lines := s.wrap(words, st, boxX)
			whole = whole && len(lines) <= len(strings.Fields(s.in(words)))
			for len(out) < len(lines) {
				out = append([]line{{style: st}}, out...)
			}
			for k, l := range lines {
				at := &out[len(out)-len(lines)+k]
				at.pieces = append(at.pieces, piece{dx: x, text: l})
			}
		}
		if whole || st.size <= leastSize {
			return out
		}
		st.size -= 0.5
	}
}

// stop is the block of one stop: its line, ruled, or two where its name or last answer is
// long, and what is asked at length. A month without a year is of the last twelve.
func (s *sheet) stop(st *visit.Stop, today civil.Date) []line {
	boxes := s.column() - 3*boxX
	out := []line{{style: stopStyle, pieces: []piece{{text: fmt.Sprint(st.N)}}}}
	at := func(x, w float64, lines int, words any) {
		for i, words := range s.upTo(lines, words, stopStyle, w) {
			if i == len(out) {
				out = append(out, line{style: style{size: stopStyle.size, lead: 2.6}})
			}
			out[i].pieces = append(out[i].pieces, piece{dx: x, text: words})
		}
	}
	f, name := st.Last(), boxes-nameX-1
	if f != nil {
		name -= lastWide
	}
	at(nameX, name, stopLines, st.Position.Name)
	if f != nil {
		month := told.ShortMonth(f.Date)
		if !f.Date.AddMonths(11).After(today) {
			month = message.Of("%s\u00a0’%02d", month, f.Date.Year%100)
		}
		lines, answer := stopLines, s.in(lastAnswer(st.Kind.Check(f.Check), f))
		in := s.plain(message.Of(",\u00a0%s", month))
		if slices.ContainsFunc(st.Checks, func(c visit.CheckItem) bool { return c.Detail && c.ID == f.Check }) {
			lines, answer = 1, s.most(answer, stopStyle, lastWide-0.5-s.width(in, stopStyle)) // whole below
		}
		at(boxes-lastWide, lastWide-0.5, lines, answer+in)
	}
	for i := range 3 {
		if i > 0 || st.Glance != nil {
			out[0].pieces = append(out[0].pieces, piece{dx: boxes + boxX*float64(i), box: true})
		}
	}
	last := &out[len(out)-1]
	last.pieces = append(last.pieces, piece{write: s.column()})
	if len(out) > 1 {
		last.lead += 0.4 // clear of the rule below it
	}
	for _, c := range st.Checks {
		if c.Detail {
			out = append(out, s.asked(st, c)...)
		}
	}
	return out
}

// stopLines is how many lines the name and the last answer of a stop may take.
const stopLines = 2

// most is as much of a text as stands in so much room, all of it in a language whose words are longer.
func (s *sheet) most(text any, st style, w float64) string {
	if s.lang != nil {
		return s.in(text)
	}
	return s.clip(text, st, w)
}

// upTo wraps text into so many lines at most, the last cut between words; in a language whose words are longer, into
// as many as it needs.
func (s *sheet) upTo(n int, text any, st style, w float64) []string {
	out := s.wrap(text, st, w)
	if len(out) > n && s.lang == nil {
		out = append(out[:n-1], s.clip(strings.Join(out[n-1:], " "), st, w))
	}
	return out
}

// asked is a check that is asked at length, with room for a figure or for the number of
// an answer.
func (s *sheet) asked(st *visit.Stop, c visit.CheckItem) []line {
	const room = 12.0
	words, wide := message.Is(c.Question), s.column()-nameX
	if c.Last != nil {
		words = message.Of("%s Last: %s, %s.", words, lastAnswer(c.Check, c.Last), told.Short(c.Last.Date))
	}
	if c.Measured() {
		words = message.Of("(%s) %s", c.Unit, words)
	}
	for i, a := range c.Answers {
		words = message.Of("%s %d\u00a0%s.", words, i+1, message.Is(a.Say).Open().LowerFirst())
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

// closing says what further openings would show.
func (s *sheet) closing(r *visit.Round) {
	var shut []message.Text
	for _, h := range r.Hidden[:min(maxHidden, len(r.Hidden))] {
		names := make([]message.Text, len(h.Positions))
		for i, p := range h.Positions {
			names[i] = message.Is(p.Name).LowerFirst()
		}
		shut = append(shut, message.Of("%s (%.0f min): %s.", h.Opening.Name, h.Minutes, told.Listing(names)))
	}
	s.plainly("What further openings would show:", shut)
}

// plainly sets sentences behind words that say what they are.
func (s *sheet) plainly(head message.Text, sentences []message.Text) {
	if len(sentences) > 0 {
		s.put(row{before: 1.2, above: hairRule, pad: 0.6,
			cells: []cell{s.para(0, s.full(), detailStyle,
				message.Joined(append([]message.Text{head}, sentences...), " "))}})
	}
}

// typing says how the sheet is typed back, and leaves the rest of the page to write on.
func (s *sheet) typing(r *visit.Round) {
	lines := s.text(detailStyle, 82, message.Of("To type it back: these lines in a file %s, then %s; numbers of stops "+
		"that were sound, answers behind codes of checks, words behind numbers of stops, nothing if not seen.",
		"round.yaml", "undertray findings round.yaml"))
	for n, typed := range [][3]string{{"sheet: " + r.Code()}, {"vehicle: " + r.Vehicle.ID, "sound: 1-20 22", "found:"},
		{"date: " + r.On.String(), "odometer:", "\u00a0\u00a021a: 3"}} {
		if n == len(lines) {
			lines = append(lines, line{style: detailStyle})
		}
		for i, x := range []float64{84, 115, 145} {
			lines[n].pieces = append(lines[n].pieces, piece{dx: x, text: s.plain(typed[i])})
		}
	}
	s.put(row{before: 1, above: hairRule, pad: 0.4, cells: []cell{{w: s.full(), lines: lines}}})
	for s.put(s.room("Something, by its number; anything else")); s.fits([]row{s.room("")}); {
		s.put(s.room(""))
	}
}

// room is blank in less height.
func (s *sheet) room(labels ...message.Text) row {
	r := s.blank(0, labels...)
	r.cells[0].lines[0].lead = 8
	return r
}

func minutes(m float64) []message.Text {
	if m <= 0 {
		return nil
	}
	return []message.Text{message.Of("%.0f min", m)}
}

// Where the columns of a numbered step begin and how wide they are, mm.
const (
	stepX     = 16.0
	asideWide = 24.0
)

// step returns the rows of a step: its cautions, then a tick box, its number,
// what to do, and words at the right-hand edge.
func (s *sheet) step(cautions []message.Text, n string, text message.Text, aside []message.Text) []row {
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
func (s *sheet) notes(head message.Text, n int) {
	s.head(head)
	var rows []row
	for range n {
		rows = append(rows, s.blank(0, ""))
	}
	s.put(rows...)
}
