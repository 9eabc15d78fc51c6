package calendar

import (
	"slices"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/next"
	"undertray.example/undertray/internal/say/told"
)

// Event is one entry of a calendar: whole days.
type Event struct {
	// ID stays the same for the same thing from one calendar to the next, so
	// that a calendar read in again replaces it: Give sees to that.
	ID    string       `json:"id"`
	From  civil.Date   `json:"from"`
	Days  int          `json:"days"`
	Title message.Text `json:"title"`
	Text  message.Text `json:"text,omitempty"`
	Busy  bool         `json:"busy,omitempty"` // takes the owner's day
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
	add := func(what string, day civil.Date, days int, title, text message.Text, busy bool, parts []string) {
		out = append(out, Event{ID: id(what, day), From: day, Days: days,
			Title: message.Of("%s: %s", p.Vehicle.Name, title), Text: text, Busy: busy, Vehicle: p.Vehicle.ID,
			What: what, Parts: parts})
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
			add("order", v.BuyBy, 1, message.Of("order parts for %s", told.Long(v.Date)), v.BuyWords().Sentence(),
				false, about)
		}
	}
	for _, l := range p.Between {
		var parts []message.Text
		for _, t := range l.Tasks {
			parts = append(parts, t.Title().LowerFirst())
		}
		add("look", l.By, 1, message.Of("look at %s", told.Listing(parts)), plan.OpenWords(l.Openings).Sentence(),
			false, partsOf(l.Tasks))
	}
	for i := range p.Small {
		s := &p.Small[i]
		add("quick-"+s.Task.Positions[0].ID, s.By, 1, message.Of("change %s", s.Task.Title().LowerFirst()),
			s.Task.Why().Sentence(), false, nil)
	}
	for _, l := range limitsOf(p) {
		var names []message.Text
		var about []string
		for _, t := range l.tasks {
			names = append(names, t.Title().LowerFirst())
			about = append(about, partsOf([]plan.Task{*t})...)
		}
		add("limit", l.day, 1, message.Of("limit of %s", told.Listing(names)),
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

func visitText(p *plan.Plan, v *plan.Visit) message.Text {
	lines := told.Sentences(message.Of("About %s%s.", told.Minutes(v.Minutes), p.Costs(v)), v.InsteadWords())
	for _, a := range v.Alike() {
		lines = append(lines, message.Of("%s: %s", a.Title(), a[0].Why().Sentence().LowerFirst()))
	}
	if s := v.RoundWords(); s != "" {
		lines = append(lines, message.Of("Round: %s", s))
	}
	return message.Joined(append(lines, told.Sentences(p.LeftWords())...), "\n")
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
