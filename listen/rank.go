package listen

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Tone is a whine that a part makes: so many cycles per turn of its pulley. A three-phase claw-pole alternator with
// six pole pairs: 36 (2 x 3 phases x 6); a vane pump: its vanes; a fan: its blades (even ones).
type Tone struct {
	Name  string
	Order float64
}

// Pulley is one candidate.
type Pulley struct {
	Name    string
	Ratio   float64  // turns per crank turn
	RatioSD float64  // relative standard deviation of Ratio, from diameters and slip; 0 stands for 1 %
	Reverse bool     // turns against the crank; no line tells, kept for the answer's reader
	Bearing *Bearing // nil if not known
	// Maybe are the bearings it may hold where Bearing is nil, each as likely as the next: their lines cost the
	// logarithm of how many there are, so that a pulley of unknown inside is not named for want of others, nor
	// others for want of it.
	Maybe []Bearing
	Tones []Tone
}

func (p Pulley) bearings() []Bearing {
	if p.Bearing != nil {
		return []Bearing{*p.Bearing}
	}
	return p.Maybe
}

func (p Pulley) sd() float64 {
	if p.RatioSD == 0 {
		return 0.01
	}
	return p.RatioSD
}

// Drive is all there is to choose from. Ribs run along the belt and make no line of their own, so they are not
// asked for.
type Drive struct {
	Engine   Engine
	Pulleys  []Pulley
	BeltPass float64 // turns of the belt per crank turn (crank circumference over belt length), 0 if not known
}

func (d Drive) check() error {
	if err := d.Engine.check(); err != nil {
		return err
	}
	if len(d.Pulleys) == 0 {
		return wrap(ErrInput, "no pulley")
	}
	for i, p := range d.Pulleys {
		if !(p.Ratio > 0.05) || p.Ratio > 20 || !(p.sd() > 0) || p.sd() > 0.05 {
			return wrap(ErrInput, "pulley ratio", figure("number", float64(i+1), ""), called("pulley", p.Name),
				figure("ratio", p.Ratio, ""), figure("deviation", p.RatioSD, ""))
		}
		for _, b := range p.bearings() {
			if _, err := b.Rates(); err != nil {
				return fmt.Errorf("pulley %d (%s): %w", i+1, p.Name, err)
			}
		}
		for _, t := range p.Tones {
			if !(t.Order > 0) || t.Order > 500 {
				return wrap(ErrInput, "pulley tone", figure("number", float64(i+1), ""), called("pulley", p.Name),
					called("tone", t.Name), figure("order", t.Order, ""))
			}
		}
	}
	if !(d.BeltPass >= 0) || d.BeltPass > 2 {
		return wrap(ErrInput, "belt turns", figure("turns", d.BeltPass, ""))
	}
	return nil
}

// Suspect is one answer of a ranking: pulleys that sound alike, and what of them shows.
type Suspect struct {
	Pulleys []string // several when their rates cannot be told apart; empty for the belt
	Shows   Shows    // what of it
	Element Element  // of the bearing, where Shows is ShowsElement
	Tone    string   // where Shows is ShowsTone: its name as given, "" for none
	Bearing string   // name of the bearing whose element shows; empty for anything else
	Score   float64  // mean evidence [nats], less what the ratio error needed costs
	Share   float64  // of belief among the suspects and "none of these", 0 to 1
	Shift   float64  // of the rate from its nominal (relative)
	Lines   []Line   // orders per turn of the pulley
	side    float64  // cage rate [Hz]
}

// Shows says what of a suspect shows in a recording.
type Shows int

// What can show. A pulley of which nothing shows scores nothing.
const (
	ShowsNothing Shows = iota
	ShowsElement       // an element of its bearing
	ShowsTurns         // a knock once per turn
	ShowsTone          // one of its tones
	ShowsPass          // the belt, once round
)

// String names it in plain words.
func (s Shows) String() string {
	return [...]string{"nothing", "bearing", "turns", "tone", "belt pass"}[min(max(s, 0), ShowsPass)]
}

// Ranking of the suspects.
type Ranking struct {
	Outcome  Outcome
	Suspects []Suspect // best first
	// P is the probability that what is said is so, that a pulley named, or one of two that are too near to tell apart,
	// has the flaw; 0 where nothing is said, or a tone, which sound machines make too.
	P        float64
	Margin   float64 // of the first over the strongest of: what is asked for, false ratios, the second
	False    float64 // what false ratios reach on this recording
	Crank    CrankSpeed
	Warnings []Warning
	More     []Code
}

// What is asked for before a pulley is named.
const (
	rankScore   = 1.0
	rankFalse   = 1.2
	rankRival   = 1.2
	shiftCost   = 1.0 / 12 // nats of mean evidence for a ratio off by one standard deviation
	rankSeconds = 30
)

// decoyFactors multiply every ratio; what is found there is false by construction. They keep away from ratios of small
// numbers and from one another's multiples.
var decoyFactors = [...]float64{0.61, 0.71, 0.81, 0.89, 1.13, 1.23, 1.37, 1.46, 1.58, 1.71}

// Rank says which pulley of a running accessory drive a noise belongs to, as far as a recording can: the crank
// speed is found and followed, the recording is brought to crank angle, half orders of the crank are masked, and
// every pulley is scored at its rate and a little about it, for its bearing (envelope lines), its tones (plain
// lines) and its own once-per-turn knocks. The same is done with false ratios, which give the level that chance
// reaches. Elements that coincide are one suspect. Ten seconds or more are needed for rates 1 % apart; the first 30
// s are used.
func Rank(r Recording, d Drive) (Ranking, error) {
	if err := d.check(); err != nil {
		return Ranking{}, err
	}
	r = r.Part(0, rankSeconds)
	warnings, err := r.Check()
	if err != nil {
		return Ranking{}, err
	}
	crank, err := FindCrank(r, d.Engine, d.Pulleys)
	if err != nil {
		return Ranking{}, err
	}
	s := newScene(r, d, crank)
	out := Ranking{Crank: crank, Warnings: warnings, Suspects: s.suspects(d, 1)}
	s.explain(out.Suspects[0])
	for _, f := range decoyFactors {
		for _, q := range s.suspects(d, f)[:1] {
			out.False = max(out.False, q.Score)
		}
	}
	out.share()
	out.decide(r.Seconds())
	return out, nil
}

// share spreads belief: each suspect by the exponential of its three members' evidence, none by that of false ratios.
func (k *Ranking) share() {
	top := max(k.Suspects[0].Score, rankFalse*k.False, rankScore)
	sum := math.Exp(members * (max(rankFalse*k.False, rankScore) - top))
	for i := range k.Suspects {
		k.Suspects[i].Share = math.Exp(members * (k.Suspects[i].Score - top))
		sum += k.Suspects[i].Share
	}
	for i := range k.Suspects {
		k.Suspects[i].Share /= sum
	}
}

func (k *Ranking) decide(seconds float64) {
	first := k.Suspects[0]
	second := 0.0
	if len(k.Suspects) > 1 {
		second = k.Suspects[1].Score
	}
	k.Margin = first.Score / max(rankScore, rankFalse*k.False, rankRival*second)
	switch {
	case first.Score < max(rankScore, rankFalse*k.False):
		k.Outcome = Quiet
	case !k.Crank.Supported:
		k.Outcome = Unclear
	case first.Score < rankRival*second:
		k.Outcome = Unclear
	default:
		k.Outcome = Named
	}
	k.believe(second)
	k.advise(seconds)
}

// Sure says P in a word.
func (k *Ranking) Sure() Certainty { return CertaintyOf(k.P) }

// pulleyWeights are those by which a pulley named is the one, of pulleyTraits. Had by TestFitPulley from
// testdata/pulleys.csv; newPulleyTrial says what was simulated, with which shares.
var pulleyWeights = weights{2.471, []float64{1.054, 0.180}}

// eitherP is P of two too near to tell apart: of 8 such answers in those trials one of the two was right in 7, and one
// of each sort is added for how few they are (Laplace's rule of succession).
const eitherP = (7 + 1.0) / (8 + 2)

// pulleyTraits are the logarithms of how far the first is over what chance reaches and over the next.
func pulleyTraits(first, second, chance float64) []float64 {
	return []float64{min(math.Log(first/max(rankScore, rankFalse*chance)), 1.5),
		min(math.Log(first/max(second, 0.25)), 2)}
}

// believe works out P.
func (k *Ranking) believe(second float64) {
	first := k.Suspects[0]
	switch {
	case k.Outcome == Named && first.Shows != ShowsTone:
		k.P = pulleyWeights.of(pulleyTraits(first.Score, second, k.False))
	case k.Outcome == Unclear && k.Crank.Supported:
		k.P = eitherP
	}
}

func (k *Ranking) advise(seconds float64) {
	if !k.Crank.Supported {
		k.More = append(k.More, MoreDash)
	}
	if k.Crank.Track.Drift() > 0.02 || seconds < 10 {
		k.More = append(k.More, MoreSeconds)
	}
	if k.Outcome == Named && len(k.Suspects[0].Pulleys) == 1 && k.Margin > rankRival {
		return
	}
	k.More = append(k.More, MorePulleys, MoreOff, MoreNearer, MoreRod)
}

// scene is a recording at crank angle, as envelope and as plain lines.
type scene struct {
	env   *sheet
	plain []float64
	step  float64
	crank float64
}

func newScene(r Recording, d Drive, c CrankSpeed) *scene {
	perTurn := math.Ceil(r.Rate / slices.Min(c.Track.Hz))
	src := newSource(byAngle(r.mix(), r.Rate, c.Track, perTurn), perTurn*c.Hz)
	s := &scene{step: src.step(), crank: c.Hz}
	top, tone := 10.0, 0.0
	for _, p := range d.Pulleys {
		for _, b := range p.bearings() {
			f, _ := families(0, b)
			top = max(top, p.Ratio*1.75*(highestSide*highestBase(f)+2))
		}
		for _, t := range p.Tones {
			tone = max(tone, 1.8*2*t.Order*p.Ratio*c.Hz)
		}
	}
	half := 0.5
	if d.Engine.TwoStroke {
		half = 1
	}
	s.env = newSheetAt(src, c.Hz*half, min(top*c.Hz, 0.4*src.rate), 12)
	if tone > 0 {
		s.plain = s.tones(src, tone, c.Hz*half)
	}
	return s
}

// tones is the line evidence of the plain spectrum without the engine's orders below 20 per turn; above, whines lie
// as close to half orders as not.
func (s *scene) tones(src *source, top, half float64) []float64 {
	p := windowed(src.c, int(top/s.step)+2)
	e := evidence(levelled(Spectrum{s.step, p}, 12), evidenceCap)
	for k := half; k < 20*s.crank; k += half {
		i := int(math.Round(k / s.step))
		for j := max(i-3, 0); j <= min(i+3, len(e)-1); j++ {
			e[j] = 0
		}
	}
	return e
}

// suspects scores everything with all ratios multiplied by a factor, merged and sorted. There is at least one.
func (s *scene) suspects(d Drive, factor float64) []Suspect {
	var out []Suspect
	for _, p := range d.Pulleys {
		p.Ratio *= factor
		best := s.turn(p)
		best = better(best, s.bearing(p))
		for _, t := range p.Tones {
			best = better(best, s.tone(p, t))
		}
		out = append(out, best)
	}
	if d.BeltPass > 0 {
		out = append(out, s.belt(d.BeltPass*factor))
	}
	slices.SortStableFunc(out, func(a, b Suspect) int { return cmp.Compare(b.Score, a.Score) })
	return merge(out, s.step)
}

func better(a, b Suspect) Suspect {
	if b.Score > a.Score {
		return b
	}
	return a
}

// merge joins suspects whose first lines lie within two bins, the weaker into the stronger.
func merge(in []Suspect, step float64) []Suspect {
	var out []Suspect
next:
	for _, q := range in {
		for i, o := range out {
			if q.Score > 0.8*o.Score && q.Score > 0.3 && len(q.Lines) > 0 && len(o.Lines) > 0 &&
				math.Abs(q.Lines[0].Hz-o.Lines[0].Hz) <= 2*step {
				out[i].Pulleys = append(out[i].Pulleys, q.Pulleys...)
				continue next
			}
		}
		out = append(out, q)
	}
	return out
}
