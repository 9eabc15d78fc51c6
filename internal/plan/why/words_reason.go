package why

import (
	"fmt"
	"math"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/say"
)

// Words says what makes a task due and why it stands where it does.
func (r Reason) Words() string {
	what, s := r.Cause.Words(), &r.Stand
	switch s.Code {
	case "":
		return what
	case StandSettled:
		return strings.Join(some("as you settled", what, lateWords(s.Early), earlyWords(what, s.Early)), "; ")
	case StandWith:
		return s.withWords()
	case StandShared:
		return strings.Join(some(what+"; by itself it would be done in "+s.Month.MonthYear()+
			", but the vehicles share your hours and money", lateWords(s.Early)), "; ")
	case StandLate:
		return what + "; " + lateWords(s.Early) + ": nothing earlier fits the limits you set"
	}
	return what + "; " + s.earlyWhy()
}

// some are the words that are not empty; nothing is said of how early or late
// a task stands that is not due.
func some(words ...string) []string {
	var out []string
	for _, w := range words {
		if w != "" {
			out = append(out, w)
		}
	}
	return out
}

func lateWords(early int) string {
	if early >= 0 {
		return ""
	}
	return say.Months(-early) + " late"
}

func earlyWords(what string, early int) string {
	if early <= 0 || what == "" {
		return ""
	}
	return say.Months(early) + " early"
}

// Words says what makes a task due, or "".
func (c Cause) Words() string {
	switch c.Code {
	case DueVerdict:
		return advise.ShortWhy(c.Judgement, c.units).String()
	case DueWatch:
		return "on watch: " + advise.ShortWhy(c.Judgement, c.units).String()
	case DueInterval:
		when := c.When.Words()
		if !c.When.Reached && !c.When.Expected.IsZero() {
			when = "in " + c.When.Expected.MonthYear()
		}
		return fmt.Sprintf("due %s (%s)", when, c.Authority)
	case DueWear:
		return fmt.Sprintf("%s likely at the limit of %s (%s) by %s", say.LowerFirst(c.Check.Title()),
			c.Check.Shown(c.Bound), c.Authority, c.By.MonthYear())
	case DueAgain:
		return fmt.Sprintf("due again by %s, %s after the last", c.By.MonthYear(), say.Months(c.Life))
	}
	return ""
}

func (s *Stand) withWords() string {
	out := "with the " + s.With.Name()
	if s.Within {
		out += ", since it is within reach then"
	}
	if !s.Month.IsZero() {
		out += "; on its own it would be " + s.Month.MonthYear()
	}
	return out
}

// earlyWhy says why a task stands before its limit.
func (s *Stand) earlyWhy() string {
	if s.Code == StandPace {
		return "with the " + s.With.Name()
	}
	forward := "brought forward " + say.Months(s.Early)
	if s.Scope != "" {
		forward += ", with " + string(s.Scope)
	}
	when := s.Month.MonthYear()
	share := ""
	if s.Opening != nil {
		share = fmt.Sprintf("to share %q with the %s", say.LowerFirst(s.Opening.Name), s.With.Name())
	}
	switch s.Code {
	case StandClosed:
		return forward + ", as there are no visits in the months before its limit"
	case StandNoRoom:
		if s.Scope == ScopeGroup {
			return fmt.Sprintf("%s: the visit of %s has no room for it, and a visit of its own would cost more",
				forward, when)
		}
		return fmt.Sprintf("%s: the visit of %s has no room for it", forward, when)
	case StandSpares:
		return strings.Join(some(forward+", which spares a visit of its own", share), ", ")
	case StandOpening:
		return fmt.Sprintf("%s %s, which the visit of %s does not do", forward, share, when)
	case StandRisk:
		return fmt.Sprintf("%s: waiting until %s adds about %s of risk on the road, against %s of life thrown away",
			forward, when,
			say.Money(s.Risk, s.Currency), say.Money(math.Max(1, s.Lost), s.Currency))
	}
	return fmt.Sprintf("%s: it comes to about the same as in %s", forward, when)
}

// Name names a task inside a sentence.
func (s Subject) Name() string {
	switch {
	case s.OilChange:
		return "oil change with its round"
	case s.Position != nil:
		return say.LowerFirst(s.Position.Name)
	case s.Round:
		return "round"
	}
	return "look at " + advise.Names(s.Looks)
}

func SubjectNames(ss []Subject) string {
	out := make([]string, len(ss))
	for i, s := range ss {
		out[i] = s.Name()
	}
	return say.Listing(out)
}

// Words says what gives, and what may be done about it.
func (g Give) Words() string {
	s := g.words()
	if g.Vehicle != nil {
		return g.Vehicle.Name + ": " + s
	}
	return s
}

func (g Give) words() string {
	tasks := SubjectNames(g.Tasks)
	switch g.Code {
	case GiveParted:
		return fmt.Sprintf("What the trade changes together with the %s does not fit one visit under these limits: "+
			"it is spread over several, so that some things are opened, or drained, more than once.", tasks)
	case GiveHours:
		return fmt.Sprintf("%s of work in one visit is not enough for the %s and all that goes along: up to %s at "+
			"one visit. Take that visit over two days, or have it done.",
			say.Hours(g.Limit), tasks, say.Hours(g.Needs+0.125))
	case GiveMoney:
		return fmt.Sprintf("%s a month is not enough for the %s and all that goes along: up to %s in one month. "+
			"Save for it.",
			say.Money(g.Limit, g.Currency), tasks, say.Money(g.Needs, g.Currency))
	case GiveUndone:
		return fmt.Sprintf("There is no room for the %s, due within this plan: allow more hours a visit, more money "+
			"a month or more months.", tasks)
	case GiveWaits:
		return fmt.Sprintf("Due within this plan and left for a visit after it, since waiting costs less than any "+
			"visit within it: %s. Plan more months to see that visit.", tasks)
	case GiveOver:
		return fmt.Sprintf("In %s it comes to a little more than %s.", g.Month.Words(), say.Money(g.Limit, g.Currency))
	case GiveParkedNow:
		return "A part must be put right before the vehicle is driven, so the first visit is held now although this " +
			"month is left out."
	case GiveHeld:
		return fmt.Sprintf("%s is left out of visits, but you settled one for it: it is held.", g.Month.Words())
	case GiveNoWaiting:
		return fmt.Sprintf("The %s must be put right before the vehicle is driven: no waiting until %s.", tasks,
			g.Month.Words())
	case GiveLate:
		return fmt.Sprintf("past its limit by then: %s.", tasks)
	}
	return g.overfullWords()
}

// overfullWords says which months the vehicles by themselves would make too
// full, and what sharing costs.
func (g Give) overfullWords() string {
	const most = 3
	var parts []string
	for i, o := range g.Overfull {
		if i == most {
			parts = append(parts, say.Count(len(g.Overfull)-i, "other month", "other months"))
			break
		}
		var takes []string
		if o.Hours > 0 {
			takes = append(takes, say.Hours(o.Hours))
		}
		if o.Money > 0 {
			takes = append(takes, say.Money(o.Money, g.Shared.Currency))
		}
		parts = append(parts, o.Month.MonthYear()+" would take "+strings.Join(takes, " and "))
	}
	s := fmt.Sprintf("With each vehicle by itself %s, more than the %s you have. %s", say.Listing(parts),
		g.Shared.Words(),
		say.Capital(say.Count(g.Moved, "task moves", "tasks move")))
	if g.Costs > 0.5 {
		s += fmt.Sprintf(", which costs %s more, time, risk and lateness counted in", say.Money(g.Costs, g.Currency))
	}
	return s + "."
}

// Words says what there is in a month.
func (l Limits) Words() string {
	var has []string
	if l.Hours > 0 || l.Money <= 0 {
		has = append(has, say.Hours(l.Hours))
	}
	if l.Money > 0 {
		has = append(has, say.Money(l.Money, l.Currency))
	}
	return strings.Join(has, " and ") + " a month"
}

func GivesWords(gs []Give) []string {
	var out []string
	for _, g := range gs {
		out = append(out, g.Words())
	}
	return out
}
