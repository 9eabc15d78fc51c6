package fleet

import (
	"slices"
	"strings"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// Action is what puts right what a limit found. Empty: it does not say.
type Action string

// The actions.
const (
	Change  Action = "change"
	TopUp   Action = "top-up" // and find where it goes
	Tighten Action = "tighten"
	Refit   Action = "refit"
	Clean   Action = "clean"
	ReRoute Action = "re-route"
	Test    Action = "test"
	FindOut Action = "find-out"
	CutOff  Action = "cut-off" // a belt that nothing on the road needs
)

// Actions lists every action.
func Actions() []Action {
	return []Action{Change, TopUp, Tighten, Refit, Clean, ReRoute, Test, FindOut, CutOff}
}

// UnmarshalText reads one of Actions.
func (a *Action) UnmarshalText(text []byte) error {
	known := Actions()
	if !slices.Contains(known, Action(text)) {
		words := make([]string, len(known))
		for i, k := range known {
			words[i] = string(k)
		}
		return message.Errorf("%q is not an action: %s", text, Instead(string(text), words))
	}
	*a = Action(text)
	return nil
}

// Occasion is a moment to put something right that needs no figure.
type Occasion string

// The occasions.
const (
	BeforeNextDrive Occasion = "before-next-drive"
	NextVisit       Occasion = "next-visit"
	NextOilChange   Occasion = "next-oil-change"
)

// Occasions lists every occasion, the nearest first.
func Occasions() []Occasion { return []Occasion{BeforeNextDrive, NextVisit, NextOilChange} }

// Deadline is by when something is put right: an occasion, or within a
// distance, a time or both, whichever is over first. It is written as one
// text: "next-visit", "500 km", "500 km or 2 weeks".
type Deadline struct {
	Occasion Occasion
	Distance *units.Quantity
	Time     *units.Quantity
}

// UnmarshalText reads a deadline as it is written.
func (d *Deadline) UnmarshalText(text []byte) error {
	if slices.Contains(Occasions(), Occasion(text)) {
		*d = Deadline{Occasion: Occasion(text)}
		return nil
	}
	var out Deadline
	for part := range strings.SplitSeq(string(text), " or ") {
		q, err := units.ParseAny(part)
		switch {
		case err == nil && q.Base() > 0 && out.Distance == nil &&
			(q.Dimension() == units.Distance || q.Dimension() == units.EngineHours):
			out.Distance = &q
		case err == nil && q.Base() > 0 && q.Dimension() == units.TimeSpan && out.Time == nil:
			out.Time = &q
		default:
			return message.Errorf("%q is not a deadline: write before-next-drive, next-visit, next-oil-change, or "+
				"within what, such as 500 km or 2 weeks", text)
		}
	}
	*d = out
	return nil
}

// MarshalText writes a deadline as UnmarshalText reads it.
func (d Deadline) MarshalText() ([]byte, error) {
	if d.Occasion != "" {
		return []byte(d.Occasion), nil
	}
	var parts []string
	for _, q := range []*units.Quantity{d.Distance, d.Time} {
		if q != nil {
			parts = append(parts, q.String())
		}
	}
	return []byte(strings.Join(parts, " or ")), nil
}

// String is the deadline as it is written.
func (d Deadline) String() string {
	text, _ := d.MarshalText()
	return string(text)
}

// Action returns what puts right what the limit found: what it says, or else a
// change of the part for one with the verdict put right, which is what most ask
// for. It is empty for others that do not say.
func (l *Limit) Action() Action {
	if l.Do == "" && l.Verdict == PutRight {
		return Change
	}
	return l.Do
}

// Deadline returns by when that is done: what the limit says, or else the next
// visit. It is nil for a limit that does not ask for it, and for one with the
// verdict park, which lets nothing be driven until then.
func (l *Limit) Deadline() *Deadline {
	if l.By == nil && l.Verdict == PutRight {
		return &Deadline{Occasion: NextVisit}
	}
	return l.By
}

// Undue says what is wrong with the action or the deadline of a limit, and
// under which key: neither belongs to a part that is kept, and a deadline only
// to one that is put right. Both are empty for a limit in order.
func (l *Limit) Undue() (key, wrong string) {
	switch {
	case l.Do != "" && l.Verdict == Keep:
		return "do", "do says what puts it right, and this limit keeps the part: take it out"
	case l.By != nil && l.Verdict == Park:
		return "by", "by has no place with the verdict park: the vehicle stands until it is put right"
	case l.By != nil && l.Verdict != PutRight:
		return "by", "by says by when it is put right, and this limit asks for no more than a look: take it out"
	}
	return "", ""
}
