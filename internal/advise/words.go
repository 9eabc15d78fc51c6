package advise

import (
	"fmt"
	"slices"
	"strings"

	"undertray/civil"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/internal/say"
	"undertray/units"
)

// ReasonWords says one opinion in a short sentence: what was found or how old
// the part is, who says so and what the rule is.
func ReasonWords(r judge.Reason) string {
	switch {
	case r.Finding != nil:
		return fmt.Sprintf("%s on %s%s. %s: %s", FindingWords(r.Check, r.Finding),
			r.Finding.Date.Long(), againstWords(r),
			say.Capital(string(r.Authority)), rule(r))
	case r.Due != nil:
		return fmt.Sprintf("%s. %s: %s", dueWords(r.Due), say.Capital(string(r.Authority)), rule(r))
	}
	return r.Says
}

// againstWords names the other answer of the day.
func againstWords(r judge.Reason) string {
	if r.Against == nil {
		return ""
	}
	return fmt.Sprintf(", and that day also: %s; the worse holds until it is settled",
		say.LowerFirst(FindingWords(r.Check, r.Against)))
}

// rule is what the authority says, or that its bounds are kept.
func rule(r judge.Reason) string {
	if r.Verdict == fleet.Keep && r.Limit == nil && r.Finding != nil {
		return withinWords(r)
	}
	if r.Says == "" {
		return r.Verdict.String()
	}
	return r.Says
}

// withinWords says of a figure that asks for nothing how far the authority's
// limit is: a rule that is not broken is not quoted.
func withinWords(r judge.Reason) string {
	a := r.Ahead
	if a == nil {
		return WithinBounds
	}
	return fmt.Sprintf("%s, about %s from the limit of %s (%s)", WithinBounds, r.Check.Shown(a.By),
		r.Check.Shown(a.Bound), a.Limit.Verdict)
}

// WithinBounds says that a finding asks for nothing.
const WithinBounds = "within bounds"

// FindingWords says what was found: "Cracks on one rib: 4 per 75 mm", "Weep
// hole: a dry stain".
func FindingWords(c *catalogue.Check, f *fleet.Finding) string {
	if f.Value != nil {
		return fmt.Sprintf("%s: %s", c.Title(), c.Shown(*f.Value))
	}
	for _, a := range c.Answers {
		if a.ID == f.Answer {
			return fmt.Sprintf("%s: %s", c.Title(), say.LowerFirst(strings.TrimRight(a.Say, ".")))
		}
	}
	return f.Answer
}

// dueWords says how far the part is with its interval.
func dueWords(d *judge.Due) string { return howFar(d, "interval passed") }

// passedWords is dueWords with the interval that is over, as its authority
// gives it.
func passedWords(d *judge.Due, prefs units.Preferences) string {
	iv := d.Interval
	if !d.Passed || d.Severe || iv == nil || iv.Distance == nil && iv.Time == nil {
		return dueWords(d)
	}
	near := fleet.Interval{Distance: iv.Distance, Time: iv.Time}
	return howFar(d, "interval of "+strings.Join(spans(&near, prefs), " or ")+" passed")
}

// howFar says how far the part is with its interval, of which it is said that it
// has passed in the words given.
func howFar(d *judge.Due, passed string) string {
	switch {
	case d.OnCondition:
		return "No interval, by condition"
	case !d.Rough.IsZero():
		return "History not known, found sound: its date is a rough one"
	case d.Untold():
		return "Not known: its history is not recorded, so it is looked at first"
	case d.Outlived:
		return "History not known, but it has been there for all of it: " + passed
	case d.Assumed && d.Passed:
		return "History not known, taken to be as old as the vehicle: " + passed + ". " +
			strings.TrimRight(d.Guess.Says, ".")
	case d.Assumed:
		return "History not known, taken to be as old as the vehicle"
	case d.Passed:
		return say.Capital(passed)
	}
	return "Not yet due"
}

// DueWords says when a part is next due, and who says so: "" for nobody.
func (r *Report) DueWords(j *judge.Judgement) (when, by string) {
	if w, d, ok := r.Next(j); ok {
		return w.Words(), string(d.Interval.Authority)
	}
	if _, d, ok := r.Roughly(j); ok {
		return r.WhenDue(d), string(d.Interval.Authority)
	}
	if slices.ContainsFunc(j.Dues, func(d judge.Due) bool { return d.Untold() && !d.OnCondition }) {
		return "not known", ""
	}
	return "on condition", ""
}

// RoughWords says what a rough date rests on.
const RoughWords = "history not known, renewed as often as the interval implies"

// WhenDue says when a part is due under one authority.
func (r *Report) WhenDue(d *judge.Due) string {
	switch {
	case d.OnCondition:
		return "by condition"
	case !d.Rough.IsZero():
		return "roughly " + r.When(d.Rough).Words()
	case d.Untold():
		return "not known"
	}
	return r.When(d.Mark).Words()
}

// IntervalWords says an interval: "96 561 km or 4 years, whichever first".
func IntervalWords(iv *fleet.Interval, p units.Preferences) string {
	if iv.OnCondition && iv.NoHours {
		return "on condition, " + noHours
	}
	if iv.OnCondition {
		return "on condition"
	}
	if iv.EachOilChange {
		return "at each oil change"
	}
	parts := spans(iv, p)
	s := strings.Join(parts, " or ")
	if len(parts) > 1 {
		s += ", whichever first"
	}
	if iv.NotBefore != nil {
		s += ", not before the vehicle has " + show(*iv.NotBefore, p)
	}
	if iv.NoHours {
		s += ", " + noHours
	}
	return s
}

// noHours says that a distance tells a vehicle nothing that counts hours.
const noHours = "no figure in hours known"

// spans are the distance and the time of an interval, as far as it has them.
func spans(iv *fleet.Interval, p units.Preferences) []string {
	var parts []string
	if iv.Distance != nil {
		parts = append(parts, rangeWords(iv.Distance, iv.DistanceTo, p))
	}
	if iv.Hours != nil {
		parts = append(parts, rangeWords(iv.Hours, iv.HoursTo, p))
	}
	if iv.Time != nil {
		parts = append(parts, rangeWords(iv.Time, iv.TimeTo, p))
	}
	return parts
}

func rangeWords(from, to *units.Quantity, p units.Preferences) string {
	if to == nil {
		return show(*from, p)
	}
	return show(*from, p) + " to " + show(*to, p)
}

func show(q units.Quantity, p units.Preferences) string {
	if q.Dimension() == units.TimeSpan {
		return q.String()
	}
	return p.Within(q)
}

// ConditionWords says when a limit holds: "chunk-missing", "3 per 3 in or
// more", "below 89.3 %". What is converted is never rounded beyond the limit.
func ConditionWords(l *fleet.Limit, p units.Preferences) string {
	var parts []string
	if l.Is != "" {
		parts = append(parts, l.Is)
	}
	add := func(q *units.Quantity, bound func(units.Quantity) string, format string) {
		if q != nil {
			parts = append(parts, fmt.Sprintf(format, bound(*q)))
		}
	}
	from, upTo := p.Floor, p.Ceil
	if l.Verdict <= fleet.Keep { // it says what is good
		from, upTo = upTo, from
	}
	add(l.AtLeast, from, "%s or more")
	add(l.MoreThan, from, "more than %s")
	add(l.AtMost, upTo, "%s or less")
	add(l.LessThan, upTo, "less than %s")
	return strings.Join(parts, ", ")
}

// ShortWhy says what speaks for a part's verdict in a few words, to stand
// inside a sentence.
func ShortWhy(j *judge.Judgement, prefs units.Preferences) string {
	for _, reason := range j.Reasons {
		switch {
		case !reason.Governs || reason.Verdict != j.Verdict:
		case reason.Finding != nil:
			return fmt.Sprintf("%s on %s (%s)", say.LowerFirst(FindingWords(reason.Check, reason.Finding)),
				reason.Finding.Date.Long(), reason.Authority)
		case reason.Due != nil:
			return fmt.Sprintf("%s (%s)", say.LowerFirst(passedWords(reason.Due, prefs)), reason.Authority)
		}
	}
	return say.LowerFirst(strings.TrimRight(Why(j), "."))
}

// Why says in a few words what speaks for the verdict.
func Why(j *judge.Judgement) string {
	for _, reason := range j.Reasons {
		if reason.Governs && reason.Verdict == j.Verdict {
			return ReasonWords(reason)
		}
	}
	return j.Verdict.String()
}

// WithWords says in one sentence which other parts to change, and which to look
// at, along with a part; "" when none. What the trade says of no part by its name
// stands on the part's page and on the job sheet.
func WithWords(j *judge.Judgement) string {
	var change, look []string
	for _, c := range j.With {
		names := positionNames(c.Positions)
		if c.Inspect {
			look = append(look, names...)
		} else {
			change = append(change, names...)
		}
	}
	var out []string
	if len(change) > 0 {
		out = append(out, "Change with it: "+say.Few(say.Unique(change), withNamed)+".")
	}
	if len(look) > 0 {
		out = append(out, "Look at with it: "+say.Few(say.Unique(look), withNamed)+".")
	}
	return strings.Join(out, " ")
}

// withNamed is how many of what goes along are named in passing.
const withNamed = 4

// CompanionWords says one companion with its reason.
func CompanionWords(c judge.Companion) string {
	if len(c.Positions) == 0 {
		return c.Say
	}
	do := "change"
	if c.Inspect {
		do = "look at"
	}
	return fmt.Sprintf("%s %s: %s", do, say.Listing(positionNames(c.Positions)), say.LowerFirst(c.Say))
}

func positionNames(ps []*fleet.Position) []string {
	out := make([]string, len(ps))
	for i, p := range ps {
		out[i] = say.LowerFirst(p.Name)
	}
	return out
}

// AgainWords says when a part on watch is to be looked at again.
func (r *Report) AgainWords(j *judge.Judgement, p units.Preferences) string {
	if j.Again.Passed {
		return "Look again: overdue."
	}
	w := r.When(j.Again.Mark)
	if w.HasTotal && r.HasTotal {
		return fmt.Sprintf("Look again within %s, %s.", say.Rough(w.Total-r.Total, p), w.Words())
	}
	return fmt.Sprintf("Look again %s.", w.Words())
}

// PartWords says what is fitted, how old it is and how far it has run.
func PartWords(j *judge.Judgement, on civil.Date, total float64, hasTotal bool, p units.Preferences) string {
	part := j.Place.Fitted
	what := part.Spec.Name
	if what == "" {
		what = j.Kind.Name
	}
	if m := part.Material(); m != "" {
		what += " (" + m + ")"
	}
	from := part.From
	if from.Date.IsZero() && !from.HasTotal {
		return say.Capital(what) + ": it was there when the journal began; its history is not known."
	}
	var facts []string
	if !from.Date.IsZero() {
		facts = append(facts, fmt.Sprintf("fitted %s, %s ago", from.Date.Long(), say.Age(from.Date, on)))
	}
	if from.HasTotal && hasTotal {
		facts = append(facts, say.Rough(total-from.Total, p)+" on it")
	}
	s := say.Capital(what) + ": " + strings.Join(facts, ", ") + "."
	if part.Known == fleet.Told {
		s += " This is as told, from before the journal."
	}
	return s
}

// LookedWords says when the position was last looked at and is to be next.
func (r *Report) LookedWords(j *judge.Judgement, p units.Preferences) string {
	l := j.Looked
	switch {
	case l.Never && l.By == nil:
		return "Never inspected since the journal began."
	case l.Never:
		return "Never inspected since it was fitted on " + l.Last.Date.Long() + "."
	case l.AtFitting:
		return "Not looked at since it was fitted; the first look is due " + r.When(l.Next).Words() + "."
	case l.Stale:
		return lastLook(l) + "; the next look is overdue."
	case l.Next.IsZero():
		return lastLook(l) + "."
	}
	return lastLook(l) + "; next look due " + r.When(l.Next).Words() + "."
}

// lastLook says when a position was last looked at, and whether at a glance.
func lastLook(l judge.Looked) string {
	if l.Glance {
		return "Last looked at on " + l.Last.Date.Long() + ", at a glance"
	}
	return "Last looked at on " + l.Last.Date.Long()
}

// byWhom says who wrote an entry down, where that is known.
func byWhom(e *fleet.Entry) string {
	if e.By == "" {
		return ""
	}
	return " (" + e.By + ")"
}
