package lifetime

import (
	"math"
	"sort"
)

// Step is a place where a survival curve drops.
type Step struct {
	Age      float64
	AtRisk   float64 // parts watched and still good just before
	Failed   float64
	Survival float64 // just after
	SE       float64 // standard error of Survival (Greenwood 1926)
}

// KaplanMeier is the survival curve that assumes no family (Kaplan and Meier 1958), with late entry
// taken into account. Only failed and running observations are allowed; use [Turnbull] for others.
// Failures at an age come before departures at that age, as usual.
func KaplanMeier(obs []Observation) ([]Step, error) {
	if err := checkAll(obs); err != nil {
		return nil, err
	}
	type change struct{ age, failed, gone, came float64 }
	var changes []change
	for i, o := range obs {
		w := o.weight()
		switch o.Outcome {
		case Failed:
			changes = append(changes, change{o.Age, w, w, 0})
		case Running:
			changes = append(changes, change{o.Age, 0, w, 0})
		default:
			return nil, &DataError{i, "Outcome", float64(o.Outcome), "Failed or Running; Turnbull takes the others"}
		}
		changes = append(changes, change{o.Entry, 0, 0, w})
	}
	sort.SliceStable(changes, func(i, j int) bool { return changes[i].age < changes[j].age })

	var steps []Step
	atRisk, survival, greenwood := 0.0, 1.0, 0.0
	for i := 0; i < len(changes); {
		age := changes[i].age
		var failed, gone, came float64
		for ; i < len(changes) && changes[i].age == age; i++ {
			failed += changes[i].failed
			gone += changes[i].gone
			came += changes[i].came
		}
		if failed > 0 {
			survival *= 1 - failed/atRisk
			greenwood += failed / (atRisk * (atRisk - failed))
			s := Step{Age: age, AtRisk: atRisk, Failed: failed, Survival: math.Max(survival, 0)}
			if atRisk > failed {
				s.SE = survival * math.Sqrt(greenwood)
			}
			steps = append(steps, s)
		}
		atRisk += came - gone
	}
	return steps, nil
}
