package calendar

import (
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
)

// dayLimits are the parts whose limit falls on one day.
type dayLimits struct {
	day   civil.Date
	tasks []*plan.Task
}

// limitsOf gathers the days on which what the visits change comes to its limit.
func limitsOf(p *plan.Plan) []dayLimits {
	var out []dayLimits
	seen := map[*fleet.Position]bool{}
	for _, v := range p.Visits {
		for i := range v.Tasks {
			t := &v.Tasks[i]
			if t.Judgement == nil || seen[t.Positions[0]] || t.Due.IsZero() || !t.Due.After(p.On) ||
				t.Due.After(p.End) || t.Judgement.Verdict >= fleet.PutRight {
				continue
			}
			seen[t.Positions[0]] = true
			n := slices.IndexFunc(out, func(d dayLimits) bool { return d.day == t.Due })
			if n < 0 {
				n = len(out)
				out = append(out, dayLimits{day: t.Due})
			}
			out[n].tasks = append(out[n].tasks, t)
		}
	}
	return out
}
