package record

import (
	"errors"
	"slices"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// Answer reads what a person typed as the answer to a check of a kind: the id
// of an answer, its words, or a figure with its unit. A bare number is taken in
// the check's own unit where that unit cannot be mistaken. The error is a
// *fleet.Error that lists what would be right.
func Answer(kind *catalogue.Kind, check, typed string) (*fleet.Found, error) {
	c := kind.Check(check)
	if c == nil {
		return nil, unknownCheck(kind, check)
	}
	typed = strings.TrimSpace(typed)
	f := &fleet.Found{Check: check}
	if c.Measured() {
		q, err := figure(c, typed)
		if err != nil {
			return nil, err
		}
		f.Value = &q
		return f, nil
	}
	i := slices.IndexFunc(c.Answers, func(a catalogue.Answer) bool {
		return strings.EqualFold(a.ID, typed) || strings.EqualFold(a.Say, typed)
	})
	if i < 0 {
		return nil, invalid(check, message.Of("%q is not an answer to %q", typed, c.Question),
			message.Of("answer one of %s", strings.Join(c.AnswerIDs(), ", ")))
	}
	f.Answer = c.Answers[i].ID
	return f, nil
}

// Sound reads what a recording answers: the check of a kind that one can
// answer. The error is as that of Answer, and of kind NotFound for a kind
// without such a check.
func Sound(kind *catalogue.Kind, typed string) (*fleet.Found, error) {
	if kind == nil || kind.SoundCheck() == nil {
		return nil, &fleet.Error{Kind: fleet.NotFound, Msg: "this part has no check of its noise",
			Hint: "keep the recording with a note"}
	}
	return Answer(kind, kind.SoundCheck().ID, typed)
}

// Material refuses a material that a part of a kind cannot be of, with a list of
// those it can be of. "", not known, is right, and a kind without materials takes
// any.
func Material(kind *catalogue.Kind, typed string) error {
	if kind.CanBeOf(typed) {
		return nil
	}
	hint := message.Of("its materials are %s; leave it out where it is not known", strings.Join(kind.Materials, ", "))
	if near := fleet.Nearest(typed, kind.Materials); near != "" {
		hint = message.Of("did you mean %q? %s", near, hint)
	}
	return invalid("material", message.Of("%q is not a material of the kind %q", typed, kind.ID), hint)
}

// figure reads a quantity that answers a check. A bare number takes the
// check's unit.
func figure(c *catalogue.Check, typed string) (units.Quantity, error) {
	q, err := units.ParseAny(typed)
	if err != nil || q.Dimension() == units.Number && !c.Takes(q) {
		if with, again := units.ParseAny(typed + " " + c.Unit); again == nil {
			q, err = with, nil
		}
	}
	var wrong *units.Error
	if errors.As(err, &wrong) { // what else it could be in other units does not help here
		return q, &fleet.Error{Kind: fleet.Invalid, Where: c.ID, Msg: message.Of("%q %s", typed, wrong.Problem),
			Hint: message.Of("give a figure in %s", c.Unit), Err: err}
	}
	if !c.Takes(q) {
		return q, invalid(c.ID, message.Of("%q does not answer %q", q, c.Question),
			message.Of("give a figure in %s", c.Unit))
	}
	return q, nil
}

// Findings turns the rows of a filled-in round into entries of one vehicle.
// Rows are given as position, check and what was typed; where says where each
// stands, for its error. All faults are returned joined.
func Findings(cat *catalogue.Catalogue, v *fleet.Vehicle, rows []TypedFinding) ([]*fleet.Entry, []error) {
	var out []*fleet.Entry
	var errs []error
	c := checker{vehicle: v, catalogue: cat.Of(v)}
	for _, row := range rows {
		f, err := c.typed(row)
		if err != nil {
			errs = append(errs, place(err, row.Where))
			continue
		}
		out = append(out, &fleet.Entry{Type: fleet.TypeFound, Found: f})
	}
	return out, errs
}

// TypedFinding is one answer as a person wrote it.
type TypedFinding struct {
	Where, Position, Check, Answer, Note string
}

func (c *checker) typed(row TypedFinding) (*fleet.Found, error) {
	p, err := c.position(row.Position)
	if err != nil {
		return nil, err
	}
	kind := c.catalogue.Kind(p.Kind)
	if kind == nil {
		return nil, &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("the catalogue has no kind %q", p.Kind)}
	}
	f, err := Answer(kind, row.Check, row.Answer)
	if err != nil {
		return nil, err
	}
	f.Position, f.Note = row.Position, row.Note
	return f, nil
}

// place puts where a row stands in front of its error.
func place(err error, where string) error {
	e, ok := err.(*fleet.Error)
	if !ok || where == "" {
		return err
	}
	located := *e
	located.Where = where
	return &located
}
