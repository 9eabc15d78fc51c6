package catalogue

import (
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// merge adds what over says to base, as the package comment lays out. Neither
// is changed.
func merge(base, over Kind) Kind {
	k := base
	k.ID = over.ID
	replaceText(&k.Name, over.Name)
	replaceText(&k.Plural, over.Plural)
	replaceText(&k.System, over.System)
	replaceText(&k.About, over.About)
	replaceText(&k.Until, over.Until)
	replaceText(&k.Inherits, over.Inherits)
	replaceText(&k.Drawn, over.Drawn)
	replaceText(&k.Belt, over.Belt)
	replaceText(&k.LoadedBy, over.LoadedBy)
	replaceText(&k.OilChange, over.OilChange)
	k.Also = addNew(base.Also, over.Also)
	if base.ID != over.ID { // an heir is another thing with names and a look of its own
		k.Plural, k.Also, k.Drawn = over.Plural, slices.Clone(over.Also), over.Drawn
	}
	k.Remove = addNew(base.Remove, over.Remove)
	k.Materials = addNew(base.Materials, over.Materials)
	k.Spec = mergeSpec(base.Spec, over.Spec)
	k.Checks = mergeChecks(base.Checks, over.Checks, over.Remove)
	k.Intervals = mergeIntervals(base.Intervals, over.Intervals)
	k.Causes = slices.Concat(base.Causes, over.Causes)
	k.First = slices.Concat(base.First, over.First)
	k.With = slices.Concat(base.With, over.With)
	k.After = mergeAfter(base.After, over.After)
	if over.Driven != nil {
		k.Driven = over.Driven
	}
	k.Contradictions = slices.DeleteFunc(slices.Concat(base.Contradictions, over.Contradictions),
		func(x Contradiction) bool {
			return slices.ContainsFunc(x.All, func(c Claim) bool {
				return len(c.Kinds) == 0 && slices.Contains(over.Remove, c.Check)
			})
		})
	if over.IfUnknown != nil {
		k.IfUnknown = over.IfUnknown
	}
	if over.Life != nil {
		k.Life = over.Life
	}
	if over.Set != nil {
		k.Set = over.Set
	}
	k.BatteryOff = base.BatteryOff || over.BatteryOff
	if over.Between != nil {
		k.Between = over.Between
	}
	k.Leaves = addNew(base.Leaves, over.Leaves)
	k.Emptied = addNew(base.Emptied, over.Emptied)
	k.Cautions = addNew(base.Cautions, over.Cautions)
	k.Never = addNew(base.Never, over.Never)
	k.Tips = addNew(base.Tips, over.Tips)
	k.Sources = addNew(base.Sources, over.Sources)
	return k
}

func replaceText[T ~string](old *T, now T) {
	if now != "" {
		*old = now
	}
}

// addNew returns a copy of old with the words of more that it lacks.
func addNew[T comparable](old, more []T) []T {
	out := slices.Clone(old)
	for _, w := range more {
		if !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

func mergeSpec(base, over []SpecFigure) []SpecFigure {
	out := slices.Clone(base)
	for _, s := range over {
		if i := slices.IndexFunc(out, func(o SpecFigure) bool { return o.ID == s.ID }); i >= 0 {
			out[i] = s
			continue
		}
		out = append(out, s)
	}
	return out
}

func mergeChecks(base, over []Check, remove []string) []Check {
	var out []Check
	for _, c := range base {
		if !slices.Contains(remove, c.ID) {
			c.Limits = slices.Clone(c.Limits)
			out = append(out, c)
		}
	}
	for _, c := range over {
		if i := slices.IndexFunc(out, func(o Check) bool { return o.ID == c.ID }); i >= 0 {
			out[i] = mergeCheck(out[i], c)
			continue
		}
		c.Limits = mergeLimits(nil, c.Limits)
		out = append(out, c)
	}
	return out
}

func mergeCheck(base, over Check) Check {
	c := base
	replaceText(&c.Name, over.Name)
	replaceText(&c.Sense, over.Sense)
	replaceText(&c.Question, over.Question)
	replaceText(&c.How, over.How)
	replaceText(&c.Caution, over.Caution)
	replaceText(&c.Engine, over.Engine)
	replaceText(&c.Needs, over.Needs)
	replaceText(&c.Type, over.Type)
	replaceText(&c.Unit, over.Unit)
	replaceText(&c.Of, over.Of)
	replaceText(&c.Symptom, over.Symptom)
	replaceText(&c.NoPlates, over.NoPlates)
	if over.Possible != nil {
		c.Possible = over.Possible
	}
	if over.Likely != nil {
		c.Likely = over.Likely
	}
	if over.Wear != nil {
		c.Wear = over.Wear
	}
	if over.Photograph != nil {
		c.Photograph = over.Photograph
	}
	c.BeltOff = base.BeltOff || over.BeltOff
	c.HighVoltage = base.HighVoltage || over.HighVoltage
	replaceText(&c.Run, over.Run)
	c.OnDemand = base.OnDemand || over.OnDemand
	c.OnTrip = base.OnTrip || over.OnTrip
	c.Sound = base.Sound || over.Sound
	c.Answers = slices.Clone(base.Answers)
	for _, a := range over.Answers {
		if i := slices.IndexFunc(c.Answers, func(o Answer) bool { return o.ID == a.ID }); i >= 0 {
			c.Answers[i] = a
			continue
		}
		c.Answers = append(c.Answers, a)
	}
	c.Limits = mergeLimits(base.Limits, over.Limits)
	return c
}

// mergeAfter lets a test of over take the place of the one of base by its id.
func mergeAfter(base, over []After) []After {
	out := slices.Clone(base)
	for _, a := range over {
		i := slices.IndexFunc(out, func(o After) bool { return a.ID != "" && o.ID == a.ID })
		if i < 0 {
			out = append(out, a)
			continue
		}
		out[i] = a
	}
	return out
}

func mergeLimits(base, over []fleet.Limit) []fleet.Limit {
	out := slices.Clone(base)
	for i := range over {
		l := over[i]
		if at := slices.IndexFunc(out, func(o fleet.Limit) bool { return sameRule(&o, &l) }); at >= 0 {
			out[at] = l
			continue
		}
		out = append(out, l)
	}
	return out
}

// sameRule reports whether two limits are one rule of one authority, so that
// the later one takes the place of the earlier.
func sameRule(a, b *fleet.Limit) bool {
	return a.Is == b.Is && a.Authority == b.Authority && a.Source.Equal(b.Source) &&
		sameFigure(a.AtLeast, b.AtLeast) && sameFigure(a.MoreThan, b.MoreThan) &&
		sameFigure(a.AtMost, b.AtMost) && sameFigure(a.LessThan, b.LessThan) &&
		slices.Equal(a.Materials, b.Materials)
}

func sameFigure(a, b *units.Quantity) bool {
	if a == nil || b == nil {
		return a == b
	}
	cmp, err := a.Compare(*b)
	return err == nil && cmp == 0
}

// mergeIntervals lets each interval of over take the place of all those of
// base for the same thing by the same authority, source and materials.
func mergeIntervals(base, over []fleet.Interval) []fleet.Interval {
	same := func(a, b *fleet.Interval) bool {
		return a.Do == b.Do && a.Authority == b.Authority && a.Source.Equal(b.Source) &&
			slices.Equal(a.Materials, b.Materials)
	}
	var out []fleet.Interval
	for i := range base {
		if !slices.ContainsFunc(over, func(o fleet.Interval) bool { return same(&base[i], &o) }) {
			out = append(out, base[i])
		}
	}
	return append(out, over...)
}
