package print

import (
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/tally"
	"undertray.example/undertray/internal/tally/onbelt"
)

// Counted writes what was counted on a photograph and what it means.
func (t *Text) Counted(c tally.Counted) {
	t.Line(c.Headline)
	if c.Means.Words != "" {
		t.Line(say.Capital(c.Means.Verdict.String()) + ": " + c.Means.Words)
	}
	if c.Edge != "" {
		t.Line(c.Edge)
	}
	for _, s := range c.Said {
		t.Item("- ", s.Wrong+" "+s.Better)
	}
	t.lines("How it is known", append(c.Basis, onbelt.ProvenOf(c.Of)))
}
