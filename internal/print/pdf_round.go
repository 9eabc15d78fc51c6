package print

import (
	"fmt"
	"slices"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/say"
	"undertray/internal/visit"
)

// Where positions and questions begin, mm from the left margin; at their left
// stand the number and the sense.
const stopX = 16.0

// Answers take this share of the width, in this many columns.
const (
	answerShare   = 0.52
	answerColumns = 2
)

func (s *sheet) round(r *visit.Round) {
	s.told(r.Told(), r.Vehicle)
	s.put(s.blank(0, "Date", "Odometer", "By"), s.blank(0, "Top-ups since last time"), row{pad: 2})
	s.opened(r.Open)
	for _, st := range r.Stages {
		s.head(st.Title())
		s.hold(s.cautions(0, st.Cautions)...)
		for _, stop := range st.Stops {
			s.stop(stop)
		}
	}
	s.torques(r.Torques)
	s.hidden(r)
	s.notes("Anything else seen, felt, heard or smelled", 4)
}

// opened lists what is opened for the round, each behind its cautions. The
// order is the sheet's, not one to work in, so nothing is numbered.
func (s *sheet) opened(open []*fleet.Opening) {
	if len(open) == 0 {
		return
	}
	s.head(openedHead)
	var said []string
	for _, o := range open {
		fresh := slices.DeleteFunc(slices.Clone(o.Cautions), func(c string) bool { return slices.Contains(said, c) })
		s.put(s.step(fresh, "", o.Name, minutes(o.Minutes))...)
		said = append(said, fresh...)
	}
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

// stop sets one position with its checks. Its name stands again where its
// checks go on over the page.
func (s *sheet) stop(st visit.Stop) {
	s.hold(s.stopHead(st, "")...)
	s.hold(s.cautions(stopX, st.Cautions)...)
	for _, c := range st.Checks {
		s.put(s.check(c)...)
		s.repeat = s.stopHead(st, ", continued")
	}
	s.put(s.blank(stopX, "Note"), row{pad: 1})
	s.repeat = nil
}

func (s *sheet) stopHead(st visit.Stop, more string) []row {
	number := s.para(0, stopX, strongStyle, fmt.Sprint(st.N))
	name := s.para(stopX, s.full()-stopX, strongStyle, st.Position.Name+more)
	if st.Position.Where != "" && more == "" {
		name.lines = append(name.lines, s.text(smallStyle, name.w, say.Capital(st.Position.Where))...)
	}
	return []row{{before: 2.6, above: lineRule, pad: 1.2, cells: []cell{number, name}}}
}

// check returns the rows of a check: its caution first, then the question at
// the left and the boxes to tick, or the line to write on, at the right.
func (s *sheet) check(c visit.CheckItem) []row {
	right := s.full() * answerShare
	ask := s.full() - right - stopX - tableGap
	rows := []row{{before: 1.4, above: hairRule, pad: 1}}
	if c.Caution != "" {
		rows = append(rows, s.cautions(stopX, []string{c.Caution})...)
	}
	question := s.para(stopX, ask, bodyStyle, c.Question)
	question.lines = append(question.lines, s.text(smallStyle, ask, c.How)...)
	answers := cell{x: s.full() - right, w: right, lines: s.answers(c, right)}
	if c.Last != nil {
		under := &question
		if tall(answers) < tall(question) {
			under = &answers
		}
		last := fmt.Sprintf("Last time: %s, %s", strings.TrimRight(lastAnswer(c.Check, c), "."), c.Last.Date.Short())
		under.lines = append(under.lines, line{style: style{size: smallStyle.size, lead: 0.8}})
		under.lines = append(under.lines, s.text(smallStyle, under.w, last)...)
	}
	return append(rows, row{cells: []cell{s.para(0, stopX-2, smallStyle, c.Sense), question, answers}})
}

func (s *sheet) answers(c visit.CheckItem, w float64) []line {
	if c.Measured() {
		const long = 36
		return []line{{style: style{size: bodyStyle.size, lead: 9},
			pieces: []piece{{write: long}, {dx: long + 2, text: s.plain(c.Unit)}}}}
	}
	says := make([]string, len(c.Answers))
	for i, a := range c.Answers {
		says[i] = strings.TrimRight(a.Say, ".")
	}
	return s.ticks(w, answerColumns, says)
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

// hidden lists what openings that stay shut would show.
func (s *sheet) hidden(r *visit.Round) {
	var rows [][]string
	for _, h := range r.Hidden[:min(maxHidden, len(r.Hidden))] {
		names := make([]string, len(h.Positions))
		for i, p := range h.Positions {
			names[i] = p.Name
		}
		rows = append(rows, []string{h.Opening.Name, fmt.Sprintf("%.0f min", h.Minutes), say.Listing(names)})
	}
	if len(rows) == 0 {
		return
	}
	s.head("What further openings would show")
	s.table([]tableColumn{{head: "Opening", w: 58}, {head: "Takes", w: 16, right: true}, {head: "Shows"}}, rows)
}
