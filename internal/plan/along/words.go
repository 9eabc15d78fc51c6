package along

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/say"
)

// Why says what a change along takes, what makes it due and what it saves.
func (o *Offer) Why() string {
	parts := []string{fmt.Sprintf("%.0f min more", o.Minutes)}
	if o.Money > 0 && o.Currency != "" {
		parts[0] += " and " + say.Money(o.Money, o.Currency)
	}
	if due := o.Cause.Words(); due != "" {
		parts = append(parts, due)
	}
	if o.Usual {
		parts = append(parts, "usually changed along with it")
	}
	if o.Early > 0 && o.Lost >= 0.5 {
		parts = append(parts, fmt.Sprintf("%s of life thrown away, worth %s", say.Months(o.Early),
			say.Money(o.Lost, o.Currency)))
	}
	parts = append(parts, fmt.Sprintf("saves %.0f min of opening later", o.Saves))
	return strings.Join(parts, "; ")
}

// Headline answers in one sentence what is worth adding.
func (a *Also) Headline() string { return say.Head(a.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (a *Also) Told() []string {
	worth := a.Worth()
	what := advise.Names(a.For)
	if len(worth) == 0 {
		return []string{say.Short("Nothing else is worth changing with the "+what+".",
			"Nothing else is worth changing with these."),
			fmt.Sprintf("Open on %s: %s.", a.On.Long(), what)}
	}
	var parts []string
	for _, o := range worth {
		parts = append(parts, say.LowerFirst(o.Judgement.Position.Name))
	}
	head := "While you are in there, also change: "
	return []string{head + say.FewWords(parts, say.HeadWords-len(strings.Fields(head))) + ".",
		fmt.Sprintf("In there for the %s, on %s. In full: %s.", what, a.On.Long(), say.Listing(parts))}
}

// Together says what all that is worth adding takes, or "": what several of
// them open counts once.
func (a *Also) Together() string {
	worth := a.Worth()
	if len(worth) < 2 {
		return ""
	}
	s := fmt.Sprintf("All %d take about %s more", len(worth), say.Hours(a.Minutes/60))
	if a.Currency != "" && a.Money > 0 {
		s += " and " + say.Money(a.Money, a.Currency)
	}
	return s + "; each by itself costs less now than when it is due, the least dear first."
}
