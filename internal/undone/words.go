package undone

import (
	"slices"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// stateWords says what is not as it is driven.
var stateWords = map[machine.Undone]message.Text{
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

	machine.WheelsToTighten: "wheels to be tightened again",
	machine.IdleToLearn:     "idle to be learnt",
}

// Words says what is not as it is driven: "coolant out, belt off".
func Words(what []machine.Undone) message.Text {
	var out []message.Text
	for _, u := range what {
		out = append(out, stateWords[u])
	}
	return message.Joined(say.Unique(out), ", ")
}

// ForbiddenWords says what half-done work forbids and why: "Not to be started:
// coolant out, belt off."
func ForbiddenWords(use machine.Use, why []machine.Undone) message.Text {
	if use == machine.Driving {
		return message.Of("Not to be driven: %s.", short(why, undoneMost))
	}
	return message.Of("Not to be started: %s.", short(why, undoneMost))
}

// undoneMost is how many words what is undone takes in a headline.
const undoneMost = 9

// short is Words in so many words, with what is beyond counted.
func short(what []machine.Undone, words int) message.Text {
	for n := len(what); n > 0; n-- {
		s := Words(what[:n])
		if n < len(what) {
			s = message.Of("%s and %d more", s, len(what)-n)
		}
		if told.Words(s) <= words {
			return s
		}
	}
	return Words(what)
}

// ForbiddenInFull says all that ForbiddenWords leaves out, or "".
func ForbiddenInFull(why []machine.Undone) message.Text {
	if full := Words(why); full != short(why, undoneMost) {
		return message.Of("In full: %s.", full)
	}
	return ""
}

// Words says what is open, since when, and what that leaves undone.
func (h *HalfDone) Words() message.Text {
	s := message.Of("%s: since %s", h.Opening.Stands(), told.Long(h.Entry.Date))
	beyond := slices.DeleteFunc(slices.Clone(h.Undone), func(u machine.Undone) bool {
		return strings.Contains(strings.ToLower(h.Opening.Stands()), stateWords[u].String())
	})
	if w := Words(beyond); w != "" {
		s = message.Of("%s (%s)", s, w)
	}
	if h.Entry.Opened.Note != "" {
		s = message.Of("%s. %s", s, h.Entry.Opened.Note)
	}
	return s.Sentence()
}

// Words says what is left to do and since when.
func (l *Left) Words() message.Text {
	s := stateWords[l.State]
	if l.Position != nil {
		s = message.Of("%s: %s", l.Position.Name, s)
	}
	return message.Of("%s %s", message.Of("%s, since %s", s, told.Long(l.Entry.Date)).Sentence(), l.How.Do)
}

// StepWords names a step by its key: what was opened, changed, looked at.
func StepWords(v *fleet.Vehicle, cat *catalogue.Catalogue, key string) message.Text {
	what, of, _ := strings.Cut(key, ":")
	o, p := v.Opening(of), v.Position(of)
	switch {
	case what == "open" && o != nil:
		return message.Name(say.LowerFirst(o.Name))
	case what == "close" && o != nil:
		return message.Name(say.LowerFirst(o.Undo))
	case what == "change" && p != nil:
		return message.Of("change the %s", say.LowerFirst(p.Name))
	case what == "right" && p != nil:
		return message.Of("put right the %s", say.LowerFirst(p.Name))
	case (what == "look" || what == "listen") && p != nil:
		return message.Of("look at the %s", say.LowerFirst(p.Name))
	case what == "undo" && cat.Undoing(machine.Undone(of)) != nil:
		return message.Name(say.LowerFirst(strings.TrimRight(cat.Undoing(machine.Undone(of)).Do, ".")))
	case of != "":
		s := message.Name(strings.TrimRight(of, "."))
		if id, do, found := strings.Cut(of, ":"); found && v.Position(id) != nil {
			s = message.Of("%s: %s", v.Position(id).Name, say.LowerFirst(strings.TrimRight(do, ".")))
		}
		return s.LowerFirst()
	}
	return "warm the engine up"
}

// Numbered names a step of a sheet by its number and its key.
func Numbered(v *fleet.Vehicle, cat *catalogue.Catalogue, n int, key string) message.Text {
	return message.Of("step %d (%s)", n, StepWords(v, cat, key))
}
