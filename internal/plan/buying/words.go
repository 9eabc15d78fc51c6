package buying

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/say"
)

// Use says what a lot is for: "the visit of 6 February 2027".
func (l *Lot) Use() string {
	if l.Visit == 0 {
		return "a quick job by " + l.For.Long()
	}
	return "the visit of " + l.For.Long()
}

// Title says by when a lot is ordered and what for; with the vehicle where the
// list is for several.
func (s *Shopping) Title(l *Lot) string {
	if s.Vehicle == nil {
		return fmt.Sprintf("By %s, for %s of the %s", l.By.Long(), l.Use(), l.Vehicle.Name)
	}
	return fmt.Sprintf("By %s, for %s", l.By.Long(), l.Use())
}

// HadWords says what of a lot was bought already, or "".
func (l *Lot) HadWords() string {
	var out []string
	for i := range l.Had {
		out = append(out, say.Capital(l.Had[i].What().String())+", "+advise.BoughtWords(l.Had[i].Bought)+".")
	}
	for _, e := range l.Stock {
		out = append(out, say.Capital(advise.BoughtWords(e))+".")
	}
	return strings.Join(out, " ")
}

// Headline says what to order first.
func (s *Shopping) Headline() string { return say.Head(s.Told()) }

// Told is the headline, then what all of it comes to, a sentence each.
func (s *Shopping) Told() []string {
	who := "All vehicles"
	if s.Vehicle != nil {
		who = s.Vehicle.Name
	}
	first := slices.IndexFunc(s.Lots, func(l Lot) bool { return l.things() > 0 })
	if first < 0 {
		return []string{fmt.Sprintf("%s: nothing to buy until the end of %s.", who, s.End.MonthYear())}
	}
	l, orders := &s.Lots[first], 0
	for i := range s.Lots {
		orders += min(1, s.Lots[i].things())
	}
	head := fmt.Sprintf("%s: order %s by %s", who, say.Count(l.things(), "thing", "things"), l.By.Long())
	if cost, ok := l.Job.Money(); ok {
		head = say.Short(head+", about "+say.Money(cost.Value(), cost.Unit()), head)
	}
	var what string
	if s.Vehicle == nil {
		what = "First for the " + l.Vehicle.Name + "."
	}
	all := fmt.Sprintf("Until the end of %s there %s", s.End.MonthYear(), lots(orders))
	if cost, ok := s.cost(); ok {
		all += ", together about " + say.Money(cost.Value(), cost.Unit()) + " where a cost is known"
	}
	return say.Told(head+".", what, all+".")
}

func lots(n int) string {
	if n == 1 {
		return "is no other order"
	}
	return "are " + say.Count(n, "order", "orders")
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
