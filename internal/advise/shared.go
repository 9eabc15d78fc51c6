package advise

import (
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// Sharing returns the causes that a part has in common with others.
func (r *Report) Sharing(j *judge.Judgement) []judge.SharedCause {
	var out []judge.SharedCause
	for _, s := range r.Shared {
		if slices.Contains(s.Positions, j.Position) {
			out = append(out, s)
		}
	}
	return out
}

// Own returns a judgement with what the causes that it shares tell once left
// out: what may be behind them, what to put right first and where to look.
func (r *Report) Own(j *judge.Judgement) *judge.Judgement {
	shared := r.Sharing(j)
	if len(shared) == 0 {
		return j
	}
	own := *j
	own.Causes = slices.DeleteFunc(slices.Clone(j.Causes), func(c catalogue.Cause) bool {
		return tells(shared, j, []string{c.Of})
	})
	own.First = slices.DeleteFunc(slices.Clone(j.First), func(f catalogue.First) bool {
		return tells(shared, j, f.When)
	})
	own.With = slices.DeleteFunc(slices.Clone(j.With), func(c judge.Companion) bool {
		return c.Inspect && tells(shared, j, c.When)
	})
	return &own
}

// tells reports whether advice stands with a part for symptoms alone that it
// shares with others.
func tells(shared []judge.SharedCause, j *judge.Judgement, when []string) bool {
	here := slices.DeleteFunc(slices.Clone(when), func(s string) bool { return !slices.Contains(j.Symptoms, s) })
	return len(here) > 0 && !slices.ContainsFunc(here, func(s string) bool {
		return !slices.ContainsFunc(shared, func(c judge.SharedCause) bool { return c.Symptom.ID == s })
	})
}

// lookedFor returns where else the parts that share a cause ask to look for it.
func (r *Report) lookedFor(s judge.SharedCause) []*fleet.Position {
	var out []*fleet.Position
	for _, p := range s.Positions {
		j := r.Judgement(p.ID)
		if j == nil {
			continue
		}
		for _, c := range j.With {
			for _, at := range c.Positions {
				if c.Inspect && slices.Contains(c.When, s.Symptom.ID) && !slices.Contains(s.Positions, at) &&
					!slices.Contains(out, at) {
					out = append(out, at)
				}
			}
		}
	}
	return out
}
