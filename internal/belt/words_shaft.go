package belt

import (
	"math"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/listen"
)

// ShaftDecides stands after every answer about a shaft on its own.
const ShaftDecides message.Text = "It narrows down; a hand on the shaft, switched off and unplugged, decides."

// Headline answers in a sentence.
func (h *ShaftHeard) Headline() message.Text { return told.Head(h.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (h *ShaftHeard) Told() []message.Text {
	d := &h.Diagnosis
	bearing := message.Of("the %s", either(told.Names(d.Bearings)))
	few := message.Of("one of %d bearings", len(d.Bearings))
	sure := func(of message.Text) message.Text { return certain[d.FlawSure()].With(of) }
	switch d.Outcome {
	case listen.Quiet, listen.Unclear:
		return []message.Text{"Not enough to tell.", say.Sentence(whyWords(d))}
	case listen.Flawed:
		which := message.Text("which element cannot be told.")
		if d.Why == listen.TwoOut {
			which = message.Of("%s or %s, or both.", d.Elements[0].Element, d.Elements[1].Element)
		}
		return told.Sentences(told.Brief(message.Of("%s is flawed: %s", sure(bearing), which),
			message.Of("%s is flawed.", sure(bearing)), message.Of("%s is flawed.", sure(few))),
			say.Sentence(whyWords(d)), h.oddsWords())
	}
	if d.ElementSure() == d.FlawSure() {
		return told.Sentences(told.Brief(sure(message.Of("the %s of %s", d.Element, bearing)).Sentence(),
			sure(message.Of("the %s of %s", d.Element, few)).Sentence()), h.oddsWords(), h.besideWords())
	}
	its := certain[d.ElementSure()].With(message.Of("its %s", d.Element)).LowerFirst()
	return told.Sentences(told.Brief(message.Of("%s is flawed, %s.", sure(bearing), its),
		message.Of("%s, %s.", sure(few), its)), h.oddsWords(), h.besideWords())
}

// oddsWords say the two certainties in figures.
func (h *ShaftHeard) oddsWords() message.Text {
	d := &h.Diagnosis
	all := []message.Text{message.Of("That it is flawed: %s", inHundred(d.Flaw))}
	for _, b := range d.Elements {
		all = append(all, message.Of("at its %s: %s", b.Element, inHundred(b.P)))
	}
	return message.Of("%s, where three in five asked about are.", message.Joined(all, "; "))
}

func inHundred(p float64) message.Text {
	return message.Of("%.0f in 100", min(max(math.Round(100*p), 1), 99))
}

// besideWords name elements whose lines stand out beside those of the one named.
func (h *ShaftHeard) besideWords() message.Text {
	var others []message.Text
	for _, b := range h.Diagnosis.Elements[1:] {
		others = append(others, b.Element.Message())
	}
	if len(others) == 0 {
		return ""
	}
	return message.Of("Lines of the %s stand out too: flaws do come together.", told.Listing(others))
}

// Basis says how the answer is known.
func (h *ShaftHeard) Basis() []message.Text {
	d := &h.Diagnosis
	speed := message.Of("Shaft speed %.1f rpm (%.0f given), not borne out by the recording.", d.Speed.Hz*60,
		h.Question.RPM)
	if d.Speed.Supported {
		speed = message.Of("Shaft speed %.1f rpm (%.0f given), borne out by lines one, two and three turns apart.",
			d.Speed.Hz*60, h.Question.RPM)
	}
	out := []message.Text{speed,
		message.Of("%.1f s at %.0f samples a second. The best fit scores %.1f; false rates reach %.1f on it, the "+
			"next element %.1f.", h.Recording.Seconds(), h.Recording.Rate, d.Score, d.False, d.Rival),
	}
	for _, b := range h.Bearings {
		out = append(out, message.Of(
			"The %s is taken to hold %d balls of %s on a circle of %s (%s): a maker may build it otherwise.", b.Number,
			b.Balls, b.Ball, b.Pitch, b.Standing))
	}
	return append(out, "A score is evidence, not severity: nothing here says how worn a bearing is.")
}

// More says what recording would tell more.
func (h *ShaftHeard) More() []message.Text { return moreWords(h.Diagnosis.More) }

// Warnings say what is doubtful about the recording.
func (h *ShaftHeard) Warnings() []message.Text { return warningTexts(h.Diagnosis.Warnings) }

// Headline answers in a sentence.
func (t *TapHeard) Headline() message.Text { return told.Head(t.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (t *TapHeard) Told() []message.Text {
	span := message.Of("%s to %s (%s)", t.Answer.From, t.Answer.To, mm(t.Answer.SpanMM))
	if t.Tap.Hz == 0 {
		return []message.Text{"Not enough to tell: no tap with a tone was heard.",
			message.Of("Listened for on the span %s. %s", span, say.Sentence(tapDoubts[t.Tap.Doubt]))}
	}
	a := t.Answer
	a.Tap.Hz = math.Round(a.Tap.Hz*10) / 10
	pull := message.Of("the span pulls %.0f N, within %.0f N.", a.Tension.TensionN, a.Tension.ErrorN)
	if t.Tap.Ambiguous {
		return []message.Text{message.Of("Not enough to tell for sure: %s", pull), a.Words()}
	}
	return []message.Text{say.Capital(pull), a.Words()}
}

// Basis says how it is known.
func (t *TapHeard) Basis() []message.Text {
	out := []message.Text{message.Of("%d taps heard, their tones within %.1f %% of one another.", len(t.Tap.Plucks),
		100*t.Tap.Spread)}
	if t.Few() {
		out = append(out, "Three taps or more within 3 % are asked for: tap again, a second apart, in the middle of "+
			"the span.")
	}
	if t.Tap.Ambiguous {
		for _, a := range []TapAnswer{t.Low, t.High} {
			if a.Tap.Hz > 0 {
				out = append(out, message.Of("If the tone is really %.1f Hz, the tension is %.0f N.", a.Tap.Hz,
					a.Tension.TensionN))
			}
		}
		out = append(out, say.Sentence(tapDoubts[t.Tap.Doubt]))
	}
	return append(out, "With a sprung tensioner the tone tells the spring, not how the belt was fitted. Engine off, "+
		"key out, belt at rest.")
}

// Warnings say what is doubtful about the recording.
func (t *TapHeard) Warnings() []message.Text { return warningTexts(t.Tap.Warnings) }

// Headline answers what changed most.
func (c *Compared) Headline() message.Text { return told.Head(c.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (c *Compared) Told() []message.Text {
	switch c.Answer() {
	case NoBand:
		return []message.Text{"Not enough to tell: the two recordings share no band."}
	case NothingRose:
		return []message.Text{"Nothing stands out from one recording to the other.",
			message.Of("No band rose by %d dB or more against the rest from %s to %s.", stands, c.NameA, c.NameB)}
	}
	most := c.Bands[c.Most]
	return []message.Text{message.Of("The band from %.0f to %.0f Hz rose most, by %.0f dB.", most.From,
		most.To, most.Change),
		message.Of("That is from %s to %s, against the rest.", c.NameA, c.NameB)}
}

// Basis says how far the comparison goes.
func (c *Compared) Basis() []message.Text {
	return []message.Text{
		message.Of("All bands together changed by %+.1f dB, which distance, the recorder's level control or a "+
			"louder engine do too; it is taken off.", c.Gain),
		"Record both from the same place with the same device at the same engine speed, one after the other.",
	}
}
