package visit

import (
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say"
)

// Title heads a stage of a round.
func (s Stage) Title() string {
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
	return "System: " + s.System
}

// Before is what is read before a step: its cautions and what must never be
// done.
func (s *Step) Before() []string {
	out := s.Cautions[:len(s.Cautions):len(s.Cautions)]
	for _, n := range s.Never {
		out = append(out, "Never "+say.LowerFirst(n))
	}
	return out
}

// Text names what a step does: what the sheet or the catalogue says, a change,
// or what is looked at.
func (s *Step) Text() string {
	switch {
	case s.Kind == StepAfter && s.Position != nil:
		return s.Position.Name + ": " + say.LowerFirst(s.Do)
	case len(s.Of) > 0:
		return say.Capital(say.Most(namesOf(s.Of), 3)) + ": " + say.LowerFirst(s.Do)
	case s.Kind == StepOpen && s.Opening.Note != "":
		return s.Do + ". " + s.Opening.Note
	case s.Do != "":
		return s.Do
	case s.Kind == StepWarm:
		return "Let the engine run until it is warm, then switch it off: it is not started again before everything " +
			"is closed."
	case s.Kind == StepPutRight:
		return say.Sentence(advise.ActionWords(s.Action, s.Position.Name)).String()
	case s.Kind == StepChange && s.Between != nil:
		text := s.Position.Name + ": " + say.LowerFirst(s.Between.Do)
		if spec := specWords(s.Position.Part); spec != "" {
			text += " " + s.Between.New + ": " + spec + "."
		}
		return text
	case s.Kind == StepChange:
		text := "Change the " + say.LowerFirst(s.Position.Name)
		if spec := specWords(s.Position.Part); spec != "" && !strings.EqualFold(spec, s.Position.Name) {
			text += ": " + spec
		}
		return text + "."
	}
	return say.Capital(strings.Join(namesOf(s.Looks), "; "))
}

func namesOf(ps []*fleet.Position) []string {
	names := make([]string, len(ps))
	for i, p := range ps {
		names[i] = say.LowerFirst(p.Name)
	}
	return names
}

// Words says in a sentence what a step is.
func (s *Step) Words() string {
	switch {
	case s.Kind != StepLook:
		return s.Text()
	case s.Engine == fleet.Running:
		return "With the engine running, check: " + say.LowerFirst(s.Text())
	}
	return "While it is open, look at: " + say.LowerFirst(s.Text())
}

// specWords describes a part to fit in a few words.
func specWords(s fleet.PartSpec) string {
	var words []string
	if s.Quantity != "" && s.Quantity != "1" {
		words = append(words, s.Quantity)
	}
	for _, w := range []string{s.Name, s.Number} {
		if w != "" {
			words = append(words, w)
		}
	}
	return strings.Join(words, ", ")
}
