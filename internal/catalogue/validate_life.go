package catalogue

import (
	"fmt"
	"slices"

	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

// lives checks how intervals are read as lives.
func (v *validator) lives(r *Reading) {
	if r.Share <= 0 || r.Share >= 1 {
		v.d.Note("lives.share", "share is %g: write the share of parts that have failed by an interval, between "+
			"0 and 1", r.Share)
	}
	for key, figure := range map[string]float64{"log_sd": r.LogSD, "shape": r.Shape, "shape_log_sd": r.ShapeLogSD} {
		if figure <= 0 {
			v.d.Note("lives."+key, "%s is %g: write a figure above 0", key, figure)
		}
	}
	v.anyAge("lives", r.AnyAge)
	v.source("lives", r.Source, "")
}

func (v *validator) anyAge(path string, share float64) {
	if share < 0 || share >= 1 {
		v.d.Note(yamltree.Join(path, "any_age"), "any_age is %g: write how likely it is that such parts fail at any "+
			"age, 0 to below 1", share)
	}
}

// life checks how a kind fails.
func (v *validator) life(path string, l *Life) {
	v.text(path, "lets_down", l.LetsDown)
	if l.Share < 0 || l.Share >= 1 {
		v.d.Note(yamltree.Join(path, "share"),
			"share is %g: write the share of parts that have failed by the interval, between 0 and 1", l.Share)
	}
	if l.Shape < 0 {
		v.d.Note(yamltree.Join(path, "shape"), "shape is %g: write a figure above 0, or leave it out", l.Shape)
	}
	v.anyAge(path, l.AnyAge)
	if m := l.Mend; m != nil {
		if m.Holds <= 0 || m.Holds >= 1 {
			v.d.Note(yamltree.Join(path, "mend.holds"),
				"holds is %g: write the share of failures after which the vehicle goes on, between 0 and 1", m.Holds)
		}
		if m.Minutes <= 0 {
			v.d.Note(yamltree.Join(path, "mend.minutes"), "minutes is %g: write what it takes, above 0", m.Minutes)
		}
		if len(l.Carry) == 0 || l.Roadside == "" {
			v.d.Note(yamltree.Join(path, "mend"),
				"it is not said what is carried for it and what is done with it: write carry and roadside")
		}
		if m.Spare != nil && !slices.Contains(l.Carry, m.Spare.Thing) {
			v.d.Note(yamltree.Join(path, "mend.spare.thing"), "thing is %q: write one of what carry names",
				m.Spare.Thing)
		}
	}
	v.source(path, l.Source, "")
}

// driven checks what it means when a machine stands still.
func (v *validator) driven(path string, d *Driven) {
	v.oneOf(yamltree.Join(path, "failure"), "failure", d.Failure, Failures())
	v.text(path, "says", d.Says)
	v.source(path, d.Source, "")
}

// contradiction checks what cannot all be true: at least two claims.
func (v *validator) contradiction(path string, k *Kind, x *Contradiction) {
	v.text(path, "says", x.Says)
	v.source(path, x.Source, "")
	if len(x.All) < 2 {
		v.d.Note(path, "all lists %d claims: one alone contradicts nothing, write two or more", len(x.All))
	}
	for i := range x.All {
		c, at := &x.All[i], fmt.Sprintf("%s.all.%d", path, i)
		among(v, at, "where", c.Where, []string{OnRun})
		switch {
		case c.Run != "":
			v.oneOf(yamltree.Join(at, "run"), "claim of a run", c.Run, []string{RunMiddle})
		case len(c.Kinds) == 0:
			v.claim(at, k.ID, c)
		}
		for n, id := range c.Kinds {
			v.oneOf(fmt.Sprintf("%s.kinds.%d", at, n), "kind", id, v.c.KindIDs())
			v.claim(at, id, c)
		}
	}
}

// claim checks that a claim is about a check of a kind and about answers or
// figures of it.
func (v *validator) claim(at, kind string, c *Claim) {
	k := v.c.Kind(kind)
	if k == nil {
		return
	}
	check := k.Check(c.Check)
	if check == nil {
		v.oneOf(yamltree.Join(at, "check"), "check", c.Check, k.CheckIDs())
		return
	}
	for n, id := range c.Is {
		v.oneOf(fmt.Sprintf("%s.is.%d", at, n), "answer", id, check.AnswerIDs())
	}
	if check.Measured() != (c.AtLeast != nil || c.AtMost != nil) || check.Measured() == (len(c.Is) > 0) {
		v.d.Note(at, "check %q is answered by %s: write that", c.Check,
			map[bool]string{true: "a figure (at_least, at_most)", false: "words (is)"}[check.Measured()])
	}
	for key, q := range map[string]*units.Quantity{"at_least": c.AtLeast, "at_most": c.AtMost} {
		if q != nil && check.Measured() && !check.Takes(*q) {
			v.d.Note(yamltree.Join(at, key), "%s is no figure of this check: write it in %s", q, check.Unit)
		}
	}
}

// wear checks what is believed of a figure's course.
func (v *validator) wear(path string, c *Check, w *Wear) {
	if w == nil {
		return
	}
	if !c.Measured() {
		v.d.Note(path, "a check answered in words has no wear: take wear out, or write answer: figure and a unit")
		return
	}
	if s := w.Start; s != nil && !c.Takes(*s) {
		v.d.Note(yamltree.Join(path, "start"), "%s is no figure of this check: write it in %s", s, c.Unit)
	}
	v.source(path, w.Source, "")
}

// photograph checks what an answer by a photograph rests on.
func (v *validator) photograph(path string, k *Kind, c *Check, p *Photograph) {
	if p == nil {
		return
	}
	_, dim, known := units.Lookup(c.Unit)
	switch {
	case p.Of != OfCracks && p.Of != OfProfile && p.Of != OfGauge && p.Of != OfHose:
		v.d.Note(yamltree.Join(path, "of"), "%q is nothing that a photograph shows: write %s, %s or %s, or leave it "+
			"out for cracks", p.Of, OfProfile, OfGauge, OfHose)
	case p.Of == OfCracks && (c.Type != Count || !known || dim != units.Density):
		v.d.Note(path, "only a count per length is counted on a photograph: write answer: count and a unit such as "+
			"per 75 mm")
	case p.Of == OfGauge && !c.answeredBy("above", "level", "below"):
		v.d.Note(path, "a gauge stands above, level with or below the tips: write answer: choice, with answers of "+
			"those ids")
	case p.Of != OfCracks && p.Of != OfGauge && (c.Type != Figure || dim != units.Percent):
		v.d.Note(path, "an outline tells a share: write answer: figure and unit: \"%%\"")
	case p.Of != OfHose && len(p.Sections) == 0:
		v.missing(path, "sections", "list the sections of belt, each with its name and the pitch of its ribs")
	}
	if p.Closest != "" {
		c := k.Check(p.Closest)
		if p.Of != OfCracks || c == nil || c.Type != Count || c.Dimension() != units.Density {
			v.d.Note(yamltree.Join(path, "closest"), "%q is no count per length of this kind: write the id of "+
				"one such as per 25 mm, or leave it out", p.Closest)
		}
	}
	for i, id := range p.New {
		v.oneOf(fmt.Sprintf("%s.new.%d", path, i), "figure of the part (spec)", id, specIDs(k))
	}
	for i, s := range p.Sections {
		for key, q := range map[string][]units.Quantity{"height": s.Height, "width": s.Width} {
			if (len(q) > 0 || p.Of == OfProfile) && (len(q) != 2 || q[0].Dimension() != units.Length ||
				q[1].Dimension() != units.Length || !(q[0].Base() > 0 && q[0].Base() <= q[1].Base())) {
				v.d.Note(fmt.Sprintf("%s.sections.%d.%s", path, i, key), "write the least and the most that a new rib "+
					"measures: [2.0 mm, 2.4 mm]")
			}
		}
		if s.Name == "" || s.Pitch.Dimension() != units.Length || !(s.Pitch.Base() > 0) {
			v.d.Note(fmt.Sprintf("%s.sections.%d", path, i), "write its name and the pitch of its ribs: "+
				"{name: PK, pitch: 3.56 mm}")
		}
	}
	v.source(path, p.Source, "")
}

// answeredBy reports whether a check has all these answers.
func (c *Check) answeredBy(ids ...string) bool {
	for _, id := range ids {
		if !slices.ContainsFunc(c.Answers, func(a Answer) bool { return a.ID == id }) {
			return false
		}
	}
	return true
}

// bounds checks the bounds of a check's figures, which lie within others.
func (v *validator) bounds(path string, c *Check, b, within *Bounds) {
	if b == nil {
		return
	}
	if !c.Measured() {
		v.d.Note(path, "a check answered in words has no bounds: take them out, or write answer: figure and a unit")
		return
	}
	if b.From == nil && b.To == nil {
		v.d.Note(path, "these bounds name no figure: add from, to or both")
	}
	for key, q := range map[string]*units.Quantity{"from": b.From, "to": b.To} {
		if at := yamltree.Join(path, key); q != nil && q.Dimension() != c.Dimension() {
			v.d.Note(at, "%s is no figure of this check: write it in %s", q, c.Unit)
		} else if q != nil && !within.Hold(*q) {
			v.d.Note(at, "%s is not possible by the check's own bounds: write a figure within them", q)
		}
	}
	if b.From != nil && b.To != nil {
		if cmp, err := b.From.Compare(*b.To); err == nil && cmp >= 0 {
			v.d.Note(path, "no figure lies between %s and %s: put the smaller first", b.From, b.To)
		}
	}
	v.source(path, b.Source, "")
}
