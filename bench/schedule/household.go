package schedulebench

import (
	"fmt"
	"math/rand/v2"

	"undertray.example/undertray/schedule"
)

// Household makes up vehicles as a household keeps them, from a seed: checks
// every 6 or 12 months, fluids every 12 to 48, belts, hoses and the like every
// 36 to 60 with a chance of failing that grows with age; 8 to 20 openings in
// trees at most four deep; visits of 4 to 8 hours, so that not everything due
// in a season fits into one. Costs are whole units: an hour of the owner's
// time is 12. The figures are common practice, fixed before the planner was
// timed on them; they are not tuned to it.
func Household(seed uint64, vehicles, tasks, periods int) *schedule.Problem {
	r := rand.New(rand.NewPCG(seed, 19))
	p := &schedule.Problem{Periods: periods}
	for v := range vehicles {
		p.Vehicles = append(p.Vehicles, kept(r, fmt.Sprintf("V%d", v+1), tasks))
	}
	return p
}

func kept(r *rand.Rand, id string, tasks int) schedule.Vehicle {
	v := schedule.Vehicle{ID: id, VisitCost: 12 + float64(r.IntN(13)), Hours: float64(4 + r.IntN(5))}
	depth := []int{}
	for k := range 8 + r.IntN(13) {
		minutes := 5 * (1 + r.IntN(6))
		o := schedule.Opening{ID: fmt.Sprintf("S%02d", k+1), Cost: float64(minutes/5 + r.IntN(4)),
			Hours: float64(minutes) / 60}
		if r.IntN(8) == 0 {
			o.Cost += float64(10 + r.IntN(15)) // a gasket, or fluid lost
		}
		depth = append(depth, 0)
		if k > 0 && r.IntN(3) > 0 {
			if q := r.IntN(k); depth[q] < 3 {
				o.Needs, depth[k] = []string{v.Openings[q].ID}, depth[q]+1
			}
		}
		v.Openings = append(v.Openings, o)
	}
	for i := range tasks {
		k := upkeep(r)
		k.ID = fmt.Sprintf("T%02d", i+1)
		k.Age = r.IntN(k.Every)
		if r.IntN(5) > 0 {
			k.Openings = []string{v.Openings[r.IntN(len(v.Openings))].ID}
		}
		v.Tasks = append(v.Tasks, k)
	}
	return v
}

// upkeep is one task without its place: a check, a fluid or a part.
func upkeep(r *rand.Rand) schedule.Task {
	switch n := r.IntN(10); {
	case n < 3:
		return schedule.Task{Kind: schedule.Inspect, Cost: float64(1 + r.IntN(3)), Hours: float64(5*(1+r.IntN(3))) / 60,
			Every: pick(r, 6, 12, 12)}
	case n < 5:
		return schedule.Task{Kind: schedule.Service, Cost: float64(15 + r.IntN(70)),
			Hours: float64(5*(3+r.IntN(9))) / 60, Every: pick(r, 12, 24, 24, 36, 48)}
	}
	k := schedule.Task{Kind: schedule.Change, Cost: float64(15 + r.IntN(120)), Hours: float64(5*(3+r.IntN(15))) / 60,
		Every: pick(r, 36, 48, 60, 60)}
	loss, life := 300.0, float64(k.Every)
	risk := schedule.RoadRisk(k.Every, loss, func(age int) float64 { // Weibull, shape 3, 5 % at the limit
		a := float64(age) / life
		b := float64(age-1) / life
		return 0.05 * (a*a*a - b*b*b)
	})
	k.AgeCost, k.EndCost = risk, risk
	return k
}
