package schedulebench

import (
	"fmt"
	"math/rand/v2"

	"undertray.example/undertray/schedule"
)

// Size bounds a made-up problem.
type Size struct {
	Vehicles, Tasks, Openings, Periods int
	Rich                               bool // ages, windows, order, calendars, money
}

// Random makes up a problem from a seed. Costs are multiples of 5, hours of a
// quarter.
func Random(seed uint64, z Size) *schedule.Problem {
	r := rand.New(rand.NewPCG(seed, 7))
	p := &schedule.Problem{Periods: z.Periods}
	for v := range max(1, z.Vehicles) {
		p.Vehicles = append(p.Vehicles, vehicle(r, z, fmt.Sprintf("V%d", v+1)))
	}
	if z.Rich && r.IntN(2) == 0 {
		p.Money = float64(5 * (60 + 30*len(p.Vehicles) + r.IntN(60)))
	}
	if z.Rich && len(p.Vehicles) > 1 && r.IntN(2) == 0 {
		p.Hours = 10 + float64(r.IntN(8))
	}
	return p
}

func pick(r *rand.Rand, xs ...int) int { return xs[r.IntN(len(xs))] }

func vehicle(r *rand.Rand, z Size, id string) schedule.Vehicle {
	v := schedule.Vehicle{ID: id, VisitCost: float64(pick(r, 20, 40, 60, 80)), Hours: float64(7 + r.IntN(6))}
	for k := range z.Openings {
		o := schedule.Opening{ID: fmt.Sprintf("S%02d", k+1), Cost: float64(5 * (2 + r.IntN(11))),
			Hours: 0.25 * float64(1+r.IntN(5))}
		if k > 1 && r.IntN(3) > 0 {
			o.Needs = append(o.Needs, v.Openings[r.IntN(k)].ID)
			if q := v.Openings[r.IntN(k)].ID; r.IntN(5) == 0 && q != o.Needs[0] {
				o.Needs = append(o.Needs, q)
			}
		}
		v.Openings = append(v.Openings, o)
	}
	for i := range z.Tasks {
		v.Tasks = append(v.Tasks, task(r, z, i, &v))
	}
	if z.Rich {
		calendar(r, z, &v)
	}
	return v
}

func task(r *rand.Rand, z Size, i int, v *schedule.Vehicle) schedule.Task {
	k := schedule.Task{ID: fmt.Sprintf("T%02d", i+1), Kind: schedule.Service, Cost: float64(5 * (1 + r.IntN(24))),
		Hours: 0.25 * float64(1+r.IntN(6))}
	k.Every = pick(r, 4, 6, 6, 9, 12, 12, 18, 24, 36)
	k.Age = r.IntN(k.Every)
	for range r.IntN(3) {
		if o := v.Openings[r.IntN(len(v.Openings))].ID; len(k.Openings) == 0 || k.Openings[0] != o {
			k.Openings = append(k.Openings, o)
		}
	}
	if !z.Rich {
		return k
	}
	switch r.IntN(6) {
	case 0: // unused life and risk instead of a hard limit
		life := k.Every
		k.AgeCost = schedule.AddTables(schedule.UnusedLife(float64(life)*5, life),
			schedule.Table(life+8, func(g int) float64 { return float64(5 * max(0, g-life+3) * max(0, g-life+3)) }))
		k.EndCost = schedule.Table(life+8, func(g int) float64 {
			return float64(5 * max(0, g-life+3) * max(0, g-life+3))
		})
		k.Every = 0
	case 1: // once, in a window
		k.Every, k.Once, k.Earliest = 0, true, 1+r.IntN(3)
		k.Latest = k.Earliest + 1 + r.IntN(z.Periods)
		k.EndCost = []float64{float64(5 * r.IntN(30))}
	case 2:
		k.PeriodCost = make([]float64, z.Periods)
		for t := range k.PeriodCost {
			k.PeriodCost[t] = float64(5 * r.IntN(6))
		}
	}
	if i > 0 && r.IntN(6) == 0 {
		k.With = []string{v.Tasks[r.IntN(i)].ID}
	}
	if i > 0 && r.IntN(6) == 0 {
		k.After = []string{v.Tasks[r.IntN(i)].ID}
	}
	return k
}

func calendar(r *rand.Rand, z Size, v *schedule.Vehicle) {
	v.Calendar = make([]schedule.Period, z.Periods)
	if t := r.IntN(z.Periods); r.IntN(2) == 0 {
		v.Calendar[t].Closed = true
	}
	if t := r.IntN(z.Periods); r.IntN(3) == 0 && !v.Calendar[t].Closed {
		v.Calendar[t].Held = true
	}
	if t := r.IntN(z.Periods); r.IntN(3) == 0 {
		v.Calendar[t].Hours = 5
	}
	if a := 1 + r.IntN(z.Periods); r.IntN(3) == 0 {
		v.Windows = append(v.Windows, schedule.Window{From: a, To: min(z.Periods, a+2)})
	}
}
