package edit

import (
	"fmt"
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/sheet"
)

// SetRun puts a belt run in place of the one with its id, or behind the others.
func SetRun(v *fleet.Vehicle, r fleet.Run) {
	if old := v.Run(r.ID); old != nil {
		*old = r
		return
	}
	v.Runs = append(v.Runs, r)
}

// AddPosition adds a position behind the last of its system, or behind all. One of
// a place that is no longer on the vehicle puts that back, with its past.
func AddPosition(v *fleet.Vehicle, p fleet.Position, known sheet.Knowledge) {
	v.Former = slices.DeleteFunc(v.Former, func(f fleet.Former) bool { return f.ID == p.ID })
	at := len(v.Positions)
	for i := range v.Positions {
		if system(&v.Positions[i], known) == system(&p, known) {
			at = i + 1
		}
	}
	v.Positions = slices.Insert(v.Positions, at, p)
}

func system(p *fleet.Position, known sheet.Knowledge) string {
	if k := known.Kind(p.Kind); p.System == "" && k != nil {
		return k.System
	}
	return p.System
}

// RemovePosition takes a position off the sheet and out of what names it; of a belt,
// its run goes with it. What the journal holds of it stays and keeps its name: the
// sheet lists it as former.
func RemovePosition(v *fleet.Vehicle, id string) error {
	p := v.Position(id)
	if p == nil {
		return unknown(v, "position", id)
	}
	v.Former = append(v.Former, fleet.Former{ID: id, Name: p.Name, Kind: p.Kind})
	v.Positions = slices.DeleteFunc(v.Positions, func(p fleet.Position) bool { return p.ID == id })
	for i := range v.Positions {
		p := &v.Positions[i]
		p.Neighbours = without(p.Neighbours, id)
	}
	v.Runs = slices.DeleteFunc(v.Runs, func(r fleet.Run) bool { return r.Belt == id })
	for i := range v.Runs {
		for j := range v.Runs[i].Pulleys {
			if at := &v.Runs[i].Pulleys[j].Position; *at == id {
				*at = ""
			}
		}
	}
	return nil
}

// RemoveOpening takes an opening off the sheet. What was reached through it needs
// from now on what the opening itself needed: nothing is reached under a vehicle
// that is not raised.
func RemoveOpening(v *fleet.Vehicle, id string) error {
	o := v.Opening(id)
	if o == nil {
		return unknown(v, "opening", id)
	}
	needs := o.Needs
	v.Former = append(v.Former, fleet.Former{ID: id, Name: o.Name})
	v.Openings = slices.DeleteFunc(v.Openings, func(o fleet.Opening) bool { return o.ID == id })
	instead := func(ids []string) []string {
		i := slices.Index(ids, id)
		if i < 0 {
			return ids
		}
		out := slices.Clone(ids[:i])
		for _, need := range slices.Concat(needs, ids[i+1:]) {
			if !slices.Contains(out, need) {
				out = append(out, need)
			}
		}
		return out
	}
	for i := range v.Openings {
		v.Openings[i].Needs = instead(v.Openings[i].Needs)
	}
	for i := range v.Positions {
		p := &v.Positions[i]
		p.Seen, p.Changed = instead(p.Seen), instead(p.Changed)
	}
	return nil
}

// without is a list without an item, nil where nothing is left.
func without(list []string, item string) []string {
	out := slices.DeleteFunc(slices.Clone(list), func(s string) bool { return s == item })
	if len(out) == 0 {
		return nil
	}
	return out
}

func unknown(v *fleet.Vehicle, what, id string) error {
	return &fleet.Error{Kind: fleet.NotFound, Where: what,
		Msg:  message.Of("the sheet of %s has no %s %q", v.Name, what, id),
		Hint: "load the page again: the sheet may have been changed"}
}

// NewID makes the id of something new from its name. It is never one that the sheet
// has or had, nor one of those taken: the journal's, so that nothing new is given
// the past of something else.
func NewID(v *fleet.Vehicle, name string, taken ...string) string {
	used := map[string]bool{}
	for _, id := range taken {
		used[id] = true
	}
	for _, o := range v.Openings {
		used[o.ID] = true
	}
	for _, p := range v.Positions {
		used[p.ID] = true
	}
	for _, r := range v.Runs {
		used[r.ID] = true
	}
	for _, f := range v.Former {
		used[f.ID] = true
	}
	id := sheet.IDFrom(name)
	for n := 2; used[id]; n++ {
		id = fmt.Sprintf("%s-%d", sheet.IDFrom(name), n)
	}
	return id
}
