package advise_test

import (
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
)

// A part's answer takes at most 14 words; with what its verdict rests on and since when it takes at most 25 where it
// asks for anything, and who says so stands apart from both.
func TestAnswersAreShort(t *testing.T) {
	told, long, since := 0, "", 0
	for _, r := range demotest.All(t) {
		for i := range r.Judgements {
			j := &r.Judgements[i]
			answer, found := r.Answer(j, r.Units), r.FoundWords(j, r.Units)
			if n := len(strings.Fields(answer.String())); n == 0 || n > 14 {
				t.Errorf("%s %s: an answer of %d words: %s", r.Vehicle.ID, j.Position.ID, n, answer)
			}
			if j.Verdict < fleet.Watch || j.Verdict == fleet.Unseen {
				continue
			}
			told++
			both := answer + " " + found
			if len(both) > len(long) {
				long = both.String()
			}
			if n := len(strings.Fields(both.String())); n > 25 {
				t.Errorf("%s %s: %d words: %s", r.Vehicle.ID, j.Position.ID, n, both)
			}
			if who := advise.WhoWords(j); who != "" && strings.Contains(who.String(), found.String()) {
				t.Errorf("%s %s: who says so repeats what was found: %s", r.Vehicle.ID, j.Position.ID, who)
			}
			if strings.Contains(found.String(), " since ") {
				since++
			}
		}
	}
	if told < 10 || since == 0 {
		t.Errorf("%d verdicts are told, %d with the day since when: too few to hold anything", told, since)
	}
	t.Log(long)
}
