package advise

import (
	"fmt"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/say"
)

// Headline says the verdict and the reason in one sentence.
func (m *Meaning) Headline() string {
	why := ""
	for _, r := range m.Judgement.Reasons {
		if r.Governs && r.Finding != nil && r.Says != "" {
			why = " " + say.Sentence(rule(r))
			break
		}
	}
	return fmt.Sprintf("%s, %s: %s.%s", m.Kind.Name, say.LowerFirst(FindingWords(m.Check, m.Finding)), m.Judgement.Verdict, why)
}

// Words says what the finding would mean.
func (s *Supposed) Words() string {
	switch {
	case s.Reason == nil:
		return WithinBounds
	case s.Reason.Verdict == fleet.Keep && s.Reason.Limit == nil:
		return withinWords(*s.Reason)
	}
	return strings.TrimSpace(s.Reason.Says)
}
