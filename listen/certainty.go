package listen

import (
	"cmp"
	"math"
	"slices"

	"undertray.example/undertray/internal/message"
)

// Certainty in two words, by a probability.
type Certainty int

// The certainties: from four in five and nineteen in twenty on. Below nothing is said.
const (
	Unsaid Certainty = iota
	Probably
	MostLikely
)

// Bounds of the certainties.
const (
	probablyFrom   = 0.8
	mostLikelyFrom = 0.95
)

// CertaintyOf is the word for a probability.
func CertaintyOf(p float64) Certainty {
	switch {
	case p >= mostLikelyFrom:
		return MostLikely
	case p >= probablyFrom:
		return Probably
	}
	return Unsaid
}

// String is the word, empty for Unsaid.
func (c Certainty) String() string { return c.Message().String() }

// Message is String as a text.
func (c Certainty) Message() message.Text {
	switch c {
	case MostLikely:
		return "most likely"
	case Probably:
		return "probably"
	}
	return ""
}

// Belief is how far an element of the bearing is held to be the flawed one.
type Belief struct {
	Element Element
	P       float64 // probability that this bearing is flawed and this its flawed element
	Score   float64 // mean evidence of its lines, none taken out [nats]
}

// FlawSure says in a word how sure it is that the bearing is flawed; never MostLikely of a recording that is clipped
// or has few levels.
func (d *Diagnosis) FlawSure() Certainty { return d.said(d.Flaw) }

// ElementSure says in a word how sure the element is, Unsaid where the outcome is not Named; never MostLikely of a
// recording whose warnings make it doubtful.
func (d *Diagnosis) ElementSure() Certainty {
	if d.Outcome != Named || len(d.Elements) == 0 {
		return Unsaid
	}
	c := d.said(d.Elements[0].P)
	if slices.ContainsFunc(d.Warnings, Warning.Doubts) {
		c = min(c, Probably)
	}
	return c
}

func (d *Diagnosis) said(p float64) Certainty {
	c := CertaintyOf(p)
	if d.harmed {
		c = min(c, Probably)
	}
	return c
}

// traits are what the certainty of an answer is worked out from, all of the best match.
type traits struct {
	whole float64 // evidence in the view of the whole band with all carriers made equal [nats]
	depth float64 // sum of the members' swings over the mean, of the squared envelope, in the band where it is highest
	turns float64 // side lines one and two shaft turns away [nats]
	twin  float64 // the other ring's comb over this one's, before this one's lines are taken out; 0 where it is no ring
	lead  float64 // whole less the strongest other element's evidence in the same view [nats]
}

// depth is the highest sum, over the narrow bands, of the swings of a match's members. A flaw's knocks are short and
// all but stop between (swings of 1 and more each, in a band of their own); where the beat of a sound race, a loose
// part or a neighbour is heard at all, something sounds on between.
func (t *sheet) depth(m match) float64 {
	base := m.family.base * t.hz * (1 + m.offset)
	best := 0.0
	for _, power := range t.bands {
		sum := 0.0
		for k := 1.0; k <= members; k++ {
			sum += 2 * math.Sqrt(highest3(power, k*base, t.step))
		}
		best = max(best, sum)
	}
	return best
}

// highest3 is the highest of the three values nearest a frequency.
func highest3(l []float64, hz, step float64) float64 {
	return max(at(l, hz-step, step), at(l, hz, step), at(l, hz+step, step))
}

// traits of a match among all that was tried.
func (t *sheet) traits(best match, all []match) traits {
	whole := t.views[0]
	out := traits{whole: t.fitAt(whole, best.family, best.offset).main, depth: t.depth(best)}
	base := best.family.base * t.hz * (1 + best.offset)
	for k := 1.0; k <= members; k++ {
		for _, q := range [...]float64{-2, -1, 1, 2} {
			out.turns += at(t.all, k*base+q*t.hz, t.step) / (4 * members)
		}
	}
	other := 0.0
	for _, m := range all {
		if m.family.element == best.family.element {
			continue
		}
		other = max(other, t.fitAt(whole, m.family, m.offset).main)
		if ring(m.family) && ring(best.family) && m.family.bearing == best.family.bearing {
			out.twin = max(m.score, 0) / max(best.score, 0.1)
		}
	}
	out.lead = out.whole - other
	return out
}

func ring(f family) bool { return f.element == OuterRing || f.element == InnerRing }

// weights of a logistic model: a constant and one for each trait.
type weights struct {
	constant float64
	trait    []float64
}

// logOdds are the natural logarithm of the odds.
func (w weights) logOdds(trait []float64) float64 {
	z := w.constant
	for i, v := range trait {
		z += w.trait[i] * v
	}
	return z
}

func (w weights) of(trait []float64) float64 { return chance(w.logOdds(trait)) }

// chance is the probability of log odds, logOdds the way back.
func chance(z float64) float64    { return 1 / (1 + math.Exp(-z)) }
func logOddsOf(p float64) float64 { return math.Log(p / (1 - p)) }

// bend maps the log odds of a model to those by which it is right as often as said: a constant, a slope, and by how
// much the slope changes at log odds of 0 and of the two bounds of certainty. No slope is negative.
type bend [5]float64

var bends = [...]float64{0, logOddsOf(probablyFrom), logOddsOf(mostLikelyFrom)}

func (b bend) of(z float64) float64 {
	return chance(weights{b[0], b[1:]}.logOdds(bendTraits(z)))
}

func bendTraits(z float64) []float64 {
	out := []float64{z}
	for _, at := range bends {
		out = append(out, max(z-at, 0))
	}
	return out
}

// model is all that probabilities are worked out with. The weights rank: they are had from simulated trials and from
// the given records, whose extra weight makes them no probabilities yet. The bends make them so, on simulated trials
// alone.
type model struct {
	flaw, element         weights
	flawBend, elementBend bend
	rest                  weights // of one trait, the log odds of what is left for elements beside
}

// believed is had by TestFitCertainty from testdata/certainty.csv, bends.csv and beside.csv and the given records;
// newTrial says what was simulated, with which shares.
var believed = model{
	flaw:        weights{-1.922, []float64{0.491, 1.695, 5.433, -1.498, 0.236}},
	element:     weights{0.004, []float64{0.887, 1.019, -4.290, 0.119}},
	flawBend:    bend{0.347, 1.065, -0.318, 0.488, 0.701},
	elementBend: bend{-0.070, 0.690, 0.187, 0.492, 0.829},
	rest:        weights{-0.719, []float64{0.469}},
}

// of are the probabilities that a bearing is flawed, and that it is so at the best match's element.
func (m model) of(q traits, harmed bool) (flaw, own float64) {
	f := m.flaw.logOdds(q.forFlaw(harmed))
	flaw = m.flawBend.of(f)
	return flaw, min(flaw, m.elementBend.of(m.elementOdds(q, harmed)))
}

// ofRest is how far elements that stand out beside are believed, by what is left of the flaw's probability, which they
// never pass: where much is left the third element, or marks on both rings, take some of it.
func (m model) ofRest(rest float64) float64 {
	if rest <= 0 {
		return 0
	}
	return min(rest, m.rest.of([]float64{logOddsOf(rest)}))
}

// elementOdds are the log odds that the bearing is flawed and the best match's element it, before the bend.
func (m model) elementOdds(q traits, harmed bool) float64 {
	f, e := m.flaw.logOdds(q.forFlaw(harmed)), m.element.logOdds(q.forElement(harmed))
	return -math.Log(math.Exp(-f) + math.Exp(-e) + math.Exp(-f-e)) // 1/p - 1 = (1 + 1/odds) (1 + 1/odds') - 1
}

// forFlaw are the traits by which a flaw is told from the beat of a sound bearing: a flaw's lines stand in the view of
// the whole band, deep, with side lines of a load that turns; races beat in few bands, shallow, both rings alike.
func (q traits) forFlaw(harmed bool) []float64 {
	return []float64{min(q.whole, 4), min(q.depth, 2.5), min(q.turns, 1), min(q.twin, 1), oneIf(harmed)}
}

// forElement are the traits by which one element is told from another: how far it leads in the view of the whole
// band, how deep it is and how near the other ring comes, beyond what chance and folded lines make of it.
func (q traits) forElement(harmed bool) []float64 {
	return []float64{min(max(q.lead, -1), 3), min(q.depth, 2.5), min(max(q.twin-0.3, 0), 0.4), oneIf(harmed)}
}

func oneIf(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// besideShare of the best match's score is what lines of another element need to be said beside it.
const besideShare = 0.5

// beside lists the best match and the other elements of its bearing whose lines stand out, without probabilities.
func (d *Diagnosis) beside(all []match) {
	d.Elements = []Belief{{Element: d.Element, Score: d.Score}}
	for _, e := range [...]Element{OuterRing, InnerRing, RollingOrCage} {
		if e == d.Element {
			continue
		}
		b, lit := Belief{Element: e}, 0
		for _, m := range all {
			if m.family.element == e && m.family.bearing == d.bearing && m.score > b.Score {
				b.Score, lit = m.score, m.lit
			}
		}
		if lit >= leastLit && b.Score >= max(leastScore, overFalse*d.False, besideShare*d.Score) {
			d.Elements = append(d.Elements, b)
		}
	}
	slices.SortStableFunc(d.Elements[1:], func(a, b Belief) int { return cmp.Compare(b.Score, a.Score) })
}

// believeBy works out how sure the bearing and its elements are, and the outcome by it; the likeliest element is listed
// first.
func (d *Diagnosis) believeBy(m model) {
	flaw, own := m.of(d.traits, d.harmed)
	d.Flaw = flaw
	others := 0.0
	for _, b := range d.Elements {
		if b.Element != d.Element {
			others += b.Score
		}
	}
	for i := range d.Elements {
		b := &d.Elements[i]
		b.P = own
		if b.Element != d.Element {
			b.P = m.ofRest(flaw-own) * b.Score / others
		}
	}
	slices.SortStableFunc(d.Elements, func(a, b Belief) int { return cmp.Compare(b.P, a.P) })
	if len(d.Elements) > 1 {
		d.RivalElement = d.Elements[1].Element
	}
	switch {
	case d.said(d.Flaw) == Unsaid:
		d.Outcome, d.Why = Unclear, FaintBeat
	case d.said(own) != Unsaid:
		d.Outcome, d.Why = Named, StandsOut
	case len(d.Elements) > 1:
		d.Outcome, d.Why = Flawed, TwoOut
	default:
		d.Outcome, d.Why = Flawed, NoneSure
	}
}
