package advise

import (
	"fmt"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/internal/say"
	"undertray/units"
)

// ActionVerb says what to do, without to what.
func ActionVerb(a fleet.Action) string {
	switch a {
	case fleet.TopUp:
		return "top up and find where it goes"
	case fleet.FindOut:
		return "find out"
	case fleet.CutOff:
		return "cut off and drive without"
	case "":
		return string(fleet.Change)
	}
	return string(a)
}

// ActionWords says what to do about something, as an order: "top up the brake
// fluid and find where it goes".
func ActionWords(a fleet.Action, name string) string {
	name = "the " + say.LowerFirst(name)
	switch a {
	case fleet.TopUp:
		return "top up " + name + " and find where it goes"
	case fleet.FindOut:
		return "find out what ails " + name
	case fleet.CutOff:
		return "cut " + name + " off and take every piece out"
	}
	return ActionVerb(a) + " " + name
}

// DeadlineWords says by when something is to be done, to stand at the end of a
// sentence: "before the next drive".
func DeadlineWords(t *judge.Todo, p units.Preferences) string {
	switch {
	case t.Left != nil:
		was := judge.Todo{By: t.Was, Reason: t.Reason, Now: t.Was.Occasion == fleet.BeforeNextDrive}
		return DeadlineWords(&was, p) + ", but " + asideWords(t.Left)
	case t.Now:
		return "before the next drive"
	case t.By.Occasion == fleet.NextVisit:
		return "at the next visit"
	case t.By.Occasion == fleet.NextOilChange:
		return "with the next oil change"
	}
	var parts []string
	if t.By.Distance != nil {
		parts = append(parts, show(*t.By.Distance, p))
	}
	if t.By.Time != nil {
		parts = append(parts, show(*t.By.Time, p))
	}
	return fmt.Sprintf("within %s of %s", strings.Join(parts, " or "), t.Reason.Finding.Date.Long())
}

// TodoWords says what puts a part right and by when, each deadline apart:
// "Top up the brake fluid and find where it goes, before the next drive."
func TodoWords(j *judge.Judgement, p units.Preferences) string {
	var out []string
	for i := range j.Todos {
		out = append(out, todoLine(j, &j.Todos[i], p))
	}
	return strings.Join(out, " ")
}

// FurtherWords is TodoWords for a list: "" where a part is just changed at the
// next visit, as most are.
func FurtherWords(j *judge.Judgement, p units.Preferences) string {
	if len(j.Todos) == 1 && j.Todos[0].Left == nil && j.Todos[0].Action == fleet.Change && j.Todos[0].By.Occasion == fleet.NextVisit {
		return ""
	}
	return TodoWords(j, p)
}

func todoLine(j *judge.Judgement, t *judge.Todo, p units.Preferences) string {
	return say.Capital(ActionWords(t.Action, j.Position.Name)) + ", " + DeadlineWords(t, p) + "."
}

// namesMost is how many parts a headline names before it counts the rest.
const namesMost = 3

// doing says what to do about some parts: what and to which where they are few,
// else which.
func doing(js []*judge.Judgement) string {
	if len(js) > 2 {
		return shortNames(js)
	}
	parts := make([]string, len(js))
	for i, j := range js {
		parts[i] = ActionWords(j.Todos[0].Action, j.Position.Name)
	}
	return say.Listing(parts)
}

func shortNames(js []*judge.Judgement) string {
	return say.Few(positionNames(positionsOf(js)), namesMost)
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

// FirstWords says what comes before the next visit, the nearest deadline first,
// or "".
func (r *Report) FirstWords(p units.Preferences) string {
	press := r.Pressing()
	var out []string
	if s := r.NowWords(); s != "" {
		out = append(out, s)
	}
	if len(press.Within) > 0 {
		t := &press.Within[0].Todos[0]
		w := r.When(t.Until)
		if t.Until.HasTotal && r.HasTotal {
			out = append(out, fmt.Sprintf("Within %s: %s.", say.Rough(t.Until.Total-r.Total, p), doing(press.Within)))
		} else {
			out = append(out, fmt.Sprintf("By %s: %s.", w.Expected.Long(), doing(press.Within)))
		}
	}
	return strings.Join(out, " ")
}

// later says how many parts wait for the next visit: to change where nothing
// else is asked of any.
func later(js []*judge.Judgement) string {
	what := "to change"
	for _, j := range js {
		if len(j.Todos) > 0 && j.Todos[0].Action != fleet.Change {
			what = "to put right"
		}
	}
	return fmt.Sprintf("%s %s at the next visit.", say.Capital(say.Count(len(js), "part", "parts")), what)
}
