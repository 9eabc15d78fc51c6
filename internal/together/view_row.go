package together

import (
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
)

// mostWorst is how many parts of one vehicle a row names.
const mostWorst = 4

// RowOf is what the roll says of a vehicle.
func RowOf(r *advise.Report) *Row {
	p := r.Units
	row := &Row{Vehicle: r.Vehicle.ID, Name: r.Vehicle.Name, About: r.Vehicle.About, Told: r.Sentences(p),
		Basis: r.Basis(), Reading: ReadingWords(r, p)}
	row.Rank, row.By = standing(r)
	for _, j := range r.Urgent() {
		if j.Verdict == fleet.Watch && len(row.Worst) >= mostWorst || len(row.Worst) >= 2*mostWorst {
			row.More++
			continue
		}
		row.Worst = append(row.Worst, RowPart{j.Position.ID, j.Position.Name, j.Verdict})
	}
	return row
}
