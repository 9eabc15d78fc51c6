package print

import (
	"fmt"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/along"
	"undertray.example/undertray/internal/plan/moves"
	"undertray.example/undertray/internal/say/told"
)

// Plan writes the visits of the months ahead, each with its tasks and why they
// stand there.
func (t *Text) Plan(p *plan.Plan) {
	if w := p.Trying(); w != nil {
		t.Line(w.Words())
	}
	t.Told(p.Told())
	if s := p.Summary(); s != "" {
		t.Line(s)
	}
	for _, s := range p.GivesWords() {
		t.Blank()
		t.Named("What gives:", 0, s)
	}
	t.planWishes(p)
	for i := range p.Visits {
		t.planVisit(p, &p.Visits[i])
	}
	t.planLooks(p)
	if len(p.Elsewhere) > 0 {
		t.Head("For a licensed workshop")
		for _, task := range p.Elsewhere {
			t.Item("- ", message.Of("%s: %s", task.Title(), task.Why().Sentence().LowerFirst()))
		}
	}
	if s := p.HiddenWords(); s != "" {
		t.Blank()
		t.Line(s)
	}
	if s := p.UnknownWords(); s != "" {
		t.Blank()
		t.Line(s)
	}
	t.Head("What this rests on")
	for _, s := range p.Assumes(t.prefs) {
		t.Item("- ", s)
	}
}

// YardPlan writes the visits of all vehicles, months down the page.
func (t *Text) YardPlan(y *plan.Yard) {
	t.Told(y.Told())
	t.Line(y.Summary())
	for _, s := range y.GivesWords() {
		t.Blank()
		t.Named("What gives:", 0, s)
	}
	for _, m := range y.Months() {
		t.Head(m.Name)
		for _, v := range m.Visits {
			t.Item(fmt.Sprintf("%2d  ", v.Visit.Date.Day), message.Of("%s: %s. %s. %s", v.Plan.Vehicle.Name,
				v.Visit.Does(), plan.TakesWords(v.Visit.Minutes, v.Visit.Money,
					v.Plan.Currency).Capital(), v.Visit.MainWords()))
		}
	}
	for _, p := range y.Plans {
		if len(p.Between)+len(p.Small) > 0 {
			t.Blank()
			t.Line(message.Of("%s, between visits:", p.Vehicle.Name))
			t.planBetween(p)
		}
	}
	t.Blank()
	if len(y.Plans) > 0 {
		first := y.Plans[0].Vehicle.ID
		t.Line(message.Of("The visits of one, with their reasons: %s", "undertray plan "+first))
		t.Line(message.Of("What to do at one of them: %s", "undertray job "+first+" --visit 1"))
	}
}

// planWishes lists what the owner has settled, what it costs and how to take
// it back.
func (t *Text) planWishes(p *plan.Plan) {
	head := false
	for i := range p.Wishes {
		w := &p.Wishes[i]
		if w.Entry == "" {
			continue
		}
		if !head {
			t.Head("Settled by you")
			head = true
		}
		t.Item("- ", w.Words())
		t.Item("  ", message.Of("take it back: %s", "undertray correct "+p.Vehicle.ID+" "+w.Short()+" --withdraw"))
	}
}

func (t *Text) planVisit(p *plan.Plan, v *plan.Visit) {
	t.Head(message.Of("%d  %s: %s", v.N, told.Long(v.Date), v.Does()))
	line := plan.TakesWords(v.Minutes, v.Money, p.Currency).Capital()
	if v.Minutes > 8*60 {
		line = message.Of("%s; take two days", line)
	}
	line = message.Of("%s.", line)
	if !v.Instead.IsZero() {
		line = message.Joined([]message.Text{line, v.InsteadWords()}, " ")
	}
	t.Line(line)
	for _, alike := range v.Alike() {
		do, task := message.Text("change"), alike[0]
		if task.Do != fleet.DoReplace {
			do = "look"
		}
		t.Named(do, 8, message.Of("%s: %s", alike.Title(), task.Why().Sentence().LowerFirst()))
		for _, f := range told.Names(task.First) {
			t.Item("        "+t.in(message.Text("First:"))+" ", f.Sentence())
		}
	}
	if s := v.RoundWords(); s != "" {
		t.Named("round", 8, s)
	}
	if len(v.Openings) > 0 {
		t.Named("Open:", 8, plan.OpenWords(v.Openings).Sentence())
	}
	if s := v.BuyWords(); s != "" {
		t.Named("Buy:", 8, message.Of("by %s: %s.", told.Long(v.BuyBy), s))
	}
}

func (t *Text) planLooks(p *plan.Plan) {
	if len(p.Between)+len(p.Small) == 0 {
		return
	}
	t.Head("Between visits")
	t.planBetween(p)
}

func (t *Text) planBetween(p *plan.Plan) {
	for _, s := range p.Small {
		t.Named("change", 8, message.Of("by %s, about %.0f min: %s. %s", told.Long(s.By), s.Task.Minutes,
			s.Task.Title().LowerFirst(), s.Task.Why().Sentence()))
	}
	for _, l := range p.Between {
		var parts []message.Text
		for _, task := range l.Tasks {
			parts = append(parts, message.Of("%s (%s)", task.Title().LowerFirst(), task.Why()))
		}
		line := message.Of("by %s, about %.0f min: %s.", told.Long(l.By), l.Minutes, message.Joined(parts, "; "))
		if len(l.Openings) > 0 {
			line = message.Of("%s Open: %s", line, plan.OpenWords(l.Openings).LowerFirst().Sentence())
		}
		t.Named("look", 8, line)
	}
}

// Also writes what else to change while one is in there.
func (t *Text) Also(a *along.Also) {
	t.Told(a.Told())
	if s := a.Together(); s != "" {
		t.Line(s)
	}
	t.Blank()
	t.Named("Open:", 8, plan.OpenWords(a.Open).Sentence())
	worth := len(a.Worth())
	for i, o := range a.Offers {
		if i == 0 && worth > 0 {
			t.Head("Cheaper now than later")
		}
		if i == worth {
			t.Head("Possible, but cheaper when due")
		}
		t.Item(fmt.Sprintf("%2d  ", i+1), message.Of("%s: %s", o.Judgement.Position.Name,
			o.Why().Sentence().LowerFirst()))
	}
	t.list("Look at, since it is open", len(a.Looks), func(i int) message.Text {
		return message.Is(a.Looks[i].Position.Name)
	})
}

// PlanSince writes what moved in the plan since an earlier day.
func (t *Text) PlanSince(day civil.Date, changes []moves.Change) {
	if len(changes) == 0 {
		t.Line(message.Of("Nothing in the plan has moved since %s.", told.Long(day)))
		return
	}
	t.Line(message.Of("%d of the plan's tasks moved since %s, or were done.", len(changes), told.Long(day)))
	t.planChanges(changes)
}

// PlanSinceLast writes what the entries recorded together last moved.
func (t *Text) PlanSinceLast(b moves.LastBatch, changes []moves.Change) {
	t.Line(b.ChangesWords(changes))
	if len(changes) > 0 {
		t.planChanges(changes)
	}
}

func (t *Text) planChanges(changes []moves.Change) {
	t.Blank()
	for _, c := range changes {
		t.Item("- ", message.Of("%s: %s.", c.Position.Name, c.Words()))
		for _, w := range c.Because() {
			t.Item("    ", w.Sentence())
		}
	}
}
