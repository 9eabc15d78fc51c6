package judge

import (
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// Companion is something to change or to look at along with a part.
type Companion struct {
	// Positions are the vehicle's positions it is about; none for things
	// without a position, such as new washers.
	Positions []*fleet.Position
	When      []string // symptoms that call for it; none: always
	Inspect   bool     // look at them, do not change them
	Say       string
	Source    fleet.Sources
}

// companions resolves the kind's advice to positions of this vehicle. Advice
// about kinds the vehicle does not have is left out.
func (in *Input) companions(j *Judgement) []Companion {
	var out []Companion
	changed := map[*fleet.Position]bool{} // a set is told once, however many of its parts say so
	for _, w := range j.Kind.With {
		if !applies(w.When, j) {
			continue
		}
		c := Companion{When: w.When, Inspect: w.Inspect, Say: w.Say, Source: w.Source}
		if len(w.Kinds) > 0 {
			c.Positions = slices.DeleteFunc(in.matching(j, w), func(p *fleet.Position) bool { return changed[p] })
			for _, p := range c.Positions {
				changed[p] = !w.Inspect
			}
			if len(c.Positions) == 0 {
				continue
			}
		}
		out = append(out, c)
		if !w.Inspect {
			out = append(out, in.restOfSets(j, c.Positions, changed)...)
		}
	}
	return out
}

// restOfSets returns what else belongs to a whole set, such as that of a timing
// belt, that a part of it brings along.
func (in *Input) restOfSets(j *Judgement, along []*fleet.Position, changed map[*fleet.Position]bool) []Companion {
	var out []Companion
	for _, p := range along {
		k := in.Catalogue.Kind(p.Kind)
		if k == nil || k.Set == nil || !k.Set.Whole || !slices.Contains(k.Set.Kinds, j.Kind.ID) {
			continue
		}
		lead := &Judgement{Position: p, Kind: k, Place: in.State.Place(p.ID)}
		for _, w := range k.With {
			if w.Inspect || len(w.When) > 0 || len(w.Kinds) == 0 {
				continue
			}
			rest := slices.DeleteFunc(in.matching(lead, w), func(p *fleet.Position) bool {
				return p == j.Position || changed[p] || !slices.Contains(k.Set.Kinds, p.Kind)
			})
			if len(rest) == 0 {
				continue
			}
			for _, p := range rest {
				changed[p] = true
			}
			out = append(out, Companion{Positions: rest, Say: w.Say, Source: w.Source})
		}
	}
	return out
}

// Advised returns the kind's advice on what goes along with the part under
// this judgement, whatever vehicle it is on.
func Advised(j *Judgement) []catalogue.With {
	var out []catalogue.With
	for _, w := range j.Kind.With {
		if applies(w.When, j) {
			out = append(out, w)
		}
	}
	return out
}

// CompanionsForChange returns what goes along with a part that is to be
// changed for whatever reason, its verdict aside.
func CompanionsForChange(in Input, j *Judgement) []Companion {
	change := *j
	change.Verdict = max(change.Verdict, fleet.PutRight)
	return in.companions(&change)
}

func (in *Input) matching(j *Judgement, w catalogue.With) []*fleet.Position {
	var out []*fleet.Position
	for i := range in.State.Vehicle.Positions {
		p := &in.State.Vehicle.Positions[i]
		place := in.State.Place(p.ID)
		if p == j.Position || place.Fitted == nil || !slices.Contains(w.Kinds, p.Kind) {
			continue
		}
		if in.near(j.Position, p, w.Where) && in.oldEnough(j, place, w) {
			out = append(out, p)
		}
	}
	return out
}

// near reports whether a position lies where a companion is looked for.
func (in *Input) near(a, b *fleet.Position, where string) bool {
	v := in.State.Vehicle
	switch where {
	case catalogue.OnRun:
		run := v.RunOf(a.ID)
		return run != nil && run.Has(b.ID)
	case catalogue.InSystem:
		return in.system(a) == in.system(b)
	case catalogue.Neighbour:
		return Neighbours(a, b)
	}
	return true
}

func (in *Input) system(p *fleet.Position) string {
	if p.System != "" {
		return p.System
	}
	if k := in.Catalogue.Kind(p.Kind); k != nil {
		return k.System
	}
	return ""
}

// Neighbours reports whether either position names the other as a neighbour.
func Neighbours(a, b *fleet.Position) bool {
	return slices.Contains(a.Neighbours, b.ID) || slices.Contains(b.Neighbours, a.ID)
}

// oldEnough applies a companion's condition on age. "Same age" means fitted
// up to a year after the part itself, or earlier, or at an unknown time.
func (in *Input) oldEnough(j *Judgement, place *fleet.Place, w catalogue.With) bool {
	from, _ := in.from(place.Fitted)
	if w.Age == catalogue.SameAge {
		mine, _ := in.from(j.Place.Fitted)
		if !from.Date.IsZero() && !mine.Date.IsZero() && from.Date.After(mine.Date.AddMonths(12)) {
			return false
		}
	}
	if w.OlderThan == nil {
		return true
	}
	if w.OlderThan.Dimension() == units.Distance {
		return !from.HasTotal || !in.HasTotal || in.Total-from.Total >= w.OlderThan.Base()
	}
	m := after(from, nil, w.OlderThan, 1, 1)
	return m.Date.IsZero() || !in.State.On.Before(m.Date)
}
