package plan

import (
	"math"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// Headline answers what to do next, and when.
func (p *Plan) Headline() message.Text { return told.Head(p.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (p *Plan) Told() []message.Text {
	var out []message.Text
	if p.m != nil { // a plan put together without a report knows of nothing
		r := p.m.r
		if out = append(out, r.StandsWords()); len(p.Parked) == 0 {
			out = append(out, r.FirstTold(r.Units)...)
		}
	}
	if len(p.Parked) > 0 {
		out = append(out, advise.ParkWords(p.Parked))
	}
	out = append(out, p.NextWords())
	if len(p.Visits) > 0 {
		out = append(out, p.Visits[0].goesWith(), p.beforeThat(p.Visits[0].Date))
	}
	return told.Sentences(append(out, p.LeftWords())...)
}

// NextWords says in a sentence when the next visit is and what it is for, or
// that there is none.
func (p *Plan) NextWords() message.Text {
	if len(p.Visits) == 0 {
		return p.noVisit()
	}
	return message.Of("Next visit on %s", p.VisitWords(&p.Visits[0]))
}

// VisitWords says when a visit is, what for, how long and at what cost.
func (p *Plan) VisitWords(v *Visit) message.Text {
	return message.Of("%s %s: %s, about %s%s.", told.Weekday(v.Date), told.Long(v.Date), v.shortly(),
		told.Minutes(v.Minutes), p.Costs(v))
}

// shortly says what a visit is for in two words or three.
func (v *Visit) shortly() message.Text {
	changes := 0
	for _, t := range v.Tasks {
		if t.Do == fleet.DoReplace {
			changes++
		}
	}
	if changes > 0 {
		return told.Count(changes, "part", "parts")
	}
	return v.Does()
}

// goesWith says what a visit has besides its changes, or "".
func (v *Visit) goesWith() message.Text {
	switch {
	case v.OilChange && v.Round:
		return "It is an oil change with its round."
	case v.Round:
		return "A round goes with it."
	}
	return ""
}

// LeftWords says what the owner leaves as it is, or "".
func (p *Plan) LeftWords() message.Text {
	if p.m == nil {
		return ""
	}
	return p.m.r.LeftWords()
}

// nowTold says what half-done work forbids, what comes before the vehicle's next
// drive and what the owner leaves, a sentence each.
func (p *Plan) nowTold() []message.Text {
	if p.m == nil {
		return nil
	}
	name := func(s message.Text) message.Text {
		if s == "" {
			return ""
		}
		return message.Of("%s: %s", p.Vehicle.Name, s.LowerFirst())
	}
	return told.Sentences(name(p.m.r.StandsWords()), p.m.r.NowOf(), name(p.LeftWords()))
}

// noVisit says why a plan holds no visit.
func (p *Plan) noVisit() message.Text {
	until := told.MonthYear(p.End)
	if len(p.Waits) == 0 {
		return message.Of("No visit is needed until the end of %s.", until)
	}
	return message.Of("No visit falls in the months until the end of %s. Due by then and left for a later one: %s.",
		until, why.SubjectNames(p.Waits))
}

// noVisit says why a plan of a yard holds no visit.
func (y *Yard) noVisit() message.Text {
	until := told.MonthYear(y.End)
	var waiting []string
	for _, p := range y.Plans {
		if len(p.Waits) > 0 {
			waiting = append(waiting, p.Vehicle.Name)
		}
	}
	if len(waiting) == 0 {
		return message.Of("No vehicle needs a visit until the end of %s.", until)
	}
	return message.Of("No visit falls in the months until the end of %s: what is due by then on %s waits for a "+
		"later one.", until, told.Listing(told.Names(waiting)))
}

// beforeThat names the first look that comes before a visit, or "".
func (p *Plan) beforeThat(day civil.Date) message.Text {
	if len(p.Between) == 0 || !p.Between[0].By.Before(day) {
		return ""
	}
	l := p.Between[0]
	return message.Of("Before that, by %s, look at: %s.", told.Long(l.By), told.Listing(lowered(l.Positions)))
}

// Does says in a few words what a visit is for.
func (v *Visit) Does() message.Text {
	changes, looks := 0, 0
	for _, t := range v.Tasks {
		if t.Do == fleet.DoReplace {
			changes++
		} else {
			looks += len(t.Positions)
		}
	}
	var parts []message.Text
	switch {
	case v.OilChange && v.Round:
		parts = append(parts, "oil change with its round")
	case v.Round:
		parts = append(parts, "a round")
	}
	if changes > 0 {
		parts = append(parts, told.Count(changes, "part to change", "parts to change"))
	}
	if looks > 0 && len(parts) == 0 {
		parts = append(parts, told.Count(looks, "part to look at", "parts to look at"))
	}
	return told.Listing(parts)
}

// MainWords names what a visit is mainly for, beyond the oil change and what
// goes along with something else, or "".
func (v *Visit) MainWords() message.Text {
	const most = 5
	var parts []message.Text
	for _, t := range v.Lines() {
		if t.Judgement == nil || t.Do != fleet.DoReplace || t.Judgement.Kind.OilChange != "" {
			continue
		}
		parts = append(parts, say.LowerFirst(t.Title()))
	}
	if n := len(parts); n > most {
		parts = append(parts[:most-1], told.Count(n-most+1, "other", "others"))
	}
	if len(parts) == 0 {
		return ""
	}
	return message.Of("To change: %s", told.Listing(parts)).Sentence()
}

// Costs is what a visit costs as it stands behind its time: ", €45"; or "".
func (p *Plan) Costs(v *Visit) string {
	if v.Money == 0 || p.Currency == "" {
		return ""
	}
	return ", " + say.Money(v.Money, p.Currency)
}

// Against says what other rules do to a plan, beside the plan as it is.
func (p *Plan) Against(asItIs *Plan) message.Text {
	sum := func(x *Plan) message.Text {
		s := message.Of("%s, %.0f hours", told.Count(len(x.Visits), "visit", "visits"), x.Minutes/60)
		if x.Currency != "" {
			s = message.Of("%s and %s", s, say.Money(x.Money, x.Currency))
		}
		return s
	}
	out := []message.Text{message.Of("Under these rules %s; as it is %s.", sum(p), sum(asItIs))}
	if len(p.Visits) > 0 && len(asItIs.Visits) > 0 {
		if a, b := p.Visits[0].Date, asItIs.Visits[0].Date; a != b {
			out = append(out, message.Of("The next visit is on %s in place of %s.", told.Long(a), told.Long(b)))
		}
	}
	if late := p.late(); len(late) > 0 {
		out = append(out, message.Of("Past its limit by then: %s.", why.SubjectNames(late)))
	}
	return message.Joined(out, " ")
}

// Summary says what the whole plan comes to and how good it is.
func (p *Plan) Summary() message.Text {
	if len(p.Visits) == 0 {
		return ""
	}
	visits := told.Count(len(p.Visits), "visit", "visits").Capital()
	s := message.Of("%s until the end of %s, about %.0f hours of work.", visits, told.MonthYear(p.End), p.Minutes/60)
	if p.Currency != "" && p.Money > 0 {
		s = message.Of("%s until the end of %s, about %.0f hours of work and %s for parts.", visits,
			told.MonthYear(p.End), p.Minutes/60, say.Money(p.Money, p.Currency))
	}
	return message.Joined([]message.Text{s, p.Proof()}, " ")
}

// Proof says how far from the cheapest the plan can be at most.
func (p *Plan) Proof() message.Text { return proof(p.Score, p.Bound) }

func proof(score, bound float64) message.Text {
	gap := 0.0
	if score > 0 {
		gap = (score - bound) / score
	}
	switch {
	case gap < 0.001:
		return "No plan under these rules is cheaper."
	case gap < 0.01:
		return "No plan under these rules is cheaper by more than one part in a hundred."
	}
	return message.Of("No plan under these rules is cheaper by more than %.0f %%.", math.Ceil(gap*100))
}

// UnknownWords names parts that are looked at before any date is given them,
// or "".
func (p *Plan) UnknownWords() message.Text {
	if len(p.Unknown) == 0 {
		return ""
	}
	return message.Of("Not known, so looked at before anything is planned or bought: %s. Do a round, or record "+
		"what you know.", told.Few(namesOf(p.Unknown), unknownNamed))
}

// RoughWords names parts of unknown age that are looked at and not changed by a
// guess at their age, or "".
func (p *Plan) RoughWords() message.Text {
	if len(p.Rough) == 0 {
		return ""
	}
	return message.Of("Of unknown age and found sound, so looked at again and not changed by a guess: %s.",
		told.Few(namesOf(p.Rough), unknownNamed))
}

// unknownNamed is how many parts of which nothing is known are named.
const unknownNamed = 6

// HiddenWords names what the plan never comes to look at, or "".
func (p *Plan) HiddenWords() message.Text {
	if len(p.Hidden) == 0 {
		return ""
	}
	return message.Of("Not looked at in this plan, since what hides it is not opened: %s. Look when it is.",
		advise.Names(p.Hidden))
}

// RoundWords says what a visit's round takes in, or "".
func (v *Visit) RoundWords() message.Text {
	var parts []message.Text
	for _, p := range v.Further {
		if !slices.Contains(v.RoundSees, p) {
			parts = append(parts, message.Name(say.LowerFirst(p.Name)))
		}
	}
	switch {
	case !v.Round && len(parts) == 0:
		return ""
	case !v.Round:
		return message.Of("While it is open, look at: %s.", told.Listing(parts))
	case len(parts) == 0:
		return message.Of("%d positions.", len(v.RoundSees))
	}
	return message.Of("%d positions; besides, while it is open: %s.", len(v.RoundSees), told.Listing(parts))
}

// Title names a task: its position, or those looked at.
func (t *Task) Title() message.Text {
	if t.set != nil {
		return t.set.Words()
	}
	return told.Listing(lowered(t.Positions)).Capital()
}

// lowered are the names of positions as they stand within a sentence.
func lowered(ps []*fleet.Position) []message.Text {
	out := make([]message.Text, len(ps))
	for i, p := range ps {
		out[i] = message.Name(say.LowerFirst(p.Name))
	}
	return out
}

// namesOf are the names of parts likewise.
func namesOf(js []*judge.Judgement) []message.Text {
	out := make([]message.Text, len(js))
	for i, j := range js {
		out[i] = message.Name(say.LowerFirst(j.Position.Name))
	}
	return out
}

// OpenWords lists what is opened at a visit.
func OpenWords(os []*fleet.Opening) message.Text {
	var parts []message.Text
	for _, o := range os {
		parts = append(parts, message.Name(say.LowerFirst(o.Name)))
	}
	return message.Joined(parts, "; ")
}

// BuyWords lists what to buy for a visit, or "".
func (v *Visit) BuyWords() message.Text {
	var parts []message.Text
	for _, b := range v.Buy {
		s := b.What()
		if b.Spec.Number != "" {
			s = message.Of("%s %s", s, b.Spec.Number)
		}
		if s = s.LowerFirst(); !slices.Contains(parts, s) {
			parts = append(parts, s)
		}
	}
	return message.Joined(parts, "; ")
}

// Assumes says what the plan rests on.
func (p *Plan) Assumes(prefs units.Preferences) []message.Text {
	b := &p.Basis
	hour, loss := say.Money(b.Hour, b.Currency), say.Money(b.Loss, b.Currency)
	out := []message.Text{b.Forecast.Basis(prefs)}
	if s := p.RoughWords(); s != "" {
		out = append(out, s)
	}
	if b.HourSaid {
		out = append(out, message.Of("An hour of your time is worth %s.", hour))
	} else {
		out = append(out, message.Of(
			"An hour of your time is taken at %s, as the sheet says nothing (visits, hour_worth).", hour))
	}
	if b.LossSaid {
		out = append(out, message.Of("A breakdown on the road costs %s.", loss))
	} else {
		out = append(out, message.Of("A breakdown on the road is taken at %s, as the sheet says nothing (costs).",
			loss))
	}
	return append(out, message.Of("A visit holds at most %s of work; getting ready and clearing away counts as %s "+
		"more.", told.Hours(b.VisitHours), told.Hours(b.ReadyHours)))
}

// InsteadWords says in which month a visit would be if the vehicles did not
// share, or "".
func (v *Visit) InsteadWords() message.Text {
	if v.Instead.IsZero() {
		return ""
	}
	return message.Of("By itself this would be in %s, but the vehicles share your hours and money.",
		told.MonthYear(v.Instead))
}

// Words says that a plan keeps to what the others do, or "".
func (s *Share) Words() message.Text {
	if s == nil {
		return ""
	}
	return message.Of("Planned together with the other vehicles: they share %s.", s.of.Words())
}

// Headline answers what to do next in the yard, and when.
func (y *Yard) Headline() message.Text { return told.Head(y.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (y *Yard) Told() []message.Text {
	var out []message.Text
	for _, p := range y.Plans {
		if len(p.Parked) > 0 {
			out = append(out, message.Of("%s: %s", p.Vehicle.Name, say.LowerFirst(advise.ParkWords(p.Parked))))
		}
	}
	for _, p := range y.Plans {
		out = append(out, p.nowTold()...)
	}
	if len(y.Visits) == 0 {
		return append(out, y.noVisit())
	}
	next := y.Visits[0]
	out = append(out, message.Of("Next is the %s on %s %s: %s, %s%s.", next.Plan.Vehicle.Name,
		told.Weekday(next.Visit.Date), told.Long(next.Visit.Date),
		next.Visit.shortly(), told.Minutes(next.Visit.Minutes), next.Plan.Costs(next.Visit)))
	for _, v := range y.Visits[1:] {
		if v.Plan != next.Plan {
			return append(out, message.Of("Then the %s on %s.", v.Plan.Vehicle.Name, told.Long(v.Visit.Date)))
		}
	}
	return out
}

// Summary says what the whole plan comes to and how good it is.
func (y *Yard) Summary() message.Text {
	minutes, money, currency := 0.0, 0.0, ""
	for _, p := range y.Plans {
		minutes += p.Minutes
		if currency == "" || p.Currency == currency {
			currency = p.Currency
			money += p.Money
		}
	}
	visits, vehicles := told.Count(len(y.Visits), "visit", "visits").Capital(),
		told.Count(len(y.Plans), "vehicle", "vehicles")
	out := []message.Text{message.Of("%s for %s until the end of %s, about %.0f hours of work.", visits, vehicles,
		told.MonthYear(y.End), minutes/60)}
	if currency != "" && money > 0 {
		out[0] = message.Of("%s for %s until the end of %s, about %.0f hours of work and %s for parts.", visits,
			vehicles, told.MonthYear(y.End), minutes/60, say.Money(money, currency))
	}
	if y.Hours > 0 || y.Money > 0 {
		out = append(out, message.Of("They share %s.", y.limits().Words()))
	}
	return message.Joined(append(out, proof(y.Score, y.Bound)), " ")
}

// TakesWords says how long something takes and what it costs, in a currency.
func TakesWords(minutes, money float64, currency string) message.Text {
	const long = 90
	s := message.Of("about %.0f min", minutes)
	if minutes > long {
		s = message.Of("about %s", told.Hours(minutes/60))
	}
	if money > 0 && currency != "" {
		s = message.Of("%s, %s", s, units.Format(money, currency, 0))
	}
	return s
}

// BetterWords says what a plan gains over one that was shown before.
func (y *Yard) BetterWords(than *Yard) message.Text {
	if saves := than.Score - y.Score; saves > 0.5 {
		return message.Of("A plan that costs %s less, time and risk counted in, has been found.",
			say.Money(saves, y.Plans[0].Currency))
	}
	return message.Of("Searched further. %s", proof(y.Score, y.Bound))
}

// DoWords says what is done about a task.
func (t *Task) DoWords() message.Text { return visit.DoWords(t.Do, t.Judgement, t.again) }

// Why says why a task stands where it does, in a few words.
func (t *Task) Why() message.Text {
	out := t.Reason.Words()
	for i := range t.others {
		if o := &t.others[i]; !o.Reason.Along() {
			out = message.Of("%s; %s: %s", out.Open(), o.Title().LowerFirst(), o.Why())
		}
	}
	return out
}

// Alike is the tasks of a visit of which the same is said.
type Alike []Task

// Alike returns the lines of a visit, those of which the same is said as one.
func (v *Visit) Alike() []Alike {
	var out []Alike
	for _, of := range visit.Alike(v.Lines(), func(t *Task) string {
		if t.set != nil || len(t.Positions) > 1 {
			return ""
		}
		return strings.Join(append([]string{t.Do, t.Why().String()}, t.First...), "\n")
	}) {
		out = append(out, of)
	}
	return out
}

// Row is a line of a visit where each part has its own to tick or to move.
type Row struct {
	Task  Task
	Words message.Text // why; of several of which the same is said it stands at the last
	First []string     // likewise
}

// Rows returns the lines of a visit, those of which the same is said one after
// another.
func (v *Visit) Rows() []Row {
	var out []Row
	for _, a := range v.Alike() {
		for _, t := range a {
			out = append(out, Row{Task: t})
		}
		last := &out[len(out)-1]
		last.Words, last.First = a.Words(), a[0].First
	}
	return out
}

// Words says why they stand where they do: once, of all of them.
func (a Alike) Words() message.Text {
	switch w := say.LowerFirst(a[0].Why()); {
	case w == "" || len(a) == 1:
		return a[0].Why()
	case len(a) == 2:
		return message.Of("Both: %s", w)
	default:
		return message.Of("All %s: %s", told.Number(len(a)), w)
	}
}

// Title names all of them.
func (a Alike) Title() message.Text {
	if len(a) == 1 {
		return a[0].Title()
	}
	names := make([]message.Text, len(a))
	for i := range a {
		names[i] = say.LowerFirst(a[i].Title())
	}
	return told.Listing(names).Capital()
}

// GivesWords says what had to give for the plan to exist, one sentence each.
func (p *Plan) GivesWords() []message.Text { return why.GivesWords(p.Gives) }

// GivesWords says what had to give for the plan to exist, one sentence each.
func (y *Yard) GivesWords() []message.Text { return why.GivesWords(y.Gives) }
