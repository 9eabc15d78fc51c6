package why

import (
	"fmt"

	"undertray.example/undertray/internal/say"
)

// Title says what is wished: "Main drive belt in September 2027".
func (w *Wish) Title() string {
	what, in := "A visit", " in "
	if w.Position != nil {
		what = w.Position.Name
	}
	if w.Not {
		in = " not in "
		if w.Position == nil {
			what = "No visit"
			in = " in "
		}
	}
	return what + in + w.Month.Words()
}

// Price says what a wish costs.
func (w *Wish) Price() string {
	switch {
	case w.Parked:
		return "not followed. " + w.NoWaiting().Words()
	case w.Costs > 0.5:
		s := fmt.Sprintf("costs %s more, time and risk counted in, than the cheapest plan",
			say.Money(w.Costs, w.Currency))
		if w.Late > 0 {
			s += fmt.Sprintf("; %s past its limit", say.Months(w.Late))
		}
		return s
	}
	return "costs no more than the cheapest plan"
}

// Words says what is wished and what it costs.
func (w *Wish) Words() string { return say.Sentence(w.Title() + ": " + w.Price()) }
