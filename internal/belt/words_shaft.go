package belt

import (
	"fmt"
	"math"
	"strings"

	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/listen"
)

// ShaftDecides stands after every answer about a shaft on its own.
const ShaftDecides = "It narrows down; a hand on the shaft, switched off and unplugged, decides."

// Headline answers in a sentence.
func (h *ShaftHeard) Headline() string { return say.Head(h.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (h *ShaftHeard) Told() []string {
	d := &h.Diagnosis
	bearing := "the " + strings.Join(d.Bearings, " or ")
	few := fmt.Sprintf("one of %d bearings", len(d.Bearings))
	sure := say.Capital(d.FlawSure().String())
	switch d.Outcome {
	case listen.Quiet, listen.Unclear:
		return []string{"Not enough to tell.", say.Sentence(whyWords(d))}
	case listen.Flawed:
		which := "which element cannot be told."
		if d.Why == listen.TwoOut {
			which = d.Elements[0].Element.String() + " or " + d.Elements[1].Element.String() + ", or both."
		}
		return say.Told(say.Short(sure+" "+bearing+" is flawed: "+which, sure+" "+bearing+" is flawed.",
			sure+" "+few+" is flawed."), say.Sentence(whyWords(d)), h.oddsWords())
	}
	if d.ElementSure() == d.FlawSure() {
		who := sure + " the " + d.Element.String() + " of "
		return say.Told(say.Short(who+bearing+".", who+few+"."), h.oddsWords(), h.besideWords())
	}
	who := fmt.Sprintf("%s, %s its %s.", sure, d.ElementSure(), d.Element)
	return say.Told(say.Short(strings.Replace(who, ",", " "+bearing+" is flawed,", 1),
		strings.Replace(who, ",", " "+few+",", 1)), h.oddsWords(), h.besideWords())
}

// oddsWords say the two certainties in figures.
func (h *ShaftHeard) oddsWords() string {
	d := &h.Diagnosis
	s := fmt.Sprintf("That it is flawed: %s", inHundred(d.Flaw))
	for _, b := range d.Elements {
		s += fmt.Sprintf("; at its %s: %s", b.Element, inHundred(b.P))
	}
	return s + ", where three in five asked about are."
}

func inHundred(p float64) string {
	return fmt.Sprintf("%.0f in 100", min(max(math.Round(100*p), 1), 99))
}

// besideWords name elements whose lines stand out beside those of the one named.
func (h *ShaftHeard) besideWords() string {
	var others []string
	for _, b := range h.Diagnosis.Elements[1:] {
		others = append(others, b.Element.String())
	}
	if len(others) == 0 {
		return ""
	}
	return fmt.Sprintf("Lines of the %s stand out too: flaws do come together.", say.Listing(others))
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
