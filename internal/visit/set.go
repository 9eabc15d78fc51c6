package visit

import (
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/units"
)

// SetOf is several parts of one visit that are sold, priced and changed as one:
// a timing belt with its tensioner, idlers and pump.
type SetOf struct {
	*catalogue.Set
	Of []*judge.Judgement // two or more, the one whose kind says so first
}

// SetsOf groups what is changed into sets: a part whose kind is sold as one and
// those of its companions that belong to it.
func SetsOf(r *advise.Report, changed []*judge.Judgement) []SetOf {
	var out []SetOf
	taken := map[*judge.Judgement]bool{}
	for _, lead := range changed {
		if lead.Kind.Set == nil || taken[lead] {
			continue
		}
		set := SetOf{Set: lead.Kind.Set, Of: []*judge.Judgement{lead}}
		for _, c := range r.Companions(lead) {
			for _, p := range c.Positions {
				i := slices.IndexFunc(changed, func(j *judge.Judgement) bool { return j.Position == p })
				if i < 0 || c.Inspect || taken[changed[i]] || slices.Contains(set.Of, changed[i]) ||
					!slices.Contains(set.Kinds, p.Kind) {
					continue
				}
				set.Of = append(set.Of, changed[i])
			}
		}
		if len(set.Of) > 1 {
			out = append(out, set)
			for _, j := range set.Of {
				taken[j] = true
			}
		}
	}
	return out
}

// changed returns what the tasks of a job change.
func (j *Job) changed() []*judge.Judgement {
	var out []*judge.Judgement
	for _, t := range j.Tasks {
		if t.Do == fleet.DoReplace {
			out = append(out, t.Judgement)
		}
	}
	return out
}

// buySets makes one line of the parts of each set, at what they cost together
// where that is known. The price of a set may stand at its first part, with
// nothing at the others.
func (j *Job) buySets() {
	for _, set := range j.Sets {
		at := func(m *judge.Judgement) int {
			return slices.IndexFunc(j.Parts, func(l PartLine) bool { return l.Position == m.Position })
		}
		line := PartLine{Position: set.Of[0].Position, Spec: fleet.PartSpec{Name: set.Name}}
		var known []units.Quantity
		first := len(j.Parts)
		line.Bought = j.Parts[at(set.Of[0])].Bought
		if slices.ContainsFunc(set.Of, func(m *judge.Judgement) bool {
			b := j.Parts[at(m)].Bought
			return (b == nil) != (line.Bought == nil) || b != nil && b.ID != line.Bought.ID
		}) {
			continue // some of it was bought by itself
		}
		for _, m := range set.Of {
			l := j.Parts[at(m)]
			line.Of, first = append(line.Of, l), min(first, at(m))
			if l.Spec.Cost != nil {
				known = append(known, *l.Spec.Cost)
			}
		}
		sum, ok := SumOf(known)
		if len(known) > 0 && !ok { // currencies that do not add up
			continue
		}
		if ok {
			line.Spec.Cost = &sum
		}
		if line.Bought != nil {
			line.Spec.Number, line.Spec.Supplier = line.Bought.Bought.Number, line.Bought.Bought.Supplier
		}
		line.Reason = j.Parts[first].Reason
		j.Parts[first] = line
		j.Parts = slices.DeleteFunc(j.Parts, func(l PartLine) bool {
			return len(l.Of) == 0 && slices.ContainsFunc(set.Of, func(m *judge.Judgement) bool {
				return m.Position == l.Position
			})
		})
	}
}

// Lines returns the tasks as they are told: those of a set as one.
func (j *Job) Lines() []Task {
	return FoldSets(j.Tasks, j.Sets, func(t *Task) *judge.Judgement {
		return t.Judgement
	}, func(t *Task, set *SetOf, of []Task) { t.set, t.others = set, of })
}

// FoldSets makes one of the tasks of each set, in the place of the first: as
// tells it what it stands for.
func FoldSets[T any](tasks []T, sets []SetOf, of func(*T) *judge.Judgement,
	as func(first *T, set *SetOf, others []T)) []T {
	var out []T
	at := map[*SetOf]int{}
	others := map[*SetOf][]T{}
	for i := range tasks {
		k := slices.IndexFunc(sets, func(s SetOf) bool { return slices.Contains(s.Of, of(&tasks[i])) })
		if k < 0 {
			out = append(out, tasks[i])
			continue
		}
		set := &sets[k]
		if _, ok := at[set]; !ok {
			at[set] = len(out)
			out = append(out, tasks[i])
			continue
		}
		others[set] = append(others[set], tasks[i])
	}
	for set, i := range at {
		as(&out[i], set, others[set])
	}
	return out
}

// Alike groups tasks of which the same is said, each group in the place of its
// first; one of which said gives "" stands by itself.
func Alike[T any](tasks []T, said func(*T) string) [][]T {
	var out [][]T
	at := map[string]int{}
	for i := range tasks {
		words := said(&tasks[i])
		k, known := at[words]
		switch {
		case known && words != "":
			out[k] = append(out[k], tasks[i])
			continue
		case words != "":
			at[words] = len(out)
		}
		out = append(out, tasks[i:i+1:i+1])
	}
	return out
}

// SumOf adds amounts up, and is false where there are none or the currencies
// differ.
func SumOf(known []units.Quantity) (units.Quantity, bool) {
	if len(known) == 0 {
		return units.Quantity{}, false
	}
	total, err := units.Sum(known...)
	return total, err == nil
}
