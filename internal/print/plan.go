package print

import (
	"fmt"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/along"
	"undertray.example/undertray/internal/plan/moves"
	"undertray.example/undertray/internal/say"
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
		t.Item("What gives: ", s)
	}
	t.planWishes(p)
	for i := range p.Visits {
		t.planVisit(p, &p.Visits[i])
	}
	t.planLooks(p)
	if len(p.Elsewhere) > 0 {
		t.Head("For a licensed workshop")
		for _, task := range p.Elsewhere {
			t.Item("- ", task.Title()+": "+say.LowerFirst(say.Sentence(task.Why())))
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
		t.Item("What gives: ", s)
	}
	for _, m := range y.Months() {
		t.Head(m.Name)
		for _, v := range m.Visits {
			line := fmt.Sprintf("%s: %s. %s", v.Plan.Vehicle.Name, v.Visit.Does(),
				say.Capital(plan.TakesWords(v.Visit.Minutes, v.Visit.Money, v.Plan.Currency)))
			t.Item(fmt.Sprintf("%2d  ", v.Visit.Date.Day), line+". "+v.Visit.MainWords())
		}
	}
	for _, p := range y.Plans {
		if len(p.Between)+len(p.Small) > 0 {
			t.Blank()
			t.Line(p.Vehicle.Name + ", between visits:")
			t.planBetween(p)
		}
	}
	t.Blank()
	if len(y.Plans) > 0 {
		first := y.Plans[0].Vehicle.ID
		t.Line("The visits of one, with their reasons: undertray plan " + first)
		t.Line("What to do at one of them: undertray job " + first + " --visit 1")
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
		t.Item("  ", fmt.Sprintf("take it back: undertray correct %s %s --withdraw", p.Vehicle.ID, w.Short()))
	}
}

func (t *Text) planVisit(p *plan.Plan, v *plan.Visit) {
	t.Head(fmt.Sprintf("%d  %s: %s", v.N, v.Date.Long(), v.Does()))
	line := say.Capital(plan.TakesWords(v.Minutes, v.Money, p.Currency))
	if v.Minutes > 8*60 {
		line += "; take two days"
	}
	line += "."
	if !v.Instead.IsZero() {
		line += " " + v.InsteadWords()
	}
	t.Line(line)
	for _, alike := range v.Alike() {
		do, task := "change", alike[0]
		if task.Do != fleet.DoReplace {
			do = "look"
		}
		t.Item(fmt.Sprintf("%-7s ", do), alike.Title()+": "+say.LowerFirst(say.Sentence(task.Why())))
		for _, f := range task.First {
			t.Item("        First: ", say.Sentence(f))
		}
	}
	if s := v.RoundWords(); s != "" {
		t.Item("round   ", s)
	}
	if len(v.Openings) > 0 {
		t.Item("Open:   ", say.Sentence(plan.OpenWords(v.Openings)))
	}
	if s := v.BuyWords(); s != "" {
		t.Item("Buy:    ", fmt.Sprintf("by %s: %s.", v.BuyBy.Long(), s))
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
		t.Item("change  ", fmt.Sprintf("by %s, about %.0f min: %s. %s", s.By.Long(), s.Task.Minutes,
			say.LowerFirst(s.Task.Title()), say.Sentence(s.Task.Why())))
	}
	for _, l := range p.Between {
		var parts []string
		for _, task := range l.Tasks {
			parts = append(parts, say.LowerFirst(task.Title())+" ("+task.Why()+")")
		}
		line := fmt.Sprintf("by %s, about %.0f min: %s.", l.By.Long(), l.Minutes, strings.Join(parts, "; "))
		if len(l.Openings) > 0 {
			line += " Open: " + say.Sentence(say.LowerFirst(plan.OpenWords(l.Openings)))
		}
		t.Item("look    ", line)
	}
}

// Also writes what else to change while one is in there.
func (t *Text) Also(a *along.Also) {
	t.Told(a.Told())
	if s := a.Together(); s != "" {
		t.Line(s)
	}
	t.Blank()
	t.Item("Open:   ", say.Sentence(plan.OpenWords(a.Open)))
	worth := len(a.Worth())
	for i, o := range a.Offers {
		if i == 0 && worth > 0 {
			t.Head("Cheaper now than later")
		}
		if i == worth {
			t.Head("Possible, but cheaper when due")
		}
		t.Item(fmt.Sprintf("%2d  ", i+1), o.Judgement.Position.Name+": "+say.LowerFirst(say.Sentence(o.Why())))
	}
	t.list("Look at, since it is open", len(a.Looks), func(i int) string { return a.Looks[i].Position.Name })
}

// PlanSince writes what moved in the plan since an earlier day.
func (t *Text) PlanSince(day civil.Date, changes []moves.Change) {
	if len(changes) == 0 {
		t.Line("Nothing in the plan has moved since " + day.Long() + ".")
		return
	}
	t.Line(fmt.Sprintf("%d of the plan's tasks moved since %s, or were done.", len(changes), day.Long()))
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
		t.Item("- ", c.Position.Name+": "+c.Words()+".")
		for _, w := range c.Because() {
			t.Item("    ", say.Sentence(w))
		}
	}
}
