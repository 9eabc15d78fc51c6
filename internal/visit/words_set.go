package visit

import (
	"strings"

	"undertray/internal/say"
)

// Words names a set and what is in it: "Timing set: timing belt, tensioner and
// idler".
func (s *SetOf) Words() string {
	names := make([]string, len(s.Of))
	for i, j := range s.Of {
		names[i] = say.LowerFirst(j.Position.Name)
	}
	return s.Name + ": " + say.Listing(names)
}

// Title names what a task is about: its position, or its set.
func (t *Task) Title() string {
	if t.set != nil {
		return t.set.Words()
	}
	return t.Judgement.Position.Name
}

// What names a part to buy. That of a set names what belongs to it, and of
// which of them the price is not known.
func (l *PartLine) What() string {
	if len(l.Of) == 0 {
		return l.Spec.Name
	}
	var names, unpriced []string
	for _, p := range l.Of {
		name := say.LowerFirst(p.Spec.Name)
		if l.Spec.Cost != nil && p.Spec.Cost == nil {
			unpriced = append(unpriced, name)
		}
		if q := p.Spec.Quantity; q != "" && q != "1" {
			name = q + " × " + name
		}
		if p.Spec.Number != "" {
			name += " " + p.Spec.Number
		}
		names = append(names, name)
	}
	out := l.Spec.Name + ": " + strings.Join(names, "; ")
	if len(unpriced) > 0 {
		out += "; priced without the " + say.Listing(unpriced)
	}
	return out
}
