package advise

import (
	"fmt"

	"undertray/internal/say"
)

// Headline says the verdict and the reason in one sentence.
func (m *Meaning) Headline() string {
	why := ""
	for _, r := range m.Judgement.Reasons {
		if r.Governs && r.Finding != nil && r.Says != "" {
			why = " " + r.Says
			break
		}
	}
	return fmt.Sprintf("%s, %s: %s.%s", m.Kind.Name, say.LowerFirst(FindingWords(m.Check, m.Finding)), m.Judgement.Verdict, why)
}
