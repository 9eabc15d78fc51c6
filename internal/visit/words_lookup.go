package visit

import (
	"regexp"
	"slices"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// LookUp is what has fasteners whose torque the sheet does not say: it is looked up in the maker's instructions, and
// entered there once. One of Opening and Position is nil.
type LookUp struct {
	Opening  *fleet.Opening
	Position *fleet.Position
	What     message.Text // the fasteners, in words
}

// Name is that of the opening or position.
func (l *LookUp) Name() string {
	if l.Opening != nil {
		return l.Opening.Name
	}
	return l.Position.Name
}

// LookUps lists all of them on a vehicle, openings first, in the sheet's order.
func LookUps(v *fleet.Vehicle) (out []LookUp) {
	for i := range v.Openings {
		if what := unset(v.Openings[i].Fasteners); what != "" {
			out = append(out, LookUp{Opening: &v.Openings[i], What: what})
		}
	}
	for i := range v.Positions {
		if p := &v.Positions[i]; !p.LookOnly && unset(p.Fasteners) != "" {
			out = append(out, LookUp{Position: p, What: unset(p.Fasteners)})
		}
	}
	return out
}

// LookUps lists what the job closes or changes whose torque the sheet does not say.
func (j *Job) LookUps() (out []LookUp) {
	for i := range j.Steps {
		if s := &j.Steps[i]; s.unset() != "" {
			l := LookUp{Opening: s.Opening, What: s.unset()}
			if s.Opening == nil {
				l.Position = s.Position
			}
			out = append(out, l)
		}
	}
	return out
}

// MakersFigure says which fasteners of a step are tightened to a figure that the sheet does not have; "" for none.
func (s *Step) MakersFigure() message.Text { return makersFigure(s.unset()) }

// MakersFigure is the same of a closing.
func (o *Opened) MakersFigure() message.Text { return makersFigure(unset(o.Fasteners)) }

func makersFigure(what message.Text) message.Text {
	if what == "" {
		return ""
	}
	return message.Of("Tighten to the maker's figure, which the sheet does not have: %s.", what)
}

func (s *Step) unset() message.Text {
	switch {
	case s.Kind == StepClose && s.Opening != nil:
		return unset(s.Opening.Fasteners)
	case s.Kind == StepChange && s.Position != nil:
		return unset(s.Position.Fasteners)
	}
	return ""
}

// turned are fasteners that a wrench tightens; byHand are those of them that fingers do (common practice).
var turned, byHand = regexp.MustCompile(`(?i)\b(bolts?|nuts?|screws?|plugs?|unions?|banjo|studs?)\b|on its shaft`),
	regexp.MustCompile(`(?i)\b(wing nut|push|clips?|worm)\b`)

// unset names fasteners that a wrench tightens and of which no torque is known.
func unset(fs []fleet.Fastener) message.Text {
	var out []message.Text
	for _, f := range fs {
		if f.Torque != nil || !turned.MatchString(f.What) || byHand.MatchString(f.What) {
			continue
		}
		words := message.Name(strings.TrimSpace(f.What + " " + f.Size))
		if f.Count > 1 {
			words = message.Of("%s (%d)", words, f.Count)
		}
		if f.New {
			words = message.Of("%s, new", words)
		}
		if !slices.Contains(out, words) {
			out = append(out, words)
		}
	}
	return told.Listing(out)
}
