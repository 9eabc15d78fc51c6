package along

import (
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Why says what a change along takes, what makes it due and what it saves.
func (o *Offer) Why() message.Text {
	takes := message.Of("%.0f min more", o.Minutes)
	if o.Money > 0 && o.Currency != "" {
		takes = message.Of("%s and %s", takes, say.Money(o.Money, o.Currency))
	}
	parts := told.Sentences(takes, o.Cause.Words())
	if o.Usual {
		parts = append(parts, "usually changed along with it")
	}
	if o.Early > 0 && o.Lost >= 0.5 {
		parts = append(parts, message.Of("%s of life thrown away, worth %s", told.Months(o.Early),
			say.Money(o.Lost, o.Currency)))
	}
	return message.Joined(append(parts, message.Of("saves %.0f min of opening later", o.Saves)), "; ")
}

// Headline answers in one sentence what is worth adding.
func (a *Also) Headline() message.Text { return told.Head(a.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (a *Also) Told() []message.Text {
	worth := a.Worth()
	what := advise.Names(a.For)
	if len(worth) == 0 {
		head := message.Of("Nothing else is worth changing with the %s.", what)
		if told.Words(head) > say.HeadWords {
			head = "Nothing else is worth changing with these."
		}
		return []message.Text{head, message.Of("Open on %s: %s.", told.Long(a.On), what)}
	}
	parts := make([]message.Text, len(worth))
	for i, o := range worth {
		parts[i] = message.Name(say.LowerFirst(o.Judgement.Position.Name))
	}
	const head = "While you are in there, also change: %s."
	words := say.HeadWords - (len(strings.Fields(head)) - 1)
	return []message.Text{message.Of(head, told.FewWords(parts, words)),
		message.Of("In there for the %s, on %s. In full: %s.", what, told.Long(a.On), told.Listing(parts))}
}

// Together says what all that is worth adding takes, or "": what several of
// them open counts once.
func (a *Also) Together() message.Text {
	worth := a.Worth()
	if len(worth) < 2 {
		return ""
	}
	hours := told.Hours(a.Minutes / 60)
	if a.Currency != "" && a.Money > 0 {
		return message.Of("All %d take about %s more and %s; each by itself costs less now than when it is due, the "+
			"least dear first.", len(worth), hours, say.Money(a.Money, a.Currency))
	}
	return message.Of("All %d take about %s more; each by itself costs less now than when it is due, the least dear "+
		"first.", len(worth), hours)
}
