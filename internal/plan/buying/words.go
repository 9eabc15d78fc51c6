package buying

import (
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Use says what a lot is for: "the visit of 6 February 2027".
func (l *Lot) Use() message.Text {
	if l.Visit == 0 {
		return message.Of("a quick job by %s", told.Long(l.For))
	}
	return message.Of("the visit of %s", told.Long(l.For))
}

// Title says by when a lot is ordered and what for; with the vehicle where the
// list is for several.
func (s *Shopping) Title(l *Lot) message.Text {
	if s.Vehicle == nil {
		return message.Of("By %s, for %s of the %s", told.Long(l.By), l.Use(), l.Vehicle.Name)
	}
	return message.Of("By %s, for %s", told.Long(l.By), l.Use())
}

// HadWords says what of a lot was bought already, or "".
func (l *Lot) HadWords() message.Text {
	var out []message.Text
	for i := range l.Had {
		out = append(out, message.Of("%s, %s.", say.Capital(l.Had[i].What()), advise.BoughtWords(l.Had[i].Bought)))
	}
	for _, e := range l.Stock {
		out = append(out, message.Of("%s.", say.Capital(advise.BoughtWords(e))))
	}
	return message.Joined(out, " ")
}

// Headline says what to order first.
func (s *Shopping) Headline() message.Text { return told.Head(s.Told()) }

// Told is the headline, then what all of it comes to, a sentence each.
func (s *Shopping) Told() []message.Text {
	who := message.Text("All vehicles")
	if s.Vehicle != nil {
		who = message.Name(s.Vehicle.Name)
	}
	first := slices.IndexFunc(s.Lots, func(l Lot) bool { return l.things() > 0 })
	until := told.MonthYear(s.End)
	if first < 0 {
		return []message.Text{message.Of("%s: nothing to buy until the end of %s.", who, until)}
	}
	l, orders := &s.Lots[first], 0
	for i := range s.Lots {
		orders += min(1, s.Lots[i].things())
	}
	things := told.Count(l.things(), "thing", "things")
	head := message.Of("%s: order %s by %s.", who, things, told.Long(l.By))
	if cost, ok := l.Job.Money(); ok {
		full := message.Of("%s: order %s by %s, about %s.", who, things, told.Long(l.By),
			say.Money(cost.Value(), cost.Unit()))
		if told.Words(full) <= say.HeadWords {
			head = full
		}
	}
	var what message.Text
	if s.Vehicle == nil {
		what = message.Of("First for the %s.", l.Vehicle.Name)
	}
	all := message.Of("Until the end of %s there is no other order", until)
	if orders != 1 {
		all = message.Of("Until the end of %s there are %s", until, told.Count(orders, "order", "orders"))
	}
	if cost, ok := s.cost(); ok {
		all = message.Of("%s, together about %s where a cost is known", all, say.Money(cost.Value(), cost.Unit()))
	}
	return told.Sentences(head, what, message.Of("%s.", all))
}

// Cost is what all lots come to where it is known, or "" where none is or the
// currencies differ.
func (s *Shopping) Cost() string {
	total, ok := s.cost()
	if !ok {
		return ""
	}
	return total.String()
}
