package looks

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say"
)

// Headline says in how much time the looks chosen tell most, and with what open.
func (p *Picked) Headline(v *fleet.Vehicle) string {
	if len(p.Looks) == 0 {
		return "No look would change what to do."
	}
	s, most := say.Capital(say.Minutes(p.Minutes)), " would tell you most:"
	if names := openNames(v, p.Open); len(names) > 0 {
		full := s + " (" + say.Listing(names) + ")" + most
		return say.Short(full, fmt.Sprintf("%s (%s opened)%s", s, say.Count(len(names), "thing", "things"), most))
	}
	return s + most
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
		if name := say.LowerFirst(l.Judgement.Position.Name); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	cost := "about " + strings.TrimSpace(say.Money(p.LeftFor, currency)) + " in the mean"
	if p.LeftFor < 0.5 {
		cost = "next to nothing"
	}
	return fmt.Sprintf("Left unseen: %s; not knowing costs %s.", say.Few(names, 3), cost)
}
