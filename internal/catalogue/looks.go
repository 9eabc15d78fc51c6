package catalogue

import (
	"math"
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// Looks is what looks tell of a part's condition, and how failures announce
// themselves. Chances from 0 to 1.
type Looks struct {
	Says   string        `yaml:"says,omitempty" json:"says,omitempty"`
	Source fleet.Sources `yaml:"source,omitempty" json:"source,omitempty"`
	// Stages a part passes through, the first of them sound.
	Stages []LookStage `yaml:"stages,omitempty" json:"stages,omitempty"`
	Sorts  []LookSort  `yaml:"sorts,omitempty" json:"sorts,omitempty"`
	// Untold lists answers which say that nothing could be seen.
	Untold []string `yaml:"untold,omitempty" json:"untold,omitempty"`
	// Checks that tell more or less than their sense does; Leads by kinds. Of
	// several that hold for a kind the first of its own counts, then those of
	// the kinds it inherits from, then those of every kind.
	Checks []CheckLook `yaml:"checks,omitempty" json:"checks,omitempty"`
	Leads  []LeadTime  `yaml:"leads,omitempty" json:"leads,omitempty"`
	// InHand are the checks that tell with the part off and in the hand.
	InHand []CheckLook `yaml:"in_hand,omitempty" json:"in_hand,omitempty"`
	// AtAGlance is a look at a part that answers none of its checks.
	AtAGlance *AtAGlance `yaml:"at_a_glance,omitempty" json:"at_a_glance,omitempty"`
	// Blind lists how looks can miss one and the same spot each time.
	Blind []BlindLook `yaml:"blind,omitempty" json:"blind,omitempty"`
	// Lasts is how long kinds for which no authority names an interval last.
	Lasts []MeanLife `yaml:"lasts,omitempty" json:"lasts,omitempty"`
	// UsualYear is how far a vehicle usually runs in a year: it turns an
	// interval named in distance or time alone into both.
	UsualYear *units.Quantity `yaml:"usual_year,omitempty" json:"usual_year,omitempty" of:"distance,positive"`
	// UsualHours is that of a vehicle that counts hours.
	UsualHours *units.Quantity `yaml:"usual_hours,omitempty" json:"usual_hours,omitempty" of:"engine hours,positive"`
	// Early is how many parts go early, from a cause of their own.
	Early *EarlyLife `yaml:"early,omitempty" json:"early,omitempty"`
	// KeepToInterval is the share of owners who change a part at the trade's
	// interval; with the others it stays until it fails.
	KeepToInterval float64 `yaml:"keep_to_interval,omitempty" json:"keep_to_interval,omitempty"`
	// MinutesPerCheck is what one check takes, openings not counted.
	MinutesPerCheck float64    `yaml:"minutes_per_check,omitempty" json:"minutes_per_check,omitempty"`
	LookAgain       *LookAgain `yaml:"look_again,omitempty" json:"look_again,omitempty"`
}

// LookStage is one stage of worsening. Misses is how often a look of strength 1
// finds nothing in it; Judged how often of a hundred it says watch, put right
// and park where it finds something; Share the part of the lead time it takes.
type LookStage struct {
	Stage  string    `yaml:"stage" json:"stage"`
	Misses float64   `yaml:"misses" json:"misses"`
	Judged []float64 `yaml:"judged" json:"judged"`
	Share  float64   `yaml:"share,omitempty" json:"share,omitempty"`
}

// LookSort is one sort of look: with which senses, whether what hides the part
// was taken off for it, and how often it misses an advanced sign.
type LookSort struct {
	Sort   string   `yaml:"sort" json:"sort"`
	Says   string   `yaml:"says" json:"says"`
	Senses []string `yaml:"senses" json:"senses"`
	Opened bool     `yaml:"opened,omitempty" json:"opened,omitempty"`
	Misses float64  `yaml:"misses" json:"misses"`
}

// CheckLook is a check that misses an advanced sign more or less often than its
// sense does; of these kinds and their heirs, or of every kind.
type CheckLook struct {
	Check  string   `yaml:"check" json:"check"`
	Kinds  []string `yaml:"kinds,omitempty" json:"kinds,omitempty"`
	Misses float64  `yaml:"misses" json:"misses"`
}

// AtAGlance is a look at a part as a whole: Checks are how it is recorded, at rest
// and with the engine running, and Share how much it tells of what the best of the
// checks that it stands for tells.
type AtAGlance struct {
	Share  float64 `yaml:"share" json:"share"`
	Checks []Check `yaml:"checks" json:"checks"`
}

// LeadTime is how long from the first sign to failure: by distance, by time or
// both, with the standard deviation of its logarithm. ByDistance is the share
// of the wear that distance does where an interval names both.
type LeadTime struct {
	Kinds      []string        `yaml:"kinds,omitempty" json:"kinds,omitempty"`
	Distance   *units.Quantity `yaml:"distance,omitempty" json:"distance,omitempty" of:"distance,positive"`
	Time       *units.Quantity `yaml:"time,omitempty" json:"time,omitempty" of:"time span,positive"`
	ByDistance float64         `yaml:"by_distance,omitempty" json:"by_distance,omitempty"`
	Spread     float64         `yaml:"spread" json:"spread"`
	Says       string          `yaml:"says,omitempty" json:"says,omitempty"`
	Authority  fleet.Authority `yaml:"authority" json:"authority"`
	Source     fleet.Sources   `yaml:"source" json:"source"`
}

// BlindLook is the share of parts on which some sorts of look see nothing of what
// is there, however often.
type BlindLook struct {
	Sorts []string `yaml:"sorts" json:"sorts"`
	Share float64  `yaml:"share" json:"share"`
	Says  string   `yaml:"says" json:"says"`
}

// MeanLife is how long kinds last on average, with the standard deviation of its
// logarithm: by distance, by time or, worn by the usual year, by both.
type MeanLife struct {
	Kinds     []string        `yaml:"kinds,omitempty" json:"kinds,omitempty"`
	Distance  *units.Quantity `yaml:"distance,omitempty" json:"distance,omitempty" of:"distance,positive"`
	Time      *units.Quantity `yaml:"time,omitempty" json:"time,omitempty" of:"time span,positive"`
	Spread    float64         `yaml:"spread" json:"spread"`
	Says      string          `yaml:"says,omitempty" json:"says,omitempty"`
	Authority fleet.Authority `yaml:"authority" json:"authority"`
	Source    fleet.Sources   `yaml:"source" json:"source"`
}

// EarlyLife is the share of parts that go early, as if so much of a mean life
// were over when they are fitted.
type EarlyLife struct {
	Share float64 `yaml:"share" json:"share"`
	Worn  float64 `yaml:"worn" json:"worn"`
}

// LookAgain says at which chance of failing unseen a part is looked at again,
// where a failure strands and where it does not, and after how long at most.
type LookAgain struct {
	Strands float64         `yaml:"strands" json:"strands"`
	Else    float64         `yaml:"else" json:"else"`
	AtMost  *units.Quantity `yaml:"at_most" json:"at_most" of:"time span,positive"`
	// Fresh is for how long another look would tell the same.
	Fresh *units.Quantity `yaml:"fresh,omitempty" json:"fresh,omitempty" of:"time span,positive"`
}

// Strengths is the ladder of strengths in which looks are told apart. Strengths
// of several senses add up; 1 misses an advanced sign as its stage says.
func Strengths() []float64 { return []float64{0.1, 0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4} }

// Table returns the chance of each answer (nothing found, watch, put right, park)
// in each stage, of a look of a strength.
func (l *Looks) Table(strength float64) [][]float64 {
	var out [][]float64
	for _, s := range l.Stages {
		nothing := math.Pow(s.Misses, strength)
		row, sum := []float64{nothing}, 0.0
		for _, n := range s.Judged {
			sum += n
		}
		for _, n := range s.Judged {
			row = append(row, (1-nothing)*n/sum)
		}
		out = append(out, row)
	}
	return out
}

// advanced is the stage by which sorts of look are told apart: the last but one.
func (l *Looks) advanced() LookStage { return l.Stages[max(0, len(l.Stages)-2)] }

// Strength is how much a good answer to a check tells, opened where what hides
// the part was taken off for it; 0 for nothing. Heirs lists the kind and those
// it inherits from, nearest first.
func (l *Looks) Strength(heirs []string, c *Check, opened bool) (sort string, strength float64) {
	misses := 1.0
	for i := range l.Sorts {
		s := &l.Sorts[i]
		if slices.Contains(s.Senses, c.Sense) && (!s.Opened || opened) {
			sort, misses = s.Sort, s.Misses
		}
	}
	of := func(c CheckLook) []string { return c.Kinds }
	if own := nearest(l.Checks, heirs, func(x CheckLook) bool { return x.Check == c.ID }, of); own != nil {
		misses = own.Misses
	}
	return sort, math.Log(misses) / math.Log(l.advanced().Misses)
}

// Glance is the check by which a look at a whole part is recorded, at rest or with
// the engine running; nil where no file names one.
func (l *Looks) Glance(running bool) *Check {
	if l.AtAGlance == nil {
		return nil
	}
	for i := range l.AtAGlance.Checks {
		if c := &l.AtAGlance.Checks[i]; (c.Engine == fleet.Running) == running {
			return c
		}
	}
	return nil
}

// IsGlance reports whether a check is answered by a look at the whole part.
func (l *Looks) IsGlance(check string) bool {
	return l.AtAGlance != nil &&
		slices.ContainsFunc(l.AtAGlance.Checks, func(c Check) bool { return c.ID == check })
}

// StrengthOf is Strength for a check of a kind, or for a glance at its part: that
// tells less than the best of the checks which it stands for.
func (l *Looks) StrengthOf(k *Kind, heirs []string, c *Check, opened bool) (sort string, strength float64) {
	if !l.IsGlance(c.ID) {
		return l.Strength(heirs, c, opened)
	}
	running := c.Engine == fleet.Running
	for i := range k.Checks {
		of := &k.Checks[i]
		stands := of.Sense == Look || running && (of.Sense == Listen || of.Sense == Smell)
		if !stands || of.OnDemand || of.BeltOff || (of.Engine == fleet.Running) != running {
			continue
		}
		if by, s := l.Strength(heirs, of, opened); s > strength {
			sort, strength = by, s
		}
	}
	return sort, strength * l.AtAGlance.Share
}

// HandStrength is how much an answer to a check tells where the part is off and in
// the hand, and false where it is not asked then.
func (l *Looks) HandStrength(heirs []string, check string) (float64, bool) {
	of := func(c CheckLook) []string { return c.Kinds }
	own := nearest(l.InHand, heirs, func(x CheckLook) bool { return x.Check == check }, of)
	if own == nil {
		return 0, false
	}
	return math.Log(own.Misses) / math.Log(l.advanced().Misses), true
}

// HandChecks are the checks of a kind that are asked of a part once off.
func (c *Catalogue) HandChecks(k *Kind) []*Check {
	var out []*Check
	heirs := c.Heirs(k.ID)
	for i := range k.Checks {
		if _, ok := c.Looks().HandStrength(heirs, k.Checks[i].ID); ok {
			out = append(out, &k.Checks[i])
		}
	}
	return out
}

// Lead is the lead time of a kind, or nil.
func (l *Looks) Lead(heirs []string) *LeadTime {
	return nearest(l.Leads, heirs, func(LeadTime) bool { return true }, func(t LeadTime) []string { return t.Kinds })
}

// Life is how long a kind without an interval lasts, or nil.
func (l *Looks) Life(heirs []string) *MeanLife {
	return nearest(l.Lasts, heirs, func(MeanLife) bool { return true }, func(m MeanLife) []string { return m.Kinds })
}

// nearest is the first entry for the kind itself, then for what it inherits
// from, then for every kind; nil for none.
func nearest[T any](list []T, heirs []string, is func(T) bool, kinds func(T) []string) *T {
	for _, kind := range append(slices.Clone(heirs), "") {
		for i := range list {
			all := len(kinds(list[i])) == 0
			if is(list[i]) && (kind == "" && all || slices.Contains(kinds(list[i]), kind)) {
				return &list[i]
			}
		}
	}
	return nil
}

// Tells reports whether an answer says anything of the part's condition.
func (l *Looks) Tells(answer string) bool { return !slices.Contains(l.Untold, answer) }

// PerDay is the usual year in km, or in hours, a day; 0 where none is stated.
func (l *Looks) PerDay() float64 {
	if l.UsualYear == nil {
		return 0
	}
	return l.UsualYear.Base() / 365.2425
}

// Looks returns what looks tell; empty where no file says so.
func (c *Catalogue) Looks() *Looks { return &c.words.Looks }

// Heirs returns a kind's id and those of the kinds it inherits from, nearest
// first.
func (c *Catalogue) Heirs(kind string) []string {
	var out []string
	for _, k := range c.lineage(kind) {
		out = append(out, k.ID)
	}
	return out
}

// addLooks takes in what a file says: its checks, leads and lives go before those known.
func (w *words) addLooks(over *Looks) {
	if over == nil {
		return
	}
	l := &w.Looks
	replaceText(&l.Says, over.Says)
	if len(over.Stages) > 0 {
		l.Stages = over.Stages
	}
	if len(over.Sorts) > 0 {
		l.Sorts = over.Sorts
	}
	if len(over.Source) > 0 {
		l.Source = over.Source
	}
	l.Untold = addNew(l.Untold, over.Untold)
	l.Checks, l.Leads = slices.Concat(over.Checks, l.Checks), slices.Concat(over.Leads, l.Leads)
	l.InHand = slices.Concat(over.InHand, l.InHand)
	l.Lasts = slices.Concat(over.Lasts, l.Lasts)
	if over.AtAGlance != nil {
		l.AtAGlance = over.AtAGlance
	}
	if len(over.Blind) > 0 {
		l.Blind = over.Blind
	}
	if over.UsualYear != nil {
		l.UsualYear = over.UsualYear
	}
	if over.UsualHours != nil {
		l.UsualHours = over.UsualHours
	}
	if over.Early != nil {
		l.Early = over.Early
	}
	if over.KeepToInterval > 0 {
		l.KeepToInterval = over.KeepToInterval
	}
	if over.MinutesPerCheck > 0 {
		l.MinutesPerCheck = over.MinutesPerCheck
	}
	if over.LookAgain != nil {
		l.LookAgain = over.LookAgain
	}
}
