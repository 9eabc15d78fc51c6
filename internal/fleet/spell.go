package fleet

import (
	"slices"
	"time"
)

// Spell is a stretch of work on a job sheet: the steps ticked at its end, and when
// it began, which is when the ticks before them were set.
type Spell struct {
	Of   string    `json:"of"`             // the entry that began the sheet
	Keys []string  `json:"keys,omitempty"` // of the steps
	From time.Time `json:"from,omitzero"`  // zero: not known
	To   time.Time `json:"to"`
}

// Together is how close ticks are that tell of one stretch of work: nobody does a
// step in less, and several are ticked with dirty hands at once (common practice).
const Together = time.Minute

// foldSpell takes the time of a tick. What was ticked and taken back, and what was
// ticked out of its time, tells none.
func (s *State) foldSpell(e *Entry) {
	w, at := e.Work, e.Instant()
	of := w.Of
	if len(w.Begins) > 0 {
		of = e.ID
	}
	last := -1
	for i := range s.Spells {
		if s.Spells[i].Of == of {
			last = i
		}
	}
	switch {
	case w.Ended:
		s.Spells = slices.DeleteFunc(s.Spells, func(p Spell) bool { return p.Of == of && p.From.IsZero() })
	case w.Back:
		s.spoil(of, w.Step)
	case len(w.Begins) > 0 || last < 0:
		s.addSpell(Spell{Of: of, Keys: keysOf(w), To: at})
	case s.ticked(of, w.Step): // only a figure is added
	case at.Before(s.Spells[last].To):
		s.Spells[last].From = time.Time{}
		fallthrough
	case at.Sub(s.Spells[last].To) < Together:
		p := &s.Spells[last]
		p.Keys = append(slices.Clone(p.Keys), w.Step)
		if at.After(p.To) {
			p.To = at
		}
	default:
		s.addSpell(Spell{Of: of, Keys: keysOf(w), From: s.Spells[last].To, To: at})
	}
}

func keysOf(w *Work) []string {
	if w.Step == "" {
		return nil
	}
	return []string{w.Step}
}

func (s *State) addSpell(p Spell) { s.Spells = newest(append(s.Spells, p), mostSpells) }

func (s *State) ticked(of, key string) bool {
	return slices.ContainsFunc(s.Work, func(e *Entry) bool { return e.Work.Of == of && e.Work.Step == key })
}

// spoil forgets since when a step was worked on.
func (s *State) spoil(of, key string) {
	for i := range s.Spells {
		if p := &s.Spells[i]; p.Of == of && slices.Contains(p.Keys, key) {
			p.From = time.Time{}
		}
	}
}
