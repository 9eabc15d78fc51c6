package belt

import (
	"math"
	"strings"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/listen"
)

// Trial is an experiment as it is proposed: its caution, then its steps.
type Trial struct {
	What    Code           `json:"what"`
	Name    message.Text   `json:"name"`
	Caution message.Text   `json:"caution"`
	Steps   []message.Text `json:"steps"`
	Tells   message.Text   `json:"tells"`
	Bits    float64        `json:"expected_bits"`
}

// trials are the experiments in words (common practice).
var trials = map[Code]Trial{
	TryLamps: {Name: "Record again with the lamps on",
		Caution: "The engine runs: switch from the seat, keep clear of belt and fan.",
		Steps: []message.Text{"Lamps, heated windows and blower on.", "Same place, same speed: record ten seconds.",
			"Off again."},
		Tells: "What grows with current sits at the alternator; a slipping belt grows with load."},
	TryAir: {Name: "Record again with the air conditioning on",
		Caution: "The engine runs: switch from the seat; the fan may start by itself.",
		Steps: []message.Text{"Air conditioning on, coldest, until its clutch clicks.",
			"Same place, same speed: record ten seconds."},
		Tells: "What changes with the click sits at the compressor; a slipping belt grows."},
	TryFaster: {Name: "Record again at 2000 rpm",
		Caution: "The engine runs: out of gear, brake on, somebody in the seat, nobody in line with belt or fan.",
		Steps: []message.Text{"Engine warm. Hold 2000 rpm.", "Same place: record ten seconds.",
			"Write down the speed shown."},
		Tells: "Lines of the right pulley move with it; a chance fit does not."},
	TryWet: {Name: "Record again with the belt wetted",
		Caution: "Engine stopped, key out, fan still, before a hand goes near. Never spray a running belt.",
		Steps: []message.Text{"Wet the ribs with a fine spray.", "Hands, cloth and bottle clear; then start again.",
			"Same place, same speed: record at once, ten seconds."},
		Tells: "A chirp of the belt goes for a while; a bearing does not mind."},
}

// Trials are what is worth trying next, the most telling first.
func (x *Experiment) Trials() []Trial {
	var out []Trial
	for _, n := range x.Next {
		c := codeOf(n.Experiment)
		t := trials[c]
		t.What, t.Bits = c, n.Bits
		out = append(out, t)
	}
	return out
}

// shares are those that can be pictured.
var shares = [][2]int{{9, 10}, {4, 5}, {3, 4}, {2, 3}, {1, 2}, {2, 5}, {1, 3}, {1, 4}, {1, 5}, {1, 10}, {1, 20}}

// shareWords says a probability as a share that can be pictured; after what was weighed by guesses nothing is above
// probable.
func (x *Experiment) shareWords(p float64) message.Text {
	switch {
	case p >= 0.875 && x.guessed():
		return "9 in 10 or more"
	case p >= 0.945:
		return "19 in 20 or more"
	case p < 0.03:
		return "less than 1 in 30"
	}
	best, near := math.Inf(1), shares[0]
	for _, s := range shares {
		share := float64(s[0]) / float64(s[1])
		if d := math.Abs(math.Log(p/share)) + math.Abs(p-share); d < best {
			best, near = d, s
		}
	}
	return message.Of("about %d in %d", near[0], near[1])
}

// guessed reports whether the odds rest on guesses: something was tried, and it did more than bear out a first
// recording that was sure by itself.
func (x *Experiment) guessed() bool {
	first := x.Odds[0]
	return len(x.Steps) > 0 && !(x.sureAlone() && first.P >= first.Before && first.Before >= sureFrom)
}

// hypothesis names what the noise may come from, inside a sentence or at the head of a line.
func (x *Experiment) hypothesis(o listen.Hypothesis, head bool) message.Text {
	switch {
	case o.Role == listen.Elsewhere:
		return "something else"
	case o.Role == listen.BeltItself && o.Name == "" && head:
		return "belt itself"
	case o.Role == listen.BeltItself && o.Name == "":
		return "the belt itself"
	}
	var out []message.Text
	for i, n := range strings.Split(o.Name, " or ") {
		s := x.heard.source(n)
		out = append(out, suspectWords(n, s != nil && s.Belt, head && i == 0))
	}
	return either(out)
}

// OddsRow is one thing that the noise may come from.
type OddsRow struct {
	Name   message.Text `json:"name"`
	Words  message.Text `json:"odds"`
	P      float64      `json:"probability"`
	Before float64      `json:"probability_before"`
}

// Rows are the odds in words, most believed first.
func (x *Experiment) Rows() []OddsRow {
	var out []OddsRow
	for _, o := range x.Odds {
		name := say.Capital(x.hypothesis(o.Hypothesis, true))
		out = append(out, OddsRow{name, x.shareWords(o.P), o.P, o.Before})
	}
	return out
}

// Headline answers after what was tried. Odds of guessed likelihoods are never
// called more than probable, but where they bear out what was most likely before.
func (x *Experiment) Headline() message.Text {
	first := x.Odds[0]
	who := x.hypothesis(first.Hypothesis, false)
	switch {
	case !x.guessed() && first.P >= sureFrom:
		return told.Brief(message.Of("Most likely %s, %s.", who, x.shareWords(first.P)),
			message.Of("Most likely %s.", who), "One is most likely.")
	case first.Role == listen.Elsewhere:
		return "None of the pulleys fits what was tried best."
	case first.P >= 0.8:
		return told.Brief(message.Of("Probably %s, %s.", who, x.shareWords(first.P)), message.Of("Probably %s.", who),
			"One is probable by now.")
	}
	return told.Brief(message.Of("Still open: %s leads, %s.", who, x.shareWords(first.P)),
		message.Of("Still open; one leads, %s.", x.shareWords(first.P)))
}

// outcomes say what became of the noise.
var outcomes = map[listen.Observed]message.Text{listen.Louder: "the noise became louder",
	listen.Alike:   "it stayed alike",
	listen.Quieter: "it became quieter"}

// Words says what a step was and what became of the noise.
func (s *Step) Words() message.Text {
	what := map[Code]message.Text{TryLamps: "Lamps on", TryAir: "Air conditioning on", TryFaster: "Faster",
		TryWet: "Belt wetted"}[s.What]
	switch {
	case s.Mute:
		return message.Of("%s: neither recording shows the noise clearly; nothing was weighed. Say what your ear "+
			"heard.",
			what)
	case s.What == TryFaster:
		return message.Of("%s: weighed by the lines, which move with their pulley.", what)
	case s.Ear != "":
		return message.Of("%s: %s, by ear.", what, outcomes[s.Observed])
	}
	return message.Of("%s: %s, by the recordings.", what, outcomes[s.Observed])
}

// NoteWords are added to the note that a recording is kept with.
func (x *Experiment) NoteWords() message.Text {
	if len(x.Steps) == 0 {
		return ""
	}
	var steps []message.Text
	for i := range x.Steps {
		steps = append(steps, x.Steps[i].Words())
	}
	return message.Of("Then tried: %s %s", message.Joined(steps, " "), x.Headline())
}

// OddsBasis says where the odds come from.
const OddsBasis message.Text = "The odds begin with how sure the first recording is, or its suspects' shares where " +
	"it names none, and are weighed by Bayes' rule. How likely a noise is to change with lamps, air conditioning or " +
	"water is a guess along common practice, not measured; only the second speed is weighed by what was heard."

// ExperimentView is what an experiment made of the odds, in JSON.
type ExperimentView struct {
	Headline message.Text   `json:"headline"`
	Odds     []OddsRow      `json:"odds"`
	Tried    []message.Text `json:"tried,omitempty"`
	Next     []Trial        `json:"next,omitempty"`
	Basis    message.Text   `json:"basis"`
}

// View returns the experiment in JSON's form.
func (x *Experiment) View() *ExperimentView {
	v := &ExperimentView{Headline: x.Headline(), Odds: x.Rows(), Next: x.Trials(), Basis: OddsBasis}
	for i := range x.Steps {
		v.Tried = append(v.Tried, x.Steps[i].Words())
	}
	return v
}
