package sheet

import (
	"reflect"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/runwords"
	"undertray.example/undertray/internal/yamltree"
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
func ReadRun(name string, src []byte) (*RunSheet, error) { return readRun(name, src, nil) }

// ReadMeasured is ReadRun for a run whose pulleys are still to be placed from its measures: their places may be left
// out, or are a sketch, and their diameters too.
func ReadMeasured(name string, src []byte) (*RunSheet, error) {
	return readRun(name, src, []string{"x", "y", "diameter"})
}

func readRun(name string, src []byte, open []string) (*RunSheet, error) {
	body, err := tree(name, src)
	if err != nil {
		return nil, err
	}
	opt := options
	opt.Optional = map[reflect.Type][]string{reflect.TypeFor[fleet.Run](): {"id", "name", "belt"},
		reflect.TypeFor[fleet.Pulley](): open}
	r := yamltree.NewReader(opt)
	run := &fleet.Run{}
	r.Read(body, run)
	c := &checker{reader: r}
	if !r.Broken("pulleys") {
		c.runItself("", run)
	}
	if run.Belt != "" && !r.Broken("belt") {
		if _, err := drive.ParseDesignation(run.Belt); err != nil {
			c.Wrong("belt", "belt: %s", runwords.NoBelt(err))
		}
	}
	if err := yamltree.Joined(name, r.Problems()); err != nil {
		return nil, err
	}
	if run.Name == "" {
		run.Name = "Belt run"
	}
	out := &RunSheet{Run: run, Belt: BeltOf(run, nil, fleet.PartSpec{Number: run.Belt})}
	if open == nil {
		w := &warner{checker: checker{reader: r}}
		w.runItself("", run, out.Belt)
		out.Warnings = yamltree.Errors(name, w.odd)
	}
	return out, nil
}
