package print

import (
	"fmt"
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/buying"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
)

func (s *sheet) job(j *visit.Job) {
	s.told(told.Names(j.Told()), j.Vehicle)
	s.whatFor(j)
	s.parts(j)
	s.tools(j)
	s.tickBlock(LookUpHead, lookUpWords(j.LookUps()))
	s.steps(j)
	s.tickBlock(visit.ExposedHead, told.Names(j.ExposedWords()))
	s.torques(j.Torques)
	if len(j.Steps) > 0 {
		s.notes("Found on the way", 5)
		s.put(s.blank(0, "Done on", "Odometer", "By"))
	}
}

// partsList is what to buy and have ready, on a sheet of its own.
func (s *sheet) partsList(j *visit.Job) {
	s.title(partsHeadline(j), j.Vehicle)
	s.parts(j)
	s.notes("Ordered from, and when", 4)
}

func (s *sheet) whatFor(j *visit.Job) {
	var rows [][]any
	add := func(of []visit.Task, do message.Text) {
		rows = append(rows, []any{visit.Titles(of), do, of[0].Why().Sentence()})
	}
	for _, of := range j.Alike() {
		add(of, visit.Does(of))
	}
	for _, t := range j.Elsewhere {
		add([]visit.Task{t}, "licensed workshop; not to be opened at home")
	}
	if j.RoundWords() != "" {
		rows = append(rows, []any{message.Text("Round"), message.Text("do"), j.RoundWords()})
	}
	if len(rows) == 0 {
		return
	}
	s.head("What for")
	s.table([]tableColumn{{head: "Position", w: 52}, {head: "Do", w: 24}, {head: "Why"}}, rows)
}

// parts lists what to buy with what it is for and costs, the sum, and what else
// to bear in mind.
func (s *sheet) parts(j *visit.Job) {
	s.partsUnder("Parts and what else to have ready", j)
	s.tickBlock("Bear in mind with these parts", told.Names(j.Bear))
}

// shopping is what a plan buys, by the day by which it is ordered.
func (s *sheet) shopping(list *buying.Shopping) {
	s.told(told.Names(list.Told()), list.Vehicle)
	for i := range list.Lots {
		s.partsUnder(list.Title(&list.Lots[i]), list.Lots[i].Job)
		if had := list.Lots[i].HadWords(); had != "" {
			s.put(row{before: 1, cells: []cell{s.para(0, s.full(), smallStyle, had)}})
		}
	}
	s.notes("Ordered from, and when", 4)
}

// partsUnder lists what to buy and have ready under a heading, with the sum.
func (s *sheet) partsUnder(head message.Text, j *visit.Job) {
	var rows [][]any
	for _, r := range buyRows(j, s.paper.Units) {
		rows = append(rows, []any{"", r.much, r.what, r.number, r.use, r.cost})
	}
	if len(rows) == 0 {
		return
	}
	s.head(head)
	s.table([]tableColumn{{tick: true, w: boxSide + 0.5}, {head: "No.", w: 11, right: true}, {head: "Part"},
		{head: "Number", w: 27}, {head: "For", w: 38}, {head: "Cost", w: 25, right: true}}, rows)
	if total := j.Cost(); total != "" {
		sum := s.para(0, s.full(), strongStyle, message.Of("Together about %s, where a cost is known.", total))
		sum.right = true
		s.put(row{above: lineRule, pad: 1, cells: []cell{sum}})
	}
}

// tools lists the tools, each with a box.
func (s *sheet) tools(j *visit.Job) {
	tools := told.Names(j.Tools)
	for i := range tools {
		tools[i] = tools[i].Capital()
	}
	s.tickBlock("Tools", tools)
}

// steps sets the numbered steps, and says where one goes under the vehicle or
// comes out. Cautions that stand before the step above and
// still hold are not said again, unless the page has been turned since.
func (s *sheet) steps(j *visit.Job) {
	if len(j.Steps) == 0 {
		return
	}
	s.head("Steps")
	var said []message.Text
	var side fleet.Side
	for i := range j.Steps {
		step := &j.Steps[i]
		if step.From != "" && step.From != side {
			side = step.From
			s.hold(row{before: 2.4, above: lineRule, pad: 1.2,
				cells: []cell{s.para(stepX, s.full()-stepX, strongStyle, message.Of("From %s", message.Text(side)))}})
		}
		rows := s.jobStep(step, said)
		if !s.fits(append(slices.Clone(s.held), rows...)) {
			rows = s.jobStep(step, nil)
		}
		s.put(rows...)
		said = saidBefore(j, i+1)
	}
}

func (s *sheet) jobStep(st *visit.Step, said []message.Text) []row {
	var cautions []message.Text
	for _, c := range told.Names(st.Before()) {
		if !slices.Contains(said, c) {
			cautions = append(cautions, c)
		}
	}
	aside := minutes(st.Minutes)
	if len(aside) > 0 {
		aside[0] = message.Of("%.0f min%s", st.Minutes, st.YoursWords())
	}
	if st.Engine != "" {
		aside = append(aside, message.Of("engine %s", message.Text(st.Engine)))
	}
	rows := s.step(cautions, fmt.Sprint(st.N), st.Words(), aside)
	rows = append(rows, s.tighten(st.Torques)...)
	if f := st.MakersFigure(); f != "" {
		rows = append(rows, row{cells: []cell{s.para(stepX, s.full()-stepX-asideWide-tableGap, smallStyle, f)}})
	}
	if st.Kind == visit.StepLook {
		rows = append(rows, s.blank(stepX, "Found"), row{pad: 1.6})
	}
	return rows
}

// tighten says below a step how tight its fasteners are.
func (s *sheet) tighten(torques []visit.Torque) []row {
	var rows []row
	for _, q := range torques {
		cols := torqueRow(q, s.paper.Units)
		words := message.Of("Tighten: %s, %s", cols[1], cols[3])
		if q.Count > 1 {
			words = message.Of("Tighten: %s, %d of them, %s each", cols[1], q.Count, cols[3])
		}
		if cols[4] != message.Text("") {
			words = message.Of("%s; %s", words, cols[4])
		}
		rows = append(rows, row{cells: []cell{s.para(stepX, s.full()-stepX-asideWide-tableGap, smallStyle, words)}})
	}
	return rows
}

func (s *sheet) torques(all []visit.Torque) {
	if len(all) == 0 {
		return
	}
	s.head("Torques for refitting")
	var rows [][]any
	for _, q := range all {
		rows = append(rows, append([]any{""}, torqueRow(q, s.paper.Units)...))
	}
	s.table([]tableColumn{{tick: true, w: boxSide + 0.5}, {head: "Where"}, {head: "Fastener", w: 42},
		{head: "No.", w: 9, right: true}, {head: "Torque", w: 22, right: true}, {head: "Note", w: 28}}, rows)
}
