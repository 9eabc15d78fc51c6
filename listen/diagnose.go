package listen

import (
	"cmp"
	"math"
	"slices"
)

// Outcome of a diagnosis.
type Outcome int

// The outcomes.
const (
	Quiet   Outcome = iota + 1 // no element stands out; that is no proof that the bearing is good
	Named                      // a pulley or an element is named, as surely as said beside
	Unclear                    // something stands out but it cannot be told what; Why says why
	Flawed                     // the bearing is flawed; which element cannot be told, Elements says between which
)

// String names the outcome.
func (o Outcome) String() string {
	switch o {
	case Quiet:
		return "none"
	case Named:
		return "named"
	case Unclear:
		return "unclear"
	case Flawed:
		return "flawed"
	}
	return "unknown"
}

// Line is one spectral line that speaks for an answer.
type Line struct {
	Hz       float64
	Order    float64 // per turn of the shaft
	Evidence float64 // nats above the background, 0 to 5
	Times    int     // which multiple of Of: 2 in "2 x outer ring"
	Of       Code    // an element's name, Cage, BallSpin, OncePerTurn, BeltPass or ToneLine
	Tone     string  // ToneLine: its name as given, "" for none
	Side     int     // +1 or -1: a side line, off by one turn of SideOf; 0: the line itself
	SideOf   Code    // Cage or Shaft
}

// What makes a line, beside the elements of a bearing (Line).
const (
	Cage        Code = "cage"
	Shaft       Code = "shaft"
	BallSpin    Code = "twice ball spin"
	OncePerTurn Code = "once per turn"
	BeltPass    Code = "belt pass"
	ToneLine    Code = "tone"
)

// Why a diagnosis comes to its outcome.
const (
	NothingOut  Code = "nothing stands out" // above what chance and other sounds reach
	SpeedUnsure Code = "speed not supported"
	HalfWay     Code = "lines half-way between" // are as strong: they belong to something slower
	OtherComb   Code = "another comb"           // at a rate that no bearing given has explains the lines better
	TwoOut      Code = "two stand out"          // of Elements, the first two; which is flawed cannot be told, or both
	StandsOut   Code = "stands out"             // Lit of 3 lines of Element
	FaintBeat   Code = "a sound bearing's beat" // is as likely: lines stand out as races without a flaw make them
	NoneSure    Code = "no element sure"        // the bearing is flawed, its lines are no element's in particular
)

// Recordings that would tell more (Diagnosis, Ranking).
const (
	MoreSeconds Code = "ten seconds at one held speed"
	MoreMeter   Code = "held speed, read from a meter to 2 %"
	MoreBearing Code = "nearer the bearing, or through a rod"
	MoreSpeed   Code = "another speed"
	MoreDash    Code = "speed as the dashboard shows it, to 3 %"
	MorePulleys Code = "another held speed" // what belongs to a pulley moves with it
	MoreOff     Code = "belt off, each pulley by hand"
	MoreNearer  Code = "nearer, one for each pulley"
	MoreRod     Code = "a rod on fixed bolts"
)

// Diagnosis of the bearings on one shaft.
type Diagnosis struct {
	Outcome  Outcome
	Element  Element  // of the best match, also when the outcome is not Named
	Bearings []string // the bearings it belongs to; several when their rates cannot be told apart
	// Flaw is the probability that this bearing is flawed, Elements what of it is on each element whose lines stand
	// out, the likeliest first: an element's is never above Flaw, and Flaw does not fall because an element is in
	// doubt. Both are 0 and empty where the outcome is Quiet or Unclear for another reason than FaintBeat.
	Flaw     float64
	Elements []Belief
	Firm     bool    // the element is said as MostLikely
	Score    float64 // mean evidence of the best match [nats, 0 to 5.5]
	Margin   float64 // Score over the strongest of: what is asked for, false families, other elements
	False    float64 // what false families reach on this recording
	Rival    float64 // the next element's score, once what the best explains is taken out
	Offset   float64 // of the comb from the kinematic rate (relative)
	Speed    ShaftSpeed
	Lines    []Line
	Why      Code // of Outcome
	Lit      int  // StandsOut: lines that stand out, of 3
	// RivalElement is the second of Elements, where there is one.
	RivalElement Element
	Warnings     []Warning
	More         []Code // recordings that would tell more
	traits       traits
	bearing      int  // of the best match
	harmed       bool // clipped or of few levels
}

// Options of DiagnoseWith; the zero value is what Diagnose uses.
type Options struct {
	// frequencies [Hz] whose multiples are ignored: mains, an injector, a lamp's dimmer; measure, do not assume
	Notch []float64
}

// What is asked for before an element is named.
const (
	leastScore   = 1.0   // mean evidence of a family [nats]
	overFalse    = 1.3   // times what false families reach
	overRival    = 1.5   // times the next element, where that stands above the false families
	mostHalf     = 0.7   // odd halves against the members
	leastLit     = 2     // members of three
	leastDrift   = 0.003 // range over mean from which a speed is taken to drift
	driftRival   = 3.0   // steady lines this clear at another speed: the given one is wrong and not drifting
	driftSupport = 4.0
	// mean evidence [nats] where only the means over bands show it: they find the weak beats of a sound bearing too
	bandsScore  = 1.25
	farSlip     = 0.06 // how far a comb is looked for beyond what slip explains
	mostSlip    = 0.02 // slip reported from the field; beyond it a comb belongs to something else
	overFar     = 1.05
	cageShare   = 0.7 // of a ring's score: a cage comb below it goes with the ring
	unevenSides = 0.4 // side lines a cage turn away, of a ring's own: its balls strike unevenly
	highestSide = 3.3 // members times base and side lines [of the highest base]
)

// Diagnose says which element of the bearings on one shaft shows in a recording, if any: the entry point for a
// recording of one machine, tool or pulley spun on its own. Ten seconds at a steady speed are best. Only the first
// 30 s are used. The channels are averaged; for sensors at several places diagnose each Channel.
//
// An element is named only if lines of the plain spectrum support the speed, at least two of three harmonics are
// lit, the family beats 120 false families on the same recording and, once its lines are taken out, every other
// element. The error is that of Check, ErrTooShort or ErrInput; a recording that does not tell is no error but an
// Outcome.
func Diagnose(r Recording, speed Speed, bearings []Bearing) (Diagnosis, error) {
	return DiagnoseWith(r, speed, bearings, Options{})
}

// DiagnoseWith is Diagnose with options.
func DiagnoseWith(r Recording, speed Speed, bearings []Bearing, o Options) (Diagnosis, error) {
	if err := speed.check(); err != nil {
		return Diagnosis{}, err
	}
	all, err := allFamilies(bearings)
	if err != nil {
		return Diagnosis{}, err
	}
	for _, f := range o.Notch {
		if !(f >= 5) || math.IsInf(f, 0) {
			return Diagnosis{}, wrap(ErrInput, "notch", figure("at", f, "Hz"))
		}
	}
	r = r.Part(0, 30)
	warnings, err := r.Check()
	if err != nil {
		return Diagnosis{}, err
	}
	if err := longEnough(r.Seconds(), speed.Hz); err != nil {
		return Diagnosis{}, err
	}

	src := newSource(r.mix(), r.Rate)
	sp := findShaft(src, speed, ownRatesOf(all))
	if !sp.Supported && sp.Rival < driftRival {
		if s, drifting := followed(r, speed, all); drifting.Supported {
			src, sp = s, drifting
		}
	}
	if share := cutTops(r.mix()); share > 0 && !slices.ContainsFunc(warnings, isKind(Clipped)) {
		warnings = append(warnings, Warning{Kind: Clipped, Share: share})
	}
	sheet := newSheet(src, sp.Hz, highestSide*highestBase(all)+2, o.Notch).loosened()
	d := sheet.judge(all, sp, slices.ContainsFunc(warnings, isKind(Clipped, Coarse, Faint)))
	d.Warnings = warnings
	d.Firm = d.ElementSure() == MostLikely
	for _, i := range sheet.sharing(d, all) {
		d.Bearings = append(d.Bearings, bearings[i].Name)
	}
	d.More = d.advise(r.Seconds())
	return d, nil
}

// followed is the recording with a drifting speed taken out, and the speed found in it. It is tried only when the
// lines show no steady speed at all, and must then be supported well, since following picks out what fits.
func followed(r Recording, speed Speed, all []family) (*source, ShaftSpeed) {
	x := r.mix()
	t := follow(x, r.Rate, speed, tenOrders())
	if t.Drift() < leastDrift {
		return nil, ShaftSpeed{}
	}
	hz := t.Mean()
	perTurn := math.Ceil(r.Rate / slices.Min(t.Hz))
	a := byAngle(x, r.Rate, t, perTurn)
	src := newSource(a, perTurn*hz)
	sp := findShaft(src, Speed{hz, 0.004}, ownRatesOf(all))
	sp.Drift = t.Drift()
	sp.Supported = sp.Supported && sp.Support >= driftSupport
	return src, sp
}

func highestBase(all []family) float64 {
	m := 0.0
	for _, f := range all {
		m = max(m, f.base)
	}
	return m
}

// judge ranks the families and asks the best one all the questions.
func (t *sheet) judge(all []family, sp ShaftSpeed, harmed bool) Diagnosis {
	ms := make([]match, len(all))
	for i, f := range all {
		ms[i] = t.fit(t.all, f)
	}
	best := slices.MaxFunc(ms, func(a, b match) int { return cmp.Compare(a.score, b.score) })
	for _, m := range ms {
		if m.family.cage && m.family.bearing == best.family.bearing {
			best.cage = m.score < cageShare*best.score || t.unevenly(best)
		}
	}
	rest := t.without(best)
	rival := match{}
	for _, f := range all {
		if t.same(f, best.family) {
			continue
		}
		if m := t.fit(rest, f); m.score > rival.score {
			rival = m
		}
	}
	noise := t.falseLevel(rest, best.family, all)
	d := Diagnosis{Outcome: Named, Element: best.family.element, Score: best.score, False: noise,
		Rival: rival.score, Offset: best.offset, Speed: sp, Lines: t.support(best), harmed: harmed}
	d.Margin = d.Score / max(t.need(best), overFalse*noise, overRival*d.Rival)
	d.traits, d.bearing = t.traits(best, ms), best.family.bearing
	t.decide(&d, best)
	if d.Outcome == Named {
		d.beside(ms)
		d.believeBy(believed)
	}
	return d
}

// same reports whether two families are one answer: the same group of the same bearing, or of bearings whose rates
// cannot be told apart.
func (t *sheet) same(a, b family) bool {
	if a.element != b.element {
		return false
	}
	return a.bearing == b.bearing || math.Abs(a.base-b.base)*t.hz < max(2*t.step, slip*a.base*t.hz)
}

// decide sets outcome and reason as far as lines stand out at all and can be the bearing's.
func (t *sheet) decide(d *Diagnosis, best match) {
	switch {
	case d.Score < t.need(best) || d.Score < overFalse*d.False || best.lit < leastLit:
		d.Outcome = Quiet
		d.Why = NothingOut
	case !d.Speed.Supported:
		d.Outcome = Unclear
		d.Why = SpeedUnsure
	case best.family.element != RollingOrCage && t.halfLines(best) > mostHalf*best.main:
		d.Outcome = Unclear
		d.Why = HalfWay
	case t.stronger(best) || t.farther(best):
		d.Outcome = Unclear
		d.Why = OtherComb
	default:
		d.Why, d.Lit = StandsOut, best.lit
	}
}

// unevenly reports whether a ring's lines carry side lines a cage turn away: then its balls do not all strike alike,
// and a comb at the cage rate goes with it.
func (t *sheet) unevenly(m match) bool {
	if m.family.cage || !ring(m.family) {
		return false
	}
	base, cage := m.family.base*t.hz*(1+m.offset), m.family.rate*t.hz*(1+m.offset)
	s := 0.0
	for k := 1.0; k <= members; k++ {
		s += (at(t.all, k*base-cage, t.step) + at(t.all, k*base+cage, t.step)) / (2 * members)
	}
	return s > unevenSides*m.main
}

// stronger reports whether the comb's own side lines, taken as a comb of their own, are clearly stronger than it:
// then it is the side line.
func (t *sheet) stronger(best match) bool {
	if best.family.cage {
		return false
	}
	for _, q := range [...]float64{-1, 1} {
		f := family{base: best.family.base*(1+best.offset) + q}
		if f.base < 1.2 {
			continue
		}
		if m := t.fit(t.all, f); m.score > 1.1*best.main && m.lit >= best.lit {
			return true
		}
	}
	return false
}

// farther reports whether the comb stands clearer where no slip can have moved it: then it is that of another
// bearing. The cages of most bearings turn nearly alike.
func (t *sheet) farther(best match) bool {
	for d := mostSlip; d <= farSlip; d += slipStep {
		for _, q := range [...]float64{-d, d} {
			if t.fitAt(t.all, best.family, q).score > overFar*best.score {
				return true
			}
		}
	}
	return false
}

// need is the score asked for.
func (t *sheet) need(best match) float64 {
	for _, v := range t.views[:wholeViews] {
		if t.fitAt(v, best.family, best.offset).score >= leastScore/2 {
			return leastScore
		}
	}
	return bandsScore
}

// sharing lists the bearings whose element this is.
func (t *sheet) sharing(d Diagnosis, all []family) []int {
	if d.Outcome == Quiet || len(d.Lines) == 0 {
		return nil
	}
	base := d.Lines[0].Order / (1 + d.Offset)
	var out []int
	for _, f := range all {
		near := math.Abs(f.base-base)*t.hz < max(2*t.step, slip*base*t.hz)
		if f.element == d.Element && near && !slices.Contains(out, f.bearing) {
			out = append(out, f.bearing)
		}
	}
	return out
}

// support lists the members and the side lines that are lit.
func (t *sheet) support(m match) []Line {
	f := m.family
	base := f.base * t.hz * (1 + m.offset)
	of := Code(f.element.String())
	switch {
	case f.cage:
		of = Cage
	case f.element == RollingOrCage:
		of = BallSpin
	}
	var out []Line
	side, by := f.side*t.hz, Shaft
	if f.side > 0 && f.side != 1 {
		side, by = side*(1+m.offset), Cage
	}
	add := func(k, which int) {
		hz := float64(k)*base + float64(which)*side
		l := Line{Hz: hz, Order: hz / t.hz, Evidence: at(t.all, hz, t.step), Times: k, Of: of, Side: which}
		if which != 0 {
			l.SideOf = by
		}
		if which == 0 || l.Evidence > litAt {
			out = append(out, l)
		}
	}
	for k := 1; k <= members; k++ {
		add(k, 0)
	}
	for k := 1; k <= members && f.side > 0; k++ {
		add(k, -1)
		add(k, +1)
	}
	return out
}

// advise says what recording would tell more.
func (d Diagnosis) advise(seconds float64) []Code {
	if d.Firm {
		return nil
	}
	var out []Code
	if seconds < 8 {
		out = append(out, MoreSeconds)
	}
	if !d.Speed.Supported {
		out = append(out, MoreMeter)
	}
	if d.Outcome != Named {
		out = append(out, MoreBearing)
	}
	return append(out, MoreSpeed)
}
