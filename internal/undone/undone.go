package undone

import (
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
)

// HalfDone is an opening that the journal leaves open, and what that leaves
// undone on this vehicle.
type HalfDone struct {
	Opening *fleet.Opening
	Entry   *fleet.Entry
	Undone  []machine.Undone
}

// Open lists what was opened and not closed again, in that order.
func Open(cat *catalogue.Catalogue, s *fleet.State) []HalfDone {
	var out []HalfDone
	for _, e := range s.Open {
		o := s.Vehicle.Opening(e.Opened.Opening)
		out = append(out, HalfDone{Opening: o, Entry: e, Undone: judge.Undone(cat, s.Vehicle, o)})
	}
	return out
}

// Left is something that a ticked step left to do, and whose own step is not
// ticked yet.
type Left struct {
	State    machine.Undone
	Position *fleet.Position // that was changed; nil: an opening was put back
	Entry    *fleet.Entry    // the tick
	How      *catalogue.Undoing
}

// Work is a job sheet that is worked through.
type Work struct {
	Begun *fleet.Entry
	Ticks map[string]*fleet.Entry  // by the key of the step
	Set   map[string][]fleet.SetTo // what was tightened to what, by the key; the newest told
}

// InHand returns the sheets that are worked through, the newest first.
func InHand(s *fleet.State) []*Work {
	var out []*Work
	by := map[string]*Work{}
	for _, e := range s.Work {
		if len(e.Work.Begins) > 0 {
			by[e.ID] = &Work{Begun: e, Ticks: map[string]*fleet.Entry{}, Set: map[string][]fleet.SetTo{}}
			out = append(out, by[e.ID])
		}
	}
	for _, e := range s.Work {
		w := by[e.Work.Of]
		if w == nil {
			continue
		}
		if w.Ticks[e.Work.Step] == nil {
			w.Ticks[e.Work.Step] = e
		}
		if len(e.Work.Set) > 0 {
			w.Set[e.Work.Step] = e.Work.Set
		}
	}
	slices.Reverse(out)
	return out
}

// The keys of steps: what is ticked on a sheet is named by these, whatever its
// number is by then.
func OpenKey(opening string) string    { return "open:" + opening }
func CloseKey(opening string) string   { return "close:" + opening }
func ChangeKey(position string) string { return "change:" + position }
func UndoKey(u machine.Undone) string  { return "undo:" + string(u) }

// Leaves returns what changing a part leaves undone that no opening for it
// undoes when it is put back.
func Leaves(k *catalogue.Kind, v *fleet.Vehicle, p *fleet.Position) []machine.Undone {
	var out []machine.Undone
	opened := v.Closure(slices.Concat(p.Seen, p.Changed))
	for _, u := range k.Leaves {
		belt := machine.BeltLoose.Covers(u)
		if belt && k.Belt == "" && v.RunOf(p.ID) == nil {
			continue // no belt of the sheet turns it
		}
		if !slices.ContainsFunc(opened, func(id string) bool {
			return slices.ContainsFunc(v.Opening(id).Leaves, func(by machine.Undone) bool { return by.Covers(u) })
		}) {
			out = append(out, u)
		}
	}
	return out
}

// LeftToDo returns what the ticked steps of sheets in hand leave to do, in the
// order in which it is said.
func LeftToDo(cat *catalogue.Catalogue, s *fleet.State) []Left {
	var out []Left
	for _, w := range InHand(s) {
		out = append(out, w.left(cat, s.Vehicle)...)
	}
	slices.SortStableFunc(out, func(a, b Left) int {
		return slices.Index(machine.All(), a.State) - slices.Index(machine.All(), b.State)
	})
	return slices.CompactFunc(out, func(a, b Left) bool { return a.State == b.State })
}

func (w *Work) left(cat *catalogue.Catalogue, v *fleet.Vehicle) []Left {
	var out []Left
	add := func(u machine.Undone, p *fleet.Position, tick *fleet.Entry) {
		if tick != nil && w.Ticks[UndoKey(u)] == nil {
			out = append(out, Left{State: u, Position: p, Entry: tick, How: cat.Undoing(u)})
		}
	}
	for i := range v.Positions {
		p := &v.Positions[i]
		if k := cat.Kind(p.Kind); k != nil && w.Ticks[ChangeKey(p.ID)] != nil {
			for _, u := range Leaves(k, v, p) {
				add(u, p, w.Ticks[ChangeKey(p.ID)])
			}
		}
	}
	for i := range v.Openings {
		o := &v.Openings[i]
		for _, was := range o.Leaves {
			for _, u := range cat.LeftBy(was) {
				add(u, nil, w.Ticks[CloseKey(o.ID)])
			}
		}
	}
	return out
}

// Forbidden returns what half-done work forbids: machine.Running where the engine
// is not even started, machine.Driving where the vehicle only stays where it is,
// or "" for nothing; and all that forbids it, each once.
func Forbidden(cat *catalogue.Catalogue, s *fleet.State) (machine.Use, []machine.Undone) {
	now := All(cat, s)
	for _, use := range []machine.Use{machine.Running, machine.Driving} {
		if why := Forbids(use, now); len(why) > 0 {
			return use, why
		}
	}
	return "", nil
}

// All returns what is undone now, each once, in the order it is said.
func All(cat *catalogue.Catalogue, s *fleet.State) []machine.Undone {
	now := map[machine.Undone]bool{}
	for _, h := range Open(cat, s) {
		for _, u := range h.Undone {
			now[u] = true
		}
	}
	for _, l := range LeftToDo(cat, s) {
		now[l.State] = true
	}
	return slices.DeleteFunc(machine.All(), func(u machine.Undone) bool { return !now[u] })
}

// Forbids returns what of some undone things forbids a use.
func Forbids(use machine.Use, now []machine.Undone) []machine.Undone {
	return slices.DeleteFunc(slices.Clone(now), func(u machine.Undone) bool { return !use.Forbids(u) })
}
