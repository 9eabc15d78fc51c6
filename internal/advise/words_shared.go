package advise

import (
	"fmt"
	"strings"

	"undertray/internal/judge"
	"undertray/internal/say"
)

// SharedWords says what one cause behind several findings would mean, and where
// to look for it.
func (r *Report) SharedWords(s judge.SharedCause) string {
	out := fmt.Sprintf("%s on %s: %s", s.Symptom.Together.Sign, say.Listing(positionNames(s.Positions)),
		s.Symptom.Together.Look)
	if at := r.lookedFor(s); len(at) > 0 {
		out += " Look at " + say.Listing(positionNames(at)) + " too."
	}
	return out
}

// SharesWords points from a part to the causes that it shares, or is "".
func (r *Report) SharesWords(j *judge.Judgement) string {
	var signs []string
	for _, s := range r.Sharing(j) {
		signs = append(signs, s.Symptom.Together.Sign)
	}
	if len(signs) == 0 {
		return ""
	}
	return say.Capital(strings.ToLower(say.Listing(signs))) +
		": one cause behind several parts, told once for the vehicle."
}
