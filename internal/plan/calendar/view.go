package calendar

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/next"
	"undertray.example/undertray/internal/say"
)

// Event is one entry of a calendar: whole days.
type Event struct {
	// ID stays the same for the same thing from one calendar to the next, so
	// that a calendar read in again replaces it: Give sees to that.
	ID    string     `json:"id"`
	From  civil.Date `json:"from"`
	Days  int        `json:"days"`
	Title string     `json:"title"`
	Text  string     `json:"text,omitempty"`
	Busy  bool       `json:"busy,omitempty"` // takes the owner's day
	// Visit is the visit that it is for; nil for other entries.
	Visit *next.Visit `json:"visit,omitempty"`

	Vehicle string   `json:"-"`
	What    string   `json:"-"` // visit, order, look, quick or limit
	Parts   []string `json:"-"` // ids of the positions it is about, by which it is known again
	// Sequence counts how often its days changed since it was first given out, Changed is when it
	// last changed in any way, and Cancelled says that it was given out and no longer holds.
	Sequence  int       `json:"sequence,omitempty"`
	Changed   time.Time `json:"changed,omitzero"`
	Cancelled bool      `json:"cancelled,omitempty"`
}

// OfPlan turns a plan into calendar entries: its visits, when to order parts,
// looks and quick jobs between visits, and the days on which limits are
// reached, in order of days.
func OfPlan(p *plan.Plan) []Event {
	var out []Event
	id := func(what string, day civil.Date) string { return p.Vehicle.ID + "-" + what + "-" + day.String() }
	add := func(what string, day civil.Date, days int, title, text string, busy bool, parts []string) {
		out = append(out, Event{ID: id(what, day), From: day, Days: days, Title: p.Vehicle.Name + ": " + title,
			Text: text, Busy: busy, Vehicle: p.Vehicle.ID, What: what, Parts: parts})
	}
	for i := range p.Visits {
		v := &p.Visits[i]
		days := 1
		if v.Minutes > plan.DayHours*60 {
			days = 2
		}
		about := partsOf(v.Tasks)
		add("visit", v.Date, days, v.Does(), visitText(p, v), true, about)
		out[len(out)-1].Visit = next.Sum(p, v)
		if len(v.Buy) > 0 && v.BuyBy.Before(v.Date) {
			add("order", v.BuyBy, 1, "order parts for "+v.Date.Long(), say.Sentence(v.BuyWords()), false, about)
		}
	}
	for _, l := range p.Between {
		var parts []string
		for _, t := range l.Tasks {
			parts = append(parts, say.LowerFirst(t.Title()))
		}
		add("look", l.By, 1, "look at "+say.Listing(parts), say.Sentence(plan.OpenWords(l.Openings)), false,
			partsOf(l.Tasks))
	}
	for i := range p.Small {
		s := &p.Small[i]
		add("quick-"+s.Task.Positions[0].ID, s.By, 1, "change "+say.LowerFirst(s.Task.Title()),
			say.Sentence(s.Task.Why()), false, nil)
	}
	for _, l := range limitsOf(p) {
		var names, about []string
		for _, t := range l.tasks {
			names = append(names, say.LowerFirst(t.Title()))
			about = append(about, partsOf([]plan.Task{*t})...)
		}
		add("limit", l.day, 1, "limit of "+say.Listing(names),
			"Whatever the plan says, the limit is reached about now.", false, about)
	}
	slices.SortStableFunc(out, func(a, b Event) int { return a.From.Compare(b.From) })
	return out
}

// partsOf are the positions that tasks are about; a round's are too many to tell it by.
func partsOf(tasks []plan.Task) []string {
	var out []string
	for i := range tasks {
		if t := &tasks[i]; t.Judgement != nil {
			out = append(out, t.Positions[0].ID)
		} else {
			out = append(out, t.Do)
		}
	}
	return out
}

func visitText(p *plan.Plan, v *plan.Visit) string {
	lines := []string{fmt.Sprintf("About %s%s.", say.Minutes(v.Minutes), p.Costs(v))}
	if s := v.InsteadWords(); s != "" {
		lines = append(lines, s)
	}
	for _, a := range v.Alike() {
		lines = append(lines, a.Title()+": "+say.LowerFirst(say.Sentence(a[0].Why())))
	}
	if s := v.RoundWords(); s != "" {
		lines = append(lines, "Round: "+s)
	}
	lines = append(lines, say.Told(p.LeftWords())...)
	return strings.Join(lines, "\n")
}

// OfYard turns a yard's plan into calendar entries, in order of days.
func OfYard(y *plan.Yard) []Event {
	out := []Event{}
	for _, p := range y.Plans {
		out = append(out, OfPlan(p)...)
	}
	slices.SortStableFunc(out, func(a, b Event) int { return a.From.Compare(b.From) })
	return out
}
