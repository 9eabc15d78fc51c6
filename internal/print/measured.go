package print

import (
	"fmt"

	"undertray/internal/belt"
	"undertray/internal/belt/measured"
)

// Measured writes where the pulleys of a run were placed, and how the measures agree.
func (t *Text) Measured(p *measured.Placed) {
	t.Told(p.Told())
	t.Blank()
	t.Item("Caution: ", belt.Caution)
	t.Head("Pulleys, mm")
	var rows [][]string
	for i := range p.As.Run.Pulleys {
		q := &p.As.Run.Pulleys[i]
		rows = append(rows, []string{fmt.Sprint(i + 1), q.Name, fmt.Sprintf("%.1f", q.X.Base()),
			fmt.Sprintf("%.1f", q.Y.Base()), fmt.Sprintf("%.1f", q.Diameter.Base())})
	}
	t.table([]column{{head: "No", width: 2, right: true}, {head: "Pulley", width: 28},
		{head: "x", width: 8, right: true}, {head: "y", width: 8, right: true},
		{head: "diameter", width: 8, right: true}}, rows)
	t.Head("Measures, and how far the run so placed is off them")
	rows = nil
	for _, f := range p.Fits() {
		rows = append(rows, []string{f.Measure.Words(), f.Measure.Reads.String(), f.Words()})
	}
	t.table([]column{{head: "Measure", width: 52}, {head: "Read", width: 9, right: true},
		{head: "Off", width: 24}}, rows)
	t.notes("Or: ", p.Mirrors())
	t.Head("With one left out")
	rows = nil
	for _, w := range p.Without {
		rows = append(rows, []string{w.Pulley, w.Words()})
	}
	t.table([]column{{head: "Without", width: 28}, {head: "Effective length", width: 28}}, rows)
	t.notes("Known: ", p.Basis())
}
