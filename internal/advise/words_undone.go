package advise

import (
	"fmt"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/internal/machine"
	"undertray/internal/say"
)

// undoneWords says what is not as it is driven.
var undoneWords = map[machine.Undone]string{
	machine.SwitchedOff:    "switched off with the key away",
	machine.BatteryOff:     "battery off",
	machine.FuelOpen:       "fuel system open",
	machine.InletOpen:      "inlet open",
	machine.OilOut:         "oil out",
	machine.CoolantOut:     "coolant out",
	machine.GearOilOut:     "gearbox oil out",
	machine.BeltLoose:      "belt loose",
	machine.BeltOff:        "belt off",
	machine.SideBeltOff:    "belt off",
	machine.SpareBeltOff:   "belt off that nothing on the road needs",
	machine.TimingCoverOff: "timing cover off",
	machine.FanOff:         "fan or shroud off",
	machine.EngineLoose:    "engine off its mounts",
	machine.SteeringOpen:   "steering system open",
	machine.BrakesOpen:     "brakes open",
	machine.Raised:         "raised",
	machine.WheelsOff:      "wheels off",
	machine.WheelsLoose:    "wheels loose",
}

// UndoneWords says what is not as it is driven: "coolant out, belt off".
func UndoneWords(what []machine.Undone) string {
	var out []string
	for _, u := range what {
		out = append(out, undoneWords[u])
	}
	return strings.Join(say.Unique(out), ", ")
}

// StandsWords says that half-done work keeps the vehicle from being started, or
// driven, and what is undone: "Not to be started: coolant out, belt off."; or "".
func (r *Report) StandsWords() string {
	use, why := r.Forbidden()
	if use == "" {
		return ""
	}
	return ForbiddenWords(use, why)
}

// ForbiddenWords says what half-done work forbids and why: "Not to be started:
// coolant out, belt off."
func ForbiddenWords(use machine.Use, why []machine.Undone) string {
	head := "Not to be started"
	if use == machine.Driving {
		head = "Not to be driven"
	}
	return head + ": " + undoneIn(why, undoneMost) + "."
}

// undoneMost is how many words what is undone takes in a headline.
const undoneMost = 9

// undoneIn is UndoneWords in so many words, with what is beyond counted.
func undoneIn(what []machine.Undone, words int) string {
	for n := len(what); n > 0; n-- {
		s := UndoneWords(what[:n])
		if n < len(what) {
			s += fmt.Sprintf(" and %d more", len(what)-n)
		}
		if len(strings.Fields(s)) <= words {
			return s
		}
	}
	return UndoneWords(what)
}

// ForbiddenInFull says all that ForbiddenWords leaves out, or "".
func ForbiddenInFull(why []machine.Undone) string {
	if full := UndoneWords(why); full != undoneIn(why, undoneMost) {
		return "In full: " + full + "."
	}
	return ""
}

// TagWords says what half-done work forbids, or that nothing does.
func (r *Report) TagWords() string {
	switch s := r.StandsWords(); {
	case s != "":
		return s
	case len(r.State.Open) > 0:
		return "It can be driven with what is open."
	}
	return "Nothing is open on " + r.Vehicle.Name + "."
}

// Words says what is open, since when, and what that leaves undone.
func (h *HalfDone) Words() string {
	s := fmt.Sprintf("%s: since %s", h.Opening.Name, h.Entry.Date.Long())
	if w := UndoneWords(h.Undone); w != "" {
		s += " (" + w + ")"
	}
	if h.Entry.Opened.Note != "" {
		s += ". " + h.Entry.Opened.Note
	}
	return say.Sentence(s)
}

func (r *Report) openedWords(o *fleet.Opened) string {
	s := o.Opening
	if known := r.Vehicle.Opening(o.Opening); known != nil {
		s = "open: " + say.LowerFirst(known.Name)
		if o.Closed {
			s = "closed again: " + say.LowerFirst(known.Undo)
		}
	}
	if o.Note != "" {
		s += ". " + o.Note
	}
	return s
}

// because is a reason as it stands behind the word, which it may bring along.
func because(why string) string {
	why = strings.TrimRight(strings.TrimSpace(why), ".")
	if rest, ok := strings.CutPrefix(strings.ToLower(why), "because "); ok {
		return why[len(why)-len(rest):]
	}
	return why
}

// asideWords says that the owner leaves something, since when and why.
func asideWords(e *fleet.Entry) string {
	return fmt.Sprintf("left as it is on %s, because %s", e.Date.Long(), because(e.Aside.Why))
}

// LeftWords says that the owner leaves what a part asks for, and why; or "".
func LeftWords(j *judge.Judgement) string {
	for _, t := range j.Todos {
		if t.Left != nil {
			return asideWords(t.Left)
		}
	}
	return ""
}

// LeftWords says what the owner has left as it is, and why, in a sentence; or "".
func (r *Report) LeftWords() string { return YouLeft(r.Left()) }

// YouLeft says it of some parts.
func YouLeft(left []*judge.Judgement) string {
	var out []string
	for _, j := range left {
		out = append(out, say.LowerFirst(j.Position.Name)+" ("+because(j.Place.Aside.Aside.Why)+")")
	}
	if len(out) == 0 {
		return ""
	}
	return "You left as it is: " + say.Few(out, namesMost) + "."
}
