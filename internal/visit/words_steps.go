package visit

import (
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Title heads a stage of a round.
func (s Stage) Title() message.Text {
	switch s.Kind {
	case StageAbove:
		return "From above, engine off and cold, clockwise from the bulkhead"
	case StageRunning:
		return "Everything closed, wheels on the ground, engine running, hands clear"
	case StageHelped:
		return "With a second person, raised and on stands, engine off"
	case StageBoth:
		return "With a second person, everything closed, wheels on the ground, engine running, hands clear"
	case StageBelow:
		return "From below, raised and on stands, engine off, front to back"
	}
	return message.Of("System: %s", s.System)
}

// Before is what is read before a step: its cautions and what must never be
// done.
func (s *Step) Before() []message.Text {
	out := told.Names(s.Cautions)
	for _, n := range s.Never {
		out = append(out, message.Of("Never %s", say.LowerFirst(n)))
	}
	return out
}

// Text names what a step does: what the sheet or the catalogue says, a change,
// or what is looked at.
func (s *Step) Text() message.Text {
	switch {
	case s.Kind == StepAfter && s.Position != nil:
		return message.Of("%s: %s", s.Position.Name, say.LowerFirst(s.Do))
	case len(s.Of) > 0:
		return message.Of("%s: %s", told.Most(namesOf(s.Of), 3).Capital(), say.LowerFirst(s.Do))
	case s.Kind == StepOpen && s.Opening.Note != "":
		return message.Of("%s. %s", s.Do, s.Opening.Note)
	case s.Do != "":
		return message.Name(s.Do)
	case s.Kind == StepWarm:
		return "Let the engine run until it is warm, then switch it off: it is not started again before everything " +
			"is closed."
	case s.Kind == StepPutRight:
		return advise.ActionWords(s.Action, s.Position.Name).Sentence()
	case s.Kind == StepChange && s.Between != nil:
		text := message.Of("%s: %s", s.Position.Name, say.LowerFirst(s.Between.Do))
		if spec := specWords(s.Position.Part); spec != "" {
			text = message.Of("%s %s: %s.", text, s.Between.New, spec)
		}
		return text
	case s.Kind == StepChange:
		name := say.LowerFirst(s.Position.Name)
		if spec := specWords(s.Position.Part); spec != "" && !strings.EqualFold(spec.String(), name) {
			return message.Of("Change the %s: %s.", name, spec)
		}
		return message.Of("Change the %s.", name)
	}
	return message.Joined(namesOf(s.Looks), "; ").Capital()
}

func namesOf(ps []*fleet.Position) []message.Text {
	names := make([]message.Text, len(ps))
	for i, p := range ps {
		names[i] = message.Name(say.LowerFirst(p.Name))
	}
	return names
}

// Words says in a sentence what a step is.
func (s *Step) Words() message.Text {
	switch {
	case s.Kind != StepLook:
		return s.Text()
	case s.Engine == fleet.Running:
		return message.Of("With the engine running, check: %s", s.Text().LowerFirst())
	}
	return message.Of("While it is open, look at: %s", s.Text().LowerFirst())
}

// specWords describes a part to fit in a few words.
func specWords(s fleet.PartSpec) message.Text {
	var words []string
	if s.Quantity != "" && s.Quantity != "1" {
		words = append(words, s.Quantity)
	}
	for _, w := range []string{s.Name, s.Number} {
		if w != "" {
			words = append(words, w)
		}
	}
	return message.Joined(told.Names(words), ", ")
}
