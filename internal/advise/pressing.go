package advise

import (
	"cmp"
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
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
	slices.SortStableFunc(p.Now, r.graver)
	slices.SortStableFunc(p.Within, func(a, b *judge.Judgement) int {
		return cmp.Or(r.When(a.Todos[0].Until).compare(r.When(b.Todos[0].Until)), r.graver(a, b))
	})
	slices.SortStableFunc(p.Later, r.graver)
	return p
}

// graver orders parts of one deadline: first those of systems of which no part
// sets out past a limit, then what strands, then the rest, each as the sheet has
// them.
func (r *Report) graver(a, b *judge.Judgement) int { return cmp.Compare(r.gravity(a), r.gravity(b)) }

func (r *Report) gravity(j *judge.Judgement) int {
	switch {
	case r.Catalogue.NeverLate(cmp.Or(j.Position.System, j.Kind.System)):
		return 0
	case j.Strands():
		return 1
	}
	return 2
}

// All lists what is to be put right, the nearest deadline and the gravest first.
func (p *Pressing) All() []*judge.Judgement { return slices.Concat(p.Now, p.Within, p.Later) }

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
