package trip

import (
	"math"
	"slices"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/undone"
	"undertray.example/undertray/units"
)

// Headline answers whether the vehicle gets through.
func (t *Trip) Headline(p units.Preferences) message.Text { return told.Head(t.Told(p)) }

// Told is the headline and what else there is to it, a sentence each.
func (t *Trip) Told(p units.Preferences) []message.Text {
	left := advise.YouLeft(t.Left)
	switch {
	case t.Stands != "":
		return told.Sentences(message.Of("No. %s", undone.ForbiddenWords(t.Stands, t.Undone)),
			undone.ForbiddenInFull(t.Undone), "Finish that work before any trip.", left)
	case len(t.Parked) > 0:
		return told.Sentences(message.Of("No. Do not drive it: %s must be put right.",
			told.FewWords(namesOf(t.Parked), parkedWords)),
			message.Of("Before any trip: %s.", advise.Names(t.Parked)), left)
	}
	due, better := t.sorted()
	return told.Sentences(slices.Concat(t.answer(due, better), []message.Text{t.inFull(due), alsoLook(due, t.First),
		alsoBetter(due, better, t.First), t.chanceTold(p), left})...)
}

const (
	parkedWords = 5  // of names in the headline of a parked vehicle
	doWords     = 11 // of what is to be done, behind "Not before you" or "Probably, but first"
)

// sorted parts what has to be done before the trip from what only betters the
// chance.
func (t *Trip) sorted() (due, better []Fix) {
	must, fixes := t.Lines()
	for _, f := range slices.Concat(must, fixes) {
		if f.Due {
			due = append(due, f)
		} else {
			better = append(better, f)
		}
	}
	return due, better
}

// answer is the headline: there is no trip without what is due by its end, and
// what only betters the chance is advice.
func (t *Trip) answer(due, better []Fix) []message.Text {
	switch {
	case len(due) > 0:
		return []message.Text{message.Of("Not before you %s.", doing(due, doWords))}
	case len(t.First) > 0:
		return []message.Text{message.Of("Not before you %s.", looking(t.First, doWords))}
	case len(better) > 0 && t.Doubtful():
		return []message.Text{message.Of("Doubtful; at least %s.", doing(better, doWords))}
	case len(better) > 0:
		return []message.Text{message.Of("Probably, but first %s.", doing(better, doWords))}
	case t.Reached:
		return []message.Text{message.Of("Yes, as far as can be told: %s.", strandedWords(t.Stranded))}
	case t.Doubtful():
		return []message.Text{message.Of("Doubtful: %s, and no single part stands out.", strandedWords(t.Stranded))}
	}
	return []message.Text{message.Of("Probably, though %s: more than you accept.", strandedWords(t.Stranded)),
		"No single part stands out."}
}

// strandedWords says how often one is stranded.
func strandedWords(p float64) message.Text {
	n, of := told.OneIn(p)
	switch {
	case p >= told.NearlySure:
		return "stranded nearly certain"
	case p < told.Slight:
		return "stranded less than 1 time in 1000"
	case n == 1:
		return message.Of("stranded about 1 time in %.0f", of)
	}
	return message.Of("stranded about %.0f times in %.0f", n, of)
}

// inFull says all that is due where the headline does not.
func (t *Trip) inFull(due []Fix) message.Text {
	if full := doing(due, math.MaxInt); len(due) > 0 && full.String() != doing(due, doWords).String() {
		return message.Of("In full: %s.", full)
	}
	return ""
}

// alsoLook says what is looked at besides what is done.
func alsoLook(due []Fix, first []*judge.Judgement) message.Text {
	switch {
	case len(first) == 0:
		return ""
	case len(due) == 0 && len(first) == 1:
		return ""
	case len(due) == 0:
		return message.Of("To look at first: %s.", told.Listing(namesOf(first)))
	}
	return message.Of("And before that, %s.", looking(first, math.MaxInt))
}

// alsoBetter says what would better the chance besides.
func alsoBetter(due, better []Fix, first []*judge.Judgement) message.Text {
	if len(better) == 0 {
		return ""
	}
	full := doing(better, math.MaxInt)
	if len(due)+len(first) > 0 {
		return message.Of("Better to %s as well.", full)
	}
	if full.String() != doing(better, doWords).String() {
		return message.Of("In full: %s.", full)
	}
	return ""
}

// chanceTold says the chance of being stranded, as it stands and with what is to
// be done, beside what the owner accepts.
func (t *Trip) chanceTold(p units.Preferences) message.Text {
	far, now, after := say.Rough(t.Km, p), told.Odds(t.Stranded), told.Odds(t.After)
	done := len(t.Must)+len(t.Fixes) > 0 && after != now
	switch under := inWords(t.Under); {
	case done && t.Reached:
		return message.Of("The chance of being stranded in %s is %s as it stands and %s with that done, within the %s "+
			"you accept.", far, now, after, under)
	case done:
		return message.Of("The chance of being stranded in %s is %s as it stands and %s with that done, still more "+
			"than the %s you accept.", far, now, after, under)
	case t.Reached:
		return message.Of("The chance of being stranded in %s is %s, within the %s you accept.", far, now, under)
	default:
		return message.Of("The chance of being stranded in %s is %s, more than the %s you accept.", far, now, under)
	}
}

// phrases say what to do, one each.
func phrases(fixes []Fix) []message.Text {
	out := make([]message.Text, len(fixes))
	for i, f := range fixes {
		if f.Judgement.Position.LookOnly {
			out[i] = message.Of("have the %s put right by a licensed workshop",
				say.LowerFirst(f.Judgement.Position.Name))
		} else {
			out[i] = advise.ActionWords(f.Do, f.name())
		}
	}
	return out
}

// doing says what to do in at most so many words: each with its verb where they
// are few, else one verb for all.
func doing(fixes []Fix, words int) message.Text {
	names := make([]message.Text, len(fixes))
	changes := true
	for i, f := range fixes {
		names[i] = message.Name(say.LowerFirst(f.name()))
		changes = changes && f.Do == fleet.Change
	}
	all := told.Listing(phrases(fixes))
	if changes {
		all = message.Of("change the %s", told.Listing(names))
	}
	switch {
	case told.Words(all) <= words:
		return all
	case changes:
		return message.Of("change the %s", told.FewWords(names, words-2))
	}
	return message.Of("put right the %s", told.FewWords(names, words-3))
}

// looking says what to look at, or test, in at most so many words.
func looking(js []*judge.Judgement, words int) message.Text {
	if len(js) == 1 {
		if a, test := tested(js[0]); test {
			return advise.ActionWords(a, js[0].Position.Name)
		}
	}
	return message.Of("look at the %s", told.FewWords(namesOf(js), words-3))
}

func namesOf(js []*judge.Judgement) []message.Text {
	names := make([]message.Text, len(js))
	for i, j := range js {
		names[i] = message.Name(say.LowerFirst(j.Position.Name))
	}
	return names
}

// FirstWords says what to do before the start about a part on watch, and why.
func (t *Trip) FirstWords(j *judge.Judgement, p units.Preferences) message.Text {
	do := message.Text("look at it again")
	if j.Verdict == fleet.Unseen {
		do = "look at it"
	}
	if a, test := tested(j); test {
		do = advise.ActionVerb(a)
	}
	return message.Of("%s: %s", do, advise.ShortWhy(j, p))
}

// FirstGroups gathers what to do before the start, parts of which the same is to be
// said together.
func (t *Trip) FirstGroups(p units.Preferences) []RiskGroup {
	var out []RiskGroup
	for _, j := range t.First {
		words := t.FirstWords(j, p)
		i := slices.IndexFunc(out, func(g RiskGroup) bool {
			return g.Words == words && g.Judgements[0].Verdict == j.Verdict
		})
		if i < 0 {
			i, out = len(out), append(out, RiskGroup{Words: words})
		}
		out[i].Judgements = append(out[i].Judgements, j)
	}
	return out
}

// inWords writes a chance as one in so many.
func inWords(p float64) message.Text { return message.Of("1 in %.0f", 1/p) }

// RestWords says what the chances rest on.
func (t *Trip) RestWords(p units.Preferences) []message.Text {
	out := []message.Text{"Chances are reckoned from intervals, what was seen of each part, its measured wear and " +
		"your own past parts. How often looks miss and how early failures show is common practice and memory."}
	if t.Harder > 1 {
		out = append(out, message.Of(
			"Load or heat: each %s counts as %.3g and each day as %.3g, the trade's factors for severe service.",
			farOf(t.Vehicle).unit, t.Harder, t.Longer))
	}
	if t.Unreckoned > 0 {
		out = append(out, message.Of(
			"%s that can strand you, too, of which no age or no interval is known: not counted.",
			told.Count(t.Unreckoned, "part", "parts").Capital()))
	}
	return append(out, message.Of("Taken from %s to %s: %s.", told.Long(t.Start), told.Long(t.End), p.Run(t.Km)))
}

// Words says how likely a part is to fail on the trip, what that rests on in a
// word, and what it means.
func (r *Risk) Words() message.Text {
	return message.Of("%s (%s). If it fails: %s.", told.Odds(r.P), r.Chance.Brief(),
		r.Judgement.LetsDown().Open())
}

// RiskGroup is parts of which the same is to be said.
type RiskGroup struct {
	Judgements []*judge.Judgement
	Words      message.Text
	Slight     bool // less than told.Slight
}

// RiskGroups gathers the likeliest let-downs, those of which the same is to be
// said together, up to a number of groups.
func (t *Trip) RiskGroups(most int) []RiskGroup {
	var out []RiskGroup
	for i := range t.Risks {
		j, words := t.Risks[i].Judgement, t.Risks[i].Words()
		at := slices.IndexFunc(out, func(g RiskGroup) bool {
			return g.Words == words && g.Judgements[0].Verdict == j.Verdict
		})
		switch {
		case at >= 0:
			out[at].Judgements = append(out[at].Judgements, j)
		case len(out) < most:
			out = append(out, RiskGroup{[]*judge.Judgement{j}, words, t.Risks[i].P < told.Slight})
		}
	}
	return out
}

// ChanceWords sums the let-downs up.
func (t *Trip) ChanceWords() message.Text {
	strands := 0
	for i := range t.Risks {
		if t.Risks[i].Judgement.Strands() {
			strands++
		}
	}
	return message.Of("Being stranded by any of %s: %s; any failure at all, of %s: %s.",
		told.Count(strands, "part", "parts"), told.Odds(t.Stranded), told.Count(len(t.Risks), "part", "parts"),
		told.Odds(t.LetDown))
}

// Title names what to have on board.
func (c *Carry) Title() message.Text { return told.Listing(told.Names(c.Things)) }

// Words says what something on board is for and what it helps, one thing after the other.
func (c *Carry) Words() message.Text {
	var parts []message.Text
	for _, j := range c.For {
		parts = append(parts, message.Name(say.LowerFirst(j.Position.Name)))
	}
	const most = 3
	if n := len(parts); n > most {
		parts = append(parts[:most-1], message.Of("%d others", n-most+1))
	}
	s := message.Of("for the %s, chance of needing it %s", told.Listing(parts), told.Odds(c.P))
	if share := math.Round(100 * c.Share); share >= 1 {
		s = message.Of("%s, %.0f %% of what may let you down", s, share)
	}
	switch {
	case len(c.Aboard) == len(c.Things):
		s = message.Of("%s; aboard", s)
	case len(c.Aboard) > 0:
		s = message.Of("%s; aboard: %s", s, told.Listing(told.Names(c.Aboard)))
	}
	if with, after := told.Odds(c.With), told.Odds(c.After); with != after {
		s = message.Of("%s; with it aboard the chance of being stranded is %s in place of %s", s, with, after)
	}
	if c.Roadside != "" {
		s = message.Of("%s. %s", s, strings.TrimRight(c.Roadside, "."))
	}
	return s
}

// Title names what is dealt with: a part, or a set.
func (f *Fix) Title() message.Text {
	if f.set != nil {
		return f.set.Words()
	}
	return message.Name(f.Judgement.Position.Name)
}

// name is its title in a word or two.
func (f *Fix) name() string {
	if f.set != nil {
		return f.set.Name
	}
	return f.Judgement.Position.Name
}

// why says why a part is changed; of a set, that of its first part and what the
// others have of their own.
func (f *Fix) why() message.Text {
	s := f.Reason.Words()
	first := s
	for _, o := range f.others {
		if own := o.Reason.Words(); o.Reason.Code != LetsDown && own != first {
			s = message.Of("%s; %s: %s", s, say.LowerFirst(o.Judgement.Position.Name), own)
		}
	}
	return s
}

// Words says what a change takes and does, one thing after the other.
func (f *Fix) Words(currency string) message.Text {
	s := f.why()
	switch {
	case f.Part > 0 && currency != "":
		s = message.Of("%s; the part is about %s, the workshop's work not counted", s, say.Money(f.Part, currency))
	case f.Judgement.Position.LookOnly:
		s = message.Of("%s; part and workshop's work not counted", s)
	}
	if f.Do != fleet.Change {
		return s
	}
	s = message.Of("%s; %s", s, f.takes(currency))
	switch was, now := told.Odds(f.Was), told.Odds(f.New); {
	case f.Was <= 0 || was == now:
	case f.set != nil:
		s = message.Of("%s; chance of any of it failing on the trip %s, %s when new", s, was, now)
	default:
		s = message.Of("%s; chance of failing on the trip %s, %s when new", s, was, now)
	}
	return s
}

// takes says what a change takes.
func (f *Fix) takes(currency string) message.Text {
	if currency != "" && f.Money > 0 {
		return message.Of("about %.0f min and %s", f.Minutes, say.Money(f.Money, currency))
	}
	return message.Of("about %.0f min", f.Minutes)
}

// Brief says why in few words and what it takes, where a drawing shows what it does to the chance: what its
// failure means stands with the chances.
func (f *Fix) Brief(currency string) message.Text {
	var parts []message.Text
	if f.Due || f.Judgement.Verdict >= fleet.PutRight || len(f.Judgement.Todos) > 0 {
		parts = append(parts, f.why())
	}
	if f.Do == fleet.Change {
		parts = append(parts, f.takes(currency))
	}
	if f.Judgement.Position.LookOnly || len(parts) == 0 {
		return f.Words(currency)
	}
	return message.Joined(parts, "; ")
}

// BeforeWords sums up what is to be done before the trip, or "".
func (t *Trip) BeforeWords() message.Text {
	minutes, money := 0.0, 0.0
	for _, f := range append(append([]Fix{}, t.Must...), t.Fixes...) {
		minutes += f.Minutes
		money += f.Money
	}
	if minutes == 0 {
		return ""
	}
	takes := told.Hours(minutes / 60)
	if t.Currency != "" && money > 0 {
		takes = message.Of("%s and %s", takes, say.Money(money, t.Currency))
	}
	if slices.ContainsFunc(t.Must, func(f Fix) bool { return f.Judgement.Position.LookOnly }) {
		takes = message.Of("%s, the licensed workshop apart", takes)
	}
	return message.Of("Together about %s; what several of them need opened counts once, where it comes first.", takes)
}

// Words says why a part concerns the trip, to stand inside a sentence.
func (r Reason) Words() message.Text {
	switch r.Code {
	case Verdict:
		return advise.ShortWhy(r.Judgement, r.units)
	case LeftAside:
		return message.Of("%s; %s", advise.ShortWhy(r.Judgement, r.units), advise.LeftWords(r.Judgement))
	case CanWait:
		return message.Of("%s; it can wait until you are back", advise.ShortWhy(r.Judgement, r.units))
	case DueBefore:
		if r.On.IsZero() {
			return message.Of("falls due before you leave (%s)", r.Authority)
		}
		return message.Of("falls due on %s, before you leave (%s)", told.Long(r.On), r.Authority)
	case DueAfter:
		step := farOf(&fleet.Vehicle{Counts: r.counts}).perDay / 10
		return message.Of("falls due after about %s of the trip (%s)",
			r.units.Run(math.Round(r.Km/step)*step), r.Authority)
	case DueOn:
		return message.Of("falls due on %s (%s)", told.Long(r.On), r.Authority)
	case WearsOut:
		return message.Of("%s likely passes the limit of %s (%s)", say.LowerFirst(r.Check.Title()),
			r.Check.Shown(r.Bound), r.Authority)
	case MayWearOut:
		return message.Of("%s may pass the limit of %s (%s)", say.LowerFirst(r.Check.Title()),
			r.Check.Shown(r.Bound), r.Authority)
	}
	return message.Of("if it fails, %s", r.Judgement.LetsDown())
}

// Words says what passes a limit on the way, and when.
func (p *Pass) Words() message.Text { return p.Reason.Words() }

// Words says what to look at on the way.
func (c *Check) Words() message.Text {
	if c.Judgement == nil {
		names := make([]string, len(c.Levels))
		for i, p := range c.Levels {
			names[i] = say.LowerFirst(p.Name)
		}
		return message.Of("levels each morning, engine cold, and at every second fill-up (common practice): %s",
			strings.Join(names, ", "))
	}
	s := advise.ShortWhy(c.Judgement, c.units)
	if c.Again {
		return message.Of("%s; to be looked at again before the end of the trip", s)
	}
	return s
}
