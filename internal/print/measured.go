package print

import (
	"fmt"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/belt/measured"
)

// Measured writes where the pulleys of a run were placed, and how the measures agree.
func (t *Text) Measured(p *measured.Placed) {
	t.Told(p.Told())
	t.Blank()
	t.Named("Caution:", 0, belt.Caution)
	t.Head("Pulleys, mm")
	var rows [][]any
	for i := range p.As.Run.Pulleys {
		q := &p.As.Run.Pulleys[i]
		rows = append(rows, []any{fmt.Sprint(i + 1), q.Name, fmt.Sprintf("%.1f", q.X.Base()),
			fmt.Sprintf("%.1f", q.Y.Base()), fmt.Sprintf("%.1f", q.Diameter.Base())})
	}
	t.table([]column{{head: "No", right: true}, {head: "Pulley"},
		{head: "x", right: true}, {head: "y", right: true},
		{head: "diameter", right: true}}, rows)
	t.Head("Measures, and how far the run so placed is off them")
	rows = nil
	for _, f := range p.Fits() {
		rows = append(rows, []any{f.Measure.Words(), f.Measure.Reads.String(), f.Words()})
	}
	t.table([]column{{head: "Measure"}, {head: "Read", right: true},
		{head: "Off"}}, rows)
	t.notes("Or:", p.Mirrors())
	t.Head("With one left out")
	rows = nil
	for _, w := range p.Without {
		rows = append(rows, []any{w.Pulley, w.Words()})
	}
	t.table([]column{{head: "Without"}, {head: "Effective length"}}, rows)
	t.notes("Known:", p.Basis())
}
