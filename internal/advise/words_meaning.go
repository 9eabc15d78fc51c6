package advise

import (
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/units"
)

// Headline says the verdict, and of a part to be put right what is done by when.
func (m *Meaning) Headline(p units.Preferences) string { return say.Head(m.Told(p)) }

// Told is the headline, then what was found and what governs, a sentence each.
func (m *Meaning) Told(p units.Preferences) []string {
	forms := m.forms(p)
	for i := range forms {
		forms[i] = m.Kind.Name + ": " + forms[i] + "."
	}
	return say.Told(say.Short(forms...), FindingWords(m.Check, m.Finding).String()+".", m.governs())
}

// Verdict says the verdict, and of a part to be put right what is done by when.
func (m *Meaning) Verdict(p units.Preferences) string { return m.forms(p)[0] }

// forms are ways to say the verdict, the fullest first.
func (m *Meaning) forms(p units.Preferences) []string {
	j := &m.Judgement
	do, by := "", ""
	for _, r := range j.Reasons {
		if r.Governs && r.Verdict == j.Verdict && r.Limit != nil {
			do = actionOnIt(r.Limit.Action())
			break
		}
	}
	if len(j.Todos) > 0 {
		do, by = actionOnIt(j.Todos[0].Action), " "+byWords(&j.Todos[0], p)
	}
	switch {
	case j.Verdict == fleet.Park:
		return []string{"park it and " + do}
	case j.Verdict == fleet.PutRight:
		return []string{"put right; " + do + by, do + by, "put right; " + do}
	case j.Again != nil:
		return []string{"watch, and look again " + m.again(p), "watch, and look again"}
	}
	return []string{j.Verdict.String()}
}

// Authority is who the verdict rests on, or "" where nobody speaks.
func (m *Meaning) Authority() fleet.Authority {
	if o := governing(&m.Judgement); o != nil && o.Finding != nil {
		return o.Authority
	}
	return ""
}

// governs is what the governing authority says of the finding, or "".
func (m *Meaning) governs() string {
	for _, r := range m.Judgement.Reasons {
		if r.Governs && r.Finding != nil && r.Says != "" {
			return rule(r).Sentence().String()
		}
	}
	return ""
}

// again says within what to look again.
func (m *Meaning) again(p units.Preferences) string {
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
	return message.Of("%s: %s", r.Authority, strings.TrimSpace(r.Says)).Capital()
}
