package why

import (
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// ReasonView is why a task is in a plan and where it stands, in JSON: codes
// and the arguments they name.
type ReasonView struct {
	Cause *CauseView `json:"due,omitempty"`
	Stand *StandView `json:"stands,omitempty"`
}

// CauseView is what makes a task due, in JSON.
type CauseView struct {
	Code      Code                `json:"code"`
	Opinion   *advise.OpinionView `json:"opinion,omitempty"`
	Authority fleet.Authority     `json:"authority,omitempty"`
	When      *advise.WhenView    `json:"when,omitempty"`
	Check     string              `json:"check,omitempty"`
	Bound     *units.Quantity     `json:"limit,omitempty"`
	Month     *fleet.Month        `json:"month,omitempty"`
	Life      int                 `json:"months_after_the_last,omitempty"`
}

// StandView is why a task stands at its visit, in JSON.
type StandView struct {
	Code     Code         `json:"code"`
	Early    int          `json:"months_early,omitempty"` // below 0: late
	Scope    Scope        `json:"scope,omitempty"`
	With     *SubjectView `json:"with,omitempty"`
	Within   bool         `json:"within_reach_then,omitempty"`
	Month    *fleet.Month `json:"month,omitempty"`
	Opening  string       `json:"opening,omitempty"`
	Risk     float64      `json:"risk_of_waiting,omitempty"`
	Lost     float64      `json:"life_thrown_away,omitempty"`
	Currency string       `json:"currency,omitempty"`
}

// SubjectView is a task of a plan by what it deals with, in JSON.
type SubjectView struct {
	Position string   `json:"position,omitempty"`
	Round    bool     `json:"round,omitempty"`
	Looks    []string `json:"look_at,omitempty"`
}

// GiveView is what had to give, in JSON: a code and the arguments it names.
type GiveView struct {
	Code     Code           `json:"code"`
	Vehicle  string         `json:"vehicle,omitempty"`
	Tasks    []SubjectView  `json:"tasks,omitempty"`
	Limit    float64        `json:"limit,omitempty"`
	Needs    float64        `json:"needs,omitempty"`
	Currency string         `json:"currency,omitempty"`
	Month    *fleet.Month   `json:"month,omitempty"`
	Overfull []OverfullView `json:"months,omitempty"`
	Moved    int            `json:"tasks_moved,omitempty"`
	Costs    float64        `json:"costs_more,omitempty"`
}

// OverfullView is a month that is too full, in JSON.
type OverfullView struct {
	Month fleet.Month `json:"month"`
	Hours float64     `json:"hours,omitempty"`
	Money float64     `json:"money,omitempty"`
}

// View returns the reason in JSON's form.
func (r Reason) View() ReasonView {
	return ReasonView{Cause: r.Cause.View(), Stand: r.Stand.view()}
}

func (c *Cause) View() *CauseView {
	if c.Code == "" {
		return nil
	}
	v := &CauseView{Code: c.Code, Authority: c.Authority, Life: c.Life}
	switch c.Code {
	case DueVerdict, DueWatch:
		v.Opinion = advise.GoverningView(c.Judgement)
	case DueInterval:
		w := c.When.View()
		v.When = &w
	case DueWear:
		v.Check, v.Bound = c.Check.ID, &c.Bound
	}
	if !c.By.IsZero() {
		m := fleet.MonthOf(c.By)
		v.Month = &m
	}
	return v
}

func (s *Stand) view() *StandView {
	if s.Code == "" {
		return nil
	}
	v := &StandView{Code: s.Code, Early: s.Early, Scope: s.Scope, Within: s.Within, Risk: s.Risk, Lost: s.Lost,
		Currency: s.Currency}
	if s.With.Position != nil || s.With.Round || len(s.With.Looks) > 0 {
		with := s.With.View()
		v.With = &with
	}
	if !s.Month.IsZero() {
		m := fleet.MonthOf(s.Month)
		v.Month = &m
	}
	if s.Opening != nil {
		v.Opening = s.Opening.ID
	}
	return v
}

func (s *Subject) View() SubjectView {
	v := SubjectView{Round: s.Round}
	if s.Position != nil {
		v.Position = s.Position.ID
	}
	for _, j := range s.Looks {
		v.Looks = append(v.Looks, j.Position.ID)
	}
	return v
}

// place is the position of a task, or what it is of those that have none.
func (s *Subject) Place() string {
	switch {
	case s.Position != nil:
		return s.Position.ID
	case s.Round:
		return RoundPlace
	}
	return "look"
}

func GiveViews(gs []Give) []GiveView {
	var out []GiveView
	for i := range gs {
		out = append(out, gs[i].view())
	}
	return out
}

func (g *Give) view() GiveView {
	v := GiveView{Code: g.Code, Limit: g.Limit, Needs: g.Needs, Currency: g.Currency, Moved: g.Moved, Costs: g.Costs}
	if g.Vehicle != nil {
		v.Vehicle = g.Vehicle.ID
	}
	for i := range g.Tasks {
		v.Tasks = append(v.Tasks, g.Tasks[i].View())
	}
	if g.Month.IsValid() {
		v.Month = &g.Month
	}
	for _, o := range g.Overfull {
		v.Overfull = append(v.Overfull, OverfullView{Month: fleet.MonthOf(o.Month), Hours: o.Hours, Money: o.Money})
	}
	return v
}

// WishView is what the owner has settled, or tries, in JSON.
type WishView struct {
	Entry    string       `json:"entry,omitempty"` // absent: only tried
	Position string       `json:"position,omitempty"`
	Month    fleet.Month  `json:"month"`
	Not      bool         `json:"not,omitempty"`
	Costs    float64      `json:"costs_more"`
	Words    message.Text `json:"words"`
}

// View returns the wish in JSON's form.
func (w *Wish) View() WishView {
	v := WishView{Entry: w.Entry, Month: w.Month, Not: w.Not, Costs: w.Costs, Words: w.Words()}
	if w.Position != nil {
		v.Position = w.Position.ID
	}
	return v
}

// NoPlanView is why no plan keeps the limits, in JSON.
type NoPlanView struct {
	Code     Code          `json:"code"`
	Tasks    []SubjectView `json:"tasks,omitempty"`
	Month    *fleet.Month  `json:"month,omitempty"`
	Needs    float64       `json:"needs,omitempty"` // hours, or money in Currency
	Have     float64       `json:"have,omitempty"`
	Money    bool          `json:"of_money,omitempty"`
	Currency string        `json:"currency,omitempty"`
}

// View returns the reason in JSON's form.
func (n *NoPlan) View() NoPlanView {
	v := NoPlanView{Code: n.Code, Needs: n.Needs, Have: n.Have, Money: n.Money, Currency: n.Currency}
	for i := range n.Tasks {
		v.Tasks = append(v.Tasks, n.Tasks[i].View())
	}
	if !n.Month.IsZero() {
		m := fleet.MonthOf(n.Month)
		v.Month = &m
	}
	return v
}
