package ask

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
)

// DontKnow is the answer of somebody who cannot tell.
const DontKnow = "unknown"

// MaxBelts is how many belts are asked for.
const MaxBelts = 3

// Answers are what is said of a new vehicle.
type Answers struct {
	// Say holds the id of a choice by the id of its question. A question that is
	// missing here is not answered: the usual is taken.
	Say map[string]string
	// Belts lists the belts, the one that comes off first in front. Nil: the usual
	// ones for the other answers.
	Belts []Belt
}

// From returns the answers of an archetype; the error is a *fleet.Error.
func From(id string) (Answers, error) {
	var ids []string
	for _, a := range theKit().Archetypes {
		if a.ID == id {
			return Answers{Say: maps.Clone(a.Say)}, nil
		}
		ids = append(ids, a.ID)
	}
	return Answers{}, &fleet.Error{Kind: fleet.NotFound,
		Msg:  message.Of("there is no archetype %q: %s", id, fleet.Instead(id, ids)),
		Hint: "list them with: undertray sheet archetypes"}
}

// Taken is what was taken for a question that was not answered.
type Taken struct {
	Question, Choice, Says string
}

// Resolved are answers made whole.
type Resolved struct {
	Answer map[string]string // of every question, asked or not
	Asked  []Question        // those that concern the vehicle, with the choices it may have
	Belts  []Belt
	Taken  []Taken // what was not known

	facts facts
}

// Counts is what the vehicle counts.
func (r *Resolved) Counts() fleet.Counter { return fleet.Counter(r.Answer["counts"]) }

// Resolve takes the usual answer, or the safe one, for what is not answered. An
// answer that is none, or that the others rule out, is an error of kind
// fleet.Invalid that names the question.
func Resolve(a Answers) (*Resolved, error) {
	k := theKit()
	r := &Resolved{Answer: map[string]string{}, facts: facts{}}
	for _, id := range slices.Sorted(maps.Keys(a.Say)) {
		if k.question(id) == nil {
			return nil, invalid(id, "there is no such question: %s", fleet.Instead(id, QuestionIDs()))
		}
	}
	for _, q := range k.Questions {
		if err := r.resolve(q, a.Say[q.ID]); err != nil {
			return nil, err
		}
	}
	if err := r.belts(k, a.Belts); err != nil {
		return nil, err
	}
	return r, nil
}

// Mend returns the answers without those that others rule out, as happens when an
// earlier one is changed. Belts stay as they are.
func Mend(a Answers) Answers {
	out := Answers{Say: map[string]string{}, Belts: a.Belts}
	r := &Resolved{Answer: map[string]string{}, facts: facts{}}
	for _, q := range theKit().Questions {
		if said := a.Say[q.ID]; r.resolve(q, said) == nil {
			if said != "" && slices.ContainsFunc(r.Asked, func(asked Question) bool { return asked.ID == q.ID }) {
				out.Say[q.ID] = said
			}
		} else if err := r.resolve(q, ""); err != nil {
			panic("ask: " + err.Error()) // the usual is always an answer
		}
	}
	return out
}

// UsualBelts are the belts that a vehicle of these answers commonly has.
func UsualBelts(r *Resolved) []Belt { return r.usualBelts(theKit()) }

// QuestionIDs lists the ids of all questions.
func QuestionIDs() []string {
	var ids []string
	for _, q := range theKit().Questions {
		ids = append(ids, q.ID)
	}
	return ids
}

func (r *Resolved) resolve(q Question, said string) error {
	asked := r.facts.hold(q.When, q.Unless)
	var ids []string
	choices := slices.Clone(q.Choices)
	q.Choices = slices.DeleteFunc(choices, func(c Choice) bool { return !r.facts.hold(c.When, c.Unless) })
	for _, c := range q.Choices {
		ids = append(ids, c.ID)
	}
	answer := r.usual(q.Usual)
	if asked {
		if !slices.Contains(ids, answer) && len(ids) > 0 {
			answer = ids[0] // the usual is ruled out by another answer
		}
		switch {
		case said == DontKnow:
			if u := q.Unknown; u != nil && r.facts.meet(u.When) && slices.Contains(ids, u.Is) {
				r.Taken = append(r.Taken, Taken{q.ID, u.Is, u.Says})
				answer = u.Is
			} else {
				r.Taken = append(r.Taken, Taken{q.ID, answer, ""})
			}
		case said != "" && !slices.Contains(ids, said):
			return invalid(q.ID, "%q is no answer for this vehicle: %s", said,
				fleet.Instead(said, append(ids, DontKnow)))
		case said != "":
			answer = said
		}
		r.Asked = append(r.Asked, q)
	}
	r.Answer[q.ID] = answer
	r.facts[q.ID] = words{answer}
	return nil
}

func (r *Resolved) usual(list []usual) string {
	for _, u := range list {
		if r.facts.meet(u.When) {
			return u.Is
		}
	}
	return ""
}

// belts takes the belts that were answered, or the usual ones.
func (r *Resolved) belts(k *kit, said []Belt) error {
	r.Belts = said
	if said == nil {
		r.Belts = r.usualBelts(k)
	}
	if len(r.Belts) > MaxBelts {
		return invalid("belts", "%d belts are named: up to %d are taken, write further ones into the sheet",
			len(r.Belts), MaxBelts)
	}
	turned := map[string]int{}
	for i, b := range r.Belts {
		if err := r.belt(k, i, b, turned); err != nil {
			return err
		}
	}
	for _, m := range k.Machines {
		has := len(m.When) == 0 || r.facts.hold(m.When, m.Unless)
		switch name := say.LowerFirst(m.Say); {
		case m.Must && has && turned[m.ID] == 0:
			return invalid("belts", "by the other answers a belt turns the %s, and none of these does: add it to one",
				name)
		case !has && turned[m.ID] > 0:
			return invalid("belts", "a belt turns the %s, and by the other answers none does: change one of the two",
				name)
		}
	}
	for m := range turned {
		r.facts["turned"] = append(r.facts["turned"], m)
	}
	r.facts["belts"] = words{map[bool]string{true: "yes", false: "no"}[len(r.Belts) > 0]}
	return nil
}

// belt checks one belt.
func (r *Resolved) belt(k *kit, i int, b Belt, turned map[string]int) error {
	where := fmt.Sprintf("belt %d", i+1)
	kind := k.beltKind(b.Kind)
	if kind == nil {
		return invalid(where, "%q is no way to hold a belt tight: %s", b.Kind, fleet.Instead(b.Kind, idsOf(k.Belts)))
	}
	tensioners, ribs, back := 0, 0, 0
	for _, id := range b.Turns {
		m := k.machine(id)
		switch {
		case m == nil:
			return invalid(where, "%q is nothing a belt turns: %s", id, fleet.Instead(id, idsOf(k.Machines)))
		case m.Back:
			back++
		default:
			ribs, back = ribs+1, 0
		}
		if back > 2 {
			return invalid(where, "three pulleys in a row run on the belt's back: at most two do")
		}
		if m.Tightens {
			tensioners++
		}
		if turned[id]++; turned[id] > 1 && !m.Guide {
			return invalid(where, "the %s is turned twice: name it once", say.LowerFirst(m.Say))
		}
	}
	switch {
	case ribs == 0:
		return invalid(where, "it turns nothing: name what it turns, or leave the belt out")
	case len(b.Turns) > 10:
		return invalid(where, "it goes over %d pulleys besides the crankshaft's: up to 10 are taken", len(b.Turns))
	case kind.Tensioners == "one" && tensioners != 1:
		return invalid(where, "a belt with a sprung tensioner has one: name it in its place")
	case kind.Tensioners == "none" && tensioners > 0:
		return invalid(where, "a stretch-fit belt has no tensioner: take it out")
	case tensioners > 1:
		return invalid(where, "%d tensioners are named: a belt has one", tensioners)
	case kind.Section != "" && backs(k, b) > 0:
		return invalid(where, "a V-belt runs over no pulley on its back: choose the ones for the ribs")
	}
	return nil
}

// idsOf lists the ids of machines or kinds of belt.
func idsOf[T interface{ id() string }](all []T) []string {
	out := make([]string, len(all))
	for i, one := range all {
		out[i] = one.id()
	}
	return out
}

func (m Machine) id() string  { return m.ID }
func (b BeltKind) id() string { return b.ID }

func backs(k *kit, b Belt) int {
	n := 0
	for _, m := range b.Turns {
		if k.machine(m).Back {
			n++
		}
	}
	return n
}

// usualBelts are the usual belts with what the vehicle does not have left out.
func (r *Resolved) usualBelts(k *kit) []Belt {
	i := slices.IndexFunc(k.UsualBelts, func(u usualBelts) bool { return r.facts.meet(u.When) })
	if i < 0 {
		return nil
	}
	var out []Belt
	for _, b := range k.UsualBelts[i].Belts {
		turns := slices.DeleteFunc(slices.Clone(b.Turns), func(id string) bool {
			m := k.machine(id)
			return len(m.When) > 0 && !r.facts.hold(m.When, m.Unless)
		})
		if slices.ContainsFunc(turns, func(id string) bool { return !k.machine(id).Guide }) {
			out = append(out, Belt{Kind: b.Kind, Turns: k.fewer(turns)})
		}
	}
	return out
}

// fewer takes idlers out of what a belt turns where they would stand beside another
// pulley on the belt's back, with nothing left between.
func (k *kit) fewer(turns []string) []string {
	var out []string
	for i, id := range turns {
		beside := len(out) > 0 && k.machine(out[len(out)-1]).Back ||
			i+1 < len(turns) && k.machine(turns[i+1]).Back && k.machine(turns[i+1]).Tightens
		if m := k.machine(id); m.Back && !m.Tightens && beside {
			continue
		}
		out = append(out, id)
	}
	return out
}

// ParseBelt reads a belt as one line: "sprung: alternator, tensioner, water-pump".
func ParseBelt(text string) (Belt, error) {
	kind, turns, ok := strings.Cut(text, ":")
	b := Belt{Kind: strings.TrimSpace(kind)}
	for m := range strings.FieldsFuncSeq(turns, func(c rune) bool { return c == ',' || c == ' ' }) {
		b.Turns = append(b.Turns, m)
	}
	if !ok || len(b.Turns) == 0 {
		return b, invalid("belt", "%q does not say what it turns: write for example \"sprung: alternator, tensioner, "+
			"water-pump\"", text)
	}
	return b, nil
}

// String writes the belt as ParseBelt reads it.
func (b Belt) String() string { return b.Kind + ": " + strings.Join(b.Turns, ", ") }

func invalid(where, format string, args ...any) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: message.Of(format, args...)}
}
