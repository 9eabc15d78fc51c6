package catalogue

import (
	"fmt"
	"math"
	"slices"

	"undertray.example/undertray/internal/fleet"
)

// looks checks what a file says of looks.
func (v *validator) looks(l *Looks) {
	if len(l.Stages) > 0 {
		v.source("looks", l.Source, "")
		v.lookStages(l.Stages)
	}
	for i, s := range l.Sorts {
		path := fmt.Sprintf("looks.sorts.%d", i)
		v.text(path, "says", s.Says)
		v.fraction(path, "misses", s.Misses)
		for _, sense := range s.Senses {
			v.oneOf(path, "sense", sense, Senses())
		}
	}
	v.checkLooks("looks.checks", l.Checks)
	v.checkLooks("looks.in_hand", l.InHand)
	for i := range l.Leads {
		v.lead(fmt.Sprintf("looks.leads.%d", i), &l.Leads[i])
	}
	for i := range l.Lasts {
		m := &l.Lasts[i]
		v.lasting(fmt.Sprintf("looks.lasts.%d", i), "life", m.Kinds, m.Distance != nil || m.Time != nil, m.Spread,
			m.Source, m.Authority)
	}
	v.blind(l.Blind, v.c.Looks().Sorts)
	if l.KeepToInterval < 0 || l.KeepToInterval > 1 {
		v.d.Note("looks.keep_to_interval", "keep_to_interval is %g: write the share of owners, from 0 to 1",
			l.KeepToInterval)
	}
	if e := l.Early; e != nil {
		v.fraction("looks.early", "share", e.Share)
		v.fraction("looks.early", "worn", e.Worn)
	}
	v.atAGlance(l.AtAGlance)
	if a := l.LookAgain; a != nil {
		v.fraction("looks.look_again", "strands", a.Strands)
		v.fraction("looks.look_again", "else", a.Else)
		if a.AtMost == nil {
			v.missing("looks.look_again", "at_most", "at_most is missing: add a line at_most: 24 months")
		}
	}
}

// atAGlance checks how a look at a whole part is recorded: in words that no kind's
// own check has the name of.
func (v *validator) atAGlance(g *AtAGlance) {
	if g == nil {
		return
	}
	v.fraction("looks.at_a_glance", "share", g.Share)
	seen := idSet{}
	for i := range g.Checks {
		c, path := &g.Checks[i], fmt.Sprintf("looks.at_a_glance.checks.%d", i)
		v.id(path, "check", c.ID, seen)
		v.oneOf(path, "sense", c.Sense, Senses())
		v.text(path, "question", c.Question)
		v.text(path, "how", c.How)
		v.answered(path, &Kind{}, c)
		v.answers(path, c, c)
		if len(c.Answers) != 1 {
			v.d.Note(path, "a glance has %d answers: write the one that it can give", len(c.Answers))
		}
		for _, id := range v.c.order {
			if slices.Contains(v.c.Kind(id).CheckIDs(), c.ID) {
				v.d.Note(path, "the kind %q has a check %q of its own: name the glance otherwise", id, c.ID)
			}
		}
	}
}

func (v *validator) checkLooks(list string, checks []CheckLook) {
	for i, c := range checks {
		path := fmt.Sprintf("%s.%d", list, i)
		v.fraction(path, "misses", c.Misses)
		v.lookKinds(path, c.Kinds)
		v.lookCheck(path, c)
	}
}

// fraction refuses what is not above 0 and at most 1.
func (v *validator) fraction(path, key string, x float64) {
	if !(x > 0 && x <= 1) {
		v.d.Note(path, "%s is %g: write a share above 0 and up to 1", key, x)
	}
}

// lookStages checks that a worse answer speaks for a worse stage whatever the
// strength of the look.
func (v *validator) lookStages(stages []LookStage) {
	if len(stages) < 3 {
		v.d.Note("looks.stages", "there are %d stages: write sound and two or more of worsening", len(stages))
		return
	}
	shares := 0.0
	for i, s := range stages {
		path := fmt.Sprintf("looks.stages.%d", i)
		if !(s.Misses > 0 && s.Misses < 1) {
			v.d.Note(path, "misses is %g: write a share between 0 and 1", s.Misses)
			return
		}
		if len(s.Judged) != 3 || slices.Min(s.Judged) <= 0 {
			v.d.Note(path, "judged holds %d figures: write three above 0, for watch, put right and park", len(s.Judged))
			return
		}
		shares += s.Share
	}
	if stages[0].Share != 0 || math.Abs(shares-1) > 1e-9 {
		v.d.Note("looks.stages", "the shares after sound add up to %g: write shares of the lead time that add up to "+
			"1, and none at sound", shares-stages[0].Share)
	}
	l := Looks{Stages: stages}
	for _, strength := range Strengths() {
		v.inOrder(l.Table(strength), strength)
	}
}

func (v *validator) inOrder(table [][]float64, strength float64) {
	for j := 1; j < len(table); j++ {
		for g := 1; g < len(table[j]); g++ {
			if table[j-1][g-1]*table[j][g] < table[j-1][g]*table[j][g-1] {
				v.d.Note(fmt.Sprintf("looks.stages.%d", j), "answer %d speaks less for this stage than the better "+
					"answer before it does, for a look of strength %g: raise its share of judged, or lower misses", g,
					strength)
				return
			}
		}
	}
}

func (v *validator) lookKinds(path string, kinds []string) {
	for _, id := range kinds {
		if v.c.slots[id] == nil {
			v.d.Note(path, "%q is not a known kind: %s", id, fleet.Instead(id, v.c.order))
		}
	}
}

// lookCheck refuses a check that none of its kinds has.
func (v *validator) lookCheck(path string, c CheckLook) {
	kinds := c.Kinds
	if len(kinds) == 0 {
		kinds = v.c.order
	}
	for _, id := range kinds {
		if v.c.slots[id] != nil && v.c.Kind(id).Check(c.Check) != nil {
			return
		}
	}
	v.d.Note(path, "no such kind has a check %q: %s", c.Check, fleet.Instead(c.Check, v.checkIDs(kinds)))
}

func (v *validator) checkIDs(kinds []string) []string {
	var out []string
	for _, id := range kinds {
		if v.c.slots[id] != nil {
			out = addNew(out, v.c.Kind(id).CheckIDs())
		}
	}
	return out
}

func (v *validator) lead(path string, l *LeadTime) {
	if l.ByDistance < 0 || l.ByDistance > 1 {
		v.d.Note(path, "by_distance is %g: write a share from 0 to 1", l.ByDistance)
	}
	v.lasting(path, "lead time", l.Kinds, l.Distance != nil || l.Time != nil, l.Spread, l.Source, l.Authority)
}

// lasting checks a lead time or a life of some kinds.
func (v *validator) lasting(path, what string, kinds []string, figure bool, spread float64, source fleet.Sources,
	by fleet.Authority) {
	v.lookKinds(path, kinds)
	if !figure {
		v.d.Note(path, "this %s has no figure: give distance, time or both", what)
	}
	if !(spread > 0 && spread <= 2) {
		v.d.Note(path, "spread is %g: write how little is known, above 0 and up to 2; 0.7 is a factor of two", spread)
	}
	if by == "" {
		v.missing(path, "authority", "this %s has no authority: say who stands behind it, %s", what, authorities())
	}
	v.source(path, source, by)
}

// blind checks the ways in which looks may be blind: together they leave parts on which none is.
func (v *validator) blind(list []BlindLook, sorts []LookSort) {
	total := 0.0
	for i, b := range list {
		path := fmt.Sprintf("looks.blind.%d", i)
		v.fraction(path, "share", b.Share)
		v.text(path, "says", b.Says)
		total += b.Share
		var known []string
		for _, s := range sorts {
			known = append(known, s.Sort)
		}
		for _, sort := range b.Sorts {
			v.oneOf(path, "sort of look", sort, known)
		}
		if len(b.Sorts) == 0 {
			v.d.Note(path, "no sort of look is named: write sorts, such as [glance]")
		}
	}
	if total >= 0.9 {
		v.d.Note("looks.blind", "the shares add up to %g: together they must stay below 0.9", total)
	}
}
