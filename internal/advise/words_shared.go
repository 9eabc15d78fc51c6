package advise

import (
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// SharedWords says what one cause behind several findings would mean, and where
// to look for it.
func (r *Report) SharedWords(s judge.SharedCause) message.Text {
	look, too := r.SharedTold(s)
	return message.Joined(told.Sentences(look, too), " ")
}

// SharedTold is SharedWords in two: what it would mean, and where else to look for it, or "".
func (r *Report) SharedTold(s judge.SharedCause) (look, too message.Text) {
	look = message.Of("%s on %s: %s", s.Symptom.Together.Sign, told.Listing(positionNames(s.Positions)),
		s.Symptom.Together.Look)
	if at := r.lookedFor(s); len(at) > 0 {
		too = message.Of("Look at %s too.", told.Listing(positionNames(at)))
	}
	return look, too
}

// SharesWords points from a part to the causes that it shares, or is "".
func (r *Report) SharesWords(j *judge.Judgement) message.Text {
	var signs []message.Text
	for _, s := range r.Sharing(j) {
		signs = append(signs, message.Name(s.Symptom.Together.Sign).LowerFirst())
	}
	if len(signs) == 0 {
		return ""
	}
	return message.Of("%s: one cause behind several parts, told once for the vehicle.", told.Listing(signs).Capital())
}
