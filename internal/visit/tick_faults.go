package visit

import (
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/undone"
)

func (t *ticker) numbered(st *Step) message.Text {
	return undone.Numbered(t.r.Vehicle, t.r.Catalogue, st.N, st.Keys[0])
}

func (t *ticker) list(steps []*Step) message.Text {
	var out []message.Text
	for _, st := range steps {
		out = append(out, t.numbered(st))
	}
	return told.Most(out, 3)
}

// unticked asks about the steps before one that is ticked.
func (t *ticker) unticked(st *Step, missing []*Step) error {
	return &Unticked{Steps: missing, error: &fleet.Error{Kind: fleet.Conflict, Where: t.numbered(st).String(),
		Msg:  message.Of("not ticked before it: %s", t.list(missing)),
		Hint: "say that those are done too (--too), or that only this one is (--only)"}}
}

// forbidden says what keeps a step from having been done, and which steps undo it.
func (t *ticker) forbidden(st *Step, why []machine.Undone) error {
	var first []*Step
	for i := range t.job.Steps {
		o := &t.job.Steps[i]
		undoes := func(u machine.Undone) bool {
			return o.Kind == StepClose && covers(o.Opening, u) || o.Keys[0] == undone.UndoKey(u)
		}
		if !o.Done && o != st && slices.ContainsFunc(why, undoes) {
			first = append(first, o)
		}
	}
	hint := message.Text("close what is open first: its page says what that is")
	if len(first) > 0 {
		hint = message.Of("first %s", t.list(first))
	}
	return &fleet.Error{Kind: fleet.Conflict, Where: t.numbered(st).String(),
		Msg: message.Of("that is not done with this state: %s", undone.Words(why)), Hint: hint}
}

func covers(o *fleet.Opening, u machine.Undone) bool {
	return slices.ContainsFunc(o.Leaves, func(by machine.Undone) bool { return by.Covers(u) })
}

// shut says what must be closed before a step's opening is.
func (t *ticker) shut(st *Step, over *fleet.Opening) error {
	return &fleet.Error{Kind: fleet.Conflict, Where: t.numbered(st).String(),
		Msg:  message.Of("that cannot be before this is undone: %s", say.LowerFirst(over.Stands())),
		Hint: message.Of("first %s", say.LowerFirst(over.Undo))}
}

// rests says what keeps a tick from being taken back.
func (t *ticker) rests(st *Step, over *fleet.Opening) error {
	return &fleet.Error{Kind: fleet.Conflict, Where: t.numbered(st).String(),
		Msg:  message.Of("its tick is not taken back while this rests on it: %s", say.LowerFirst(over.Stands())),
		Hint: "take that tick back first"}
}
