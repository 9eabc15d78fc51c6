package advise

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/say"
)

// SharedWords says what one cause behind several findings would mean, and where
// to look for it.
func (r *Report) SharedWords(s judge.SharedCause) string {
	look, too := r.SharedTold(s)
	return strings.TrimSpace(look + " " + too)
}

// SharedTold is SharedWords in two: what it would mean, and where else to look for it, or "".
func (r *Report) SharedTold(s judge.SharedCause) (look, too string) {
	look = fmt.Sprintf("%s on %s: %s", s.Symptom.Together.Sign, say.Listing(positionNames(s.Positions)),
		s.Symptom.Together.Look)
	if at := r.lookedFor(s); len(at) > 0 {
		too = "Look at " + say.Listing(positionNames(at)) + " too."
	}
	return look, too
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
