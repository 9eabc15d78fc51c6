package belt

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undertray.example/undertray/internal/runwords"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/listen"
)

// ListenCaution stands before everything about a recording of a running engine.
const ListenCaution = "Engine running: sleeves, hair, straps and cables away from belt and fan; an electric fan may " +
	"start by itself. Brake on, out of gear, never in a closed garage. Put the recorder down or hold it at arm's " +
	"length, and keep to the vehicle maker's instructions."

// ListenDecides stands after every answer to a recording.
const ListenDecides = "It narrows down; a hand on the pulley with the belt off, the engine off and the key out decides."

// Headline answers in one sentence which pulley makes the noise, or that the
// recording does not tell.
func (h *Heard) Headline() string { return say.Head(h.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (h *Heard) Told() []string {
	k, a := &h.Ranking, h.Answer()
	doubt := ""
	if a.Doubtful {
		doubt = "That is as far as this recording can be trusted."
	}
	switch a.Code {
	case NothingOut:
		return []string{"Not enough to tell: no pulley stands out on this recording.",
			"None is above what chance reaches on it. That is no proof that they are good."}
	case SpeedUnsure:
		return []string{fmt.Sprintf("Not enough to tell: an engine speed of %.0f rpm is not borne out.", k.Crank.Hz*60),
			fmt.Sprintf("The recording's lines fit %s best, but with a wrong speed such a fit means nothing.",
				h.the(a.First))}
	}
	who := h.likely(&a) + " " + h.the(a.First)
	switch a.Code {
	case Undecided:
		return say.Told(say.Short(who+", or "+h.the(*a.Next)+": too near to tell apart.",
			who+"; another is too near to tell apart.", "Two stand out, too near to tell apart."),
			say.Sentence(who+"; "+h.the(*a.Next)+" is next, not enough to tell them apart"), doubt)
	case WhineOut:
		return say.Told(say.Short("The electrical whine of "+h.the(a.First)+" stands out; a sound one makes it too.",
			"An electrical whine stands out; a sound machine makes it too."),
			"It is that of "+h.the(a.First)+". It counts only if it is new or has grown.", h.runnerUp(&a))
	case TurnAlike:
		return say.Told(say.Short(who+": they turn alike.", who+"."),
			"They turn alike and frequency cannot part them.", doubt)
	}
	what := h.whatWords(a.First)
	return say.Told(say.Short(who+" ("+what+").", who+"."),
		fmt.Sprintf("What shows is %s, %.1f times what is asked for.", what, k.Margin), h.runnerUp(&a), doubt)
}

// likely says how sure an answer is, and less where the recording itself is in doubt.
func (h *Heard) likely(a *HeardAnswer) string {
	if sure := h.Ranking.Sure(); sure != listen.Unsaid && !a.Doubtful {
		return say.Capital(sure.String())
	}
	return "Perhaps"
}

// runnerUp names who comes next, where one does.
func (h *Heard) runnerUp(a *HeardAnswer) string {
	if a.Next == nil {
		return "Nobody else comes near."
	}
	return fmt.Sprintf("Next, well behind, %s (%s).", h.the(*a.Next), h.whatWords(*a.Next))
}

// the names a suspect inside a sentence.
func (h *Heard) the(q listen.Suspect) string {
	names := h.names(q)
	for i := range names {
		names[i] = "the " + names[i]
	}
	return strings.Join(names, " or ")
}

// names are those of a suspect's parts.
func (h *Heard) names(q listen.Suspect) []string {
	var out []string
	for _, n := range suspectNames(q) {
		if s := h.source(n); s != nil {
			n = s.Name
			if s.Belt {
				n += " itself"
			}
		}
		out = append(out, n)
	}
	return out
}

// Name is a suspect at the head of a line.
func (h *Heard) Name(q listen.Suspect) string { return say.Capital(strings.Join(h.names(q), " or ")) }

// What says what of a suspect shows.
func (h *Heard) What(q listen.Suspect) string { return h.whatWords(q) }

func (h *Heard) whatWords(q listen.Suspect) string {
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
	what := "its bearing's " + q.Element.String()
	if q.Element == listen.RollingOrCage {
		what = "its bearing's balls or cage"
	}
	if s != nil && s.Bearing == nil {
		what += ", if it holds a " + q.Bearing
	}
	return what
}

// NoiseWords says what sort of noise it is; empty where nothing stands out.
func (h *Heard) NoiseWords() string {
	if h.Sort == nil {
		why, _ := runwords.Sound(h.NoSort)
		return "The sort of noise cannot be said: " + why + "."
	}
	n := h.Sort
	s := ""
	switch n.Sort {
	case listen.Chirp:
		s = fmt.Sprintf("It chirps %.1f times a second", n.Rate)
		switch len(n.Matches) {
		case 0:
			s += ", which keeps time with nothing on the run"
		case 1:
			s += ", in time with the " + n.Matches[0]
		default:
			s += ", in time with more than one: " + say.Listing(n.Matches)
		}
	case listen.Squeal:
		s = "It squeals: a tone that stays"
		if n.Tone > 0 {
			s += fmt.Sprintf(", near %.0f Hz", n.Tone)
		}
	case listen.Whine:
		s = fmt.Sprintf("A steady tone near %.0f Hz", n.Tone)
		if len(n.Matches) > 0 {
			s += " that follows the " + say.Listing(n.Matches) + "; a sound one sings too"
		}
	case listen.Rumble:
		s = "It rumbles"
		if len(n.Matches) > 0 {
			s += " in time with the " + say.Listing(n.Matches)
		}
	case listen.Unsorted:
		s = "A tone stands out, but not enough to tell whether it follows the engine"
	default:
		return ""
	}
	return s + ". (The bounds between these sorts were tried on made-up sounds only; no belt recording was at hand.)"
}

// Basis says how the answer is known and what was taken to be so.
func (h *Heard) Basis() []string {
	c := h.Ranking.Crank
	given := "without a meter"
	if h.Question.RPM > 0 {
		given = fmt.Sprintf("the meter said %.0f", h.Question.RPM)
	}
	speed := "is not borne out by the engine's own beats"
	if c.Supported {
		speed = fmt.Sprintf("is borne out by %d of the engine's own beats", c.Lit)
	}
	out := []string{
		fmt.Sprintf("Engine speed %.0f rpm, within %.0f (%s), %s; it wandered by %.1f %%.", c.Hz*60, max(c.SD*60, 1),
			given, speed, 100*c.Track.Drift()),
		fmt.Sprintf("%.1f s at %.0f samples a second. False ratios reach %.1f on it; a pulley is named from 1.0, "+
			"1.2 times that and 1.2 times the next.", h.Recording.Seconds(), h.Recording.Rate, h.Ranking.False),
	}
	if len(h.Question.On) > 0 {
		out = append(out, "Switched on: "+say.Listing(h.Question.On)+".")
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
func (h *Heard) Warnings() []string { return warningTexts(h.Ranking.Warnings) }

// LineWords says which lines support a suspect: "1 x outer ring at 132.4 Hz (4.1 of 5)".
func LineWords(lines []listen.Line) []string {
	var out []string
	for i := range lines {
		l := &lines[i]
		if l.Evidence < 0.6 {
			continue
		}
		out = append(out, fmt.Sprintf("%s at %.1f Hz (%.1f of 5)", lineWhat(l), l.Hz, l.Evidence))
	}
	return out
}

// More says what recording would tell more.
func (h *Heard) More() []string { return moreWords(h.more()) }

// Tests are what to try next, the most telling for this noise first (common
// practice); each says its own caution first where it needs one.
func (h *Heard) Tests() []string {
	water := "Water on the ribs: engine stopped, key out, fan still; wet the ribs with a fine spray, then hands, " +
		"hair and bottle clear, and start again. A chirp that goes and comes back points to alignment, a squeal that " +
		"grows to slip. Wet belts behave in more than one way: never rely on this alone."
	load := "Load off, then on, a recording of each: lights and heated screens, air conditioning, steering turned a " +
		"little. What follows the lights is electrical, what follows the steering or the air conditioning sits " +
		"there; a bearing hardly cares."
	off := "Belt off: engine off, key out, cooled down. Turn each pulley by hand beside the ear, rock it across its " +
		"axis, feel for grit. Run the engine without the belt only if the maker allows it, and only for seconds: " +
		"the water pump may stand still."
	words := map[Code]string{TryWater: water, TryLoad: load, TryOff: off}
	var out []string
	for _, t := range h.Trials() {
		out = append(out, words[t])
	}
	return out
}

// NoteWords is what is written down with the recording when it is kept.
func (h *Heard) NoteWords() string {
	s := fmt.Sprintf("Sound recorded for %.0f s", math.Round(h.Recording.Seconds()))
	if h.Question.RPM > 0 {
		s += fmt.Sprintf(" at %.0f rpm", h.Question.RPM)
	}
	if len(h.Question.On) > 0 {
		s += ", with " + say.Listing(h.Question.On) + " on"
	}
	return s + ". It was then read as: " + strings.Join(h.Told(), " ")
}

// Words says what was taken to be so.
func (a *Assumption) Words() string {
	switch a.Code {
	case RunLeftOut:
		return fmt.Sprintf("%s cannot be worked out and is left out: %s", a.Name,
			say.Sentence(runwords.Text(a.Refusal)))
	case WhineTaken:
		return fmt.Sprintf("The %s's whine is taken as 36 cycles per turn (three phases, six pole pairs); other "+
			"machines have 48, 72 or 96.", a.Name)
	case UsualInside:
		s := fmt.Sprintf("The %s's bearing is taken to have the usual inside of a %s (%s)", a.Name, a.Bearing.Number,
			a.Bearing.Standing)
		if a.OuterTurns {
			s += ", its outer ring turning as in most idlers"
		}
		return s + "."
	case InsideUnknown:
		return fmt.Sprintf("The inside of the %s's bearing is not known: of it only a knock once per turn can be "+
			"heard, and its lines may be taken for another's.", a.Name)
	case UsualTried:
		return fmt.Sprintf("The %s's bearing is not known: %d usual ones are tried on it. Read the number off its "+
			"ring and write it on the sheet.", a.Name, a.Tried)
	}
	return "The sheet does not say how many cylinders the engine has: four are assumed."
}

// Words are those of the entry that a recording was kept with.
func (k *Kept) Words() string {
	if k.Note == "" {
		return "A recording."
	}
	return k.Note
}
