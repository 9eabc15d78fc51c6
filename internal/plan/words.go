package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// Headline answers what to do next, and when.
func (p *Plan) Headline() string { return say.Head(p.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (p *Plan) Told() []string {
	var out []string
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
	if p.m != nil {
		out = append(out, p.m.r.LeftWords())
	}
	return say.Told(out...)
}

// NextWords says in a sentence when the next visit is and what it is for, or
// that there is none.
func (p *Plan) NextWords() string {
	if len(p.Visits) == 0 {
		return p.noVisit()
	}
	return "Next visit on " + p.VisitWords(&p.Visits[0])
}

// VisitWords says when a visit is, what for, how long and at what cost.
func (p *Plan) VisitWords(v *Visit) string {
	return fmt.Sprintf("%s %s: %s, about %s%s.", say.Weekday(v.Date), v.Date.Long(), v.shortly(),
		say.Minutes(v.Minutes), p.Costs(v))
}

// shortly says what a visit is for in two words or three.
func (v *Visit) shortly() string {
	changes := 0
	for _, t := range v.Tasks {
		if t.Do == fleet.DoReplace {
			changes++
		}
	}
	if changes > 0 {
		return say.Count(changes, "part", "parts")
	}
	return v.Does()
}

// goesWith says what a visit has besides its changes, or "".
func (v *Visit) goesWith() string {
	switch {
	case v.OilChange && v.Round:
		return "It is an oil change with its round."
	case v.Round:
		return "A round goes with it."
	}
	return ""
}

// LeftWords says what the owner leaves as it is, or "".
func (p *Plan) LeftWords() string {
	if p.m == nil {
		return ""
	}
	return p.m.r.LeftWords()
}

// nowTold says what half-done work forbids, what comes before the vehicle's next
// drive and what the owner leaves, a sentence each.
func (p *Plan) nowTold() []string {
	if p.m == nil {
		return nil
	}
	name := func(s string) string {
		if s == "" {
			return ""
		}
		return p.Vehicle.Name + ": " + say.LowerFirst(s)
	}
	return say.Told(name(p.m.r.StandsWords()), p.m.r.NowOf(), name(p.m.r.LeftWords()))
}

// noVisit says why a plan holds no visit.
func (p *Plan) noVisit() string {
	until := "until the end of " + p.End.MonthYear()
	if len(p.Waits) == 0 {
		return fmt.Sprintf("No visit is needed %s.", until)
	}
	return fmt.Sprintf("No visit falls in the months %s. Due by then and left for a later one: %s.", until,
		why.SubjectNames(p.Waits))
}

// noVisit says why a plan of a yard holds no visit.
func (y *Yard) noVisit() string {
	until := "until the end of " + y.End.MonthYear()
	var waiting []string
	for _, p := range y.Plans {
		if len(p.Waits) > 0 {
			waiting = append(waiting, p.Vehicle.Name)
		}
	}
	if len(waiting) == 0 {
		return fmt.Sprintf("No vehicle needs a visit %s.", until)
	}
	return fmt.Sprintf("No visit falls in the months %s: what is due by then on %s waits for a later one.", until,
		say.Listing(waiting))
}

// beforeThat names the first look that comes before a visit, or "".
func (p *Plan) beforeThat(day civil.Date) string {
	if len(p.Between) == 0 || !p.Between[0].By.Before(day) {
		return ""
	}
	l := p.Between[0]
	parts := make([]string, len(l.Positions))
	for i, pos := range l.Positions {
		parts[i] = say.LowerFirst(pos.Name)
	}
	return fmt.Sprintf("Before that, by %s, look at: %s.", l.By.Long(), say.Listing(parts))
}

// Does says in a few words what a visit is for.
func (v *Visit) Does() string {
	changes, looks := 0, 0
	for _, t := range v.Tasks {
		if t.Do == fleet.DoReplace {
			changes++
		} else {
			looks += len(t.Positions)
		}
	}
	var parts []string
	switch {
	case v.OilChange && v.Round:
		parts = append(parts, "oil change with its round")
	case v.Round:
		parts = append(parts, "a round")
	}
	if changes > 0 {
		parts = append(parts, say.Count(changes, "part", "parts")+" to change")
	}
	if looks > 0 && len(parts) == 0 {
		parts = append(parts, say.Count(looks, "part", "parts")+" to look at")
	}
	return say.Listing(parts)
}

// MainWords names what a visit is mainly for, beyond the oil change and what
// goes along with something else, or "".
func (v *Visit) MainWords() string {
	const most = 5
	var parts []string
	for _, t := range v.Lines() {
		if t.Judgement == nil || t.Do != fleet.DoReplace || t.Judgement.Kind.OilChange != "" {
			continue
		}
		parts = append(parts, say.LowerFirst(t.Title()))
	}
	if n := len(parts); n > most {
		parts = append(parts[:most-1], say.Count(n-most+1, "other", "others"))
	}
	if len(parts) == 0 {
		return ""
	}
	return say.Sentence("To change: " + say.Listing(parts))
}

func (p *Plan) Costs(v *Visit) string {
	if v.Money == 0 || p.Currency == "" {
		return ""
	}
	return ", " + say.Money(v.Money, p.Currency)
}

// Against says what other rules do to a plan, beside the plan as it is.
func (p *Plan) Against(asItIs *Plan) string {
	sum := func(x *Plan) string {
		s := fmt.Sprintf("%s, %.0f hours", say.Count(len(x.Visits), "visit", "visits"), x.Minutes/60)
		if x.Currency != "" {
			s += " and " + say.Money(x.Money, x.Currency)
		}
		return s
	}
	out := fmt.Sprintf("Under these rules %s; as it is %s.", sum(p), sum(asItIs))
	if len(p.Visits) > 0 && len(asItIs.Visits) > 0 {
		if a, b := p.Visits[0].Date, asItIs.Visits[0].Date; a != b {
			out += fmt.Sprintf(" The next visit is on %s in place of %s.", a.Long(), b.Long())
		}
	}
	if late := p.late(); len(late) > 0 {
		out += fmt.Sprintf(" Past its limit by then: %s.", why.SubjectNames(late))
	}
	return out
}

// Summary says what the whole plan comes to and how good it is.
func (p *Plan) Summary() string {
	if len(p.Visits) == 0 {
		return ""
	}
	s := fmt.Sprintf("%s until the end of %s, about %.0f hours of work",
		say.Capital(say.Count(len(p.Visits), "visit", "visits")), p.End.MonthYear(), p.Minutes/60)
	if p.Currency != "" && p.Money > 0 {
		s += " and " + say.Money(p.Money, p.Currency) + " for parts"
	}
	return s + ". " + p.Proof()
}

// Proof says how far from the cheapest the plan can be at most.
func (p *Plan) Proof() string { return proof(p.Score, p.Bound) }

func proof(score, bound float64) string {
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
	return fmt.Sprintf("No plan under these rules is cheaper by more than %.0f %%.", math.Ceil(gap*100))
}

// UnknownWords names parts that are looked at before any date is given them,
// or "".
func (p *Plan) UnknownWords() string {
	if len(p.Unknown) == 0 {
		return ""
	}
	names := make([]string, len(p.Unknown))
	for i, j := range p.Unknown {
		names[i] = say.LowerFirst(j.Position.Name)
	}
	return fmt.Sprintf("Not known, so looked at before anything is planned or bought: %s. Do a round, or record "+
		"what you know.", say.Few(names, unknownNamed))
}

// RoughWords names parts of unknown age that are looked at and not changed by a
// guess at their age, or "".
func (p *Plan) RoughWords() string {
	if len(p.Rough) == 0 {
		return ""
	}
	names := make([]string, len(p.Rough))
	for i, j := range p.Rough {
		names[i] = say.LowerFirst(j.Position.Name)
	}
	return fmt.Sprintf("Of unknown age and found sound, so looked at again and not changed by a guess: %s.",
		say.Few(names, unknownNamed))
}

// unknownNamed is how many parts of which nothing is known are named.
const unknownNamed = 6

// HiddenWords names what the plan never comes to look at, or "".
func (p *Plan) HiddenWords() string {
	if len(p.Hidden) == 0 {
		return ""
	}
	return fmt.Sprintf("Not looked at in this plan, since what hides it is not opened: %s. Look when it is.",
		advise.Names(p.Hidden))
}

// RoundWords says what a visit's round takes in, or "".
func (v *Visit) RoundWords() string {
	var parts []string
	for _, p := range v.Further {
		if !slices.Contains(v.RoundSees, p) {
			parts = append(parts, say.LowerFirst(p.Name))
		}
	}
	switch {
	case !v.Round && len(parts) == 0:
		return ""
	case !v.Round:
		return "While it is open, look at: " + say.Listing(parts) + "."
	case len(parts) == 0:
		return fmt.Sprintf("%d positions.", len(v.RoundSees))
	}
	return fmt.Sprintf("%d positions; besides, while it is open: %s.", len(v.RoundSees), say.Listing(parts))
}

// Title names a task: its position, or those looked at.
func (t *Task) Title() string {
	if t.set != nil {
		return t.set.Words().String()
	}
	return say.Titles(t.Positions, func(p *fleet.Position) string { return p.Name })
}

// OpenWords lists what is opened at a visit.
func OpenWords(os []*fleet.Opening) string {
	var parts []string
	for _, o := range os {
		parts = append(parts, say.LowerFirst(o.Name))
	}
	return strings.Join(parts, "; ")
}

// BuyWords lists what to buy for a visit, or "".
func (v *Visit) BuyWords() string {
	var parts []string
	for _, b := range v.Buy {
		s := b.What().String()
		if b.Spec.Number != "" {
			s += " " + b.Spec.Number
		}
		s = say.LowerFirst(s)
		if !slices.Contains(parts, s) {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, "; ")
}

// Assumes says what the plan rests on.
func (p *Plan) Assumes(prefs units.Preferences) []string {
	b := &p.Basis
	hour, loss := say.Money(b.Hour, b.Currency), say.Money(b.Loss, b.Currency)
	out := []string{b.Forecast.Basis(prefs)}
	if s := p.RoughWords(); s != "" {
		out = append(out, s)
	}
	if b.HourSaid {
		out = append(out, fmt.Sprintf("An hour of your time is worth %s.", hour))
	} else {
		out = append(out, fmt.Sprintf(
			"An hour of your time is taken at %s, as the sheet says nothing (visits, hour_worth).", hour))
	}
	if b.LossSaid {
		out = append(out, fmt.Sprintf("A breakdown on the road costs %s.", loss))
	} else {
		out = append(out, fmt.Sprintf("A breakdown on the road is taken at %s, as the sheet says nothing (costs).",
			loss))
	}
	return append(out, fmt.Sprintf(
		"A visit holds at most %s of work; getting ready and clearing away counts as %s more.", say.Hours(b.VisitHours),
		say.Hours(b.ReadyHours)))
}

// InsteadWords says in which month a visit would be if the vehicles did not
// share, or "".
func (v *Visit) InsteadWords() string {
	if v.Instead.IsZero() {
		return ""
	}
	return fmt.Sprintf("By itself this would be in %s, but the vehicles share your hours and money.",
		v.Instead.MonthYear())
}

// Words says that a plan keeps to what the others do, or "".
func (s *Share) Words() string {
	if s == nil {
		return ""
	}
	return fmt.Sprintf("Planned together with the other vehicles: they share %s.", s.of.Words())
}

// Headline answers what to do next in the yard, and when.
func (y *Yard) Headline() string { return say.Head(y.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (y *Yard) Told() []string {
	var out []string
	for _, p := range y.Plans {
		if len(p.Parked) > 0 {
			out = append(out, p.Vehicle.Name+": "+say.LowerFirst(advise.ParkWords(p.Parked)))
		}
	}
	for _, p := range y.Plans {
		out = append(out, p.nowTold()...)
	}
	if len(y.Visits) == 0 {
		return append(out, y.noVisit())
	}
	next := y.Visits[0]
	out = append(out, fmt.Sprintf("Next is the %s on %s %s: %s, %s%s.", next.Plan.Vehicle.Name,
		say.Weekday(next.Visit.Date), next.Visit.Date.Long(),
		next.Visit.shortly(), say.Minutes(next.Visit.Minutes), next.Plan.Costs(next.Visit)))
	for _, v := range y.Visits[1:] {
		if v.Plan != next.Plan {
			return append(out, fmt.Sprintf("Then the %s on %s.", v.Plan.Vehicle.Name, v.Visit.Date.Long()))
		}
	}
	return out
}

// Summary says what the whole plan comes to and how good it is.
func (y *Yard) Summary() string {
	minutes, money, currency := 0.0, 0.0, ""
	for _, p := range y.Plans {
		minutes += p.Minutes
		if currency == "" || p.Currency == currency {
			currency = p.Currency
			money += p.Money
		}
	}
	s := fmt.Sprintf("%s for %s until the end of %s, about %.0f hours of work",
		say.Capital(say.Count(len(y.Visits), "visit", "visits")),
		say.Count(len(y.Plans), "vehicle", "vehicles"), y.End.MonthYear(), minutes/60)
	if currency != "" && money > 0 {
		s += " and " + say.Money(money, currency) + " for parts"
	}
	s += ". "
	if y.Hours > 0 || y.Money > 0 {
		s += "They share " + y.limits().Words() + ". "
	}
	return s + proof(y.Score, y.Bound)
}

// TakesWords says how long something takes and what it costs, in a currency.
func TakesWords(minutes, money float64, currency string) string {
	const long = 90
	s := fmt.Sprintf("about %.0f min", minutes)
	if minutes > long {
		s = "about " + say.Hours(minutes/60)
	}
	if money > 0 && currency != "" {
		s += ", " + units.Format(money, currency, 0)
	}
	return s
}

// BetterWords says what a plan gains over one that was shown before.
func (y *Yard) BetterWords(than *Yard) string {
	if saves := than.Score - y.Score; saves > 0.5 {
		return fmt.Sprintf("A plan that costs %s less, time and risk counted in, has been found.",
			say.Money(saves, y.Plans[0].Currency))
	}
	return "Searched further. " + proof(y.Score, y.Bound)
}

// DoWords says what is done about a task.
func (t *Task) DoWords() string { return visit.DoWords(t.Do, t.Judgement, t.again).String() }

// Why says why a task stands where it does, in a few words.
func (t *Task) Why() string {
	out := t.Reason.Words()
	for i := range t.others {
		if o := &t.others[i]; !o.Reason.Along() {
			out = strings.TrimRight(out, ".") + "; " + say.LowerFirst(o.Title()) + ": " + o.Why()
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
		return strings.Join(append([]string{t.Do, t.Why()}, t.First...), "\n")
	}) {
		out = append(out, of)
	}
	return out
}

// Row is a line of a visit where each part has its own to tick or to move.
type Row struct {
	Task  Task
	Words string   // why; of several of which the same is said it stands at the last
	First []string // likewise
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
func (a Alike) Words() string {
	switch w := say.LowerFirst(a[0].Why()); {
	case w == "" || len(a) == 1:
		return a[0].Why()
	case len(a) == 2:
		return "Both: " + w
	default:
		return "All " + say.Number(len(a)) + ": " + w
	}
}

// Title names all of them.
func (a Alike) Title() string {
	if len(a) == 1 {
		return a[0].Title()
	}
	names := make([]string, len(a))
	for i := range a {
		names[i] = say.LowerFirst(a[i].Title())
	}
	return say.Capital(say.Listing(names))
}

// GivesWords says what had to give for the plan to exist, one sentence each.
func (p *Plan) GivesWords() []string { return why.GivesWords(p.Gives) }

// GivesWords says what had to give for the plan to exist, one sentence each.
func (y *Yard) GivesWords() []string { return why.GivesWords(y.Gives) }
