package belt

import (
	"math"
	"slices"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/runwords"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/listen"
)

// ListenCaution stands before everything about a recording of a running engine.
const ListenCaution message.Text = "Engine running: sleeves, hair, straps and cables away from belt and fan; an " +
	"electric fan may start by itself. Brake on, out of gear, never in a closed garage. Put the recorder down or " +
	"hold it at arm's length, and keep to the vehicle maker's instructions."

// ListenDecides stands after every answer to a recording.
const ListenDecides message.Text = "It narrows down; a hand on the pulley with the belt off, the engine off and the " +
	"key out decides."

// Headline answers in one sentence which pulley makes the noise, or that the
// recording does not tell.
func (h *Heard) Headline() message.Text { return told.Head(h.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (h *Heard) Told() []message.Text {
	k, a := &h.Ranking, h.Answer()
	var doubt message.Text
	if a.Doubtful {
		doubt = "That is as far as this recording can be trusted."
	}
	switch a.Code {
	case NothingOut:
		return []message.Text{"Not enough to tell: no pulley stands out on this recording.",
			"None is above what chance reaches on it. That is no proof that they are good."}
	case SpeedUnsure:
		return []message.Text{message.Of("Not enough to tell: an engine speed of %.0f rpm is not borne out.",
			k.Crank.Hz*60),
			message.Of("The recording's lines fit %s best, but with a wrong speed such a fit means nothing.",
				h.the(a.First))}
	}
	who := h.likely(&a).With(h.the(a.First))
	switch a.Code {
	case Undecided:
		return told.Sentences(told.Brief(message.Of("%s, or %s: too near to tell apart.", who, h.the(*a.Next)),
			message.Of("%s; another is too near to tell apart.", who), "Two stand out, too near to tell apart."),
			message.Of("%s; %s is next, not enough to tell them apart.", who, h.the(*a.Next)), doubt)
	case WhineOut:
		return told.Sentences(told.Brief(
			message.Of("The electrical whine of %s stands out; a sound one makes it too.", h.the(a.First)),
			"An electrical whine stands out; a sound machine makes it too."),
			message.Of("It is that of %s. It counts only if it is new or has grown.", h.the(a.First)), h.runnerUp(&a))
	case TurnAlike:
		return told.Sentences(told.Brief(message.Of("%s: they turn alike.", who), message.Of("%s.", who)),
			"They turn alike and frequency cannot part them.", doubt)
	}
	what := h.whatWords(a.First)
	return told.Sentences(told.Brief(message.Of("%s (%s).", who, what), message.Of("%s.", who)),
		message.Of("What shows is %s, %.1f times what is asked for.", what, k.Margin), h.runnerUp(&a), doubt)
}

// certain says with which certainty something is the one.
var certain = map[listen.Certainty]message.Text{listen.Unsaid: "Perhaps %s", listen.Probably: "Probably %s",
	listen.MostLikely: "Most likely %s"}

// likely says how sure an answer is, and less where the recording itself is in doubt.
func (h *Heard) likely(a *HeardAnswer) message.Text {
	if a.Doubtful {
		return certain[listen.Unsaid]
	}
	return certain[h.Ranking.Sure()]
}

// runnerUp names who comes next, where one does.
func (h *Heard) runnerUp(a *HeardAnswer) message.Text {
	if a.Next == nil {
		return "Nobody else comes near."
	}
	return message.Of("Next, well behind, %s (%s).", h.the(*a.Next), h.whatWords(*a.Next))
}

// the names a suspect inside a sentence.
func (h *Heard) the(q listen.Suspect) message.Text { return either(h.names(q, false)) }

// names are those of a suspect's parts, inside a sentence or at the head of a line.
func (h *Heard) names(q listen.Suspect, head bool) []message.Text {
	var out []message.Text
	for _, n := range suspectNames(q) {
		s := h.source(n)
		if s != nil {
			n = s.Name
		}
		out = append(out, suspectWords(n, s != nil && s.Belt, head))
	}
	return out
}

// suspectWords name what may sound, inside a sentence or at the head of a line.
func suspectWords(name string, belt, head bool) message.Text {
	switch {
	case belt && head:
		return message.Of("%s itself", name)
	case belt:
		return message.Of("the %s itself", name)
	case head:
		return message.Name(name)
	}
	return message.Of("the %s", name)
}

// Name is a suspect at the head of a line.
func (h *Heard) Name(q listen.Suspect) message.Text { return say.Capital(either(h.names(q, true))) }

// What says what of a suspect shows.
func (h *Heard) What(q listen.Suspect) message.Text { return h.whatWords(q) }

func (h *Heard) whatWords(q listen.Suspect) message.Text {
	if q.Score <= 0 {
		return "nothing shows"
	}
	s := h.source(suspectNames(q)[0])
	switch {
	case q.Shows == listen.ShowsPass, q.Shows == listen.ShowsTurns && s != nil && s.Belt:
		return "once round"
	case q.Shows == listen.ShowsTurns:
		return "a knock once per turn"
	case q.Shows == listen.ShowsTone:
		return toneWords(q.Tone, q.Lines[0].Order)
	}
	what := message.Of("its bearing's %s", q.Element)
	if q.Element == listen.RollingOrCage {
		what = "its bearing's balls or cage"
	}
	if s != nil && s.Bearing == nil {
		return message.Of("%s, if it holds a %s", what, q.Bearing)
	}
	return what
}

// NoiseWords says what sort of noise it is; empty where nothing stands out.
func (h *Heard) NoiseWords() message.Text {
	if h.Sort == nil {
		why, _ := runwords.Sound(h.NoSort)
		return message.Of("The sort of noise cannot be said: %s.", why)
	}
	n := h.Sort
	var s message.Text
	switch alone := len(n.Matches) == 0; {
	case n.Sort == listen.Chirp && alone:
		s = message.Of("It chirps %.1f times a second, which keeps time with nothing on the run", n.Rate)
	case n.Sort == listen.Chirp && len(n.Matches) == 1:
		s = message.Of("It chirps %.1f times a second, in time with the %s", n.Rate, n.Matches[0])
	case n.Sort == listen.Chirp:
		s = message.Of("It chirps %.1f times a second, in time with more than one: %s", n.Rate, names(n.Matches))
	case n.Sort == listen.Squeal && n.Tone > 0:
		s = message.Of("It squeals: a tone that stays, near %.0f Hz", n.Tone)
	case n.Sort == listen.Squeal:
		s = "It squeals: a tone that stays"
	case n.Sort == listen.Whine && alone:
		s = message.Of("A steady tone near %.0f Hz", n.Tone)
	case n.Sort == listen.Whine:
		s = message.Of("A steady tone near %.0f Hz that follows the %s; a sound one sings too", n.Tone,
			names(n.Matches))
	case n.Sort == listen.Rumble && alone:
		s = "It rumbles"
	case n.Sort == listen.Rumble:
		s = message.Of("It rumbles in time with the %s", names(n.Matches))
	case n.Sort == listen.Unsorted:
		s = "A tone stands out, but not enough to tell whether it follows the engine"
	default:
		return ""
	}
	return message.Of("%s. (The bounds between these sorts were tried on made-up sounds only; no belt recording was "+
		"at hand.)", s)
}

// Basis says how the answer is known and what was taken to be so.
func (h *Heard) Basis() []message.Text {
	c := h.Ranking.Crank
	given := message.Text("without a meter")
	if h.Question.RPM > 0 {
		given = message.Of("the meter said %.0f", h.Question.RPM)
	}
	speed := message.Of("Engine speed %.0f rpm, within %.0f (%s), is not borne out by the engine's own beats; it "+
		"wandered by %.1f %%.", c.Hz*60, max(c.SD*60, 1), given, 100*c.Track.Drift())
	if c.Supported {
		speed = message.Of("Engine speed %.0f rpm, within %.0f (%s), is borne out by %d of the engine's own beats; it "+
			"wandered by %.1f %%.", c.Hz*60, max(c.SD*60, 1), given, c.Lit, 100*c.Track.Drift())
	}
	out := []message.Text{speed,
		message.Of("%.1f s at %.0f samples a second. False ratios reach %.1f on it; a pulley is named from 1.0, "+
			"1.2 times that and 1.2 times the next.", h.Recording.Seconds(), h.Recording.Rate, h.Ranking.False),
	}
	if len(h.Question.On) > 0 {
		out = append(out, message.Of("Switched on: %s.", switched(h.Question.On)))
	}
	out = append(out, "The crank pulley turns with the engine and cannot be told from it.")
	if slices.ContainsFunc(h.Runs, func(b *Run) bool { return b.Run.Typical }) {
		out = append(out, "Pulleys of a run that nobody measured are typical: one that is named may be another. "+
			"Measure them first.")
	}
	for i := range h.Assumed {
		out = append(out, h.Assumed[i].Words())
	}
	return out
}

// Warnings say what is doubtful about the recording.
func (h *Heard) Warnings() []message.Text { return warningTexts(h.Ranking.Warnings) }

// LineWords says which lines support a suspect: "1 x outer ring at 132.4 Hz (4.1 of 5)".
func LineWords(lines []listen.Line) []message.Text {
	var out []message.Text
	for i := range lines {
		l := &lines[i]
		if l.Evidence < 0.6 {
			continue
		}
		out = append(out, message.Of("%s at %.1f Hz (%.1f of 5)", lineWhat(l), l.Hz, l.Evidence))
	}
	return out
}

// More says what recording would tell more.
func (h *Heard) More() []message.Text { return moreWords(h.more()) }

// Tests are what to try next, the most telling for this noise first (common
// practice); each says its own caution first where it needs one.
func (h *Heard) Tests() []message.Text {
	words := map[Code]message.Text{
		TryWater: "Water on the ribs: engine stopped, key out, fan still; wet the ribs with a fine spray, then " +
			"hands, hair and bottle clear, and start again. A chirp that goes and comes back points to alignment, a " +
			"squeal that grows to slip. Wet belts behave in more than one way: never rely on this alone.",
		TryLoad: "Load off, then on, a recording of each: lights and heated screens, air conditioning, steering " +
			"turned a little. What follows the lights is electrical, what follows the steering or the air " +
			"conditioning sits there; a bearing hardly cares.",
		TryOff: "Belt off: engine off, key out, cooled down. Turn each pulley by hand beside the ear, rock it across " +
			"its axis, feel for grit. Run the engine without the belt only if the maker allows it, and only for " +
			"seconds: the water pump may stand still.",
	}
	var out []message.Text
	for _, t := range h.Trials() {
		out = append(out, words[t])
	}
	return out
}

// NoteWords is what is written down with the recording when it is kept.
func (h *Heard) NoteWords() message.Text {
	s := message.Of("Sound recorded for %.0f s", math.Round(h.Recording.Seconds()))
	if h.Question.RPM > 0 {
		s = message.Of("Sound recorded for %.0f s at %.0f rpm", math.Round(h.Recording.Seconds()), h.Question.RPM)
	}
	if len(h.Question.On) > 0 {
		s = message.Of("%s, with %s on", s, switched(h.Question.On))
	}
	return message.Of("%s. It was then read as: %s", s, message.Joined(h.Told(), " "))
}

// switched names what was on: what the program asks about, or as it was typed.
func switched(on []string) message.Text {
	out := make([]message.Text, len(on))
	for i, name := range on {
		out[i] = message.Name(name)
		if j := slices.IndexFunc(Switches, func(s message.Text) bool { return s.String() == name }); j >= 0 {
			out[i] = Switches[j]
		}
	}
	return told.Listing(out)
}

// Switches are what is asked about; anything else fits into the note.
var Switches = []message.Text{"lights", "heated screens", "air conditioning", "steering turned"}

// Words says what was taken to be so.
func (a *Assumption) Words() message.Text {
	switch a.Code {
	case RunLeftOut:
		return message.Of("%s cannot be worked out and is left out: %s", a.Name,
			say.Sentence(runwords.Text(a.Refusal)))
	case WhineTaken:
		return message.Of("The %s's whine is taken as 36 cycles per turn (three phases, six pole pairs); other "+
			"machines have 48, 72 or 96.", a.Name)
	case UsualInside:
		standing := drive.FromMemory
		if a.Bearing.Standing == drive.Published.String() {
			standing = drive.Published
		}
		s := message.Of("The %s's bearing is taken to have the usual inside of a %s (%s)", a.Name, a.Bearing.Number,
			standing)
		if a.OuterTurns {
			return message.Of("%s, its outer ring turning as in most idlers.", s)
		}
		return message.Of("%s.", s)
	case InsideUnknown:
		return message.Of("The inside of the %s's bearing is not known: of it only a knock once per turn can be "+
			"heard, and its lines may be taken for another's.", a.Name)
	case UsualTried:
		return message.Of("The %s's bearing is not known: %d usual ones are tried on it. Read the number off its "+
			"ring and write it on the sheet.", a.Name, a.Tried)
	}
	return "The sheet does not say how many cylinders the engine has: four are assumed."
}

// Words are those of the entry that a recording was kept with.
func (k *Kept) Words() message.Text {
	if k.Note == "" {
		return "A recording."
	}
	return message.Name(k.Note)
}
