package advise

import (
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/undone"
)

// Open lists what was opened and not closed again, in that order.
func (r *Report) Open() []undone.HalfDone { return undone.Open(r.Catalogue, r.State) }

// Still lists what ticked steps of job sheets leave to do.
func (r *Report) Still() []undone.Left { return undone.LeftToDo(r.Catalogue, r.State) }

// Forbidden returns what half-done work forbids, and all that forbids it: see
// undone.Forbidden.
func (r *Report) Forbidden() (machine.Use, []machine.Undone) {
	return undone.Forbidden(r.Catalogue, r.State)
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
			if slices.ContainsFunc(v.Closure([]string{h.Opening.ID}), func(id string) bool {
				return slices.Contains(ids, id)
			}) {
				all = append(all, h.Opening.ID)
			}
		}
	}
	var out []*fleet.Entry
	for _, id := range all {
		if r.State.IsOpen(id) == closed && v.Opening(id).Undo != "" {
			out = append(out, &fleet.Entry{Type: fleet.TypeOpened, Date: r.On,
				Opened: &fleet.Opened{Opening: id, Closed: closed, Note: note}})
		}
	}
	if len(out) == 0 {
		return nil, Fault("opening", "nothing of that changes: it is so already, or nothing undoes it",
			message.Of("see what is open with: undertray opened %s", v.ID))
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
		return nil, &fleet.Error{Kind: fleet.Conflict, Where: "position",
			Msg:  message.Of("the %s parks the vehicle, and that is never left", say.LowerFirst(j.Position.Name)),
			Hint: "put it right first"}
	case len(j.Todos) == 0:
		return nil, &fleet.Error{Kind: fleet.Conflict, Where: "position",
			Msg:  message.Of("the %s asks for nothing that could be left", say.LowerFirst(j.Position.Name)),
			Hint: "look at its state"}
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
