package advise

import (
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// Answer says in no more words than a headline has what to do about a part and by when, or how long it may stay.
func (r *Report) Answer(j *judge.Judgement, p units.Preferences) message.Text {
	for _, s := range []message.Text{TodoWords(j, p), firstTodo(j, p)} {
		if s != "" && short(s) {
			return s
		}
	}
	switch {
	case len(j.Todos) > 0 || j.Verdict == fleet.Park:
		return say.Sentence(message.Of("%s it: %s", ActionVerb(j.Remedy()).Capital(), shortBy(j)))
	case j.Again != nil && short(r.AgainWords(j, p)):
		return r.AgainWords(j, p)
	case j.Verdict == fleet.Watch:
		return "Keep an eye on it."
	case j.Verdict == fleet.Unseen:
		return "Not known: look at it first."
	}
	if w, _, ok := r.Next(j); ok && !w.Reached {
		if s := message.Of("Nothing to do: good until it is due %s.", w.Words()); short(s) {
			return s
		}
	}
	if s := message.Of("Nothing to do: %s", say.LowerFirst(r.AgainLook(j))); j.Looked.Never || short(s) {
		return s
	}
	return "Nothing to do."
}

// short reports whether words are no more than a headline has.
func short(s message.Text) bool { return told.Words(s) <= told.HeadWords }

func firstTodo(j *judge.Judgement, p units.Preferences) message.Text {
	if len(j.Todos) == 0 {
		return ""
	}
	return todoLine(j, &j.Todos[0], p)
}

// shortBy is by when a part is put right, in few words.
func shortBy(j *judge.Judgement) message.Text {
	switch {
	case j.Verdict == fleet.Park:
		return "before it moves"
	case j.Todos[0].Left != nil:
		return "left, for a reason"
	}
	return byWords(&j.Todos[0], units.Preferences{})
}

// AgainLook says when a part without anything to do is to be looked at.
func (r *Report) AgainLook(j *judge.Judgement) message.Text {
	l := j.Looked
	switch {
	case l.Never:
		return "It was never looked at since it is there."
	case l.Stale:
		return "The next look is overdue."
	case l.Next.IsZero():
		return message.Of("Last looked at on %s.", told.Long(l.Last.Date))
	}
	return message.Of("The next look is due %s.", r.When(l.Next).Words())
}

// governing is the opinion that the verdict rests on, or nil.
func governing(j *judge.Judgement) *judge.Reason {
	for i := range j.Reasons {
		if o := &j.Reasons[i]; o.Governs && o.Verdict == j.Verdict {
			return o
		}
	}
	return nil
}

// SeenWords says what a verdict rests on and since when, who says so in brackets: "Cracks on one rib: 5 per
// 75 mm since 21 November (part maker)."
func (r *Report) SeenWords(j *judge.Judgement, p units.Preferences) message.Text {
	s := r.FoundWords(j, p).Open()
	if o := governing(j); o != nil && (o.Finding != nil || o.Due != nil) {
		return message.Of("%s (%s).", s, o.Authority)
	}
	return say.Sentence(s)
}

// FoundWords is SeenWords without who says so; a day of this year goes without its year.
func (r *Report) FoundWords(j *judge.Judgement, p units.Preferences) message.Text {
	o := governing(j)
	switch {
	case o == nil:
		return ""
	case o.Finding != nil:
		on, since := message.Text("%s on %s."), o.Finding.Date
		if first := judge.Since(o, j.Place); first.Before(since) {
			on, since = "%s since %s.", first
		}
		if strings.Contains(TodoWords(j, p).String(), since.Long()) {
			return message.Of("%s.", FindingWords(o.Check, o.Finding)) // its deadline counts from that day
		}
		return on.With(FindingWords(o.Check, o.Finding), r.dayWords(since))
	case o.Due != nil:
		s := dueWords(o.Due)
		if d := o.Due; d.Passed && !d.Outlived && !d.Assumed {
			switch m := d.Mark; {
			case !m.Date.IsZero() && !r.On.Before(m.Date):
				s = message.Of("%s on %s", s, r.dayWords(m.Date))
			case m.HasTotal:
				s = message.Of("%s at %s", s, p.Run(m.Total))
			}
		}
		return message.Of("%s.", s)
	}
	return o.Says.Sentence()
}

// dayWords is a day, without its year where that is this one.
func (r *Report) dayWords(d civil.Date) message.Text {
	if d.Year == r.On.Year {
		return told.Day(d)
	}
	return told.Long(d)
}

// WhoWords says who the verdict rests on, and the rule in their words, or "".
func WhoWords(j *judge.Judgement) message.Text {
	o := governing(j)
	if o == nil || o.Finding == nil && o.Due == nil {
		return ""
	}
	return message.Of("%s: %s", o.Authority.Message().Capital(), rule(*o)).Sentence()
}
