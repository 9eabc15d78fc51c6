package advise

import (
	"cmp"
	"math"
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// Walk returns the judgements in the order a person meets the positions:
// from above clockwise from the bulkhead, then from below front to back.
func (r *Report) Walk() []*judge.Judgement {
	out := make([]*judge.Judgement, len(r.Judgements))
	for i := range r.Judgements {
		out[i] = &r.Judgements[i]
	}
	slices.SortStableFunc(out, func(a, b *judge.Judgement) int { return byWalk(a.Position, b.Position) })
	return out
}

func byWalk(a, b *fleet.Position) int {
	if a.From != b.From {
		if a.From == fleet.Above {
			return -1
		}
		return 1
	}
	if a.From == fleet.Below {
		return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X))
	}
	return cmp.Compare(clockwise(a), clockwise(b))
}

// clockwise returns how far round the bay, seen from above, a position lies:
// from 0 at the bulkhead's right-hand end through the bulkhead, the left
// wing, the front and the right wing.
func clockwise(p *fleet.Position) float64 {
	turn := math.Atan2(-(p.X-50), p.Y-50) + math.Pi/4
	return math.Mod(turn+2*math.Pi, 2*math.Pi)
}
