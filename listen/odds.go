package listen

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// Role is what turns at a suspect's place, as far as an experiment can tell it from others.
type Role int

// The roles.
const (
	Roller     Role = iota + 1 // an idler, a tensioner, a pump: nothing a driver switches loads it
	Alternator                 // lamps and heated windows load it
	Compressor                 // of the air conditioning: its clutch loads it
	BeltItself                 // chirp or squeal of the belt
	Elsewhere                  // none of the suspects: the engine, the exhaust, the gearbox
)

// Hypothesis is one thing the noise may come from, and how far it is believed.
type Hypothesis struct {
	Name  string // of the pulleys, as in Suspect, joined by " or "; empty for the belt and for Elsewhere
	Role  Role
	Shows Shows
	P     float64 // all add up to 1
}

// Experiment is a pair of recordings between which one thing is changed.
type Experiment Code

// The experiments. BeltWet is done with the engine stopped and the key out, and recorded after it is started again.
const (
	Faster    Experiment = "at idle, then at 2 000 rpm"
	AirOn     Experiment = "air conditioning off, then on"
	LampsOn   Experiment = "lamps off, then on"
	BeltWet   Experiment = "belt dry, then wetted" // a mist of water on the ribs
	AfterWork Experiment = "before, then after a change"
)

// Experiments are those that need nothing but a recorder, in the order in which they are the least trouble.
func Experiments() []Experiment { return []Experiment{LampsOn, AirOn, Faster, BeltWet} }

// Observed is what became of the noise from the first recording of a pair to the second.
type Observed int

// The observations: by ear, or by HeardChange.
const (
	Louder Observed = iota
	Alike
	Quieter
	observations = 3
)

// String names it.
func (o Observed) String() string {
	return [...]string{"louder", "alike", "quieter"}[min(max(o, 0), Quieter)]
}

// Grounds is where a likelihood comes from.
type Grounds Code

// The grounds.
const (
	Guess    Grounds = "guess"           // nobody measured it
	Practice Grounds = "common practice" // what workshops go by; the figure is a guess all the same
	Measured Grounds = "worked out"      // from the lines of the recordings
)

// Weighed is one hypothesis before and after an experiment.
type Weighed struct {
	Hypothesis         // P is after
	Before     float64 // P before
	Likelihood float64 // of what was observed, were it so; only ratios between hypotheses count
	Grounds    Grounds
}

// Updated is what an experiment made of the odds, most believed first.
type Updated struct {
	Experiment Experiment
	Observed   Observed // not of Faster, which is weighed by the lines themselves
	Odds       []Weighed
	Bits       float64 // how much it told: the fall in doubt (entropy) [bits]; below 0 where doubt grew
}

// Hypotheses are the odds to begin.
func (u Updated) Hypotheses() []Hypothesis {
	out := make([]Hypothesis, len(u.Odds))
	for i, w := range u.Odds {
		out[i] = w.Hypothesis
	}
	return out
}

// OddsOf are the odds of a ranking: its shares, what is left being Elsewhere; where one is named on a recording that is
// not in doubt, it has the probability it is named with, and the others what is left. Roles are by pulley; one without
// is a Roller.
func OddsOf(k Ranking, roles map[string]Role) []Hypothesis {
	var out []Hypothesis
	left := 1.0
	for _, q := range k.Suspects {
		h := Hypothesis{Name: joined(q.Pulleys), Role: BeltItself, Shows: q.Shows, P: q.Share}
		if len(q.Pulleys) > 0 {
			h.Role = or0(roles[q.Pulleys[0]], Roller)
		}
		left -= q.Share
		out = append(out, h)
	}
	out = normal(append(out, Hypothesis{Role: Elsewhere, P: max(left, leastLeft)}))
	if k.Outcome == Named && k.P > out[0].P && !slices.ContainsFunc(k.Warnings, Warning.Doubts) {
		rest := (1 - k.P) / (1 - out[0].P)
		for i := range out[1:] {
			out[i+1].P *= rest
		}
		out[0].P = k.P
	}
	return out
}

// leastLeft is kept for what nobody thought of: no experiment can bring back what was ruled out.
const leastLeft = 0.01

func or0(r, otherwise Role) Role {
	if r == 0 {
		return otherwise
	}
	return r
}

func joined(names []string) string { return strings.Join(names, " or ") }

func normal(hs []Hypothesis) []Hypothesis {
	sum := 0.0
	for _, h := range hs {
		sum += h.P
	}
	for i := range hs {
		hs[i].P /= sum
	}
	return hs
}

// likely is how likely it is that a noise of a hypothesis becomes louder, stays alike or becomes quieter. The
// figures are guesses; the direction of those marked Practice is what workshops go by.
func likely(e Experiment, h Hypothesis) ([observations]float64, Grounds) {
	switch {
	case e == LampsOn && h.Role == Alternator && h.Shows == ShowsTone:
		return [...]float64{0.75, 0.22, 0.03}, Practice // more current, more whine
	case e == LampsOn && h.Role == Alternator:
		return [...]float64{0.30, 0.64, 0.06}, Guess // more pull on its bearings
	case e == AirOn && h.Role == Compressor:
		// the clutch's bearing falls silent, the compressor's own does not
		return [...]float64{0.40, 0.20, 0.40}, Practice
	case (e == LampsOn || e == AirOn) && h.Role == BeltItself:
		return [...]float64{0.45, 0.50, 0.05}, Practice // a belt that slips does so more under load
	case e == BeltWet && h.Role == BeltItself:
		return [...]float64{0.15, 0.15, 0.70}, Practice // a chirp goes for a while; a slipping belt squeals more
	}
	return [...]float64{0.08, 0.84, 0.08}, Guess
}

// changed is the same for the hypothesis that work was done on.
var changed = [observations]float64{0.05, 0.15, 0.80}

// Update weighs odds by what was observed in an experiment (Bayes). For AfterWork, on is the name of the hypothesis
// worked on; else it is not looked at. Odds may be in any order and need not add up to 1. Use UpdateFaster for
// Faster, by which nothing is observed but the lines. The error is ErrInput: no odds, a probability below 0, an
// experiment or an observation that is none.
func Update(odds []Hypothesis, e Experiment, o Observed, on string) (Updated, error) {
	if err := checkOdds(odds); err != nil {
		return Updated{}, err
	}
	if !slices.Contains([]Experiment{AirOn, LampsOn, BeltWet, AfterWork}, e) || o < Louder || o > Quieter {
		return Updated{}, wrap(ErrInput, "experiment", called("experiment", string(e)),
			figure("observed", float64(o), ""))
	}
	return weigh(odds, e, o, func(h Hypothesis) (float64, Grounds) {
		p, from := likely(e, h)
		if e == AfterWork && on != "" && h.Name == on {
			p = changed
		}
		return p[o], from
	}), nil
}

// UpdateFaster weighs odds by a second ranking of the same drive at another speed: the lines of the right suspect move
// with its pulley, those of a chance fit do not. A suspect's likelihood is e to three times its score over what false
// ratios reach, as in Ranking.Share, mixed with 1 for that it is not heard at that speed at all (unheard). Elsewhere's
// is 1, and so is everyone's where the engine speed is not borne out. Pulleys that sounded alike in one ranking and not
// in the other are matched by any name. The error is ErrInput for odds that are none.
func UpdateFaster(odds []Hypothesis, k Ranking) (Updated, error) {
	if err := checkOdds(odds); err != nil {
		return Updated{}, err
	}
	chance := max(rankFalse*k.False, rankScore)
	return weigh(odds, Faster, Alike, func(h Hypothesis) (float64, Grounds) {
		if h.Role == Elsewhere || !k.Crank.Supported {
			return 1, Measured
		}
		best := 0.0
		for _, q := range k.Suspects {
			if sameSuspect(h, q) {
				best = max(best, q.Score)
			}
		}
		return unheard + (1-unheard)*math.Exp(members*(best-chance)), Measured
	}), nil
}

// unheard is how likely it is that a noise heard at one speed is drowned at another (a guess).
const unheard = 0.5

func sameSuspect(h Hypothesis, q Suspect) bool {
	if len(q.Pulleys) == 0 {
		return h.Role == BeltItself
	}
	return h.Name == joined(q.Pulleys) || slices.ContainsFunc(q.Pulleys, func(n string) bool {
		return slices.Contains(strings.Split(h.Name, " or "), n)
	})
}

func checkOdds(odds []Hypothesis) error {
	sum := 0.0
	for i, h := range odds {
		if !(h.P >= 0) || math.IsInf(h.P, 0) || h.Role < Roller || h.Role > Elsewhere {
			return wrap(ErrInput, "odds", figure("number", float64(i+1), ""), called("hypothesis", h.Name),
				figure("probability", h.P, ""))
		}
		sum += h.P
	}
	if sum <= 0 {
		return wrap(ErrInput, "no odds")
	}
	return nil
}

func weigh(odds []Hypothesis, e Experiment, o Observed, by func(Hypothesis) (float64, Grounds)) Updated {
	prior := normal(slices.Clone(odds))
	out := Updated{Experiment: e, Observed: o}
	after := slices.Clone(prior)
	for i := range after {
		l, from := by(prior[i])
		after[i].P *= l
		out.Odds = append(out.Odds, Weighed{Before: prior[i].P, Likelihood: l, Grounds: from})
	}
	normal(after)
	for i := range after {
		out.Odds[i].Hypothesis = after[i]
	}
	out.Bits = doubt(prior) - doubt(after)
	slices.SortStableFunc(out.Odds, func(a, b Weighed) int { return cmp.Compare(b.P, a.P) })
	return out
}

// doubt is the entropy of odds that add up to 1 [bits].
func doubt(hs []Hypothesis) float64 {
	sum := 0.0
	for _, h := range hs {
		if h.P > 0 {
			sum -= h.P * math.Log2(h.P)
		}
	}
	return sum
}

// Telling is an experiment and how much it is expected to tell.
type Telling struct {
	Experiment Experiment
	Bits       float64 // expected fall in doubt
}

// fasterTells is the share of its doubt that a second held speed is taken to settle: a guess, between what it settles
// on simulated drives in little noise and in much.
const fasterTells = 0.5

// NextExperiment orders the experiments that are not done yet by how much each is expected to tell: over its three
// outcomes, the fall in doubt weighted by how likely each is as things stand. Those that tell less than 0.02 bits
// are left out. The error is that of Update.
func NextExperiment(odds []Hypothesis, done ...Experiment) ([]Telling, error) {
	if err := checkOdds(odds); err != nil {
		return nil, err
	}
	prior := normal(slices.Clone(odds))
	var out []Telling
	for _, e := range Experiments() {
		if slices.Contains(done, e) {
			continue
		}
		bits := expected(prior, e)
		if bits >= 0.02 {
			out = append(out, Telling{e, bits})
		}
	}
	slices.SortStableFunc(out, func(a, b Telling) int { return cmp.Compare(b.Bits, a.Bits) })
	return out, nil
}

func expected(prior []Hypothesis, e Experiment) float64 {
	if e == Faster {
		return fasterTells * doubt(prior)
	}
	bits := doubt(prior)
	for o := range observations {
		after := slices.Clone(prior)
		sum := 0.0
		for i := range after {
			p, _ := likely(e, after[i])
			after[i].P *= p[o]
			sum += after[i].P
		}
		if sum > 0 {
			bits -= sum * doubt(normal(after))
		}
	}
	return bits
}

// changeFrom is the change of a suspect's evidence that is one [nats]: 3 dB of a line over its background.
const changeFrom = 0.7

// HeardChange is what became of a suspect's noise between two rankings, by the height of its lines over the
// background of each: a louder engine hides a change. The suspect is found again by any of its pulleys' names. ok is
// false where it shows in neither.
func HeardChange(first, second Ranking, of Hypothesis) (o Observed, ok bool) {
	score := func(k Ranking) float64 {
		for _, q := range k.Suspects {
			if of.Role != Elsewhere && sameSuspect(of, q) {
				return max(q.Score, 0)
			}
		}
		return 0
	}
	a, b := score(first), score(second)
	switch {
	case max(a, b) < leastScore:
		return Alike, false
	case b-a >= changeFrom:
		return Louder, true
	case a-b >= changeFrom:
		return Quieter, true
	}
	return Alike, true
}
