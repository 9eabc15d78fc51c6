package looks

import (
	"slices"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Headline says in how much time the looks chosen tell most, and with what open.
func (p *Picked) Headline(v *fleet.Vehicle) message.Text {
	if len(p.Looks) == 0 {
		return "No look would change what to do."
	}
	time := told.Minutes(p.Minutes).Capital()
	if names := openNames(v, p.Open); len(names) > 0 {
		return told.Brief(message.Of("%s (%s) would tell you most:", time, told.Listing(names)),
			message.Counted(len(names), "%s (%s thing opened) would tell you most:",
				"%s (%s things opened) would tell you most:", time, told.Number(len(names))))
	}
	return message.Of("%s would tell you most:", time)
}

func openNames(v *fleet.Vehicle, ids []string) []message.Text {
	var out []message.Text
	for _, id := range ids {
		if o := v.Opening(id); o != nil {
			out = append(out, message.Name(say.LowerFirst(o.Name)))
		}
	}
	return out
}

// LeftWords says what is left unseen and what that costs, or "".
func (p *Picked) LeftWords(currency string) message.Text {
	if len(p.Left) == 0 {
		return ""
	}
	var names []string
	for _, l := range p.Left {
		if name := say.LowerFirst(l.Judgement.Position.Name); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	unseen := told.Few(told.Names(names), 3)
	if p.LeftFor < 0.5 {
		return message.Of("Left unseen: %s; not knowing costs next to nothing.", unseen)
	}
	return message.Of("Left unseen: %s; not knowing costs about %s in the mean.", unseen,
		strings.TrimSpace(say.Money(p.LeftFor, currency)))
}
