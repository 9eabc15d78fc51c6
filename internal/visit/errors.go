package visit

import (
	"undertray.example/undertray/internal/advise"
)

func knowOpenings(r *advise.Report, want []string) error {
	ids := make([]string, len(r.Vehicle.Openings))
	for i := range r.Vehicle.Openings {
		ids[i] = r.Vehicle.Openings[i].ID
	}
	for _, id := range want {
		if id != OpenAll && r.Vehicle.Opening(id) == nil {
			return advise.NotFound(r.Vehicle.Name, "opening", id, ids)
		}
	}
	return nil
}
