package advise

import (
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// Headline says the verdict, and of a part to be put right what is done by when.
func (m *Meaning) Headline(p units.Preferences) message.Text { return told.Head(m.Told(p)) }

// Told is the headline, then what was found and what governs, a sentence each.
func (m *Meaning) Told(p units.Preferences) []message.Text {
	forms := m.forms(p)
	for i := range forms {
		forms[i] = message.Of("%s: %s.", m.Kind.Name, forms[i])
	}
	return told.Sentences(told.Brief(forms...), message.Of("%s.", FindingWords(m.Check, m.Finding)), m.governs())
}

// Verdict says the verdict, and of a part to be put right what is done by when.
func (m *Meaning) Verdict(p units.Preferences) message.Text { return m.forms(p)[0] }

// forms are ways to say the verdict, the fullest first.
func (m *Meaning) forms(p units.Preferences) []message.Text {
	j := &m.Judgement
	var do message.Text
	for _, r := range j.Reasons {
		if r.Governs && r.Verdict == j.Verdict && r.Limit != nil {
			do = actionOnIt(r.Limit.Action())
			break
		}
	}
	doBy := do
	if len(j.Todos) > 0 {
		do = actionOnIt(j.Todos[0].Action)
		doBy = doneBy(do, &j.Todos[0], p)
	}
	switch {
	case j.Verdict == fleet.Park:
		return []message.Text{message.Of("park it and %s", do)}
	case j.Verdict == fleet.PutRight:
		return []message.Text{message.Of("put right; %s", doBy), doBy, message.Of("put right; %s", do)}
	case j.Again != nil:
		return []message.Text{message.Of("watch, and look again %s", m.again(p)), "watch, and look again"}
	}
	return []message.Text{j.Verdict.Message()}
}

// Authority is who the verdict rests on, or "" where nobody speaks.
func (m *Meaning) Authority() fleet.Authority {
	if o := governing(&m.Judgement); o != nil && o.Finding != nil {
		return o.Authority
	}
	return ""
}

// governs is what the governing authority says of the finding, or "".
func (m *Meaning) governs() message.Text {
	for _, r := range m.Judgement.Reasons {
		if r.Governs && r.Finding != nil && r.Says != "" {
			return rule(r).Sentence()
		}
	}
	return ""
}

// again says within what to look again.
func (m *Meaning) again(p units.Preferences) message.Text {
	for _, r := range m.Judgement.Reasons {
		if r.Governs && r.Verdict == fleet.Watch && r.Limit != nil && r.Limit.Again != nil {
			return within(r.Limit.Again.Distance, r.Limit.Again.Time, p)
		}
	}
	return ""
}

// MeansWords says what an answer means, and who says so; nil: nobody speaks.
func MeansWords(r *judge.Reason) message.Text {
	switch {
	case r == nil:
		return WithinBounds
	case r.Verdict == fleet.Keep && r.Limit == nil:
		return message.Of("%s: %s", r.Authority, WithinBounds).Capital()
	}
	return message.Of("%s: %s", r.Authority, r.Says).Capital()
}
