package visit

import (
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Why says why a task is on the sheet, in a few words.
func (t *Task) Why() message.Text {
	why := leftToo(t.Reason.Words(), t.Judgement)
	for i := range t.others {
		if o := &t.others[i]; o.Reason.Code != Along && !o.Reason.along() {
			why = message.Of("%s; %s: %s", why.Open(), say.LowerFirst(o.Judgement.Position.Name), o.Why())
		}
	}
	return why
}

// Along reports whether a part is changed only because another is.
func (t *Task) Along() bool {
	return t.Do == fleet.DoReplace && (t.Reason.Code == Along || t.Reason.along())
}

// along reports whether the plan has a task only because of another.
func (r Reason) along() bool {
	p, ok := r.Planned.(interface{ Along() bool })
	return ok && p.Along()
}

// Why says what a part is bought for.
func (l *PartLine) Why() message.Text { return l.Reason.Words() }

// Words says why a task is on the sheet, or "".
func (r Reason) Words() message.Text {
	switch r.Code {
	case OnWatch:
		return "on watch"
	case Chosen:
		return "chosen"
	case Verdict:
		return advise.Why(r.Judgement)
	case Due:
		return message.Of("due %s (%s)", r.When.Words(), r.Authority)
	case Along:
		return message.Of("with the %s", say.LowerFirst(r.With.Name))
	case WhileOpen:
		return "while it is open"
	case Begun:
		return "in hand"
	}
	if r.Planned != nil {
		return r.Planned.Words()
	}
	return ""
}

// RoundWords says that a round goes with the visit, or "".
func (j *Job) RoundWords() message.Text {
	if len(j.RoundSees) == 0 {
		return ""
	}
	return message.Of("A round goes with this visit, %s: take its sheet along.",
		told.Count(len(j.RoundSees), "position", "positions"))
}

// leftToo adds to why a part is on a sheet that the owner has left it so far.
func leftToo(why message.Text, j *judge.Judgement) message.Text {
	if left := advise.LeftWords(j); left != "" {
		return message.Of("%s; %s", why.Open(), left)
	}
	return why
}
