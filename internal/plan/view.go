package plan

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// View is a plan in JSON.
type View struct {
	Vehicle     string         `json:"vehicle"`
	On          civil.Date     `json:"on"`
	Until       civil.Date     `json:"until"`
	Headline    message.Text   `json:"headline"`
	More        message.Text   `json:"more,omitempty"`
	Summary     message.Text   `json:"summary,omitempty"`
	Visits      []VisitView    `json:"visits"`
	Between     []BetweenView  `json:"between_visits,omitempty"`
	Elsewhere   []TaskView     `json:"licensed_workshop,omitempty"`
	Unknown     []string       `json:"left_out_as_unknown,omitempty"`
	Rough       []string       `json:"looked_at_in_place_of_a_guess,omitempty"` // of unknown age, found sound
	Hidden      []string       `json:"not_looked_at,omitempty"`
	Gives       []message.Text `json:"what_gives,omitempty"`
	GiveReasons []why.GiveView `json:"what_gives_reasons,omitempty"`
	Waits       []string       `json:"due_but_waits,omitempty"` // positions, or round, left to a visit after the plan
	Wishes      []why.WishView `json:"settled,omitempty"`
	Money       float64        `json:"money"`
	Currency    string         `json:"currency,omitempty"`
	Hours       float64        `json:"hours"`
	Cost        float64        `json:"cost_minimised"`
	Bound       float64        `json:"no_plan_costs_less_than"`
	Proof       message.Text   `json:"proof"`
	RestsOn     []message.Text `json:"rests_on"`
}

// VisitView is a visit of a plan in JSON.
type VisitView struct {
	N         int              `json:"n"`
	Date      civil.Date       `json:"date"`
	Does      message.Text     `json:"does"`
	OilChange bool             `json:"oil_change,omitempty"`
	Instead   message.Text     `json:"by_itself,omitempty"`
	Round     int              `json:"round_positions,omitempty"`
	Tasks     []TaskView       `json:"tasks"`
	Further   []string         `json:"look_at_too,omitempty"`
	Openings  []string         `json:"openings,omitempty"`
	Minutes   float64          `json:"minutes"`
	Money     float64          `json:"money"`
	BuyBy     civil.Date       `json:"buy_by,omitzero"`
	Buy       []visit.PartView `json:"buy,omitempty"`
}

// TaskView is a task of a plan in JSON.
type TaskView struct {
	Position string         `json:"position"`
	Do       string         `json:"do"`
	Why      message.Text   `json:"why"`
	Reason   why.ReasonView `json:"reason"`
	Due      civil.Date     `json:"due,omitzero"`
	First    []string       `json:"first,omitempty"`
	Minutes  float64        `json:"minutes,omitempty"`
	Money    float64        `json:"money,omitempty"`
}

// BetweenView is what is done between visits, in JSON.
type BetweenView struct {
	By       civil.Date `json:"by"`
	Tasks    []TaskView `json:"tasks"`
	Openings []string   `json:"openings,omitempty"`
	Minutes  float64    `json:"minutes"`
}

// View returns the plan in JSON's form.
func (p *Plan) View(prefs units.Preferences) View {
	v := View{Vehicle: p.Vehicle.ID, On: p.On, Until: p.End, Headline: p.Headline(), More: told.Rest(p.Told()),
		Summary: p.Summary(), Gives: p.GivesWords(), GiveReasons: why.GiveViews(p.Gives), Visits: []VisitView{},
		Money: p.Money, Currency: p.Currency, Hours: p.Minutes / 60, Cost: p.Score, Bound: p.Bound, Proof: p.Proof(),
		RestsOn: p.Assumes(prefs)}
	for i := range p.Visits {
		v.Visits = append(v.Visits, p.Visits[i].view())
	}
	for i := range p.Wishes {
		v.Wishes = append(v.Wishes, p.Wishes[i].View())
	}
	for _, l := range p.Between {
		v.Between = append(v.Between, BetweenView{By: l.By, Tasks: taskViews(l.Tasks), Openings: openingIDs(l.Openings),
			Minutes: l.Minutes})
	}
	for _, s := range p.Small {
		v.Between = append(v.Between, BetweenView{By: s.By, Tasks: taskViews([]Task{s.Task}), Minutes: s.Task.Minutes})
	}
	v.Elsewhere = taskViews(p.Elsewhere)
	for _, j := range p.Rough {
		v.Rough = append(v.Rough, j.Position.ID)
	}
	for _, j := range p.Unknown {
		v.Unknown = append(v.Unknown, j.Position.ID)
	}
	for _, j := range p.Hidden {
		v.Hidden = append(v.Hidden, j.Position.ID)
	}
	for i := range p.Waits {
		v.Waits = append(v.Waits, p.Waits[i].Place())
	}
	return v
}

func (v *Visit) view() VisitView {
	out := VisitView{N: v.N, Date: v.Date, Does: v.Does(), OilChange: v.OilChange, Instead: v.InsteadWords(),
		Round: len(v.RoundSees), Tasks: taskViews(v.Tasks),
		Openings: openingIDs(v.Openings), Minutes: v.Minutes, Money: v.Money}
	for _, p := range v.Further {
		out.Further = append(out.Further, p.ID)
	}
	if out.Buy = visit.PartViews(v.Buy); len(out.Buy) > 0 {
		out.BuyBy = v.BuyBy
	}
	return out
}

func taskViews(ts []Task) []TaskView {
	var out []TaskView
	for i := range ts {
		t := &ts[i]
		for _, p := range t.Positions {
			out = append(out, TaskView{Position: p.ID, Do: t.Do, Why: t.Why(), Reason: t.Reason.View(), Due: t.Due,
				First: t.First, Minutes: t.Minutes, Money: t.Money})
		}
	}
	return out
}

func openingIDs(os []*fleet.Opening) []string {
	var out []string
	for _, o := range os {
		out = append(out, o.ID)
	}
	return out
}

// YardView is a yard's plan in JSON.
type YardView struct {
	On          civil.Date     `json:"on"`
	Until       civil.Date     `json:"until"`
	Headline    message.Text   `json:"headline"`
	More        message.Text   `json:"more,omitempty"`
	Summary     message.Text   `json:"summary"`
	Gives       []message.Text `json:"what_gives,omitempty"`
	GiveReasons []why.GiveView `json:"what_gives_reasons,omitempty"`
	Hours       float64        `json:"hours_per_month,omitempty"`
	Money       float64        `json:"money_per_month,omitempty"`
	Cost        float64        `json:"cost_minimised"`
	Bound       float64        `json:"no_plan_costs_less_than"`
	Alone       float64        `json:"cost_each_by_itself"`
	Vehicles    []View         `json:"vehicles"`
}

// View returns the plan in JSON's form.
func (y *Yard) View(prefs units.Preferences) YardView {
	v := YardView{On: y.On, Until: y.End, Headline: y.Headline(), More: told.Rest(y.Told()), Summary: y.Summary(),
		Gives: y.GivesWords(), GiveReasons: why.GiveViews(y.Gives), Hours: y.Hours, Money: y.Money,
		Cost: y.Score, Bound: y.Bound, Alone: y.Alone, Vehicles: []View{}}
	for _, p := range y.Plans {
		v.Vehicles = append(v.Vehicles, p.View(prefs))
	}
	return v
}
