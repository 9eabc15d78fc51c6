package advise

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/units"
)

// ActionVerb says what to do, without to what.
func ActionVerb(a fleet.Action) message.Text {
	switch a {
	case fleet.TopUp:
		return "top up and find where it goes"
	case fleet.FindOut:
		return "find out"
	case fleet.CutOff:
		return "cut off and drive without"
	case "":
		return message.Text(fleet.Change)
	}
	return message.Text(a)
}

// orders say what to do about something, by its name; what is done about others is named by its verb.
var orders = map[fleet.Action]message.Text{
	fleet.TopUp: "top up the %s and find where it goes", fleet.FindOut: "find out what ails the %s",
	fleet.CutOff: "cut the %s off and take every piece out", "": "change the %s", fleet.Change: "change the %s",
	fleet.Tighten: "tighten the %s", fleet.Refit: "refit the %s", fleet.Clean: "clean the %s",
	fleet.ReRoute: "re-route the %s", fleet.Test: "test the %s"}

// ActionWords says what to do about something, as an order: "top up the brake
// fluid and find where it goes".
func ActionWords(a fleet.Action, name string) message.Text {
	return orders[a].With(say.LowerFirst(name))
}

// actionOnIt is what is done about a part that is named already: "top it up".
func actionOnIt(a fleet.Action) string {
	switch a {
	case fleet.TopUp:
		return "top it up"
	case fleet.FindOut:
		return "find out why"
	case fleet.CutOff:
		return "cut it off"
	}
	return ActionVerb(a).String() + " it"
}

// shortAction is ActionWords for a headline; the part's own line says the rest.
func shortAction(a fleet.Action, name string) string {
	if a == fleet.CutOff {
		return "cut the " + say.LowerFirst(name) + " off"
	}
	return ActionWords(a, name).String()
}

// DeadlineWords says by when something is to be done, to stand at the end of a
// sentence: "before the next drive".
func DeadlineWords(t *judge.Todo, p units.Preferences) string {
	if t.Left != nil {
		was := judge.Todo{By: t.Was, Reason: t.Reason, Now: t.Was.Occasion == fleet.BeforeNextDrive}
		return DeadlineWords(&was, p) + ", but " + asideWords(t.Left)
	}
	by := byWords(t, p)
	if t.Now || t.By.Occasion != "" {
		return by
	}
	return fmt.Sprintf("%s of %s", by, t.Reason.Finding.Date.Long())
}

// byWords is a deadline without the day from which it counts.
func byWords(t *judge.Todo, p units.Preferences) string {
	switch {
	case t.Now:
		return "before the next drive"
	case t.By.Occasion == fleet.NextVisit:
		return "at the next visit"
	case t.By.Occasion == fleet.NextOilChange:
		return "with the next oil change"
	}
	return within(t.By.Distance, t.By.Time, p)
}

// within says a distance, a time or whichever comes first: "within 300 km or 1 week".
func within(distance, time *units.Quantity, p units.Preferences) string {
	var parts []string
	for _, q := range []*units.Quantity{distance, time} {
		if q != nil {
			parts = append(parts, show(*q, p))
		}
	}
	return "within " + strings.Join(parts, " or ")
}

// TodoWords says what puts a part right and by when, each deadline apart:
// "Top up the brake fluid and find where it goes, before the next drive."
func TodoWords(j *judge.Judgement, p units.Preferences) string {
	if j.Verdict == fleet.Park {
		return ActionWords(j.Remedy(), j.Position.Name).Capital().String() + " before it moves under its own power."
	}
	var out []string
	for i := range j.Todos {
		out = append(out, todoLine(j, &j.Todos[i], p))
	}
	return strings.Join(out, " ")
}

func todoLine(j *judge.Judgement, t *judge.Todo, p units.Preferences) string {
	return ActionWords(t.Action, j.Position.Name).Capital().String() + ", " + DeadlineWords(t, p) + "."
}

// namesMost is how many parts a sentence names before it counts the rest, and
// doingWords how many words that takes at most in a headline.
const (
	namesMost  = 3
	doingWords = 10
)

// doing says what to do about some parts: what and to which where that is
// short, else which.
func doing(js []*judge.Judgement) string { return doingIn(js, doingWords) }

// doingIn is doing in at most so many words.
func doingIn(js []*judge.Judgement, words int) string {
	parts := make([]string, len(js))
	for i, j := range js {
		parts[i] = shortAction(j.Todos[0].Action, j.Position.Name)
	}
	if s := say.FewWords(parts, words); len(js) < 3 && len(strings.Fields(s)) <= words {
		return s
	}
	return say.FewWords(positionNames(positionsOf(js)), words)
}

func positionsOf(js []*judge.Judgement) []*fleet.Position {
	out := make([]*fleet.Position, len(js))
	for i, j := range js {
		out[i] = j.Position
	}
	return out
}

// NowWords says what comes before the next drive, or "".
func (r *Report) NowWords() string {
	if now := r.Pressing().Now; len(now) > 0 {
		return "Before the next drive: " + doing(now) + "."
	}
	return ""
}

// NowOf is NowWords of one vehicle among others, in a headline: "Before the next
// drive, Heron: top up the brake fluid and find where it goes."; or "".
func (r *Report) NowOf() string {
	now := r.Pressing().Now
	if len(now) == 0 {
		return ""
	}
	head := beforeDrive + ", " + r.Vehicle.Name + ": "
	return head + doingIn(now, say.HeadWords-len(strings.Fields(head))) + "."
}

// nowInFull says all that comes before the next drive, or "" where NowWords
// does.
func (r *Report) nowInFull() string {
	now := r.Pressing().Now
	parts := make([]string, len(now))
	for i, j := range now {
		parts[i] = ActionWords(j.Todos[0].Action, j.Position.Name).String()
	}
	if full := say.Listing(parts); len(now) > 0 && full != doing(now) {
		return "In full: " + full + "."
	}
	return ""
}

// FirstWords says what comes before the next visit, the nearest deadline first,
// or "".
func (r *Report) FirstWords(p units.Preferences) string { return strings.Join(r.FirstTold(p), " ") }

// FirstTold is FirstWords, a sentence each.
func (r *Report) FirstTold(p units.Preferences) []string {
	return say.Told(r.NowWords(), r.nowInFull(), r.withinWords(p))
}

// withinWords says what comes within a distance or a time, or "".
func (r *Report) withinWords(p units.Preferences) string {
	press := r.Pressing()
	if len(press.Within) == 0 {
		return ""
	}
	return r.withinHead(p) + ": " + doing(press.Within) + "."
}

// withinHead says within what the nearest of what may not wait for a visit is
// to be put right.
func (r *Report) withinHead(p units.Preferences) string {
	t := &r.Pressing().Within[0].Todos[0]
	if t.Until.HasTotal && r.HasTotal {
		return "Within " + say.Rough(t.Until.Total-r.Total, p)
	}
	return "By " + r.When(t.Until).Expected.Long()
}

// later says which parts are past a limit and may wait for a visit, the gravest
// first; or "".
func later(js []*judge.Judgement) string {
	if len(js) == 0 {
		return ""
	}
	return "Past a limit: " + say.FewWords(positionNames(positionsOf(js)), laterNames) + "."
}

// laterNames is how many words the names of what may wait for a visit take at most.
const laterNames = 11
