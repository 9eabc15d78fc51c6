package why

import (
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Title says what is wished: "Main drive belt in September 2027".
func (w *Wish) Title() message.Text {
	month := calendar(w.Month)
	switch {
	case w.Position == nil && w.Not:
		return message.Of("No visit in %s", month)
	case w.Position == nil:
		return message.Of("A visit in %s", month)
	case w.Not:
		return message.Of("%s not in %s", w.Position.Name, month)
	}
	return message.Of("%s in %s", w.Position.Name, month)
}

// Price says what a wish costs.
func (w *Wish) Price() message.Text {
	switch {
	case w.Parked:
		return message.Of("not followed. %s", w.NoWaiting().Words())
	case w.Costs > 0.5:
		s := message.Of("costs %s more, time and risk counted in, than the cheapest plan",
			say.Money(w.Costs, w.Currency))
		if w.Late > 0 {
			s = message.Of("%s; %s past its limit", s, told.Months(w.Late))
		}
		return s
	}
	return "costs no more than the cheapest plan"
}

// Words says what is wished and what it costs.
func (w *Wish) Words() message.Text { return message.Of("%s: %s", w.Title(), w.Price()).Sentence() }
