package advise

import (
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// Find returns the judgement of a position, or a *fleet.Error of kind NotFound
// that names the nearest position.
func (r *Report) Find(position string) (*judge.Judgement, error) {
	if j := r.Judgement(position); j != nil {
		return j, nil
	}
	return nil, r.unknownPosition(position)
}

func Concerns(e *fleet.Entry, position string) bool {
	if e.Done != nil {
		return slices.Contains(e.Done.Positions, position)
	}
	if e.Bought != nil {
		return slices.Contains(e.Bought.Positions, position)
	}
	return e.Position() == position
}
