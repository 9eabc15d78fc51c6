package judge

import (
	"cmp"
	"math"
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
)

// nearby is how far apart on the plan of a vehicle, where the engine bay is
// 100 across, two parts may lie for one leak to reach both.
const nearby = 30

// SharedCause says that one thing may be behind findings on several parts.
type SharedCause struct {
	Symptom   catalogue.Symptom
	Positions []*fleet.Position // two or more, the highest and foremost first
}

// Shared finds groups of parts that show the same symptom, lie on the same run,
// are declared neighbours or lie close together, for the symptoms that come
// from one place.
func Shared(v *fleet.Vehicle, symptoms []catalogue.Symptom, js []Judgement) []SharedCause {
	var out []SharedCause
	for _, s := range symptoms {
		if s.Together == nil {
			continue
		}
		var marked []*fleet.Position
		for i := range js {
			if slices.Contains(js[i].Symptoms, s.ID) {
				marked = append(marked, js[i].Position)
			}
		}
		for _, group := range clusters(v, marked) {
			if len(group) > 1 {
				out = append(out, SharedCause{Symptom: s, Positions: group})
			}
		}
	}
	return out
}

// clusters splits positions into groups connected by reach.
func clusters(v *fleet.Vehicle, ps []*fleet.Position) [][]*fleet.Position {
	var groups [][]*fleet.Position
	left := slices.Clone(ps)
	for len(left) > 0 {
		group := []*fleet.Position{left[0]}
		left = left[1:]
		for i := 0; i < len(group); i++ {
			left = slices.DeleteFunc(left, func(p *fleet.Position) bool {
				if !reach(v, group[i], p) {
					return false
				}
				group = append(group, p)
				return true
			})
		}
		slices.SortStableFunc(group, higherFirst)
		groups = append(groups, group)
	}
	return groups
}

func reach(v *fleet.Vehicle, a, b *fleet.Position) bool {
	if Neighbours(a, b) {
		return true
	}
	if run := v.RunOf(a.ID); run != nil && run.Has(b.ID) {
		return true
	}
	return math.Hypot(a.X-b.X, a.Y-b.Y) <= nearby
}

// higherFirst puts what is seen from above before what is seen from below,
// since leaks run down, and the front before the rear.
func higherFirst(a, b *fleet.Position) int {
	return cmp.Or(FalseFirst(a.From == fleet.Below, b.From == fleet.Below), cmp.Compare(a.Y, b.Y))
}
