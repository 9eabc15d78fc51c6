package listen

import (
	"cmp"
	"math"
	"slices"
)

// What SortRunning asks for.
const (
	chirpScore  = 0.8 // mean evidence of a beat's lines [nats]
	combFalse   = 2.0 // times what false beats reach; both doubled where the engine's orders do not support its speed
	falseBeats  = 80
	chirpLines  = 4    // of a pulley's turn
	beltLines   = 6    // of the belt's pass
	chirpShare  = 0.75 // of the low band's beat: a loud rumble reaches up into the belts' band
	rumbleLines = 2
	rumbleScore = 1.0
	rumbleFrom  = 150.0
	rumbleTo    = 1500.0 // below the rattle of belts, above what small microphones cut
	belongsWith = 0.8    // of the best comb's score, from which the slowest of its candidates is taken
)

// SortRunning is SortNoise for a running engine whose accessory drive was ranked: what the engine beats out is left
// aside, so that it is neither taken for a noise nor hides one.
//
//   - A chirp beats in 2 to 12 kHz with the belt's pass or a pulley's turn: lines of the squared envelope at crank
//     angle, half orders struck out, above what 80 false beats reach once its own lines are taken out.
//   - A squeal is a tone above 500 Hz that does not follow the crank.
//   - A rumble is noise from 150 to 1500 Hz that beats with a pulley's turn, or knocks of a bearing that Rank named.
//   - A whine is a tone that follows the crank, off the engine's half orders or at a tone of a pulley; sound
//     alternators whine too.
//
// The first of these that stands out is the answer. A tone at a speed so steady that nothing follows it, on no
// order given, is Unsorted. Where the crank's speed is not supported by the engine's orders the answer is that of
// SortNoise, which hears loud noises only. The ranking must be Rank's of the same recording and drive; the error is
// that of SortNoise, or ErrInput.
func SortRunning(r Recording, d Drive, k Ranking) (NoiseSort, error) {
	if err := d.check(); err != nil {
		return NoiseSort{}, err
	}
	r = r.Part(0, rankSeconds)
	var beats []Beat
	if len(k.Suspects) == 0 || k.Crank.Track.check() != nil {
		return NoiseSort{}, wrap(ErrInput, "foreign ranking")
	}
	for _, p := range d.Pulleys {
		beats = append(beats, Beat{p.Name, p.Ratio * k.Crank.Hz})
	}
	if d.BeltPass > 0 {
		beats = append(beats, Beat{"belt", d.BeltPass * k.Crank.Hz})
	}
	out, err := SortNoise(r, beats)
	if err != nil || !k.Crank.Supported && d.Engine.Speed.Hz == 0 {
		return out, err
	}
	out.Sort, out.Rate, out.Tone, out.Matches = NoSort, 0, 0, nil
	h := newHearing(r, d, k.Crank)
	if h.beats(&out, k) || !k.Crank.Supported {
		return out, nil
	}
	tones := h.tones(r.mix(), r.Rate)
	switch {
	case h.squeals(&out, tones), h.whines(&out, tones):
	case slices.ContainsFunc(tones, func(t heldTone) bool { return t.bound == undecided }):
		out.Sort = Unsorted
	}
	return out, nil
}

// hearing is a recording at crank angle as its beats show in a band.
type hearing struct {
	drive  Drive
	crank  CrankSpeed
	half   float64 // order of the engine's own beats
	src    *source // at crank angle
	inTime *source // as recorded, for the tones
	step   float64 // Hz
}

func newHearing(r Recording, d Drive, c CrankSpeed) *hearing {
	perTurn := math.Ceil(r.Rate / slices.Min(c.Track.Hz))
	h := &hearing{drive: d, crank: c, half: 0.5,
		src: newSource(byAngle(r.mix(), r.Rate, c.Track, perTurn), perTurn*c.Hz)}
	if d.Engine.TwoStroke {
		h.half = 1
	}
	h.step = h.src.step()
	return h
}

// beating is the line evidence of a band's envelope, the engine's own lines at -1.
func (h *hearing) beating(b Band) []float64 {
	top := 0.0
	for _, p := range h.drive.Pulleys {
		top = max(top, p.Ratio)
	}
	to := min((chirpLines+1)*max(top, 2)*h.crank.Hz, 0.9*(b.To-b.From))
	e := evidence(levelled(h.src.envelope(Prediction, b, to), 12), evidenceCap)
	for k := h.half * h.crank.Hz; k < float64(len(e))*h.step; k += h.half * h.crank.Hz {
		c, w := int(math.Round(k/h.step)), 4+int(0.001*k/h.step)
		for i := max(c-w, 0); i <= min(c+w, len(e)-1); i++ {
			e[i] = -1
		}
	}
	return e
}

// beat is a comb of lines at multiples of a rate.
type beat struct {
	name       string
	hz, score  float64
	lines      int
	lit, heard int
}

// beatAt scores the first lines of a rate; lines on the engine's own count for neither side.
func (h *hearing) beatAt(e []float64, hz float64, lines int) beat {
	b := beat{hz: hz, lines: lines}
	for k := 1; k <= lines; k++ {
		v := at(e, float64(k)*hz, h.step)
		if v < 0 {
			continue
		}
		b.heard++
		b.score += v
		if v > litAt {
			b.lit++
		}
	}
	if b.heard*2 <= lines {
		return beat{hz: hz, lines: lines}
	}
	b.score /= float64(b.heard)
	return b
}

// near is the best beat within two deviations of a rate, at a price.
func (h *hearing) near(e []float64, hz, sd float64, lines int) beat {
	best := beat{hz: hz, lines: lines}
	for s := -2 * sd; s <= 2*sd+1e-12; s += slipStep {
		b := h.beatAt(e, hz*(1+s), lines)
		if b.score -= shiftCost * (s / sd) * (s / sd); b.score > best.score {
			best = b
		}
	}
	return best
}

// candidates are the belt's and the pulleys' beats, slowest first.
func (h *hearing) candidates(e []float64, lines int, belt bool) []beat {
	var out []beat
	doubt := 0.0
	if !h.crank.Supported {
		doubt = h.drive.Engine.Speed.Tolerance / 2
	}
	if belt && h.drive.BeltPass > 0 {
		b := h.near(e, h.drive.BeltPass*h.crank.Hz, math.Hypot(0.01, doubt), beltLines)
		b.name = "belt"
		out = append(out, b)
	}
	for _, p := range h.drive.Pulleys {
		b := h.near(e, p.Ratio*h.crank.Hz, math.Hypot(p.sd(), doubt), lines)
		b.name = p.Name
		out = append(out, b)
	}
	slices.SortStableFunc(out, func(a, b beat) int { return cmp.Compare(a.hz, b.hz) })
	return out
}

// falseBeat is the second-highest score of rates that belong to nothing, once the lines of a beat are taken out.
func (h *hearing) falseBeat(e []float64, b beat, own []beat) float64 {
	e = slices.Clone(e)
	for k := b.hz; k < float64(len(e))*h.step; k += b.hz {
		c := int(math.Round(k / h.step))
		for i := max(c-3-c/500, 0); i <= min(c+3+c/500, len(e)-1); i++ {
			e[i] = 0
		}
	}
	first, second := 0.0, 0.0
	for i := 1.0; i <= falseBeats; i++ {
		hz := b.hz * math.Exp2(2*frac(i*(math.Sqrt(5)-1)/2)-1)
		if slices.ContainsFunc(own, func(o beat) bool { return math.Abs(hz/o.hz-1) < 0.03 }) {
			continue
		}
		v := h.near(e, hz, 0.01, b.lines).score
		first, second = max(first, v), max(second, min(first, v))
	}
	return second
}

// standsOut is the slowest beat that explains nearly as much as the best, if it stands out from chance; an empty
// one if none does.
func (h *hearing) standsOut(all []beat, e []float64, least float64) beat {
	best := slices.MaxFunc(all, func(a, b beat) int { return cmp.Compare(a.score, b.score) })
	for _, b := range all {
		if b.score >= belongsWith*best.score && b.lit >= best.lit {
			best = b
			break
		}
	}
	over := combFalse
	if !h.crank.Supported {
		least, over = 2*least, 2*over
	}
	if best.score < least || best.lit < max(best.heard-1, 2) || best.score < over*h.falseBeat(e, best, all) {
		return beat{}
	}
	return best
}

// beats asks what beats: a named bearing, the belt's own band or the low one, whichever shows more.
func (h *hearing) beats(n *NoiseSort, k Ranking) bool {
	e := h.beating(Band{beltFrom, min(beltTo, 0.45*h.src.rate)})
	all := h.candidates(e, chirpLines, true)
	high := h.standsOut(all, e, chirpScore)
	e = h.beating(Band{rumbleFrom, rumbleTo})
	pulleys := h.candidates(e, rumbleLines, false)
	low := h.standsOut(pulleys, e, rumbleScore)
	first := k.Suspects[0]
	switch {
	case k.Outcome == Named && first.Bearing != "" && len(first.Pulleys) == 1 &&
		first.Score > max(high.score, low.score):
		n.Sort, n.Matches = Rumble, first.Pulleys
	case high.score > 0 && high.score >= chirpShare*low.score:
		n.beatsWith(Chirp, high, all)
	case low.score > 0:
		n.beatsWith(Rumble, low, pulleys)
	}
	return n.Sort != NoSort
}

// beatsWith writes an answer down: whatever turns within 1 % of the rate matches.
func (n *NoiseSort) beatsWith(s Sort, b beat, all []beat) {
	n.Sort, n.Rate = s, b.hz
	for _, o := range all {
		if math.Abs(o.hz/b.hz-1) < beatMatch {
			n.Matches = append(n.Matches, o.name)
		}
	}
}
