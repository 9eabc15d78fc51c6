package advise

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/undone"
)

// StandsWords says that half-done work keeps the vehicle from being started, or
// driven, and what is undone: "Not to be started: coolant out, belt off."; or "".
func (r *Report) StandsWords() string {
	use, why := r.Forbidden()
	if use == "" {
		return ""
	}
	return undone.ForbiddenWords(use, why).String()
}

// StillWords says what worked-through sheets leave to do that forbids nothing, in
// a sentence; or "".
func (r *Report) StillWords() string {
	var out []string
	for _, l := range r.Still() {
		if l.State.Later() {
			out = append(out, say.LowerFirst(strings.TrimRight(l.How.Do, ".")))
		}
	}
	if len(out) == 0 {
		return ""
	}
	return "Still to do: " + strings.Join(out, "; ") + "."
}

// TagWords says what half-done work forbids, or that nothing does.
func (r *Report) TagWords() string {
	switch s := r.StandsWords(); {
	case s != "":
		return s
	case len(r.State.Open) > 0:
		return strings.TrimSpace("It can be driven with what is open. " + r.StillWords())
	case r.StillWords() != "":
		return r.StillWords()
	}
	return "Nothing is open on " + r.Vehicle.Name + "."
}

// workWords says what became of a sheet that is worked through.
func (r *Report) workWords(w *fleet.Work) string {
	switch {
	case len(w.Begins) > 0:
		var names []string
		for _, t := range w.Begins {
			if p := r.Vehicle.Position(t.Position); p != nil && t.Do != fleet.DoInspect {
				names = append(names, say.LowerFirst(p.Name))
			}
		}
		return "job sheet begun: " + say.Few(names, namesMost)
	case w.Ended:
		return "job sheet done with"
	case w.Back:
		return "not done after all: " + undone.StepWords(r.Vehicle, r.Catalogue, w.Step).String()
	}
	s := "done: " + undone.StepWords(r.Vehicle, r.Catalogue, w.Step).String()
	for _, set := range w.Set {
		s += "; " + set.What + " to " + r.Units.Show(set.Torque)
	}
	return s
}

func (r *Report) openedWords(o *fleet.Opened) string {
	s := o.Opening
	if known := r.Vehicle.Opening(o.Opening); known != nil {
		s = "open: " + say.LowerFirst(known.Stands())
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
