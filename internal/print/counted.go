package print

import (
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/tally"
	"undertray.example/undertray/internal/tally/onbelt"
)

// Counted writes what was counted on a photograph and what it means.
func (t *Text) Counted(c tally.Counted) {
	t.Line(c.Headline)
	if c.Means.Words != "" {
		t.Line(message.Of("%s: %s", c.Means.Verdict.Message().Capital(), c.Means.Words))
	}
	if c.Edge != "" {
		t.Line(c.Edge)
	}
	for _, s := range c.Said {
		t.Item("- ", message.Of("%s %s", s.Wrong, s.Better))
	}
	t.lines("How it is known", append(c.Basis, onbelt.ProvenOf(c.Of)))
}
