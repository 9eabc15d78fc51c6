package belt

import (
	"fmt"
	"math"
	"strings"

	"undertray/internal/say"
	"undertray/listen"
)

// Headline answers in a sentence.
func (h *ShaftHeard) Headline() string { return say.Head(h.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (h *ShaftHeard) Told() []string {
	d := &h.Diagnosis
	switch d.Outcome {
	case listen.Quiet, listen.Unclear:
		return []string{"Not enough to tell.", say.Sentence(whyWords(d))}
	}
	lead := "Possibly"
	if d.Firm {
		lead = "Most likely"
	}
	who := fmt.Sprintf("%s the %s of the %s", lead, d.Element, strings.Join(d.Bearings, " or "))
	return []string{say.Short(who+".",
		fmt.Sprintf("%s the %s of one of %d bearings.", lead, d.Element, len(d.Bearings))),
		fmt.Sprintf("%s, %.1f times what is asked for.", who, d.Margin)}
}

// Basis says how the answer is known.
func (h *ShaftHeard) Basis() []string {
	d := &h.Diagnosis
	speed := "not borne out by the recording"
	if d.Speed.Supported {
		speed = "borne out by lines one, two and three turns apart"
	}
	out := []string{
		fmt.Sprintf("Shaft speed %.1f rpm (%.0f given), %s.", d.Speed.Hz*60, h.Question.RPM, speed),
		fmt.Sprintf("%.1f s at %.0f samples a second. The best fit scores %.1f; false rates reach %.1f on it, the "+
			"next element %.1f.", h.Recording.Seconds(), h.Recording.Rate, d.Score, d.False, d.Rival),
	}
	for _, b := range h.Bearings {
		out = append(out, fmt.Sprintf(
			"The %s is taken to hold %d balls of %s on a circle of %s (%s): a maker may build it otherwise.", b.Number,
			b.Balls, b.Ball, b.Pitch, b.Standing))
	}
	return append(out, "A score is evidence, not severity: nothing here says how worn a bearing is.")
}

// More says what recording would tell more.
func (h *ShaftHeard) More() []string { return moreWords(h.Diagnosis.More) }

// Warnings say what is doubtful about the recording.
func (h *ShaftHeard) Warnings() []string { return warningTexts(h.Diagnosis.Warnings) }

// Headline answers in a sentence.
func (t *TapHeard) Headline() string { return say.Head(t.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (t *TapHeard) Told() []string {
	span := fmt.Sprintf("%s to %s (%s)", t.Answer.From, t.Answer.To, mm(t.Answer.SpanMM))
	if t.Tap.Hz == 0 {
		return []string{"Not enough to tell: no tap with a tone was heard.",
			fmt.Sprintf("Listened for on the span %s. %s", span, say.Sentence(tapDoubts[t.Tap.Doubt]))}
	}
	a := t.Answer
	a.Tap.Hz = math.Round(a.Tap.Hz*10) / 10
	pull := fmt.Sprintf("the span pulls %.0f N, within %.0f N.", a.Tension.TensionN, a.Tension.ErrorN)
	if t.Tap.Ambiguous {
		return []string{"Not enough to tell for sure: " + pull, a.Words()}
	}
	return []string{say.Capital(pull), a.Words()}
}

// Basis says how it is known.
func (t *TapHeard) Basis() []string {
	out := []string{fmt.Sprintf("%d taps heard, their tones within %.1f %% of one another.", len(t.Tap.Plucks),
		100*t.Tap.Spread)}
	if t.Few() {
		out = append(out, "Three taps or more within 3 % are asked for: tap again, a second apart, in the middle of "+
			"the span.")
	}
	if t.Tap.Ambiguous {
		for _, a := range []TapAnswer{t.Low, t.High} {
			if a.Tap.Hz > 0 {
				out = append(out, fmt.Sprintf("If the tone is really %.1f Hz, the tension is %.0f N.", a.Tap.Hz,
					a.Tension.TensionN))
			}
		}
		out = append(out, say.Sentence(tapDoubts[t.Tap.Doubt]))
	}
	return append(out, "With a sprung tensioner the tone tells the spring, not how the belt was fitted. Engine off, "+
		"key out, belt at rest.")
}

// Warnings say what is doubtful about the recording.
func (t *TapHeard) Warnings() []string { return warningTexts(t.Tap.Warnings) }

// Headline answers what changed most.
func (c *Compared) Headline() string { return say.Head(c.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (c *Compared) Told() []string {
	switch c.Answer() {
	case NoBand:
		return []string{"Not enough to tell: the two recordings share no band."}
	case NothingRose:
		return []string{"Nothing stands out from one recording to the other.",
			fmt.Sprintf("No band rose by %d dB or more against the rest from %s to %s.", stands, c.NameA, c.NameB)}
	}
	most := c.Bands[c.Most]
	return []string{fmt.Sprintf("The band from %.0f to %.0f Hz rose most, by %.0f dB.", most.From,
		most.To, most.Change),
		fmt.Sprintf("That is from %s to %s, against the rest.", c.NameA, c.NameB)}
}

// Basis says how far the comparison goes.
func (c *Compared) Basis() []string {
	return []string{
		fmt.Sprintf("All bands together changed by %+.1f dB, which distance, the recorder's level control or a "+
			"louder engine do too; it is taken off.", c.Gain),
		"Record both from the same place with the same device at the same engine speed, one after the other.",
	}
}
