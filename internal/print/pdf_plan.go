package print

import (
	"fmt"
	"io"

	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/say"
)

// Plan writes the visits of the months ahead of one vehicle: what is done at
// each, why then, what to open and what to have by when.
func (p Paper) Plan(w io.Writer, plan *plan.Plan) error {
	s := p.sheet("Plan", plan.Vehicle, plan.On)
	s.told(plan.Told(), plan.Vehicle)
	s.planHead(plan.Summary(), plan.GivesWords())
	for i := range plan.Visits {
		s.visit(plan, &plan.Visits[i])
	}
	s.betweenVisits(plan)
	return s.writeTo(w)
}

// YardPlan writes the visits of all vehicles by day, and what to do between
// them.
func (p Paper) YardPlan(w io.Writer, y *plan.Yard) error {
	s := newSheet(p, frame{vehicle: "All vehicles", title: "Plan", on: y.On})
	s.told(y.Told(), nil)
	s.planHead(y.Summary(), y.GivesWords())
	for _, m := range y.Months() {
		s.head(m.Name)
		var rows [][]string
		for _, v := range m.Visits {
			rows = append(rows, []string{"", v.Visit.Date.Long(), v.Plan.Vehicle.Name,
				say.Capital(v.Visit.Does()) + ", " + plan.TakesWords(v.Visit.Minutes, v.Visit.Money,
					v.Plan.Currency) + ". " + v.Visit.MainWords()})
		}
		s.table([]tableColumn{{tick: true, w: boxSide + 0.5}, {head: "Day", w: 36}, {head: "Vehicle", w: 26},
			{head: "What"}}, rows)
	}
	for _, plan := range y.Plans {
		s.betweenVisits(plan)
	}
	return s.writeTo(w)
}

// planHead sets what a plan comes to, and what gives.
func (s *sheet) planHead(summary string, gives []string) {
	s.put(row{pad: 1, cells: []cell{s.para(0, s.full(), bodyStyle, summary)}})
	for _, g := range gives {
		s.put(s.caution(0, "What gives: "+g))
	}
}

// visit sets one visit of a plan.
func (s *sheet) visit(p *plan.Plan, v *plan.Visit) {
	s.head(fmt.Sprintf("%s: %s", v.Date.Long(), v.Does()))
	words := say.Capital(plan.TakesWords(v.Minutes, v.Money, p.Currency)) + "."
	if !v.Instead.IsZero() {
		words += " " + v.InsteadWords()
	}
	s.put(row{pad: 0.6, cells: []cell{s.para(0, s.full(), bodyStyle, words)}})
	var rows [][]string
	for _, t := range v.Rows() {
		why := say.Sentence(t.Words)
		for _, f := range t.First {
			why += " First: " + say.Sentence(f)
		}
		rows = append(rows, []string{"", t.Task.Title(), t.Task.DoWords(), why})
	}
	if r := v.RoundWords(); r != "" {
		rows = append(rows, []string{"", "Round", "do", r})
	}
	s.table([]tableColumn{{tick: true, w: boxSide + 0.5}, {head: "Position", w: 46}, {head: "Do", w: 20},
		{head: "Why then"}}, rows)
	if len(v.Openings) > 0 {
		s.put(row{pad: 0.8, cells: []cell{s.para(0, s.full(), smallStyle,
			"Open: "+say.Sentence(plan.OpenWords(v.Openings)))}})
	}
	if b := v.BuyWords(); b != "" {
		s.put(row{pad: 0.8, cells: []cell{s.para(0, s.full(), smallStyle,
			fmt.Sprintf("Buy by %s: %s.", v.BuyBy.Long(), b))}})
	}
}

// betweenVisits sets what is looked at or quickly changed between visits.
func (s *sheet) betweenVisits(p *plan.Plan) {
	var rows [][]string
	for _, l := range p.Between {
		for _, t := range l.Tasks {
			rows = append(rows, []string{"", "by " + l.By.Long(), t.DoWords(),
				t.Title() + ". " + say.Sentence(t.Why())})
		}
	}
	for _, q := range p.Small {
		rows = append(rows, []string{"", "by " + q.By.Long(), q.Task.DoWords(),
			q.Task.Title() + ". " + say.Sentence(q.Task.Why())})
	}
	if len(rows) == 0 {
		return
	}
	s.head(p.Vehicle.Name + ", between visits")
	s.table([]tableColumn{{tick: true, w: boxSide + 0.5}, {head: "When", w: 42}, {head: "Do", w: 20},
		{head: "What"}}, rows)
}
