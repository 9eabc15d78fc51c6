package advise

import (
	"fmt"

	"undertray/internal/catalogue"
	"undertray/internal/fleet"
)

func (r *Report) unknownPosition(id string) error {
	ids := make([]string, len(r.Judgements))
	for i := range r.Judgements {
		ids[i] = r.Judgements[i].Position.ID
	}
	return notFound(r.Vehicle.Name, "position", id, ids)
}

func (r *Report) knowOpenings(want []string) error {
	ids := make([]string, len(r.Vehicle.Openings))
	for i := range r.Vehicle.Openings {
		ids[i] = r.Vehicle.Openings[i].ID
	}
	for _, id := range want {
		if id != OpenAll && r.Vehicle.Opening(id) == nil {
			return notFound(r.Vehicle.Name, "opening", id, ids)
		}
	}
	return nil
}

func notFound(vehicle, what, id string, known []string) error {
	hint := "the vehicle sheet lists every " + what
	if near := catalogue.Nearest(id, known); near != "" {
		hint = fmt.Sprintf("did you mean %q?", near)
	}
	return &fleet.Error{Kind: fleet.NotFound, Where: what,
		Msg: fmt.Sprintf("%s has no %s %q", vehicle, what, id), Hint: hint}
}
