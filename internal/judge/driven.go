package judge

import (
	"cmp"
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
)

// Drives is what stands still when a belt comes off: the gravest of what it
// turns.
type Drives struct {
	Machine *fleet.Position // what is turned; the belt itself where its kind says it
	Name    string          // of the machine as the owner's sheet has it on the run
	Driven  *catalogue.Driven
	Turns   []*fleet.Position // all that the belt turns, belts behind it included

	belt *catalogue.Driven // what the belt itself turns by its kind, a camshaft; nil for most
}

// Turned works out what a belt, or the belt over a pulley, turns on a vehicle.
// It is nil where that is not known: the position is on no run, or something
// that may be a machine has no position of a kind that says what it is for.
func Turned(cat *catalogue.Catalogue, v *fleet.Vehicle, p *fleet.Position) *Drives {
	if k := cat.Kind(p.Kind); k != nil && k.Belt != "" && k.Driven != nil {
		return &Drives{Machine: p, Name: p.Name, Driven: k.Driven, Turns: []*fleet.Position{p}}
	}
	i := slices.IndexFunc(v.Runs, func(r fleet.Run) bool { return r.Has(p.ID) && !drivenBy(&r, p.ID) })
	if i < 0 {
		return nil
	}
	run := &v.Runs[i]
	d := &Drives{}
	if !d.add(cat, v, run, map[string]bool{}) || d.Driven == nil {
		return nil
	}
	return d
}

// add takes in a run and those that its pulleys drive in turn, and reports
// whether all of it is known.
func (d *Drives) add(cat *catalogue.Catalogue, v *fleet.Vehicle, run *fleet.Run, seen map[string]bool) bool {
	if seen[run.ID] {
		return true
	}
	seen[run.ID] = true
	if belt := v.Position(run.Belt); belt != nil {
		d.take(cat, belt, belt.Name)
		if k := cat.Kind(belt.Kind); k != nil && k.Driven != nil {
			d.belt = k.Driven
		}
	}
	for i := range run.Pulleys {
		p := &run.Pulleys[i]
		if p.Driver {
			continue
		}
		at := v.Position(p.Position)
		if at == nil && run.Tensioner != nil && run.Tensioner.Pulley == p.Name {
			continue // where a machine moves in its slot, that is its position
		}
		if at == nil || cat.Kind(at.Kind) == nil {
			return d.Driven != nil && d.Driven.Failure == catalogue.Stop // it cannot be graver
		}
		d.take(cat, at, p.Name)
		for k := range v.Runs {
			if next := &v.Runs[k]; drivenBy(next, at.ID) && !d.add(cat, v, next, seen) {
				return false
			}
		}
	}
	return true
}

// drivenBy reports whether a position is the driving pulley of a run.
func drivenBy(run *fleet.Run, position string) bool {
	return slices.ContainsFunc(run.Pulleys, func(p fleet.Pulley) bool { return p.Driver && p.Position == position })
}

func (d *Drives) take(cat *catalogue.Catalogue, p *fleet.Position, name string) {
	k := cat.Kind(p.Kind)
	if k == nil || k.Driven == nil {
		return
	}
	d.Turns = append(d.Turns, p)
	if d.Driven == nil || grave(k.Driven) < grave(d.Driven) {
		d.Machine, d.Name, d.Driven = p, cmp.Or(name, p.Name), k.Driven
	}
}

// grave is the place of a failure among catalogue.Failures, 0 the gravest.
func grave(d *catalogue.Driven) int { return slices.Index(catalogue.Failures(), d.Failure) }

// byDriven returns a limit as it holds for what the belt of its position turns:
// one that the vehicle can do without for a while is put right before the next
// drive, one that nothing needs is cut off, and a new belt waits for the visit.
func (in *Input) byDriven(p *fleet.Position, l *fleet.Limit) *fleet.Limit {
	if l.Driven == "" {
		return l
	}
	d := Turned(in.Catalogue, in.State.Vehicle, p)
	if d == nil {
		return l
	}
	out := *l
	out.Turned = message.Of("%s %s: %s", l.Says, d.Name, d.says())
	out.Source = slices.Concat(l.Source, slices.DeleteFunc(slices.Clone(d.Driven.Source), func(s string) bool {
		return slices.Contains(l.Source, s)
	}))
	now := &fleet.Deadline{Occasion: fleet.BeforeNextDrive}
	switch {
	case d.Driven.Failure == catalogue.DriveGently && l.Verdict == fleet.Park:
		out.Verdict, out.By = fleet.PutRight, now
	case d.Driven.Failure != catalogue.CutOffAndDriveOn:
	case l.Driven == fleet.BeltGone:
		out.Verdict, out.By = fleet.PutRight, &fleet.Deadline{Occasion: fleet.NextVisit}
	default:
		out.Verdict, out.Do, out.By = fleet.PutRight, fleet.CutOff, now
	}
	return &out
}

func (d *Drives) says() string { return say.LowerFirst(d.Driven.Says) }

// LetsDown says in a few words what happens when the part fails: as its kind
// does, and of a belt, or of a pulley that takes its belt along, what stands still
// then, the gravest of it.
func (j *Judgement) LetsDown() message.Text {
	d := j.Drives
	if d == nil || d.Machine == j.Position && j.Kind.Belt != "" {
		return message.Name(j.Kind.Life.LetsDown)
	}
	then := message.Name(d.says()).Open()
	if d.Machine != j.Position && d.Driven != d.belt {
		then = message.Of("nothing turns the %s: %s", say.LowerFirst(d.Name), then)
	}
	if j.Kind.Belt != "" {
		return then
	}
	return message.Of("%s; %s", j.Kind.Life.LetsDown, then)
}

// Strands reports whether the vehicle cannot go on once the part has failed: as
// its kind says, unless its belt turns nothing that stops the vehicle.
func (j *Judgement) Strands() bool {
	if j.Kind.Life == nil || !j.Kind.Life.Strands {
		return false
	}
	return j.Drives == nil || j.Drives.Driven.Failure != catalogue.CutOffAndDriveOn
}

// Undone returns what an opening leaves undone on this vehicle: of a belt that
// is off or loose, what its being off means follows from what it turns.
func Undone(cat *catalogue.Catalogue, v *fleet.Vehicle, o *fleet.Opening) []machine.Undone {
	out := slices.Clone(o.Leaves)
	for i, u := range out {
		if u != machine.BeltOff && u != machine.BeltLoose {
			continue
		}
		switch d := gravest(cat, v, o); {
		case d == nil || d.NoStart:
		case d.Failure == catalogue.CutOffAndDriveOn && u == machine.BeltOff:
			out[i] = machine.SpareBeltOff
		case u == machine.BeltOff:
			out[i] = machine.SideBeltOff
		}
	}
	return out
}

// gravest is what it means when the belts stand still that come off through an
// opening: those it is named for, or else those that need it in turn. It is nil
// where none is known.
func gravest(cat *catalogue.Catalogue, v *fleet.Vehicle, o *fleet.Opening) *catalogue.Driven {
	through := func(open func(*fleet.Position) []string) (out *catalogue.Driven, known bool) {
		known = true
		for i := range v.Positions {
			p := &v.Positions[i]
			if k := cat.Kind(p.Kind); k == nil || k.Belt == "" || !slices.Contains(open(p), o.ID) {
				continue
			}
			switch d := Turned(cat, v, p); {
			case d == nil:
				known = false
			case out == nil || d.Driven.NoStart || grave(d.Driven) < grave(out) && !out.NoStart:
				out = d.Driven
			}
		}
		return out, known
	}
	d, known := through(func(p *fleet.Position) []string { return p.Changed })
	if d == nil && known {
		d, known = through(func(p *fleet.Position) []string { return v.Closure(p.Changed) })
	}
	if !known {
		return nil
	}
	return d
}
