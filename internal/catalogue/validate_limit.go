package catalogue

import (
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

// limit checks one limit, its authority and its source first: without them it
// is only an opinion.
func (v *validator) limit(path string, k *Kind, c *Check, l *fleet.Limit) {
	if l.Authority == "" {
		v.missing(path, "authority", "this limit has no authority: say who stands behind it, %s", authorities())
	}
	v.source(path, l.Source, l.Authority)
	if l.Verdict == fleet.Unseen {
		v.missing(path, "verdict", "this limit has no verdict: write keep, watch, put right or park")
	}
	v.text(path, "says", l.Says)
	v.condition(path, c, l)
	v.materials(path, k, l.Materials)
	if l.Driven != "" {
		v.oneOf(yamltree.Join(path, "driven"), "word for the belt (driven)", l.Driven,
			[]string{fleet.BeltFails, fleet.BeltGone})
	}
	if key, wrong := l.Undue(); key != "" {
		v.d.Note(yamltree.Join(path, key), "%s", wrong)
	}
	switch {
	case l.Verdict == fleet.Watch:
		v.again(path, l.Again)
	case l.Again != nil:
		v.d.Note(yamltree.Join(path, "again"), "again goes with the verdict watch only: take it out")
	}
}

// authorities lists the words for who can stand behind a limit.
func authorities() string {
	words := fleet.Authorities()
	text := ""
	for i, a := range words {
		switch {
		case i == len(words)-1:
			text += " or "
		case i > 0:
			text += ", "
		}
		text += string(a)
	}
	return text
}

// condition checks that exactly one condition stands there and fits its check.
func (v *validator) condition(path string, c *Check, l *fleet.Limit) {
	bounds := boundsOf(l)
	switch {
	case l.Is == "" && len(bounds) == 0:
		v.d.Note(path, "this limit has no condition: write is, at_least, more_than, at_most or less_than")
	case l.Is != "" && len(bounds) > 0:
		v.d.Note(path, "this limit has both an answer and a figure for its condition: keep one")
	case l.Is != "":
		if ids := c.AnswerIDs(); !slices.Contains(ids, l.Is) {
			v.d.Note(yamltree.Join(path, "is"), "%q is not an answer of the check %q: %s", l.Is, c.ID,
				fleet.Instead(l.Is, ids))
		}
	case c.Type == Choice:
		v.d.Note(path, "the check %q is answered in words: write is with one of its answers", c.ID)
	default:
		v.figures(path, c, l, bounds)
	}
}

// bound is one bound of a limit under its key.
type bound struct {
	key string
	q   *units.Quantity
}

func boundsOf(l *fleet.Limit) []bound {
	all := []bound{{"at_least", l.AtLeast}, {"more_than", l.MoreThan}, {"at_most", l.AtMost}, {"less_than", l.LessThan}}
	return slices.DeleteFunc(all, func(b bound) bool { return b.q == nil })
}

func (v *validator) figures(path string, c *Check, l *fleet.Limit, bounds []bound) {
	if c.Dimension() == 0 {
		return // noted with the check
	}
	for _, b := range bounds {
		if !c.Takes(*b.q) {
			v.d.Note(yamltree.Join(path, b.key),
				"%s is %q, which cannot be compared with a figure for the check %q: write one such as %s",
				b.key, b.q, c.ID, c.Dimension().Example())
			return
		}
	}
	if l.AtLeast != nil && l.MoreThan != nil || l.AtMost != nil && l.LessThan != nil {
		v.d.Note(path, "this limit has two bounds on the same side: keep one")
		return
	}
	if len(bounds) < 2 {
		return
	}
	if cmp, err := bounds[0].q.Compare(*bounds[1].q); err != nil || cmp >= 0 {
		v.d.Note(path, "no figure lies between %s and %s: put the smaller first", bounds[0].q, bounds[1].q)
	}
}

func (v *validator) materials(path string, k *Kind, materials []string) {
	for _, m := range materials {
		if !slices.Contains(k.Materials, m) {
			v.d.Note(yamltree.Join(path, "materials"), "%q is not a material of the kind %q: %s", m, k.ID,
				fleet.Instead(m, k.Materials))
		}
	}
}

// again checks when a part on watch is looked at again.
func (v *validator) again(path string, a *fleet.Again) {
	if a == nil || a.Distance == nil && a.Time == nil {
		v.d.Note(path, "a limit with the verdict watch says when to look again: add again: {distance: 5000 km, "+
			"time: 3 months}")
		return
	}
}

func (v *validator) interval(path string, k *Kind, iv *fleet.Interval) {
	if iv.Authority == "" {
		v.missing(path, "authority", "this interval has no authority: say who stands behind it, %s", authorities())
	}
	v.source(path, iv.Source, iv.Authority)
	v.oneOf(yamltree.Join(path, "do"), "purpose (do)", iv.Do, []string{fleet.DoReplace, fleet.DoInspect})
	figures := iv.Distance != nil || iv.Hours != nil || iv.Time != nil
	switch {
	case !figures && !iv.EachOilChange && !iv.OnCondition:
		v.d.Note(path, "this interval says no moment: give distance, time, each_oil_change: true or on_condition: true")
	case figures && iv.OnCondition:
		v.d.Note(path, "this interval has a figure and is on condition: keep one of them")
	case iv.EachOilChange && iv.Do == fleet.DoReplace:
		v.d.Note(yamltree.Join(path, "each_oil_change"),
			"each_oil_change is for inspections: give a distance or a time")
	}
	if iv.NotBefore != nil && iv.Distance == nil {
		v.d.Note(yamltree.Join(path, "not_before"),
			"not_before holds back a distance, and this interval has none: give distance too")
	}
	v.farEnd(path, "distance", iv.Distance, iv.DistanceTo)
	v.farEnd(path, "hours", iv.Hours, iv.HoursTo)
	v.farEnd(path, "time", iv.Time, iv.TimeTo)
	v.materials(path, k, iv.Materials)
}

// farEnd checks that a range ends after it begins.
func (v *validator) farEnd(path, key string, from, to *units.Quantity) {
	if to == nil {
		return
	}
	if from == nil {
		v.d.Note(yamltree.Join(path, key+"_to"),
			"%s_to stands without %s: give the near end of the range too", key, key)
		return
	}
	if cmp, err := to.Compare(*from); err != nil || cmp <= 0 {
		v.d.Note(yamltree.Join(path, key+"_to"), "%s_to is %q: the far end of a range lies beyond %s", key, to, from)
	}
}
