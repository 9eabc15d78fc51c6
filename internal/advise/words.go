package advise

import (
	"cmp"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// ReasonWords says one opinion in a short sentence: what was found or how old
// the part is, who says so and what the rule is.
func ReasonWords(r judge.Reason) message.Text {
	if r.Finding == nil && r.Due == nil {
		return r.Says
	}
	return message.Of("%s. %s: %s", evidence(r), r.Authority.Message().Capital(), rule(r))
}

// evidence is what was found, or how old the part is, without who says what of it.
func evidence(r judge.Reason) message.Text {
	switch {
	case r.Finding != nil && r.Against != nil:
		return message.Of("%s on %s, and that day also: %s; the worse holds until it is settled",
			FindingWords(r.Check, r.Finding), told.Long(r.Finding.Date), FindingWords(r.Check, r.Against).LowerFirst())
	case r.Finding != nil:
		return message.Of("%s on %s", FindingWords(r.Check, r.Finding), told.Long(r.Finding.Date))
	case r.Due != nil:
		return dueWords(r.Due)
	}
	first, _, _ := strings.Cut(r.Says.String(), ". ")
	return message.Name(first)
}

// Evidence is what speaks for the verdict, without who says what of it.
func Evidence(j *judge.Judgement) message.Text {
	for _, reason := range j.Reasons {
		if reason.Governs && reason.Verdict == j.Verdict {
			return evidence(reason)
		}
	}
	return j.Verdict.Message()
}

// rule is what the authority says, or that its bounds are kept.
func rule(r judge.Reason) message.Text {
	if r.Verdict == fleet.Keep && r.Limit == nil && r.Finding != nil {
		return withinWords(r)
	}
	if r.Says == "" {
		return r.Verdict.Message()
	}
	return r.Says
}

// withinWords says of a figure that asks for nothing how far the authority's
// limit is: a rule that is not broken is not quoted.
func withinWords(r judge.Reason) message.Text {
	a := r.Ahead
	if a == nil {
		return WithinBounds
	}
	return message.Of("%s, about %s from the limit of %s (%s)", WithinBounds, r.Check.Shown(a.By),
		r.Check.Shown(a.Bound), a.Limit.Verdict)
}

// WithinBounds says that a finding asks for nothing.
const WithinBounds message.Text = "within bounds"

// FindingWords says what was found: "Cracks on one rib: 4 per 75 mm", "Weep
// hole: a dry stain".
func FindingWords(c *catalogue.Check, f *fleet.Finding) message.Text {
	answer, known := AnswerWords(c, f)
	if !known {
		return answer
	}
	return message.Of("%s: %s", c.Title(), answer)
}

// AnswerWords says it without what was asked, and whether that has such an answer.
func AnswerWords(c *catalogue.Check, f *fleet.Finding) (answer message.Text, known bool) {
	if f.Value != nil {
		return message.Is(c.Shown(*f.Value)), true
	}
	for _, a := range c.Answers {
		if a.ID == f.Answer {
			return message.Name(say.LowerFirst(strings.TrimRight(a.Say, "."))), true
		}
	}
	return message.Name(f.Answer), false
}

// CountedWords says how a figure was counted, "counted on a photograph, 11 marks, 2 of them by hand (9 to 13)"; ""
// where by eye.
func CountedWords(c *fleet.Counted) message.Text {
	if c == nil {
		return ""
	}
	s := message.Of("counted on a photograph, %s", told.Count(c.Marks, "mark", "marks"))
	if c.By == fleet.ByOutline {
		s = "measured on a photograph"
	}
	if c.ByHand > 0 {
		s = message.Of("%s, %d of them by hand", s, c.ByHand)
	}
	if c.Struck > 0 {
		s = message.Of("%s, %d struck out", s, c.Struck)
	}
	return message.Of("%s (%s)", s, BandWords(c.Low, c.High))
}

// BandWords is the band of a count: "9 to 13".
func BandWords(low, high float64) message.Text { return message.Of("%.0f to %.0f", low, high) }

// dueWords says how far the part is with its interval.
func dueWords(d *judge.Due) message.Text { return howFar(d, "interval passed") }

// passedWords is dueWords with the interval that is over, as its authority
// gives it.
func passedWords(d *judge.Due, prefs units.Preferences) message.Text {
	iv := d.Interval
	if !d.Passed || d.Severe || iv == nil || iv.Distance == nil && iv.Time == nil {
		return dueWords(d)
	}
	near := fleet.Interval{Distance: iv.Distance, Time: iv.Time}
	return howFar(d, message.Of("interval of %s passed", either(spans(&near, prefs))))
}

// howFar says how far the part is with its interval, of which it is said that it
// has passed in the words given.
func howFar(d *judge.Due, passed message.Text) message.Text {
	switch {
	case d.OnCondition:
		return "No interval, by condition"
	case !d.Rough.IsZero():
		return "History not known, found sound: its date is a rough one"
	case d.Untold():
		return "Not known: its history is not recorded, so it is looked at first"
	case d.Outlived:
		return message.Of("History not known, but it has been there for all of it: %s", passed)
	case d.Assumed && d.Passed:
		return message.Of("History not known, taken to be as old as the vehicle: %s. %s", passed,
			strings.TrimRight(d.Guess.Says, "."))
	case d.Assumed:
		return "History not known, taken to be as old as the vehicle"
	case d.Passed:
		return passed.Capital()
	}
	return "Not yet due"
}

// DueWords says when a part is next due, and who says so: "" for nobody.
func (r *Report) DueWords(j *judge.Judgement) (when, by message.Text) {
	if w, d, ok := r.Next(j); ok {
		return w.Words(), d.Interval.Authority.Message()
	}
	if _, d, ok := r.Roughly(j); ok {
		return r.WhenDue(d), d.Interval.Authority.Message()
	}
	if slices.ContainsFunc(j.Dues, func(d judge.Due) bool { return d.Untold() && !d.OnCondition }) {
		return "not known", ""
	}
	return "on condition", ""
}

// RoughWords says what a rough date rests on.
const RoughWords message.Text = "history not known, renewed as often as the interval implies"

// WhenDue says when a part is due under one authority.
func (r *Report) WhenDue(d *judge.Due) message.Text {
	switch {
	case d.OnCondition:
		return "by condition"
	case !d.Rough.IsZero():
		return message.Of("roughly %s", r.When(d.Rough).Words())
	case d.Untold():
		return "not known"
	}
	return r.When(d.Mark).Words()
}

// IntervalWords says an interval: "96 561 km or 4 years, whichever first".
func IntervalWords(iv *fleet.Interval, p units.Preferences) message.Text {
	if iv.OnCondition && iv.NoHours {
		return "on condition, no figure in hours known"
	}
	if iv.OnCondition {
		return "on condition"
	}
	if iv.EachOilChange {
		return "at each oil change"
	}
	parts := spans(iv, p)
	s := either(parts)
	if len(parts) > 1 {
		s = message.Of("%s, whichever first", s)
	}
	if iv.NotBefore != nil {
		s = message.Of("%s, not before the vehicle has %s", s, show(*iv.NotBefore, p))
	}
	if iv.NoHours {
		s = message.Of("%s, no figure in hours known", s)
	}
	return s
}

// spans are the distance and the time of an interval, as far as it has them.
func spans(iv *fleet.Interval, p units.Preferences) []message.Text {
	var parts []message.Text
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

// either joins what holds whichever is first.
func either(parts []message.Text) message.Text {
	if len(parts) == 0 {
		return ""
	}
	out := parts[0]
	for _, p := range parts[1:] {
		out = message.Of("%s or %s", out, p)
	}
	return out
}

func rangeWords(from, to *units.Quantity, p units.Preferences) message.Text {
	if to == nil {
		return message.Name(show(*from, p))
	}
	return message.Of("%s to %s", show(*from, p), show(*to, p))
}

func show(q units.Quantity, p units.Preferences) string {
	if q.Dimension() == units.TimeSpan {
		return q.String()
	}
	return p.Within(q)
}

// ConditionWords says when a limit holds: "chunk-missing", "3 per 3 in or
// more", "below 89.3 %". What is converted is never rounded beyond the limit.
func ConditionWords(l *fleet.Limit, p units.Preferences) message.Text {
	var parts []message.Text
	if l.Is != "" {
		parts = append(parts, message.Name(l.Is))
	}
	add := func(q *units.Quantity, bound func(units.Quantity) string, format message.Text) {
		if q != nil {
			parts = append(parts, format.With(bound(*q)))
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
	return message.Joined(parts, ", ")
}

// ShortWhy says what speaks for a part's verdict in a few words, to stand
// inside a sentence.
func ShortWhy(j *judge.Judgement, prefs units.Preferences) message.Text {
	for _, reason := range j.Reasons {
		switch {
		case !reason.Governs || reason.Verdict != j.Verdict:
		case reason.Finding != nil:
			return message.Of("%s on %s (%s)", FindingWords(reason.Check, reason.Finding).LowerFirst(),
				told.Long(reason.Finding.Date), reason.Authority)
		case reason.Due != nil:
			return message.Of("%s (%s)", passedWords(reason.Due, prefs).LowerFirst(), reason.Authority)
		}
	}
	return Why(j).Open().LowerFirst()
}

// Why says in a few words what speaks for the verdict.
func Why(j *judge.Judgement) message.Text {
	for _, reason := range j.Reasons {
		if reason.Governs && reason.Verdict == j.Verdict {
			return ReasonWords(reason)
		}
	}
	return j.Verdict.Message()
}

// WithWords says in one sentence which other parts to change, and which to look
// at, along with a part; "" when none. What the trade says of no part by its name
// stands on the part's page and on the job sheet.
func WithWords(j *judge.Judgement) message.Text {
	var change, look []message.Text
	for _, c := range j.With {
		names := positionNames(c.Positions)
		if c.Inspect {
			look = append(look, names...)
		} else {
			change = append(change, names...)
		}
	}
	var out []message.Text
	if len(change) > 0 {
		out = append(out, message.Of("Change with it: %s.", told.Few(say.Unique(change), withNamed)))
	}
	if len(look) > 0 {
		out = append(out, message.Of("Look at with it: %s.", told.Few(say.Unique(look), withNamed)))
	}
	return message.Joined(out, " ")
}

// withNamed is how many of what goes along are named in passing.
const withNamed = 4

// CompanionWords says one companion with its reason.
func CompanionWords(c judge.Companion) message.Text {
	if len(c.Positions) == 0 {
		return message.Name(c.Say)
	}
	do := message.Text("change %s: %s")
	if c.Inspect {
		do = "look at %s: %s"
	}
	return do.With(told.Listing(positionNames(c.Positions)), say.LowerFirst(c.Say))
}

func positionNames(ps []*fleet.Position) []message.Text {
	out := make([]message.Text, len(ps))
	for i, p := range ps {
		out[i] = message.Name(say.LowerFirst(p.Name))
	}
	return out
}

// AgainWords says when a part on watch is to be looked at again.
func (r *Report) AgainWords(j *judge.Judgement, p units.Preferences) message.Text {
	if j.Again.Passed {
		return "Look again: overdue."
	}
	w := r.When(j.Again.Mark)
	if w.HasTotal && r.HasTotal {
		return message.Of("Look again within %s, %s.", say.Rough(w.Total-r.Total, p), w.Words())
	}
	return message.Of("Look again %s.", w.Words())
}

// PartWords says what is fitted, how old it is and how far it has run.
func PartWords(j *judge.Judgement, on civil.Date, total float64, hasTotal bool,
	p units.Preferences) message.Text {
	part := j.Place.Fitted
	what := message.Name(cmp.Or(part.Spec.Name, j.Kind.Name))
	if m := part.Material(); m != "" {
		what = message.Of("%s (%s)", what, m)
	}
	what = what.Capital()
	from := part.From
	if from.Date.IsZero() && !from.HasTotal {
		return message.Of("%s: it was there when the journal began; its history is not known.", what)
	}
	var facts []message.Text
	if !from.Date.IsZero() {
		facts = append(facts, message.Of("fitted %s, %s ago", told.Long(from.Date), told.Age(from.Date, on)))
	}
	if from.HasTotal && hasTotal {
		facts = append(facts, message.Of("%s on it", say.Rough(total-from.Total, p)))
	}
	out := []message.Text{message.Of("%s: %s.", what, message.Joined(facts, ", "))}
	if part.Known == fleet.Told {
		out = append(out, "This is as told, from before the journal.")
	}
	return message.Joined(out, " ")
}

// LookedWords says when the position was last looked at and is to be next.
func (r *Report) LookedWords(j *judge.Judgement, p units.Preferences) message.Text {
	l := j.Looked
	switch {
	case l.Never && l.By == nil:
		return "Never inspected since the journal began."
	case l.Never:
		return message.Of("Never inspected since it was fitted on %s.", told.Long(l.Last.Date))
	case l.AtFitting:
		return message.Of("Not looked at since it was fitted; the first look is due %s.", r.When(l.Next).Words())
	case l.Stale:
		return message.Of("%s; the next look is overdue.", lastLook(l))
	case l.Next.IsZero():
		return lastLook(l) + "."
	}
	return message.Of("%s; next look due %s.", lastLook(l), r.When(l.Next).Words())
}

// lastLook says when a position was last looked at, and whether at a glance.
func lastLook(l judge.Looked) message.Text {
	if l.Glance {
		return message.Of("Last looked at on %s, at a glance", told.Long(l.Last.Date))
	}
	return message.Of("Last looked at on %s", told.Long(l.Last.Date))
}

// byWhom says who wrote an entry down, where that is known.
func byWhom(e *fleet.Entry) message.Text {
	if e.By == "" {
		return ""
	}
	return message.Of(" (%s)", e.By)
}
