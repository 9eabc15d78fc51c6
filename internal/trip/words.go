package trip

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undertray/internal/advise"
	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/internal/say"
	"undertray/internal/undone"
	"undertray/units"
)

// Headline answers whether the vehicle gets through.
func (t *Trip) Headline(p units.Preferences) string { return say.Head(t.Told(p)) }

// Told is the headline and what else there is to it, a sentence each.
func (t *Trip) Told(p units.Preferences) []string {
	left := advise.YouLeft(t.Left)
	switch {
	case t.Stands != "":
		return say.Told("No. "+undone.ForbiddenWords(t.Stands, t.Undone), undone.ForbiddenInFull(t.Undone),
			"Finish that work before any trip.", left)
	case len(t.Parked) > 0:
		return say.Told(fmt.Sprintf("No. Do not drive it: %s must be put right.",
			say.FewWords(namesOf(t.Parked), parkedWords)),
			fmt.Sprintf("Before any trip: %s.", advise.Names(t.Parked)), left)
	}
	due, better := t.sorted()
	return say.Told(slices.Concat(t.answer(due, better),
		[]string{t.inFull(due), alsoLook(due, t.First), alsoBetter(due, better, t.First), t.chanceTold(p), left})...)
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
func (t *Trip) answer(due, better []Fix) []string {
	switch {
	case len(due) > 0:
		return []string{"Not before you " + doing(due, doWords) + "."}
	case len(t.First) > 0:
		return []string{"Not before you " + looking(t.First, doWords) + "."}
	case len(better) > 0 && t.Doubtful():
		return []string{"Doubtful; at least " + doing(better, doWords) + "."}
	case len(better) > 0:
		return []string{"Probably, but first " + doing(better, doWords) + "."}
	case t.Reached:
		return []string{"Yes, as far as can be told: " + strandedWords(t.Stranded) + "."}
	case t.Doubtful():
		return []string{"Doubtful: " + strandedWords(t.Stranded) + ", and no single part stands out."}
	}
	return []string{"Probably, though " + strandedWords(t.Stranded) + ": more than you accept.",
		"No single part stands out."}
}

// strandedWords says how often one is stranded.
func strandedWords(p float64) string {
	odds := say.Odds(p)
	n, of, counted := strings.Cut(odds, " in ")
	switch {
	case !counted:
		return "stranded " + odds
	case strings.HasSuffix(n, " 1"):
		return "stranded " + n + " time in " + of
	}
	return "stranded " + n + " times in " + of
}

// inFull says all that is due where the headline does not.
func (t *Trip) inFull(due []Fix) string {
	if full := doing(due, math.MaxInt); len(due) > 0 && full != doing(due, doWords) {
		return "In full: " + full + "."
	}
	return ""
}

// alsoLook says what is looked at besides what is done.
func alsoLook(due []Fix, first []*judge.Judgement) string {
	switch {
	case len(first) == 0:
		return ""
	case len(due) == 0 && len(first) == 1:
		return ""
	case len(due) == 0:
		return "To look at first: " + say.Listing(namesOf(first)) + "."
	}
	return "And before that, " + looking(first, math.MaxInt) + "."
}

// alsoBetter says what would better the chance besides.
func alsoBetter(due, better []Fix, first []*judge.Judgement) string {
	if len(better) == 0 {
		return ""
	}
	if len(due)+len(first) > 0 {
		return "Better to " + doing(better, math.MaxInt) + " as well."
	}
	if full := doing(better, math.MaxInt); full != doing(better, doWords) {
		return "In full: " + full + "."
	}
	return ""
}

// chanceTold says the chance of being stranded, as it stands and with what is to
// be done, beside what the owner accepts.
func (t *Trip) chanceTold(p units.Preferences) string {
	s := fmt.Sprintf("The chance of being stranded in %s is %s", say.Rough(t.Km, p), say.Odds(t.Stranded))
	still := ""
	if len(t.Must)+len(t.Fixes) > 0 && say.Odds(t.After) != say.Odds(t.Stranded) {
		s += " as it stands and " + say.Odds(t.After) + " with that done"
		still = "still "
	}
	if t.Reached {
		return s + fmt.Sprintf(", within the %s you accept.", inWords(t.Under))
	}
	return s + fmt.Sprintf(", %smore than the %s you accept.", still, inWords(t.Under))
}

// phrases say what to do, one each.
func phrases(fixes []Fix) []string {
	out := make([]string, len(fixes))
	for i, f := range fixes {
		if f.Judgement.Position.LookOnly {
			out[i] = "have the " + say.LowerFirst(f.Judgement.Position.Name) + " put right by a licensed workshop"
		} else {
			out[i] = advise.ActionWords(f.Do, f.name())
		}
	}
	return out
}

// doing says what to do in at most so many words: each with its verb where they
// are few, else one verb for all.
func doing(fixes []Fix, words int) string {
	names := make([]string, len(fixes))
	changes := true
	for i, f := range fixes {
		names[i] = say.LowerFirst(f.name())
		changes = changes && f.Do == fleet.Change
	}
	all := say.Listing(phrases(fixes))
	if changes {
		all = "change the " + say.Listing(names)
	}
	switch {
	case len(strings.Fields(all)) <= words:
		return all
	case changes:
		return "change the " + say.FewWords(names, words-2)
	}
	return "put right the " + say.FewWords(names, words-3)
}

// looking says what to look at, or test, in at most so many words.
func looking(js []*judge.Judgement, words int) string {
	if len(js) == 1 {
		if a, test := tested(js[0]); test {
			return advise.ActionWords(a, js[0].Position.Name)
		}
	}
	return "look at the " + say.FewWords(namesOf(js), words-3)
}

func namesOf(js []*judge.Judgement) []string {
	names := make([]string, len(js))
	for i, j := range js {
		names[i] = say.LowerFirst(j.Position.Name)
	}
	return names
}

// FirstWords says what to do before the start about a part on watch, and why.
func (t *Trip) FirstWords(j *judge.Judgement, p units.Preferences) string {
	do := "look at it again"
	if j.Verdict == fleet.Unseen {
		do = "look at it"
	}
	if a, test := tested(j); test {
		do = advise.ActionVerb(a)
	}
	return do + ": " + advise.ShortWhy(j, p)
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
func inWords(p float64) string { return fmt.Sprintf("1 in %.0f", 1/p) }

// RestWords says what the chances rest on.
func (t *Trip) RestWords(p units.Preferences) []string {
	out := []string{"Chances are reckoned from intervals, what was seen of each part, its measured wear and your " +
		"own past parts. How often looks miss and how early failures show is common practice and memory."}
	if t.Harder > 1 {
		out = append(out, fmt.Sprintf(
			"Load or heat: each %s counts as %.3g and each day as %.3g, the trade's factors for severe service.",
			farOf(t.Vehicle).unit, t.Harder, t.Longer))
	}
	if t.Unreckoned > 0 {
		out = append(out, fmt.Sprintf(
			"%s that can strand you, too, of which no age or no interval is known: not counted.",
			say.Capital(say.Count(t.Unreckoned, "part", "parts"))))
	}
	return append(out, fmt.Sprintf("Taken from %s to %s: %s.", t.Start.Long(), t.End.Long(),
		p.Run(t.Km)))
}

// Words says how likely a part is to fail on the trip, what that rests on in a
// word, and what it means.
func (r *Risk) Words() string {
	return fmt.Sprintf("%s (%s). %s", say.Odds(r.P), r.Chance.Brief(),
		say.Sentence("If it fails: "+r.Judgement.LetsDown()))
}

// RiskGroup is parts of which the same is to be said.
type RiskGroup struct {
	Judgements []*judge.Judgement
	Words      string
	Slight     bool // less than say.Slight
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
			out = append(out, RiskGroup{[]*judge.Judgement{j}, words, t.Risks[i].P < say.Slight})
		}
	}
	return out
}

// ChanceWords sums the let-downs up.
func (t *Trip) ChanceWords() string {
	strands := 0
	for i := range t.Risks {
		if t.Risks[i].Judgement.Strands() {
			strands++
		}
	}
	return fmt.Sprintf("Being stranded by any of %s: %s; any failure at all, of %s: %s.",
		say.Count(strands, "part", "parts"), say.Odds(t.Stranded), say.Count(len(t.Risks), "part", "parts"),
		say.Odds(t.LetDown))
}

// Title names what to have on board.
func (c *Carry) Title() string { return say.Listing(c.Things) }

// Words says what something on board is for and what it helps.
func (c *Carry) Words() string {
	var parts []string
	for _, j := range c.For {
		parts = append(parts, say.LowerFirst(j.Position.Name))
	}
	const most = 3
	if n := len(parts); n > most {
		parts = append(parts[:most-1], fmt.Sprintf("%d others", n-most+1))
	}
	s := fmt.Sprintf("for the %s, chance of needing it %s", say.Listing(parts), say.Odds(c.P))
	if share := math.Round(100 * c.Share); share >= 1 {
		s += fmt.Sprintf(", %.0f %% of what may let you down", share)
	}
	switch {
	case len(c.Aboard) == len(c.Things):
		s += "; aboard"
	case len(c.Aboard) > 0:
		s += "; aboard: " + say.Listing(c.Aboard)
	}
	if say.Odds(c.With) != say.Odds(c.After) {
		s += fmt.Sprintf("; with it aboard the chance of being stranded is %s in place of %s", say.Odds(c.With),
			say.Odds(c.After))
	}
	if c.Roadside != "" {
		s += ". " + strings.TrimRight(c.Roadside, ".")
	}
	return s
}

// Title names what is dealt with: a part, or a set.
func (f *Fix) Title() string {
	if f.set != nil {
		return f.set.Words()
	}
	return f.Judgement.Position.Name
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
func (f *Fix) why() string {
	s := f.Reason.Words()
	for _, o := range f.others {
		if own := o.Reason.Words(); o.Reason.Code != LetsDown && own != s {
			s += "; " + say.LowerFirst(o.Judgement.Position.Name) + ": " + own
		}
	}
	return s
}

// Words says what a change takes and does.
func (f *Fix) Words(currency string) string {
	s := f.why()
	switch {
	case f.Part > 0 && currency != "":
		s += fmt.Sprintf("; the part is about %s, the workshop's work not counted", say.Money(f.Part, currency))
	case f.Judgement.Position.LookOnly:
		s += "; part and workshop's work not counted"
	}
	if f.Do != fleet.Change {
		return s
	}
	s += fmt.Sprintf("; about %.0f min", f.Minutes)
	if currency != "" && f.Money > 0 {
		s += " and " + say.Money(f.Money, currency)
	}
	if f.Was > 0 && say.Odds(f.Was) != say.Odds(f.New) {
		what := "failing"
		if f.set != nil {
			what = "any of it failing"
		}
		s += fmt.Sprintf("; chance of %s on the trip %s, %s when new", what, say.Odds(f.Was), say.Odds(f.New))
	}
	return s
}

// Brief says why in few words and what it takes, where a drawing shows what it does to the chance: what its
// failure means stands with the chances.
func (f *Fix) Brief(currency string) string {
	var parts []string
	if f.Due || f.Judgement.Verdict >= fleet.PutRight || len(f.Judgement.Todos) > 0 {
		parts = append(parts, f.why())
	}
	if f.Do == fleet.Change {
		takes := fmt.Sprintf("about %.0f min", f.Minutes)
		if currency != "" && f.Money > 0 {
			takes += " and " + say.Money(f.Money, currency)
		}
		parts = append(parts, takes)
	}
	if f.Judgement.Position.LookOnly || len(parts) == 0 {
		return f.Words(currency)
	}
	return strings.Join(parts, "; ")
}

// BeforeWords sums up what is to be done before the trip, or "".
func (t *Trip) BeforeWords() string {
	minutes, money := 0.0, 0.0
	for _, f := range append(append([]Fix{}, t.Must...), t.Fixes...) {
		minutes += f.Minutes
		money += f.Money
	}
	if minutes == 0 {
		return ""
	}
	s := "Together about " + say.Hours(minutes/60)
	if t.Currency != "" && money > 0 {
		s += " and " + say.Money(money, t.Currency)
	}
	if slices.ContainsFunc(t.Must, func(f Fix) bool { return f.Judgement.Position.LookOnly }) {
		s += ", the licensed workshop apart"
	}
	return s + "; what several of them need opened counts once, where it comes first."
}

// Words says why a part concerns the trip, to stand inside a sentence.
func (r Reason) Words() string {
	switch r.Code {
	case Verdict:
		return advise.ShortWhy(r.Judgement, r.units)
	case LeftAside:
		return advise.ShortWhy(r.Judgement, r.units) + "; " + advise.LeftWords(r.Judgement)
	case CanWait:
		return advise.ShortWhy(r.Judgement, r.units) + "; it can wait until you are back"
	case DueBefore:
		if r.On.IsZero() {
			return fmt.Sprintf("falls due before you leave (%s)", r.Authority)
		}
		return fmt.Sprintf("falls due on %s, before you leave (%s)", r.On.Long(), r.Authority)
	case DueAfter:
		step := farOf(&fleet.Vehicle{Counts: r.counts}).perDay / 10
		return fmt.Sprintf("falls due after about %s of the trip (%s)",
			r.units.Run(math.Round(r.Km/step)*step), r.Authority)
	case DueOn:
		return fmt.Sprintf("falls due on %s (%s)", r.On.Long(), r.Authority)
	case WearsOut:
		return fmt.Sprintf("%s likely passes the limit of %s (%s)", say.LowerFirst(r.Check.Title()),
			r.Check.Shown(r.Bound), r.Authority)
	case MayWearOut:
		return fmt.Sprintf("%s may pass the limit of %s (%s)", say.LowerFirst(r.Check.Title()),
			r.Check.Shown(r.Bound), r.Authority)
	}
	return "if it fails, " + r.Judgement.LetsDown()
}

// Words says what passes a limit on the way, and when.
func (p *Pass) Words() string { return p.Reason.Words() }

// Words says what to look at on the way.
func (c *Check) Words() string {
	if c.Judgement == nil {
		names := make([]string, len(c.Levels))
		for i, p := range c.Levels {
			names[i] = say.LowerFirst(p.Name)
		}
		return "levels each morning, engine cold, and at every second fill-up (common practice): " +
			strings.Join(names, ", ")
	}
	s := advise.ShortWhy(c.Judgement, c.units)
	if c.Again {
		s += "; to be looked at again before the end of the trip"
	}
	return s
}
