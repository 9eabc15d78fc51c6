package print

import (
	"io"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/say/told"
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
		var rows [][]any
		for _, v := range m.Visits {
			rows = append(rows, []any{"", told.Long(v.Visit.Date), v.Plan.Vehicle.Name,
				message.Of("%s, %s. %s", v.Visit.Does().Capital(),
					plan.TakesWords(v.Visit.Minutes, v.Visit.Money, v.Plan.Currency),
					v.Visit.MainWords())})
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
func (s *sheet) planHead(summary message.Text, gives []message.Text) {
	s.put(row{pad: 1, cells: []cell{s.para(0, s.full(), bodyStyle, summary)}})
	for _, g := range gives {
		s.put(s.caution(0, message.Of("What gives: %s", g)))
	}
}

// visit sets one visit of a plan.
func (s *sheet) visit(p *plan.Plan, v *plan.Visit) {
	s.head(message.Of("%s: %s", told.Long(v.Date), v.Does()))
	words := plan.TakesWords(v.Minutes, v.Money, p.Currency).Sentence()
	if !v.Instead.IsZero() {
		words = message.Joined([]message.Text{words, v.InsteadWords()}, " ")
	}
	s.put(row{pad: 0.6, cells: []cell{s.para(0, s.full(), bodyStyle, words)}})
	var rows [][]any
	for _, t := range v.Rows() {
		why := t.Words.Sentence()
		for _, f := range told.Names(t.First) {
			why = message.Of("%s First: %s", why, f.Sentence())
		}
		rows = append(rows, []any{"", t.Task.Title(), t.Task.DoWords(), why})
	}
	if r := v.RoundWords(); r != "" {
		rows = append(rows, []any{"", message.Text("Round"), message.Text("do"), r})
	}
	s.table([]tableColumn{{tick: true, w: boxSide + 0.5}, {head: "Position", w: 46}, {head: "Do", w: 20},
		{head: "Why then"}}, rows)
	if len(v.Openings) > 0 {
		s.put(row{pad: 0.8, cells: []cell{s.para(0, s.full(), smallStyle,
			message.Of("Open: %s", plan.OpenWords(v.Openings).Sentence()))}})
	}
	if b := v.BuyWords(); b != "" {
		s.put(row{pad: 0.8, cells: []cell{s.para(0, s.full(), smallStyle,
			message.Of("Buy by %s: %s.", told.Long(v.BuyBy), b))}})
	}
}

// betweenRow is what is done by a day between visits.
func betweenRow(by civil.Date, t plan.Task) []any {
	return []any{"", message.Of("by %s", told.Long(by)), t.DoWords(),
		message.Of("%s. %s", t.Title(), t.Why().Sentence())}
}

// betweenVisits sets what is looked at or quickly changed between visits.
func (s *sheet) betweenVisits(p *plan.Plan) {
	var rows [][]any
	for _, l := range p.Between {
		for _, t := range l.Tasks {
			rows = append(rows, betweenRow(l.By, t))
		}
	}
	for _, q := range p.Small {
		rows = append(rows, betweenRow(q.By, q.Task))
	}
	if len(rows) == 0 {
		return
	}
	s.head(message.Of("%s, between visits", p.Vehicle.Name))
	s.table([]tableColumn{{tick: true, w: boxSide + 0.5}, {head: "When", w: 42}, {head: "Do", w: 20},
		{head: "What"}}, rows)
}
