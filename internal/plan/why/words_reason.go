package why

import (
	"math"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Words says what makes a task due and why it stands where it does.
func (r Reason) Words() message.Text {
	what, s := r.Cause.Words(), &r.Stand
	switch s.Code {
	case "":
		return what
	case StandSettled:
		return some("as you settled", what, lateWords(s.Early), earlyWords(what, s.Early))
	case StandWith:
		return s.withWords()
	case StandShared:
		return some(message.Of("%s; by itself it would be done in %s, but the vehicles share your hours and money",
			what, told.MonthYear(s.Month)), lateWords(s.Early))
	case StandLate:
		return message.Of("%s; %s: nothing earlier fits the limits you set", what, lateWords(s.Early))
	}
	return message.Of("%s; %s", what, s.earlyWhy())
}

// some are the words that are not empty; nothing is said of how early or late
// a task stands that is not due.
func some(words ...message.Text) message.Text { return message.Joined(told.Sentences(words...), "; ") }

func lateWords(early int) message.Text {
	if early >= 0 {
		return ""
	}
	return message.Of("%s late", told.Months(-early))
}

func earlyWords(what message.Text, early int) message.Text {
	if early <= 0 || what == "" {
		return ""
	}
	return message.Of("%s early", told.Months(early))
}

// Words says what makes a task due, or "".
func (c Cause) Words() message.Text {
	switch c.Code {
	case DueVerdict:
		return advise.ShortWhy(c.Judgement, c.units)
	case DueWatch:
		return message.Of("on watch: %s", advise.ShortWhy(c.Judgement, c.units))
	case DueInterval:
		if !c.When.Reached && !c.When.Expected.IsZero() {
			return message.Of("due in %s (%s)", told.MonthYear(c.When.Expected), c.Authority)
		}
		return message.Of("due %s (%s)", c.When.Words(), c.Authority)
	case DueWear:
		return message.Of("%s likely at the limit of %s (%s) by %s", say.LowerFirst(c.Check.Title()),
			c.Check.Shown(c.Bound), c.Authority, told.MonthYear(c.By))
	case DueAgain:
		return message.Of("due again by %s, %s after the last", told.MonthYear(c.By), told.Months(c.Life))
	}
	return ""
}

func (s *Stand) withWords() message.Text {
	out := message.Of("with the %s", s.With.Name())
	if s.Within {
		out = message.Of("%s, since it is within reach then", out)
	}
	if !s.Month.IsZero() {
		out = message.Of("%s; on its own it would be %s", out, told.MonthYear(s.Month))
	}
	return out
}

// earlyWhy says why a task stands before its limit.
func (s *Stand) earlyWhy() message.Text {
	if s.Code == StandPace {
		return message.Of("with the %s", s.With.Name())
	}
	forward := message.Of("brought forward %s", told.Months(s.Early))
	switch s.Scope {
	case ScopeGroup:
		forward = message.Of("%s, with what goes with it", forward)
	case ScopeVisit:
		forward = message.Of("%s, with all that goes with it", forward)
	}
	when, opening := told.MonthYear(s.Month), ""
	if s.Opening != nil {
		opening = say.LowerFirst(s.Opening.Name)
	}
	switch s.Code {
	case StandClosed:
		return message.Of("%s, as there are no visits in the months before its limit", forward)
	case StandNoRoom:
		if s.Scope == ScopeGroup {
			return message.Of("%s: the visit of %s has no room for it, and a visit of its own would cost more",
				forward, when)
		}
		return message.Of("%s: the visit of %s has no room for it", forward, when)
	case StandSpares:
		if s.Opening == nil {
			return message.Of("%s, which spares a visit of its own", forward)
		}
		return message.Of("%s, which spares a visit of its own, to share %q with the %s", forward, opening,
			s.With.Name())
	case StandOpening:
		return message.Of("%s to share %q with the %s, which the visit of %s does not do", forward, opening,
			s.With.Name(), when)
	case StandRisk:
		return message.Of("%s: waiting until %s adds about %s of risk on the road, against %s of life thrown away",
			forward, when,
			say.Money(s.Risk, s.Currency), say.Money(math.Max(1, s.Lost), s.Currency))
	}
	return message.Of("%s: it comes to about the same as in %s", forward, when)
}

// Name names a task inside a sentence.
func (s Subject) Name() message.Text {
	switch {
	case s.OilChange:
		return "oil change with its round"
	case s.Position != nil:
		return message.Name(say.LowerFirst(s.Position.Name))
	case s.Round:
		return "round"
	}
	return message.Of("look at %s", advise.Names(s.Looks))
}

func SubjectNames(ss []Subject) message.Text {
	out := make([]message.Text, len(ss))
	for i, s := range ss {
		out[i] = s.Name()
	}
	return told.Listing(out)
}

// Words says what gives, and what may be done about it.
func (g Give) Words() message.Text {
	if g.Vehicle != nil {
		return message.Of("%s: %s", g.Vehicle.Name, g.words())
	}
	return g.words()
}

func (g Give) words() message.Text {
	tasks := SubjectNames(g.Tasks)
	switch g.Code {
	case GiveParted:
		return message.Of("What the trade changes together with the %s does not fit one visit under these limits: "+
			"it is spread over several, so that some things are opened, or drained, more than once.", tasks)
	case GiveHours:
		return message.Of("%s of work in one visit is not enough for the %s and all that goes along: up to %s at "+
			"one visit. Take that visit over two days, or have it done.",
			told.Hours(g.Limit), tasks, told.Hours(g.Needs+0.125))
	case GiveMoney:
		return message.Of("%s a month is not enough for the %s and all that goes along: up to %s in one month. "+
			"Save for it.",
			say.Money(g.Limit, g.Currency), tasks, say.Money(g.Needs, g.Currency))
	case GiveUndone:
		return message.Of("There is no room for the %s, due within this plan: allow more hours a visit, more money "+
			"a month or more months.", tasks)
	case GiveWaits:
		return message.Of("Due within this plan and left for a visit after it, since waiting costs less than any "+
			"visit within it: %s. Plan more months to see that visit.", tasks)
	case GiveOver:
		return message.Of("In %s it comes to a little more than %s.", calendar(g.Month), say.Money(g.Limit, g.Currency))
	case GiveParkedNow:
		return "A part must be put right before the vehicle is driven, so the first visit is held now although this " +
			"month is left out."
	case GiveHeld:
		return message.Of("%s is left out of visits, but you settled one for it: it is held.", calendar(g.Month))
	case GiveNoWaiting:
		return message.Of("The %s must be put right before the vehicle is driven: no waiting until %s.", tasks,
			calendar(g.Month))
	case GiveLate:
		return message.Of("past its limit by then: %s.", tasks)
	}
	return g.overfullWords()
}

// overfullWords says which months the vehicles by themselves would make too
// full, and what sharing costs.
func (g Give) overfullWords() message.Text {
	const most = 3
	var parts []message.Text
	for i, o := range g.Overfull {
		if i == most {
			parts = append(parts, told.Count(len(g.Overfull)-i, "other month", "other months"))
			break
		}
		parts = append(parts, message.Of("%s would take %s", told.MonthYear(o.Month),
			both(o.Hours, o.Money, g.Shared.Currency)))
	}
	moves := told.Count(g.Moved, "task moves", "tasks move").Capital()
	if g.Costs > 0.5 {
		moves = message.Of("%s, which costs %s more, time, risk and lateness counted in", moves,
			say.Money(g.Costs, g.Currency))
	}
	return message.Of("With each vehicle by itself %s, more than the %s you have. %s.", told.Listing(parts),
		g.Shared.Words(), moves)
}

// calendar says a month: "September 2027".
func calendar(m fleet.Month) message.Text { return told.MonthYear(m.First()) }

// both are hours and money, of which there is at least one.
func both(hours, money float64, currency string) message.Text {
	switch {
	case money <= 0:
		return told.Hours(hours)
	case hours <= 0:
		return message.Name(say.Money(money, currency))
	}
	return message.Of("%s and %s", told.Hours(hours), say.Money(money, currency))
}

// Words says what there is in a month.
func (l Limits) Words() message.Text {
	return message.Of("%s a month", both(l.Hours, l.Money, l.Currency))
}

func GivesWords(gs []Give) []message.Text {
	var out []message.Text
	for _, g := range gs {
		out = append(out, g.Words())
	}
	return out
}
