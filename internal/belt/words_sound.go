package belt

import (
	"fmt"

	"undertray/listen"
)

// warningTexts say what is doubtful about a recording.
func warningTexts(ws []listen.Warning) []string {
	var out []string
	for _, w := range ws {
		switch w.Kind {
		case listen.Clipped:
			out = append(out, fmt.Sprintf("%.2g %% of the samples sit at the extreme value: the recorder was "+
				"overdriven. Clipping makes knocks of its own; record at a lower level or from further away.",
				100*w.Share))
		case listen.Truncated:
			out = append(out, "The file ends before the length its header promises; what is there was used.")
		case listen.Steps:
			out = append(out, "The level jumps as an automatic gain control makes it jump; switch it off or use an "+
				"app that records raw.")
		case listen.Faint:
			out = append(out, "The recording is so quiet that the steps of its sample format show; record nearer or "+
				"at a higher level.")
		}
	}
	return out
}

// mores say which recordings would tell more.
var mores = map[listen.Code]string{
	listen.MoreSeconds: "Record ten seconds or more at one held speed.",
	listen.MoreMeter:   "Hold the speed steady and give it as read from a meter, to within 2 %.",
	listen.MoreBearing: "Take the recording nearer the bearing, or through a rod held against the fixed part " +
		"beside it.",
	listen.MoreSpeed:   "Record once more at another speed: lines of a bearing move with it, others stay.",
	listen.MoreDash:    "Give the speed as the dashboard shows it, to within 3 %.",
	listen.MorePulleys: "Record again at another held speed: what belongs to a pulley moves with it, the rest stays.",
	listen.MoreOff:     "Engine off and key out: take the belt off and spin each pulley by hand, recording each.",
	listen.MoreNearer: "Record from nearer, one recording for each pulley, keeping hands, hair and sleeves away " +
		"from the moving belt.",
	listen.MoreRod: "A listening rod held against the fixed bolt of a pulley, never against a moving part, tells " +
		"neighbours apart.",
	moreEngine: "Record from where the engine is heard as well: a loud noise drowns the engine's own beats, by " +
		"which the speed is checked.",
}

func moreWords(cs []listen.Code) []string {
	var out []string
	for _, c := range cs {
		out = append(out, mores[c])
	}
	return out
}

// lineWhat names a line: "2 x outer ring", "1 x inner ring + shaft".
func lineWhat(l *listen.Line) string {
	switch {
	case l.Of == listen.ToneLine && l.Times > 1:
		return "twice " + toneWords(l.Tone, l.Order/float64(l.Times))
	case l.Of == listen.ToneLine:
		return toneWords(l.Tone, l.Order)
	case l.Side < 0:
		return fmt.Sprintf("%d x %s - %s", l.Times, l.Of, l.SideOf)
	case l.Side > 0:
		return fmt.Sprintf("%d x %s + %s", l.Times, l.Of, l.SideOf)
	}
	return fmt.Sprintf("%d x %s", l.Times, l.Of)
}

func toneWords(name string, order float64) string {
	if name == "" {
		return fmt.Sprintf("%g per turn", order)
	}
	return name
}

// whyWords say why a diagnosis comes to its outcome.
func whyWords(d *listen.Diagnosis) string {
	switch d.Why {
	case listen.NothingOut:
		return "No element of the bearing stands out from what chance and other sounds reach on this recording. " +
			"That is no proof that it is good."
	case listen.SpeedUnsure:
		return fmt.Sprintf("Lines fit the %s, but the speed of %.0f rpm is not supported by the recording itself; "+
			"with a wrong speed such a fit means nothing.", d.Element, d.Speed.Hz*60)
	case listen.HalfWay:
		return fmt.Sprintf("Lines fit the %s, but lines half-way between are as strong: they belong to something "+
			"slower.", d.Element)
	case listen.OtherComb:
		return fmt.Sprintf("Lines fit the %s, but a comb at a rate that no bearing given has explains them better.",
			d.Element)
	case listen.TwoOut:
		return fmt.Sprintf("Lines of the %s and of the %s both stand out; neither explains the other.",
			d.Element, d.RivalElement)
	}
	return fmt.Sprintf("%d of 3 lines of the %s stand out, %.1f times what is asked for.", d.Lit, d.Element, d.Margin)
}

// tapDoubts say what is doubtful about taps.
var tapDoubts = map[listen.Code]string{
	listen.NoPluck: "No pluck was found: tap the middle of the span once a second, hold the microphone within a " +
		"hand's breadth, engine off.",
	listen.OctaveAway: "One pluck sounded an octave away from the others.",
	listen.FewAgree:   "Fewer than three plucks agree within 3 %; tap again.",
	listen.LowTone:    "Below 50 Hz a small microphone hardly hears the fundamental; it may be an overtone's half.",
}
