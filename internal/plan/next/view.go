// Package next tells of a visit in JSON as every answer that names one does: the
// state of a vehicle, its plan, its job sheet and its calendar.
package next

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// Visit is a visit of a plan in JSON.
type Visit struct {
	On       civil.Date   `json:"on"`
	Change   []string     `json:"change"` // positions, in the plan's order
	Minutes  float64      `json:"minutes"`
	Money    float64      `json:"money"` // for what has a price
	Currency string       `json:"currency,omitempty"`
	Words    message.Text `json:"words"`
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

// Days says on which day a plan puts each part right that it does.
type Days map[string]Day

// Day is a day of a visit, and whether that is the next one.
type Day struct {
	On   civil.Date
	Next bool
}

// DaysOf returns the days of a plan, of each part the first.
func DaysOf(p *plan.Plan) Days {
	out := Days{}
	for i := range p.Visits {
		for _, t := range p.Visits[i].Tasks {
			if t.Judgement == nil || t.Do == fleet.DoInspect {
				continue
			}
			if id := t.Judgement.Position.ID; out[id].On.IsZero() {
				out[id] = Day{p.Visits[i].Date, i == 0}
			}
		}
	}
	return out
}

// TodoWords is advise.TodoWords with the plan's day of what may wait for a visit.
func (d Days) TodoWords(j *judge.Judgement, p units.Preferences) message.Text {
	s := advise.TodoWords(j, p)
	day := d[j.Position.ID]
	if len(j.Todos) != 1 || j.Todos[0].Left != nil || j.Todos[0].Now || j.Todos[0].By.Occasion == "" ||
		day.On.IsZero() {
		return s
	}
	do := advise.ActionWords(j.Todos[0].Action, j.Position.Name).Capital()
	if day.Next {
		return message.Of("%s at the next visit, on %s.", do, told.Long(day.On))
	}
	return message.Of("%s: the plan does it on %s.", do, told.Long(day.On))
}

// StateView is the state of a vehicle in JSON, with its next visit.
type StateView struct {
	advise.VehicleView
	Next *Visit `json:"next_visit,omitempty"`
}
