package trip

import (
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/looks"
	"undertray.example/undertray/internal/plan"
)

// lookMinutes is how long one looks round before a trip, openings included.
const lookMinutes = 30

// findLooks finds the looks that would tell most before the start: leave a part
// in, or change it first at the plan's prices.
func (t *Trip) findLooks(r *advise.Report, m *plan.Prices) {
	s := ahead.Stretch{Km: t.Km * t.Harder, Days: float64(t.End.Sub(t.Start)+1) * t.Longer,
		Loss: m.Loss(), Hour: m.Hour(),
		Change: func(j *judge.Judgement) (float64, bool) {
			p := m.Change(j)
			for _, id := range p.Openings {
				p.Minutes += m.OpeningMinutes(id)
			}
			return p.Money + p.Minutes/60*m.Hour(), !j.Position.LookOnly
		}}
	t.Looks = looks.Pick(r, ahead.Lookings(r, s), lookMinutes, nil)
}
