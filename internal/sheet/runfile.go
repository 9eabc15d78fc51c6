package sheet

import (
	"reflect"
	"slices"

	"undertray/drive"
	"undertray/internal/fleet"
)

// RunSheet is a run that was read from a file of its own, without a vehicle.
type RunSheet struct {
	Run      *fleet.Run
	Belt     BeltFacts
	Warnings []*fleet.Error // in the file's order
}

// ReadRun reads a file that holds one run alone: the keys of a run of a
// vehicle sheet, with only pulleys required; belt is what is printed on the
// belt. Errors are as those of Read.
func ReadRun(name string, src []byte) (*RunSheet, error) {
	body, err := tree(name, src)
	if err != nil {
		return nil, err
	}
	r := newReader()
	s := shapeOf(reflect.TypeFor[fleet.Run]())
	s.required = []string{"pulleys"}
	r.shapes[reflect.TypeFor[fleet.Run]()] = s
	run := &fleet.Run{}
	r.value("", body, reflect.ValueOf(run).Elem())
	c := &checker{reader: r}
	if !r.broken["pulleys"] {
		c.runItself("", run)
	}
	if run.Belt != "" && !r.broken["belt"] {
		if _, err := drive.ParseDesignation(run.Belt); err != nil {
			c.wrong("belt", "belt: %v", err)
		}
	}
	if len(r.problems) > 0 {
		return nil, r.joined(name)
	}
	if run.Name == "" {
		run.Name = "Belt run"
	}
	out := &RunSheet{Run: run, Belt: BeltOf(run, nil, fleet.PartSpec{Number: run.Belt})}
	w := &warner{checker: checker{reader: r}}
	w.runItself("", run, out.Belt)
	slices.SortStableFunc(w.odd, func(a, b problem) int { return a.Line - b.Line })
	for _, p := range w.odd {
		out.Warnings = append(out.Warnings, fault(name, p))
	}
	return out, nil
}
