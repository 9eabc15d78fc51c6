package plan

import (
	"slices"

	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/schedule"
)

// Quick is what was put at a visit after the plan was made: quick jobs and
// further looks, with the openings they need, and the money of the jobs.
func (v *Visit) Quick(p *Plan) (minutes, money float64) {
	planned, _ := p.takes(v.Period)
	for _, t := range v.Tasks {
		if slices.ContainsFunc(p.m.small, func(it *item) bool { return it.id == t.id }) {
			money += t.Money
		}
	}
	return v.Minutes - 60*planned, money
}

// WhyNoPlan is the same as data.
func (p *Plan) WhyNoPlan(no *schedule.Infeasible) why.NoPlanView { return p.m.noPlan(no).View() }

// NoPlan is what p's vehicle says where the engine finds no plan.
func (p *Plan) NoPlan(no *schedule.Infeasible) string { return p.m.unsolved(no).Error() }
