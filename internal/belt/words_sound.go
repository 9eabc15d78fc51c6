package belt

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/listen"
)

// warningTexts say what is doubtful about a recording.
func warningTexts(ws []listen.Warning) []message.Text {
	var out []message.Text
	for _, w := range ws {
		switch w.Kind {
		case listen.Clipped:
			out = append(out, message.Of("%.2g %% of the samples sit at the extreme value: the recorder was "+
				"overdriven. Clipping makes knocks of its own; record at a lower level or from further away.",
				100*w.Share))
		case listen.Truncated:
			out = append(out, "The file ends before the length its header promises; what is there was used.")
		case listen.Steps:
			out = append(out, "The level jumps as an automatic gain control makes it jump; switch it off or use an "+
				"app that records raw.")
		case listen.Coarse:
			out = append(out, "The recording has few levels only: their steps are a noise of their own; record at a "+
				"higher level or in more bits.")
		case listen.Faint:
			out = append(out, "The recording is so quiet that the steps of its sample format show; record nearer or "+
				"at a higher level.")
		case listen.Lossy:
			out = append(out, message.Of("The sound came as %s, which leaves out what an ear hardly misses; a faint "+
				"flaw may be among it. A WAV or FLAC recording tells more.", codingName(w.Coding)))
		case listen.Cut:
			out = append(out, message.Of("Of %s the %.0f s from %s on were taken: the loudest and steadiest without "+
				"clipping.", minutes(w.Of), w.To-w.From, clock(w.From)))
		case listen.Opposed:
			out = append(out, opposedWords(w.Channel))
		}
	}
	return out
}

// codingNames are those that are not written as the coding's key is.
var codingNames = map[string]string{"opus": "Opus", "vorbis": "Vorbis", "speex": "Speex"}

func codingName(key string) string {
	if name := codingNames[key]; name != "" {
		return name
	}
	return strings.ToUpper(strings.ReplaceAll(key, "_", "-"))
}

// clock writes a moment of a recording, such as 1:05.
func clock(s float64) string { return fmt.Sprintf("%d:%02d", int(s)/60, int(s)%60) }

// minutes writes a length: seconds up to two minutes, else minutes and seconds.
func minutes(s float64) string {
	if s < 120 {
		return fmt.Sprintf("%.0f s", s)
	}
	return fmt.Sprintf("%d min %d s", int(s)/60, int(s)%60)
}

func opposedWords(channel int) message.Text {
	if channel == 0 {
		return "The two channels run against each other and would cancel out; their difference was taken."
	}
	return message.Of("The two channels run against each other and would cancel out; channel %d, the louder, was "+
		"taken.", channel)
}

// mores say which recordings would tell more.
var mores = map[listen.Code]message.Text{
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

func moreWords(cs []listen.Code) []message.Text {
	var out []message.Text
	for _, c := range cs {
		out = append(out, mores[c])
	}
	return out
}

// lineWhat names a line: "2 x outer ring", "1 x inner ring + shaft".
func lineWhat(l *listen.Line) message.Text {
	switch {
	case l.Of == listen.ToneLine && l.Times > 1:
		return message.Of("twice %s", toneWords(l.Tone, l.Order/float64(l.Times)))
	case l.Of == listen.ToneLine:
		return toneWords(l.Tone, l.Order)
	case l.Side < 0:
		return message.Of("%d x %s - %s", l.Times, lineNames[l.Of], lineNames[l.SideOf])
	case l.Side > 0:
		return message.Of("%d x %s + %s", l.Times, lineNames[l.Of], lineNames[l.SideOf])
	}
	return message.Of("%d x %s", l.Times, lineNames[l.Of])
}

// lineNames name what makes a line.
var lineNames = map[listen.Code]message.Text{listen.Cage: "cage", listen.Shaft: "shaft",
	listen.BallSpin:    "twice ball spin",
	listen.OncePerTurn: "once per turn", listen.BeltPass: "belt pass",
	listen.Code(listen.OuterRing.String()):     listen.OuterRing.Message(),
	listen.Code(listen.InnerRing.String()):     listen.InnerRing.Message(),
	listen.Code(listen.RollingOrCage.String()): listen.RollingOrCage.Message()}

func toneWords(name string, order float64) message.Text {
	if name == "" {
		return message.Of("%g per turn", order)
	}
	if name == alternatorTone.String() {
		return alternatorTone
	}
	return message.Name(name)
}

// whyWords say why a diagnosis comes to its outcome.
func whyWords(d *listen.Diagnosis) message.Text {
	switch d.Why {
	case listen.NothingOut:
		return "No element of the bearing stands out from what chance and other sounds reach on this recording. " +
			"That is no proof that it is good."
	case listen.SpeedUnsure:
		return message.Of("Lines fit the %s, but the speed of %.0f rpm is not supported by the recording itself; "+
			"with a wrong speed such a fit means nothing.", d.Element, d.Speed.Hz*60)
	case listen.HalfWay:
		return message.Of("Lines fit the %s, but lines half-way between are as strong: they belong to something "+
			"slower.", d.Element)
	case listen.OtherComb:
		return message.Of("Lines fit the %s, but a comb at a rate that no bearing given has explains them better.",
			d.Element)
	case listen.TwoOut:
		return message.Of("Lines of the %s and of the %s both stand out: either is flawed, or both.",
			d.Elements[0].Element, d.Elements[1].Element)
	case listen.FaintBeat:
		return message.Of("Lines fit the %s, but as faintly or in as few bands as the races of a sound bearing beat.",
			d.Element)
	case listen.NoneSure:
		return message.Of("Lines fit the %s best, but not so that it can be said.", d.Element)
	}
	return message.Of("%d of 3 lines of the %s stand out, %.1f times what is asked for.", d.Lit, d.Element, d.Margin)
}

// tapDoubts say what is doubtful about taps.
var tapDoubts = map[listen.Code]message.Text{
	listen.NoPluck: "No pluck was found: tap the middle of the span once a second, hold the microphone within a " +
		"hand's breadth, engine off.",
	listen.OctaveAway: "One pluck sounded an octave away from the others.",
	listen.FewAgree:   "Fewer than three plucks agree within 3 %; tap again.",
	listen.LowTone:    "Below 50 Hz a small microphone hardly hears the fundamental; it may be an overtone's half.",
}
