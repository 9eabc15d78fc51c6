package advise

import (
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/undone"
)

// StandsWords says that half-done work keeps the vehicle from being started, or
// driven, and what is undone: "Not to be started: coolant out, belt off."; or "".
func (r *Report) StandsWords() message.Text {
	use, why := r.Forbidden()
	if use == "" {
		return ""
	}
	return undone.ForbiddenWords(use, why)
}

// StillWords says what worked-through sheets leave to do that forbids nothing, in
// a sentence; or "".
func (r *Report) StillWords() message.Text {
	var out []message.Text
	for _, l := range r.Still() {
		if l.State.Later() {
			out = append(out, message.Name(l.How.Do).Open().LowerFirst())
		}
	}
	if len(out) == 0 {
		return ""
	}
	return message.Of("Still to do: %s.", message.Joined(out, "; "))
}

// TagWords says what half-done work forbids, or that nothing does.
func (r *Report) TagWords() message.Text {
	switch s := r.StandsWords(); {
	case s != "":
		return s
	case len(r.State.Open) > 0:
		return message.Joined(told.Sentences("It can be driven with what is open.", r.StillWords()), " ")
	case r.StillWords() != "":
		return r.StillWords()
	}
	return message.Of("Nothing is open on %s.", r.Vehicle.Name)
}

// workWords says what became of a sheet that is worked through.
func (r *Report) workWords(w *fleet.Work) message.Text {
	switch {
	case len(w.Begins) > 0:
		var names []message.Text
		for _, t := range w.Begins {
			if p := r.Vehicle.Position(t.Position); p != nil && t.Do != fleet.DoInspect {
				names = append(names, message.Name(say.LowerFirst(p.Name)))
			}
		}
		return message.Of("job sheet begun: %s", told.Few(names, namesMost))
	case w.Ended:
		return "job sheet done with"
	case w.Back:
		return message.Of("not done after all: %s", undone.StepWords(r.Vehicle, r.Catalogue, w.Step))
	}
	s := message.Of("done: %s", undone.StepWords(r.Vehicle, r.Catalogue, w.Step))
	for _, set := range w.Set {
		s = message.Of("%s; %s to %s", s, set.What, r.Units.Show(set.Torque))
	}
	return s
}

func (r *Report) openedWords(o *fleet.Opened) message.Text {
	s := message.Name(o.Opening)
	if known := r.Vehicle.Opening(o.Opening); known != nil {
		s = message.Of("open: %s", say.LowerFirst(known.Stands()))
		if o.Closed {
			s = message.Of("closed again: %s", say.LowerFirst(known.Undo))
		}
	}
	if o.Note != "" {
		s = message.Of("%s. %s", s, o.Note)
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
func asideWords(e *fleet.Entry) message.Text {
	return message.Of("left as it is on %s, because %s", told.Long(e.Date), because(e.Aside.Why))
}

// LeftWords says that the owner leaves what a part asks for, and why; or "".
func LeftWords(j *judge.Judgement) message.Text {
	for _, t := range j.Todos {
		if t.Left != nil {
			return asideWords(t.Left)
		}
	}
	return ""
}

// LeftWords says what the owner has left as it is, and why, in a sentence; or "".
func (r *Report) LeftWords() message.Text { return YouLeft(r.Left()) }

// YouLeft says it of some parts.
func YouLeft(left []*judge.Judgement) message.Text {
	var out []message.Text
	for _, j := range left {
		out = append(out, message.Of("%s (%s)", say.LowerFirst(j.Position.Name), because(j.Place.Aside.Aside.Why)))
	}
	if len(out) == 0 {
		return ""
	}
	return message.Of("You left as it is: %s.", told.Few(out, namesMost))
}
