package advise

import (
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

func (r *Report) unknownPosition(id string) error {
	ids := make([]string, len(r.Judgements))
	for i := range r.Judgements {
		ids[i] = r.Judgements[i].Position.ID
	}
	return NotFound(r.Vehicle.Name, "position", id, ids)
}

// NotFound is the error for something a vehicle does not have: what is the kind of
// thing, id what was asked for, known what there is.
func NotFound(vehicle string, what message.Text, id string, known []string) error {
	hint := message.Of("the vehicle sheet lists every %s", what)
	if near := fleet.Nearest(id, known); near != "" {
		hint = message.Of("did you mean %q?", near)
	}
	return &fleet.Error{Kind: fleet.NotFound, Where: what.String(),
		Msg: message.Of("%s has no %s %q", vehicle, what, id), Hint: hint}
}

// Fault is the error for a question that makes no sense: which part of it, what
// is wrong and what would be right.
func Fault(field string, msg, hint message.Text) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: field, Msg: msg, Hint: hint}
}
