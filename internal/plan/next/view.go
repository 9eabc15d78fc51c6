// Package next tells of a visit in JSON as every answer that names one does: the
// state of a vehicle, its plan, its job sheet and its calendar.
package next

import (
	"undertray/civil"
	"undertray/internal/advise"
	"undertray/internal/fleet"
	"undertray/internal/plan"
)

// Visit is a visit of a plan in JSON.
type Visit struct {
	On       civil.Date `json:"on"`
	Change   []string   `json:"change"` // positions, in the plan's order
	Minutes  float64    `json:"minutes"`
	Money    float64    `json:"money"` // for what has a price
	Currency string     `json:"currency,omitempty"`
	Words    string     `json:"words"`
}

// Sum returns a visit of the plan in JSON's form.
func Sum(p *plan.Plan, v *plan.Visit) *Visit {
	out := &Visit{On: v.Date, Minutes: v.Minutes, Money: v.Money, Currency: p.Currency, Words: p.VisitWords(v)}
	for i := range v.Tasks {
		if t := &v.Tasks[i]; t.Judgement != nil && t.Do == fleet.DoReplace {
			out.Change = append(out.Change, t.Judgement.Position.ID)
		}
	}
	return out
}

// Of is the next visit in JSON's form, or nil where the plan has none.
func Of(p *plan.Plan) *Visit {
	if len(p.Visits) == 0 {
		return nil
	}
	return Sum(p, &p.Visits[0])
}

// StateView is the state of a vehicle in JSON, with its next visit.
type StateView struct {
	advise.VehicleView
	Next *Visit `json:"next_visit,omitempty"`
}
