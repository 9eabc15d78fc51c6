package advise

import (
	"fmt"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/say"
)

// Words says what a look may tell and what follows from it.
func (l *Looking) Words() string {
	then := "leave it"
	if l.IfGood {
		then = "change it all the same"
	}
	var names []string
	for _, c := range l.Checks {
		names = append(names, say.LowerFirst(c.Title()))
	}
	return fmt.Sprintf("%s. Chance of failing %s as it is; nothing found: %s, %s; something to put right: %s, put it right first",
		say.Few(names, 3), say.Odds(l.Chance), say.Odds(l.Good), then, say.Odds(l.Bad))
}

// Headline says in how much time the looks chosen tell most, and with what open.
func (p *Picked) Headline(v *fleet.Vehicle) string {
	if len(p.Looks) == 0 {
		return "No look at rest would change what to do."
	}
	s := say.Capital(say.Minutes(p.Minutes))
	if names := openNames(v, p.Open); len(names) > 0 {
		s += " (" + say.Listing(names) + ")"
	}
	return s + " would tell you most:"
}

func openNames(v *fleet.Vehicle, ids []string) []string {
	var out []string
	for _, id := range ids {
		if o := v.Opening(id); o != nil {
			out = append(out, say.LowerFirst(o.Name))
		}
	}
	return out
}

// LeftWords says what is left unseen and what that costs, or "".
func (p *Picked) LeftWords(currency string) string {
	if len(p.Left) == 0 {
		return ""
	}
	var names []string
	for _, l := range p.Left {
		names = append(names, say.LowerFirst(l.Judgement.Position.Name))
	}
	cost := "about " + strings.TrimSpace(say.Money(p.LeftFor, currency)) + " in the mean"
	if p.LeftFor < 0.5 {
		cost = "next to nothing"
	}
	return fmt.Sprintf("Left unseen: %s; not knowing costs %s.", say.Few(names, 3), cost)
}

// ToldWords says what a round changed, or "".
func (r *Report) ToldWords(stored []*fleet.Entry) string {
	before, after, ok := r.Told(stored)
	if !ok {
		return ""
	}
	a, b := say.Odds(before), say.Odds(after)
	if a == b {
		return fmt.Sprintf("Chance of being stranded before the next visit: %s, as before.", b)
	}
	return fmt.Sprintf("Chance of being stranded before the next visit: %s before this, %s after.", a, b)
}
