package plan

import (
	"fmt"
	"strings"

	"undertray/internal/advise"
	"undertray/internal/say"
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
		parts = append(parts, fmt.Sprintf("%s of life thrown away, worth %s", say.Months(o.Early), say.Money(o.Lost, o.Currency)))
	}
	parts = append(parts, fmt.Sprintf("saves %.0f min of opening later", o.Saves))
	return strings.Join(parts, "; ")
}

// Headline answers in one sentence what is worth adding.
func (a *Also) Headline() string {
	worth := a.Worth()
	what := advise.Names(a.For)
	if len(worth) == 0 {
		return fmt.Sprintf("With the %s open on %s, nothing else is worth changing at the same time.", what, a.On.Long())
	}
	var parts []string
	for _, o := range worth {
		parts = append(parts, say.LowerFirst(o.Judgement.Position.Name))
	}
	const most = 5
	if n := len(parts); n > most {
		parts = append(parts[:most-1], say.Count(n-most+1, "other", "others"))
	}
	return fmt.Sprintf("While you are in there for the %s on %s, also change: %s.", what, a.On.Long(), say.Listing(parts))
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
