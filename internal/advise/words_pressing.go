package advise

import (
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
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
func actionOnIt(a fleet.Action) message.Text {
	switch a {
	case fleet.TopUp:
		return "top it up"
	case fleet.FindOut:
		return "find out why"
	case fleet.CutOff:
		return "cut it off"
	}
	return message.Of("%s it", ActionVerb(a))
}

// shortAction is ActionWords for a headline; the part's own line says the rest.
func shortAction(a fleet.Action, name string) message.Text {
	if a == fleet.CutOff {
		return message.Of("cut the %s off", say.LowerFirst(name))
	}
	return ActionWords(a, name)
}

// DeadlineWords says by when something is to be done, to stand at the end of a
// sentence: "before the next drive".
func DeadlineWords(t *judge.Todo, p units.Preferences) message.Text {
	if t.Left != nil {
		was := judge.Todo{By: t.Was, Reason: t.Reason, Now: t.Was.Occasion == fleet.BeforeNextDrive}
		return message.Of("%s, but %s", DeadlineWords(&was, p), asideWords(t.Left))
	}
	by := byWords(t, p)
	if t.Now || t.By.Occasion != "" {
		return by
	}
	return message.Of("%s of %s", by, told.Long(t.Reason.Finding.Date))
}

// byWords is a deadline without the day from which it counts.
func byWords(t *judge.Todo, p units.Preferences) message.Text {
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

// doneBy is what is done about a part by its deadline: "change it at the next visit".
func doneBy(do message.Text, t *judge.Todo, p units.Preferences) message.Text {
	switch {
	case t.Now:
		return message.Of("%s before the next drive", do)
	case t.By.Occasion == fleet.NextVisit:
		return message.Of("%s at the next visit", do)
	case t.By.Occasion == fleet.NextOilChange:
		return message.Of("%s with the next oil change", do)
	}
	return message.Of("%s within %s", do, either(spanned(t.By.Distance, t.By.Time, p)))
}

// within says a distance, a time or whichever comes first: "within 300 km or 1 week".
func within(distance, time *units.Quantity, p units.Preferences) message.Text {
	return message.Of("within %s", either(spanned(distance, time, p)))
}

// spanned are a distance and a time, as far as there are.
func spanned(distance, time *units.Quantity, p units.Preferences) (parts []message.Text) {
	for _, q := range []*units.Quantity{distance, time} {
		if q != nil {
			parts = append(parts, message.Name(show(*q, p)))
		}
	}
	return parts
}

// TodoWords says what puts a part right and by when, each deadline apart:
// "Top up the brake fluid and find where it goes, before the next drive."
func TodoWords(j *judge.Judgement, p units.Preferences) message.Text {
	if j.Verdict == fleet.Park {
		return message.Of("%s before it moves under its own power.", ActionWords(j.Remedy(), j.Position.Name).Capital())
	}
	var out []message.Text
	for i := range j.Todos {
		out = append(out, todoLine(j, &j.Todos[i], p))
	}
	return message.Joined(out, " ")
}

func todoLine(j *judge.Judgement, t *judge.Todo, p units.Preferences) message.Text {
	return message.Of("%s, %s.", ActionWords(t.Action, j.Position.Name).Capital(), DeadlineWords(t, p))
}

// namesMost is how many parts a sentence names before it counts the rest, and
// doingWords how many words that takes at most in a headline.
const (
	namesMost  = 3
	doingWords = 10
)

// doing says what to do about some parts: what and to which where that is
// short, else which.
func doing(js []*judge.Judgement) message.Text { return doingIn(js, doingWords) }

// doingIn is doing in at most so many words.
func doingIn(js []*judge.Judgement, words int) message.Text {
	parts := make([]message.Text, len(js))
	for i, j := range js {
		parts[i] = shortAction(j.Todos[0].Action, j.Position.Name)
	}
	if s := told.FewWords(parts, words); len(js) < 3 && told.Words(s) <= words {
		return s
	}
	return told.FewWords(positionNames(positionsOf(js)), words)
}

func positionsOf(js []*judge.Judgement) []*fleet.Position {
	out := make([]*fleet.Position, len(js))
	for i, j := range js {
		out[i] = j.Position
	}
	return out
}

// NowWords says what comes before the next drive, or "".
func (r *Report) NowWords() message.Text {
	if now := r.Pressing().Now; len(now) > 0 {
		return message.Of("Before the next drive: %s.", doing(now))
	}
	return ""
}

// NowOf is NowWords of one vehicle among others, in a headline: "Before the next
// drive, Heron: top up the brake fluid and find where it goes."; or "".
func (r *Report) NowOf() message.Text {
	now := r.Pressing().Now
	if len(now) == 0 {
		return ""
	}
	head := message.Of("%s, %s", beforeDrive, r.Vehicle.Name)
	return message.Of("%s: %s.", head, doingIn(now, told.HeadWords-told.Words(head)))
}

// nowInFull says all that comes before the next drive, or "" where NowWords
// does.
func (r *Report) nowInFull() message.Text {
	now := r.Pressing().Now
	parts := make([]message.Text, len(now))
	for i, j := range now {
		parts[i] = ActionWords(j.Todos[0].Action, j.Position.Name)
	}
	if full := told.Listing(parts); len(now) > 0 && full.String() != doing(now).String() {
		return message.Of("In full: %s.", full)
	}
	return ""
}

// FirstWords says what comes before the next visit, the nearest deadline first,
// or "".
func (r *Report) FirstWords(p units.Preferences) message.Text {
	return message.Joined(r.FirstTold(p), " ")
}

// FirstTold is FirstWords, a sentence each.
func (r *Report) FirstTold(p units.Preferences) []message.Text {
	return told.Sentences(r.NowWords(), r.nowInFull(), r.withinWords(p))
}

// withinWords says what comes within a distance or a time, or "".
func (r *Report) withinWords(p units.Preferences) message.Text {
	press := r.Pressing()
	if len(press.Within) == 0 {
		return ""
	}
	return message.Of("%s: %s.", r.withinHead(p), doing(press.Within))
}

// withinHead says within what the nearest of what may not wait for a visit is
// to be put right.
func (r *Report) withinHead(p units.Preferences) message.Text {
	t := &r.Pressing().Within[0].Todos[0]
	if t.Until.HasTotal && r.HasTotal {
		return message.Of("Within %s", say.Rough(t.Until.Total-r.Total, p))
	}
	return message.Of("By %s", told.Long(r.When(t.Until).Expected))
}

// later says which parts are past a limit and may wait for a visit, the gravest
// first; or "".
func later(js []*judge.Judgement) message.Text {
	if len(js) == 0 {
		return ""
	}
	return message.Of("Past a limit: %s.", told.FewWords(positionNames(positionsOf(js)), laterNames))
}

// laterNames is how many words the names of what may wait for a visit take at most.
const laterNames = 11
