package advise

import (
	"fmt"
	"slices"

	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/internal/machine"
	"undertray/internal/say"
)

// HalfDone is an opening that the journal leaves open, and what that leaves
// undone on this vehicle.
type HalfDone struct {
	Opening *fleet.Opening
	Entry   *fleet.Entry
	Undone  []machine.Undone
}

// Open lists what was opened and not closed again, in that order.
func (r *Report) Open() []HalfDone {
	var out []HalfDone
	for _, e := range r.State.Open {
		o := r.Vehicle.Opening(e.Opened.Opening)
		out = append(out, HalfDone{Opening: o, Entry: e, Undone: judge.Undone(r.Catalogue, r.Vehicle, o)})
	}
	return out
}

// Forbidden returns what half-done work forbids: machine.Running where the
// engine is not even started, machine.Driving where the vehicle only stays where
// it is, or "" for nothing; and all that forbids it, each once.
func (r *Report) Forbidden() (machine.Use, []machine.Undone) {
	for _, use := range []machine.Use{machine.Running, machine.Driving} {
		var why []machine.Undone
		for _, u := range machine.All() {
			if use.Forbids(u) && slices.ContainsFunc(r.Open(), func(h HalfDone) bool { return slices.Contains(h.Undone, u) }) {
				why = append(why, u)
			}
		}
		if len(why) > 0 {
			return use, why
		}
	}
	return "", nil
}

// Opened returns the entries that say that these openings were made, those they
// need included, or closed again: of what is so already none, and of a wait that
// nothing undoes none either. Closing takes what needs the opening with it. It
// returns a *fleet.Error of kind NotFound where an opening is unknown, and of
// kind Invalid where nothing changes.
func (r *Report) Opened(ids []string, closed bool, note string) ([]*fleet.Entry, error) {
	v := r.Vehicle
	for _, id := range ids {
		if v.Opening(id) == nil {
			return nil, NotFound(v.Name, "opening", id, openingIDs(v))
		}
	}
	all := v.Closure(ids)
	if closed {
		all = nil
		for _, h := range slices.Backward(r.Open()) {
			if slices.ContainsFunc(v.Closure([]string{h.Opening.ID}), func(id string) bool { return slices.Contains(ids, id) }) {
				all = append(all, h.Opening.ID)
			}
		}
	}
	var out []*fleet.Entry
	for _, id := range all {
		open := slices.ContainsFunc(r.State.Open, func(e *fleet.Entry) bool { return e.Opened.Opening == id })
		if open == closed && v.Opening(id).Undo != "" {
			out = append(out, &fleet.Entry{Type: fleet.TypeOpened, Date: r.On, Opened: &fleet.Opened{Opening: id, Closed: closed, Note: note}})
		}
	}
	if len(out) == 0 {
		return nil, Fault("opening", "nothing of that changes: it is so already, or nothing undoes it", "undertray opened "+v.ID+" says what is open")
	}
	return out, nil
}

func openingIDs(v *fleet.Vehicle) []string {
	ids := make([]string, len(v.Openings))
	for i := range v.Openings {
		ids[i] = v.Openings[i].ID
	}
	return ids
}

// SetAside returns the entry that says that the owner leaves what a part asks
// for, and why. A part that parks the vehicle is not left: the error is then of
// kind Conflict.
func (r *Report) SetAside(position, why string) (*fleet.Entry, error) {
	j, err := r.Find(position)
	switch {
	case err != nil:
		return nil, err
	case j.Verdict == fleet.Park:
		return nil, &fleet.Error{Kind: fleet.Conflict, Where: "position", Msg: fmt.Sprintf("the %s parks the vehicle, and that is never left", say.LowerFirst(j.Position.Name)), Hint: "put it right first"}
	case len(j.Todos) == 0:
		return nil, &fleet.Error{Kind: fleet.Conflict, Where: "position", Msg: fmt.Sprintf("the %s asks for nothing that could be left", say.LowerFirst(j.Position.Name)), Hint: "look at its state"}
	}
	return &fleet.Entry{Type: fleet.TypeAside, Date: r.On, Aside: &fleet.Aside{Position: j.Position.ID, Why: why}}, nil
}

// Left returns what the owner has left as it is, by the nearest deadline.
func (r *Report) Left() []*judge.Judgement {
	var out []*judge.Judgement
	for _, j := range r.With(fleet.PutRight) {
		if slices.ContainsFunc(j.Todos, func(t judge.Todo) bool { return t.Left != nil }) {
			out = append(out, j)
		}
	}
	return out
}
