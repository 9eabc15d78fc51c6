package belt

import (
	"maps"
	"math"
	"slices"
	"strconv"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/units"
)

// Change is a run as it would be after a change.
type Change struct {
	What   []Alteration
	Way    *drive.Route
	Ways   []drive.Route // all ways round that were found, best first
	After  Work
	Versus *drive.Comparison // nil where either run cannot be laid out
	fitted bool              // the belt fitted before the change
}

// change applies the question's changes and works the result out.
func (b *Run) change(q Question, speeds []speed) error {
	c := &Change{}
	run := b.Source
	var err error
	for _, what := range slices.Sorted(maps.Keys(q.Diameters)) {
		if run, err = b.resize(c, run, what, q.Diameters[what]); err != nil {
			return err
		}
	}
	for _, what := range slices.Sorted(maps.Keys(q.Moves)) {
		name, err := b.pulley(what)
		if err != nil {
			return err
		}
		at := drive.Point(q.Moves[what])
		if run, err = run.WithCentre(name, at); err != nil {
			return invalidRun(what, err)
		}
		c.What = append(c.What, Alteration{Code: Moved, Pulley: name, X: at.X, Y: at.Y})
	}
	if run, err = b.reroute(c, run, q); err != nil {
		return err
	}
	c.After = work(run, speeds)
	if b.Drive != nil && c.After.Drive != nil {
		if v, err := drive.Compare(b.Drive, c.After.Drive); err == nil {
			c.Versus = &v
		}
	}
	c.fitted = b.Fit != nil
	b.Change = c
	return nil
}

func (b *Run) resize(c *Change, run drive.Run, what string, mm float64) (drive.Run, error) {
	name, err := b.pulley(what)
	if err != nil {
		return run, err
	}
	was := run.Pulleys[run.Index(name)].DiameterMM
	if run, err = run.WithDiameter(name, mm); err != nil {
		return run, invalidRun(what, err)
	}
	c.What = append(c.What, Alteration{Code: Resized, Pulley: name, MM: mm, Was: was})
	return run, nil
}

// reroute searches for ways round the run with a pulley left out or added, and
// takes the best.
func (b *Run) reroute(c *Change, run drive.Run, q Question) (drive.Run, error) {
	if q.LeaveOut == "" && q.Idler == nil {
		return run, nil
	}
	var found drive.Routes
	var what Alteration
	if q.LeaveOut != "" {
		name, err := b.pulley(q.LeaveOut)
		if err != nil {
			return run, err
		}
		what = Alteration{Code: LeftOut, Pulley: name}
		if found, err = run.LeaveOut(name, drive.SearchOptions{}); err != nil {
			return run, invalidRun("leave-out", err)
		}
		if q.Idler == nil {
			return b.best(c, run, found, what)
		}
		if run, err = run.Without(name); err != nil {
			return run, invalidRun("leave-out", err)
		}
		c.What = append(c.What, what)
	}
	what = Alteration{Code: Added, MM: q.Idler.DiameterMM, X: q.Idler.At.X, Y: q.Idler.At.Y}
	idler := drive.Pulley{Name: newIdler, DiameterMM: q.Idler.DiameterMM, Measured: drive.Plain,
		Centre: drive.Point(q.Idler.At)}
	found, err := run.Insert(idler, drive.SearchOptions{})
	if err != nil {
		return run, invalidRun("idler", err)
	}
	return b.best(c, run, found, what)
}

// best takes the best way that turns no loaded pulley the other way; where
// there is none, the best of all.
func (b *Run) best(c *Change, run drive.Run, found drive.Routes, what Alteration) (drive.Run, error) {
	c.What = append(c.What, what)
	if len(found.Found) == 0 {
		return run, noWay(what)
	}
	c.Ways = found.Found
	i := max(0, slices.IndexFunc(found.Found, func(r drive.Route) bool { return len(r.Reversed) == 0 }))
	c.Way = &found.Found[i]
	next := c.Way.Run
	if !c.Way.PresentBelt {
		next.Belt.LengthMM = 0 // the belt to be bought is not known yet
	}
	return next, nil
}

// newIdler is the name of an idler that is added.
const newIdler = "new idler"

// noWay says that no way round was found with a pulley left out or added.
func noWay(a Alteration) error {
	if a.Code == Added {
		return &fleet.Error{Kind: fleet.Invalid, Where: "run", Hint: wayHint,
			Msg: message.Of("with an idler of %g mm added at x %.0f, y %.0f mm no way round was found that closes "+
				"and clears every pulley", a.MM, a.X, a.Y)}
	}
	return &fleet.Error{Kind: fleet.Invalid, Where: "run", Hint: wayHint,
		Msg: message.Of("with the %s left out no way round was found that closes and clears every pulley", a.Pulley)}
}

const wayHint = "move an idler, or add one: what stood there kept the belt off its neighbours"

// Changed is the run after the change as a sheet keeps it: pulleys in their order of travel with what is known of them
// besides; nil where nothing was changed. A tensioner that was left out is gone.
func (b *Run) Changed() *fleet.Run {
	if b.Change == nil {
		return nil
	}
	out := *b.Run
	out.Pulleys, out.Measures = nil, nil
	source, moved := &b.Change.After.Source, map[string]bool{}
	for i := range source.Pulleys {
		to, was := &source.Pulleys[i], b.Source.Index(source.Pulleys[i].Name)
		p := fleet.Pulley{Name: newIdlerName, Measured: "plain"}
		if was >= 0 {
			p = b.Run.Pulleys[was]
		}
		if was < 0 || b.Source.Pulleys[was].Centre != to.Centre {
			p.X, p.Y = inMM(to.Centre.X), inMM(to.Centre.Y)
		}
		if was < 0 || b.Source.Pulleys[was].DiameterMM != to.DiameterMM {
			p.Diameter = inMM(to.DiameterMM)
		}
		if was < 0 || b.Source.Pulleys[was].Side != to.Side {
			p.Side = to.Side.String()
			if p.Measured == "" && to.Measured == drive.Plain {
				p.Measured = "plain"
			}
		}
		moved[to.Name] = true
		out.Pulleys = append(out.Pulleys, p)
	}
	if t := out.Tensioner; t != nil && !moved[sheet.PulleyName(t.Pulley)] {
		out.Tensioner = nil
	}
	return &out
}

const newIdlerName = "New idler"

// inMM is a length as a sheet writes it, to a hundredth of a millimetre.
func inMM(v float64) units.Quantity {
	q, err := units.Parse(strconv.FormatFloat(math.Round(100*v)/100, 'f', -1, 64)+"mm", units.Length)
	if err != nil {
		return units.Quantity{}
	}
	return q
}

// Route is a way round the run that was found.
type Route = drive.Route
