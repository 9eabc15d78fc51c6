package advise

import (
	"slices"

	"undertray/internal/fleet"
	"undertray/internal/judge"
)

// Pressing is what is to be put right before the next visit comes round.
type Pressing struct {
	Now    []*judge.Judgement // before the next drive
	Within []*judge.Judgement // within a distance or a time, the nearest first
	Later  []*judge.Judgement // at the next visit or oil change
}

// Pressing sorts what is to be put right by its nearest deadline.
func (r *Report) Pressing() Pressing {
	var p Pressing
	for _, j := range r.With(fleet.PutRight) {
		switch {
		case len(j.Todos) > 0 && j.Todos[0].Now:
			p.Now = append(p.Now, j)
		case len(j.Todos) > 0 && j.Todos[0].By.Occasion == "":
			p.Within = append(p.Within, j)
		default:
			p.Later = append(p.Later, j)
		}
	}
	slices.SortStableFunc(p.Within, func(a, b *judge.Judgement) int {
		return r.When(a.Todos[0].Until).compare(r.When(b.Todos[0].Until))
	})
	return p
}

// compare orders by the day expected, those without one last.
func (w When) compare(o When) int {
	switch {
	case w.Expected.IsZero() && o.Expected.IsZero():
		return 0
	case w.Expected.IsZero():
		return 1
	case o.Expected.IsZero():
		return -1
	}
	return w.Expected.Compare(o.Expected)
}
