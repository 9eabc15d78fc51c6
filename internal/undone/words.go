package undone

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/say"
)

// stateWords says what is not as it is driven.
var stateWords = map[machine.Undone]string{
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
func Words(what []machine.Undone) string {
	var out []string
	for _, u := range what {
		out = append(out, stateWords[u])
	}
	return strings.Join(say.Unique(out), ", ")
}

// ForbiddenWords says what half-done work forbids and why: "Not to be started:
// coolant out, belt off."
func ForbiddenWords(use machine.Use, why []machine.Undone) string {
	head := "Not to be started"
	if use == machine.Driving {
		head = "Not to be driven"
	}
	return head + ": " + short(why, undoneMost) + "."
}

// undoneMost is how many words what is undone takes in a headline.
const undoneMost = 9

// short is Words in so many words, with what is beyond counted.
func short(what []machine.Undone, words int) string {
	for n := len(what); n > 0; n-- {
		s := Words(what[:n])
		if n < len(what) {
			s += fmt.Sprintf(" and %d more", len(what)-n)
		}
		if len(strings.Fields(s)) <= words {
			return s
		}
	}
	return Words(what)
}

// ForbiddenInFull says all that ForbiddenWords leaves out, or "".
func ForbiddenInFull(why []machine.Undone) string {
	if full := Words(why); full != short(why, undoneMost) {
		return "In full: " + full + "."
	}
	return ""
}

// Words says what is open, since when, and what that leaves undone.
func (h *HalfDone) Words() string {
	s := fmt.Sprintf("%s: since %s", h.Opening.Stands(), h.Entry.Date.Long())
	beyond := slices.DeleteFunc(slices.Clone(h.Undone), func(u machine.Undone) bool {
		return strings.Contains(strings.ToLower(h.Opening.Stands()), stateWords[u])
	})
	if w := Words(beyond); w != "" {
		s += " (" + w + ")"
	}
	if h.Entry.Opened.Note != "" {
		s += ". " + h.Entry.Opened.Note
	}
	return say.Sentence(s)
}

// Words says what is left to do and since when.
func (l *Left) Words() string {
	s := stateWords[l.State]
	if l.Position != nil {
		s = l.Position.Name + ": " + s
	}
	return say.Sentence(fmt.Sprintf("%s, since %s", say.Capital(s), l.Entry.Date.Long())) + " " + l.How.Do
}

// StepWords names a step by its key: what was opened, changed, looked at.
func StepWords(v *fleet.Vehicle, cat *catalogue.Catalogue, key string) string {
	what, of, _ := strings.Cut(key, ":")
	o, p := v.Opening(of), v.Position(of)
	switch {
	case what == "open" && o != nil:
		return say.LowerFirst(o.Name)
	case what == "close" && o != nil:
		return say.LowerFirst(o.Undo)
	case what == "change" && p != nil:
		return "change the " + say.LowerFirst(p.Name)
	case what == "right" && p != nil:
		return "put right the " + say.LowerFirst(p.Name)
	case (what == "look" || what == "listen") && p != nil:
		return "look at the " + say.LowerFirst(p.Name)
	case what == "undo" && cat.Undoing(machine.Undone(of)) != nil:
		return say.LowerFirst(strings.TrimRight(cat.Undoing(machine.Undone(of)).Do, "."))
	case of != "":
		if id, do, found := strings.Cut(of, ":"); found && v.Position(id) != nil {
			of = v.Position(id).Name + ": " + say.LowerFirst(do)
		}
		return say.LowerFirst(strings.TrimRight(of, "."))
	}
	return "warm the engine up"
}

// Numbered names a step of a sheet by its number and its key.
func Numbered(v *fleet.Vehicle, cat *catalogue.Catalogue, n int, key string) string {
	return fmt.Sprintf("step %d (%s)", n, StepWords(v, cat, key))
}
